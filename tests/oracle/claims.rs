//! What brute force claims that the compiler must say, or may say.

use std::collections::BTreeSet;

use fitwright::diagnostics::Code;
use fitwright::model::{ChoiceKind, HowMuch, LineKind, MentionTarget, Node, Part, Procedure, Reading, Record};
use fitwright::source::Span;

use super::answers::Answers;
use super::knowledge::named_in;
use super::places::{self, Place, Standing};
use super::trace::{Answer, Subject};

/// Something that must be said, or that may be.
#[derive(Debug, Clone, PartialEq)]
pub struct Claim {
    /// Codes under which it may be said; the first is the natural one.
    pub codes: Vec<Code>,
    pub subject: Subject,
    /// Others that share its cause; a finding about any of them will do.
    pub or: Vec<Subject>,
    /// Places at which a finding may first point.
    pub places: Vec<Span>,
    /// Whether the compiler must say it.
    pub certain: bool,
    /// One case that shows it.
    pub example: Vec<Answer>,
}

/// The codes that the oracle decides.
pub const DECIDED: &[Code] = &[
    Code::FW0401,
    Code::FW0402,
    Code::FW0404,
    Code::FW0405,
    Code::FW0406,
    Code::FW0407,
    Code::FW0408,
    Code::FW0409,
    Code::FW0410,
    Code::FW0411,
    Code::FW0412,
    Code::FW0420,
    Code::FW0421,
    Code::FW0423,
    Code::FW0601,
    Code::FW0603,
    Code::FW0605,
    Code::FW0606,
    Code::FW0607,
    Code::FW0608,
    Code::FW0609,
    Code::FW0610,
    Code::FW0701,
    Code::FW0702,
    Code::FW0703,
    Code::FW0704,
    Code::FW0730,
    Code::FW0731,
    Code::FW0740,
    Code::FW0801,
    Code::FW0802,
    Code::FW0803,
    Code::FW0805,
    Code::FW0806,
    Code::FW0807,
    Code::FW0901,
    Code::FW0902,
    Code::FW0903,
    Code::FW0904,
    Code::FW0920,
    Code::FW0921,
    Code::FW0944,
    Code::FW0960,
    Code::FW0961,
    Code::FW0962,
    Code::FW1001,
    Code::FW1002,
    Code::FW1003,
    Code::FW1004,
    Code::FW1005,
    Code::FW1006,
    Code::FW1101,
    Code::FW1102,
];

/// All claims about a procedure.
pub fn claims(procedure: &Procedure, answers: &Answers) -> Vec<Claim> {
    let mut claims = Vec::new();
    if answers.allowed == 0 {
        // Nothing else has a meaning where no job is allowed.
        let places = procedure.rules.iter().map(|rule| rule.span).chain([procedure.head_span]).collect();
        claims.push(Claim { places, ..claim(Code::FW0408, Subject::Path, true) });
        return claims;
    }
    faults(answers, &mut claims);
    limits(procedure, answers, &mut claims);
    if !answers.handover {
        claims.push(Claim { places: all_endings(procedure), ..claim(Code::FW0409, Subject::Path, true) });
    } else if !answers.handover_certain {
        claims.push(Claim { places: all_endings(procedure), ..claim(Code::FW0409, Subject::Path, false) });
    }
    if claims.iter().any(|claim| claim.codes.first() == Some(&Code::FW1001)) {
        // A limit that always breaks is why nothing gets to the handover: one cause, one message.
        claims.iter_mut().filter(|claim| claim.codes == [Code::FW0409]).for_each(|claim| claim.certain = false);
    }
    unreachable(procedure, answers, &mut claims);
    always(procedure, answers, &mut claims);
    inert(procedure, answers, &mut claims);
    for_nothing(answers, &mut claims);
    left_over(procedure, answers, &mut claims);
    never_supplied(procedure, answers, &mut claims);
    claims
}

/// Parts that some job takes out of the kit, and no group of it has them.
///
/// **Decision.** A line that takes such a part is told of even where no job reaches it; a joint is told of only where some
/// job finds too little of it in hand.
fn never_supplied(procedure: &Procedure, answers: &Answers, claims: &mut Vec<Claim>) {
    for (part, _) in procedure.parts.iter().filter(|(_, row)| !row.consumable) {
        let supplied = procedure.kit.iter().flat_map(|group| &group.entries).any(|entry| entry.what == part);
        if supplied || super::parts::is_made(procedure, part) {
            continue;
        }
        let lines = || procedure.steps.rows().iter().flat_map(|step| &step.lines);
        let takes = |kind: &LineKind| match kind {
            LineKind::Take(list) | LineKind::MakeParts { from: list, .. } => {
                list.iter().any(|entry| entry.what == part)
            }
            _ => false,
        };
        let places = |kind: &LineKind| match kind {
            LineKind::Place(joint) => procedure.joints[*joint].each.iter().any(|entry| entry.what == part),
            _ => false,
        };
        let balance = answers.part(part);
        if balance.taken || lines().any(|line| takes(&line.kind)) {
            let at = lines().filter(|line| takes(&line.kind) || places(&line.kind)).map(|line| line.span);
            let certain = balance.worst_certain > 0;
            claims.push(Claim { places: at.collect(), ..claim(Code::FW0601, Subject::Part(part), certain) });
        }
    }
}

/// Repairs after which nothing that had failed ever holds, and states that are made what they are.
fn for_nothing(answers: &Answers, claims: &mut Vec<Claim>) {
    for (span, outcomes) in &answers.again {
        if outcomes.failed_certain && !outcomes.held_certain {
            let certain = !outcomes.held && !answers.doubtful;
            claims.push(Claim { places: vec![*span], ..claim(Code::FW0423, Subject::Path, certain) });
        }
    }
    for (span, outcomes) in &answers.makes {
        if outcomes.held && !outcomes.failed_certain {
            let certain = outcomes.held_certain && !outcomes.failed && !answers.doubtful;
            claims.push(Claim { places: vec![*span], ..claim(Code::FW0807, Subject::Path, certain) });
        }
    }
}

/// Parts of which some are left at every handover. Where no job takes any, that they are supplied at all is the message.
fn left_over(procedure: &Procedure, answers: &Answers, claims: &mut Vec<Claim>) {
    let entries = || procedure.kit.iter().flat_map(|group| &group.entries);
    let unknown = |part| entries().any(|entry| entry.what == part && matches!(entry.much, HowMuch::Unknown(_)));
    let judged = |part, row: &Part| !row.consumable && row.comes_by.is_none() && !unknown(part);
    for (part, row) in procedure.parts.iter().filter(|(part, row)| judged(*part, row)) {
        let balance = answers.part(part);
        if balance.left.is_some_and(|(_, most)| most >= 1) {
            let least = balance.left.map_or(0, |(least, _)| least);
            let entries = procedure.kit.iter().flat_map(|group| &group.entries);
            let mut places: Vec<Span> = entries.filter(|entry| entry.what == part).map(|entry| entry.span).collect();
            places.push(row.name.span);
            let certain = least >= 1 && balance.taken && !answers.doubtful;
            if least >= 1 || answers.doubtful {
                claims.push(Claim { places, ..claim(Code::FW0610, Subject::Part(part), certain) });
            }
        }
    }
}

/// **Decision.** A reading that is not taken is one cause, however many conditions use it: one finding will do. A path that
/// runs out where none is handed over may be told as FW0409.
fn faults(answers: &Answers, claims: &mut Vec<Claim>) {
    for (key, seen) in &answers.faults {
        let fault = &seen.fault;
        let mut places = vec![fault.at];
        places.extend(&fault.also);
        let mut codes = match fault.code {
            Code::FW1102 => vec![Code::FW1102, Code::FW1101],
            Code::FW1002 | Code::FW1003 => vec![key.0, Code::FW1001],
            Code::FW0412 if !answers.handover => vec![Code::FW0412, Code::FW0409],
            code => vec![code],
        };
        if matches!(fault.code, Code::FW0406 | Code::FW0411) {
            codes = vec![fault.code, Code::FW0406, Code::FW0411];
            let same = |other: &&super::answers::Seen| {
                matches!(other.fault.code, Code::FW0406 | Code::FW0411)
                    && (other.fault.subject == fault.subject || fault.or.contains(&other.fault.subject))
            };
            places.extend(answers.faults.values().filter(same).map(|other| other.fault.at));
        }
        let or = fault.or.clone();
        // Of the sums behind a fuse the largest is told.
        let is_less = |other: &super::trace::Fault| match (fault.subject, other.subject) {
            (Subject::Load(one, sum), Subject::Load(same, most)) => one == same && sum < most,
            _ => false,
        };
        let is_told = !answers.faults.values().any(|other| is_less(&other.fault));
        let (certain, example) = (fault.certain && is_told, seen.example.clone());
        claims.push(Claim { codes, subject: fault.subject, or, places, certain, example });
    }
}

fn claim(code: Code, subject: Subject, certain: bool) -> Claim {
    Claim { codes: vec![code], subject, or: Vec::new(), places: Vec::new(), certain, example: Vec::new() }
}

/// **Decision.** "In every configuration" means in every one in which the limit applies and is decided. Where it applies
/// only under a condition, a reader may as well be told that it breaks in some.
fn limits(procedure: &Procedure, answers: &Answers, claims: &mut Vec<Claim>) {
    for (limit, outcomes) in &answers.limits {
        let row = &procedure.limits[*limit];
        // Verdicts that came after another limit had turned the vehicle away are not certain.
        if outcomes.held && !outcomes.failed_certain {
            // A limit of facts alone states that the writer's numbers agree.
            let mut numbers = BTreeSet::new();
            super::knowledge::numbers_of(&row.holds.left, &mut numbers);
            super::knowledge::numbers_of(&row.holds.right, &mut numbers);
            let certain = !numbers.is_empty() && !outcomes.failed && outcomes.held_certain && !answers.doubtful;
            let places = vec![row.span, row.name.span, row.holds.span];
            claims.push(Claim { places, ..claim(Code::FW1005, Subject::Limit(*limit), certain) });
        }
        if outcomes.held_certain || !outcomes.failed_certain {
            continue;
        }
        let certain = row.when.is_none() && !outcomes.held && !answers.doubtful;
        let places = vec![row.span, row.name.span, row.holds.span];
        claims.push(Claim { places, ..claim(Code::FW1001, Subject::Limit(*limit), certain) });
        for other in claims.iter_mut().filter(|other| other.subject == Subject::Limit(*limit)) {
            // One cause, one message: broken everywhere says enough.
            other.certain &= other.codes.first() == Some(&Code::FW1001) || !certain;
        }
    }
}

fn all_endings(procedure: &Procedure) -> Vec<Span> {
    let mut spans = vec![procedure.head_span, procedure.name.span];
    spans.extend(procedure.sections.iter().flat_map(|section| [section.span, section.name.span]));
    for standing in places::all(procedure) {
        if matches!(standing.place, Place::Handover(_) | Place::Stop(_)) {
            spans.extend(standing.spans);
        }
    }
    spans
}

/// The outermost places that no job reaches.
///
/// **Decision.** One cause, one message. Nothing inside an unreached place is claimed for certain. Of statements that no
/// job comes to, since every job has ended before, the first of each body is claimed (right behind a stop it is
/// FW0405), unless nothing reaches the handover at all: then that is the message. The `else` of a condition that always
/// holds may be told as FW0410; an `else` of a check that never fails is not claimed.
fn unreachable(procedure: &Procedure, answers: &Answers, claims: &mut Vec<Claim>) {
    let list = places::all(procedure);
    for standing in &list {
        // What only a walk in doubt reaches may be told: it is not sure that the mended text reaches it.
        let reached = answers.reached.get(&standing.place).copied();
        if reached == Some(true) {
            continue;
        }
        let own_cause = reached.is_none() && !answers.doubtful && is_own_cause(&list, standing, answers);
        let after_stop =
            standing.before.is_some_and(|before| matches!(list[before].place, Place::Stop(_) | Place::Handover(_)));
        let codes = match standing.place {
            Place::Else(_) => vec![Code::FW0404, Code::FW0410],
            Place::Arm(_) => vec![Code::FW0404, Code::FW0403],
            _ if after_stop => vec![Code::FW0405, Code::FW0404],
            _ => vec![Code::FW0404, Code::FW0405],
        };
        let places = standing.spans.clone();
        claims.push(Claim { codes, places, ..claim(Code::FW0404, Subject::Path, own_cause) });
    }
}

fn is_own_cause(list: &[Standing], standing: &Standing, answers: &Answers) -> bool {
    let around = standing.parent.is_none_or(|parent| answers.reached.contains_key(&list[parent].place));
    match standing.place {
        Place::Arm(_) => around,
        Place::Else(at) => answers.reached.contains_key(&Place::Then(at)),
        Place::Step(_) | Place::Then(_) | Place::Section(_) | Place::Choose(_) => {
            let came = |place: &Place| answers.arrived.contains(place);
            let before_came = standing.before.is_none_or(|before| came(&list[before].place));
            let first_of_dead = before_came && answers.handover && around;
            came(&standing.place) || first_of_dead
        }
        Place::Repair(_) | Place::Fails(_) | Place::Set(_) | Place::Stop(_) | Place::Handover(_) => false,
    }
}

/// Conditions that hold whenever they are looked at.
///
/// **Decision.** Looked at where they stand, under everything around them, what a check expects too. What a rule says may
/// always hold (FW0422 says so).
fn always(procedure: &Procedure, answers: &Answers, claims: &mut Vec<Claim>) {
    for (span, outcomes) in &answers.conds {
        let started = answers.conds_of_started.get(span);
        let may = !outcomes.failed_certain || started.is_some_and(|started| !started.failed_certain);
        if !may || !outcomes.held {
            continue;
        }
        let certain = !outcomes.failed && outcomes.held_certain && !answers.doubtful;
        let (mut codes, mut places) = (vec![Code::FW0410], vec![*span]);
        if !outcomes.guards {
            // That nothing uses the tools of its repair may be what is told of a check that can't fail.
            let checks = procedure.steps.rows().iter().filter(|step| step.is_check);
            codes.push(Code::FW0503);
            places.extend(checks.map(|step| step.span).filter(|check| check.range().contains(&span.range().start)));
        }
        claims.push(Claim { codes, places, ..claim(Code::FW0410, Subject::Path, certain) });
    }
    for rule in &procedure.rules {
        let places = vec![rule.holds.span, rule.span];
        claims.push(Claim { places, ..claim(Code::FW0410, Subject::Path, false) });
    }
}

/// Inputs that decide nothing.
///
/// **Decision.** An input whose value prose or a record carries to a reader has done its work. Where conditions name it and
/// nothing follows, those conditions always hold, or never, or nobody comes to them: findings of their own. What the
/// technician is sent to read and nothing names is claimed for certain; an option or given that nothing names is a matter
/// of "declared and never used".
fn inert(procedure: &Procedure, answers: &Answers, claims: &mut Vec<Claim>) {
    let named = named_anywhere(procedure);
    let choices = procedure.choices.iter().filter(|(_, row)| row.kind != ChoiceKind::Result);
    let choices = choices.map(|(choice, row)| (Reading::Choice(choice), row.name.span, row.kind == ChoiceKind::Option));
    let numbers = procedure
        .numbers
        .iter()
        .map(|(number, row)| (Reading::Number(number), row.name.span, row.kind == fitwright::model::NumberKind::Given));
    for (input, span, before_job) in choices.chain(numbers) {
        if answers.deciding.deeds.contains(&input) || answers.told.contains(&input) {
            continue;
        }
        let sent_for_nothing = !before_job && answers.asked.contains(&input) && !named.contains(&input);
        let certain = sent_for_nothing && !answers.deciding.anything.contains(&input) && !answers.doubtful;
        claims.push(Claim { places: vec![span], ..claim(Code::FW0407, Subject::Reading(input), certain) });
    }
}

fn named_anywhere(procedure: &Procedure) -> BTreeSet<Reading> {
    let mut named = BTreeSet::new();
    let mut conds: Vec<&fitwright::model::Cond> = Vec::new();
    conds.extend(procedure.steps.rows().iter().filter_map(|step| step.when.as_ref()));
    conds.extend(procedure.sections.iter().filter_map(|section| section.when.as_ref()));
    conds.extend(procedure.kit.iter().filter_map(|group| group.when.as_ref()));
    conds.extend(procedure.vehicle.iter().filter_map(|group| group.when.as_ref()));
    conds.extend(procedure.limits.rows().iter().filter_map(|limit| limit.when.as_ref()));
    conds.into_iter().for_each(|cond| named_in(cond, &mut named));
    let mut numbers = BTreeSet::new();
    for limit in procedure.limits.rows() {
        super::knowledge::numbers_of(&limit.holds.left, &mut numbers);
        super::knowledge::numbers_of(&limit.holds.right, &mut numbers);
    }
    named.extend(numbers.into_iter().map(Reading::Number));
    for section in &procedure.sections {
        in_body(&section.body, &mut named);
    }
    // Told to a reader in a step that no job reaches: that step is the cause.
    let lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    for line in lines {
        match &line.kind {
            LineKind::Prose(prose) => named.extend(prose.mentions.iter().filter_map(|mention| match mention.target {
                MentionTarget::Choice(choice) => Some(Reading::Choice(choice)),
                MentionTarget::Number(number) => Some(Reading::Number(number)),
                _ => None,
            })),
            LineKind::Record(Record::Reading(reading)) => {
                named.insert(*reading);
            }
            _ => {}
        }
    }
    named
}

fn in_body(body: &[Node], named: &mut BTreeSet<Reading>) {
    for node in body {
        match node {
            Node::Check(check) => {
                check.expects.iter().for_each(|cond| named_in(cond, named));
                check.repair.iter().for_each(|repair| in_body(&repair.body, named));
            }
            Node::Choose(choose) => {
                named.insert(match choose.subject {
                    fitwright::model::ChooseSubject::Choice(choice) => Reading::Choice(choice),
                    fitwright::model::ChooseSubject::Number(number) => Reading::Number(number),
                });
                choose.arms.iter().for_each(|arm| in_body(&arm.body, named));
            }
            Node::When(when) => {
                named_in(&when.cond, named);
                in_body(&when.then, named);
                in_body(&when.otherwise, named);
            }
            Node::Step(_) | Node::Set(_) | Node::Stop(_) | Node::Handover(_) => {}
        }
    }
}
