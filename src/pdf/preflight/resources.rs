//! What the resources of a page or form lead to: colour spaces, graphics states, fonts.

use super::colours::{device, families};
use super::drawn::Carried;
use super::graphics::{Mixing, State};
use super::survey::{dictionary, name};
use super::unpack::whole;
use super::walk::Walk;
use lopdf::{Dictionary, Object, ObjectId};
use std::collections::BTreeSet;

/// Spaces by device, and the names under which others stand for them (ISO 32000-1, 8.6.5.6).
const DEVICES: [(&str, &str); 3] =
    [("DeviceGray", "DefaultGray"), ("DeviceRGB", "DefaultRGB"), ("DeviceCMYK", "DefaultCMYK")];

impl<'a> Walk<'a> {
    /// What a name leads to in resources of a kind, and its object; `None` where that is nothing.
    pub(super) fn look(
        &self,
        kind: &str,
        wanted: &[u8],
        resources: Option<&'a Dictionary>,
    ) -> Option<(Option<ObjectId>, &'a Object)> {
        let list = dictionary(self.file, resources?.get(kind.as_bytes()).ok()?)?;
        let found = self.file.dereference(list.get(wanted).ok()?).ok()?;
        (!matches!(found.1, Object::Null)).then_some(found)
    }
    /// The same of what has to be a dictionary; what is not there is noted.
    fn find(
        &mut self,
        (kind, what): (&str, &str),
        wanted: &[u8],
        resources: Option<&'a Dictionary>,
    ) -> Option<&'a Dictionary> {
        let found = self.look(kind, wanted, resources).and_then(|(_, found)| dictionary(self.file, found));
        if found.is_none() {
            self.drawn.miss(self.number, what, wanted);
        }
        found
    }

    /// Notes a family of colour spaces; one by device is plain unless another stands for it here.
    pub(super) fn colour(&mut self, family: &str) {
        if !self.drawn.colours.contains(family) {
            self.drawn.colours.insert(family.to_owned());
        }
        let nth = DEVICES.iter().position(|(device, _)| *device == family);
        if nth.is_some_and(|nth| !self.excused[nth]) && !self.drawn.plain.contains(family) {
            self.drawn.plain.insert(family.to_owned());
        }
    }
    /// Notes the families of a colour space.
    pub(super) fn note_space(&mut self, space: &Object) {
        let Ok((_, object)) = self.file.dereference(space) else { return };
        if !self.spaces.insert((std::ptr::from_ref(object), self.excused)) {
            return;
        }
        let mut found = BTreeSet::new();
        families(self.file, object, 0, &mut found);
        for family in found {
            self.colour(&family);
        }
    }
    /// Notes a space by its name, and says which colour is white in it.
    pub(super) fn space(&mut self, wanted: &[u8], resources: Option<&'a Dictionary>) -> Mixing {
        if let Some((_, space)) = self.look("ColorSpace", wanted, resources) {
            self.note_space(space);
            return self.mixing(space);
        }
        let family = device(wanted);
        if !DEVICES.iter().any(|(device, _)| *device == family) && !matches!(family.as_str(), "Pattern" | "Indexed") {
            self.drawn.miss(self.number, "the colour space", wanted);
        }
        self.colour(&family);
        by_name(family.as_bytes())
    }
    fn mixing(&self, space: &Object) -> Mixing {
        match space {
            Object::Name(name) => by_name(name),
            Object::Array(parts) => {
                let family = parts.first().and_then(|family| family.as_name().ok()).unwrap_or_default();
                let profile = parts.get(1).and_then(|profile| dictionary(self.file, profile));
                match (family, profile.and_then(|profile| profile.get(b"N").and_then(Object::as_i64).ok())) {
                    (b"ICCBased", Some(1 | 3)) => Mixing::Light,
                    (b"ICCBased", Some(4)) => Mixing::Inks,
                    _ => by_name(family),
                }
            }
            _ => Mixing::Other,
        }
    }
    /// Notes the colour space in which a transparency group is mixed, and says whether there is a group.
    pub(super) fn group(&mut self, holder: &'a Dictionary) -> bool {
        let group = holder.get(b"Group").ok().and_then(|group| dictionary(self.file, group));
        let Some(group) = group.filter(|group| name(group, "S") == "Transparency") else { return false };
        if let Ok(space) = group.get(b"CS") {
            self.note_space(space);
        }
        true
    }
    /// Which spaces by device have others that stand for them, in the order grey, RGB, CMYK.
    pub(super) fn defaults(&mut self, resources: Option<&'a Dictionary>) -> [bool; 3] {
        let spaces = resources.and_then(|found| found.get(b"ColorSpace").ok());
        let Some(spaces) = spaces.and_then(|found| dictionary(self.file, found)) else { return [false; 3] };
        DEVICES.map(|(_, key)| {
            let Ok(space) = spaces.get(key.as_bytes()) else { return false };
            let mut found = BTreeSet::new();
            families(self.file, space, 0, &mut found);
            let is_tied = |family: &&String| matches!(family.as_str(), "CalGray" | "CalRGB" | "Lab" | "ICCBased");
            let tied: Vec<String> =
                found.iter().filter(is_tied).map(|family| format!("{key} stands for {family}")).collect();
            let stands = !tied.is_empty();
            self.drawn.defaults.extend(tied);
            stands
        })
    }
    /// Notes the space of a shading.
    pub(super) fn shading(&mut self, wanted: &[u8], resources: Option<&'a Dictionary>) {
        let shading = self.find(("Shading", "the shading"), wanted, resources);
        if let Some(space) = shading.and_then(|found| found.get(b"ColorSpace").ok()) {
            self.note_space(space);
            self.mixed(space);
        }
    }

    /// Takes what a graphics state sets.
    pub(super) fn graphics_state(
        &mut self,
        wanted: &[u8],
        resources: Option<&'a Dictionary>,
        now: &mut State,
        depth: usize,
    ) {
        if let Some(state) = self.find(("ExtGState", "the graphics state"), wanted, resources) {
            self.take_state(state, resources, now, depth);
        }
    }
    /// The same of one that is at hand.
    pub(super) fn take_state(
        &mut self,
        state: &'a Dictionary,
        resources: Option<&'a Dictionary>,
        now: &mut State,
        depth: usize,
    ) {
        if let Ok(width) = state.get(b"LW").and_then(Object::as_float) {
            now.width = Some(f64::from(width));
        }
        match state.get(b"SMask").ok().map(|mask| self.file.dereference(mask)) {
            None | Some(Ok((_, Object::Name(_) | Object::Null))) => {}
            Some(mask) => {
                self.drawn.transparency.insert("a soft mask".to_owned());
                // What it draws is seen on paper as much as what it masks (ISO 32000-1, table 144).
                let group =
                    mask.ok().and_then(|(_, mask)| dictionary(self.file, mask)).and_then(|mask| mask.get(b"G").ok());
                if let Some(Ok((id, Object::Stream(group)))) = group.map(|group| self.file.dereference(group)) {
                    self.unmeasured(id, group, resources, depth);
                }
            }
        }
        for key in ["CA", "ca"] {
            if state.get(key.as_bytes()).and_then(Object::as_float).is_ok_and(|alpha| alpha < 1.0) {
                self.drawn.transparency.insert(format!("opacity {key} under 1"));
            }
        }
        let modes = match state.get(b"BM") {
            Ok(Object::Name(_)) => vec![name(state, "BM")],
            Ok(Object::Array(modes)) => {
                modes.iter().filter_map(|m| m.as_name().ok()).map(|m| String::from_utf8_lossy(m).into_owned()).collect()
            }
            _ => Vec::new(),
        };
        for mode in modes {
            if mode != "Normal" && mode != "Compatible" {
                self.drawn.transparency.insert(format!("blend mode {mode}"));
            }
            if !BLENDS.contains(&mode.as_str()) {
                self.drawn.odd_blends.insert(mode);
            }
        }
        self.curves(state);
        if let Some(Ok((_, Object::Array(font)))) = state.get(b"Font").ok().map(|font| self.file.dereference(font))
            && let [font, size] = font.as_slice()
            && let Some(font) = dictionary(self.file, font)
        {
            self.one_font(font, resources, depth);
            now.text.font = self.set_in(font);
            now.text.size = size.as_float().map_or(0.0, f64::from);
        }
    }
    fn curves(&mut self, state: &Dictionary) {
        if state.has(b"TR") {
            self.drawn.curves.insert("a transfer curve (TR)".to_owned());
        }
        if state.has(b"TR2") && name(state, "TR2") != "Default" {
            self.drawn.curves.insert("a transfer curve (TR2)".to_owned());
        }
        if state.has(b"HTP") {
            self.drawn.curves.insert("a halftone phase (HTP)".to_owned());
        }
        if let Some(halftone) = state.get(b"HT").ok().and_then(|found| dictionary(self.file, found)) {
            self.halftone(halftone, true);
            if kind_of(halftone) == 5 {
                for (ink, part) in halftone.iter() {
                    if let Some(part) = dictionary(self.file, part) {
                        self.halftone(part, PROCESS.contains(&ink.as_slice()));
                    }
                }
            }
        }
    }
    /// Notes what is odd in a halftone, or in the part of one that is for an ink. A transfer curve is wanted in the part for an ink
    /// that is none of the process inks, and nowhere else (ISO 32000-1, table 130).
    fn halftone(&mut self, halftone: &Dictionary, is_process: bool) {
        let kind = kind_of(halftone);
        if kind != 1 && kind != 5 {
            self.drawn.curves.insert(format!("a halftone of type {kind}"));
        }
        if halftone.has(b"HalftoneName") {
            self.drawn.curves.insert("a halftone by name".to_owned());
        }
        if is_process && halftone.has(b"TransferFunction") {
            self.drawn.curves.insert("a transfer curve in a halftone".to_owned());
        }
    }

    /// Notes a font by its name in the resources.
    pub(super) fn font(
        &mut self,
        wanted: &[u8],
        resources: Option<&'a Dictionary>,
        depth: usize,
    ) -> Option<&'a Dictionary> {
        let found = self.find(("Font", "the font"), wanted, resources);
        match found {
            Some(font) => self.one_font(font, resources, depth),
            None => drop(self.drawn.fonts.insert(format!("/{}", String::from_utf8_lossy(wanted)), Carried::Absent)),
        }
        found
    }
    /// Notes a font; two of one name, as merged files have them, are two.
    fn one_font(&mut self, font: &'a Dictionary, resources: Option<&'a Dictionary>, depth: usize) {
        if !self.fonts.insert(std::ptr::from_ref(font)) {
            return;
        }
        if name(font, "Subtype") == "Type3" {
            self.drawn.fonts.insert(format!("Type 3 {}", name(font, "Name")), Carried::Whole);
            let own = font.get(b"Resources").ok().and_then(|found| dictionary(self.file, found)).or(resources);
            let glyphs = font.get(b"CharProcs").ok().and_then(|found| dictionary(self.file, found));
            return glyphs.map_or((), |glyphs| self.glyphs(glyphs, own, depth));
        }
        let descendant = match font.get(b"DescendantFonts").ok().map(|list| self.file.dereference(list)) {
            Some(Ok((_, Object::Array(list)))) => list.first().and_then(|font| dictionary(self.file, font)),
            _ => None,
        };
        let descriptor = descendant.unwrap_or(font).get(b"FontDescriptor").ok().and_then(|d| dictionary(self.file, d));
        let carried = descriptor.map_or(Carried::Absent, |descriptor| self.program(descriptor));
        let called = Some(name(font, "BaseFont")).filter(|name| !name.is_empty());
        let called = called.unwrap_or_else(|| "a font without a name".to_owned());
        if carried == Carried::Unread {
            let shown: String = called.chars().take(60).collect();
            self.note(format!("the program of the font {shown} cannot be unpacked whole, or is too large"));
        }
        let all = self.drawn.fonts.entry(called).or_insert(carried);
        *all = carried.max(*all);
    }
    /// Whether the program of a font is in the file, and begins as one of its kind does (ISO 32000-1, table 126).
    fn program(&mut self, descriptor: &'a Dictionary) -> Carried {
        const COMPACT: &[&[u8]] = &[&[1, 0], b"OTTO", &[0, 1, 0, 0], b"true"];
        const KINDS: [(&str, &[&[u8]]); 3] = [
            ("FontFile", &[b"%!", &[0x80, 1]]),
            ("FontFile2", &[&[0, 1, 0, 0], b"true", b"OTTO"]),
            ("FontFile3", COMPACT),
        ];
        let found = KINDS.iter().find_map(|(key, heads)| {
            let program = self.file.dereference(descriptor.get(key.as_bytes()).ok()?).ok()?.1;
            program.as_stream().ok().filter(|program| !program.content.is_empty()).map(|program| (program, *heads))
        });
        let Some((program, heads)) = found else { return Carried::Absent };
        let bytes = whole(program, LARGEST.min(self.heads));
        self.heads = self.heads.saturating_sub(bytes.as_ref().map_or(LARGEST, Vec::len));
        match bytes {
            None => Carried::Unread,
            Some(bytes) if heads.iter().any(|head| bytes.starts_with(head)) => Carried::Whole,
            Some(_) => Carried::NoFont,
        }
    }
}

/// Most bytes of one font that is unpacked to see that it is one: whole fonts of tens of thousands of signs have as many.
const LARGEST: usize = 16 << 20;

/// The kind of a halftone.
fn kind_of(halftone: &Dictionary) -> i64 {
    halftone.get(b"HalftoneType").and_then(Object::as_i64).unwrap_or(1)
}

/// The inks that a halftone of type 5 may name without a transfer curve, and what stands for all others.
const PROCESS: [&[u8]; 9] = [b"Default", b"Gray", b"Cyan", b"Magenta", b"Yellow", b"Black", b"Red", b"Green", b"Blue"];

/// Which colour is white in a space of a family.
fn by_name(family: &[u8]) -> Mixing {
    match family {
        b"DeviceGray" | b"DeviceRGB" | b"CalGray" | b"CalRGB" => Mixing::Light,
        b"DeviceCMYK" => Mixing::Inks,
        b"Separation" | b"DeviceN" => Mixing::Spot,
        _ => Mixing::Other,
    }
}

/// ISO 32000-1, 11.3.5.
const BLENDS: [&str; 17] = [
    "Normal",
    "Compatible",
    "Multiply",
    "Screen",
    "Overlay",
    "Darken",
    "Lighten",
    "ColorDodge",
    "ColorBurn",
    "HardLight",
    "SoftLight",
    "Difference",
    "Exclusion",
    "Hue",
    "Saturation",
    "Color",
    "Luminosity",
];
