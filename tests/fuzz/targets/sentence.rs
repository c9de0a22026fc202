//! Feeds `windrode::fuzz::sentence`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Err(broken) = windrode::fuzz::sentence(bytes) {
        panic!("{broken}");
    }
});
