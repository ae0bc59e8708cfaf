//! Property tests (under way).
mod oracle;
use proptest::prelude::*;
proptest! {
    #![proptest_config(ProptestConfig { cases: 3, ..ProptestConfig::default() })]
    #[test]
    fn shows(written in oracle::generate::procedures()) { eprintln!("{written:?}\n======"); }
}
