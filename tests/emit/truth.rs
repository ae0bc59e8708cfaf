//! What paper says must be so: one fact, said once and rightly.

use std::collections::BTreeMap;

use fitwright::compile;
use fitwright::emit::Outputs;
use fitwright::tailor::Wish;
use fitwright::world::Memory;

use super::{build, file, small};

/// The file without the blanks that do not break.
fn plain(outputs: &Outputs, name: &str) -> String {
    file(outputs, name).replace('\u{a0}', " ")
}

/// Without marks either: what a person reads.
pub(super) fn read(outputs: &Outputs, name: &str) -> String {
    let html = plain(outputs, name);
    let body = html.split_once("</style>").map_or(html.as_str(), |(_, body)| body);
    let mut text = String::new();
    let mut inside = false;
    for c in body.chars() {
        match c {
            '<' => inside = true,
            '>' if inside => {
                inside = false;
                text.push(' ');
            }
            c if !inside => text.push(c),
            _ => {}
        }
    }
    let text = text.replace("&#x2f;", "/").replace("&#x27;", "'").replace("&quot;", "\"");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn tailored(text: &str, fitting: &[(&str, &str)]) -> Outputs {
    let world = Memory::default().with("small.fitw", text);
    let compiled = compile::check("small.fitw", &world);
    let wishes: Vec<Wish> =
        fitting.iter().map(|(name, value)| Wish { name: (*name).to_owned(), value: (*value).to_owned() }).collect();
    let built = compile::build_tailored(&compiled, &wishes)
        .unwrap_or_else(|| panic!("{:?}", compiled.findings().iter().map(|f| &f.message).collect::<Vec<_>>()))
        .expect("an allowed fitting");
    built.outputs.expect("outputs")
}

fn checklist(outputs: &Outputs) -> serde_json::Value {
    serde_json::from_str(file(outputs, "checklist.json")).expect("JSON")
}

/// RFC 4180: rows by the names of their columns.
pub(super) fn table(outputs: &Outputs, name: &str) -> Vec<BTreeMap<String, String>> {
    let csv = file(outputs, name).trim_start_matches('\u{feff}');
    let mut rows = csv.lines().map(super::packing::cells);
    let head = rows.next().expect("a header");
    rows.map(|cells| {
        assert_eq!(cells.len(), head.len(), "every row has all cells");
        head.iter().cloned().zip(cells).collect()
    })
    .collect()
}

/// A fitting of everything that shares a title: two wrenches of one title, and a socket by two titles.
const TWO_WRENCHES: &str = "tool wrench-a \"Torque wrench\" { torque 5 N.m to 25 N.m }\n\
    tool wrench-b \"Torque wrench\" { torque 20 N.m to 100 N.m }\n\
    part bolt-8 bolt M8 x 30 mm, class 8.8, hex head\npart nut-8 nut M8, class 8\n\
    kit { shop { 2 bolt-8, 2 nut-8 } }\n\
    joint rail \"Rail\" { each bolt-8, nut-8  count 1  torque 22 N.m +- 2 N.m  thread plated  grip 14 mm }\n\
    joint foot \"Foot\" { each bolt-8, nut-8  count 1  torque 22 N.m +- 2 N.m  thread plated  grip 14 mm }";
const TWO_STEPS: &str = "step one \"One\" {\n place rail\n tighten rail with wrench-a, socket-13, hold with spanner-13\n}\n\
    step two \"Two\" {\n place foot\n tighten foot with wrench-b, socket-13, hold with spanner-13\n}";

#[test]
fn tools_of_one_title_are_told_apart_wherever_they_stand() {
    let (outputs, _) = build("small.fitw", &small(TWO_WRENCHES, TWO_STEPS));
    let manual = read(&outputs, "manual.html");
    let (one, two) = ("Torque wrench (5 to 25 N·m)", "Torque wrench (20 to 100 N·m)");
    for title in [one, two] {
        // The step, the torque table and the index.
        assert!(manual.matches(title).count() >= 3, "{title} {}: {manual}", manual.matches(title).count());
    }
    // A list has the range in a column of its own, and says it once.
    let pick_list = read(&outputs, "pick-list.html");
    assert!(pick_list.contains("1 Torque wrench 5 to 25 N·m 1 Torque wrench 20 to 100 N·m"), "{pick_list}");
    let wrenches: Vec<(String, String)> = table(&outputs, "pick-list.csv")
        .iter()
        .filter(|row| row["title"] == "Torque wrench")
        .map(|row| (row["title"].clone(), row["detail"].clone()))
        .collect();
    assert!(matches!(&wrenches[..], [one, two] if one.1 != two.1), "{wrenches:?}");
    let data = checklist(&outputs);
    let tools: Vec<String> = data["tools"]
        .as_array()
        .expect("tools")
        .iter()
        .filter_map(|tool| Some(tool["title"].as_str()?.replace('\u{a0}', " ")))
        .collect();
    for title in [one, two, "Socket, 13 mm"] {
        assert!(tools.contains(&title.to_owned()), "{title}: {tools:?}");
    }
}

#[test]
fn parts_of_one_title_are_told_apart_and_one_article_is_counted_once() {
    let parts = "part plate-l \"Plate\" { number \"P-1\" }\npart plate-r \"Plate\" { number \"P-2\" }\n\
        part front-bolt bolt M8 x 30 mm, class 8.8, hex head\npart rear-bolt bolt M8 x 30 mm, class 8.8, hex head\n\
        kit { bag A { 1 plate-l, 1 plate-r, 4 front-bolt, 2 rear-bolt } }";
    let steps = "step one \"One\" { take 1 plate-l, 4 front-bolt }\nstep two \"Two\" { take 1 plate-r, 2 rear-bolt }";
    let (outputs, _) = build("small.fitw", &small(parts, steps));
    let manual = read(&outputs, "manual.html");
    assert!(manual.contains("Plate (P-1)") && manual.contains("Plate (P-2)"), "{manual}");
    for list in ["packing-list.csv", "pick-list.csv"] {
        let rows = table(&outputs, list);
        let bolts: Vec<(&str, &str)> = rows
            .iter()
            .filter(|row| row["title"].starts_with("Bolt"))
            .map(|row| (row["name"].as_str(), row["count"].as_str()))
            .collect();
        assert_eq!(bolts, [("front-bolt + rear-bolt", "6")], "{list}");
    }
    // The list and the label.
    let page = read(&outputs, "packing-list.html");
    assert_eq!(page.matches("Bolt M8 × 30 mm").count(), 2, "{page}");
    assert!(page.contains("6 × Bolt M8 × 30 mm"), "{page}");
}

const SIDES: &str = "option side \"Loading side\" { kerb \"Kerb side\"  road \"Road side\" }\n\
    option supply \"Supply\" { low \"LED bar\"  high \"Heron bar\" }\n\
    given mass \"Mass of the ladders\" { range 10 kg to 60 kg }\n\
    state lamp \"Lamp\" { off \"off\"  on \"on\"  starts off  ends off }";
const SIDE_STEPS: &str = "step turn \"Turn\" {\n > Turn the arm towards the [side]. [side] first, then the [supply]. \
    It bears [mass].\n note \"Mind the [side].\"\n need lamp off\n}\n\
    step only-kerb \"Kerb\" when side is kerb and supply is low {\n > The Heron works.\n }";

#[test]
fn a_mention_of_what_is_settled_is_its_value() {
    let text = small(SIDES, SIDE_STEPS);
    let outputs = tailored(&text, &[("side", "kerb"), ("supply", "low"), ("mass", "40 kg")]);
    let manual = read(&outputs, "manual.html");
    assert!(
        manual.contains("Turn the arm towards the kerb side. Kerb side first, then the LED bar. It bears 40 kg"),
        "{manual}"
    );
    assert!(manual.contains("Mind the kerb side."), "{manual}");
    // A name keeps its capital: the text itself writes it so within a sentence.
    let outputs = tailored(&text, &[("supply", "high")]);
    assert!(read(&outputs, "manual.html").contains("then the Heron bar"));
    let said = file(&outputs, "checklist.json").to_owned();
    assert!(said.contains("then the Heron bar"));
}

#[test]
fn a_condition_names_its_option_and_reads_as_english() {
    let text = small(
        "option adapter \"Adapter\" { ready \"Ready made\"  made \"To be made\" }\nobserve lit \"Does it light?\" { yes  no }\n\
         require adapter is ready when adapter is not made \"It is.\"\n\
         part plate \"Plate\"\nkit { bag A when adapter is made { 1 plate } }",
        "step see \"See\" { read lit }\nstep one \"One\" when adapter is made { take 1 plate\n use spanner-13 }\n\
         step two \"Two\" when lit is yes {\n > Go.\n }",
    );
    let (outputs, _) = build("small.fitw", &text);
    for name in ["manual.html", "pick-list.html", "packing-list.html"] {
        let page = read(&outputs, name);
        assert!(page.contains("Only when Adapter: to be made"), "{name}: {page}");
        assert!(!page.contains("Only with"), "{name}: {page}");
    }
    assert!(read(&outputs, "manual.html").contains("Only when Does it light? yes"));
    assert_eq!(table(&outputs, "pick-list.csv")[0]["when"], "Adapter: to be made");
}

#[test]
fn what_this_fitting_has_not_is_never_a_condition() {
    let text = small(
        "option arm \"Arm\" { gas \"Gas strut\"  powered \"Powered arm\" }\n\
         part bolt-8 bolt M8 x 30 mm, class 8.8, hex head\npart nut-8 nut M8, class 8\nkit { shop { 2 bolt-8, 2 nut-8 } }\n\
         joint rail \"Rail\" when arm is powered { each bolt-8, nut-8  count 1  torque 22 N.m +- 2 N.m  thread plated  grip 14 mm }\n\
         measure gap \"Gap\" { range 0 mm to 60 mm  reads 1 mm  with steel-rule }",
        "step see \"See\" when arm is powered {\n > See the [rail].\n }\n\
         step tight \"Tight\" when arm is powered {\n place rail\n tighten rail with torque-wrench-3-8-drive, socket-13, hold with spanner-13\n }\n\
         check fits \"Fits\" {\n read gap\n expect arm is powered\n expect gap is at most 5 mm\n else go on \"Tell it.\"\n }",
    );
    let outputs = tailored(&text, &[("arm", "gas")]);
    for name in ["manual.html", "pick-list.html", "checklist.json", "job.html"] {
        assert!(!file(&outputs, name).contains("never with what was chosen"), "{name}");
    }
    let manual = read(&outputs, "manual.html");
    assert!(manual.contains("at most 5 mm"), "{manual}");
    assert!(!manual.contains("Only when nothing"), "{manual}");
}

#[test]
fn what_is_said_to_be_left_out_is_left_out() {
    let text = "procedure small \"Small\"\noption tow \"Trailer\" { yes  no }\n\
        section a \"A\" {\n step one \"One\" {\n > Do it.\n }\n}\n\
        section b \"B\" {\n step two \"Two\" when tow is yes {\n > Couple it.\n }\n}\n\
        section c \"C\" {\n step three \"Three\" when tow is yes {\n > Chain it.\n }\n step four \"Four\" when tow is yes {\n > See.\n }\n\
        handover { sign installer }\n}\n";
    let manual = read(&tailored(text, &[("tow", "no")]), "manual.html");
    assert!(manual.contains("Left out, because it does not apply: section 2; steps 3.1 to 3.2."), "{manual}");
}

/// A stop before the lamp was touched, one after, and one where it is off again.
#[test]
fn a_stop_asks_for_what_may_have_to_be_put_right_and_for_nothing_else() {
    let text = small(
        "state lead \"Lead\" { on \"on the post\"  off \"off the post\"  starts on  ends on }\n\
         state arm \"Arm\" { down \"folded\"  up \"raised\"  starts down  ends down }\n\
         measure gap \"Gap\" { range 0 mm to 60 mm  reads 1 mm  with steel-rule }\nobserve ok \"Is it sound?\" { yes  no }",
        "check first \"First\" {\n read gap\n expect gap is at most 5 mm\n else stop \"Too wide.\"\n }\n\
         step off \"Off\" { make lead off }\n\
         check second \"Second\" {\n read ok\n expect ok is yes\n else stop \"Put the lead on again.\"\n }\n\
         step again \"Again\" { make lead on }\n\
         check third \"Third\" {\n read ok\n expect ok is yes\n else stop \"Come back.\"\n }\n\
         step needs \"Needs\" {\n need arm down\n need lead on\n }",
    );
    let (outputs, _) = build("small.fitw", &text);
    let data = checklist(&outputs);
    let states = |of: &serde_json::Value| -> Vec<(String, String)> {
        let all = of["leave_as"].as_array().expect("a list").iter();
        let word = |value: &serde_json::Value| value.as_str().expect("a name").to_owned();
        all.map(|one| (word(&one["state"]), word(&one["value"]))).collect()
    };
    let body = &data["flow"][0]["body"];
    let lead = vec![("lead".to_owned(), "on".to_owned())];
    let stops = [0, 2, 4].map(|at: usize| states(&body[at]["otherwise"]));
    assert_eq!(stops, [vec![], lead.clone(), vec![]]);
    assert_eq!(body[6]["kind"], "handover");
    assert_eq!(states(&body[6]), lead, "nobody touched the arm");
    let manual = read(&outputs, "manual.html");
    // Twice: at the second stop and at the handover.
    assert_eq!(manual.matches("Lead: on the post").count(), 2 + 2, "and where steps 1.4 and 1.6 speak of it: {manual}");
}

#[test]
fn the_tool_for_the_other_size_is_of_the_same_sort() {
    let text = small(
        "part bolt-10 bolt M10 x 40 mm, class 8.8, hex head\npart nut-10 nut M10, class 8\n\
         kit { shop { 2 bolt-10, 2 nut-10 } }\n\
         joint rail \"Rail\" { each bolt-10, nut-10  count 1  torque 45 N.m +- 4 N.m  thread plated  grip 20 mm }",
        "step one \"One\" {\n place rail\n tighten rail with torque-wrench-3-8-drive, socket-16, hold with spanner-16\n}\n\
         step two \"Two\" {\n use socket-17\n}",
    );
    let (outputs, _) = build("small.fitw", &text);
    let rows = table(&outputs, "pick-list.csv");
    let detail = |name: &str| rows.iter().find(|row| row["name"] == name).expect("the tool")["detail"].clone();
    assert!(detail("socket-16").contains("(Socket, 17 mm)"), "{}", detail("socket-16"));
    assert!(detail("spanner-16").contains("(lay one out too)"), "{}", detail("spanner-16"));
    assert!(!detail("spanner-16").contains("Socket"), "{}", detail("spanner-16"));
}

#[test]
fn wires_are_sized_in_gauge_or_square_millimetres() {
    let parts = "units inch, metric\nuse std/wiring\npart lug terminal ring-red-m8\nkit { bag A { 1 lug } }\n\
        circuit feed \"Feed\" { source 12 V  load 5 A  run 2 m  wire 1.5 mm2 copper  insulation 105 degC  ambient 40 degC  breaker 10 A at 100 mm\n\
        point post \"Post\" with lug on M8\n point motor \"Motor\" }";
    let (outputs, _) =
        build("small.fitw", &small(parts, "step one \"One\" {\n > Crimp [1.5 mm2].\n take 1 lug\n connect feed\n }"));
    for name in ["manual.html", "pick-list.html", "checklist.json", "packing-list.html"] {
        assert!(!file(&outputs, name).contains("in²"), "{name}");
    }
    assert!(read(&outputs, "pick-list.html").contains("0.5 to 1.5 mm²"));
}

/// 20 N·m are 177.0 lbf·in and 24 N·m are 212.4 lbf·in (1 lbf·in = 0.112984829 N·m, NIST SP 811, B.8); bounds inwards.
#[test]
fn a_torque_is_told_in_the_unit_that_its_wrench_shows() {
    let joint = |units: &str, torque: &str| {
        let text = small(
            &format!(
                "{units}\npart bolt-8 bolt M8 x 30 mm, class 8.8, hex head\npart nut-8 nut M8, class 8\n\
                 kit {{ shop {{ 1 bolt-8, 1 nut-8 }} }}\n\
                 joint rail \"Rail\" {{ each bolt-8, nut-8  count 1  torque {torque}  thread plated  grip 14 mm }}"
            ),
            "step one \"One\" {\n place rail\n tighten rail with torque-wrench-1-4-drive-inch, socket-13, hold with spanner-13\n}",
        );
        let (outputs, _) = build("small.fitw", &text);
        (
            read(&outputs, "manual.html"),
            checklist(&outputs)["joints"][0]["torque"]["shown"].as_str().unwrap_or_default().replace('\u{a0}', " "),
        )
    };
    let (manual, shown) = joint("units metric, inch", "20 N.m to 22 N.m");
    assert_eq!(shown, "20 to 22 N·m (178 to 194 lbf·in)");
    assert!(manual.contains("(178 to 194 lbf·in)") && !manual.contains("lbf·ft"), "{manual}");
    // Stated in the wrench's system, but not in its unit: 15 lbf·ft = 180 lbf·in.
    let (manual, shown) = joint("units inch", "15 lbf.ft to 16 lbf.ft");
    assert_eq!(shown, "15 to 16 lbf·ft (180 to 192 lbf·in)");
    assert!(manual.contains("(180 to 192 lbf·in)"), "{manual}");
    // One system, and the wrench shows the other.
    let (_, shown) = joint("units metric", "20 N.m to 22 N.m");
    assert_eq!(shown, "20 to 22 N·m (178 to 194 lbf·in)");
}

#[test]
fn a_file_for_the_store_says_what_it_belongs_to() {
    let text = format!(
        "{}\n",
        small(
            "revision B 2026-11-26\noption side \"Side\" { kerb \"Kerb\"  road \"Road\" }\npart plate \"Plate\" { mass 2 lb }\nkit { bag A { 3 plate } }",
            "step one \"One\" { take 3 plate\n use spanner-13 }\nstep two \"Two\" when side is kerb {\n > Go.\n }",
        )
    );
    let outputs = tailored(&text, &[("side", "kerb")]);
    let digest = checklist(&outputs)["source_digest"].as_str().expect("a digest").to_owned();
    for list in ["pick-list.csv", "packing-list.csv"] {
        let rows = table(&outputs, list);
        assert!(!rows.is_empty());
        for row in &rows {
            let wanted = [("procedure", "small"), ("revision", "B"), ("digest", &digest), ("fitting", "side=kerb")];
            for (name, value) in wanted {
                assert_eq!(row[name], value, "{list}");
            }
        }
        let plate = rows.iter().find(|row| row["name"] == "plate").expect("the plate");
        // The international pound is 0.45359237 kg exactly.
        assert_eq!(plate["mass_each_kg"], "0.907", "{list}");
    }
    assert_eq!(table(&outputs, "packing-list.csv")[0]["mass_kg"], "2.722");
    let (full, _) = build("small.fitw", &text);
    assert_eq!(table(&full, "pick-list.csv")[0]["fitting"], "");
}

#[test]
fn no_column_holds_nothing() {
    let text = small("part plate \"Plate\"\nkit { bag A { 3 plate } }", "step one \"One\" { take 3 plate }");
    let (outputs, _) = build("small.fitw", &text);
    let page = read(&outputs, "packing-list.html");
    let text =
        small("part grease \"Grease\" { consumable }\nkit { shop { grease } }", "step one \"One\" { take grease }");
    let list = read(&build("small.fitw", &text).0, "pick-list.html");
    assert!(list.contains("as needed") && !list.contains("Count") && !list.contains('–'), "{list}");
    assert!(!page.contains("Maker's number") && !page.contains("Mass") && !page.contains('–'), "{page}");
}
