//! Names of printing conditions: takes what an author wrote, says whether it is one that printers know.
//!
//! The names are reference names of the ICC's registry of characterization data (www.color.org), as far as they are known
//! **from memory**; the registry itself was not read, and it grows. So an unknown name is a warning, never an error.

use crate::diag::nearest;

/// Names without a number of their own at the end; those with one are in [`RANGES`].
const NAMES: [&str; 12] = [
    "CGATS TR 001",
    "CGATS TR 002",
    "CGATS TR 003",
    "CGATS TR 005",
    "CGATS TR 006",
    "CGATS TR 007",
    "IFRA26",
    "IFRA30",
    "JC200103",
    "JC200104",
    "JCN2002",
    "JCW2003",
];
/// Beginnings with the numbers that follow them.
const RANGES: [(&str, std::ops::RangeInclusive<u32>); 2] = [("FOGRA", 27..=60), ("CGATS21-2-CRPC", 1..=7)];

/// A hint where a name is not known; nothing where it is.
pub fn unknown(said: &str) -> Option<String> {
    let known: Vec<String> = NAMES
        .iter()
        .map(|name| (*name).to_owned())
        .chain(RANGES.into_iter().flat_map(|(start, numbers)| numbers.map(move |n| format!("{start}{n}"))))
        .collect();
    if known.iter().any(|name| name == said) {
        return None;
    }
    let upper = said.to_ascii_uppercase();
    // A profile's name often ends in the condition's, as in `something_FOGRA52`.
    let inside = known.iter().filter(|name| upper.contains(&name.to_ascii_uppercase())).max_by_key(|name| name.len());
    let near = inside.map(String::as_str).or_else(|| nearest(said, known.iter().map(String::as_str)));
    Some(match near {
        Some(near) => format!("did you mean `{near}`? the file would say that this name stands in the ICC's registry"),
        None => "ask the print shop; FOGRA52 is uncoated paper, FOGRA51 coated. The file would say that this name stands in the \
                 ICC's registry"
            .to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_profiles_and_slips_lead_to_the_condition() {
        for known in ["FOGRA39", "FOGRA52", "CGATS TR 006", "CGATS21-2-CRPC3", "JC200103"] {
            assert_eq!(unknown(known), None);
        }
        for (said, near) in [("PSOuncoated_v3_FOGRA52", "`FOGRA52`"), ("fogra39", "`FOGRA39`"), ("FOGRA5O", "FOGRA5")] {
            assert!(unknown(said).is_some_and(|hint| hint.contains(near)), "{said}: {:?}", unknown(said));
        }
        assert!(unknown("my own printer").is_some_and(|hint| hint.starts_with("ask the print shop")));
        assert!(unknown("FOGRA99").is_some());
    }
}
