//! A procedure among libraries: whose name is meant, what is worn against what, who may do it, which tools are laid out.

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::render::{Style, human};
use fitwright::diagnostics::{Code, Severity};
use fitwright::world::Memory;

fn compiled_with(text: &str, libraries: &[(&str, &str)]) -> Compiled {
    let world = Memory::default().with("job.fitw", text);
    let world = libraries.iter().fold(world, |world, (name, text)| world.with(*name, *text));
    compile::check("job.fitw", &world)
}

/// A procedure around some declarations and the lines of its only step.
fn job(declarations: &str, lines: &str) -> String {
    format!(
        "procedure job \"Job\"\nuse std/fasteners\nuse std/hand-tools\nuse std/wiring\n{declarations}\n\
         section work \"Work\" {{\n  step do-it \"Do it\" {{\n{lines}\n  }}\n  handover {{ sign installer }}\n}}\n"
    )
}

fn codes(compiled: &Compiled) -> Vec<Code> {
    // The libraries of the head are for all of these texts.
    compiled.findings().iter().map(|finding| finding.code).filter(|code| *code != Code::FW0214).collect()
}

fn said(compiled: &Compiled) -> String {
    human(compiled.findings(), compiled.sources(), Style::default())
}

fn raises(text: &str, wanted: &[Code]) {
    let compiled = compiled_with(text, &[]);
    assert_eq!(codes(&compiled), wanted, "{text}\n{}", said(&compiled));
}

fn message(signal: &str, hazard: &str) -> String {
    format!("{signal} {hazard} {{ hazard \"It is so.\"  consequence \"It hurts.\"  avoid \"Keep away.\" }}")
}

#[test]
fn a_name_of_the_file_hides_the_librarys_and_nothing_else_changes() {
    let text = job("tool drill \"Drill of the kit\"", "> Drill.\nuse drill");
    // The file's own drill brings nothing; the library's would bring flying chips.
    raises(&text, &[Code::FW0210]);
    // A step may have the name of a tool.
    let text = "procedure job \"Job\"\nuse std/hand-tools\nsection work \"Work\" {\n  step clamp \"Clamp\" { note \"So.\" }\n  \
                handover { sign installer }\n}\n";
    raises(text, &[Code::FW0210]);
    // Without `use`, the library's names mean nothing here, so nothing is hidden.
    raises(
        &text.replace("use std/hand-tools\n", "protection face-shield \"Shield\"\nabout { wear face-shield }\n"),
        &[],
    );
}

#[test]
fn two_of_one_name_in_the_file_itself_stay_an_error() {
    raises(&job("tool drill \"One\"\ntool drill \"Two\"", "> Drill.\nuse drill"), &[Code::FW0210, Code::FW0202]);
}

#[test]
fn what_a_library_says_of_its_own_hazard_stays_said_of_it() {
    let own = "hazard noise \"Noise of the press\" { signal warning }\ntool press \"Press\" { brings noise }";
    // The library's tool brings the library's hazard, which ear defenders answer; the file's own they do not.
    let lines = "wear ear-defenders\n> Loosen it.\nuse impact-wrench";
    raises(&job(own, &format!("{lines}, press")), &[Code::FW0210, Code::FW1101]);
    // A message under the name answers both.
    let both = format!("{}\n> Loosen it.\nuse impact-wrench, press", message("warning", "noise"));
    raises(&job(own, &both), &[Code::FW0210]);
    // Its word must be strong enough for both: the library's hidden-lines asks for a warning, the file's for a notice.
    let weak = "hazard hidden-lines \"Lines\" { signal notice }";
    let lines = format!("wear safety-glasses\n{}\n> Drill.\nuse drill", message("notice", "hidden-lines"));
    raises(&job(weak, &lines), &[Code::FW0210, Code::FW1104]);
    // Equipment of the file's own, under the library's name, is that equipment.
    let glasses = "protection safety-glasses \"Glasses of the kit\"";
    raises(&job(glasses, "wear safety-glasses\n> Blow it out.\nuse air-gun"), &[Code::FW0210]);
}

#[test]
fn both_hazards_of_a_name_have_ids_of_their_own() {
    let own = "hazard noise \"Noise of the press\" { signal warning }";
    let text = job(own, &format!("{}\n> Loosen it.\nuse impact-wrench", message("warning", "noise")));
    let compiled = compiled_with(&text, &[]);
    let clean = compiled.clean().expect("only a note");
    let ids: Vec<&str> = clean.hazards.rows().iter().map(|row| row.name.id.as_str()).collect();
    assert!(ids.contains(&"noise") && ids.contains(&"std.noise"), "{ids:?}");
}

#[test]
fn a_library_of_the_project_goes_before_the_standard_library_without_a_word() {
    let ours = ("lib/ours.fitw", "library ours \"Ours\"\nuse std/hazards\ntool drill \"Our drill\" { brings pinch }\n");
    let text = job("use lib/ours", "> Drill.\nuse drill");
    let compiled = compiled_with(&text, &[ours]);
    assert_eq!(codes(&compiled), [Code::FW1101], "{}", said(&compiled));
    assert!(said(&compiled).contains("`pinch`"), "{}", said(&compiled));
    let theirs = ("lib/theirs.fitw", "library theirs \"Theirs\"\ntool drill \"Their drill\"\n");
    let compiled = compiled_with(&text.replace("use lib/ours", "use lib/ours\nuse lib/theirs"), &[ours, theirs]);
    assert!(codes(&compiled).contains(&Code::FW0202), "{}", said(&compiled));
}

#[test]
fn a_row_of_the_file_goes_before_the_librarys() {
    let rows = "reference iso-261 \"Our data sheet\" confirmed \"printed copy\"\n\
                thread M8 8 mm x 1.25 mm, hex-bolt 12 mm, hex-nut 12 mm, source iso-261\n\
                part pin bolt M8 x 30 mm, class 8.8, hex head\npart nut-10 nut M10, class 8\nkit { bag A { 1 pin, 1 nut-10 } }";
    let compiled = compiled_with(&job(rows, "> Take them.\ntake 1 pin, 1 nut-10"), &[]);
    assert_eq!(codes(&compiled), [Code::FW0210], "{}", said(&compiled));
    let clean = compiled.clean().expect("only a note");
    let thread = |at: usize| clean.parts.rows()[at].fastener.as_ref().unwrap().thread.as_ref().unwrap();
    assert_eq!(thread(0).hex_bolt.map(|size| size.to_string()), Some("12 mm".to_owned()));
    assert_eq!(thread(0).sources[0].publication, "Our data sheet");
    // The library's rows go on to name the library's publication of that name.
    assert!(thread(1).sources.iter().any(|source| source.publication.starts_with("ISO 261 and ISO 262")));
}

#[test]
fn names_that_differ_little_from_a_librarys_are_told_where_both_are_used() {
    let own = "tool heatgun \"Heat gun of the kit\"";
    raises(&job(own, "> Shrink it.\nuse heatgun"), &[]);
    let fire = format!("{}\n{}", message("warning", "fire"), message("caution", "hot-surface"));
    raises(&job(own, &format!("{fire}\n> Shrink it.\nuse heatgun, heat-gun")), &[Code::FW0205]);
}

#[test]
fn a_recess_without_a_mark_is_the_one_of_the_standard() {
    // ISO 7049 and ISO 7045: ST4.2 PH2, M6 PH3; ASME B18.6.4: #14 PH3 (public copies of the tables).
    for (form, driver) in [
        ("screw ST4.2 x 19 mm, pan head, cross recess", "screwdriver-ph2"),
        ("screw no-14 x 1 in, pan head, cross recess", "screwdriver-ph3"),
        ("screw M6 x 20 mm, pan head, cross recess", "screwdriver-ph3"),
        ("screw M6 x 20 mm, pan head, hexalobular", "screwdriver-t30"),
        ("screw ST5.5 x 25 mm, hex head", "socket-8"),
    ] {
        let into = if form.contains("screw M") { "steel 10 mm through" } else { "hole 3.5 mm" };
        let declared = format!(
            "part hook {form}\nkit {{ bag A {{ 1 hook }} }}\njoint hold-it \"Hook\" {{ each hook  tight \"head flat\"  into {into} }}"
        );
        raises(&job(&declared, &format!("> Set it.\nplace hold-it\ntighten hold-it with {driver}")), &[]);
        let wrong = if driver == "socket-8" { "socket-10" } else { "screwdriver-ph1" };
        raises(&job(&declared, &format!("> Set it.\nplace hold-it\ntighten hold-it with {wrong}")), &[Code::FW0504]);
    }
}

#[test]
fn kinds_of_work_bring_their_hazards() {
    let licence = "use std/work\nabout { licence \"Local codes go before this procedure.\" }";
    let lines = "> Unplug the airbag.\ndo unplug-airbag";
    raises(&job(licence, lines), &[Code::FW1101]);
    let answered = format!("{}\n{lines}", message("warning", "airbag"));
    raises(&job(licence, &answered), &[]);
    raises(&job("use std/work", &answered), &[Code::FW1105]);
}

const OLD_HEADS: &str = "part post-bolt bolt M12 x 50 mm, class 8.8, hex head\npart post-nut nut M12, class 8\n\
     kit { bag A { 2 post-bolt, 2 post-nut } }\n\
     joint post \"Post\" { each post-bolt, post-nut  count 2  tight \"post does not move\" }";

fn built(text: &str, name: &str) -> String {
    let compiled = compiled_with(text, &[]);
    let outputs = compile::build(&compiled).unwrap_or_else(|| panic!("{}", said(&compiled))).expect("it is emitted");
    let (_, bytes) = outputs.files.into_iter().find(|(file, _)| file == name).expect("the file");
    String::from_utf8(bytes).expect("text")
}

#[test]
fn the_pick_list_names_the_other_size_of_older_and_newer_heads() {
    // ISO 4014 18 mm, DIN 931 19 mm.
    let lines = "> Set the posts.\nplace post\ntighten post with socket-18, hold with spanner-18";
    let list = built(&job(OLD_HEADS, lines), "pick-list.csv");
    assert!(list.contains("\"hex 18 mm, or 19 mm on older bolts and nuts (lay one out too)\""), "{list}");
    // Where a listed tool fits, it is named.
    let lines = format!("{lines}\nuse socket-19");
    let list = built(&job(OLD_HEADS, &lines), "pick-list.csv");
    assert!(list.contains("\"hex 18 mm, or 19 mm on older bolts and nuts (Socket, 19 mm)\""), "{list}");
    let lines = "> Set the posts.\nplace post\ntighten post with socket-19, hold with spanner-19";
    let list = built(&job(OLD_HEADS, lines), "pick-list.csv");
    assert!(list.contains("hex 19 mm, or 18 mm on newer bolts and nuts"), "{list}");
    // M8 heads have been 13 mm in both standards.
    let list = built(&job(&OLD_HEADS.replace("M12", "M8"), &lines.replace("-19", "-13")), "pick-list.csv");
    assert!(!list.contains("older") && !list.contains("newer"), "{list}");
}

#[test]
fn the_manual_says_who_may_do_licensed_work_where_it_is_done() {
    let lines = format!("{}\n> Lift it.\nuse hoist", message("warning", "suspended-load"));
    let without = job("", &lines);
    raises(&without, &[Code::FW1105]);
    let with = job("about { licence \"Local codes go before this procedure.\" }", &lines);
    let manual = built(&with, "manual.html");
    assert!(manual.contains("Lifting work."), "the step does not say it");
    assert!(manual.contains("Local codes go before this procedure."), "the opening does not say it");
    let quiet = built(&job("about { licence \"Local codes go first.\" }", "> Look at it."), "manual.html");
    assert!(!quiet.contains("Qualified person"), "a step that is no such work says it");
}

#[test]
fn findings_of_an_inch_procedure_give_inch_values_first() {
    let declared = "units inch, metric\npart pin bolt 3/8-16 x 1 1/2 in, grade 5, hex head\nkit { bag A { 1 pin } }\n\
                    joint hold-it \"Pin\" { each pin  torque 10 lbf.ft +- 1 lbf.ft }\n\
                    measure gap \"Gap\" { range 1/4 in to 18 in  reads 1/16 in  with steel-rule }\n\
                    fact reach = 3/8";
    let lines = "> Set it.\nread gap\nrecord gap\nplace hold-it\n\
                 tighten hold-it with torque-wrench-1-2-drive, socket-9-16-inch";
    let compiled = compiled_with(&job(declared, lines), &[]);
    let mut told = String::new();
    for finding in compiled.findings() {
        let labels = finding.labels.iter().map(|label| label.text.as_str());
        let texts = std::iter::once(finding.message.as_str()).chain(labels).chain(finding.repair.as_deref());
        told.push_str(&texts.collect::<Vec<_>>().join("\n"));
    }
    // Numbers and units are held together by blanks that no line is broken at.
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    // 40 N.m and 200 N.m are 29.5 and 147.5 lbf.ft (NIST SP 811: 1.355818 N.m), 300 mm is 11.8 in.
    assert!(told.contains("its range is 29.6 to 147.5 lbf·ft (40 to 200 N·m)"), "{told}");
    assert!(told.contains("`steel-rule` reads 0.00 to 11.81 in (0 to 300 mm)"), "{told}");
    assert!(told.contains("for example `3/8 in`"), "{told}");
    assert!(compiled.findings().iter().all(|finding| finding.severity() != Severity::Note));
}

/// A section that is called as the block is called gives it its heading; any other stands above one of its own.
#[test]
fn the_handover_has_one_heading() {
    let headings = |title: &str| {
        let text = format!(
            "procedure shelf \"Shelf\"\nrevision A 2026-11-29\nsection fit \"Fit it\" {{ step look \"Look\" {{\n> Look at it.\n}} }}\n\
             section last \"{title}\" {{ handover {{ sign installer }} }}"
        );
        built(&text, "manual.html").matches("<h3>Hand over</h3>").count()
    };
    // The section has its own above.
    assert_eq!((headings("Hand over"), headings("At the end")), (0, 1));
}
