//! Feeds `windrode::fuzz::reply`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Err(broken) = windrode::fuzz::reply(bytes) {
        panic!("{broken}");
    }
});
