//! Feeds `windrode::fuzz::chart`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Err(broken) = windrode::fuzz::chart(bytes) {
        panic!("{broken}");
    }
});
