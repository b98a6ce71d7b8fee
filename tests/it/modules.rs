//! The program's own source as a tree of modules, each with the paths that it names: what the walls are held against.
//!
//! Read as the language's own tokens, so that comments, quoted texts, lists over several lines and the insides of macros are
//! taken for what they are. Methods are not paths and are not seen; who calls one has the type's path nearby.

use proc_macro2::{Delimiter, Spacing, TokenStream, TokenTree};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// A path that a module names, with its line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    /// `["crate", "tune", "Tune"]`.
    pub path: Vec<String>,
    /// Line in the file, from 1.
    pub line: usize,
    /// Whether it is only handed on (`pub use`).
    pub handed_on: bool,
    /// Whether it is brought in (`use`), and may stand for a whole module.
    pub brought_in: bool,
    /// Whether tests alone name it.
    pub tests: bool,
}

/// A module: a file of its own, or a part of one.
#[derive(Debug, Default)]
pub struct Module {
    /// From the crate's root: `["engrave", "lanes"]`.
    pub path: Vec<String>,
    /// The module that its file is.
    pub file_module: Vec<String>,
    /// The file, from the crate's root folder.
    pub file: PathBuf,
    /// Whether only tests have it.
    pub tests: bool,
    /// What it names.
    pub named: Vec<Named>,
    /// What stands for which path by a `use`.
    pub imports: BTreeMap<String, Vec<String>>,
}

/// All modules, by their paths.
pub type Modules = BTreeMap<Vec<String>, Module>;

/// The modules that hang on a root file, such as `src/lib.rs`.
pub fn modules(root: &Path, file: &str) -> Modules {
    let mut modules = Modules::new();
    read(root, Path::new(file), Vec::new(), false, &mut modules);
    modules
}

/// A module, and those within it, of a piece of text.
pub fn of_text(path: &[&str], text: &str) -> Modules {
    let path: Vec<String> = path.iter().map(|name| (*name).to_owned()).collect();
    let module = Module { file_module: path.clone(), path, file: "text.rs".into(), ..Module::default() };
    let mut modules = Modules::new();
    part(text.parse().expect("it is Rust"), module, &mut modules);
    modules
}

fn read(root: &Path, file: &Path, path: Vec<String>, tests: bool, modules: &mut Modules) {
    let text = fs::read_to_string(root.join(file)).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    let tokens = text.parse().unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    let module = Module { file_module: path.clone(), path, file: file.to_owned(), tests, ..Module::default() };
    for (file, path, tests) in part(tokens, module, modules) {
        read(root, &file, path, tests, modules);
    }
}

/// A module's tokens into what it names; gives the files of modules that it declares.
fn part(tokens: TokenStream, module: Module, modules: &mut Modules) -> Vec<(PathBuf, Vec<String>, bool)> {
    let mut reading = Reading { module, modules, files: Vec::new() };
    reading.walk(&tokens.into_iter().collect::<Vec<_>>(), reading.module.tests);
    let Reading { module, files, .. } = reading;
    modules.insert(module.path.clone(), module);
    files
}

struct Reading<'a> {
    module: Module,
    modules: &'a mut Modules,
    files: Vec<(PathBuf, Vec<String>, bool)>,
}

/// What the attributes before an item say of it.
#[derive(Default)]
struct Attributes {
    tests: bool,
    path: Option<String>,
}

impl Reading<'_> {
    fn walk(&mut self, tokens: &[TokenTree], tests: bool) {
        let (mut at, mut before) = (0, Attributes::default());
        while at < tokens.len() {
            if let (true, Some(TokenTree::Group(group))) = (is(tokens.get(at), '#'), tokens.get(at + 1)) {
                let text = group.stream().to_string();
                before.tests |= text.replace(' ', "") == "cfg(test)";
                if let Some(quoted) = text.strip_prefix("path = ") {
                    before.path = Some(quoted.trim_matches('"').to_owned());
                }
                self.walk(&group.stream().into_iter().collect::<Vec<_>>(), tests);
                at += 2;
                continue;
            }
            let attributes = std::mem::take(&mut before);
            let end = if attributes.tests { end_of_item(tokens, at) } else { at };
            if attributes.tests && !tests && !self.is_module(tokens, at) {
                self.walk(&tokens[at..end], true);
                at = end;
                continue;
            }
            at = self.item(tokens, at, tests, attributes);
        }
    }

    /// Whether an item is a module, whatever stands before its name.
    fn is_module(&self, tokens: &[TokenTree], at: usize) -> bool {
        word(tokens.get(after_pub(tokens, at))).is_some_and(|word| word == "mod")
    }

    /// One token, or as many as belong together; gives where the next begins.
    fn item(&mut self, tokens: &[TokenTree], at: usize, tests: bool, attributes: Attributes) -> usize {
        let inner = after_pub(tokens, at);
        match word(tokens.get(inner)).as_deref() {
            Some("use") => {
                let end = (inner..tokens.len()).find(|at| is(tokens.get(*at), ';')).unwrap_or(tokens.len());
                let line = tokens[inner].span().start().line;
                let mut found = Vec::new();
                use_tree(&tokens[inner + 1..end], &[], &mut found);
                for (path, name) in found {
                    if !tests || self.module.tests {
                        self.module.imports.insert(name, path.clone());
                    }
                    let (handed_on, brought_in) = (inner > at, true);
                    self.module.named.push(Named { path, line, handed_on, brought_in, tests });
                }
                end + 1
            }
            Some("mod") if word(tokens.get(inner + 1)).is_some() => {
                let name = word(tokens.get(inner + 1)).expect("a module has a name");
                let path = [self.module.path.as_slice(), &[name]].concat();
                let tests = tests || attributes.tests;
                if let Some(TokenTree::Group(group)) = tokens.get(inner + 2) {
                    let (file_module, file) = (self.module.file_module.clone(), self.module.file.clone());
                    let module = Module { path, file_module, file, tests, ..Module::default() };
                    let files = part(group.stream(), module, self.modules);
                    self.files.extend(files);
                } else {
                    self.files.push((file_of(&self.module.file, &path, attributes.path), path, tests));
                }
                inner + 3
            }
            Some(first) if !stands_behind(tokens, inner) => {
                let (path, end) = path_from(tokens, inner, first);
                if path.len() > 1 {
                    let line = tokens[inner].span().start().line;
                    self.module.named.push(Named { path, line, handed_on: false, brought_in: false, tests });
                }
                end
            }
            _ => {
                if let Some(TokenTree::Group(group)) = tokens.get(inner) {
                    self.walk(&group.stream().into_iter().collect::<Vec<_>>(), tests);
                }
                inner + 1
            }
        }
    }
}

/// Where a module that is declared in a file lies.
fn file_of(parent: &Path, path: &[String], told: Option<String>) -> PathBuf {
    let folder = parent.parent().expect("a file lies in a folder");
    if let Some(told) = told {
        return folder.join(told);
    }
    let name = path.last().expect("a module has a name");
    let stem = parent.file_stem().expect("a file has a name").to_string_lossy();
    let folder =
        if ["lib", "main", "mod"].contains(&stem.as_ref()) { folder.to_owned() } else { folder.join(stem.as_ref()) };
    let alone = folder.join(format!("{name}.rs"));
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    if root.join(&alone).is_file() { alone } else { folder.join(name).join("mod.rs") }
}

/// The path that begins with a word, and where it ends.
fn path_from(tokens: &[TokenTree], start: usize, first: &str) -> (Vec<String>, usize) {
    let (mut path, mut at) = (vec![first.to_owned()], start + 1);
    while colons(tokens, at) {
        let Some(next) = word(tokens.get(at + 2)) else { break };
        path.push(next);
        at += 3;
    }
    (path, at)
}

/// The paths of what stands behind `use`, each with the name that it goes by here.
fn use_tree(tokens: &[TokenTree], before: &[String], found: &mut Vec<(Vec<String>, String)>) {
    let (mut path, mut name, mut at) = (before.to_vec(), None, 0);
    while at < tokens.len() {
        match &tokens[at] {
            TokenTree::Group(group) if group.delimiter() == Delimiter::Brace => {
                let inner: Vec<TokenTree> = group.stream().into_iter().collect();
                inner.split(|token| is(Some(token), ',')).for_each(|piece| use_tree(piece, &path, found));
                return;
            }
            TokenTree::Ident(ident) if ident == "as" => {
                name = word(tokens.get(at + 1));
                at += 1;
            }
            TokenTree::Ident(ident) if ident != "self" || path.is_empty() => path.push(ident.to_string()),
            _ => {}
        }
        at += 1;
    }
    if let (true, Some(last)) = (path.len() > before.len() || !tokens.is_empty(), path.last().cloned()) {
        found.push((path, name.unwrap_or(last)));
    }
}

/// Where an item that attributes stand before ends: behind its braces or its semicolon, or the comma of a field.
fn end_of_item(tokens: &[TokenTree], start: usize) -> usize {
    const ITEMS: [&str; 12] =
        ["mod", "fn", "use", "impl", "struct", "enum", "const", "static", "type", "trait", "let", "unsafe"];
    let first = word(tokens.get(after_pub(tokens, start)));
    let is_item = first.as_deref().is_some_and(|first| ITEMS.contains(&first));
    let is_use = first.as_deref() == Some("use");
    for (at, token) in tokens.iter().enumerate().skip(start) {
        let braces = matches!(token, TokenTree::Group(group) if group.delimiter() == Delimiter::Brace);
        if is(Some(token), ';') || (braces && !is_use) || (!is_item && is(Some(token), ',')) {
            return at + 1;
        }
    }
    tokens.len()
}

/// The place behind `pub` and what it is open to.
fn after_pub(tokens: &[TokenTree], at: usize) -> usize {
    if word(tokens.get(at)).is_none_or(|word| word != "pub") {
        return at;
    }
    let open =
        matches!(tokens.get(at + 1), Some(TokenTree::Group(group)) if group.delimiter() == Delimiter::Parenthesis);
    at + 1 + usize::from(open && word(tokens.get(at + 2)).is_some())
}

/// Whether a word belongs to what stands before it: a field or method, the end of a path, a lifetime.
fn stands_behind(tokens: &[TokenTree], at: usize) -> bool {
    let before = |back: usize| at.checked_sub(back).and_then(|at| tokens.get(at));
    let point = is(before(1), '.') && !is(before(2), '.');
    point || is(before(1), '\'') || (at >= 2 && colons(tokens, at - 2))
}

fn colons(tokens: &[TokenTree], at: usize) -> bool {
    let joint = matches!(tokens.get(at), Some(TokenTree::Punct(sign)) if sign.as_char() == ':' && sign.spacing() == Spacing::Joint);
    joint && is(tokens.get(at + 1), ':')
}

fn is(token: Option<&TokenTree>, sign: char) -> bool {
    matches!(token, Some(TokenTree::Punct(found)) if found.as_char() == sign)
}

fn word(token: Option<&TokenTree>) -> Option<String> {
    match token {
        Some(TokenTree::Ident(ident)) => Some(ident.to_string()),
        _ => None,
    }
}

/// The path from the crate's root that a path names in a module, as written; nothing for what is no module of ours (a crate, a
/// type that stands in the module itself).
pub fn absolute(modules: &Modules, module: &[String], path: &[String]) -> Option<Vec<String>> {
    let first = path.first()?;
    let mut from = module.to_vec();
    let rest = match first.as_str() {
        "crate" => {
            from.clear();
            &path[1..]
        }
        "self" => &path[1..],
        "super" => {
            let count = path.iter().take_while(|word| *word == "super").count();
            from.truncate(from.len().checked_sub(count)?);
            &path[count..]
        }
        _ if modules.contains_key(&[module, std::slice::from_ref(first)].concat()) => path,
        _ => {
            let meant = modules.get(module)?.imports.get(first).filter(|meant| meant.first() != Some(first))?;
            from = absolute(modules, module, meant)?;
            &path[1..]
        }
    };
    from.extend_from_slice(rest);
    Some(from)
}

/// The module that has what an absolute path names, through what modules hand on; and whether it is the module itself.
pub fn home(modules: &Modules, absolute_path: &[String]) -> (Vec<String>, bool) {
    let mut here: Vec<String> = Vec::new();
    for (at, name) in absolute_path.iter().enumerate() {
        let below = [here.as_slice(), std::slice::from_ref(name)].concat();
        if modules.contains_key(&below) {
            here = below;
            continue;
        }
        let handed =
            modules.get(&here).and_then(|module| module.imports.get(name)).filter(|path| path.first() != Some(name));
        return match handed.and_then(|path| absolute(modules, &here, path)) {
            Some(meant) if meant != absolute_path => {
                home(modules, &[meant.as_slice(), &absolute_path[at + 1..]].concat())
            }
            _ => (here, false),
        };
    }
    (here, true)
}

fn named(text: &str) -> Vec<String> {
    of_text(&["pdf"], text).values().flat_map(|module| &module.named).map(|named| named.path.join("::")).collect()
}

#[test]
fn paths_are_found_wherever_they_stand() {
    let listed = "use crate::{\n    frame::Frame,\n    tune::{self, Tune as Air},\n};";
    assert_eq!(named(listed), ["crate::frame::Frame", "crate::tune", "crate::tune::Tune"]);
    assert_eq!(named("fn f() { assert!(matches!(x, super::super::tune::A)); }"), ["super::super::tune::A"]);
    let mixed = "fn f<'a>(x: &'a lopdf::Object) -> Vec::<u8>::Item { x.crate_of::<crate::tune::B>() }";
    assert_eq!(named(mixed), ["lopdf::Object", "crate::tune::B"]);
    assert!(named("// crate::tune\nconst A: &str = \"crate::tune::B\";").is_empty());
}

#[test]
fn what_tests_alone_name_is_told_apart() {
    let modules = of_text(
        &["pdf"],
        "#[cfg(test)] use crate::tune::A; use crate::font::B; #[cfg(test)] mod tests { use super::*; }
         #[cfg(test)] fn f() { crate::page::C; }",
    );
    let named = modules[&vec!["pdf".to_owned()]].named.iter();
    let tests: Vec<_> = named.map(|named| (named.path.join("::"), named.tests)).collect();
    let wanted = [("crate::tune::A", true), ("crate::font::B", false), ("crate::page::C", true)];
    assert_eq!(tests, wanted.map(|(path, tests)| (path.to_owned(), tests)));
    assert!(modules[&vec!["pdf".to_owned(), "tests".to_owned()]].tests);
}
