//! Makes up jobs and writes their records, as an app would by `site/checklist-format.md`.
//!
//! It walks the checklist's tree by plain recursion and shares nothing with the judge but the canonical form, which other
//! programs hold (`tests/conformance/canonical.json`).

use std::collections::{BTreeMap, BTreeSet};

use fitwright::canonical;
use num_rational::Ratio;
use serde_json::{Value, json};

type Exact = Ratio<i128>;

/// A source of chance that is the same everywhere.
pub struct Chance(u64);

impl Chance {
    pub fn new(seed: u64) -> Chance {
        Chance(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    pub fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % end.max(1) as u64) as usize
    }

    fn one_in(&mut self, count: usize) -> bool {
        self.below(count) == 0
    }
}

/// How a job ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum End {
    HandedOver,
    Stopped(String),
}

#[derive(Debug, Clone, PartialEq)]
enum Known {
    Choice(String),
    Number(Exact),
}

/// A job and its record.
pub struct Job {
    /// Lines, each without its line feed.
    pub lines: Vec<String>,
    pub end: End,
    /// Steps in the order in which they were done.
    pub steps: Vec<String>,
}

/// Makes up a job.
pub fn drive(checklist: &Value, seed: u64) -> Job {
    let mut driver = Driver {
        checklist,
        chance: Chance::new(seed),
        lines: Vec::new(),
        prev: "0".repeat(64),
        known: BTreeMap::new(),
        settled: BTreeSet::new(),
        occasions: BTreeMap::new(),
        steps: Vec::new(),
    };
    let end = driver.job().expect_err("every job ends");
    Job { lines: driver.lines, end, steps: driver.steps }
}

struct Driver<'c> {
    checklist: &'c Value,
    chance: Chance,
    lines: Vec<String>,
    prev: String,
    known: BTreeMap<String, Known>,
    settled: BTreeSet<String>,
    occasions: BTreeMap<String, u32>,
    steps: Vec<String>,
}

type Going = Result<(), End>;

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn word(value: &Value) -> &str {
    value.as_str().unwrap_or_else(|| panic!("{value} is no text"))
}

impl Driver<'_> {
    /// Seals an event, and gives its number.
    fn write(&mut self, mut event: Value) -> u64 {
        let seq = self.lines.len() as u64 + 1;
        let (minutes, seconds) = (seq / 60, seq % 60);
        event["seq"] = json!(seq);
        event["prev"] = json!(self.prev);
        event["at"] = json!(format!("2026-11-25T{:02}:{:02}:{seconds:02}Z", 8 + minutes / 60, minutes % 60));
        if event.get("by").is_none() {
            event["by"] = json!("A. Fitter");
        }
        self.prev = canonical::digest(&event);
        event["digest"] = json!(self.prev);
        self.lines.push(canonical::canonical(&event));
        seq
    }

    fn job(&mut self) -> Going {
        let checklist = self.checklist;
        let procedure = &checklist["procedure"];
        let named = json!({"id": procedure["id"], "revision": procedure["revision"]["mark"], "digest": canonical::digest(checklist)});
        let format = json!({"name": "fitwright-record", "version": "1.0.0"});
        self.write(json!({"type": "open", "format": format, "checklist": named, "job": "Van 12"}));
        let ended = self.answers().and_then(|()| self.sections());
        match ended.as_ref().expect_err("every job ends") {
            End::HandedOver => self.write(json!({"type": "close", "outcome": "handed-over"})),
            End::Stopped(at) => self.write(json!({"type": "close", "outcome": "stopped", "at_stop": at})),
        };
        ended
    }

    fn answers(&mut self) -> Going {
        self.limits()?;
        let inputs: Vec<&Value> = list(&self.checklist["inputs"])
            .iter()
            .filter(|input| matches!(word(&input["kind"]), "option" | "given"))
            .collect();
        // Answers that the rules allow.
        let mut answers = Vec::new();
        for _ in 0..1000 {
            answers = inputs.iter().map(|input| self.sample(input)).collect();
            let ids = inputs.iter().map(|input| word(&input["id"]).to_owned());
            self.known = ids.zip(answers.iter().map(|(known, _)| known.clone())).collect();
            if list(&self.checklist["rules"]).iter().all(|rule| self.allows(rule)) {
                break;
            }
        }
        // What only other fittings have is not asked for.
        let asked: Vec<bool> =
            inputs.iter().map(|input| input.get("when").is_none_or(|when| self.holds(when) == Some(true))).collect();
        self.known.clear();
        let answered = inputs.into_iter().zip(answers).zip(asked).filter(|(_, asked)| *asked);
        for ((input, (known, value)), _) in answered {
            let mut event = json!({"type": "answer", "input": input["id"]});
            put(&mut event, value);
            self.write(event);
            self.known.insert(word(&input["id"]).to_owned(), known);
            self.limits()?;
        }
        Ok(())
    }

    fn allows(&self, rule: &Value) -> bool {
        let applies = rule.get("when").is_none_or(|when| self.holds(when) == Some(true));
        !applies || self.holds(&rule["holds"]) != Some(false)
    }

    fn limits(&mut self) -> Going {
        for limit in list(&self.checklist["limits"]) {
            let id = word(&limit["id"]);
            let applies = limit.get("when").map_or(Some(true), |when| self.holds(when));
            let decided = match (applies, self.holds(&limit["holds"])) {
                (Some(false), _) => Some(true),
                (Some(true), holds) => holds,
                _ => None,
            };
            if self.settled.contains(id) || decided.is_none() {
                continue;
            }
            self.settled.insert(id.to_owned());
            if decided == Some(false) {
                return Err(End::Stopped(id.to_owned()));
            }
        }
        Ok(())
    }

    fn sections(&mut self) -> Going {
        for section in list(&self.checklist["flow"]) {
            if section.get("when").is_none_or(|when| self.must(when)) {
                self.body(&section["body"])?;
            }
        }
        panic!("the flow ran out");
    }

    fn body(&mut self, body: &Value) -> Going {
        list(body).iter().try_for_each(|node| self.node(node))
    }

    fn node(&mut self, node: &Value) -> Going {
        match word(&node["kind"]) {
            "step" if node.get("when").is_none_or(|when| self.must(when)) => self.step(node, &Value::Null),
            "check" if node["step"].get("when").is_none_or(|when| self.must(when)) => self.check(node),
            "step" | "check" => Ok(()),
            "choose" => {
                let fits = |arm: &&Value| arm.get("when").is_some_and(|when| self.must(when));
                let arms = list(&node["arms"]);
                let arm = arms.iter().find(fits).or_else(|| arms.iter().find(|arm| arm.get("when").is_none()));
                let body = &arm.expect("an arm fits")["body"];
                self.body(body)
            }
            "when" => {
                let body = if self.must(&node["if"]) { &node["then"] } else { &node["else"] };
                self.body(body)
            }
            "set" => {
                self.set(node);
                Ok(())
            }
            "stop" => Err(End::Stopped(word(&node["id"]).to_owned())),
            "handover" => {
                let signers: BTreeSet<&str> = list(&node["lines"])
                    .iter()
                    .filter(|line| word(&line["kind"]) == "sign")
                    .flat_map(|line| list(&line["who"]).iter().map(word))
                    .collect();
                for role in signers {
                    self.write(json!({"type": "sign", "handover": node["id"], "role": role, "name": "A. Fitter"}));
                }
                Err(End::HandedOver)
            }
            other => panic!("{other}"),
        }
    }

    fn set(&mut self, set: &Value) {
        self.known.insert(word(&set["result"]).to_owned(), Known::Choice(word(&set["value"]).to_owned()));
    }

    fn check(&mut self, check: &Value) -> Going {
        let good = |driver: &Self| list(&check["expects"]).iter().all(|one| driver.must(one));
        self.step(&check["step"], &check["expects"])?;
        for _ in 0..check["repair"]["times"].as_u64().unwrap_or(0) {
            if good(self) {
                return Ok(());
            }
            self.body(&check["repair"]["body"])?;
            self.step(&check["step"], &check["expects"])?;
        }
        match word(&check["otherwise"]["kind"]) {
            _ if good(self) => Ok(()),
            "stop" => Err(End::Stopped(word(&check["otherwise"]["id"]).to_owned())),
            _ => Ok(()),
        }
    }

    fn step(&mut self, step: &Value, expects: &Value) -> Going {
        let id = word(&step["id"]);
        let occasion = self.occasions.entry(id.to_owned()).or_insert(0);
        *occasion += 1;
        let occasion = *occasion;
        self.steps.push(id.to_owned());
        self.write(json!({"type": "begin", "step": id, "occasion": occasion, "content": step["content_digest"]}));
        for message in list(&step["lines"]).iter().filter(|line| word(&line["does"]["kind"]) == "message") {
            self.write(json!({"type": "acknowledge", "line": message["id"]}));
        }
        for line in list(&step["lines"]) {
            self.line(line, expects);
        }
        let helpers = step["takes"]["people"].as_u64().unwrap_or(1).saturating_sub(1);
        let mut done = json!({"type": "done", "step": id});
        if helpers > 0 {
            done["with"] = (0..helpers).map(|at| format!("Helper {at}")).collect();
        }
        if step.get("another_person").is_some() {
            done["by"] = json!("C. Checker");
        }
        self.write(done);
        for line in list(&step["lines"]).iter().filter(|line| word(&line["does"]["kind"]) == "set") {
            self.set(&line["does"]);
        }
        self.limits()
    }

    fn line(&mut self, line: &Value, expects: &Value) {
        let does = &line["does"];
        match word(&does["kind"]) {
            "read" => list(&does["inputs"]).iter().for_each(|input| self.read(line, word(input), expects)),
            "record-torque" => {
                for fastening in 1..=does["count"].as_u64().expect("a count") {
                    self.torque(line, word(&does["joint"]), fastening);
                }
            }
            "record-text" => {
                let number = does["number"]["most"].as_u64().map(|most| most.to_string());
                let text = number.unwrap_or_else(|| "KR-1042 – “à”".to_owned());
                self.write(json!({"type": "text", "line": line["id"], "text": text}));
            }
            "record-photo" if self.chance.one_in(2) => {
                self.write(json!({"type": "leave-out", "line": line["id"], "reason": "Too dark"}));
            }
            "record-photo" => {
                let photo = json!({"type": "photo", "line": line["id"], "file": "a.png", "media_type": "image/png", "bytes": 3,
                    "sha256": canonical::sha256(b"abc")});
                self.write(photo);
            }
            _ => {}
        }
    }

    fn read(&mut self, line: &Value, id: &str, expects: &Value) {
        let input = list(&self.checklist["inputs"]).iter().find(|input| word(&input["id"]) == id).expect("declared");
        // Mostly good readings, so that jobs get far; and bad ones too.
        let tries = if self.chance.one_in(4) { 1 } else { 40 };
        let mut sample = self.sample(input);
        for _ in 1..tries {
            self.known.insert(id.to_owned(), sample.0.clone());
            if list(expects).iter().all(|one| self.holds(one) != Some(false)) {
                break;
            }
            sample = self.sample(input);
        }
        let event = json!({"type": "reading", "line": line["id"], "input": id});
        self.write_value(event, sample.1, input);
        self.known.insert(id.to_owned(), sample.0);
    }

    /// Writes a value, now and then only at the second go.
    fn write_value(&mut self, event: Value, value: Value, input: &Value) {
        let mut good = event.clone();
        put(&mut good, value.clone());
        match self.chance.below(12) {
            0 => {
                let mut first = event;
                let other = if input.is_null() { value.clone() } else { self.sample(input).1 };
                put(&mut first, other);
                let seq = self.write(first);
                let mut correction = json!({"type": "correct", "event": seq, "reason": "Typing mistake"});
                put(&mut correction, value);
                self.write(correction);
            }
            1 => {
                let seq = self.write(good.clone());
                self.write(json!({"type": "withdraw", "event": seq, "reason": "Pressed by mistake"}));
                self.write(good);
            }
            2 => {
                self.write(json!({"type": "note", "text": "Cold today"}));
                self.write(good);
            }
            _ => {
                self.write(good);
            }
        }
    }

    fn torque(&mut self, line: &Value, joint: &str, fastening: u64) {
        let joint = list(&self.checklist["joints"]).iter().find(|one| word(&one["id"]) == joint).expect("declared");
        let (low, high) = (&joint["torque"]["low"], &joint["torque"]["high"]);
        let (from, to) = (number(word(&low["value"])), number(word(&high["value"])));
        let value = from + (to - from) * Exact::new(self.chance.below(9) as i128 + 1, 10);
        let event = json!({"type": "torque", "line": line["id"], "fastening": fastening});
        let amount = json!({"amount": {"value": written(value), "unit": low["unit"]}});
        self.write_value(event, amount, &Value::Null);
    }

    /// A value of an input, known and as written.
    fn sample(&mut self, input: &Value) -> (Known, Value) {
        let values = list(&input["values"]);
        if !values.is_empty() {
            let value = word(&values[self.chance.below(values.len())]["id"]).to_owned();
            return (Known::Choice(value.clone()), json!({"choice": value}));
        }
        let (low, high) = (number(word(&input["low"]["value"])), number(word(&input["high"]["value"])));
        let unit = word(&input["low"]["unit"]);
        let step = input.get("reads").map_or(Exact::new(1, 2), |reads| {
            assert_eq!(word(&reads["unit"]), unit, "the driver reads in one unit");
            number(word(&reads["value"]))
        });
        let (first, last) = ((low / step).ceil().to_integer(), (high / step).floor().to_integer());
        let value = step * Exact::from_integer(first + self.chance.below((last - first + 1) as usize) as i128);
        (Known::Number(self.base(value, unit)), json!({"amount": {"value": written(value), "unit": unit}}))
    }

    fn base(&self, value: Exact, unit: &str) -> Exact {
        let unit = list(&self.checklist["units"]).iter().find(|one| word(&one["code"]) == unit).expect("listed");
        value * number(word(&unit["factor"])) + number(word(&unit["offset"]))
    }

    fn must(&self, condition: &Value) -> bool {
        self.holds(condition).unwrap_or_else(|| panic!("undecided: {condition}"))
    }

    fn holds(&self, condition: &Value) -> Option<bool> {
        let parts = || list(&condition["of"]).iter().map(|part| self.holds(part));
        match word(&condition["op"]) {
            "is" => match self.known.get(word(&condition["input"]))? {
                Known::Choice(choice) => Some(choice == word(&condition["value"])),
                Known::Number(_) => None,
            },
            "in" => {
                let value = self.number_of(word(&condition["input"]))?;
                let end = |end: &Value| self.base(number(word(&end["value"])), word(&end["unit"]));
                let included = |end: &Value| end["included"].as_bool().expect("a bound");
                let low =
                    condition.get("low").is_none_or(|low| value > end(low) || (included(low) && value == end(low)));
                let high = condition
                    .get("high")
                    .is_none_or(|high| value < end(high) || (included(high) && value == end(high)));
                Some(low && high)
            }
            "all" => parts().find(|part| *part != Some(true)).unwrap_or(Some(true)),
            "any" => parts().find(|part| *part != Some(false)).unwrap_or(Some(false)),
            "not" => Some(!self.holds(&condition["of"])?),
            _ => {
                let (left, right) = (self.value(&condition["left"])?, self.value(&condition["right"])?);
                Some(match word(&condition["relation"]) {
                    "at-most" => left <= right,
                    "below" => left < right,
                    "at-least" => left >= right,
                    "over" => left > right,
                    _ => left == right,
                })
            }
        }
    }

    fn number_of(&self, input: &str) -> Option<Exact> {
        match self.known.get(input)? {
            Known::Number(value) => Some(*value),
            Known::Choice(_) => None,
        }
    }

    fn value(&self, expression: &Value) -> Option<Exact> {
        let two = || Some((self.value(&expression["left"])?, self.value(&expression["right"])?));
        match word(&expression["op"]) {
            "fact" | "amount" => {
                let amount = &expression["amount"];
                Some(self.base(number(word(&amount["value"])), word(&amount["unit"])))
            }
            "input" => self.number_of(word(&expression["input"])),
            "number" => Some(number(word(&expression["value"]))),
            "least" | "greatest" => {
                let values: Option<Vec<Exact>> = list(&expression["of"]).iter().map(|one| self.value(one)).collect();
                let values = values?.into_iter();
                if word(&expression["op"]) == "least" { values.min() } else { values.max() }
            }
            "add" => two().map(|(left, right)| left + right),
            "subtract" => two().map(|(left, right)| left - right),
            "multiply" => two().map(|(left, right)| left * right),
            _ => two().filter(|(_, right)| *right != Exact::from_integer(0)).map(|(left, right)| left / right),
        }
    }
}

/// Adds the members of a value to an event.
fn put(event: &mut Value, value: Value) {
    if let (Some(members), Value::Object(more)) = (event.as_object_mut(), value) {
        members.extend(more);
    }
}

fn number(text: &str) -> Exact {
    match text.split_once('/') {
        Some((above, below)) => Exact::new(above.parse().expect("digits"), below.parse().expect("digits")),
        None => {
            let (whole, decimals) = text.split_once('.').unwrap_or((text, ""));
            let digits: i128 = format!("{whole}{decimals}").parse().expect("digits");
            Exact::new(digits, 10_i128.pow(decimals.len() as u32))
        }
    }
}

/// A decimal, or a fraction where its decimals never end.
fn written(value: Exact) -> String {
    for decimals in 0..12 {
        let scaled = value * Exact::from_integer(10_i128.pow(decimals));
        if scaled.is_integer() {
            let digits = scaled.to_integer();
            if decimals == 0 {
                return digits.to_string();
            }
            let sign = if digits < 0 { "-" } else { "" };
            let padded = format!("{:0>width$}", digits.abs(), width = decimals as usize + 1);
            let (whole, rest) = padded.split_at(padded.len() - decimals as usize);
            return format!("{sign}{whole}.{rest}");
        }
    }
    format!("{}/{}", value.numer(), value.denom())
}
