#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| fuzz::forms::attack(data));
