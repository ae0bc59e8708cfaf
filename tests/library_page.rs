//! The page by which an engineer audits the standard library is the library's, whole and in date.

use fitwright::audit;

const PAGE: &str = include_str!("../site/library.md");

const LIBRARIES: [&str; 7] = [
    include_str!("../shared/std/fasteners.fitw"),
    include_str!("../shared/std/hand-tools.fitw"),
    include_str!("../shared/std/hazards.fitw"),
    include_str!("../shared/std/materials.fitw"),
    include_str!("../shared/std/protection.fitw"),
    include_str!("../shared/std/wiring.fitw"),
    include_str!("../shared/std/work.fitw"),
];

#[test]
fn the_page_in_the_docs_is_in_date() {
    assert!(audit::standard_page() == PAGE, "run `cargo run -- library > site/library.md`, and read what has changed");
}

#[test]
fn every_row_and_every_publication_stands_on_the_page() {
    let mut rows = 0;
    for line in LIBRARIES.iter().flat_map(|text| text.lines()) {
        let mut words = line.split_whitespace();
        let (kind, name) = (words.next().unwrap_or(""), words.next().unwrap_or(""));
        match kind {
            "thread" | "grade" | "wire" | "washer" | "screw" | "insert-nut" | "fuse" | "breaker" | "terminal"
            | "tool" | "hazard" | "protection" | "part" | "action" => {
                rows += 1;
            }
            "reference" => {}
            _ => continue,
        }
        assert!(PAGE.contains(&format!("| `{name}` ")), "{kind} {name} is not on the page");
    }
    assert!(rows > 500, "only {rows} rows");
    let total = PAGE.lines().find(|line| line.starts_with("| All ")).expect("the counts");
    assert_eq!(total.split('|').nth(2).map(str::trim), Some(rows.to_string().as_str()), "{total}");
}

#[test]
fn every_number_of_a_row_stands_on_its_line_of_the_page() {
    let mut compared = 0;
    for line in LIBRARIES.iter().flat_map(|text| text.lines()) {
        let Some((kind, rest)) = line.split_once(' ') else { continue };
        if !["thread", "grade", "washer", "screw", "insert-nut", "wire"].contains(&kind) || line.starts_with('#') {
            continue;
        }
        let (name, row) = rest.trim().split_once(' ').expect("a row says something");
        let on_page =
            PAGE.lines().filter(|other| other.starts_with(&format!("| `{name}` "))).collect::<Vec<_>>().join("\n");
        let values = row.split(", ").filter(|part| !part.starts_with("source "));
        for word in
            values.flat_map(|value| value.split(' ')).filter(|word| word.starts_with(|c: char| c.is_ascii_digit()))
        {
            assert!(on_page.contains(word), "{kind} {name}: {word} is not in\n{on_page}");
            compared += 1;
        }
    }
    assert!(compared > 850, "only {compared} numbers");
}

#[test]
fn a_company_can_audit_its_own_library() {
    let ours = "library ours \"Ours\"\nreference maker \"Data sheet\" confirmed \"printed copy\"\n\
                thread M9 9 mm x 1.25 mm, hex-bolt 14 mm, source maker\ntool jig \"Jig | left\"\n";
    let page = audit::page("Ours", [("ours", ours)].into_iter());
    assert!(page.contains("| `M9` | 9 mm × 1.25 mm | 14 mm    | maker C      | C       |"), "{page}");
    assert!(page.contains("Jig \\| left"), "{page}");
}
