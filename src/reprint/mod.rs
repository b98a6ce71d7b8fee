//! What changed since a book was printed: pages, bars in words, the sheets to print again, and whether that is worth it.
//!
//! Takes a new document's record and the record inside the printed file; gives [`Changes`]. Knows no ink: digests decide
//! whether a page changed, facts say what changed. Never confuses books, editions, options or versions of digests.
//!
//! Sources: replacement pages and the rule that 60 per cent of changed pages make a new issue are from military manual
//! practice (MIL-STD-38784A and training texts on it); the leaf as the unit of loose bindings and the sheet as that of
//! stapled ones follow from how they are bound.

mod words;

pub use words::lines;

use crate::page::{BarRecord, Document, Manifest};
use crate::sheet::Sheet;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// Why two records cannot be compared.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// The printed file is another book.
    OtherBook {
        /// The printed book's id.
        printed: String,
        /// The new book's id.
        new: String,
    },
    /// The printed file is another edition of the book.
    OtherEdition {
        /// The printed edition; empty for the book itself.
        printed: String,
        /// The new edition.
        new: String,
    },
    /// The printed file was bound with other options.
    OtherOption {
        /// The option.
        key: String,
        /// Its value in print; empty for none.
        printed: String,
        /// Its value now.
        new: String,
    },
    /// The digests are of different versions.
    OtherDigest {
        /// The printed version.
        printed: u32,
        /// The new version.
        new: u32,
    },
    /// A record has no digests.
    NoDigests,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = |edition: &str| {
            if edition.is_empty() { "the book itself".to_owned() } else { format!("edition `{edition}`") }
        };
        match self {
            Self::OtherBook { printed, new } => write!(f, "the printed file is the book `{printed}`, not `{new}`"),
            Self::OtherEdition { printed, new } => {
                write!(f, "the printed file is {}, not {}", name(printed), name(new))
            }
            Self::OtherOption { key, printed, new } => {
                write!(f, "the printed file was bound with {key} `{printed}`, this one with `{new}`")
            }
            Self::OtherDigest { printed, new } => {
                write!(
                    f,
                    "the printed file's digests are of version {printed}, these of {new}: they cannot be compared"
                )
            }
            Self::NoDigests => f.write_str("a record without digests cannot be compared"),
        }
    }
}

impl std::error::Error for Refusal {}

/// What became of a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PageFate {
    /// Its ink is another.
    Changed,
    /// It is new.
    Added,
    /// It is gone.
    Removed,
}

/// A page that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PageChange {
    /// Its label.
    pub label: String,
    /// Its index in the new document; `None` for one that is gone.
    pub index: Option<usize>,
    /// What became of it.
    pub fate: PageFate,
}

/// A bar that differs in what is played, not merely in where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BarChange {
    /// The page it stands on, now or formerly.
    pub page: String,
    /// The tune's id.
    pub tune: String,
    /// The tune's title.
    pub title: String,
    /// The bar's label.
    pub bar: String,
    /// What changed, one sentence each.
    pub words: Vec<String>,
}

/// A tune that begins on another page than before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Move {
    /// Its title.
    pub title: String,
    /// The page it began on.
    pub from: String,
    /// The page it begins on now.
    pub to: String,
}

/// Whether sheets or the whole book should be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Advice {
    /// Nothing changed.
    Nothing,
    /// Print the sheets that differ.
    Sheets,
    /// Print the book anew, and why.
    Reissue(String),
}

/// What changed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Changes {
    /// The pages that differ, in the new order, those that are gone last.
    pub pages: Vec<PageChange>,
    /// The bars that differ, in the new order, those that are gone last.
    pub bars: Vec<BarChange>,
    /// The tunes in both records that begin on another page now, in the new order.
    pub moved: Vec<Move>,
    /// Bars whose ink differs while what is played is the same: they were set anew.
    pub respaced: usize,
    /// Pages of the new document.
    pub of_pages: usize,
    /// Whether the number of pages differs, so that sheets that hold pages of both ends hold others now.
    pub recounted: bool,
}

/// From this share of changed pages on, a new issue is cheaper and safer than replacing pages.
const REISSUE: f64 = 0.6;

/// Compares the record of a new document with that of a printed file.
///
/// # Errors
/// See [`Refusal`].
pub fn compare(new: &Manifest, printed: &Manifest) -> Result<Changes, Refusal> {
    refuse(new, printed)?;
    let mut changes = pages(new, printed);
    let (bars, respaced) = bars(new, printed);
    changes.bars = bars;
    changes.respaced = respaced;
    changes.moved = moved(new, printed);
    Ok(changes)
}

/// The page that each tune begins on.
fn first_pages(manifest: &Manifest) -> BTreeMap<&str, &str> {
    let mut first = BTreeMap::new();
    for bar in &manifest.bars {
        first.entry(&*bar.tune).or_insert(bar.page.as_str());
    }
    first
}

fn moved(new: &Manifest, printed: &Manifest) -> Vec<Move> {
    let (old, now) = (first_pages(printed), first_pages(new));
    let mut seen = BTreeSet::new();
    let tunes = new.bars.iter().filter(|bar| seen.insert(&*bar.tune));
    tunes
        .filter_map(|bar| {
            let (from, to) = (*old.get(&*bar.tune)?, *now.get(&*bar.tune)?);
            (from != to).then(|| Move { title: bar.title.to_string(), from: from.to_owned(), to: to.to_owned() })
        })
        .collect()
}

fn refuse(new: &Manifest, printed: &Manifest) -> Result<(), Refusal> {
    let (a, b) = (&printed.identity, &new.identity);
    if a.book != b.book {
        return Err(Refusal::OtherBook { printed: a.book.clone(), new: b.book.clone() });
    }
    if a.edition != b.edition {
        return Err(Refusal::OtherEdition { printed: a.edition.clone(), new: b.edition.clone() });
    }
    if printed.digest_version != new.digest_version {
        return Err(Refusal::OtherDigest { printed: printed.digest_version, new: new.digest_version });
    }
    let unfilled = |manifest: &Manifest| manifest.pages.iter().any(|page| page.digest.is_empty());
    if unfilled(new) || unfilled(printed) {
        return Err(Refusal::NoDigests);
    }
    let options = |manifest: &Manifest| -> BTreeMap<String, String> { manifest.options.iter().cloned().collect() };
    let (old, now) = (options(printed), options(new));
    for key in old.keys().chain(now.keys()) {
        let value = |map: &BTreeMap<String, String>| map.get(key).cloned().unwrap_or_default();
        if old.get(key) != now.get(key) {
            return Err(Refusal::OtherOption { key: key.clone(), printed: value(&old), new: value(&now) });
        }
    }
    Ok(())
}

/// Pages are matched by label: that is where a reader looks, and where a replaced leaf goes.
fn pages(new: &Manifest, printed: &Manifest) -> Changes {
    let mut old: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for page in printed.pages.iter().rev() {
        old.entry(&page.label).or_default().push(&page.digest);
    }
    let mut found = Vec::new();
    for (index, page) in new.pages.iter().enumerate() {
        // Pages that share a label, such as unnumbered ones, are matched in their order.
        let fate = match old.get_mut(page.label.as_str()).and_then(Vec::pop) {
            None => Some(PageFate::Added),
            Some(digest) if digest != page.digest => Some(PageFate::Changed),
            Some(_) => None,
        };
        found.extend(fate.map(|fate| PageChange { label: page.label.clone(), index: Some(index), fate }));
    }
    for page in &printed.pages {
        if old.get_mut(page.label.as_str()).and_then(Vec::pop).is_some() {
            found.push(PageChange { label: page.label.clone(), index: None, fate: PageFate::Removed });
        }
    }
    Changes {
        pages: found,
        of_pages: new.pages.len(),
        recounted: new.pages.len() != printed.pages.len(),
        ..Changes::default()
    }
}

fn bars(new: &Manifest, printed: &Manifest) -> (Vec<BarChange>, usize) {
    let key = |bar: &BarRecord| (bar.tune.clone(), bar.bar.clone());
    let old: BTreeMap<_, &BarRecord> = printed.bars.iter().map(|bar| (key(bar), bar)).collect();
    let mut seen = BTreeSet::new();
    let mut changes = Vec::new();
    let mut respaced = 0;
    for bar in &new.bars {
        let key = key(bar);
        let words = match old.get(&key) {
            None => vec!["the bar is new".to_owned()],
            Some(before) => {
                let words = words::facts(&before.facts, &bar.facts);
                respaced += usize::from(words.is_empty() && before.digest != bar.digest);
                words
            }
        };
        seen.insert(key);
        if !words.is_empty() {
            changes.push(change(bar, words));
        }
    }
    for bar in &printed.bars {
        if !seen.contains(&key(bar)) {
            changes.push(change(bar, vec!["the bar is gone".to_owned()]));
        }
    }
    (changes, respaced)
}

fn change(bar: &BarRecord, words: Vec<String>) -> BarChange {
    let (tune, title) = (bar.tune.to_string(), bar.title.to_string());
    BarChange { page: bar.page.clone(), tune, title, bar: bar.bar.clone(), words }
}

impl Changes {
    /// Whether nothing at all differs.
    pub fn is_empty(&self) -> bool {
        self.pages.is_empty()
    }
    /// Whether sheets or the whole book should be printed; `glued` for a binding whose leaves cannot be replaced.
    pub fn advice(&self, glued: bool) -> Advice {
        let changed = self.pages.iter().filter(|page| page.index.is_some()).count();
        if self.pages.is_empty() {
            return Advice::Nothing;
        }
        if glued {
            return Advice::Reissue(
                "a glued book cannot take new leaves: print it anew, or write the changes into the copies".to_owned(),
            );
        }
        #[expect(clippy::cast_precision_loss, reason = "numbers of pages")]
        let share = changed as f64 / self.of_pages.max(1) as f64;
        if share >= REISSUE {
            return Advice::Reissue(format!(
                "{changed} of {} pages changed; from 60 per cent on, a new issue is cheaper and safer than replacing pages",
                self.of_pages
            ));
        }
        Advice::Sheets
    }
    /// The sides to print again, both sides of each sheet of paper that holds a changed page. `nested` for bindings whose
    /// sheets hold pages of both ends: there, another number of pages changes every sheet.
    pub fn sheets<'a>(&self, sheets: &'a [Sheet], nested: bool) -> Vec<&'a Sheet> {
        if nested && self.recounted {
            return sheets.iter().collect();
        }
        let changed: BTreeSet<usize> = self.pages.iter().filter_map(|page| page.index).collect();
        let papers: BTreeSet<usize> = sheets
            .iter()
            .filter(|sheet| sheet.pages.iter().any(|placement| changed.contains(&placement.page)))
            .map(|sheet| sheet.paper)
            .collect();
        sheets.iter().filter(|sheet| papers.contains(&sheet.paper)).collect()
    }
    /// How many pages differ and which, in one line for the terminal.
    pub fn brief(&self, document: &Document) -> String {
        words::brief(self, document)
    }
    /// The first change and how many more there are, in one line for the terminal; `None` where no page differs.
    pub fn first(&self) -> Option<String> {
        words::first(self)
    }
}

#[cfg(test)]
mod tests;
