//! Read, write, read gives the same tune.

use super::tune;
use crate::reader::abc::{write, write_music};
use crate::tune::{Interval, PitchClass, Step, Tune};

fn bare(mut tune: Tune) -> Tune {
    tune.place = None;
    for bar in &mut tune.bars {
        bar.place = None;
        bar.events.iter_mut().for_each(|event| event.place = None);
    }
    tune
}

#[test]
fn tunes_come_back_the_same() {
    let heads = "X:4\nT:A % & \\\\ b\nT:Other\nC:R. Quill\nO:Nowhere\nS:book\nZ:hand\n%%abc-copyright CC0\nB:Book\nN:note\nR:reel\n";
    for body in [
        "M:4/4\nL:1/8\nQ:\"Lively\" 1/4=120\nK:G\nA2|:\"G\"G>A B2 d2 (3BAG|ABcd efga|1 G4 z4:|2 G8|]",
        "M:6/8\nL:1/8\nK:Ador\n|:A|A3 ABc|{g}d2e fed|c/B/A/G/ A4-|A5:|\n|:[Ace]3 [A-c]A2|z6|x6|Z4|]",
        "M:none\nK:D =c _b\n^c =c c f (a (b) c') .(d e) ~g .T!>!a !fermata!z",
        "M:(2+3)/8\nL:1/16\nK:Bb exp ^f _b\nA2B2c2d2e2|[M:C|][K:Em][Q:1/2=60][P:B]E4F4G4A4|",
        "P:AAB\nM:2/4\nL:1/8\nK:C\n[P:A]SAB cd|OAB cd!fine!||[P:B]c4!D.S.!!fermata!|]",
        "M:3/4\nL:1/4\nK:F\nA B c|d3-|d2 z|]\nw:1.~One two- three * four\nw:2.~Five-six sev-en_\nW:Below\nW:\nW:it all",
        "M:4/4\nL:1/8\nK:C\nA5 B3|c7 d|(5:4:5ABcde (3:2:2a2b c2|[CE]5-[CE]3|{/c}d{gab}e {[ce]g}f (3{c}def g3|]",
        "M:2/4\nL:1/8\nK:C\n\"Am7/G\"A2 \"^up\"\"_down\"\"<l\"\">r\"B2|[CEG] [C2-E2-][CE]|a<b c>d|]",
    ] {
        let (first, said) = tune(&format!("{heads}{body}\n"));
        assert!(said.is_empty(), "{body}: {said:?}");
        let text = write(&first);
        let (second, said) = tune(&text);
        assert!(said.is_empty(), "{text}: {said:?}");
        assert_eq!(bare(first), bare(second), "{text}");
    }
}

#[test]
fn moved_tunes_read_back_at_their_new_pitch() {
    let text = "M:4/4\nL:1/8\nK:D\n\"D\"dfaf =c2^g2|[K:Bm]\"F#7/A#\"^a4{^e}f4|]\n";
    let (tune, _) = super::tune(text);
    for (steps, semitones) in [(-4, -7), (-1, -2), (2, 3), (3, 5), (7, 12)] {
        let mut moved = tune.clone();
        moved.transpose(Interval { steps, semitones });
        let (again, said) = super::tune(&write_music(&moved));
        assert!(said.is_empty(), "{said:?}");
        assert_eq!(bare(moved), bare(again.clone()));
        let midi = |tune: &Tune| -> Vec<i32> {
            tune.bars.iter().flat_map(|b| &b.events).flat_map(|e| e.notes()).map(|n| n.pitch.midi()).collect()
        };
        assert_eq!(midi(&again), midi(&tune).iter().map(|m| m + semitones).collect::<Vec<_>>());
    }
    let g = PitchClass::new(Step::G, 0);
    let mut moved = tune.clone();
    moved.transpose(Interval::nearest(PitchClass::new(Step::D, 0), g));
    assert_eq!(write_music(&moved), "M:4/4\nL:1/8\nK:G\n\"G\"gbd'b =f2^c'2 | [K:Em] \"B7/D#\"^d'4{^a}b4 |]\n");
}

#[test]
fn what_is_written_is_tidy() {
    let (tune, _) = tune("X:1\nT:x\nM:4/4\nL:1/8\nK:G\n|:\"G\"G3/2A/2 B2 ^cd (3:2:3efg|[G2B2]8:|\n");
    assert_eq!(write_music(&tune), "M:4/4\nL:1/8\nK:G\n|: \"G\"G>A B2 ^cd (3efg | [GB]16 :|\n");
}
