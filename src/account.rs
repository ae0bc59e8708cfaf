//! What was judged of a procedure, what was not and why, and what a person decided instead: the account that silence rests on.
//!
//! Nothing is worked out here. What is not judged of a joint or circuit is what its calculation says, line by line, so that
//! `explain` and this account can't differ.

use serde::Serialize;
use std::collections::BTreeMap;

use crate::diagnostics::{Code, Finding, Severity};
use crate::labels::{fill, language, sentence_case, spoken, term};
use crate::model::{
    ChoiceKind, Circuit, Counted, HowMuch, LeftTo, LineKind, NumberKind, PartId, Procedure, Step, Tightness,
    UnknownValue, Who,
};
use crate::plan::Plan;
use crate::source::{Sources, Span};
use crate::working::joint::{due_when, settings, tight_when};
use crate::working::{Standing, Working};

/// The account of one procedure.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Account {
    /// How many of what were judged, in the order of [`Judged`]; what there is none of is left out.
    pub judged: Vec<(Judged, usize)>,
    /// What was not judged, in order of the text.
    pub open: Vec<Open>,
    /// Steps of which only sentences say what is done, in order of the text: which step comes first is not judged there, but
    /// for what the rules on words know.
    pub in_words: Vec<InWords>,
    /// Findings that somebody accepted, in order of the text.
    pub accepted: Vec<Accepted>,
    /// Whether the proofs were made. They are not while a part of the text can't be understood, or its rules contradict each other.
    pub proved: bool,
}

/// What is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Judged {
    /// Combinations of options that the rules allow.
    Fittings,
    /// Values that the job reads.
    Readings,
    /// Steps and checks whose statements say what is done.
    Steps,
    /// Parts, with their counts.
    Parts,
    /// Tools.
    Tools,
    /// Joints.
    Joints,
    /// Circuits.
    Circuits,
    /// Limits.
    Limits,
    /// States.
    States,
    /// Safety messages.
    Messages,
}

impl Judged {
    /// In words, for so many: `1 joint`, `3 joints`.
    pub fn counted(self, count: usize) -> String {
        let labels = &spoken().account;
        let (one, many) = match self {
            Judged::Fittings => (labels.one_fitting, labels.fittings),
            Judged::Readings => (labels.one_reading, labels.readings),
            Judged::Steps => (labels.one_step, labels.steps),
            Judged::Parts => (labels.one_part, labels.parts),
            Judged::Tools => (labels.one_tool, labels.tools),
            Judged::Joints => (labels.one_joint, labels.joints),
            Judged::Circuits => (labels.one_circuit, labels.circuits),
            Judged::Limits => (labels.one_limit, labels.limits),
            Judged::States => (labels.one_state, labels.states),
            Judged::Messages => (labels.one_message, labels.messages),
        };
        fill(if count == 1 { one } else { many }, &[("n", &count.to_string())])
    }

    /// As a field of data: `safety_messages`.
    pub fn field(self) -> &'static str {
        match self {
            Judged::Fittings => "fittings",
            Judged::Readings => "readings",
            Judged::Steps => "steps",
            Judged::Parts => "parts",
            Judged::Tools => "tools",
            Judged::Joints => "joints",
            Judged::Circuits => "circuits",
            Judged::Limits => "limits",
            Judged::States => "states",
            Judged::Messages => "safety_messages",
        }
    }
}

/// Something that was not judged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Open {
    /// Of what: `Battery stud (stud)`.
    pub subject: String,
    /// What of it: `Proof load`.
    pub what: String,
    /// Why not: `the class of the stud is not stated`.
    pub why: String,
    /// Whether a person judges it by eye, by words that the joint states.
    pub by_eye: bool,
    /// Where the subject stands.
    pub place: Span,
}

/// A step of which only sentences say what is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InWords {
    /// Which: `Park the van (park)`.
    pub subject: String,
    /// Where it stands.
    pub place: Span,
}

/// A finding that somebody accepted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Accepted {
    /// Its code.
    pub code: Code,
    /// What it says.
    pub message: String,
    /// Why it is accepted.
    pub reason: String,
    /// Where the acceptance stands.
    pub place: Span,
}

impl Accepted {
    /// Whether it was only worth knowing for the writer.
    pub fn is_note(&self) -> bool {
        self.code.severity() == Severity::Note
    }
}

impl Account {
    /// What was judged, in words: `6 fittings, 9 readings, 3 joints`. Empty where nothing was.
    pub fn counts(&self) -> String {
        let counts: Vec<String> = self.judged.iter().map(|(what, count)| what.counted(*count)).collect();
        counts.join(", ")
    }

    /// Of a plan. `proved` says whether its proofs were made, `findings` are those of its check; `accepted` are those of them that
    /// somebody accepted.
    pub fn of(plan: &Plan, proved: bool, findings: &[Finding], accepted: Vec<Accepted>) -> Account {
        let mut open = not_judged(plan);
        open.extend(findings.iter().filter(|finding| is_undecided(finding.code)).filter_map(undecided));
        open.sort_by_key(|open| open.place);
        let in_words = if proved { in_words(plan.procedure()) } else { Vec::new() };
        let judged = if proved { counts(plan, &open) } else { Vec::new() };
        let open = said_once(plan, open);
        Account { judged, open, in_words, accepted, proved }
    }
}

/// The account as data for programs: `build.json` and `check --format json --account` write this.
#[derive(Debug, Serialize)]
pub struct AccountData<'a> {
    /// Whether the proofs were made.
    proved: bool,
    /// How many of what were judged.
    judged: BTreeMap<&'static str, usize>,
    not_judged: Vec<OpenData<'a>>,
    /// Steps of which only sentences say what is done.
    in_words_only: Vec<InWordsData<'a>>,
    accepted: Vec<AcceptedData<'a>>,
}

#[derive(Debug, Serialize)]
struct OpenData<'a> {
    subject: &'a str,
    what: &'a str,
    why: &'a str,
    file: Option<&'a str>,
    line: Option<u32>,
}

#[derive(Debug, Serialize)]
struct InWordsData<'a> {
    subject: &'a str,
    file: Option<&'a str>,
    line: Option<u32>,
}

#[derive(Debug, Serialize)]
struct AcceptedData<'a> {
    code: &'static str,
    message: &'a str,
    reason: &'a str,
    file: Option<&'a str>,
    line: Option<u32>,
}

impl Account {
    /// As data, with places by file and line.
    pub fn data<'a>(&'a self, sources: &'a Sources) -> AccountData<'a> {
        let place = |span: Span| {
            let file = sources.get(span.file);
            (file.map(|file| file.name.as_str()), file.map(|file| file.position(span.start).line))
        };
        let open = self.open.iter().map(|open| {
            let (file, line) = place(open.place);
            OpenData { subject: &open.subject, what: &open.what, why: &open.why, file, line }
        });
        let in_words = self.in_words.iter().map(|one| {
            let (file, line) = place(one.place);
            InWordsData { subject: &one.subject, file, line }
        });
        let accepted = self.accepted.iter().map(|one| {
            let (file, line) = place(one.place);
            AcceptedData { code: one.code.text(), message: &one.message, reason: &one.reason, file, line }
        });
        AccountData {
            proved: self.proved,
            judged: self.judged.iter().map(|(what, count)| (what.field(), *count)).collect(),
            not_judged: open.collect(),
            in_words_only: in_words.collect(),
            accepted: accepted.collect(),
        }
    }
}

/// A question that took more than the effort allowed.
fn is_undecided(code: Code) -> bool {
    matches!(code, Code::FW0419 | Code::FW0513)
}

/// What is open alike of the copies of one thing for several places is said once, of what stands in the source.
fn said_once(plan: &Plan, open: Vec<Open>) -> Vec<Open> {
    let procedure = plan.procedure();
    let mut told: Vec<Open> = Vec::new();
    for mut one in open {
        if one.place.file.place().is_some() {
            for (name, at) in procedure.copies().filter(|(name, _)| name.span.file == one.place.file) {
                one.subject = one.subject.replace(&name.title, &at.title).replace(&name.id, &at.of);
            }
            one.place = one.place.whole();
            if told.contains(&one) {
                continue;
            }
        }
        one.place = one.place.whole();
        told.push(one);
    }
    told
}

fn undecided(finding: &Finding) -> Option<Open> {
    let why = finding.reason.clone().unwrap_or_default();
    let (subject, what) = (finding.code.text().to_owned(), finding.message.clone());
    Some(Open { subject, what, why, by_eye: false, place: finding.span()? })
}

/// What the calculations leave open, what a person judges by eye, and what is said to be unknown beside them.
fn not_judged(plan: &Plan) -> Vec<Open> {
    let labels = &spoken().unjudged;
    let procedure = plan.procedure();
    let mut open = Vec::new();
    for (id, joint) in procedure.joints.iter() {
        let working = &plan.joint_judged(id).working;
        open.extend(left_open(working, joint.span));
        if let Tightness::Seen(seen, _) = &joint.tightness {
            open.push(Open {
                subject: working.title.clone(),
                what: sentence_case(labels.torque),
                why: fill(labels.seen, &[("seen", &tight_when(procedure, joint, seen))]),
                by_eye: true,
                place: joint.span,
            });
        }
    }
    for (id, joint) in procedure.joints.iter() {
        open.extend(due_when(procedure, joint).zip(joint.again.as_ref()).map(|(when, again)| Open {
            subject: plan.joint_judged(id).working.title.clone(),
            what: sentence_case(labels.again),
            why: fill(labels.due_again, &[("when", &when)]),
            by_eye: false,
            place: again.span,
        }));
    }
    // Of a lead of signals there is nothing to judge.
    for (id, circuit) in procedure.circuits.iter() {
        let working = &plan.circuit(id).working;
        if circuit.signals_only {
            let colours = circuit.unknown.iter().filter(|unknown| unknown.what == UnknownValue::Colour);
            open.extend(colours.map(|unknown| Open {
                subject: working.title.clone(),
                what: sentence_case(term(unknown.what.words())),
                why: fill(labels.unknown, &[("why", unknown.why.trim_end_matches('.'))]),
                by_eye: false,
                place: circuit.span,
            }));
        } else {
            open.extend(left_open(working, circuit.span));
        }
    }
    for (id, circuit) in procedure.circuits.iter() {
        open.extend(left_to_somebody(circuit, &plan.circuit(id).working.title));
    }
    open.extend(levers(plan.procedure()));
    for part in procedure.parts.rows() {
        let mass = part.unknown.iter().filter(|unknown| unknown.what == UnknownValue::Mass);
        open.extend(mass.map(|unknown| Open {
            subject: format!("{} ({})", part.name.title, part.name.id),
            what: sentence_case(labels.mass),
            why: fill(labels.unknown, &[("why", unknown.why.trim_end_matches('.'))]),
            by_eye: false,
            place: unknown.span,
        }));
    }
    for entry in procedure.kit.iter().flat_map(|group| &group.entries) {
        let unknown = number_unknown(procedure, entry);
        let is_unknown = unknown.is_some();
        open.extend(unknown);
        open.extend(is_unknown.then(|| taken_for_granted(plan, entry.what)).into_iter().flatten());
    }
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::Take(entries) = &line.kind else { continue };
        open.extend(entries.iter().filter_map(|entry| number_unknown(procedure, entry)));
    }
    open
}

/// That nobody knows how many of a part the kit holds, or a line takes.
fn number_unknown(procedure: &Procedure, entry: &Counted<PartId>) -> Option<Open> {
    let labels = &spoken().unjudged;
    let HowMuch::Unknown(why) = &entry.much else { return None };
    let name = &procedure.parts[entry.what].name;
    Some(Open {
        subject: format!("{} ({})", name.title, name.id),
        what: sentence_case(labels.number),
        why: fill(labels.unknown, &[("why", why.trim_end_matches('.'))]),
        by_eye: false,
        place: entry.span,
    })
}

/// What wrenches of unknown length are set to where an adapter makes their levers longer.
fn levers(procedure: &Procedure) -> Vec<Open> {
    let mut open: Vec<Open> = Vec::new();
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::Tighten(id, tools) = &line.kind else { continue };
        let joint = &procedure.joints[*id];
        if joint.torques().is_empty() {
            continue;
        }
        for setting in settings(procedure, tools).iter().filter(|setting| setting.share.is_none()) {
            let wrench = &procedure.tools[setting.wrench];
            let Some(unknown) = wrench.unknown.first() else { continue };
            let one = Open {
                subject: format!("{} ({})", joint.name.title, joint.name.id),
                what: fill(spoken().unjudged.setting, &[("wrench", &wrench.name.title)]),
                why: fill(spoken().unjudged.unknown, &[("why", unknown.why.trim_end_matches('.'))]),
                by_eye: false,
                place: unknown.span,
            };
            if !open.contains(&one) {
                open.push(one);
            }
        }
    }
    open
}

/// What is left to somebody of whom nothing is held: no procedure of the project does it.
fn left_to_somebody(circuit: &Circuit, subject: &str) -> Vec<Open> {
    let labels = &spoken().unjudged;
    let open = |left: &LeftTo, what: String| match &left.who {
        Who::Procedure(_) => None,
        Who::Somebody(who) => Some(Open {
            subject: subject.to_owned(),
            what: sentence_case(&what),
            why: fill(labels.said_only, &[("who", who.trim_end_matches('.'))]),
            by_eye: false,
            place: left.span,
        }),
    };
    let fed = circuit.fed_later.iter().filter_map(|left| open(left, labels.feeds_later.to_owned()));
    let points = circuit
        .points
        .rows()
        .iter()
        .filter_map(|point| open(point.left.as_ref()?, fill(labels.connects_later, &[("point", &point.title)])));
    fed.chain(points).collect()
}

/// That there are enough of a part for the joints that take it, where nobody knows how many there are.
fn taken_for_granted(plan: &Plan, part: PartId) -> impl Iterator<Item = Open> {
    let labels = &spoken().unjudged;
    let procedure = plan.procedure();
    let title = &procedure.parts[part].name.title;
    procedure.joints.iter().filter(|(_, joint)| !joint.on_vehicle).filter_map(move |(id, joint)| {
        let each: u32 = joint.each.iter().filter(|entry| entry.what == part).map(|entry| entry.count).sum();
        // Of a joint that nobody counted, it is said that its number is unknown.
        let needed = each.saturating_mul(joint.count.unwrap_or(0));
        (needed > 0).then(|| Open {
            subject: plan.joint_judged(id).working.title.clone(),
            what: sentence_case(&fill(labels.number_of, &[("part", title)])),
            why: fill(labels.kit_unknown, &[("n", &needed.to_string())]),
            by_eye: false,
            place: joint.span,
        })
    })
}

fn left_open(working: &Working, place: Span) -> impl Iterator<Item = Open> {
    let mut open: Vec<Open> = Vec::new();
    for line in working.lines.iter().filter(|line| line.standing == Standing::Open) {
        // What is open for one reason is said in one row.
        match open.iter_mut().find(|before| before.why == line.result) {
            Some(before) if before.what == line.what => {}
            Some(before) => {
                before.what = format!("{}, {}", before.what, language().inside(&line.what));
            }
            None => {
                let (what, why) = (line.what.clone(), line.result.clone());
                open.push(Open { subject: working.title.clone(), what, why, by_eye: false, place });
            }
        }
    }
    open.into_iter()
}

/// Whether sentences alone say what is done in the step.
fn is_in_words(step: &Step) -> bool {
    let says = step.lines.iter().any(|line| matches!(line.kind, LineKind::Prose(_)));
    says && !step.lines.iter().any(|line| line.kind.tells_what_is_done())
}

/// The steps whose sentences alone say what is done; of copies for several places the one that stands in the source.
fn in_words(procedure: &Procedure) -> Vec<InWords> {
    let only = procedure.steps.rows().iter().filter(|step| is_in_words(step)).map(|step| &step.name);
    let mut found: Vec<InWords> = only
        .map(|name| {
            let (title, id) = name.at.as_ref().map_or((&name.title, &name.id), |at| (&at.title, &at.of));
            InWords { subject: format!("{title} ({id})"), place: name.span.whole() }
        })
        .collect();
    found.sort_by_key(|one| one.place);
    found.dedup();
    found
}

fn counts(plan: &Plan, open: &[Open]) -> Vec<(Judged, usize)> {
    let procedure = plan.procedure();
    let observed = procedure.choices.rows().iter().filter(|choice| choice.kind == ChoiceKind::Observe).count();
    let measured = procedure.numbers.rows().iter().filter(|number| number.kind == NumberKind::Measure).count();
    let lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    let whole = |title: &str| !open.iter().any(|open| open.subject == title);
    let joints = procedure.joints.iter().filter(|(id, _)| whole(&plan.joint_judged(*id).working.title)).count();
    let circuits = procedure.circuits.iter().filter(|(id, _)| whole(&plan.circuit(*id).working.title)).count();
    let all = [
        (Judged::Fittings, plan.occurrence().count().unwrap_or(0)),
        (Judged::Readings, observed + measured),
        (Judged::Steps, procedure.steps.rows().iter().filter(|step| !is_in_words(step)).count()),
        (Judged::Parts, procedure.parts.len()),
        (Judged::Tools, procedure.tools.len()),
        (Judged::Joints, joints),
        (Judged::Circuits, circuits),
        (Judged::Limits, procedure.limits.len()),
        (Judged::States, procedure.states.len()),
        (Judged::Messages, lines.filter(|line| matches!(line.kind, LineKind::Message(_))).count()),
    ];
    all.into_iter().filter(|(_, count)| *count > 0).collect()
}
