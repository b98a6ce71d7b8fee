//! tmp
use crate::diag::{Sink, Sources};
/// tmp
pub fn json(_s: &Sink, _o: &Sources) -> String {
    String::new()
}
/// tmp
pub fn text(s: &Sink, o: &Sources, _c: bool, _q: bool) -> String {
    s.sorted()
        .iter()
        .map(|d| {
            format!(
                "{:?}[{}] {} {}\n   {}\n",
                d.severity,
                d.code,
                d.place.map(|p| format!("{}:{}:{}", o.path(p.file), p.line, p.column)).unwrap_or_default(),
                d.message,
                d.hints.join("; ")
            )
        })
        .collect()
}
