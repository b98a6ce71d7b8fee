//! A library that panics over a stranger's bytes costs those bytes, not the run.

use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook, take_hook};
use std::sync::Once;

thread_local! {
    /// Whether a panic of this thread is expected and says nothing.
    static GUARDED: Cell<bool> = const { Cell::new(false) };
}

/// What a library makes of bytes from outside; `None` if it panics over them. Nothing of the panic is shown. For decoders of
/// pictures and fonts, which are made by others and meet files that are made to break them; never for our own code.
pub fn guarded<T>(work: impl FnOnce() -> T) -> Option<T> {
    static QUIET: Once = Once::new();
    QUIET.call_once(|| {
        let usual = take_hook();
        set_hook(Box::new(move |panic| {
            if !GUARDED.get() {
                usual(panic);
            }
        }));
    });
    let before = GUARDED.replace(true);
    // What the work has touched is thrown away with it.
    let made = catch_unwind(AssertUnwindSafe(work));
    GUARDED.set(before);
    made.ok()
}

#[cfg(test)]
mod tests {
    use super::guarded;

    #[test]
    fn a_panic_costs_its_own_work_only() {
        assert_eq!(guarded(|| 3), Some(3));
        assert_eq!(guarded(|| "x".repeat(2).parse::<i32>().expect("no number")), None);
        assert_eq!(guarded(|| 4), Some(4));
    }
}
