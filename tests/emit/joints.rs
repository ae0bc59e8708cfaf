//! The drawings of fastenings, read back from the page: each length as long as the joint's working says, at the scale that
//! the drawing names.

use super::{RAIL, build_with, file, small};
use fitwright::compile;
use fitwright::emit::Extras;
use fitwright::model::{Joint, Line, LineKind, Procedure};
use fitwright::working::joint::working;
use fitwright::world::Memory;

const DEMOS: [(&str, &str); 4] = [
    ("kestrel-rack", include_str!("../../procedures/kestrel-rack.fitw")),
    ("wren-battery", include_str!("../../procedures/wren-battery.fitw")),
    ("finch-vise", include_str!("../../procedures/finch-vise.fitw")),
    ("heron-box", include_str!("../../procedures/heron-box.fitw")),
];

/// A drawing as it was read.
struct Seen {
    svg: String,
    /// Lengths of its dimension lines in real millimetres, beside the stack first, then that of the bolt.
    lengths: Vec<f64>,
    scale: f64,
}

impl Seen {
    /// What it says of itself.
    fn description(&self) -> &str {
        self.svg.split("<desc").nth(1).and_then(|rest| rest.split('>').nth(1)).unwrap().split('<').next().unwrap()
    }

    /// All its words that can be seen.
    fn words(&self) -> String {
        let texts = self.svg.split("<text ").skip(1).filter_map(|text| text.split('>').nth(1)?.split('<').next());
        texts.collect::<Vec<_>>().join(" ").replace('\u{a0}', " ").replace("&#x2f;", "/")
    }
}

/// The drawing of a joint by its number on the page; `None` where it has none.
fn seen(page: &str, number: usize) -> Option<Seen> {
    let svg = page.split(&format!("<svg class=\"drawing\" id=\"fastening-{number}\"")).nth(1)?;
    let svg = svg.split("</figure>").next().unwrap().to_owned();
    let scale = match svg.split("In section, ").nth(1).unwrap().split('.').next().unwrap() {
        "2 : 1" => 2.0,
        "1 : 1" => 1.0,
        "1 : 2" => 0.5,
        "1 : 5" => 0.2,
        other => panic!("scale {other}"),
    };
    // `M34.5 12.3L34.5 26.3`
    let heights = |d: &str| -> Vec<f64> {
        d[1..].split('L').map(|point| point.split(' ').nth(1).unwrap().parse().unwrap()).collect()
    };
    let lines = svg.split("<path class=\"dim hair\" d=\"").skip(1).map(|rest| heights(rest.split('"').next().unwrap()));
    let lengths = lines.map(|ys| (ys[1] - ys[0]) / scale).collect();
    Some(Seen { svg, lengths, scale })
}

/// What must be drawn of a joint, in the order of [`Seen::lengths`]; `None` where something that it needs is not known.
fn wanted(procedure: &Procedure, joint: &Joint) -> Option<Vec<f64>> {
    let worked = working(procedure, joint, &[]);
    let millimetres = |quantity: &fitwright::quantity::Quantity| {
        let base = quantity.base().unwrap();
        *base.numer() as f64 / *base.denom() as f64 * 1000.0
    };
    let Some(length) = worked.length else {
        // A nut on a stud: washers and nuts, each by itself.
        joint.onto.as_ref()?;
        let fasteners = joint
            .each
            .iter()
            .flat_map(|each| std::iter::repeat_n(procedure.parts[each.what].fastener.as_ref(), each.count as usize));
        let thick = fasteners.map(|fastener| {
            let fastener = fastener?;
            let washer = fastener.washer.as_ref().and_then(|washer| washer.thick);
            washer.or(fastener.thread.as_ref().and_then(|thread| thread.nut_height)).map(|size| millimetres(&size))
        });
        return thick.collect();
    };
    let left = length.left_mm();
    let mut lengths = vec![millimetres(joint.grip.as_ref()?)];
    match worked.engagement {
        None => lengths.push(left.abs()),
        Some(engagement) => {
            let depth = millimetres(&joint.into.as_ref()?.depth);
            lengths.push(engagement.engaged_mm);
            lengths.extend([left - depth].into_iter().filter(|beyond| *beyond > 0.0));
            lengths.extend([depth - engagement.engaged_mm].into_iter().filter(|rest| *rest > 0.0));
        }
    }
    lengths.push(length.bolt_mm);
    Some(lengths)
}

fn assert_lengths(seen: &Seen, wanted: &[f64], what: &str) {
    let drawn = &seen.lengths;
    assert_eq!(drawn.len(), wanted.len(), "{what}: {drawn:?} against {wanted:?}");
    for (drawn, wanted) in drawn.iter().zip(wanted) {
        // Both ends are written in hundredths of a millimetre of paper.
        assert!((drawn - wanted).abs() < 0.0101 / seen.scale, "{what}: {drawn} against {wanted}");
    }
}

#[test]
fn every_fastening_of_the_demos_is_drawn_as_long_as_it_was_judged() {
    let mut count = 0;
    for (name, text) in DEMOS {
        let name = format!("{name}.fitw");
        let world = Memory::default().with(&name, text).with("figures/kestrel-rail.svg", RAIL);
        let compiled = compile::check(&name, &world);
        let procedure = compiled.clean().expect("a procedure");
        let page = compile::build_with(&compiled, Extras { annex: true }).expect("no errors").expect("outputs");
        let (manual, page) = (file(&page, "manual.html"), file(&page, "annex.html"));
        for (at, joint) in procedure.joints.rows().iter().enumerate() {
            let what = format!("{name}, {}", joint.name.title);
            // In the manual it stands beside the step that puts it together, smaller, with the same lengths.
            let id = procedure.joints.ids().nth(at).expect("its id");
            let placed = |line: &Line| matches!(line.kind, LineKind::Place(joint) if joint == id);
            let placed = procedure.steps.rows().iter().any(|step| step.lines.iter().any(placed));
            match (wanted(procedure, joint).filter(|_| placed), seen(manual, at + 1)) {
                (None, None) => {}
                (Some(wanted), Some(drawn)) => assert_lengths(&drawn, &wanted, &what),
                (wanted, drawn) => panic!("{what}, in the manual: {wanted:?}, drawn: {}", drawn.is_some()),
            }
            match (wanted(procedure, joint), seen(page, at + 1)) {
                (None, None) => {}
                (Some(wanted), Some(drawn)) => {
                    assert_lengths(&drawn, &wanted, &what);
                    count += 1;
                }
                (wanted, drawn) => panic!("{what}: {wanted:?}, drawn: {}", drawn.is_some()),
            }
        }
    }
    assert_eq!(count, 19, "fastenings with a known geometry in the demos");
}

/// A page with one joint.
fn page(parts: &str, joint: &str) -> String {
    let names: Vec<&str> = parts.lines().filter_map(|line| line.split_whitespace().nth(1)).collect();
    let kit: Vec<String> = names.iter().map(|name| format!("9 {name}")).collect();
    let declarations = format!(
        "units metric, inch\n{parts}\nkit {{ bag A {{ {} }} }}\ntool wrench \"Wrench\" {{ torque 1 N.m to 500 N.m }}\njoint j \"J\" {{\n{joint}\n}}",
        kit.join(", ")
    );
    let steps = "step t \"T\" {\nplace j\ntighten j with wrench\n}";
    let (outputs, _) = build_with("small.fitw", &small(&declarations, steps), Extras { annex: true });
    file(&outputs, "annex.html").to_owned()
}

#[test]
fn lengths_by_hand() {
    // ISO 7089: washer M8 1.8 mm; ISO 4032: nut M8 6.8 mm. 24 + 2 x 1.8 + 6.8 = 34.4 mm, so 5.6 mm of 40 stand out.
    let parts = "part b bolt M8 x 40 mm, class 8.8, hex head\npart w washer M8\npart n nut M8, class 8";
    let drawn = seen(&page(parts, "each b, 2 w, n\ntorque 22 N.m\nthread dry\ngrip 24 mm"), 1).expect("a drawing");
    assert_lengths(&drawn, &[24.0, 5.6, 40.0], "M8 x 40");
    let words = drawn.words();
    for said in
        ["Grip 24 mm (0.94 in)", "Thread protrusion 5.6 mm (0.220 in)", "Length of the bolt 40 mm (1.57 in)", "10 mm"]
    {
        assert!(words.contains(said), "no {said} in {words}");
    }
    let order = "Bolt M8 × 40 mm, class 8.8, hex head; Washer M8; the parts that are clamped, together 24 mm (0.94 in); Washer M8; Nut M8, class 8.";
    assert!(drawn.description().replace('\u{a0}', " ").contains(order), "{}", drawn.description());
}

#[test]
fn a_tapped_hole_takes_what_is_left_of_the_bolt() {
    // 20 - 8 - 1.6 (ISO 7089, M6: at most 1.8) = 10.2 mm are offered; a thread of 12 mm takes all of it and 1.8 mm stay free.
    let parts = "part b bolt M6 x 20 mm, class 8.8, hex head\npart w washer M6";
    let joint = "each b, w\ntorque 9 N.m\nthread dry\ngrip 8 mm\ninto aluminium 12 mm";
    let drawn = seen(&page(parts, joint), 1).expect("a drawing");
    assert_lengths(&drawn, &[8.0, 10.2, 1.8, 20.0], "M6 into aluminium");
    assert!(drawn.words().contains("Thread left below 1.8 mm"), "{}", drawn.words());
    // In a thread of 9 mm that goes through, 1.2 mm come out.
    let drawn = seen(&page(parts, &joint.replace("12 mm", "9 mm")), 1).expect("a drawing");
    assert_lengths(&drawn, &[8.0, 9.0, 1.2, 20.0], "M6 through aluminium");
}

#[test]
fn what_is_not_known_is_not_drawn() {
    let bolt = "part b bolt M8 x 40 mm, class 8.8, hex head\npart w washer M8\npart n nut M8, class 8";
    let torque = "torque 22 N.m\nthread dry";
    let no_grip = page(bolt, &format!("each b, 2 w, n\n{torque}"));
    let no_length = page(&bolt.replace(" x 40 mm", ""), &format!("each b, 2 w, n\n{torque}\ngrip 24 mm"));
    let odd_washer =
        page(&bolt.replace("washer M8", "washer M8, spring"), &format!("each b, 2 w, n\n{torque}\ngrip 24 mm"));
    let tapping = "part b screw 4.8 mm x 19 mm, pan head, cross recess PH2\npart w washer M5";
    let no_thread = page(tapping, "each b, w\ntight \"heads flat\"\ngrip 3 mm");
    let too_many = page(bolt, "each b, 40 w, n\ntorque 22 N.m\nthread dry\ngrip 24 mm");
    for (what, page) in [
        ("grip", no_grip),
        ("length", no_length),
        ("washer", odd_washer),
        ("thread", no_thread),
        ("number of washers", too_many),
    ] {
        assert!(seen(&page, 1).is_none(), "drawn without its {what}");
        assert!(page.contains("id=\"joint-1\">J</p>"), "without its {what}, the joint has a card all the same");
    }
}

#[test]
fn a_drawing_is_as_small_as_it_must_be() {
    let parts = "part b bolt M24 x 140 mm, class 8.8, hex head\npart w washer M24\npart n nut M24, class 8";
    let drawn = seen(&page(parts, "each b, 2 w, n\ntorque 400 N.m\nthread dry\ngrip 100 mm"), 1).expect("a drawing");
    assert!(drawn.svg.contains("In section, 1 : 5.") || drawn.svg.contains("In section, 1 : 2."));
    // ISO 7089: 4.3 mm; ISO 4032: 21.5 mm.
    let out = 140.0 - 100.0 - 2.0 * 4.3 - 21.5;
    for (drawn, wanted) in drawn.lengths.iter().zip([100.0, out, 140.0]) {
        assert!((drawn - wanted).abs() < 0.06, "{drawn} against {wanted}");
    }
}
