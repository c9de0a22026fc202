//! Feeds `windrode::fuzz::journal`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Err(broken) = windrode::fuzz::journal(bytes) {
        panic!("{broken}");
    }
});
