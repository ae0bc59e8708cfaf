//! The outputs: what a technician reads, what an app reads, and what hostile text may not do to them.
//!
//! Checks by programs that are not ours (Nu, axe, ajv, jsonschema, a browser's print) stand in `tests/oracles/`; they run
//! on the files that `FITWRIGHT_SAMPLES=DIR cargo test --test all emit::samples` writes.

mod actions;
mod figures;
mod joints;
mod laid_out;
mod maps;
mod order;
mod packing;
mod scale;
mod truth;
mod wire_list;

use std::path::Path;

use fitwright::account::Account;
use fitwright::compare;
use fitwright::compile;
use fitwright::diagnostics::Severity;
use fitwright::emit::checklist::{self, Checklist};
use fitwright::emit::{self, Extras, Outputs};
use fitwright::plan::Plan;
use fitwright::record;
use fitwright::resolve::resolve;
use fitwright::schema::For;
use fitwright::source::Sources;
use fitwright::tally;
use fitwright::world::Memory;
use sha2::{Digest, Sha256};

const EVERY_KIND: &str = include_str!("emit/every-kind.fitw");
const HOSTILE: &str = include_str!("emit/hostile.fitw");
const BRACKET: &[u8] = include_bytes!("../procedures/figures/kestrel-bracket.png");
const RAIL: &[u8] = include_bytes!("emit/rail.svg");

/// Builds a procedure that must resolve without an error.
fn build(name: &str, text: &str) -> (Outputs, Sources) {
    build_with(name, text, Extras::default())
}

/// The same with files that are made on demand.
fn build_with(name: &str, text: &str, extras: Extras) -> (Outputs, Sources) {
    let world = Memory::default().with(name, text).with("rail.svg", RAIL).with("figures/kestrel-rail.svg", RAIL);
    let world = world.with("figures/kestrel-bracket.png", BRACKET);
    let mut sources = Sources::default();
    let resolved = resolve(name, &world, &mut sources);
    let errors: Vec<&str> = resolved
        .findings
        .iter()
        .filter(|finding| finding.severity() == Severity::Error)
        .map(|finding| finding.message.as_str())
        .collect();
    assert_eq!(errors, Vec::<&str>::new(), "{name} must be clean");
    let plan = Plan::new(resolved.procedure.expect("a procedure"));
    let outputs = emit::emit_with(
        &plan,
        &Account::of(&plan, true, &[], Vec::new()),
        &sources,
        &|path| resolved.figures.get(path).cloned(),
        extras.into(),
    );
    (outputs.expect("outputs"), sources)
}

fn file<'a>(outputs: &'a Outputs, name: &str) -> &'a str {
    let (_, bytes) = outputs.files.iter().find(|(own, _)| own == name).expect("the file");
    std::str::from_utf8(bytes).expect("UTF-8")
}

/// A small procedure around some declarations and steps.
fn small(declarations: &str, steps: &str) -> String {
    format!(
        "procedure small \"Small\"\nuse std/fasteners\nuse std/hand-tools\n{declarations}\nsection work \"Work\" {{\n{steps}\n\
         handover {{ sign installer }}\n}}\n"
    )
}

/// The files of a build, in the order in which the first paragraph of that chapter of the README tells of them.
fn told_of(readme: &str) -> Vec<&str> {
    let (_, after) = readme.split_once("### What a build writes\n\n").expect("the chapter");
    let paragraph = after.split("\n\n").next().unwrap_or_default();
    let quoted = paragraph.split('`').skip(1).step_by(2);
    let told: Vec<&str> = quoted.filter(|name| name.contains('.') && !name.contains('/')).collect();
    assert!(told.len() > 8, "the chapter was not found whole: {told:?}");
    told
}

/// The outside checks build every sample of this folder and look at what comes out.
#[test]
fn what_the_outside_checks_look_at_can_be_built() {
    let mut seen = 0;
    for entry in std::fs::read_dir("tests/emit").expect("the folder") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|ending| ending == "fitw") {
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            let text = std::fs::read_to_string(&path).expect("the sample");
            let world =
                Memory::default().with(&name, text).with("rail.svg", RAIL).with("figures/kestrel-rail.svg", RAIL);
            let world = world.with("figures/kestrel-bracket.png", BRACKET);
            let compiled = compile::check(&name, &world);
            let errors = compiled.findings().iter().filter(|finding| finding.severity() == Severity::Error);
            assert_eq!(
                errors.map(|finding| finding.message.as_str()).collect::<Vec<_>>(),
                Vec::<&str>::new(),
                "{name}"
            );
            seen += 1;
        }
    }
    assert!(seen >= 3, "{seen} samples");
}

#[test]
fn the_files_come_in_a_fixed_order_and_the_same_bytes() {
    let (first, _) = build("every-kind.fitw", EVERY_KIND);
    let (second, _) = build("every-kind.fitw", EVERY_KIND);
    assert_eq!(first, second);
    // The annex stands behind the manual, is listed in the build record, and changes nothing else.
    let annexed = || build_with("every-kind.fitw", EVERY_KIND, Extras { annex: true }).0;
    let more = annexed();
    assert_eq!(more, annexed());
    let names: Vec<&str> = more.files.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, told_of(include_str!("../README.md")));
    assert!(file(&more, "build.json").contains("annex.html") && !file(&first, "build.json").contains("annex.html"));
    for (name, bytes) in first.files.iter().filter(|(name, _)| name != "build.json") {
        assert!(more.files.iter().any(|(own, same)| own == name && same == bytes), "{name}");
    }
}

/// Every declaration and line of the language, by words that only it puts on paper.
#[test]
fn nothing_that_a_procedure_says_is_left_out_of_the_manual() {
    let (outputs, _) = build_with("every-kind.fitw", EVERY_KIND, Extras { annex: true });
    let missing = |name: &str, said: &[&str]| -> Vec<String> {
        let page = file(&outputs, name).replace('\u{a0}', " ").replace("&#x2f;", "/").replace("&#x27;", "'");
        let page = page.to_lowercase();
        said.iter().filter(|words| !page.contains(&words.to_lowercase())).map(|words| (*words).to_owned()).collect()
    };
    let said = [
        "Things that fit",
        "A person who tests compilers",
        "Local codes decide about the wiring.",
        "Safety glasses",
        "Short arm",
        "Permitted load",
        "The hook stands in the way of the motor.",
        "Width of the rail",
        "The roof bears the rack",
        "Do not fit it.",
        "The rail leaves room",
        "Known after step 1.1.",
        "Fit the short arm.",
        "number KR-1042",
        "use once",
        "Bolt M8 × 30 mm, class 8.8, hex head",
        "Copper grease",
        "Harness, 7 m",
        "Sill trim",
        "Torque wrench, 3/8 in drive",
        "Face visor",
        "DANGER",
        "NOTICE",
        "WARNING",
        "Gas of the battery explodes.",
        "It will blind.",
        "Vans before 2019",
        "Pad: <b>none</b>",
        "Add a shim",
        "thick or none (table 1)",
        "saves time",
        "Run on",
        "finger-tight",
        "no play, and it still swings",
        "thread zinc plated",
        "crosswise in 2 stages, first to 11 N·m (8.1 lbf·ft), then to <span",
        "Already on the vehicle",
        "bolt M8 × 30 mm, class 8.8, hex head; 2 × washer M8; nut M8, class 8, nylon insert (bag A), for ",
        "Both fastenings of",
        "2 × </b>Trim clip",
        "Discard",
        "with the parts that came off",
        "in this order:",
        "Lug, 8 AWG, M8",
        "Serial number",
        "The harness at the sill",
        "Pass if",
        "If it fails:",
        "Only when",
        "Set",
        "Lower the arm",
        "Only when: ",
        "Engine: stopped",
        "At most 2 times",
        "after the last repair",
        "Go on:",
        "Tell the customer about the gap.",
        "Call the maker.",
        "Otherwise:",
        "The door would strike the arm.",
        "How the arm comes down.",
        "The record.",
        "Old clips: plastics.",
        "Keep this sheet in the van.",
        "Installer",
        "Customer",
        "6.5 m (21.3 ft)",
        "18 A",
        "30 A, 150 mm",
        "at most 5 %",
        "Battery lead: off the post",
        "data:image/svg+xml;base64,",
        "The rail from the side",
        "7 min to 10 min",
        "2 people",
        "Wire: 8 AWG copper",
    ];
    assert_eq!(missing("manual.html", &said), Vec::<String>::new(), "not in the manual");
    // What only whoever judges the work asks for.
    let judged = [
        "Grip</dt><dd>14",
        "zinc plated",
        "Clamps with</dt><dd>about",
        "Into</dt><dd>cast iron, 3 mm",
        "Onto</dt><dd>stud M8",
        "Insulation rating",
        "105 °C",
        "40 °C",
        "manual.html#step-torque",
        "Way of the work",
        "On the bench",
    ];
    assert_eq!(missing("annex.html", &judged), Vec::<String>::new(), "not in the annex");
}

/// What the manual says of every kind of thing stands in the checklist too, under a member of its own.
#[test]
fn what_the_manual_says_the_checklist_says() {
    let (outputs, _) = build("every-kind.fitw", EVERY_KIND);
    let data: serde_json::Value = serde_json::from_str(file(&outputs, "checklist.json")).expect("JSON");
    let local_codes = data["procedure"]["local_codes"].as_str().expect("a sentence");
    let manual = file(&outputs, "manual.html").replace("&#x27;", "'");
    assert!(manual.contains(local_codes), "{local_codes}");
    let row = |table: &str, name: &str, id: &str| -> serde_json::Value {
        let mut rows = data[table].as_array().expect("rows").iter();
        rows.find(|row| row[name] == id).unwrap_or_else(|| panic!("{table} {id}")).clone()
    };
    let mut lines = std::collections::BTreeMap::new();
    let mut steps = std::collections::BTreeMap::new();
    each_object(&data["flow"], &mut |object| {
        let id = object.get("id").and_then(|id| id.as_str()).unwrap_or_default().to_owned();
        if let Some(does) = object.get("does") {
            lines.insert(id.clone(), does.clone());
        }
        if !object.contains_key("means") {
            steps.insert(id, serde_json::Value::Object(object.clone()));
        }
    });
    let said = [
        (&row("limits", "id", "rail-room")["when_words"], "Arm: powered arm, 12 V"),
        (&row("rules", "id", "rule.arm+tow")["words"], "Arm: powered arm, 12 V goes only with Tow hook: no."),
        (&row("parts", "id", "clip")["detail"], "use once"),
        (&row("kit", "id", "box-powered")["when_words"], "Arm: powered arm, 12 V"),
        (&row("kit", "id", "bag-A")["called"], "bag A"),
        (&lines["place.take.bracket+grease"]["parts"][0]["from"], "the box"),
        (&lines["place.take.bracket+grease"]["parts"][0]["kit"][0], "box"),
        (&row("joints", "id", "rail")["each"][0]["from"], "bag A"),
        (&row("joints", "id", "rail")["thread"], "zinc plated"),
        (&row("joints", "id", "rail")["pattern"]["words"], "crosswise in 2 stages, first to 11 N·m (8.1 lbf·ft)"),
        (&row("joints", "id", "pivot-joint")["tight"], "no play, and it still swings"),
        (&row("tools", "id", "torque-wrench-40")["detail"], "8 to 40 N·m (6.0 to 29.5 lbf·ft)"),
        (&lines["torque.tighten.rail"]["tools"][2]["words"], "Spanner, 13 mm"),
        (&lines["light.do.lower"]["needs"][0]["words"], "Engine: stopped"),
        (&lines["place.use.soft-mallet"]["benefit"], "saves time"),
        (&steps["run"]["qualified"]["work"][0], "Electrical work"),
        (
            &steps["run"]["qualified"]["words"],
            "Electrical work. Local codes and licensed practice decide who may do this step.",
        ),
        (&steps["place"]["takes"]["words"], "5 min to 8 min, 2 people"),
        (&steps["wire"]["when_words"], "Arm: powered arm, 12 V"),
        (&steps["fit.choose.width"]["arms"][0]["covers"], "20 to 45 mm (0.79 to 1.77 in)"),
        (&row("circuits", "id", "feed")["wire_words"], "8 AWG copper"),
        (&row("circuits", "id", "feed")["points"][0]["detail"], "Lug, 8 AWG, M8; stud M8"),
        (&row("lay_out", "title", "Soft-faced mallet")["benefit"], "saves time"),
        (&row("wear", "protection", "visor")["steps"][0], "look"),
        (&row("inputs", "id", "width")["reads_shown"], "1 mm"),
        (&data["procedure"]["time"]["people"], "2 people"),
    ];
    for (is, wanted) in said {
        let is = is.as_str().unwrap_or("nothing").replace('\u{a0}', " ");
        assert_eq!(is, wanted);
    }
}

/// Every line of every step is in the checklist, in its order, under an id of its own.
#[test]
fn the_checklist_has_every_line_under_an_id_of_its_own() {
    let (outputs, _) = build("every-kind.fitw", EVERY_KIND);
    let checklist = file(&outputs, "checklist.json");
    let data: serde_json::Value = serde_json::from_str(checklist).expect("JSON");
    let mut ids = Vec::new();
    let mut kinds = std::collections::BTreeSet::new();
    each_object(&data["flow"], &mut |object| {
        ids.extend(object.get("id").and_then(|id| id.as_str()).map(str::to_owned));
        kinds.extend(object.get("kind").and_then(|kind| kind.as_str()).map(str::to_owned));
    });
    let mut unique: Vec<String> = ids.iter().filter(|id| id.contains('.')).cloned().collect();
    unique.sort();
    let count = unique.len();
    unique.dedup();
    assert_eq!(unique.len(), count, "ids of lines and branches are used once");
    assert!(ids.iter().any(|id| id == "torque.tighten.rail") && ids.iter().any(|id| id == "shift.tighten.rail"));
    let every = [
        "check",
        "choose",
        "connect",
        "discard",
        "do",
        "figure",
        "go-on",
        "handover",
        "keep",
        "loosen",
        "make",
        "message",
        "need",
        "note",
        "place",
        "read",
        "record-photo",
        "record-reading",
        "record-text",
        "record-torque",
        "refit",
        "refit-joint",
        "remove",
        "remove-joint",
        "set",
        "show",
        "sign",
        "snug",
        "step",
        "stop",
        "take",
        "text",
        "tighten",
        "use",
        "wear",
        "when",
        "dispose",
    ];
    let missing: Vec<&&str> = every.iter().filter(|kind| !kinds.contains(**kind)).collect();
    assert!(missing.is_empty(), "kinds of line without an example: {missing:?}");
}

fn each_object(value: &serde_json::Value, found: &mut dyn FnMut(&serde_json::Map<String, serde_json::Value>)) {
    match value {
        serde_json::Value::Object(object) => {
            found(object);
            object.values().for_each(|value| each_object(value, found));
        }
        serde_json::Value::Array(values) => values.iter().for_each(|value| each_object(value, found)),
        _ => {}
    }
}

/// A reader of the types reads what their writer wrote, and no number is left to binary fractions.
#[test]
fn the_checklist_survives_reading_and_carries_exact_numbers_as_text() {
    let (outputs, _) = build("every-kind.fitw", EVERY_KIND);
    let text = file(&outputs, "checklist.json");
    let read: Checklist = serde_json::from_str(text).expect("a checklist");
    let again = serde_json::to_string_pretty(&read).expect("JSON") + "\n";
    assert_eq!(text, again);
    let data: serde_json::Value = serde_json::from_str(text).expect("JSON");
    let mut fractions = Vec::new();
    each_object(&data, &mut |object| {
        fractions.extend(object.iter().filter(|(_, value)| value.is_f64()).map(|(name, _)| name.clone()));
    });
    assert_eq!(fractions, Vec::<String>::new());
    // 2 N.m +- 0.4 N.m: the ends are worked out exactly.
    let trim = read.joints.iter().find(|joint| joint.id == "trim-joint").and_then(|joint| joint.torque.as_ref());
    let trim = trim.expect("a torque");
    let end = |bound: &Option<checklist::terms::Bound>| bound.as_ref().map(|b| (b.value.0.clone(), b.unit.clone()));
    assert_eq!(end(&trim.low), Some(("1.6".to_owned(), "N.m".to_owned())));
    assert_eq!(end(&trim.high), Some(("2.4".to_owned(), "N.m".to_owned())));
}

/// The content digests of the steps of a small checklist, and all ids in its flow.
fn steps_of(text: &str) -> (std::collections::BTreeMap<String, String>, std::collections::BTreeSet<String>) {
    let (outputs, _) = build("small.fitw", text);
    let data: serde_json::Value = serde_json::from_str(file(&outputs, "checklist.json")).expect("JSON");
    let (mut digests, mut ids) = (std::collections::BTreeMap::new(), std::collections::BTreeSet::new());
    each_object(&data["flow"], &mut |object| {
        let text = |name: &str| object.get(name).and_then(|value| value.as_str()).map(str::to_owned);
        ids.extend(text("id"));
        if let (Some(id), Some(digest)) = (text("id"), text("content_digest")) {
            digests.insert(id, digest);
        }
    });
    (digests, ids)
}

#[test]
fn a_content_digest_changes_with_the_meaning_and_ids_survive_the_rest() {
    let text = small(
        "part b bolt M8 x 30 mm, class 8.8, hex head\npart n nut M8\nkit { bag A { 2 b, 2 n } }\n\
         tool wrench \"Wrench\" { torque 8 N.m to 40 N.m }\nobserve ok \"Is it right?\" { yes  no }\n\
         joint j \"Joint\" {\n each b, n\n count 2\n torque 22 N.m +- 2 N.m\n}",
        "step first \"One\" {\n > Place it.\n place j\n}\n\
         step second \"Two\" {\n > Do as in [first].\n tighten j with wrench, socket-13, hold with spanner-13\n record j torque\n}\n\
         check third \"Three\" {\n read ok\n expect ok is yes\n else stop \"No.\"\n}\n\
         when ok is no {\n stop \"Never.\"\n}",
    );
    let (before, ids) = steps_of(&text);
    assert_eq!(before.len(), 3);
    assert!(ids.contains("third.stop") && ids.contains("work.when.ok.then.stop"), "{ids:?}");
    let changed = |from: &str, to: &str| {
        assert!(text.contains(from));
        let (after, now) = steps_of(&text.replace(from, to));
        assert!(now.is_superset(&ids), "{from} to {to}: ids are lost");
        before
            .iter()
            .filter(|(id, digest)| after.get(*id) != Some(*digest))
            .map(|(id, _)| id.clone())
            .collect::<Vec<_>>()
    };
    // A step more in front: other numbers, the same steps. `second` names the number of `first` in its sentence.
    assert_eq!(changed("step first", "step zero \"Zero\" {\n > Look.\n}\nstep first"), Vec::<String>::new());
    assert_eq!(changed("22 N.m", "24 N.m"), ["first", "second"]);
    assert_eq!(changed("Place it.", "Place it gently."), ["first"]);
    assert_eq!(changed("expect ok is yes", "expect ok is no"), ["third"]);
    assert_eq!(changed("\"No.\"", "\"No, stop.\""), ["third"]);
    assert_eq!(changed("Is it right?", "Is it straight?"), ["third"]);
    assert_eq!(changed("\"Never.\"", "\"Not ever.\""), Vec::<String>::new());
}

#[test]
fn units_of_the_other_system_are_listed_for_what_is_answered() {
    let (outputs, _) = build("every-kind.fitw", EVERY_KIND);
    let read: Checklist = serde_json::from_str(file(&outputs, "checklist.json")).expect("a checklist");
    let codes: Vec<&str> = read.units.iter().map(|unit| unit.code.as_str()).collect();
    for code in ["mm", "[in_i]", "kg", "[lb_av]", "N.m", "[lbf_av].[ft_i]"] {
        assert!(codes.contains(&code), "{code} is not in {codes:?}");
    }
}

/// `FITWRIGHT_WRITE_SCHEMA=1 cargo test --test all published_schemas` writes the files anew.
#[test]
fn the_published_schemas_are_those_of_the_types() {
    let schemas = [
        ("checklist-1.schema.json", checklist::schema(For::Writers)),
        ("checklist-1-reader.schema.json", checklist::schema(For::Readers)),
        ("record-1.schema.json", record::schema(For::Writers)),
        ("record-1-reader.schema.json", record::schema(For::Readers)),
        ("comparison-1.schema.json", compare::schema(For::Writers)),
        ("comparison-1-reader.schema.json", compare::schema(For::Readers)),
        ("tally-1.schema.json", tally::schema(For::Writers)),
        ("tally-1-reader.schema.json", tally::schema(For::Readers)),
        ("fit-1.schema.json", fitwright::fit::schema(For::Writers)),
        ("fit-1-reader.schema.json", fitwright::fit::schema(For::Readers)),
    ];
    for (name, schema) in schemas {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("site/schema").join(name);
        if std::env::var_os("FITWRIGHT_WRITE_SCHEMA").is_some() {
            std::fs::write(&path, &schema).expect("written");
        }
        assert!(
            std::fs::read_to_string(&path).unwrap_or_default() == schema,
            "{name} is stale: run `FITWRIGHT_WRITE_SCHEMA=1 cargo test --test all published_schemas` and look at the difference"
        );
    }
}

#[test]
fn the_build_record_tells_the_digests_of_what_went_in_and_came_out() {
    let (outputs, sources) = build("every-kind.fitw", EVERY_KIND);
    let record: serde_json::Value = serde_json::from_str(file(&outputs, "build.json")).expect("JSON");
    let hex = |bytes: &[u8]| Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect::<String>();
    let listed = record["outputs"].as_array().expect("outputs");
    assert_eq!(listed.len() + 1, outputs.files.len());
    for (entry, (name, bytes)) in listed.iter().zip(&outputs.files) {
        assert_eq!(
            (entry["name"].as_str(), entry["sha256"].as_str()),
            (Some(name.as_str()), Some(hex(bytes).as_str()))
        );
    }
    let pictures: Vec<_> = record["figures"].as_array().expect("figures").iter().map(|one| &one["sha256"]).collect();
    assert!(pictures.contains(&&serde_json::json!(hex(RAIL))), "{pictures:?}");
    // The form that `sha256sum` prints, so that anybody can work the digest out.
    let list: String =
        sources.iter().map(|(_, file)| format!("{}  {}\n", hex(file.text.as_bytes()), file.name)).collect();
    assert_eq!(record["source_digest"].as_str(), Some(hex(list.as_bytes()).as_str()));
}

/// Rows 21 to 30 of the list of hostile inputs: text of the author stays text in every language that it passes through.
#[test]
fn hostile_text_stays_text() {
    let (outputs, _) = build("hostile.fitw", HOSTILE);
    for name in ["manual.html", "pick-list.html", "packing-list.html"] {
        let html = file(&outputs, name);
        let scripts = html.matches("<script").count();
        assert_eq!(scripts, usize::from(name == "manual.html"), "only linked data in {name}");
        assert_eq!(html.matches("</style>").count(), 1);
        for element in ["<img", "<iframe", "<a href=\"javascript", "<b onclick", "onerror=alert"] {
            let found = html.matches(element).count();
            let escaped = html.matches(&element.replace('<', "&lt;")).count();
            assert!(found == 0 || (found == escaped && !element.starts_with('<')), "{element} in {name}");
        }
    }
    let manual = file(&outputs, "manual.html");
    assert!(manual.contains("{{7*7}} {% raw %}"), "nothing is filled in twice");
    let linked = manual.split("<script type=\"application/ld+json\">").nth(1).expect("linked data");
    let linked = linked.split("</script>").next().expect("its end");
    let linked: serde_json::Value = serde_json::from_str(linked).expect("JSON");
    assert_eq!(linked["name"].as_str(), Some("a\"}</style><script>alert(1)</script>\\"));
    for name in ["pick-list.csv", "packing-list.csv"] {
        let cells = file(&outputs, name).lines().flat_map(|line| line.split(','));
        let formulas: Vec<&str> =
            cells.filter(|cell| cell.trim_start_matches('"').starts_with(['=', '+', '-', '@', '＝'])).collect();
        assert_eq!(formulas, Vec::<&str>::new(), "{name}");
    }
    serde_json::from_str::<Checklist>(file(&outputs, "checklist.json")).expect("a checklist");
}

/// The panel stands before the heading of its step, and after everything of the step before.
#[test]
fn a_signal_panel_stands_right_before_its_step() {
    let (outputs, _) = build("every-kind.fitw", EVERY_KIND);
    let manual = file(&outputs, "manual.html");
    let at = |words: &str| manual.find(words).unwrap_or_else(|| panic!("{words} is not in the manual"));
    let order = [
        at("Lay a shim below."),
        at("id=\"step-place\""),
        at("A bracket can slide."),
        at("It can injure a person."),
        at("Keep people clear."),
        at("<h3>Place</h3>"),
        at("Put the <b>Bracket</b>"),
    ];
    assert!(order.is_sorted(), "{order:?}");
}

#[test]
fn as_many_tools_are_laid_out_as_one_line_needs_at_once() {
    let text = small(
        "part b bolt M8 x 30 mm, class 8.8, hex head\npart n nut M8\nkit { bag A { 2 b, 2 n } }\n\
         tool wrench \"Wrench\" { torque 8 N.m to 40 N.m }\noption arm \"Arm\" { short \"Short arm\"  long \"Long arm\" }\n\
         joint j \"Joint\" {\n each b, n\n count 2\n torque 22 N.m +- 2 N.m\n}",
        "step first \"One\" {\n place j\n snug j with spanner-13, hold with spanner-13\n}\n\
         step second \"Two\" {\n tighten j with wrench, socket-13, hold with spanner-13 or socket-13\n}\n\
         step third \"Three\" when arm is long {\n use spanner-10 or spanner-11\n use drill optional \"saves time\"\n}",
    );
    let (outputs, _) = build("small.fitw", &text);
    let rows: Vec<Vec<&str>> = file(&outputs, "pick-list.csv")
        .trim_start_matches('\u{feff}')
        .lines()
        .filter(|line| line.starts_with("tool,"))
        .map(|line| line.split(',').collect())
        .collect();
    let row = |name: &str| rows.iter().find(|row| row[2] == name).map(|row| row.join(","));
    let spanner = row("spanner-13").expect("the spanner");
    assert!(spanner.starts_with("tool,,spanner-13,\"Spanner, 13 mm\",2,,hex,,,yes,,small,"), "{spanner}");
    // The second spanner of step one can hold in step two: no row for the choice between spanner and socket.
    assert_eq!(row("spanner-13 or socket-13"), None);
    let choice = row("spanner-10 or spanner-11").expect("a choice that nothing else fills");
    assert!(choice.contains(",yes,Arm: long arm,small,"), "{choice}");
    let drill = row("drill").expect("the drill");
    assert!(drill.contains(",optional,Arm: long arm,small,"), "{drill}");
}

#[test]
fn the_time_is_the_sum_on_the_ways_to_the_handover() {
    let text = small(
        "option arm \"Arm\" { short \"Short arm\"  long \"Long arm\" }\nobserve ok \"Is it right?\" { yes  no }",
        "step a \"A\" {\n takes 10 min\n}\n\
         step b \"B\" when arm is long {\n takes 1 h to 90 min, two people\n}\n\
         check c \"C\" {\n read ok\n takes 2 min\n expect ok is yes\n repair at most 3 times {\n step r \"R\" {\n takes 4 min\n }\n }\n\
         else stop \"Stop.\"\n}\n\
         when ok is no {\n step never \"Never\" {\n takes 100 min\n }\n stop \"No.\"\n}",
    );
    let (outputs, _) = build("small.fitw", &text);
    let manual = file(&outputs, "manual.html").replace('\u{a0}', " ");
    // Short: 10 + 2. Long: 60 to 90 more. The way of 100 minutes ends in a stop. Repairs: 3 times 4 + 2.
    for words in [
        "12 min to 1 h 42 min",
        "12 min: Short arm",
        "1 h 12 min to 1 h 42 min: Long arm",
        "Repairs can add up to 18 min.",
    ] {
        assert!(manual.contains(words), "{words}");
    }
}

#[test]
fn a_wait_counts_where_its_step_states_no_time_and_says_what_for() {
    let text = small(
        "result pad \"Pad\" { thin \"Thin pad\"  thick \"Thick pad\" }",
        "set pad thin\n\
         step a \"A\" {\n > Brush the edge.\n wait 30 min to 45 min \"until the [pad] is *dry*.\"\n}\n\
         step b \"B\" {\n wait 90 s\n takes 5 min\n}",
    );
    let (outputs, _) = build("small.fitw", &text);
    let manual = file(&outputs, "manual.html").replace('\u{a0}', " ");
    // 30 to 45 that are waited, and 5 that hold their wait.
    for words in ["35 min to 50 min", ">Wait<", "30 to 45 min", ", until the Thin pad or Thick pad is *dry*.", "90 s"] {
        assert!(manual.contains(words), "{words}");
    }
    let checklist: serde_json::Value = serde_json::from_str(file(&outputs, "checklist.json")).expect("a checklist");
    let waits: Vec<&serde_json::Value> = checklist["flow"][0]["body"]
        .as_array()
        .expect("steps")
        .iter()
        .flat_map(|step| step["lines"].as_array().into_iter().flatten())
        .filter(|line| line["does"]["wait"].is_object())
        .collect();
    let [first, second] = waits.as_slice() else { panic!("{waits:?}") };
    assert_eq!(first["does"]["kind"], "text", "an app of 1.0 shows it");
    assert_eq!(first["does"]["prose"]["text"], "Wait 30 to 45\u{a0}min, until the Thin pad or Thick pad is *dry*.");
    assert_eq!(first["does"]["wait"]["until"], "until the Thin pad or Thick pad is *dry*");
    assert_eq!(second["does"]["wait"].get("until"), None);
}

/// Writes the outputs of the samples for the checks in `tests/oracles/`, where `FITWRIGHT_SAMPLES` names a folder.
#[test]
fn samples() {
    let Some(folder) = std::env::var_os("FITWRIGHT_SAMPLES") else { return };
    for (name, text) in [("every-kind", EVERY_KIND), ("hostile", HOSTILE)] {
        let folder = Path::new(&folder).join(name);
        std::fs::create_dir_all(&folder).expect("a folder");
        for (file, bytes) in build(&format!("{name}.fitw"), text).0.files {
            std::fs::write(folder.join(file), bytes).expect("written");
        }
    }
}

#[test]
fn every_text_that_somebody_is_told_speaks_its_mentions() {
    let procedure = small(
        "units metric, inch\noption lid \"Lid\" { on \"Lid on\"  off \"Lid off\" }\npart tray \"Drip [tray]\"\nkit { box { 1 tray } }\n\
         given load \"Load\" { range 1 kg to 90 kg }\nlimit light \"Light enough\" { load <= 45 kg  else stop \"Not above [45 kg], see [first].\" }",
        "step first \"First\" {\ntake 1 tray\nnote \"Dry the [tray] at [at most 40 degC], mark \\\\[F\\\\].\"\ntakes 1 min\n}\n\
         check look \"Look\" {\n> Look at the [lid].\nexpect lid is on\nelse go on \"Note the gap of [5 mm].\"\n}\n\
         when load is over 40 kg { stop \"Call for [first] again: [load].\" }",
    )
    .replace("handover { sign installer }", "handover { show \"The [tray].\"\nkeep \"The [tray] card.\"\ndispose \"The [2 m] strap.\"\nnote \"Mind [tray].\"\nsign installer }");
    let (outputs, _) = build("small.fitw", &procedure);
    let manual = file(&outputs, "manual.html").replace("&#x2f;", "/");
    let checklist = file(&outputs, "checklist.json").replace('\u{a0}', " ");
    let manual = manual.replace('\u{a0}', " ");
    for words in [
        "Not above 45 kg (99 lb), see step 1.1.",
        "Dry the Drip [tray] at at most 40 °C (104 °F), mark [F].",
        "Note the gap of 5 mm (0.197 in).",
        "Call for step 1.1 again: Load.",
        "The Drip [tray].",
        "The Drip [tray] card.",
        "The 2 m (6.6 ft) strap.",
        "Mind Drip [tray].",
    ] {
        let near =
            manual.find(words.split(" (").next().unwrap()).map(|at| manual[at..].chars().take(90).collect::<String>());
        assert!(manual.contains(words), "the manual lacks {words:?}: {near:?}");
        assert!(checklist.contains(words), "the checklist lacks {words:?}");
    }
}
