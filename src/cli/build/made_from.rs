//! The build script that cargo runs before it compiles the program: what that is made from, as one number, so that `build` knows whether
//! the program that made a folder is this one. It could read itself for that; that took a quarter of a small build.

use std::collections::hash_map::DefaultHasher;
use std::hash::Hasher;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

/// All that comes into the program: what is compiled and what is built in. A test holds that nothing is from elsewhere.
const FROM: [&str; 7] = ["Cargo.lock", "Cargo.toml", "grammar", "procedures", "shared", "site", "src"];
/// What cargo asks of the compiler, as far as it tells.
const ASKED: [&str; 4] = ["CARGO_FEATURE_CLI", "OPT_LEVEL", "PROFILE", "TARGET"];

fn main() -> io::Result<()> {
    let mut hash = DefaultHasher::new();
    for from in FROM {
        // A package of others' has no lock file; asking to watch what is missing would have all made anew each time.
        if fs::exists(from)? {
            println!("cargo::rerun-if-changed={from}");
            add(Path::new(from), &mut hash)?;
        }
    }
    for name in ASKED {
        say(name.as_bytes(), &mut hash);
        say(env::var(name).unwrap_or_default().as_bytes(), &mut hash);
    }
    println!("cargo::rustc-env=FITWRIGHT_MADE_FROM={:016x}", hash.finish());
    Ok(())
}

/// A file, or a folder with all that it holds, in the order of names.
fn add(path: &Path, hash: &mut DefaultHasher) -> io::Result<()> {
    if path.is_dir() {
        let mut within = fs::read_dir(path)?.map(|one| Ok(one?.path())).collect::<io::Result<Vec<PathBuf>>>()?;
        within.sort();
        return within.iter().try_for_each(|one| add(one, hash));
    }
    say(path.to_string_lossy().as_bytes(), hash);
    say(&fs::read(path)?, hash);
    Ok(())
}

/// With its length before it, so that no two rows of texts are one.
fn say(bytes: &[u8], hash: &mut DefaultHasher) {
    hash.write_usize(bytes.len());
    hash.write(bytes);
}
