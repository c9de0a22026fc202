//! Feeds `windrode::fuzz::config`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Err(broken) = windrode::fuzz::config(bytes) {
        panic!("{broken}");
    }
});
