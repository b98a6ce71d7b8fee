//! Glyphs of the Compact Font Format: small programs that call small programs.

use super::{Tally, TooMany, two};
use std::ops::Range;

/// Programs call each other no deeper than this (Technical Note 5177, appendix B), and no reader of ours goes deeper.
const DEEPEST: u8 = 10;
/// A program keeps so many numbers at most (the same), and a reader gives up where it has more.
const MOST_NUMBERS: usize = 48;

/// Pieces of data one behind the other, found by an array of offsets.
#[derive(Debug, Clone, Copy, Default)]
struct Index<'a> {
    count: usize,
    size: usize,
    offsets: &'a [u8],
    data: &'a [u8],
}

fn number(bytes: &[u8]) -> usize {
    bytes.iter().fold(0, |sum, byte| sum << 8 | usize::from(*byte))
}

impl<'a> Index<'a> {
    /// Reads one; gives what follows it too.
    fn read(bytes: &'a [u8]) -> Option<(Self, &'a [u8])> {
        let count = usize::from(two(bytes, 0)?);
        if count == 0 {
            return Some((Self::default(), &bytes[2..]));
        }
        let size = usize::from(*bytes.get(2)?);
        if !(1..=4).contains(&size) {
            return None;
        }
        let (offsets, data) = bytes[3..].split_at_checked((count + 1) * size)?;
        let all = Self { count, size, offsets, data };
        Some((all, data.get(all.offset(count)?..)?))
    }
    /// Offsets count from the byte before the data.
    fn offset(&self, nth: usize) -> Option<usize> {
        number(self.offsets.get(nth * self.size..(nth + 1) * self.size)?).checked_sub(1)
    }
    fn get(&self, nth: usize) -> Option<&'a [u8]> {
        (nth < self.count).then(|| self.data.get(self.offset(nth)?..self.offset(nth + 1)?))?
    }
    /// The program that a number on the stack calls, by the bias of its index (Technical Note 5177, 4.7).
    fn called(&self, by: i32) -> Option<&'a [u8]> {
        let bias = match self.count {
            0..=1239 => 107,
            1240..=33_899 => 1131,
            _ => 32_768,
        };
        self.get(usize::try_from(by.checked_add(bias)?).ok()?)
    }
}

/// The numbers before an operator of a DICT, in whole; operators of two bytes are 1200 and more.
fn entry(dict: &[u8], wanted: u16) -> Option<Vec<usize>> {
    let (mut at, mut numbers) = (0, Vec::new());
    while let Some(byte) = dict.get(at) {
        at += 1;
        match *byte {
            12 => {
                if 1200 + u16::from(*dict.get(at)?) == wanted {
                    return Some(numbers);
                }
                at += 1;
                numbers.clear();
            }
            operator @ 0..=21 => {
                if u16::from(operator) == wanted {
                    return Some(numbers);
                }
                numbers.clear();
            }
            28 => {
                numbers.push(usize::from(two(dict, at)?));
                at += 2;
            }
            29 => {
                numbers.push(number(dict.get(at..at + 4)?));
                at += 4;
            }
            30 => {
                // A broken number; no offset is one. It ends with a half byte of ones.
                at += dict.get(at..)?.iter().position(|byte| byte & 15 == 15 || byte >> 4 == 15)? + 1;
                numbers.push(0);
            }
            small @ 32..=246 => numbers.push(usize::from(small).saturating_sub(139)),
            high @ 247..=250 => {
                numbers.push((usize::from(high) - 247) * 256 + usize::from(*dict.get(at)?) + 108);
                at += 1;
            }
            251..=254 => {
                numbers.push(0);
                at += 1;
            }
            _ => return None,
        }
    }
    None
}

/// The programs that are a DICT's own.
fn own<'a>(table: &'a [u8], dict: &[u8]) -> Option<Index<'a>> {
    const PRIVATE: u16 = 18;
    const SUBRS: u16 = 19;
    let [size, offset] = entry(dict, PRIVATE)?[..] else { return None };
    let private = table.get(offset..offset.checked_add(size)?)?;
    let subrs = *entry(private, SUBRS)?.first()?;
    Some(Index::read(table.get(offset.checked_add(subrs)?..)?)?.0)
}

/// Which of several DICTs each range of glyphs has.
fn select(table: &[u8], glyphs: usize) -> Option<Vec<(Range<usize>, usize)>> {
    match table.first()? {
        0 => Some(
            table.get(1..=glyphs)?.iter().enumerate().map(|(nth, dict)| (nth..nth + 1, usize::from(*dict))).collect(),
        ),
        3 => {
            let count = usize::from(two(table, 1)?);
            let range = |nth: usize| {
                let at = 3 + nth * 3;
                Some((usize::from(two(table, at)?)..usize::from(two(table, at + 3)?), usize::from(*table.get(at + 2)?)))
            };
            (0..count).map(range).collect()
        }
        _ => None,
    }
}

/// Counts the steps of every glyph's program with all that it calls. A table that can't be read is none: nothing is drawn by it.
pub(super) fn count(table: &[u8]) -> Result<u64, TooMany> {
    let mut tally = Tally::default();
    for (program, global, own) in read(table).unwrap_or_default() {
        tally.begin();
        let mut run = Run { global, own, numbers: Vec::with_capacity(MOST_NUMBERS), stems: 0, tally: &mut tally };
        run.program(program, 0)?;
    }
    Ok(tally.all)
}

/// The program of each glyph, the programs of the font, and those of the glyph's own DICT.
type Glyph<'a> = (&'a [u8], Index<'a>, Index<'a>);

fn read(table: &[u8]) -> Option<Vec<Glyph<'_>>> {
    const CHARSTRINGS: u16 = 17;
    const DICTS: u16 = 1236;
    const SELECT: u16 = 1237;
    let (_, rest) = Index::read(table.get(usize::from(*table.get(2)?)..)?)?;
    let (tops, rest) = Index::read(rest)?;
    let (_, rest) = Index::read(rest)?;
    let (global, _) = Index::read(rest)?;
    let top = tops.get(0)?;
    let (glyphs, _) = Index::read(table.get(*entry(top, CHARSTRINGS)?.first()?..)?)?;
    let mut owns = vec![own(table, top).unwrap_or_default(); glyphs.count];
    let at = |key| table.get(*entry(top, key)?.first()?..);
    if let (Some(dicts), Some(ranges)) = (at(DICTS), at(SELECT).and_then(|it| select(it, glyphs.count))) {
        let (dicts, _) = Index::read(dicts)?;
        let each: Vec<Index<'_>> =
            (0..dicts.count).map(|nth| dicts.get(nth).and_then(|dict| own(table, dict)).unwrap_or_default()).collect();
        for (range, dict) in ranges {
            let range = range.start.min(glyphs.count)..range.end.min(glyphs.count);
            let programs = each.get(dict).copied().unwrap_or_default();
            owns.get_mut(range)?.fill(programs);
        }
    }
    Some(owns.into_iter().enumerate().filter_map(|(nth, own)| Some((glyphs.get(nth)?, global, own))).collect())
}

/// How a program ends.
#[derive(Debug, PartialEq, Eq)]
enum End {
    Return,
    /// The glyph ends with it, or a reader gives up.
    Glyph,
}

struct Run<'a, 't> {
    global: Index<'a>,
    own: Index<'a>,
    numbers: Vec<i32>,
    stems: usize,
    tally: &'t mut Tally,
}

impl<'a> Run<'a, '_> {
    fn program(&mut self, program: &'a [u8], depth: u8) -> Result<End, TooMany> {
        let mut at = 0;
        while let Some(byte) = program.get(at) {
            self.tally.add(1)?;
            at += 1;
            let next = |nth: usize| i32::from(program.get(at + nth).copied().unwrap_or(0));
            let (value, taken) = match *byte {
                28 => (i32::from(i16::from_be_bytes([next(0) as u8, next(1) as u8])), 2),
                small @ 32..=246 => (i32::from(small) - 139, 0),
                high @ 247..=250 => ((i32::from(high) - 247) * 256 + next(0) + 108, 1),
                low @ 251..=254 => (-(i32::from(low) - 251) * 256 - next(0) - 108, 1),
                // Whole and broken part, two bytes each.
                255 => (i32::from(i16::from_be_bytes([next(0) as u8, next(1) as u8])), 4),
                operator => {
                    match self.operator(operator, &program[at..], depth)? {
                        Step::Skip(bytes) => at += bytes,
                        Step::End(end) => return Ok(end),
                    }
                    continue;
                }
            };
            at += taken;
            if self.numbers.len() >= MOST_NUMBERS {
                return Ok(End::Glyph);
            }
            self.numbers.push(value);
        }
        Ok(End::Return)
    }
    fn operator(&mut self, operator: u8, rest: &[u8], depth: u8) -> Result<Step, TooMany> {
        match operator {
            // Stems: two numbers each.
            1 | 3 | 18 | 23 => {
                self.stems += self.numbers.len() / 2;
                self.numbers.clear();
            }
            // Masks over them, which have a bit for each.
            19 | 20 => {
                self.stems += self.numbers.len() / 2;
                self.numbers.clear();
                return Ok(Step::Skip(self.stems.div_ceil(8)));
            }
            10 | 29 => {
                let programs = if operator == 10 { self.own } else { self.global };
                let called = self.numbers.pop().and_then(|by| programs.called(by));
                let Some(called) = called.filter(|_| depth < DEEPEST) else { return Ok(Step::End(End::Glyph)) };
                if self.program(called, depth + 1)? == End::Glyph {
                    return Ok(Step::End(End::Glyph));
                }
            }
            11 => return Ok(Step::End(End::Return)),
            // With four numbers it is put together of two other glyphs, in an old way that can't be printed from here.
            14 if self.numbers.len() >= 4 => return Err(TooMany),
            14 => return Ok(Step::End(End::Glyph)),
            12 if matches!(rest.first(), Some(34..=37)) => {
                self.numbers.clear();
                return Ok(Step::Skip(1));
            }
            4..=8 | 21 | 22 | 24..=27 | 30 | 31 => self.numbers.clear(),
            _ => return Ok(Step::End(End::Glyph)),
        }
        Ok(Step::Skip(0))
    }
}

/// What follows an operator.
enum Step {
    Skip(usize),
    End(End),
}
