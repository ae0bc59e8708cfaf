//! What is laid out before the work: tools, and the kit bag by bag, at true size when the page is printed at 100 %.
//!
//! A *thing* is one row of a list: a part or tool with its count. A *tray* is a group of things. What has a known
//! geometry is drawn as it is; all else lies in its tray as a labelled card. Everything on a tray stands in the lists
//! too.

mod shape;
mod tray;

use super::dimension::Bar;
use super::fasteners::{Bolt, Nut, Ring, millimetres};
use super::{Drawing, float, only_when};
use crate::emit::phrase::kit::group_title;
use crate::emit::phrase::lay_out::ToolRow;
use crate::emit::phrase::much::Much;
use crate::emit::words::Words;
use crate::labels::{fill, spoken};
use crate::model::{Counted, Either, KitGroup, PartId, Tool};
use crate::quantity::Quantity;
use shape::{Shape, Tip};
use tray::{Thing, Tray};

/// Of a tool that fits more sizes than this, the first are drawn.
const MOST_TIPS: usize = 4;

/// The trays in their order: tools that turn something, torque wrenches, other tools; then every group of the kit.
/// Each is at most 150 mm wide and 190 mm high, and as narrow as its things allow; a tray with too many things is
/// several drawings.
pub(in super::super) fn bench(words: Words<'_>, rows: &[ToolRow]) -> Vec<Drawing> {
    let mut trays = tools(words, rows);
    trays.extend(words.procedure.kit.iter().map(|group| kit_tray(words, group)));
    let numbered = trays.iter().filter(|tray| !tray.things.is_empty()).enumerate();
    let bar = Bar::long(words.procedure.units.first);
    numbered.flat_map(|(at, tray)| tray.drawings(at + 1, &bar)).collect()
}

fn kit_tray(words: Words<'_>, group: &KitGroup) -> Tray {
    Tray {
        title: group_title(group),
        when: group.when.as_ref().map(|when| words.cond(when)),
        note: None,
        things: group.entries.iter().map(|entry| part(words, entry)).collect(),
    }
}

fn part(words: Words<'_>, entry: &Counted<PartId>) -> Thing {
    let part = &words.procedure.parts[entry.what];
    let name = words.part(entry.what);
    // Of parts that stand for one another the first says how many there are.
    let (count, name) = match entry.either {
        Either::Or => (None, format!("{} {name}", spoken().word.or)),
        Either::Alone | Either::First => (Much::of(entry).in_drawing(), name),
    };
    let shape = part.fastener.as_ref().and_then(|fastener| {
        let nut = || Nut::of(fastener).map(Shape::Nut);
        Bolt::of(fastener).map(Shape::Bolt).or_else(nut).or_else(|| Ring::of(fastener).map(Shape::Ring))
    });
    Thing { shape, count: count.map(|count| count.replace('\u{a0}', " ")), name, remarks: Vec::new() }
}

fn tools(words: Words<'_>, rows: &[ToolRow]) -> Vec<Tray> {
    let tray = |title: &str| Tray { title: title.to_owned(), when: None, note: None, things: Vec::new() };
    let mut turning = tray(spoken().bench.turning);
    let mut measuring = tray(spoken().bench.measuring);
    let mut others = tray(spoken().bench.others);
    let highest = rows.iter().filter_map(|row| words.procedure.tools[*row.ids.first()?].torque);
    let highest =
        highest.filter_map(|(_, high)| Some((newton_metres(&high)?, high))).max_by(|a, b| a.0.total_cmp(&b.0));
    measuring.note = highest.map(|(_, high)| fill(spoken().bench.bars, &[("highest", &words.quantity(&high))]));
    for row in rows {
        let tools: Vec<&Tool> = row.ids.iter().map(|id| &words.procedure.tools[*id]).collect();
        let torque = tools.first().and_then(|tool| tool.torque);
        let range = torque.zip(highest).and_then(|((low, high), (highest, _))| {
            let (low, high) = (newton_metres(&low)?, newton_metres(&high)?);
            (highest > 0.0).then(|| Shape::Range { low: low / highest, high: high / highest })
        });
        let tips = tips(&tools);
        let (tray, shape) = match range {
            Some(range) => (&mut measuring, Some(range)),
            None if !tips.is_empty() => (&mut turning, Some(Shape::Tips(tips))),
            None => (&mut others, None),
        };
        tray.things.push(tool_thing(words, row, torque, shape));
    }
    vec![turning, measuring, others]
}

fn newton_metres(torque: &Quantity) -> Option<f64> {
    torque.base().map(float)
}

fn tool_thing(words: Words<'_>, row: &ToolRow, torque: Option<(Quantity, Quantity)>, shape: Option<Shape>) -> Thing {
    let mut remarks = Vec::new();
    remarks.extend(torque.map(|(low, high)| words.range(&low, &high)));
    remarks.extend(row.remark.clone());
    remarks.extend(row.when.as_deref().map(only_when));
    Thing { shape, count: Some(format!("{} ×", row.count)), name: row.title.clone(), remarks }
}

/// What the tools of a row turn, where it is known how large that is: each size once.
fn tips(tools: &[&Tool]) -> Vec<Tip> {
    let mut tips: Vec<Tip> = Vec::new();
    for turns in tools.iter().flat_map(|tool| &tool.turns) {
        let size = turns.only_size().and_then(millimetres);
        let tip = Tip::of(turns.drive, size, turns.mark.clone());
        tips.extend(tip.filter(|tip| !tips.contains(tip) && tips.len() < MOST_TIPS));
    }
    tips
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::emit::drawing::tests::{DEMOS, resolved};
    use crate::emit::phrase::lay_out;
    use crate::plan::Plan;

    fn on_bench(text: &str) -> Vec<Drawing> {
        let plan = Plan::new(resolved(text));
        bench(Words::new(plan.procedure()), &lay_out::tools(&plan))
    }

    fn of(parts: &str, kit: &str, steps: &str) -> Vec<Drawing> {
        on_bench(&format!(
            "procedure p \"P\"\nuse std/fasteners\nuse std/hand-tools\n{parts}\nkit {{ {kit} }}\n\
             section s \"S\" {{\n step t \"T\" {{\n{steps}\n }}\n handover {{ sign installer }}\n}}\n"
        ))
    }

    /// Width and height of every closed path.
    fn boxes(svg: &str) -> Vec<(f64, f64)> {
        let closed =
            svg.split(" d=\"").skip(1).map(|rest| rest.split('"').next().unwrap()).filter(|d| d.ends_with('Z'));
        closed
            .filter(|d| !d.contains(['Q', 'H']))
            .map(|d| {
                let numbers: Vec<f64> = d
                    .split(['M', 'L', 'Z', ' '])
                    .filter(|text| !text.is_empty())
                    .map(|text| text.parse().unwrap())
                    .collect();
                let span = |from: usize| {
                    let all = numbers.iter().skip(from).step_by(2);
                    all.clone().fold(f64::MIN, |a, b| a.max(*b)) - all.fold(f64::MAX, |a, b| a.min(*b))
                };
                (span(0), span(1))
            })
            .collect()
    }

    fn has(svg: &str, wide: f64, high: f64) -> bool {
        boxes(svg).iter().any(|(w, h)| (w - wide).abs() < 0.015 && (h - high).abs() < 0.015)
    }

    /// Width and height in millimetres, as the element says them.
    fn size(svg: &str) -> (f64, f64) {
        let view = svg.split("viewBox=\"0 0 ").nth(1).unwrap().split('"').next().unwrap();
        let (wide, high) = view.split_once(' ').unwrap();
        (wide.parse().unwrap(), high.parse().unwrap())
    }

    #[test]
    fn fastenings_lie_there_at_true_size() {
        // ISO 4014: M8 13 mm across flats, head 5.3 mm high. ISO 4032: M8 13 mm. ISO 7089: M8 16 mm outside, 8.4 mm inside.
        // Across corners 13 x 2 / 3^0.5 = 15.01 mm.
        let parts = "part b bolt M8 x 30 mm, class 8.8, hex head\npart w washer M8\npart n nut M8, class 8";
        let drawn = of(parts, "bag A { 8 b, 16 w, 8 n }", "take 8 b, 16 w, 8 n");
        let [bag] = drawn.as_slice() else { panic!("{} drawings", drawn.len()) };
        assert!(has(&bag.svg, 30.0, 8.0), "the shank: {:?}", boxes(&bag.svg));
        assert!(has(&bag.svg, 5.3, 15.01), "the head from the side: {:?}", boxes(&bag.svg));
        assert_eq!(
            boxes(&bag.svg).iter().filter(|(w, h)| (w - 13.0).abs() < 0.015 && (h - 15.01).abs() < 0.015).count(),
            2
        );
        assert!(bag.svg.contains(" r=\"8\"/>") && bag.svg.contains(" r=\"4.2\"/>"), "the washer");
        for words in [">8 ×<", ">16 ×<", ">Washer M8<", "50\u{a0}mm"] {
            assert!(bag.svg.contains(words), "{words} in {}", bag.svg);
        }
    }

    #[test]
    fn tools_show_the_size_that_they_fit() {
        let steps = "use socket-13, hex-key-6, screwdriver-t20, side-cutters";
        let drawn = of("", "", steps);
        let [turning, others] = drawn.as_slice() else { panic!("{} drawings", drawn.len()) };
        assert!(has(&turning.svg, 13.0, 15.01), "the opening of the socket");
        assert!(has(&turning.svg, 6.0, 6.93), "the key");
        assert!(turning.svg.contains("Socket, 13"), "{}", turning.svg);
        assert!(others.svg.contains("Side cutters"));
    }

    #[test]
    fn everything_of_the_demos_is_on_the_bench_and_fits_a_page() {
        for text in DEMOS {
            let plan = Plan::new(resolved(text));
            let procedure = plan.procedure();
            let drawn = bench(Words::new(procedure), &lay_out::tools(&plan));
            let says: String = drawn.iter().map(|drawing| drawing.svg.as_str()).collect();
            let parts =
                procedure.kit.iter().flat_map(|group| &group.entries).map(|entry| &procedure.parts[entry.what].name);
            let tools = lay_out::tools(&plan).into_iter().map(|row| row.title);
            for name in parts.map(|name| name.title.clone()).chain(tools) {
                assert!(says.contains(crate::emit::text::html(&name).as_str()), "{name} is not on the bench");
            }
            for drawing in &drawn {
                let (wide, high) = size(&drawing.svg);
                assert!(wide <= 150.0 && high <= 195.0, "{wide} by {high}: {}", drawing.caption);
            }
        }
    }

    #[test]
    fn long_names_and_many_things_are_parted_into_drawings() {
        let long = "name ".repeat(600) + &"x".repeat(900);
        let titles: Vec<String> = (0..90).map(|at| format!("part p{at} \"{at} {long}\"")).collect();
        let names: Vec<String> = (0..90).map(|at| format!("1 p{at}")).collect();
        let big = "part b bolt M24 x 1500 mm, class 8.8, hex head";
        let all = format!("{}, 1 b", names.join(", "));
        let drawn = of(&format!("{}\n{big}", titles.join("\n")), &format!("bag A {{ {all} }}"), &format!("take {all}"));
        assert!(drawn.len() > 2, "{} drawings", drawn.len());
        for drawing in &drawn {
            assert!(size(&drawing.svg).1 <= 195.0, "{}", size(&drawing.svg).1);
            assert!(drawing.caption.contains(&format!(" of {}", drawn.len())), "{}", drawing.caption);
        }
        assert!(drawn.iter().any(|drawing| drawing.svg.contains("Bolt M24")), "too long to be drawn, so it is a card");
    }
}
