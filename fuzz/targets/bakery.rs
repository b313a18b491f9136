#![no_main]
libfuzzer_sys::fuzz_target!(|data: &[u8]| weighhouse_tests::parsers::bakery(data));
