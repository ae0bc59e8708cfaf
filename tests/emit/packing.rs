//! The packing list.

use super::{build, file, small};

const KIT: &str = "part plate \"Plate\" { mass 1.5 kg  number \"P-100\" }\npart bracket \"=Bracket\" { mass 2 lb }\npart nut-8 nut M8\n\
    part tape \"Tape\" { consumable }\noption arm \"Arm\" { short \"Short arm\"  long \"Long arm\" }\n\
    kit {\n bag A { 2 plate, 4 nut-8 }\n bag A when arm is long { 1 bracket }\n box when arm is long { 1 plate }\n shop { tape }\n}";
const STEPS: &str = "step one \"One\" { take 2 plate, 4 nut-8, tape }\n\
    step two \"Two\" when arm is long { take 1 bracket, 1 plate }";

/// RFC 4180: cells of a line without line breaks in them.
pub(crate) fn cells(line: &str) -> Vec<String> {
    let (mut cells, mut cell, mut quoted) = (Vec::new(), String::new(), false);
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(std::mem::take(&mut cell)),
            c => cell.push(c),
        }
    }
    cells.push(cell);
    cells
}

#[test]
fn what_lies_in_one_bag_is_one_pack_with_the_conditions_beside_the_rows() {
    let (outputs, _) = build("small.fitw", &small(KIT, STEPS));
    let csv = file(&outputs, "packing-list.csv");
    assert!(csv.starts_with('\u{feff}') && csv.ends_with("\r\n"));
    let mut rows: Vec<Vec<String>> = csv.trim_start_matches('\u{feff}').lines().map(cells).collect();
    // What each row belongs to is held in `truth.rs`.
    rows.iter_mut().for_each(|row| row.truncate(10));
    let row = |text: &str| text.split('|').map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(
        rows,
        [
            row("pack|name|title|count|amount|detail|number|mass_each_kg|mass_kg|when"),
            row("Bag A|plate|Plate|2|||P-100|1.5|3|"),
            row("Bag A|nut-8|Nut M8|4||||||"),
            row("Bag A|bracket|'=Bracket|1||||0.907|0.907|Arm: long arm"),
            row("Box|plate|Plate|1|||P-100|1.5|1.5|Arm: long arm"),
        ],
        "the workshop's own stock is not packed"
    );
    let page = file(&outputs, "packing-list.html").replace('\u{a0}', " ");
    assert_eq!(page.matches("<article class=\"card\"").count(), 2, "a label for each pack");
    // 2 lb are 0.90718474 kg (the international pound is 0.45359237 kg exactly); as written, to one decimal.
    assert!(page.contains("3.0 kg, 0.9 kg (2 lb) more when Arm: long arm; 1 other row states no mass"), "{page}");
    assert!(!page.contains("Tape"));
    assert!(!page.contains("1 of 2"), "how many packs there are depends on the arm");
}

#[test]
fn without_bags_and_boxes_the_page_says_so() {
    let text = small("part tape \"Tape\" { consumable }\nkit { shop { tape } }", "step one \"One\" { take tape }");
    let (outputs, _) = build("small.fitw", &text);
    assert!(file(&outputs, "packing-list.html").contains("Nothing is packed for this procedure"));
    assert_eq!(file(&outputs, "packing-list.csv").lines().count(), 1);
}
