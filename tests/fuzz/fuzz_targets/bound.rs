#![no_main]
#[path = "../targets.rs"]
mod targets;

// Tunes are set side by side; on this thread alone, no time goes into waking another.
libfuzzer_sys::fuzz_target!(
    init: rayon::ThreadPoolBuilder::new().num_threads(1).use_current_thread().build_global().expect("it is the first pool"),
    |data: &[u8]| targets::bound(data)
);
