//! The breaker against the published paragraph and against exhaustive search.

use super::*;
use proptest::prelude::*;

/// Widths in eighteenths of an em: Knuth and Plass 1981, the paragraph's table of character widths (from memory; the ratios
/// that the paper prints are met at both widths).
fn character(c: char) -> f64 {
    f64::from(match c {
        'a' | 'g' | 'o' | 'v' | 'x' | 'y' => match c {
            'v' => 9,
            'x' | 'y' => 10,
            _ => 9,
        },
        'b' | 'd' | 'h' | 'k' | 'n' | 'p' | 'q' | 'u' => 10,
        'c' | 'e' | 'z' => 8,
        'f' | 'j' | '-' | 'I' => 6,
        'i' | 'l' | '\'' | ',' | ';' | '.' => 5,
        'm' => 15,
        'r' | 's' | 't' => 7,
        'w' | 'C' => 13,
        _ => panic!("no width for {c}"),
    })
}

const TALE: &str = "In olden times when wishing still helped one, there lived a king whose daugh_ters were all \
beau_ti_ful; and the young_est was so beau_ti_ful that the sun it_self, which has seen so much, was aston_ished when_ever it \
shone in her face. Close by the king's castle lay a great dark for_est, and un_der an old lime-tree in the for_est was a \
well, and when the day was very warm, the king's child went out into the for_est and sat down by the side of the cool \
foun_tain; and when she was bored she took a golden ball, and threw it up on high and caught it; and this ball was her \
favorite play_thing.";

fn tale() -> Vec<Item> {
    let text = TALE;
    let mut items = vec![Item::Box(18.0)];
    for word in text.split_whitespace() {
        if items.len() > 1 {
            let before = glue_before(text, word);
            items.push(before);
        }
        let mut width = 0.0;
        for c in word.chars() {
            match c {
                '_' => {
                    items.push(Item::Box(width));
                    items.push(Item::Penalty { width: 6.0, cost: 50.0, flagged: true });
                    width = 0.0;
                }
                '-' => {
                    items.push(Item::Box(width + 6.0));
                    items.push(Item::Penalty { width: 0.0, cost: 50.0, flagged: true });
                    width = 0.0;
                }
                c => width += character(c),
            }
        }
        items.push(Item::Box(width));
    }
    items.push(Item::Glue { width: 0.0, stretch: 100_000.0, shrink: 0.0 });
    items.push(Item::Penalty { width: 0.0, cost: ALWAYS, flagged: true });
    items
}

/// The glue before a word follows from the last character of the word before it.
fn glue_before(text: &str, word: &str) -> Item {
    let start = word.as_ptr() as usize - text.as_ptr() as usize;
    let (width, stretch, shrink) = match text[..start].trim_end().chars().last() {
        Some(',') => (6.0, 4.0, 2.0),
        Some(';') => (6.0, 4.0, 1.0),
        Some('.') => (8.0, 6.0, 1.0),
        _ => (6.0, 3.0, 2.0),
    };
    Item::Glue { width, stretch, shrink }
}

fn demand(tolerance: f64, extra: f64) -> Demand {
    Demand { tolerance, flagged: extra, fitness: extra, skip: 0.0, overfull: false }
}

fn check(width: f64, demand: &Demand, ratios: &[f64], total: f64) {
    let found = optimum(&tale(), &[width], demand).expect("the published paragraph breaks");
    let rounded: Vec<_> = found.breaks.iter().map(|b| (b.ratio * 1000.0).round() / 1000.0).collect();
    assert_eq!(rounded, ratios, "ratios at {width}");
    assert!((found.demerits - total).abs() < 0.06, "demerits at {width}: {}", found.demerits);
}

/// Knuth and Plass 1981: the ratios printed beside the paragraph set by the optimum method at both widths; the totals were
/// worked out by an exhaustive program in another language.
#[test]
fn the_published_paragraph_at_both_published_widths() {
    let narrow = [0.857, 0.0, 0.28, 1.0, 0.067, -0.278, 0.536, -0.167, 0.7, -0.176, 0.357, 0.0];
    for tolerance in [1.0, 1.5, 2.0, 3.0] {
        check(390.0, &demand(tolerance, 3000.0), &narrow, 31066.41);
    }
    let wide = [0.774, 0.179, 0.629, 0.545, 0.0, 0.079, 0.282, 0.294, 0.575, 0.004];
    check(500.0, &demand(2.0, 3000.0), &wide, 3640.42);
}

/// Without extra demerits the optimum is another one: this tests that the fitness rule is at work.
#[test]
fn without_the_fitness_rule_another_way_is_best() {
    let free = [0.857, 0.0, 0.28, -0.5, -0.235, 0.607, 0.5, 1.12, 0.7, -0.176, 0.357, 0.0];
    check(390.0, &demand(2.0, 0.0), &free, 28920.9);
}

/// Totals at other widths, from the same outside program.
#[test]
fn totals_at_other_widths() {
    for (width, lines, total) in [
        (300.0, 16, 473_381.6),
        (350.0, 14, 38_665.9),
        (420.0, 11, 13_435.8),
        (450.0, 11, 12_101.7),
        (600.0, 8, 4_269.8),
    ] {
        let found = optimum(&tale(), &[width], &demand(4.0, 3000.0)).expect("it breaks at every width");
        assert_eq!(found.breaks.len(), lines, "lines at {width}");
        assert!((found.demerits - total).abs() < 0.06, "demerits at {width}: {}", found.demerits);
    }
}

#[test]
fn nothing_is_found_where_nothing_fits_and_overfull_lets_it_through() {
    let items = [
        Item::Box(10.0),
        Item::Glue { width: 1.0, stretch: 1.0, shrink: 0.0 },
        Item::Box(50.0),
        Item::Penalty { width: 0.0, cost: NEVER, flagged: false },
        Item::Glue { width: 0.0, stretch: 1e5, shrink: 0.0 },
        Item::Penalty { width: 0.0, cost: ALWAYS, flagged: false },
    ];
    assert_eq!(optimum(&items, &[20.0], &demand(5.0, 0.0)), None);
    let last = Demand { tolerance: f64::INFINITY, overfull: true, ..demand(5.0, 0.0) };
    let found = optimum(&items, &[20.0], &last).expect("a line is let through");
    assert_eq!(found.breaks.iter().map(|b| b.item).collect::<Vec<_>>(), [1, 5]);
}

/// Every set of breaks, tried one by one: returns the least demerits.
fn exhaustive(items: &[Item], widths: &[f64], demand: &Demand) -> Option<f64> {
    fn go(
        items: &[Item],
        widths: &[f64],
        demand: &Demand,
        from: usize,
        line: usize,
        class: usize,
        flagged: bool,
    ) -> Option<f64> {
        // Glue and penalties at the start of a line vanish.
        let first = (from..items.len()).find(|i| {
            matches!(items[*i], Item::Box(_)) || matches!(items[*i], Item::Penalty { cost, .. } if cost == ALWAYS)
        })?;
        let width = widths[line.min(widths.len() - 1)];
        let mut best: Option<f64> = None;
        for end in first..items.len() {
            let (extra, cost, flag) = match items[end] {
                Item::Glue { .. } if end > 0 && matches!(items[end - 1], Item::Box(_)) => (0.0, 0.0, false),
                Item::Penalty { width, cost, flagged } if cost != NEVER => (width, cost, flagged),
                _ => continue,
            };
            let mut sums = Sums::default();
            items[first..end].iter().for_each(|item| sums.add(item));
            let room = width - sums.width - extra;
            let ratio = if room.abs() < 1e-9 {
                0.0
            } else if room > 0.0 {
                let stretch = sums.stretch + demand.skip;
                if stretch > 0.0 { room / stretch } else { f64::INFINITY }
            } else if sums.shrink > 0.0 {
                room / sums.shrink
            } else {
                f64::NEG_INFINITY
            };
            if (-1.0..=demand.tolerance).contains(&ratio) {
                let here = fitness_class(ratio);
                let mut demerits = line_demerits(ratio, cost);
                if flag && flagged {
                    demerits += demand.flagged;
                }
                if here.abs_diff(class) > 1 {
                    demerits += demand.fitness;
                }
                let rest = if end == items.len() - 1 {
                    Some(0.0)
                } else {
                    go(items, widths, demand, end, line + 1, here, flag)
                };
                if let Some(rest) = rest {
                    best = Some(best.map_or(demerits + rest, |best: f64| best.min(demerits + rest)));
                }
            }
            if cost == ALWAYS {
                break;
            }
        }
        best
    }
    go(items, widths, demand, 0, 0, 1, false)
}

fn paragraphs() -> impl Strategy<Value = Vec<Item>> {
    let piece = (4u32..40, 0u32..5, any::<bool>());
    proptest::collection::vec(piece, 2..13).prop_map(|pieces| {
        let mut items = Vec::new();
        for (width, kind, wide) in pieces {
            items.push(Item::Box(f64::from(width)));
            items.push(match kind {
                0 => Item::Penalty { width: 3.0, cost: 50.0, flagged: true },
                1 => Item::Penalty { width: 0.0, cost: -20.0, flagged: false },
                _ if wide => Item::Glue { width: 8.0, stretch: 6.0, shrink: 1.0 },
                _ => Item::Glue { width: 6.0, stretch: 3.0, shrink: 2.0 },
            });
        }
        items.push(Item::Box(5.0));
        items.push(Item::Glue { width: 0.0, stretch: 1e5, shrink: 0.0 });
        items.push(Item::Penalty { width: 0.0, cost: ALWAYS, flagged: false });
        items
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn no_set_of_breaks_is_better(
        items in paragraphs(),
        width in 50u32..120,
        second in 50u32..120,
        skip in prop_oneof![Just(0.0), Just(30.0)],
    ) {
        let demand = Demand { tolerance: 4.0, flagged: 3000.0, fitness: 3000.0, skip, overfull: false };
        for widths in [vec![f64::from(width)], vec![f64::from(width), f64::from(second)]] {
            let best = exhaustive(&items, &widths, &demand);
            let found = optimum(&items, &widths, &demand).map(|found| found.demerits);
            match (best, found) {
                (Some(best), Some(found)) => prop_assert!((best - found).abs() <= 1e-6 * best.abs().max(1.0), "{best} {found}"),
                (best, found) => prop_assert_eq!(best, found),
            }
        }
    }
}
