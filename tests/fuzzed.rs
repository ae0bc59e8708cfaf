//! The seeds of the fuzzers (`tests/fuzz`): each goes through what its fuzzer looks at, whole and cut off. What once fell is among
//! them, by a name that says what it was.

use std::fs;
use std::path::{Path, PathBuf};

#[path = "fuzz/targets.rs"]
mod targets;

/// How often a seed is cut off.
const CUTS: usize = 8;
/// Cut seeds are no longer; those of whole demos would take minutes.
const CUT_UP_TO: usize = 4_000;

fn top(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

#[test]
fn nothing_that_the_fuzzers_began_with_falls() {
    let mut given = 0;
    for (name, takes) in targets::ALL {
        let folder = top("tests/fuzz/seeds").join(name);
        let mut seeds: Vec<_> = fs::read_dir(&folder).expect("seeds").map(|entry| entry.expect("one").path()).collect();
        seeds.sort();
        assert!(seeds.len() > 1, "{name} has no seeds");
        for seed in seeds {
            let bytes = fs::read(&seed).expect("a seed");
            takes(&bytes);
            given += 1;
            for cut in (1..CUTS).filter(|_| bytes.len() <= CUT_UP_TO) {
                takes(&bytes[..bytes.len() * cut / CUTS]);
                given += 1;
            }
        }
        takes(b"");
        takes(&[0xff; 64]);
    }
    assert!(given > 150, "{given}");
}

#[test]
fn each_target_has_its_fuzzer() {
    let manifest = fs::read_to_string(top("tests/fuzz/Cargo.toml")).expect("a manifest");
    for (name, _) in targets::ALL {
        assert!(manifest.contains(&format!("name = \"{name}\"\npath = \"fuzz_targets/{name}.rs\"")), "{name}");
        assert!(top("tests/fuzz/fuzz_targets").join(format!("{name}.rs")).is_file(), "{name}");
    }
}
