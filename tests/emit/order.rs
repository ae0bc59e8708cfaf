//! The points of a circuit have one number each, in all outputs: the order in which they are connected.

use std::collections::BTreeMap;

use serde_json::Value;

use super::{EVERY_KIND, build, each_object, file};

/// Number, title and what is at it, by circuit and point.
type Points = BTreeMap<(String, String), (u64, String, String)>;

fn text(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_owned()
}

fn points(checklist: &Value) -> Points {
    let mut found = Points::new();
    for circuit in checklist["circuits"].as_array().expect("circuits") {
        let rows = circuit["points"].as_array().expect("points");
        let mut numbers: Vec<u64> = rows.iter().map(|row| row["order"].as_u64().expect("a number")).collect();
        for (row, number) in rows.iter().zip(&numbers) {
            let about = (*number, text(&row["title"]), text(&row["detail"]));
            found.insert((text(&circuit["id"]), text(&row["id"])), about);
        }
        numbers.sort_unstable();
        assert_eq!(numbers, (1..=rows.len() as u64).collect::<Vec<_>>(), "{}", circuit["id"]);
    }
    found
}

/// The points of all `connect` and `disconnect` lines, in the order of the flow.
fn lines(checklist: &Value, points: &Points) -> Vec<(u64, String)> {
    let mut found = Vec::new();
    each_line(&checklist["flow"], &mut |does| {
        let numbers = does["points"].as_array().expect("points").iter().map(|point| {
            let (number, title, detail) = &points[&(text(&does["circuit"]), text(point))];
            (*number, if detail.is_empty() { title.clone() } else { format!("{title} ({detail})") })
        });
        let numbers: Vec<(u64, String)> = numbers.collect();
        assert!(numbers.is_sorted() || does["kind"] == "disconnect", "{does}");
        assert!(numbers.iter().rev().is_sorted() || does["kind"] == "connect", "{does}");
        found.extend(numbers);
    });
    found
}

/// In the order of the file; the objects of `serde_json` are sorted, and a statement's parts come in that order by their names.
fn each_line(value: &Value, found: &mut dyn FnMut(&Value)) {
    match value {
        Value::Array(values) => values.iter().for_each(|value| each_line(value, found)),
        Value::Object(object) if object.contains_key("points") => found(value),
        Value::Object(object) => {
            for part in ["lines", "does", "step", "repair", "arms", "then", "else", "body"] {
                object.get(part).into_iter().for_each(|value| each_line(value, found));
            }
        }
        _ => {}
    }
}

/// The numbered points of the manual's steps, in their order.
fn printed(manual: &str) -> Vec<(u64, String)> {
    let items = manual.split("<li value=\"").skip(1).map(|item| item.split("</li>").next().expect("an end"));
    items
        .map(|item| {
            let (number, rest) = item.split_once("\">").expect("a number");
            let text: String = rest
                .split('<')
                .enumerate()
                .map(|(at, part)| if at == 0 { part } else { part.split_once('>').map_or("", |(_, text)| text) })
                .collect();
            (number.parse().expect("a number"), plain(&text))
        })
        .collect()
}

fn plain(text: &str) -> String {
    let text = text.replace('\u{a0}', " ").replace("&#x2f;", "/").replace("&#x27;", "'").replace("&amp;", "&");
    text.trim().to_owned()
}

/// The texts of a circuit's schematic, where it has one.
fn schematic<'a>(manual: &'a str, circuit: &str) -> Option<Vec<&'a str>> {
    let svg = manual.split(&format!("id=\"circuit-{circuit}\"")).nth(1)?.split("</svg>").next()?;
    let texts = svg.split("<text ").skip(1);
    Some(texts.filter_map(|text| text.split_once('>')?.1.split("</text>").next()).collect())
}

fn demos() -> Vec<(String, String)> {
    let read = |name: &str| std::fs::read_to_string(format!("procedures/{name}")).expect("a demo");
    let entries = std::fs::read_dir("procedures").expect("the demos");
    let mut names: Vec<String> =
        entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
    names.retain(|name| name.ends_with(".fitw"));
    names.sort();
    names.into_iter().map(|name| (name.clone(), read(&name))).collect()
}

#[test]
fn manual_schematic_and_checklist_number_the_points_of_a_circuit_alike() {
    let (mut drawn, mut counted) = (0, 0);
    let mut all = demos();
    all.push(("every-kind.fitw".to_owned(), EVERY_KIND.to_owned()));
    for (name, source) in all {
        let (outputs, _) = build(&name, &source);
        let manual = file(&outputs, "manual.html");
        let checklist: Value = serde_json::from_str(file(&outputs, "checklist.json")).expect("JSON");
        let points = points(&checklist);
        let lines: Vec<(u64, String)> =
            lines(&checklist, &points).into_iter().map(|(number, text)| (number, plain(&text))).collect();
        // Which conductors end at a point is told behind it.
        let ends: Vec<String> = checklist["circuits"]
            .as_array()
            .expect("circuits")
            .iter()
            .flat_map(|circuit| circuit["points"].as_array().expect("points"))
            .filter_map(|point| Some(format!(": {}", point["ends"].as_str()?)))
            .collect();
        let without = |text: &str| {
            let end = ends.iter().find_map(|ends| text.strip_suffix(ends.as_str()));
            end.unwrap_or(text).to_owned()
        };
        let told: Vec<(u64, String)> =
            printed(manual).into_iter().map(|(number, text)| (number, without(&text))).collect();
        assert_eq!(told, lines, "{name}");
        counted += lines.len();
        for ((circuit, point), (number, title, _)) in &points {
            let Some(texts) = schematic(manual, circuit) else { continue };
            let number = number.to_string();
            let beside = texts.windows(2).any(|pair| pair[0] == number && plain(title).starts_with(&plain(pair[1])));
            assert!(beside, "{name}: {point} is not {number} in {texts:?}");
            drawn += 1;
        }
    }
    assert!(drawn > 20 && counted > 20, "{drawn} drawn, {counted} in steps");
}

/// Where the writer says another order, because the source is isolated, that order is the numbering.
#[test]
fn the_numbers_follow_the_order_that_the_writer_states() {
    let source = |steps: &str| {
        super::small(
            "use std/wiring\nstate lead \"Lead\" { on \"on\"  off \"off\"  starts off  ends off }\n\
             circuit feed \"Feed\" {\n source 12 V\n load 5 A\n point post \"Post\"\n point fuse \"Fuse\"\n point lamp \"Lamp\"\n \
             isolated by lead off\n}",
            &format!("step wire \"Wire\" {{\n > Wire it.\n {steps}\n}}"),
        )
    };
    let numbers = |steps: &str| -> Vec<u64> {
        let (outputs, _) = build("small.fitw", &source(steps));
        let checklist: Value = serde_json::from_str(file(&outputs, "checklist.json")).expect("JSON");
        let mut numbers = Vec::new();
        each_object(&checklist["circuits"], &mut |object| numbers.extend(object.get("order").and_then(Value::as_u64)));
        numbers
    };
    assert_eq!(numbers("connect feed"), [3, 2, 1]);
    assert_eq!(numbers("connect feed at post, fuse, lamp"), [1, 2, 3]);
    assert_eq!(numbers("connect feed at fuse\n connect feed at post, lamp"), [2, 1, 3]);
    assert_eq!(numbers("connect feed at lamp"), [3, 2, 1]);
    assert_eq!(numbers("connect feed\n disconnect feed"), [3, 2, 1]);
}

#[test]
fn what_is_done_by_hand_says_so_on_manual_and_checklist() {
    let (outputs, _) = build("every-kind.fitw", EVERY_KIND);
    let checklist: Value = serde_json::from_str(file(&outputs, "checklist.json")).expect("JSON");
    let mut by_hand = Vec::new();
    each_object(&checklist["flow"], &mut |object| {
        if object.get("by_hand").is_some() {
            by_hand.push((object["by_hand"].clone(), object["does"]["joint"].clone(), object["does"]["tools"].clone()));
        }
    });
    let told = |joint: &str| (Value::Bool(true), Value::from(joint), Value::Array(Vec::new()));
    assert_eq!(by_hand, [told("eye-joint"), told("bracket-joint")]);
    assert_eq!(file(&outputs, "manual.html").matches("By hand, without a tool.").count(), by_hand.len());
}
