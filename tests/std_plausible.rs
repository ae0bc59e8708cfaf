//! Rows that can't be true are errors where they stand, in a library, in a procedure that uses it, and in a procedure's own
//! text; the standard library's rows and odd ones that are made pass.
//!
//! What is called impossible here is so by a definition or a published formula: ISO 261 and ASME B1.1 (what a thread's name
//! says), ISO 898-1 (the order of the stresses; `pi/4 (d - 0.9382 P)^2` needs a core), ASTM B258 (areas of gauges), IEC 60028
//! (resistivity of copper).

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::render::{Style, human};
use fitwright::diagnostics::{Code, Severity};
use fitwright::world::Memory;

const HEAD: &str = "library ours \"Ours\"\n\nreference memo \"A data sheet\" confirmed \"printed copy\"\n\n";

/// Rows with the code that each gets, alone in a library. The row's own line must be the place.
const FALSE_ROWS: &[(&str, Code)] = &[
    // The hostile row itself; then pitch and diameter of nothing.
    ("thread M9 9 mm x 12.5 mm, hex-bolt 14 mm, source memo", Code::FW0311),
    ("thread M9 9 mm x 4 mm, source memo", Code::FW0311),
    ("thread M9 9 mm x 0 mm, source memo", Code::FW0311),
    ("thread M9 0 mm x 1.25 mm, source memo", Code::FW0311),
    ("thread M9 9 mm x 0.01 mm, source memo", Code::FW0311),
    ("thread M9 9 m x 1.25 mm, source memo", Code::FW0311),
    ("thread 1/2-13 1/2 in x 0 per in, source memo", Code::FW0311),
    ("thread 1/2-13 1/2 in x 1 per in, source memo", Code::FW0311),
    // ISO 261, ASME B1.1: the name is the size.
    ("thread M9 8 mm x 1.25 mm, source memo", Code::FW0311),
    ("thread M9x1 9 mm x 1.25 mm, source memo", Code::FW0311),
    ("thread 1/2-13 1/2 in x 12 per in, source memo", Code::FW0311),
    ("thread #10-24 0.16 in x 24 per in, source memo", Code::FW0311),
    // Heads, keys and heights against the thread.
    ("thread M9 9 mm x 1.25 mm, hex-bolt 0 mm, source memo", Code::FW0311),
    ("thread M9 9 mm x 1.25 mm, hex-bolt 8 mm, source memo", Code::FW0311),
    ("thread M9 9 mm x 1.25 mm, hex-nut 8 mm, source memo", Code::FW0311),
    ("thread M9 9 mm x 1.25 mm, old-hex-nut 1.4 mm, source memo", Code::FW0311),
    ("thread M9 9 mm x 1.25 mm, old-hex-bolt 140 mm, source memo", Code::FW0311),
    ("thread M9 9 mm x 1.25 mm, hex-key 9 mm, source memo", Code::FW0311),
    ("thread M9 9 mm x 1.25 mm, head-height 0 mm, source memo", Code::FW0311),
    ("thread M9 9 mm x 1.25 mm, nut-height at most 74 mm, source memo", Code::FW0311),
    // Forms.
    ("thread M9 9 mm 1.25 mm, source memo", Code::FW0101),
    ("thread M9 x 9 mm 1.25 mm, source memo", Code::FW0114),
    ("thread M9 9 mm x 1.25 mm x 3 mm, source memo", Code::FW0101),
    ("thread M9 9 mm y 1.25 mm, source memo", Code::FW0101),
    ("thread M9 9 mm x 1.25, source memo", Code::FW0303),
    ("thread M9 hex-bolt 14 mm, source memo", Code::FW0114),
    ("thread M9 9 mm x 1.25 mm, hex-bolt 14 mm wide, source memo", Code::FW0101),
    ("thread M9 9 mm x 1.25 mm, hex-bolt 13 mm, hex-bolt 14 mm, source memo", Code::FW0113),
    ("thread M9 9 mm x 1.25 mm, cross-recess, source memo", Code::FW0101),
    ("thread M9 9 mm x 1.25 mm, source", Code::FW0101),
    // Stresses.
    ("grade z proof 0 MPa through 16 mm, source memo", Code::FW0311),
    ("grade z proof 580 MPa through 0 mm, source memo", Code::FW0311),
    ("grade z proof 580 psi through 16 mm, tensile 800 psi through 16 mm, source memo", Code::FW0311),
    ("grade z proof 5800 MPa through 16 mm, source memo", Code::FW0311),
    ("grade z proof 580 MPa through 16 mm, tensile 80 MPa through 16 mm, source memo", Code::FW0311),
    ("grade z proof 660 MPa through 16 mm, yield 640 MPa through 16 mm, source memo", Code::FW0311),
    ("grade z yield 840 MPa through 16 mm, tensile 800 MPa through 16 mm, source memo", Code::FW0311),
    ("grade z proof 580 MPa through 39 mm, proof 600 MPa through 16 mm, source memo", Code::FW0311),
    ("grade z proof 580 MPa through 16 mm, proof 600 MPa through 16 mm, source memo", Code::FW0311),
    ("grade z proof 580 MPa, source memo", Code::FW0101),
    ("grade z proof 580 MPa 16 mm, source memo", Code::FW0101),
    ("grade z proof 580 MPa at 16 mm, source memo", Code::FW0101),
    // Self-tapping screws.
    ("screw ST4.5 4.5 mm x 4.5 mm, source memo", Code::FW0311),
    ("screw ST4.5 4.5 mm x 0 mm, source memo", Code::FW0311),
    ("screw ST4.5 45 mm x 15 mm, source memo", Code::FW0311),
    ("screw ST4.5 4.5 mm x 1.5 mm, hex-head 4 mm, source memo", Code::FW0311),
    ("screw ST4.5 4.5 mm 1.5 mm, source memo", Code::FW0101),
    // Washers and nuts.
    ("washer M8 inside 0 mm, outside 16 mm, source memo", Code::FW0311),
    ("washer M8 inside 7 mm, outside 16 mm, source memo", Code::FW0311),
    ("washer M8-large inside 84 mm, outside 240 mm, source memo", Code::FW0311),
    ("washer M8 inside 8.4 mm, outside 8 mm, source memo", Code::FW0311),
    ("washer 1/2-sae inside 0.344 in, outside 1 in, source memo", Code::FW0311),
    ("washer no-10-sae inside 0.1 in, outside 0.5 in, source memo", Code::FW0311),
    ("washer M8 inside 8.4 mm, outside 16 mm, thick at most 0 mm, source memo", Code::FW0311),
    ("washer M8 inside 8.4 mm, outside 16 mm, thick at most 18 mm, source memo", Code::FW0311),
    ("washer M8 inside 8.4 mm, outside 16 mm, thick at least 1.8 mm, source memo", Code::FW0101),
    ("insert-nut M8 height 0 mm, source memo", Code::FW0311),
    ("insert-nut M8 height at most 95 mm, source memo", Code::FW0311),
    ("insert-nut M8 height at most 9.5 mm, prevails at most 0 N.m, source memo", Code::FW0311),
    ("insert-nut M8 height at most 9.5 mm, prevails at most 600 N.m, source memo", Code::FW0311),
    // Wire.
    ("wire 8-AWG copper, area 0 mm2, source memo", Code::FW0311),
    ("wire 8-AWG copper, area 83.66 mm2, source memo", Code::FW0311),
    ("wire 6-mm2 copper, area 60 mm2, source memo", Code::FW0311),
    ("wire 80-AWG copper, source memo", Code::FW0311),
    ("wire 0-mm2 copper, source memo", Code::FW0311),
    ("wire 8-AWG copper, area 8.366 mm2, least-area 9 mm2, source memo", Code::FW0311),
    ("wire 8-AWG copper, least-area 0 mm2, source memo", Code::FW0311),
    ("wire 8-AWG copper, diameter 0.3264 mm, source memo", Code::FW0311),
    ("wire 8-AWG copper, resistance 0 Ohm per 1000 ft, source memo", Code::FW0311),
    ("wire 8-AWG copper, resistance 0.06282 Ohm per 1000 ft, source memo", Code::FW0311),
    ("wire 8-AWG copper, resistance 0.6282 Ohm per 0 ft, source memo", Code::FW0311),
    ("wire 8-AWG copper, ampacity 0 A at 105 degC, source memo", Code::FW0311),
    ("wire 8-AWG copper, ampacity 8000 A at 105 degC, source memo", Code::FW0311),
    ("wire 8-AWG copper, ampacity 80 A at 10.5 degC, source memo", Code::FW0311),
    ("wire 8-AWG copper, ampacity 80 A at 105 degC, ampacity 70 A at 90 degC, source memo", Code::FW0311),
    ("wire 8-AWG copper, ampacity 80 A at 90 degC, ampacity 70 A at 105 degC, source memo", Code::FW0311),
    ("wire 8-AWG copper, ampacity 80 A through 105 degC, source memo", Code::FW0101),
    ("wire 8-AWG copper, resistance 0.6282 Ohm 1000 ft, source memo", Code::FW0101),
    ("wire thick copper, area 8 mm2, source memo", Code::FW0101),
    ("wire 8-AWG area 8.366 mm2, source memo", Code::FW0114),
    // Terminals, fuses, breakers.
    ("terminal lug \"Lug\" wire 0 mm2, stud M8, source memo", Code::FW0311),
    ("terminal lug \"Lug\" wire 88 AWG, stud M8, source memo", Code::FW0311),
    ("terminal lug \"Lug\" stud M8, source memo", Code::FW0114),
    ("terminal lug \"Lug\" wire 8 AWG, stud, source memo", Code::FW0101),
    ("fuse small \"Fuse\" rated 10 A 0 A, source memo", Code::FW0311),
    ("fuse small \"Fuse\" source memo", Code::FW0114),
    ("breaker big \"Breaker\" rated 1000000 A, source memo", Code::FW0311),
];

/// Odd rows that are made, or that standards which the library lacks have.
const TRUE_ROWS: &[&str] = &[
    // ISO 261: the coarsest pitch against its diameter; a very fine one; trapezoidal thread 10 x 3 (ISO 2904, from memory).
    "thread M1 1 mm x 0.25 mm, source memo",
    "thread M100x2 100 mm x 2 mm, source memo",
    "thread Tr10 10 mm x 3 mm, source memo",
    // Whitworth 1/4-20 is written as UNC is; #4-40 (0.112 in).
    "thread #4-40 0.112 in x 40 per in, source memo",
    "thread 5/16-18 0.3125 in × 18 per in, hex-bolt 0.5 in, source memo",
    // Aluminium and nylon bolts; a class that has a tensile strength only.
    "grade nylon yield 60 MPa through 12 mm, tensile 75 MPa through 12 mm, source memo",
    "grade z tensile 300 MPa through 16 mm, source memo",
    // Fender washers and a coupling nut.
    "washer M8-fender inside 8.4 mm, outside 50 mm, thick at most 1.5 mm, source memo",
    "washer spare inside 8.4 mm, outside 50 mm, source memo",
    "wire 8-AWG aluminium, area 8.366 mm2, resistance 1.03 Ohm per 1000 ft, source memo",
    "wire 0.22-mm2 copper, area 0.22 mm2, source memo",
    "fuse tiny \"Tiny\" rated 250 mA, source memo",
    "terminal any \"Any\" wire at most 6 mm2, source memo",
];

fn checked(path: &str, files: &[(&str, String)]) -> Compiled {
    let world = files.iter().fold(Memory::default(), |world, (path, text)| world.with(*path, text.clone()));
    compile::check(path, &world)
}

fn said(compiled: &Compiled) -> String {
    human(compiled.findings(), compiled.sources(), Style::default())
}

fn codes(compiled: &Compiled) -> Vec<Code> {
    compiled.findings().iter().map(|finding| finding.code).collect()
}

#[test]
fn a_row_that_cannot_be_true_is_an_error_at_the_row() {
    let mut wrong = String::new();
    for (row, code) in FALSE_ROWS {
        let compiled = checked("ours.fitw", &[("ours.fitw", format!("{HEAD}{row}\n"))]);
        let at = |span: fitwright::source::Span| {
            compiled.sources().get(span.file).map(|file| file.position(span.start).line)
        };
        let places: Vec<_> = compiled.findings().iter().map(|finding| finding.span().and_then(at)).collect();
        // A slip in one number may make two members of a row false.
        let all = codes(&compiled);
        let right =
            !all.is_empty() && all.iter().all(|found| found == code) && places.iter().all(|line| *line == Some(5));
        if !right || !compiled.has_errors() || compiled.findings().iter().any(|finding| finding.repair.is_none()) {
            wrong.push_str(&format!("{row}\n  is to be {code}, and is\n{}\n", said(&compiled)));
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn odd_rows_that_are_made_pass() {
    for row in TRUE_ROWS {
        let compiled = checked("ours.fitw", &[("ours.fitw", format!("{HEAD}{row}\n"))]);
        assert_eq!(codes(&compiled), [], "{row}\n{}", said(&compiled));
    }
}

/// A procedure that tightens one bolt of a thread and a class, by far too much.
fn overtight(declarations: &str, thread: &str, class: &str, torque: &str) -> String {
    format!(
        "procedure bench-stop \"Bench stop\"\nuse std/fasteners\nuse std/hand-tools\n{declarations}\n\
         part stop \"Stop\"\npart pin bolt {thread} x 30 mm, class {class}, hex head 14 mm\n\
         kit {{ bag A {{ 1 stop, 1 pin }} }}\n\
         joint hold-it \"Stop to bench\" {{ each 1 pin  torque {torque}  thread dry  into steel 20 mm  grip 8 mm }}\n\
         section work \"Work\" {{\n  step fit \"Fit\" {{\n    take 1 stop, 1 pin\n    place hold-it\n    \
         tighten hold-it with torque-wrench-1-2-drive, socket-14\n  }}\n  handover {{ sign installer }}\n}}\n"
    )
}

#[test]
fn no_torque_goes_unjudged_because_of_a_row() {
    let references = "reference memo \"A data sheet\" confirmed \"printed copy\"\n";
    let good = "thread M9 9 mm x 1.25 mm, hex-bolt 14 mm, source memo\n";
    let grade = "grade 7.7 proof 580 MPa through 16 mm, tensile 800 MPa through 16 mm, source memo\n";
    // M9 x 1.25, 580 MPa: pi/4 (9 - 0.9382 * 1.25)^2 = 48.1 mm2, 27.9 kN; 180 N.m at K = 0.3 gives 66.7 kN.
    let sound = checked(
        "job.fitw",
        &[("job.fitw", overtight(&format!("{references}{good}{grade}"), "M9", "7.7", "180 N.m +- 5 N.m"))],
    );
    assert!(codes(&sound).contains(&Code::FW0705), "{}", said(&sound));
    for (from, to) in [
        ("9 mm x 1.25 mm", "9 mm x 12.5 mm"),
        ("9 mm x 1.25 mm", "9 mm x 0 mm"),
        ("9 mm x 1.25 mm", "0 mm x 1.25 mm"),
        ("9 mm x 1.25 mm", "9 mm 1.25 mm"),
        ("580 MPa", "0 MPa"),
        ("580 MPa", "5800 MPa"),
        ("proof 580 MPa through 16 mm", "proof 580 MPa"),
    ] {
        let rows = format!("{good}{grade}").replace(from, to);
        // In the procedure's own text, and in a library that it uses.
        let own =
            checked("job.fitw", &[("job.fitw", overtight(&format!("{references}{rows}"), "M9", "7.7", "180 N.m"))]);
        let library = [
            ("job.fitw", overtight("use lib/ours", "M9", "7.7", "180 N.m")),
            ("lib/ours.fitw", format!("library ours \"Ours\"\n{references}{rows}")),
        ];
        for compiled in [own, checked("job.fitw", &library)] {
            let about_row = [Code::FW0311, Code::FW0101];
            let found = compiled.findings().iter().filter(|one| about_row.contains(&one.code));
            let places: Vec<_> = found.filter_map(|one| one.span()).collect();
            assert_eq!(places.len(), 1, "{to}\n{}", said(&compiled));
            assert!(compiled.has_errors() && compiled.clean().is_none(), "{to}");
        }
    }
}

#[test]
fn a_torque_that_gives_nothing_to_judge_is_told() {
    let none = checked("job.fitw", &[("job.fitw", overtight("", "M8", "8.8", "0 N.m"))]);
    assert!(codes(&none).contains(&Code::FW0708), "{}", said(&none));
    // A class whose row gives a tensile strength only.
    let rows = "reference memo \"A data sheet\" confirmed \"printed copy\"\n\
                grade 7.7 tensile 800 MPa through 16 mm, source memo\n";
    let none = checked("job.fitw", &[("job.fitw", overtight(rows, "M8", "7.7", "40 N.m +- 2 N.m"))]);
    assert!(codes(&none).contains(&Code::FW0708), "{}", said(&none));
}

#[test]
fn a_line_that_cannot_be_read_leaves_no_half_row_and_no_other_row_in_silence() {
    let rows = "reference memo \"A data sheet\" confirmed \"printed copy\"\nthread M10 ; 10 mm x 1.5 mm, source memo\n";
    let compiled = checked("job.fitw", &[("job.fitw", overtight(rows, "M10", "8.8", "50 N.m +- 2 N.m"))]);
    let errors = compiled.findings().iter().filter(|finding| finding.severity() == Severity::Error);
    let errors: Vec<_> = errors.map(|finding| finding.code).collect();
    assert_eq!(errors, [Code::FW0101], "{}", said(&compiled));
}
