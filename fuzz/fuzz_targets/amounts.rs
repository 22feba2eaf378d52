#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| fuzz::amounts::attack(data));
