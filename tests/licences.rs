//! The texts of the two licences that the README and the manifest name.

use std::fs;
use std::path::Path;

use sha2::{Digest, Sha256};

fn text(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// SHA-256 of <https://www.apache.org/licenses/LICENSE-2.0.txt>, the same as in Debian's `common-licenses/Apache-2.0`.
const APACHE: &str = "cfc7749b96f63bd31c3c42b5c471bf756814053e847c10f3eb003417bc523d30";

#[test]
fn the_apache_licence_is_the_published_text_byte_for_byte() {
    let digest: String = Sha256::digest(text("LICENSE-APACHE")).iter().map(|byte| format!("{byte:02x}")).collect();
    assert_eq!(digest, APACHE);
}

/// The sentences of the MIT licence as the Open Source Initiative publishes it (SPDX `MIT`).
#[test]
fn the_mit_licence_is_whole_and_names_the_authors() {
    let text = text("LICENSE-MIT").split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "MIT License Copyright (c) 2026 The Fitwright authors Permission is hereby granted, free of charge, to any person",
        "to use, copy, modify, merge, publish, distribute, sublicense, and/or sell copies of the Software",
        "The above copyright notice and this permission notice shall be included in all copies or substantial portions",
        "THE SOFTWARE IS PROVIDED \"AS IS\", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR IMPLIED",
        "OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN THE SOFTWARE.",
    ] {
        assert!(text.contains(words), "{words}");
    }
}

#[test]
fn manifest_and_readme_name_both() {
    assert!(text("Cargo.toml").contains("license = \"MIT OR Apache-2.0\""));
    let readme = text("README.md");
    assert!(readme.contains("(LICENSE-MIT)") && readme.contains("(LICENSE-APACHE)"));
}
