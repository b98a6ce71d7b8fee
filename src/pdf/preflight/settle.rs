//! Entries that stand behind references, put where they are referred to: ISO 32000-1, 7.3.10, lets any value be an object of its
//! own, and the rules then need not ask of each.
//!
//! Takes a file as loaded; changes its dictionaries. Names, numbers, truth values and strings are moved, and short arrays of
//! these; an entry that is null, or leads to nothing, is taken away, which is the same (7.3.7, 7.3.9), but for the content of a
//! page: one that is lost is no blank page. Streams, dictionaries and pages stay where they are.

use lopdf::{Dictionary, Document, Object, ObjectId};
use std::collections::BTreeMap;

/// Most bytes of names and strings that are written a second time, and of one of them: a string of a megabyte with a million
/// references to it would be a terabyte.
const COPIED: usize = 8 << 20;
const LONGEST: usize = 16 << 10;
/// Longest array that is moved: six numbers are a matrix, and no file packs a stream more often.
const ARRAY: usize = 8;
/// Deepest nesting that is looked into; what lies deeper is no entry that a rule asks for.
const DEPTH: usize = 32;

/// Puts entries where they are referred to; says whether there was room for all.
pub(super) fn settle(file: &mut Document) -> bool {
    let mut whole = true;
    // Twice: what an array refers to has to be in it before the array is moved.
    for arrays in [false, true] {
        let mut desk = Desk { plain: plain(file, arrays), left: COPIED, whole: true };
        for object in file.objects.values_mut() {
            match object {
                Object::Dictionary(dictionary) => desk.dictionary(dictionary, 0),
                Object::Stream(stream) => desk.dictionary(&mut stream.dict, 0),
                Object::Array(items) => desk.array(items, 0),
                _ => {}
            }
        }
        desk.dictionary(&mut file.trailer, 0);
        whole &= desk.whole;
    }
    whole
}

/// What a reference may lead to: `None` for what stays where it is.
fn plain(file: &Document, arrays: bool) -> BTreeMap<ObjectId, Option<Box<Object>>> {
    let movable = |object: &Object| match object {
        Object::Array(items) => arrays && items.len() <= ARRAY && items.iter().all(is_plain),
        other => is_plain(other),
    };
    let followed = |id: &ObjectId, object: &Object| {
        let end = file.dereference(object).map_or(&Object::Null, |(_, end)| end);
        (*id, (movable(end) && bytes(end) <= LONGEST).then(|| Box::new(end.clone())))
    };
    file.objects.iter().map(|(id, object)| followed(id, object)).collect()
}

const fn is_plain(object: &Object) -> bool {
    !matches!(object, Object::Array(_) | Object::Dictionary(_) | Object::Stream(_) | Object::Reference(_))
}

/// How many bytes a copy takes beside its own place.
fn bytes(object: &Object) -> usize {
    match object {
        Object::Name(name) => name.len(),
        Object::String(text, _) => text.len(),
        Object::Array(items) => items.iter().map(bytes).fold(items.len() * size_of::<Object>(), usize::saturating_add),
        _ => 0,
    }
}

struct Desk {
    plain: BTreeMap<ObjectId, Option<Box<Object>>>,
    left: usize,
    whole: bool,
}

impl Desk {
    fn dictionary(&mut self, dictionary: &mut Dictionary, depth: usize) {
        for (key, value) in dictionary.iter_mut() {
            self.value(value, depth);
            if let Object::Reference(id) = value
                && key != b"Contents"
                && !self.plain.contains_key(id)
            {
                *value = Object::Null;
            }
        }
        let nothing = |(key, value): (&Vec<u8>, &Object)| matches!(value, Object::Null).then(|| key.clone());
        let nothing: Vec<Vec<u8>> = dictionary.iter().filter_map(nothing).collect();
        for key in nothing {
            dictionary.remove(&key);
        }
    }
    fn array(&mut self, items: &mut [Object], depth: usize) {
        for item in items {
            self.value(item, depth);
        }
    }
    fn value(&mut self, value: &mut Object, depth: usize) {
        match value {
            Object::Reference(id) => match self.plain.get(id) {
                None | Some(None) => {}
                Some(Some(found)) => {
                    let cost = bytes(found);
                    if cost > self.left {
                        self.whole = false;
                    } else {
                        self.left -= cost;
                        *value = (**found).clone();
                    }
                }
            },
            Object::Dictionary(inner) if depth < DEPTH => self.dictionary(inner, depth + 1),
            Object::Array(inner) if depth < DEPTH => self.array(inner, depth + 1),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(objects: Vec<Object>) -> Document {
        let mut file = Document::new();
        for object in objects {
            file.add_object(object);
        }
        file
    }
    fn referring(to: u32) -> Object {
        Dictionary::from_iter([("A", Object::Reference((to, 0)))]).into()
    }

    #[test]
    fn entries_come_to_where_they_are_named() {
        let normal = Object::Name(b"Normal".to_vec());
        let list = Object::Array(vec![Object::Reference((1, 0)), 3.into()]);
        let objects = vec![normal.clone(), list, referring(1), referring(2), referring(9), referring(3)];
        let mut file = file(objects);
        assert!(settle(&mut file));
        let entry = |number| file.get_dictionary((number, 0)).expect("a dictionary").get(b"A").ok().cloned();
        assert_eq!(entry(3), Some(normal.clone()));
        assert_eq!(entry(4), Some(Object::Array(vec![normal, 3.into()])));
        assert_eq!(entry(5), None, "what leads to nothing is not there");
        assert_eq!(entry(6), Some(Object::Reference((3, 0))), "dictionaries stay where they are");
    }

    #[test]
    fn a_string_is_not_multiplied_without_end() {
        let long = |bytes| Object::string_literal("a".repeat(bytes));
        let mut objects = vec![long(LONGEST)];
        objects.extend((0..1_000).map(|_| referring(1)));
        let mut many = file(objects);
        assert!(!settle(&mut many), "there is not room for all, and it is said");
        let mut one = file(vec![long(LONGEST + 1), referring(1), referring(3)]);
        assert!(settle(&mut one));
        let left = one.get_dictionary((2, 0)).expect("a dictionary").get(b"A");
        assert!(matches!(left, Ok(Object::Reference(_))), "what is too long for an entry stays where it is");
    }

    #[test]
    fn rings_end() {
        let mut ring = file(vec![Object::Reference((2, 0)), Object::Reference((1, 0)), referring(1)]);
        assert!(settle(&mut ring));
        assert!(ring.get_dictionary((3, 0)).expect("a dictionary").get(b"A").is_err());
    }
}
