//! Feeds `windrode::fuzz::put`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Err(broken) = windrode::fuzz::put(bytes) {
        panic!("{broken}");
    }
});
