//! The formulas of the trade against published tables.
//!
//! The files in `tests/data/` carry, row by row, where a value was published and how far that was confirmed. What
//! differs in kind from a table (friction basis, rounding) has a wider band there, and the row says so.

use fitwright::trade::{fasteners, wire};

const NEWTONS_PER_LBF: f64 = 4.448_221_615_260_5;
const NEWTON_METRES_PER_LBF_FT: f64 = 1.355_817_948_331_400_4;
const METRES_PER_FOOT: f64 = 0.3048;
const SQUARE_MM_PER_SQUARE_INCH: f64 = 645.16;
const SQUARE_MM_PER_CMIL: f64 = 645.16e-6 * std::f64::consts::FRAC_PI_4;

/// Rows of a CSV file by column name; quotes keep commas together.
fn rows(text: &str) -> Vec<Vec<(String, String)>> {
    let mut lines = text.lines().map(|line| {
        let mut cells = vec![String::new()];
        let mut quoted = false;
        for letter in line.chars() {
            match letter {
                '"' => quoted = !quoted,
                ',' if !quoted => cells.push(String::new()),
                other => cells.last_mut().unwrap().push(other),
            }
        }
        cells
    });
    let head = lines.next().unwrap();
    lines
        .map(|cells| {
            assert_eq!(cells.len(), head.len(), "{cells:?}");
            head.iter().cloned().zip(cells).collect()
        })
        .collect()
}

fn cell<'a>(row: &'a [(String, String)], column: &str) -> &'a str {
    &row.iter().find(|(name, _)| name == column).unwrap_or_else(|| panic!("no column {column}")).1
}

fn number(row: &[(String, String)], column: &str) -> f64 {
    cell(row, column).parse().unwrap_or_else(|_| panic!("{column} of {row:?} is no number"))
}

fn assert_within(ours: f64, published: f64, percent: f64, what: &str) {
    let off = (ours / published - 1.0) * 100.0;
    assert!(off.abs() <= percent, "{what}: {ours} against {published}, {off:+.2} %");
}

fn metric() -> Vec<Vec<(String, String)>> {
    rows(include_str!("data/threads_metric.csv"))
}

fn inch() -> Vec<Vec<(String, String)>> {
    rows(include_str!("data/threads_inch.csv"))
}

/// Stress area in mm2 and diameter in mm.
fn thread(name: &str) -> (f64, f64) {
    if let Some(row) = metric().iter().find(|row| cell(row, "thread") == name) {
        let diameter = number(row, "diameter_mm");
        return (fasteners::stress_area_metric(diameter, number(row, "pitch_mm")).unwrap(), diameter);
    }
    let all = inch();
    let row = all.iter().find(|row| cell(row, "thread") == name).unwrap_or_else(|| panic!("no thread {name}"));
    let diameter = number(row, "diameter_in");
    let area = fasteners::stress_area_inch(diameter, number(row, "threads_per_inch")).unwrap();
    (area * SQUARE_MM_PER_SQUARE_INCH, diameter * 25.4)
}

/// Proof stress in MPa; the first bound that reaches the diameter holds.
fn proof(grade: &str, diameter_mm: f64) -> f64 {
    let all = rows(include_str!("data/grades.csv"));
    let row = all
        .iter()
        .find(|row| cell(row, "grade") == grade && diameter_mm <= number(row, "through_mm") + 1e-9)
        .unwrap_or_else(|| panic!("no grade {grade} at {diameter_mm} mm"));
    if cell(row, "proof_psi").is_empty() {
        number(row, "proof_MPa")
    } else {
        number(row, "proof_psi") * NEWTONS_PER_LBF / SQUARE_MM_PER_SQUARE_INCH
    }
}

#[test]
fn stress_areas_equal_the_published_tables_within_their_rounding() {
    let (metric, inch) = (metric(), inch());
    assert_eq!((metric.len(), inch.len()), (13, 18));
    for row in &metric {
        let ours = fasteners::stress_area_metric(number(row, "diameter_mm"), number(row, "pitch_mm")).unwrap();
        assert_within(ours, number(row, "stress_area_table_mm2"), 0.5, cell(row, "thread"));
    }
    for row in &inch {
        let ours = fasteners::stress_area_inch(number(row, "diameter_in"), number(row, "threads_per_inch")).unwrap();
        assert_within(ours, number(row, "stress_area_table_in2"), 0.5, cell(row, "thread"));
    }
}

/// Classes of the published table of proof loads, with their proof stress in MPa through 16 mm and above (ISO 898-1).
const CLASSES: [(&str, f64, f64); 7] = [
    ("4.6", 225.0, 225.0),
    ("4.8", 310.0, 310.0),
    ("5.8", 380.0, 380.0),
    ("8.8", 580.0, 600.0),
    ("9.8", 650.0, 650.0),
    ("10.9", 830.0, 830.0),
    ("12.9", 970.0, 970.0),
];

#[test]
fn proof_loads_equal_the_published_table() {
    // The table prints the area that it has rounded to three figures, times the stress, rounded to three figures again.
    let mut compared = 0;
    for row in rows(include_str!("data/proof_loads.csv")) {
        let name = cell(&row, "thread");
        let metric = metric();
        let published = metric.iter().find(|row| cell(row, "thread") == name).expect("a thread of the table");
        let (area, diameter) = thread(name);
        for (class, to_16, above) in CLASSES.iter().filter(|(class, ..)| !cell(&row, class).is_empty()) {
            let stress = if diameter <= 16.0 { *to_16 } else { *above };
            let what = format!("{name} {class}");
            let table_area = number(published, "stress_area_table_mm2");
            assert_within(fasteners::proof_load_n(table_area, stress).unwrap(), number(&row, class), 0.5, &what);
            // With our own area, unrounded, the difference that the table's rounding of the area makes comes on top.
            assert_within(fasteners::proof_load_n(area, stress).unwrap(), number(&row, class), 0.7, &what);
            compared += 1;
        }
    }
    assert_eq!(compared, 87);
}

#[test]
fn the_library_has_the_stresses_of_the_table() {
    for (class, to_16, above) in CLASSES {
        for (diameter, wanted) in [(16.0, to_16), (20.0, above)] {
            let known = rows(include_str!("data/grades.csv")).into_iter().any(|row| {
                cell(&row, "grade") == class
                    && diameter <= number(&row, "through_mm")
                    && cell(&row, "proof_psi").is_empty()
            });
            if known {
                assert_eq!(proof(class, diameter), wanted, "{class} at {diameter} mm");
            }
        }
    }
}

#[test]
fn torque_and_preload_equal_the_published_tables_within_their_bands() {
    let examples = rows(include_str!("data/bolt_torque.csv"));
    assert_eq!(examples.len(), 89);
    for row in &examples {
        let (area, diameter) = thread(cell(row, "thread"));
        let factor = number(row, "nut_factor");
        let preload_at =
            |share: f64| share * fasteners::proof_load_n(area, proof(cell(row, "grade"), diameter)).unwrap();
        let torque_of = |preload: f64| fasteners::torque_nm(preload, factor, diameter).unwrap();
        let ours = match cell(row, "what") {
            "preload at 75 % of proof" => preload_at(fasteners::REUSABLE_SHARE),
            "torque at 75 % of proof" => torque_of(preload_at(fasteners::REUSABLE_SHARE)),
            "torque at 70 % of proof" => torque_of(preload_at(0.70)),
            "torque from preload 25000 lbf" => torque_of(25_000.0 * NEWTONS_PER_LBF),
            "preload from torque 50 N.m" => fasteners::preload_n(50.0, factor, diameter).unwrap(),
            other => panic!("nobody computes `{other}`"),
        };
        let in_their_unit = match cell(row, "unit") {
            "lbf" => ours / NEWTONS_PER_LBF,
            "lbf.ft" => ours / NEWTON_METRES_PER_LBF_FT,
            "lbf.in" => ours / NEWTON_METRES_PER_LBF_FT * 12.0,
            "N" | "N.m" => ours,
            other => panic!("no unit {other}"),
        };
        assert_within(in_their_unit, number(row, "published"), number(row, "tolerance_percent"), &format!("{row:?}"));
    }
}

#[test]
fn the_friction_ranges_hold_what_makers_publish() {
    // What an equipment maker prints for a friction is what T = K F d gives for some K. At the usual 75 % of proof
    // that K must lie in the range that we assume for the same words.
    for row in rows(include_str!("data/bolt_torque.csv")) {
        let range = match cell(&row, "source") {
            "equipment maker's manual, dry" => fasteners::NutFactor::DRY,
            "equipment maker's manual, lubricated" => fasteners::NutFactor::OILED,
            _ => continue,
        };
        let (area, diameter) = thread(cell(&row, "thread"));
        let preload = 0.75 * fasteners::proof_load_n(area, proof(cell(&row, "grade"), diameter)).unwrap();
        let implied = number(&row, "published") / (preload * diameter / 1000.0);
        assert!(range.least <= implied && implied <= range.most, "K {implied:.3} lies outside {range:?}: {row:?}");
    }
}

fn gauge(name: &str) -> i32 {
    match name.split_once("/0") {
        Some((aught, _)) => 1 - aught.parse::<i32>().unwrap(),
        None => name.parse().unwrap(),
    }
}

#[test]
fn wire_sizes_and_resistance_equal_the_published_table() {
    let table = rows(include_str!("data/wire.csv"));
    assert_eq!(table.len(), 16);
    for row in &table {
        let name = cell(row, "awg");
        assert_within(wire::awg_diameter_mm(gauge(name)).unwrap(), number(row, "diameter_mm"), 0.01, name);
        let area = wire::awg_area_mm2(gauge(name)).unwrap();
        assert_within(area, number(row, "area_mm2"), 0.02, name);
        let per_1000_ft = wire::copper_resistance_per_m(area).unwrap() * 1000.0 * METRES_PER_FOOT;
        assert_within(per_1000_ft, number(row, "resistance_table_ohm_per_1000_ft"), 0.1, name);
    }
}

#[test]
fn hot_copper_equals_the_published_resistance_at_75_degrees() {
    // NEC chapter 9, table 8, solid uncoated copper at 75 degC, ohm per 1000 ft; by a public page.
    for (gauge, published) in [(14, 3.07), (12, 1.93), (10, 1.21), (8, 0.764)] {
        let cold = wire::copper_resistance_per_m(wire::awg_area_mm2(gauge).unwrap()).unwrap();
        let hot = wire::copper_at_temperature(cold, 75.0).unwrap() * 1000.0 * METRES_PER_FOOT;
        assert_within(hot, published, 0.4, &format!("{gauge} AWG"));
    }
}

#[test]
fn drop_counts_the_way_back() {
    // 15 A over 10 ft and back in 10 AWG, 0.9989 ohm per 1000 ft: 0.2997 V (our own arithmetic).
    let ours = wire::voltage_drop(15.0, 0.9989 / 1000.0 / METRES_PER_FOOT, 10.0 * METRES_PER_FOOT).unwrap();
    assert_within(ours, 0.2997, 0.02, "10 AWG");
}

#[test]
fn drop_agrees_with_the_boat_builders_rule() {
    // ABYC E-11 as quoted on public pages: circular mils = 10.75 I L / E, L there and back in feet. Its 10.75 stands
    // for copper of about 29 degC; at that temperature a wire of that area must lose E.
    let (amperes, feet, volts) = (15.0, 20.0, 0.36);
    let area = 10.75 * amperes * feet / volts * SQUARE_MM_PER_CMIL;
    let at_29 = wire::copper_at_temperature(wire::copper_resistance_per_m(area).unwrap(), 29.0).unwrap();
    let ours = wire::voltage_drop(amperes, at_29, feet / 2.0 * METRES_PER_FOOT).unwrap();
    assert_within(ours, volts, 0.5, "10.75 rule");
}

#[test]
fn engine_space_currents_equal_the_published_table() {
    // The 105 degC column of 33 CFR 183.425, Table 5, at 50 degC, as trade pages print it.
    let mut compared = 0;
    for row in rows(include_str!("data/wire.csv")) {
        if cell(&row, "amperes_105C").is_empty() {
            continue;
        }
        let columns = [("amperes_75C", 75.0), ("amperes_90C", 90.0), ("amperes_105C", 105.0)]
            .map(|(name, insulation_c)| wire::TableCurrent { insulation_c, amperes: number(&row, name) });
        let ours = wire::ampacity(&columns, 105.0, 50.0, 1).unwrap();
        let published = number(&row, "amperes_105C_engine_space");
        assert!((ours - published).abs() < 0.06, "{}: {ours} against {published}", cell(&row, "awg"));
        compared += 1;
    }
    assert_eq!(compared, 14);
}
