#![no_main]

#[allow(dead_code, reason = "each fuzzer has one of them")]
#[path = "../targets.rs"]
mod targets;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| targets::archive(bytes));
