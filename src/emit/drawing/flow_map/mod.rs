//! The flow as a map of lines.
//!
//! The *line* of a section runs straight down at the left; steps and checks are *stops* on it. A branch splits it into *lanes*,
//! which join again or end at a STOP. What happens only under a condition is a *siding*: who does not need it stays on the line.
//! A repair is a *loop* that comes back above its check. Since no page can break a drawing, each section has a map of its own; a long
//! section goes on on a next map, and what is too high or too deep for its place is a *part*, with a map of its own.
//!
//! Steps, checks, conditions, stops and decisions are said as the manual says them.

mod branches;
mod piece;
mod sheet;
mod stops;

use std::collections::BTreeMap;

use super::{Drawing, NARROW, only_when};
use crate::emit::phrase::flow::{decided_after, span_of_steps};
use crate::emit::words::Words;
use crate::labels::{fill, spoken};
use crate::model::{LimitId, Node, Section, StepId, walk};
use piece::{Lane, Piece};
use sheet::Head;

/// How wide a map is where branches lie deep inside each other; else two maps fit beside each other.
const WIDE: f64 = 132.0;
/// So deep may branches lie inside each other on narrow maps.
const MOST_NARROW: usize = 2;
/// Where the line of a section runs.
const LINE: f64 = 4.0;
/// No map is higher, as far as its pieces allow.
const HIGHEST: f64 = 190.0;
/// Branches inside each other on one map; what lies deeper has a map of its own.
const MOST_DEEP: usize = 3;

/// What has a map of its own.
struct Deferred<'a> {
    title: String,
    body: &'a [Node],
}

/// The maps of a section, while they are made.
struct Map<'a> {
    words: Words<'a>,
    /// The limits that are decided after a step; before the job where there is no step.
    limits: BTreeMap<Option<StepId>, Vec<LimitId>>,
    section: u32,
    width: f64,
    /// What waits for a map of its own. Its place in the list is its number.
    deferred: Vec<Deferred<'a>>,
}

/// The maps of the whole procedure: at least one for each section, in order.
pub(in super::super) fn flow_maps(words: Words<'_>) -> Vec<Drawing> {
    let mut limits: BTreeMap<Option<StepId>, Vec<LimitId>> = BTreeMap::new();
    for (id, limit) in words.procedure.limits.iter() {
        limits.entry(decided_after(words, limit)).or_default().push(id);
    }
    let sections = &words.procedure.sections;
    let deepest = sections.iter().map(|section| depth(&section.body)).max().unwrap_or(0);
    let width = if deepest <= MOST_NARROW { NARROW } else { WIDE };
    let mut drawings = Vec::new();
    for (at, section) in sections.iter().enumerate() {
        let mut map = Map { words, limits: limits.clone(), section: section.number, width, deferred: Vec::new() };
        drawings.extend(map.section(section, at == 0, sections.get(at + 1)));
    }
    drawings
}

impl<'a> Map<'a> {
    fn section(&mut self, section: &'a Section, is_first: bool, next: Option<&Section>) -> Vec<Drawing> {
        let line = self.line();
        let mut pieces = Vec::new();
        if is_first {
            let before = self.limits.get(&None).cloned().unwrap_or_default();
            pieces.extend(before.iter().map(|limit| self.limit(line, &self.words.procedure.limits[*limit])));
        }
        pieces.extend(section.body.iter().map(|node| self.node(line, node)));
        if goes_on(&section.body) {
            let text = next.map(|next| {
                let number = next.number.to_string();
                fill(spoken().map.on_to, &[("number", &number), ("title", &next.name.title)])
            });
            pieces.extend(text.map(|text| self.arrow(line, &text)));
        }
        let when = section.when.as_ref().map(|when| only_when(&self.words.cond(when)));
        let head = Head { mark: section.number.to_string(), title: section.name.title.clone(), when, is_part: false };
        let mut drawings = self.sheets(&head, &format!("map-{}", section.number), pieces);
        // Maps of parts may put off parts of their own.
        let mut part = 0;
        while let Some((title, body)) = self.deferred.get(part).map(|one| (one.title.clone(), one.body)) {
            part += 1;
            let mark = part.to_string();
            let mut pieces: Vec<Piece> = body.iter().map(|node| self.node(line, node)).collect();
            if goes_on(body) {
                pieces.push(self.arrow(line, &fill(spoken().map.back_to, &[("part", &mark)])));
            }
            let head = Head { mark, title, when: None, is_part: true };
            let id = format!("map-{}-part-{part}", section.number);
            drawings.extend(self.sheets(&head, &id, pieces));
        }
        drawings
    }

    /// The line of a section or part.
    fn line(&self) -> Lane {
        Lane { x: LINE, right: self.width - 0.6, class: "line", depth: 0 }
    }

    /// The number of the part that was put off last.
    fn next_part(&self) -> String {
        self.deferred.len().to_string()
    }

    /// A body, one piece below the other.
    fn body(&mut self, lane: Lane, body: &'a [Node]) -> Piece {
        let mut whole = Piece::new();
        for node in body {
            let piece = self.node(lane, node);
            whole.append(piece);
        }
        whole
    }

    fn node(&mut self, lane: Lane, node: &'a Node) -> Piece {
        match node {
            Node::Step(id) => self.stop_of(lane, *id, &[]),
            Node::Check(check) => self.check(lane, check),
            Node::Choose(choose) => self.choose(lane, choose),
            Node::When(when) => self.when(lane, when),
            Node::Set(set) => self.decision(lane, set),
            Node::Stop(stop) => self.stop(lane, &self.words.said(&stop.text)),
            Node::Handover(_) => self.handover(lane),
        }
    }

    /// Where the line leads to, with the head of an arrow.
    fn arrow(&self, lane: Lane, text: &str) -> Piece {
        let mut piece = self.remark(lane, text);
        let y = piece.height.max(5.0);
        piece.down(lane, 0.0, y);
        piece.rail(&[(lane.x - 1.5, y - 1.8), (lane.x, y), (lane.x + 1.5, y - 1.8)], "head");
        piece.height = y;
        piece
    }
}

/// How deep branches and repairs lie inside each other.
fn depth(body: &[Node]) -> usize {
    let mut nodes = walk(body);
    let mut deepest = 0;
    while let Some(node) = nodes.next() {
        deepest = deepest.max(nodes.way().len() + usize::from(node.has_inside()));
    }
    deepest
}

/// Whether work goes on after a body: not where each way through it ends at a STOP or the handover.
fn goes_on(body: &[Node]) -> bool {
    body.iter().all(|node| match node {
        Node::Stop(_) | Node::Handover(_) => false,
        Node::Choose(choose) => choose.arms.iter().any(|arm| goes_on(&arm.body)),
        Node::When(when) => goes_on(&when.then) || goes_on(&when.otherwise),
        Node::Step(_) | Node::Check(_) | Node::Set(_) => true,
    })
}

// Every step, check, arm, repair and STOP of a procedure stands on its maps once, as a count from the model has it: the demos,
// procedures made up at random, deep nesting, and texts of any length.
#[cfg(test)]
mod tests {
    use super::piece::Tally;
    use super::*;
    use crate::emit::drawing::tests::{DEMOS, resolved};
    use crate::labels::sentence_case;
    use crate::model::{Check, CheckElse, LineKind, Procedure};

    /// What the model holds, counted without the map.
    fn counted(procedure: &Procedure) -> (Vec<String>, Tally) {
        fn read(procedure: &Procedure, body: &[Node], anchors: &mut Vec<String>, tally: &mut Tally) {
            for node in body {
                match node {
                    Node::Step(id) => {
                        anchors.push(procedure.steps[*id].name.id.clone());
                        tally.steps += 1;
                    }
                    Node::Check(Check { step, repair, otherwise, .. }) => {
                        anchors.push(procedure.steps[*step].name.id.clone());
                        tally.checks += 1;
                        tally.stops += u32::from(matches!(otherwise, CheckElse::Stop(_)));
                        if let Some(repair) = repair {
                            tally.repairs += 1;
                            read(procedure, &repair.body, anchors, tally);
                        }
                    }
                    Node::Choose(choose) => {
                        tally.branches += 1;
                        tally.arms += choose.arms.len() as u32;
                        choose.arms.iter().for_each(|arm| read(procedure, &arm.body, anchors, tally));
                    }
                    Node::When(when) => {
                        tally.branches += 1;
                        tally.arms += if when.otherwise.is_empty() { 1 } else { 2 };
                        read(procedure, &when.then, anchors, tally);
                        read(procedure, &when.otherwise, anchors, tally);
                    }
                    Node::Stop(_) => tally.stops += 1,
                    Node::Set(_) | Node::Handover(_) => {}
                }
            }
        }
        let (mut anchors, mut tally) = (Vec::new(), Tally::default());
        procedure.sections.iter().for_each(|section| read(procedure, &section.body, &mut anchors, &mut tally));
        tally.stops += procedure.limits.len() as u32;
        anchors.sort();
        (anchors, tally)
    }

    /// All texts of the drawings, in order, without what breaks them into lines.
    fn texts(drawings: &[Drawing]) -> String {
        let mut words = String::new();
        for drawing in drawings {
            for text in drawing.svg.split("<text ").skip(1) {
                let text =
                    text.split_once('>').and_then(|(_, text)| text.split_once("</text>")).map_or("", |(text, _)| text);
                words.extend(text.split_whitespace());
            }
        }
        words
    }

    fn squeezed(text: &str) -> String {
        crate::emit::text::html(text).split_whitespace().collect()
    }

    /// Holds the maps of a procedure against the count from its model.
    fn compare(procedure: &Procedure) -> Vec<Drawing> {
        let maps = flow_maps(Words::new(procedure));
        let svg: String = maps.iter().map(|map| map.svg.as_str()).collect();
        let (anchors, tally) = counted(procedure);
        let mut drawn: Vec<String> = svg
            .split("<a href=\"manual.html#step-")
            .skip(1)
            .filter_map(|link| link.split_once('"').map(|(anchor, _)| anchor.to_owned()))
            .collect();
        drawn.sort();
        assert_eq!(drawn, anchors, "{svg}");
        assert_eq!(svg.matches(">STOP</text>").count() as u32, tally.stops);
        assert_eq!(svg.matches(">✓</text>").count() as u32, tally.checks);
        assert_eq!(svg.matches(" way\"").count() as u32, tally.arms + tally.repairs);
        let words = texts(&maps);
        assert_eq!(words.matches("Ifitfails:repair,atmost").count() as u32, tally.repairs);
        let ids: Vec<&str> =
            svg.split(" id=\"map-").skip(1).filter_map(|id| id.split_once('"').map(|(id, _)| id)).collect();
        let unique: std::collections::BTreeSet<&str> = ids.iter().copied().collect();
        assert_eq!(unique.len(), ids.len(), "an id stands twice");
        for part in svg.split("<a href=\"#map-").skip(1).filter_map(|link| link.split_once('"')) {
            assert!(unique.contains(part.0), "no map {}", part.0);
        }
        for step in procedure.steps.rows() {
            let title = squeezed(&step.name.title);
            assert!(words.contains(&title), "{title} is missing");
            for set in
                step.lines.iter().filter_map(|line| if let LineKind::Set(set) = &line.kind { Some(set) } else { None })
            {
                assert!(words.contains(&squeezed(&procedure.choices[set.result].name.title)));
            }
        }
        assert_arms(procedure, &words);
        maps
    }

    fn assert_arms(procedure: &Procedure, words: &str) {
        fn read(says: Words<'_>, body: &[Node], words: &str) {
            for node in body {
                match node {
                    Node::Choose(choose) => {
                        for arm in &choose.arms {
                            let label = squeezed(&sentence_case(&says.arm(choose, arm)));
                            assert!(words.contains(&label), "{label} is missing");
                            read(says, &arm.body, words);
                        }
                    }
                    Node::When(when) => {
                        let label = squeezed(&format!("If: {}", says.cond(&when.cond)));
                        assert!(words.contains(&label), "{label} is missing");
                        read(says, &when.then, words);
                        read(says, &when.otherwise, words);
                    }
                    Node::Check(check) => check.repair.iter().for_each(|repair| read(says, &repair.body, words)),
                    Node::Stop(stop) => assert!(words.contains(&squeezed(&says.said(&stop.text)))),
                    Node::Step(_) | Node::Set(_) | Node::Handover(_) => {}
                }
            }
        }
        for section in &procedure.sections {
            read(Words::new(procedure), &section.body, words);
        }
    }

    fn height(map: &Drawing) -> f64 {
        let size = map.svg.split_once("viewBox=\"0 0 ").and_then(|(_, rest)| rest.split_once('"')).expect("its size").0;
        size.split(' ').nth(1).and_then(|height| height.parse().ok()).expect("its height")
    }

    #[test]
    fn the_demos_stand_on_their_maps() {
        let mut stops = 0;
        for demo in DEMOS {
            let procedure = resolved(demo);
            let maps = compare(&procedure);
            assert!(maps.len() >= procedure.sections.len());
            assert!(maps.iter().all(|map| height(map) < 215.0), "{}: a map is too high", procedure.name.id);
            stops += maps.iter().map(|map| map.svg.matches(">STOP</text>").count()).sum::<usize>();
        }
        assert!(stops > 10, "the search finds nothing");
    }

    /// A flow made up at random, of a depth.
    struct Made {
        seed: u64,
        text: String,
        steps: u32,
        title: &'static str,
    }

    impl Made {
        fn dice(&mut self, sides: u64) -> u64 {
            self.seed = self.seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (self.seed >> 33) % sides
        }

        fn step(&mut self) {
            self.steps += 1;
            self.text += &format!("step s{} \"{} {}\" {{\n > Do it.\n }}\n", self.steps, self.title, self.steps);
        }

        fn body(&mut self, depth: u32) {
            for _ in 0..=self.dice(3) {
                match if depth == 0 { 0 } else { self.dice(5) } {
                    1 => self.choose(depth),
                    2 => self.when(depth),
                    3 => self.check(depth),
                    _ => self.step(),
                }
            }
        }

        fn choose(&mut self, depth: u32) {
            self.text += "choose colour {\n";
            for colour in ["red", "green", "blue", "grey"] {
                self.text += &format!("{colour} {{\n");
                self.body(depth - 1);
                if self.dice(4) == 0 {
                    self.text += "stop \"Not in this colour.\"\n";
                }
                self.text += "}\n";
            }
            self.text += "}\n";
        }

        fn when(&mut self, depth: u32) {
            self.text += "when size is big {\n";
            self.body(depth - 1);
            self.text += "}";
            if self.dice(2) == 0 {
                self.text += " else {\n";
                self.body(depth - 1);
                self.text += "}";
            }
            self.text += "\n";
        }

        fn check(&mut self, depth: u32) {
            self.steps += 1;
            self.text += &format!(
                "check s{} \"{} {}\" {{\n read fits\n expect fits is yes\n",
                self.steps, self.title, self.steps
            );
            if self.dice(2) == 0 {
                self.text += "repair at most 2 times {\n";
                self.body(depth - 1);
                self.text += "}\n";
            }
            let stop = self.dice(2) == 0;
            self.text += if stop { "else stop \"Call the maker.\"\n}\n" } else { "else go on \"Tell them.\"\n}\n" };
        }
    }

    const START: &str = "procedure made \"Made\"\noption colour \"Colour\" { red \"red\" green \"green\" blue \"blue\" grey \"grey\" }\n\
    option size \"Size\" { big \"big\" small \"small\" }\nobserve fits \"Does it fit?\" { yes no }\n";

    #[test]
    fn whatever_the_flow_is_all_of_it_is_drawn_once() {
        let long = "Set the averylongwordthatdoesnotfitanywhereatall beside Überwurf 中文 עברית and <b>more</b> &";
        for seed in 0..60 {
            let title = if seed % 3 == 0 { long } else { "Step" };
            let mut made = Made { seed, text: START.to_owned(), steps: 0, title };
            for section in 0..3 {
                made.text += &format!("section part-{section} \"Part {section}\" {{\n");
                made.body(4);
                made.text += if section == 2 { "handover { sign installer }\n}\n" } else { "}\n" };
            }
            let procedure = resolved(&made.text);
            assert_eq!(procedure.steps.len() as u32, made.steps, "the flow was not read whole");
            compare(&procedure);
        }
    }

    #[test]
    fn what_lies_very_deep_has_maps_of_its_own() {
        let deep = 40;
        let mut text = START.to_owned() + "section one \"One\" {\n";
        for at in 0..deep {
            text += &format!("step s{at} \"Step\" {{\n > Do it.\n }}\nwhen size is big {{\n");
        }
        text += "stop \"Too deep.\"\n";
        text += &"}\n".repeat(deep);
        text += "handover { sign installer }\n}\n";
        let maps = compare(&resolved(&text));
        assert!(maps.len() > deep / (MOST_DEEP + 2));
        assert!(maps.iter().all(|map| height(map) < 150.0));
    }

    #[test]
    fn a_long_section_goes_on_on_a_next_map() {
        let steps: String = (0..80).map(|at| format!("step s{at} \"Step\" {{\n > Do it.\n }}\n")).collect();
        let maps =
            compare(&resolved(&format!("{START}section one \"One\" {{\n{steps}handover {{ sign installer }}\n}}\n")));
        assert!(maps.len() >= 3 && maps.iter().all(|map| height(map) < 215.0));
        assert!(maps[0].svg.contains("(1 of"));
    }
}
