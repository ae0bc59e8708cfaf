//! The standard library as text: every row names a source of its own file, nothing stands twice, and what is computed
//! elsewhere agrees. That the compiler reads these files the same way is tested where it resolves them.

use std::collections::BTreeSet;

use fitwright::trade::wire;

const LIBRARIES: [(&str, &str); 7] = [
    ("fasteners", include_str!("../shared/std/fasteners.fitw")),
    ("hand-tools", include_str!("../shared/std/hand-tools.fitw")),
    ("hazards", include_str!("../shared/std/hazards.fitw")),
    ("materials", include_str!("../shared/std/materials.fitw")),
    ("protection", include_str!("../shared/std/protection.fitw")),
    ("wiring", include_str!("../shared/std/wiring.fitw")),
    ("work", include_str!("../shared/std/work.fitw")),
];

/// Statements without comments; a thread's `#10-24` is no comment.
fn lines(text: &str) -> impl Iterator<Item = &str> {
    text.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with('#'))
}

fn text_of(library: &str) -> &'static str {
    LIBRARIES.iter().find(|(name, _)| *name == library).map(|(_, text)| *text).unwrap()
}

fn word(line: &str, place: usize) -> &str {
    line.split_whitespace().nth(place).unwrap_or("")
}

fn names(library: &str, kind: &str) -> Vec<&'static str> {
    let (_, text) = LIBRARIES.iter().find(|(name, _)| *name == library).unwrap();
    lines(text).filter(|line| word(line, 0) == kind).map(|line| word(line, 1)).collect()
}

#[test]
fn every_library_opens_with_words_for_the_person_who_adds_to_it() {
    for (name, text) in LIBRARIES {
        assert!(text.starts_with("# "), "{name}");
        let opening: Vec<_> = text.lines().take_while(|line| line.starts_with('#')).collect();
        assert!(opening.join(" ").contains("`use lib/ours`"), "{name} does not say how a company adds its own");
        assert_eq!(lines(text).next().map(|line| (word(line, 0), word(line, 1))), Some(("library", name)));
    }
}

#[test]
fn every_source_is_a_reference_of_its_file_and_every_reference_is_used() {
    for (library, text) in LIBRARIES {
        let declared: BTreeSet<_> = names(library, "reference").into_iter().collect();
        let mut used = BTreeSet::new();
        for line in lines(text) {
            let kind = word(line, 0);
            // Of a title's commas none is followed by `source`.
            let sources: Vec<&str> = match line.strip_prefix("source ") {
                Some(sources) => vec![sources],
                None => line.split(", ").filter_map(|part| part.strip_prefix("source ")).collect(),
            };
            if ["thread", "grade", "wire", "washer", "screw", "insert-nut", "terminal", "fuse", "breaker"]
                .contains(&kind)
            {
                assert!(!sources.is_empty(), "{library}: no source: {line}");
            }
            if kind == "reference" {
                assert!(line.contains("\" confirmed \""), "{library}: how far was it confirmed? {line}");
            }
            used.extend(sources.iter().flat_map(|names| names.split([' ', ','])).filter(|name| !name.is_empty()));
        }
        assert_eq!(used, declared, "{library}");
    }
}

#[test]
fn nothing_stands_twice() {
    for kind in [
        "reference",
        "thread",
        "grade",
        "wire",
        "washer",
        "screw",
        "insert-nut",
        "terminal",
        "fuse",
        "breaker",
        "tool",
        "hazard",
        "protection",
        "part",
        "action",
    ] {
        for (library, _) in LIBRARIES {
            let all = names(library, kind);
            let once: BTreeSet<_> = all.iter().collect();
            assert_eq!(all.len(), once.len(), "{library}: a {kind} stands twice in {all:?}");
        }
    }
    // References are looked up over all libraries of a compilation, so their names must differ between files too.
    let all: Vec<_> = LIBRARIES.iter().flat_map(|(library, _)| names(library, "reference")).collect();
    assert_eq!(all.len(), all.iter().collect::<BTreeSet<_>>().len(), "{all:?}");
}

#[test]
fn tools_bring_hazards_that_exist_and_there_is_a_tool_for_every_head() {
    let (_, tools) = LIBRARIES[1];
    let hazards: BTreeSet<_> = names("hazards", "hazard").into_iter().collect();
    let materials = text_of("materials");
    for line in lines(tools)
        .chain(lines(materials))
        .chain(lines(text_of("work")))
        .filter_map(|line| line.strip_prefix("brings "))
    {
        for hazard in line.split(", ") {
            assert!(hazards.contains(hazard), "no hazard {hazard}");
        }
    }
    let worn: BTreeSet<_> = names("protection", "protection").into_iter().collect();
    for line in lines(text_of("hazards")).filter_map(|line| line.strip_prefix("answered by ")) {
        for protection in line.split(", ") {
            assert!(worn.contains(protection), "nobody can wear {protection}");
        }
    }
    let turned: BTreeSet<_> = lines(tools)
        .filter_map(|line| {
            line.split_once("{ turns ")
                .map(|(_, rest)| rest.trim_end_matches(" }").split("  ").next().unwrap_or_default())
        })
        .collect();
    let mut heads = 0;
    for row in lines(LIBRARIES[0].1).filter(|line| ["thread", "screw"].contains(&word(line, 0))) {
        for attribute in row.split(", ") {
            let (head, size) = attribute.split_once(' ').unwrap();
            let drive = match head {
                "hex-bolt" | "hex-nut" | "old-hex-bolt" | "old-hex-nut" | "hex-head" => "hex",
                "hex-key" => "hex-socket",
                "cross-recess" | "hexalobular" => head,
                _ => continue,
            };
            assert!(turned.contains(format!("{drive} {size}").as_str()), "no tool turns {drive} {size}: {row}");
            heads += 1;
        }
    }
    assert!(heads > 100, "only {heads} heads were looked at");
}

/// The measure after a word: `area 8.366 mm2` gives 8.366 for `area`.
fn value(row: &str, attribute: &str) -> Option<f64> {
    row.split(", ")
        .find_map(|part| part.strip_prefix(attribute)?.strip_prefix(' '))
        .map(|rest| word(rest, 0).parse().unwrap())
}

fn assert_near(ours: f64, computed: f64, percent: f64, row: &str) {
    assert!((ours / computed - 1.0).abs() * 100.0 <= percent, "{ours} against {computed}: {row}");
}

#[test]
fn awg_rows_agree_with_the_rule_of_the_gauge() {
    let mut compared = 0;
    for row in lines(text_of("wiring")).filter(|line| word(line, 0) == "wire") {
        let Some(gauge) = word(row, 1).strip_suffix("-AWG") else { continue };
        let gauge = match gauge.split_once("/0") {
            Some((aught, _)) => 1 - aught.parse::<i32>().unwrap(),
            None => gauge.parse().unwrap(),
        };
        let area = wire::awg_area_mm2(gauge).unwrap();
        assert_near(value(row, "diameter").unwrap(), wire::awg_diameter_mm(gauge).unwrap(), 0.05, row);
        assert_near(value(row, "area").unwrap(), area, 0.05, row);
        let per_1000_ft = wire::copper_resistance_per_m(area).unwrap() * 304.8;
        assert_near(value(row, "resistance").unwrap(), per_1000_ft, 0.1, row);
        if let Some(least) = value(row, "least-area") {
            assert!(least < area && least > 0.88 * area, "{row}");
        }
        compared += 1;
    }
    assert_eq!(compared, 16);
}

#[test]
fn awg_currents_equal_the_law() {
    // tests/data/wire.csv: 33 CFR 183.425, Table 5; its columns are awg, …, 75, 90 and 105 degC at places 5 to 7.
    let mut compared = 0;
    for line in include_str!("data/wire.csv").lines().skip(1) {
        let cells: Vec<_> = line.split(',').collect();
        let name = format!("wire {}-AWG ", cells[0]);
        let row = lines(text_of("wiring")).find(|row| row.starts_with(&name)).unwrap();
        for (place, insulation) in [(5, 75), (6, 90), (7, 105)] {
            let ours = row.split(", ").find(|part| part.ends_with(&format!(" A at {insulation} degC")));
            assert_eq!(ours.map_or("", |part| word(part, 1)), cells[place], "{insulation} degC: {row}");
            compared += 1;
        }
    }
    assert_eq!(compared, 48);
}

#[test]
fn metric_wire_carries_no_more_than_the_next_thinner_gauge_and_resists_no_less_than_its_area() {
    let sizes: Vec<_> = lines(text_of("wiring")).filter(|line| word(line, 0) == "wire").collect();
    let current = |row: &str| {
        row.split(", ").find(|part| part.ends_with(" A at 105 degC")).map(|part| word(part, 1).parse::<f64>().unwrap())
    };
    let mut compared = 0;
    for row in sizes.iter().filter(|row| word(row, 1).ends_with("-mm2")) {
        let area = value(row, "area").unwrap();
        // The nominal area of a metric size stands for a resistance class; copper of that area alone would resist up to 16 % less.
        let solid = wire::copper_resistance_per_m(area).unwrap() * 1000.0;
        let stated = value(row, "resistance").unwrap();
        assert!(stated > solid && stated < 1.16 * solid, "{stated} against {solid}: {row}");
        let thinner = sizes
            .iter()
            .filter(|other| word(other, 1).ends_with("-AWG") && value(other, "area").unwrap() <= area)
            .filter_map(|other| current(other))
            .fold(None, |most: Option<f64>, amperes| Some(most.map_or(amperes, |most| most.max(amperes))));
        assert_eq!(current(row), thinner, "{row}");
        compared += 1;
    }
    assert_eq!(compared, 13);
}
