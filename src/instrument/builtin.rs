//! The built-in boxes, as YAML text in the form an author writes a box in.
//!
//! Gives names and texts; must not read them, which is `book`'s work. Every text says in its `source:` key where its notes
//! are from and how sure they are; no figure for a full bellows is published, so all of them carry the same placeholder.

/// Built-in boxes by family, then size, as pairs of the name an author chooses them by and the YAML text of the box.
pub fn builtin() -> &'static [(&'static str, &'static str)] {
    &[
        ("dg-21-third", include_str!("boxes/dg-21-third.yaml")),
        ("dg-21-third-accidentals", include_str!("boxes/dg-21-third-accidentals.yaml")),
        ("dg-21-fourth", include_str!("boxes/dg-21-fourth.yaml")),
        ("dg-23-fourth", include_str!("boxes/dg-23-fourth.yaml")),
        ("gc-21-third", include_str!("boxes/gc-21-third.yaml")),
        ("gc-21-third-accidentals", include_str!("boxes/gc-21-third-accidentals.yaml")),
        ("gc-21-fourth", include_str!("boxes/gc-21-fourth.yaml")),
        ("gc-23-fourth", include_str!("boxes/gc-23-fourth.yaml")),
        ("ad-21-third", include_str!("boxes/ad-21-third.yaml")),
        ("ad-21-third-accidentals", include_str!("boxes/ad-21-third-accidentals.yaml")),
        ("ad-21-fourth", include_str!("boxes/ad-21-fourth.yaml")),
        ("ad-23-fourth", include_str!("boxes/ad-23-fourth.yaml")),
        ("cf-21-third", include_str!("boxes/cf-21-third.yaml")),
        ("cf-21-third-accidentals", include_str!("boxes/cf-21-third-accidentals.yaml")),
        ("cf-21-fourth", include_str!("boxes/cf-21-fourth.yaml")),
        ("cf-23-fourth", include_str!("boxes/cf-23-fourth.yaml")),
        ("d-10", include_str!("boxes/d-10.yaml")),
        ("c-10", include_str!("boxes/c-10.yaml")),
        ("bc-21", include_str!("boxes/bc-21.yaml")),
        ("csd-21", include_str!("boxes/csd-21.yaml")),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tune::Pitch;

    /// The buttons of each row of a text as MIDI key numbers, push and pull.
    fn rows(yaml: &str) -> Vec<Vec<(i32, i32)>> {
        let mut rows = Vec::new();
        for line in yaml.lines() {
            let line = line.trim();
            if line.starts_with("- at:") {
                rows.push(Vec::new());
            } else if let Some(pair) = line.strip_prefix("- [").and_then(|rest| rest.strip_suffix(']')) {
                let (push, pull) = pair.split_once(", ").expect("a button has two pitches");
                let midi = |text| Pitch::parse(text).expect("a pitch in scientific notation").midi();
                rows.last_mut().expect("buttons stand under a row").push((midi(push), midi(pull)));
            }
        }
        rows
    }

    fn text(id: &str) -> &'static str {
        builtin().iter().find(|(name, _)| *name == id).expect("a built-in box").1
    }

    /// The rule of a row (published in words for two-row boxes): the push repeats the tonic triad, the pull the second,
    /// fourth, sixth and seventh of the key; both count from the start button.
    fn rule(tonic: i32, start: i32, count: i32) -> Vec<(i32, i32)> {
        (1..=count)
            .map(|button| {
                let i = button - start;
                let push = tonic + 12 * i.div_euclid(3) + [0, 4, 7][i.rem_euclid(3) as usize];
                let pull = tonic + 12 * i.div_euclid(4) + [2, 5, 9, 11][i.rem_euclid(4) as usize];
                (push, pull)
            })
            .collect()
    }

    /// Rows follow the rule from the second button below the start upwards; only the pull of the lowest may be a fifth.
    #[test]
    fn every_family_follows_the_rule() {
        let tonics = [("dg", 62, 67), ("gc", 55, 60), ("ad", 57, 62), ("cf", 60, 65)];
        for (family, outer, inner) in tonics {
            for (size, start, counts) in [
                ("21-third", 3, [11, 10]),
                ("21-third-accidentals", 3, [11, 10]),
                ("21-fourth", 4, [11, 10]),
                ("23-fourth", 4, [12, 11]),
            ] {
                let got = rows(text(&format!("{family}-{size}")));
                for ((got, tonic), count) in got.iter().zip([outer, inner]).zip(counts) {
                    let want = rule(tonic, start, count);
                    assert_eq!(got.len(), want.len());
                    let whole = start as usize - 2;
                    assert_eq!(got[whole..], want[whole..], "{family}-{size}");
                    assert!(size == "21-third" || got[0] != want[0], "{family}-{size} has its accidentals at the chin");
                    if !size.ends_with("accidentals") {
                        let lowest = start as usize - 3;
                        assert_eq!(
                            got[lowest],
                            (want[lowest].0, want[lowest].1 - 2),
                            "{family}-{size} pulls the fifth"
                        );
                    }
                }
            }
        }
        assert_eq!(
            rows(text("bc-21")),
            [rule(59, 3, 11), rule(60, 3, 10)],
            "the published B/C chart follows it exactly"
        );
        assert_eq!(rows(text("csd-21")), [rule(61, 3, 11), rule(62, 3, 10)]);
    }

    /// The D/G chart as published (a note chart with MIDI numbers, an octave raised).
    #[test]
    fn the_low_note_dg_is_the_published_chart() {
        let outer = [
            (54, 57),
            (57, 61),
            (62, 64),
            (66, 67),
            (69, 71),
            (74, 73),
            (78, 76),
            (81, 79),
            (86, 83),
            (90, 85),
            (93, 88),
        ];
        let inner =
            [(59, 62), (62, 66), (67, 69), (71, 72), (74, 76), (79, 78), (83, 81), (86, 84), (91, 88), (95, 90)];
        assert_eq!(rows(text("dg-21-third")), [outer.to_vec(), inner.to_vec()]);
        assert_eq!(rows(text("d-10")), [outer[..10].to_vec()]);
        let tone_down: Vec<_> = outer[..10].iter().map(|(push, pull)| (push - 2, pull - 2)).collect();
        assert_eq!(rows(text("c-10")), [tone_down]);
    }

    #[test]
    fn the_third_button_of_a_third_button_start_pushes_the_tonic() {
        for (id, tonics) in [("dg-21-third", [62, 67]), ("gc-21-third", [55, 60]), ("cf-21-third", [60, 65])] {
            let got = rows(text(id));
            assert_eq!([got[0][2].0, got[1][2].0], tonics, "{id}");
        }
    }

    #[test]
    fn every_box_says_where_it_is_from() {
        assert_eq!(builtin().len(), 20);
        for (id, yaml) in builtin() {
            assert!(yaml.contains("\nsource: \""), "{id}");
            assert!(yaml.contains("placeholder, no published figure"), "{id}");
        }
    }
}
