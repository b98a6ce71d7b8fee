//! Lays one marked tree over another, key by key: maps are merged, everything else is replaced. Places are kept.

use super::node::{Entry, Node, Value};

/// `over` laid over `base`: keys of maps in both are merged, all other values come from `over`.
pub fn overlay(base: &Node, over: &Node) -> Node {
    let (Value::Map(below), Value::Map(above)) = (&base.value, &over.value) else {
        return over.clone();
    };
    let mut entries: Vec<Entry> = below
        .iter()
        .map(|entry| match over.entry(&entry.key) {
            Some(new) => Entry { value: overlay(&entry.value, &new.value), ..new.clone() },
            None => entry.clone(),
        })
        .collect();
    entries.extend(above.iter().filter(|entry| base.entry(&entry.key).is_none()).cloned());
    Node { place: base.place, value: Value::Map(entries), partial: base.partial || over.partial }
}
