#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| fuzz::toml::attack(data));
