//! Writes a sketch down as source.

use std::fmt::Write;

use super::conditions::{GIVENS, MEASURES, OBSERVES, OPTIONS, RESULT, Scope, atom, pick, subjects};
use super::numbers::Ruler;
use super::plan::{Laid, Plan, Slot};
use super::sketch::{Atom, LimitSketch, Sketch};
use super::stories::{Declared, tell};

/// The source text of a sketch.
pub fn write(sketch: &Sketch) -> String {
    let mut plan = Plan::new(sketch);
    let declared = tell(sketch, &mut plan);
    let mut text = String::from("procedure trial \"Trial job\"\n\nunits metric, inch\n\n");
    declared.uses.iter().for_each(|library| text.push_str(&format!("use {library}\n\n")));
    inputs(sketch, &mut text);
    rules(sketch, &mut text);
    things(&declared, &mut text);
    kit(sketch, &declared, &mut text);
    let mut flow = FlowText { plan: &plan, declared: &declared, text, checks: 0 };
    let last = plan.sections.len() - 1;
    for (index, section) in plan.sections.iter().enumerate() {
        let when = section.when.as_ref().map_or_else(String::new, |when| format!(" when {when}"));
        flow.line(0, &format!("\nsection part-{0} \"Part {0}\"{when} {{", index + 1));
        flow.body(1, &section.body);
        // A conditional section cannot hold the handover for all.
        if index == last && sketch.hands_over && section.when.is_none() {
            flow.line(1, "handover {\n    sign installer\n  }");
        }
        flow.line(0, "}");
        if index == last && sketch.hands_over && section.when.is_some() {
            flow.line(0, "\nsection close \"Close the job\" {\n  handover {\n    sign installer\n  }\n}");
        }
    }
    other_amounts(sketch, flow.text)
}

/// Now and then a part comes by length, is taken by a range of counts, is made of another first, or may be another one.
fn other_amounts(sketch: &Sketch, text: String) -> String {
    let says = |at: usize| sketch.kit.get(at).is_some_and(|supply| supply.quarters != 4);
    let (by_length, by_range, is_made, may_be_other) = (says(11), says(10), says(9), says(8));
    let has = |name: &str| text.contains(&format!("\npart {name} "));
    let spare = may_be_other && !is_made && has("rail-bracket");
    let mut lines_with_spare = 0;
    let mut spared = |words: String, in_kit: bool| {
        // Not in each line that takes it.
        lines_with_spare += 1;
        let here = spare && words.ends_with(" rail-bracket") && (in_kit || lines_with_spare % 3 > 0);
        if here { format!("{words} or spare-bracket") } else { words }
    };
    let from_beam = is_made && has("cross-beam");
    let entry = |words: &str, in_kit: bool| match words.trim().split_once(' ') {
        Some((count, "cover")) if by_length => format!("{count} mm cover"),
        Some((count, "cross-beam")) if by_range && !in_kit => {
            format!("{count} to {} cross-beam", count.parse::<u32>().map_or(2, |count| count + 1))
        }
        _ => words.trim().to_owned(),
    };
    let mut made = String::new();
    for line in text.lines() {
        let inside = line.trim_start();
        let margin = &line[..line.len() - inside.len()];
        if let Some(taken) = inside.strip_prefix("take ") {
            if from_beam && taken.ends_with(" rail-bracket") {
                let _ = writeln!(made, "{margin}make 1 rail-bracket from 1 cross-beam by hand");
            }
            let _ = writeln!(made, "{margin}take {}", spared(entry(taken, false), false));
        } else if let Some((head, list)) = line.split_once(" { ").filter(|_| inside.starts_with("bag ")) {
            let list = list
                .trim_end_matches(" }")
                .split(',')
                .map(|words| spared(entry(words, true), true))
                .collect::<Vec<_>>();
            let _ = writeln!(made, "{head} {{ {} }}", list.join(", "));
        } else {
            if spare && line.starts_with("part rail-bracket ") {
                let _ = writeln!(made, "part spare-bracket \"Spare bracket\"");
            }
            let _ = writeln!(made, "{line}");
        }
    }
    made
}

fn inputs(sketch: &Sketch, text: &mut String) {
    let choice = |text: &mut String, word: &str, name: &str, title: &str, values: &[&str]| {
        let _ = writeln!(text, "{word} {name} \"{title}\" {{ {} }}", values.join("  "));
    };
    for ((name, title, values), count) in OPTIONS.iter().zip(&sketch.options) {
        choice(text, "option", name, title, &values[..usize::from(*count)]);
    }
    for ((name, title), scale) in GIVENS.iter().zip(&sketch.givens) {
        number(text, "given", name, title, Ruler::given(*scale));
    }
    for ((name, title, values), count) in OBSERVES.iter().zip(&sketch.observes) {
        choice(text, "observe", name, title, &values[..usize::from(*count)]);
    }
    for ((name, title), scale) in MEASURES.iter().zip(&sketch.measures) {
        number(text, "measure", name, title, Ruler::measure(*scale));
    }
    if !subjects(sketch, Scope::Job).is_empty() && sketch.result.is_some() {
        choice(text, "result", RESULT.0, RESULT.1, &RESULT.2);
    }
    text.push('\n');
}

fn number(text: &mut String, word: &str, name: &str, title: &str, ruler: Ruler) {
    let range = format!("{} to {}", ruler.mark(0), ruler.mark(ruler.marks() - 1));
    let reads = if ruler.continuous { String::new() } else { format!("\n  reads {}", ruler.step()) };
    let with = if word == "measure" { "\n  with  gauge" } else { "" };
    let _ = writeln!(text, "{word} {name} \"{title}\" {{\n  range {range}{reads}{with}\n}}");
}

fn rules(sketch: &Sketch, text: &mut String) {
    let said = |one: Atom| atom(sketch, Scope::Known, one);
    for (holds, when) in &sketch.rules {
        let Some(holds) = said(*holds) else { continue };
        let when = when.and_then(said).filter(|when| *when != holds);
        let when = when.map_or_else(String::new, |when| format!(" when {when}"));
        let _ = writeln!(text, "require {holds}{when} \"It is made so.\"");
    }
    for (index, limit) in sketch.limits.iter().enumerate() {
        if let Some(written) = limit_text(sketch, index + 1, *limit) {
            let _ = writeln!(text, "{written}");
        }
    }
    text.push('\n');
}

fn limit_text(sketch: &Sketch, number: usize, limit: LimitSketch) -> Option<String> {
    let mut numbers: Vec<(&str, Ruler)> = Vec::new();
    numbers.extend(GIVENS.iter().zip(&sketch.givens).map(|((name, _), scale)| (*name, Ruler::given(*scale))));
    numbers.extend(MEASURES.iter().zip(&sketch.measures).map(|((name, _), scale)| (*name, Ruler::measure(*scale))));
    let (left, ruler) = *pick(&numbers, limit.left)?;
    let (right, _) = *pick(&numbers, limit.right)?;
    let amount = ruler.mark(limit.amount % ruler.marks());
    let other = ruler.mark(limit.amount.wrapping_add(limit.form) % ruler.marks());
    let holds = match limit.form % 10 {
        0 | 1 => format!("{left} <= {amount}"),
        2 => format!("{left} > {amount}"),
        3 if left != right => format!("{left} <= {right}"),
        4 if left != right => format!("{left} + {} <= 2 * {right}", ruler.step()),
        5 => format!("{left} <= least of ({right}, {amount})"),
        6 => format!("greatest of ({left}, {amount}) <= {other} + {}", ruler.step()),
        7 => format!("{amount} - least of ({left}, {right}) < greatest of ({other}, {right}) - {amount}"),
        8 => format!("greatest of ({left}, least of ({right}, {amount})) = {other}"),
        _ => format!("{left} >= {amount}"),
    };
    let when = limit.when.and_then(|when| atom(sketch, Scope::Known, when));
    let when = when.map_or_else(String::new, |when| format!(" when {when}"));
    let stop = if limit.stops { "\n  else stop \"Do not fit it here.\"" } else { "" };
    Some(format!("limit limit-{number} \"Limit {number}\"{when} {{\n  {holds}{stop}\n}}"))
}

fn things(declared: &Declared, text: &mut String) {
    let _ = writeln!(text, "tool wrench \"Torque wrench\" {{ torque 5 N.m to 25 N.m }}");
    let _ = writeln!(text, "tool gauge \"Gauge\" {{ measures 0 mm to 300 mm  reads 0.1 mm }}");
    declared.tools.iter().for_each(|tool| text.push_str(&format!("{tool}\n")));
    text.push('\n');
    let _ = writeln!(text, "protection veil \"Veil\"");
    if !declared.circuits.is_empty() {
        let _ = writeln!(text, "about {{\n  licence \"Local codes go before this procedure.\"\n}}");
    }
    for (_, hazard) in declared.hazards.iter().filter(|(_, text)| !text.is_empty()) {
        let _ = writeln!(text, "{hazard}");
    }
    for part in &declared.parts {
        let mut lines = part.lines.clone();
        lines.dedup();
        let braces = if lines.is_empty() { String::new() } else { format!(" {{\n  {}\n}}", lines.join("\n  ")) };
        let _ = writeln!(text, "part {} \"{}\"{braces}", part.name, part.title);
    }
    let always: Vec<&str> =
        declared.vehicle.iter().filter(|(when, _)| when.is_empty()).map(|(_, entry)| entry.as_str()).collect();
    if !always.is_empty() {
        let _ = writeln!(text, "vehicle {{ {} }}", always.join(", "));
    }
    for (when, entry) in declared.vehicle.iter().filter(|(when, _)| !when.is_empty()) {
        let _ = writeln!(text, "vehicle{when} {{ {entry} }}");
    }
    for thing in declared.states.iter().chain(&declared.actions).chain(&declared.joints).chain(&declared.circuits) {
        let _ = writeln!(text, "{thing}");
    }
    text.push('\n');
}

/// What the kit supplies: mostly what the text takes.
fn kit(sketch: &Sketch, declared: &Declared, text: &mut String) {
    let mut always = Vec::new();
    let mut groups = Vec::new();
    for (part, supply) in declared.parts.iter().zip(&sketch.kit).filter(|(part, _)| part.taken > 0) {
        let total = (part.taken * u32::from(supply.quarters)).div_ceil(4).max(1);
        let when = supply.when.and_then(|when| atom(sketch, Scope::Known, when));
        match when {
            Some(when) => {
                let under = total.div_ceil(2);
                groups.push(format!(
                    "  bag {} when {when} {{ {under} {} }}",
                    ["B", "C", "D", "E"][groups.len() % 4],
                    part.name
                ));
                if total > under {
                    always.push(format!("{} {}", total - under, part.name));
                }
            }
            None => always.push(format!("{total} {}", part.name)),
        }
    }
    groups.truncate(4);
    if !always.is_empty() {
        groups.insert(0, format!("  bag A {{ {} }}", always.join(", ")));
    }
    if !groups.is_empty() {
        let _ = writeln!(text, "kit {{\n{}\n}}", groups.join("\n"));
    }
}

struct FlowText<'p> {
    plan: &'p Plan,
    declared: &'p Declared,
    text: String,
    checks: usize,
}

impl FlowText<'_> {
    fn line(&mut self, depth: usize, line: &str) {
        let _ = writeln!(self.text, "{:width$}{line}", "", width = 2 * depth);
    }

    fn body(&mut self, depth: usize, body: &[Laid]) {
        body.iter().for_each(|node| self.node(depth, node));
    }

    fn node(&mut self, depth: usize, node: &Laid) {
        match node {
            Laid::Step { slot, when } => {
                let when = when.as_ref().map_or_else(String::new, |when| format!(" when {when}"));
                self.line(depth, &format!("step work-{0} \"Work {0}\"{when} {{", slot + 1));
                self.lines(depth + 1, *slot);
                self.line(depth, "}");
            }
            Laid::When { cond, then, otherwise } => {
                self.line(depth, &format!("when {cond} {{"));
                self.body(depth + 1, then);
                if !otherwise.is_empty() {
                    self.line(depth, "} else {");
                    self.body(depth + 1, otherwise);
                }
                self.line(depth, "}");
            }
            Laid::Choose { subject, arms } => {
                self.line(depth, &format!("choose {subject} {{"));
                for (pattern, body) in arms {
                    self.line(depth + 1, &format!("{pattern} {{"));
                    self.body(depth + 2, body);
                    self.line(depth + 1, "}");
                }
                self.line(depth, "}");
            }
            Laid::Check { slot, expect, repair, goes_on } => {
                self.checks += 1;
                self.line(depth, &format!("check proof-{0} \"Proof {0}\" {{", self.checks));
                self.lines(depth + 1, *slot);
                self.line(depth + 1, &format!("expect {expect}"));
                if let Some((times, body)) = repair {
                    self.line(depth + 1, &format!("repair at most {times} times {{"));
                    self.body(depth + 2, body);
                    self.line(depth + 1, "}");
                }
                let otherwise = if *goes_on { "go on \"Tell the customer.\"" } else { "stop \"Call the maker.\"" };
                self.line(depth + 1, &format!("else {otherwise}"));
                self.line(depth, "}");
            }
            Laid::Set { value } => self.line(depth, &format!("set {} {value}", RESULT.0)),
            Laid::Stop { number } => self.line(depth, &format!("stop \"Stop {number}: it does not fit.\"")),
        }
    }

    fn lines(&mut self, depth: usize, slot: usize) {
        let Some(slot): Option<&Slot> = self.plan.slots.get(slot) else { return };
        slot.messages.iter().for_each(|hazard| self.message(depth, *hazard));
        if slot.worn.0 {
            self.line(depth, "wear veil");
        }
        if slot.lines.is_empty() {
            self.line(depth, "> Look the work over.");
        }
        slot.lines.iter().for_each(|line| self.line(depth, &line.text));
        if slot.worn.1 {
            self.line(depth, "wear veil");
        }
        slot.late.iter().for_each(|hazard| self.message(depth, *hazard));
    }

    fn message(&mut self, depth: usize, hazard: usize) {
        let Some((name, _)) = self.declared.hazards.get(hazard) else { return };
        self.line(depth, &format!("warning {name} {{"));
        self.line(depth + 1, "hazard      \"It can hurt a person.\"");
        self.line(depth + 1, "consequence \"Hands are cut.\"");
        self.line(depth + 1, "avoid       \"Wear gloves.\"");
        self.line(depth, "}");
    }
}
