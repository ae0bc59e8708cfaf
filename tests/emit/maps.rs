//! The map of the work and the schematics, read back from the manuals of the demos: nothing is missing, nothing twice, and the numbers
//! are those of the calculation.

use std::path::Path;

use fitwright::account::Account;
use fitwright::model::{Check, CheckElse, Node, Procedure};
use fitwright::plan::Plan;
use fitwright::resolve::resolve;
use fitwright::source::Sources;
use fitwright::working::circuit;
use fitwright::world::Memory;

/// A procedure with its manual and annex in one text.
fn manuals() -> Vec<(Procedure, String)> {
    let read = |path: &Path| std::fs::read(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let folder = Path::new("procedures");
    let figure = read(&folder.join("figures/kestrel-rail.svg"));
    let mut names: Vec<(&str, String)> = ["kestrel-rack", "wren-battery", "heron-box", "finch-vise"]
        .map(|name| (name, String::from_utf8(read(&folder.join(format!("{name}.fitw")))).unwrap()))
        .to_vec();
    names.push(("every-kind", super::EVERY_KIND.to_owned()));
    names.push(("hostile", super::HOSTILE.to_owned()));
    let manual = |(name, text): (&str, String)| {
        let file = format!("{name}.fitw");
        let world = Memory::default()
            .with(&file, text.as_str())
            .with("rail.svg", super::RAIL)
            .with("figures/kestrel-rail.svg", figure.as_slice());
        let mut sources = Sources::default();
        let resolved = resolve(&file, &world, &mut sources);
        let plan = Plan::new(resolved.procedure.expect("a procedure"));
        let figures = |path: &str| resolved.figures.get(path).cloned();
        let extras = fitwright::emit::Extras { annex: true };
        let outputs = fitwright::emit::emit_with(
            &plan,
            &Account::of(&plan, true, &[], Vec::new()),
            &sources,
            &figures,
            extras.into(),
        )
        .expect("outputs");
        let pages = [super::file(&outputs, "manual.html"), super::file(&outputs, "annex.html")].concat();
        (plan.into_procedure(), pages)
    };
    names.into_iter().map(manual).collect()
}

/// The drawings whose ids begin so.
fn drawings<'a>(manual: &'a str, id: &str) -> Vec<&'a str> {
    let start = format!("<svg class=\"drawing\" id=\"{id}-");
    manual.split(&start).skip(1).map(|rest| rest.split("</svg>").next().unwrap()).collect()
}

/// The texts of a drawing, each as it stands.
fn texts(svg: &str) -> impl Iterator<Item = &str> {
    svg.split("<text ").skip(1).map(|text| text.split_once('>').unwrap().1.split("</text>").next().unwrap())
}

/// How many stops, arms and handovers a body has.
fn count(body: &[Node], counts: &mut [usize; 3]) {
    for node in body {
        match node {
            Node::Stop(_) => counts[0] += 1,
            Node::Handover(_) => counts[2] += 1,
            Node::Choose(choose) => {
                counts[1] += choose.arms.len();
                choose.arms.iter().for_each(|arm| count(&arm.body, counts));
            }
            Node::When(when) => {
                counts[1] += 1 + usize::from(!when.otherwise.is_empty());
                count(&when.then, counts);
                count(&when.otherwise, counts);
            }
            Node::Check(Check { repair, otherwise, .. }) => {
                counts[0] += usize::from(matches!(otherwise, CheckElse::Stop(_)));
                if let Some(repair) = repair {
                    counts[1] += 1;
                    count(&repair.body, counts);
                }
            }
            Node::Step(_) | Node::Set(_) => {}
        }
    }
}

#[test]
fn the_map_has_every_step_stop_and_lane_once() {
    for (procedure, manual) in manuals() {
        let maps = drawings(&manual, "map");
        assert!(maps.len() >= procedure.sections.len(), "{}", procedure.name.id);
        let shown: Vec<&str> = maps.iter().flat_map(|map| texts(map)).collect();
        for step in procedure.steps.rows() {
            let times = shown.iter().filter(|text| **text == step.number).count();
            assert_eq!(times, 1, "{}: step {}", procedure.name.id, step.number);
        }
        let mut wanted = [procedure.limits.len(), 0, 0];
        procedure.sections.iter().for_each(|section| count(&section.body, &mut wanted));
        let stops = shown.iter().filter(|text| **text == "STOP").count();
        let ends = shown.iter().filter(|text| **text == "Hand over").count();
        assert_eq!([stops, ends], [wanted[0], wanted[2]], "{}: stops and handovers", procedure.name.id);
        let ways: usize = maps.iter().map(|map| map.matches(" way\"").count()).sum();
        assert_eq!(ways, wanted[1], "{}: arms and repairs", procedure.name.id);
        let ticks = shown.iter().filter(|text| **text == "✓").count();
        let checks = procedure.steps.rows().iter().filter(|step| step.is_check).count();
        assert_eq!(ticks, checks, "{}: checks", procedure.name.id);
    }
}

#[test]
fn a_schematic_has_the_numbers_of_the_calculation_and_every_terminal() {
    let mut seen = 0;
    for (procedure, manual) in manuals() {
        for row in procedure.circuits.rows() {
            let Some(svg) =
                drawings(&manual, "circuit").into_iter().find(|svg| svg.starts_with(&format!("{}\"", row.name.id)))
            else {
                continue;
            };
            seen += 1;
            let words = texts(svg).collect::<Vec<_>>().join(" ").replace('\u{a0}', " ");
            let made = circuit::working(&procedure, row);
            if let Some(drop) = &made.drop {
                assert!(words.contains(&circuit::volts(drop.volts).replace('\u{a0}', " ")), "{words}");
                assert!(words.contains(&circuit::share(drop.share).replace('\u{a0}', " ")), "{words}");
            }
            if let Some(carries) = made.ampacity_a.filter(|_| row.load.is_some()) {
                assert!(words.contains(&circuit::amperes(carries).replace('\u{a0}', " ")), "{words}");
            }
            for at in 1..=row.points.len() {
                assert_eq!(
                    texts(svg).filter(|text| *text == at.to_string()).count(),
                    1,
                    "terminal {at} of {}",
                    row.name.id
                );
            }
        }
    }
    assert!(seen >= 7, "only {seen} circuits");
}
