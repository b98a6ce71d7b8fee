//! What chapters and generated parts are made from.

use super::material::Material;
use super::prose::Extras;
use super::setting::Setting;
use std::collections::BTreeMap;

/// What a part is made from.
#[derive(Clone, Copy)]
pub(super) struct Desk<'a> {
    /// Type, words, page.
    pub setting: &'a Setting<'a>,
    /// The book with its music.
    pub material: &'a Material<'a>,
    /// What texts may hold.
    pub extras: Extras<'a>,
    /// Labels of pages by anchor; empty on the first setting.
    pub pages: &'a BTreeMap<String, String>,
}

impl<'a> Desk<'a> {
    /// The label of the page that an anchor is on; the widest label while none is known.
    pub fn page(&self, anchor: &str) -> &'a str {
        self.pages.get(anchor).map_or(self.widest_page(), String::as_str)
    }
    /// A label as wide as any.
    pub const fn widest_page(&self) -> &'static str {
        "0000"
    }
}
