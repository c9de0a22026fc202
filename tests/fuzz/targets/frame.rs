//! Feeds `windrode::fuzz::frame`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Err(broken) = windrode::fuzz::frame(bytes) {
        panic!("{broken}");
    }
});
