//! Feeds `windrode::fuzz::tide`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Err(broken) = windrode::fuzz::tide(bytes) {
        panic!("{broken}");
    }
});
