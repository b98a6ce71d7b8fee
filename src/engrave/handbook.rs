//! Values of the printed line against published tables: what is checked is the ink itself, wherever it was decided.
//!
//! Sources: W3C, *SMuFL 1.4* (registration of glyphs, "Metrics and glyph registration"; anchors, glyphsWithAnchors) and the carried
//! font's published metadata (engravingDefaults); *Open Music Theory* (key signatures in the treble staff); R. Thomas,
//! *Micrologus*, "Stems" and "Beams part 1" (stem's way and length, half a space of beam); the rest from memory of E. Gould,
//! *Behind Bars*, said beside each.

use super::canvas::{Ink, Kind};
use super::testing::{notes, plain_style, tune_of};
use super::*;
use crate::font::Anchor;
use crate::geom::Abs;
use crate::style::{HeadShape, RowShapes, Signs};
use crate::tune::{KeySignature, Meter, Pitch, Step, Tune};

/// Staff spaces that ink may be off a table's value.
const NEAR: f64 = 0.011;

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < NEAR
}

/// All ink of a tune's only line, at normal print.
fn inks(tune: &Tune) -> Vec<Ink> {
    let fonts = Fonts::embedded();
    let style = EngravingStyle {
        signs: Signs { rows: RowShapes { outer: HeadShape::Oval, ..Signs::default().rows }, ..Signs::default() },
        ..plain_style()
    };
    let letters = Lettering::new(&fonts, &style);
    let score = Score { id: "table", tune, plan: None, instrument: None, counts: &[] };
    let job = Job { score: &score, style: &style, letters: &letters };
    let work = prepare(job, Abs::mm(400.0), &mut Sink::default()).expect("the tune has bars");
    let lines = castoff::lines(&work.pieces, &work.costs);
    assert_eq!(lines.len(), 1, "the table's tune is one line");
    let (_, canvas) = system::canvas(&work, lines[0].clone(), None);
    canvas.inks().to_vec()
}

fn of(inks: &[Ink], kind: Kind) -> Vec<&Ink> {
    inks.iter().filter(|ink| ink.label.kind == kind).collect()
}

/// *Micrologus*, "Stems"; *Open Music Theory*: up below the middle line, else down; an octave long, or to the middle line; the stem's
/// edge at the head's anchor (SMuFL), 0.12 thick (engravingDefaults).
#[test]
fn every_stem_has_its_way_its_length_and_its_side() {
    let fonts = Fonts::embedded();
    let head = fonts.music().glyph("noteheadBlack");
    let anchor = |anchor| head.anchor(anchor).expect("the head has anchors");
    let (up_side, down_side) = (anchor(Anchor::StemUpSE), anchor(Anchor::StemDownNW));
    for step in -8..=16 {
        let pitch = Pitch { step: Step::E, alter: 0, octave: 4 };
        let letter = pitch.staff_step() + step;
        let name = ["C", "D", "E", "F", "G", "A", "B"][usize::try_from(letter.rem_euclid(7)).expect("a letter")];
        let text = format!("{name}{}/2", letter.div_euclid(7));
        let inks = inks(&tune_of(Meter::simple(1, 4), &[notes(&text)]));
        let (head, stem) = (of(&inks, Kind::Head)[0].area, of(&inks, Kind::Stem)[0].area);
        let y = f64::from(step) / 2.0;
        assert!(near((head.top + head.bottom) / 2.0, y), "{text} stands at {y}");
        assert!(near(stem.right - stem.left, 0.12), "{text}");
        if y < 2.0 {
            assert!(near(stem.top, (y + 3.5).max(2.0)), "{text}: its stem ends at {}", stem.top);
            assert!(near(stem.right, head.left + up_side.x.raw()) && near(stem.bottom, y + up_side.y.raw()), "{text}");
        } else {
            assert!(near(stem.bottom, (y - 3.5).min(2.0)), "{text}: its stem ends at {}", stem.bottom);
            assert!(near(stem.left, head.left + down_side.x.raw()) && near(stem.top, y + down_side.y.raw()), "{text}");
        }
        // Ledger lines: one for each line between staff and head, 0.4 over the head on both sides, 0.16 thick (engravingDefaults).
        let ledgers = of(&inks, Kind::Ledger);
        let wanted = if y < 0.0 { (-y).floor() } else { (y - 4.0).floor().max(0.0) };
        assert!(near(ledgers.len() as f64, wanted), "{text} has {} ledger lines", ledgers.len());
        for ledger in ledgers {
            let area = ledger.area;
            assert!(near(area.left, head.left - 0.4) && near(area.right, head.right + 0.4), "{text}: {area:?}");
            assert!(near(area.top - area.bottom, 0.16), "{text}");
        }
    }
}

/// Gould, from memory: 3.5 for one flag and two, 0.75 more for each further; SMuFL: the stem ends at the flag's anchor.
#[test]
fn flags_hang_at_the_ends_of_their_stems() {
    let fonts = Fonts::embedded();
    for (flags, length) in [(1, 3.5), (2, 3.5), (3, 4.25), (4, 5.0), (5, 5.75)] {
        for (pitch, y, way) in [("F4", 0.5, StemWay::Up), ("E5", 3.5, StemWay::Down)] {
            let inks = inks(&tune_of(Meter::Free, &[notes(&format!("{pitch}/{} z/2", flags + 2))]));
            let (stem, flag) = (of(&inks, Kind::Stem)[0].area, of(&inks, Kind::Flag)[0].area);
            let glyph = fonts.music().glyph(stem::flag_name(way, flags));
            let ink = canvas::ink_of(glyph);
            let end = if way == StemWay::Up { stem.top } else { stem.bottom };
            assert!(near((end - y).abs(), length), "{flags} flags: {end} from {y}");
            let at = glyph.anchor(if way == StemWay::Up { Anchor::StemUpNW } else { Anchor::StemDownSW });
            let at = at.expect("flags have anchors");
            assert!(near(flag.bottom - ink.bottom, end - at.y.raw()), "{flags} flags {way:?}");
            assert!(near(flag.left - ink.left, stem.left - at.x.raw()), "{flags} flags {way:?}");
        }
    }
}

/// engravingDefaults: beams 0.5 thick, 0.25 of white between them; *Micrologus*, "Beams part 1": half a space wide.
#[test]
fn beams_are_half_a_space_and_stand_a_quarter_apart() {
    for (halvings, beams) in [(3, 1), (4, 2), (5, 3)] {
        let text = [format!("G4/{halvings}"), format!("G4/{halvings}")].join(" ");
        let mut tune = tune_of(Meter::simple(1, 4), &[notes(&text)]);
        tune.bars[0].events[1].beamed_to_previous = true;
        let inks = inks(&tune);
        let mut drawn: Vec<_> = of(&inks, Kind::Beam).iter().map(|ink| ink.area).collect();
        drawn.sort_by(|a, b| b.top.total_cmp(&a.top));
        assert_eq!(drawn.len(), beams);
        assert!(drawn.iter().all(|beam| near(beam.top - beam.bottom, 0.5)), "{drawn:?}");
        assert!(drawn.windows(2).all(|pair| near(pair[0].bottom - pair[1].top, 0.25)), "{drawn:?}");
        let stems = of(&inks, Kind::Stem);
        let (first, last) = (stems[0].area, stems[1].area);
        assert!(near(drawn[0].left, first.left) && near(drawn[0].right, last.right), "flush with the outer stems");
    }
}

/// *Open Music Theory*, key signatures in the treble staff; SMuFL: accidentals are centred on their position, so the glyph's own
/// box says where it stands.
#[test]
fn signatures_stand_where_the_tables_say() {
    let fonts = Fonts::embedded();
    let sharps = ("accidentalSharp", 7, [4.0, 2.5, 4.5, 3.0, 1.5, 3.5, 2.0]);
    let flats = ("accidentalFlat", -7, [2.0, 3.5, 1.5, 3.0, 1.0, 2.5, 0.5]);
    for (name, fifths, places) in [sharps, flats] {
        let mut tune = tune_of(Meter::simple(3, 4), &[notes("C5/1.")]);
        tune.key = KeySignature { tonic: None, fifths, changed: Vec::new(), explicit: false };
        let inks = inks(&tune);
        let ink = canvas::ink_of(fonts.music().glyph(name));
        let found: Vec<f64> = of(&inks, Kind::Key).iter().map(|sign| sign.area.bottom - ink.bottom).collect();
        assert!(found.len() == 7 && found.iter().zip(places).all(|(a, b)| near(*a, b)), "{name}: {found:?}");
        // SMuFL, "Clefs": the G clef's baseline is the second line; "Time signatures": figures fill two spaces each.
        let clef = of(&inks, Kind::Clef)[0].area;
        assert!(near(clef.bottom - canvas::ink_of(fonts.music().glyph("gClef")).bottom, 1.0));
        let mut metre: Vec<f64> =
            of(&inks, Kind::Meter).iter().map(|ink| (ink.area.top + ink.area.bottom) / 2.0).collect();
        metre.sort_by(f64::total_cmp);
        assert!(metre.len() == 2 && (metre[0] - 1.0).abs() < 0.05 && (metre[1] - 3.0).abs() < 0.05, "{metre:?}");
    }
}

/// engravingDefaults: thin 0.16, thick 0.5, 0.4 between them; staff lines 0.13. SMuFL: barlines stand on the bottom line.
#[test]
fn lines_are_as_thick_as_the_font_says() {
    let inks = inks(&tune_of(Meter::simple(2, 4), &[notes("G4/1"), notes("G4/1")]));
    let staff = of(&inks, Kind::Staff);
    assert!(staff.len() == 5 && staff.iter().all(|line| near(line.area.top - line.area.bottom, 0.13)));
    let mut bars: Vec<_> = of(&inks, Kind::Barline).iter().map(|ink| ink.area).collect();
    bars.sort_by(|a, b| a.left.total_cmp(&b.left));
    let widths: Vec<f64> = bars.iter().map(|bar| bar.right - bar.left).collect();
    assert!(widths.len() == 3 && near(widths[0], 0.16) && near(widths[1], 0.16) && near(widths[2], 0.5), "{widths:?}");
    assert!(near(bars[2].left - bars[1].right, 0.4), "{bars:?}");
    assert!(bars.iter().all(|bar| (bar.bottom + 0.065).abs() < NEAR && (bar.top - 4.065).abs() < NEAR));
}

/// SMuFL, "Rests": the whole rest hangs from the fourth line, the half rest sits on the third, all others are centred on it;
/// dots in the third space for rests (common practice), 0.5 from the head and in its space (Gould, from memory).
#[test]
fn rests_and_dots_have_their_lines() {
    let fonts = Fonts::embedded();
    let names = ["restWhole", "restHalf", "restQuarter", "rest8th", "rest16th", "rest32nd"];
    let inks = inks(&tune_of(Meter::Free, &[notes("z/0 z/1 z/2 z/3 z/4 z/5 z/2. A4/2. G4/2.")]));
    let rests = of(&inks, Kind::Rest);
    for (rest, name) in rests.iter().zip(names) {
        let line = if name == "restWhole" { 3.0 } else { 2.0 };
        assert!(near(rest.area.bottom - canvas::ink_of(fonts.music().glyph(name)).bottom, line), "{name}");
    }
    let dots: Vec<_> = of(&inks, Kind::Dot).iter().map(|ink| ink.area).collect();
    let middles: Vec<f64> = dots.iter().map(|dot| (dot.top + dot.bottom) / 2.0).collect();
    assert!(middles.iter().zip([2.5, 1.5, 1.5]).all(|(a, b)| near(*a, b)) && middles.len() == 3, "{middles:?}");
    let heads = of(&inks, Kind::Head);
    assert!(near(dots[1].left - heads[0].area.right, 0.5), "{dots:?}");
}
