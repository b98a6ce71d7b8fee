//! Layers of a file (ISO 32000-1, 8.11): which are switched off, and whether they switch themselves.

use super::survey::{dictionary, text};
use lopdf::{Dictionary, Document, Object, ObjectId};
use std::collections::BTreeSet;

/// Most layers that are looked at, and most configurations of them.
const LAYERS: usize = 10_000;
const CONFIGURATIONS: usize = 1000;

/// What is known of the layers.
#[derive(Debug, Clone, Default)]
pub(super) struct Layers {
    /// How many there are.
    pub(super) count: usize,
    /// Those that are switched off at first, by name.
    pub(super) off: Vec<String>,
    /// Whether a configuration has an entry `AS` (table 101), by which layers switch themselves.
    pub(super) by_use: bool,
}

impl Layers {
    /// Those of a file.
    pub(super) fn of(file: &Document, catalog: &Dictionary) -> Self {
        let Some(layers) = catalog.get(b"OCProperties").ok().and_then(|found| dictionary(file, found)) else {
            return Self::default();
        };
        let usual = layers.get(b"D").ok().and_then(|found| dictionary(file, found));
        let others = list(file, layers, "Configs").iter().take(CONFIGURATIONS);
        let others = others.filter_map(|found| dictionary(file, found));
        let by_use = usual.into_iter().chain(others).any(|configuration| configuration.has(b"AS"));
        let all: Vec<ObjectId> = ids(file, layers, "OCGs").collect();
        let switched = |key: &str| usual.map_or_else(BTreeSet::new, |usual| ids(file, usual, key).collect());
        let (on, off): (BTreeSet<ObjectId>, BTreeSet<ObjectId>) = (switched("ON"), switched("OFF"));
        let base = usual.and_then(|usual| usual.get(b"BaseState").and_then(Object::as_name).ok());
        let is_off = |id: &&ObjectId| off.contains(id) || (base == Some(b"OFF") && !on.contains(id));
        let named = |id: &ObjectId| {
            let name = file.get_dictionary(*id).map(|layer| text(layer, "Name")).unwrap_or_default();
            name.chars().take(60).collect::<String>()
        };
        Self { count: all.len(), off: all.iter().filter(is_off).map(named).collect(), by_use }
    }
}

fn list<'a>(file: &'a Document, dictionary: &'a Dictionary, key: &str) -> &'a [Object] {
    match dictionary.get(key.as_bytes()).ok().map(|found| file.dereference(found)) {
        Some(Ok((_, Object::Array(list)))) => list,
        _ => &[],
    }
}

fn ids<'a>(file: &'a Document, dictionary: &'a Dictionary, key: &str) -> impl Iterator<Item = ObjectId> + 'a {
    list(file, dictionary, key).iter().take(LAYERS).filter_map(|layer| layer.as_reference().ok())
}
