//! Glyphs of TrueType: points, and glyphs made of glyphs.

use super::{DEEPEST, MOST_IN_A_GLYPH, Tally, TooMany, two};

/// What a glyph comes to, and how deep glyphs are in it.
type Size = (u64, u8);

struct Glyphs<'a> {
    loca: &'a [u8],
    glyf: &'a [u8],
    long: bool,
    known: Vec<Option<Size>>,
}

/// Counts every glyph, each part of a glyph as often as it stands in it.
pub(super) fn count(loca: &[u8], glyf: &[u8], long: bool, glyphs: u16) -> Result<u64, TooMany> {
    let mut all = Glyphs { loca, glyf, long, known: vec![None; usize::from(glyphs)] };
    let mut tally = Tally::default();
    for glyph in 0..glyphs {
        tally.begin();
        tally.add(all.size(glyph, 0)?.0)?;
    }
    Ok(tally.all)
}

impl<'a> Glyphs<'a> {
    fn data(&self, glyph: u16) -> Option<&'a [u8]> {
        let at = |nth: usize| {
            if self.long {
                let high = usize::from(two(self.loca, nth * 4)?) << 16;
                Some(high | usize::from(two(self.loca, nth * 4 + 2)?))
            } else {
                Some(usize::from(two(self.loca, nth * 2)?) * 2)
            }
        };
        let nth = usize::from(glyph);
        self.glyf.get(at(nth)?..at(nth + 1)?)
    }
    fn size(&mut self, glyph: u16, depth: u8) -> Result<Size, TooMany> {
        let index = usize::from(glyph);
        let Some(known) = self.known.get(index) else { return Ok((0, 0)) };
        if let Some(known) = known {
            return if known.1 + depth > DEEPEST { Err(TooMany) } else { Ok(*known) };
        }
        // What holds itself ends here too.
        if depth > DEEPEST {
            return Err(TooMany);
        }
        let mut size = (0, 0);
        if let Some(data) = self.data(glyph)
            && let Some(contours) = two(data, 0)
        {
            if contours < 0x8000 {
                // The last point of the last contour; a program of hints and the points follow.
                let last = usize::from(contours).checked_sub(1).and_then(|nth| two(data, 10 + nth * 2));
                size.0 = last.map_or(0, |last| u64::from(last) + 1);
            } else {
                let parts = Parts { data, at: Some(10) };
                for part in parts {
                    let (points, below) = self.size(part, depth + 1)?;
                    size = (size.0 + points + 1, size.1.max(below + 1));
                    if size.0 > MOST_IN_A_GLYPH {
                        return Err(TooMany);
                    }
                }
            }
        }
        self.known[index] = Some(size);
        Ok(size)
    }
}

/// The glyphs that a glyph is made of.
struct Parts<'a> {
    data: &'a [u8],
    at: Option<usize>,
}

impl Iterator for Parts<'_> {
    type Item = u16;
    fn next(&mut self) -> Option<u16> {
        const WORDS: u16 = 1;
        const SCALE: u16 = 8;
        const MORE: u16 = 0x20;
        const TWO_SCALES: u16 = 0x40;
        const FOUR: u16 = 0x80;
        let at = self.at?;
        let (flags, glyph) = (two(self.data, at)?, two(self.data, at + 2)?);
        let has = |flag| flags & flag != 0;
        let place = if has(WORDS) { 4 } else { 2 };
        let scale = match flags {
            _ if has(SCALE) => 2,
            _ if has(TWO_SCALES) => 4,
            _ if has(FOUR) => 8,
            _ => 0,
        };
        self.at = has(MORE).then_some(at + 4 + place + scale);
        Some(glyph)
    }
}
