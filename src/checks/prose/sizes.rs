//! FW1203, sizes: a thread, length, class or tool size in words that is not the one of the thing that they name.

use std::ops::Range;

use super::amounts::{self, Amount};
use super::text::{Sort, Text, TokenKind, plain};
use super::{Words, contradicts};
use crate::model::{
    DriveSize, Fastener, FastenerKind, Joint, JointId, LineKind, Naming, Part, PartId, Procedure, StepId, Tool,
};
use crate::quantity::{Kind, Quantity};
use crate::source::Span;

/// The titles of tools, parts and joints.
pub(super) fn titles(words: &mut Words<'_>) {
    let procedure = words.procedure;
    for tool in procedure.tools.rows().iter().filter(|tool| !tool.name.from_library) {
        of_tool(words, tool);
    }
    for part in procedure.parts.rows().iter().filter(|part| !part.name.from_library) {
        of_part(words, part);
    }
    for joint in procedure.joints.rows() {
        of_joint(words, joint);
    }
}

fn title(name: &Naming) -> Text<'_> {
    plain(&name.title, Sort::Title, None, name.span)
}

// ---- Tools ---------------------------------------------------------------------------------------------------------

fn of_tool(words: &mut Words<'_>, tool: &Tool) {
    let text = title(&tool.name);
    let amounts = amounts::of(&text, true);
    let says = |amount: &Amount| text.slice(&amount.run).to_owned();
    let turned: Vec<&Quantity> = tool.turns.iter().filter_map(DriveSize::only_size).collect();
    let lengths: Vec<&Amount> =
        amounts.iter().filter(|amount| amount.kind() == Kind::Length && !is_of_the_tool(&text, amount)).collect();
    let named = |amount: &&Amount| turned.iter().any(|size| amounts::same(size, &amount.high));
    if let Some(first) = lengths.first().filter(|_| !turned.is_empty() && !lengths.iter().any(named)) {
        let sizes: Vec<String> = turned.iter().map(ToString::to_string).collect();
        words.tell(contradicts(&tool.name, &says(first), &format!("it turns {}", sizes.join(" and ")), tool.span));
    }
    let marks: Vec<&str> = tool.turns.iter().filter_map(|turn| turn.mark.as_deref()).collect();
    let said: Vec<String> =
        (0..text.tokens.len()).map(|at| text.word(at).to_owned()).filter(|word| is_mark(word)).collect();
    if let Some(first) =
        said.first().filter(|_| !marks.is_empty() && !said.iter().any(|said| marks.contains(&said.as_str())))
    {
        words.tell(contradicts(&tool.name, first, &format!("it turns {}", marks.join(" and ")), tool.span));
    }
    for (kind, range, what) in [(Some(Kind::Torque), tool.torque, "its range is"), (None, tool.measures, "it measures")]
    {
        let Some((low, high)) = range else { continue };
        let wrong = amounts.iter().find(|amount| {
            kind.unwrap_or(high.kind()) == amount.kind()
                && high.kind() == amount.kind()
                && !is_range(amount, &low, &high)
        });
        if let Some(wrong) = wrong {
            words.tell(contradicts(&tool.name, &says(wrong), &format!("{what} {low} to {high}"), tool.span));
        }
    }
}

/// Whether an amount is the whole range of a tool, or one of its ends.
fn is_range(amount: &Amount, low: &Quantity, high: &Quantity) -> bool {
    let is_end = |end: &Quantity| amounts::about_the_same(end, low) || amounts::about_the_same(end, high);
    is_end(&amount.low) && is_end(&amount.high)
}

/// A length that is no size which a tool turns: its square drive, or how long it is.
fn is_of_the_tool(text: &Text<'_>, amount: &Amount) -> bool {
    let after = (amount.run.end..amount.run.end + 2).map(|at| text.lower(at));
    let mut words = after.take_while(|word| !word.is_empty() && *word != ",");
    words.any(|word| matches!(word, "drive" | "long" | "square" | "extension" | "handle" | "shaft" | "deep"))
}

/// `PH2`, `PZ1`, `T30`: the marks of recesses.
fn is_mark(word: &str) -> bool {
    let digits = word.trim_start_matches(|c: char| c.is_ascii_uppercase());
    let letters = word.get(..word.len() - digits.len()).unwrap_or_default();
    matches!(letters, "PH" | "PZ" | "T" | "TX")
        && !digits.is_empty()
        && digits.bytes().all(|byte| byte.is_ascii_digit())
}

// ---- Parts ---------------------------------------------------------------------------------------------------------

/// Classes of bolts, screws and nuts that a title may say (ISO 898-1).
const CLASSES: &[&str] = &["4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9"];

fn of_part(words: &mut Words<'_>, part: &Part) {
    let text = title(&part.name);
    if let Some(terminal) = part.terminal.as_ref().filter(|terminal| !terminal.studs.is_empty()) {
        let wrong = threads(&text).into_iter().find(|(_, said)| !terminal.studs.iter().any(|stud| is_size(stud, said)));
        if let Some((_, said)) = wrong {
            words.tell(contradicts(&part.name, &said, &format!("it fits {}", terminal.studs.join(" and ")), part.span));
        }
    }
    let Some(fastener) = &part.fastener else { return };
    let Some(size) = size_of(fastener) else { return };
    let said = threads(&text);
    let wrong = said.iter().find(|(_, said)| !is_size(&size, said));
    if let Some((_, said)) = wrong {
        words.tell(contradicts(&part.name, said, &format!("it is {size}"), part.span));
        return;
    }
    let length = amounts::of(&text, true).into_iter().find(|amount| {
        let by = amount.run.start.checked_sub(1).is_some_and(|by| matches!(text.word(by), "x" | "×"));
        by && amount.kind() == Kind::Length
    });
    let own = fastener.length.as_ref();
    if let Some((length, own)) = length.zip(own).filter(|(length, own)| !amounts::same(&length.high, own)) {
        words.tell(contradicts(&part.name, text.slice(&length.run), &format!("it is {own} long"), part.span));
        return;
    }
    let Some(grade) = fastener.grade.as_ref().filter(|grade| CLASSES.contains(&grade.id.as_str())) else { return };
    let class = (0..text.tokens.len()).map(|at| text.word(at)).find(|word| CLASSES.contains(word));
    if let Some(class) = class.filter(|class| *class != grade.id) {
        words.tell(contradicts(&part.name, class, &format!("its class is {}", grade.id), part.span));
    }
}

/// `M8`, `1/2-13`; of a washer `1/2`
fn size_of(fastener: &Fastener) -> Option<String> {
    let washer = || fastener.washer.as_ref().map(|washer| &washer.id);
    fastener.thread.as_ref().map(|thread| &thread.id).or_else(washer).cloned()
}

/// The threads that a text names, each with the tokens that name it.
fn threads(text: &Text<'_>) -> Vec<(Range<usize>, String)> {
    let mut found = Vec::new();
    for at in 0..text.tokens.len() {
        if text.kind(at) == Some(TokenKind::Word) && metric(text.word(at)).is_some() {
            found.push((at..at + 1, text.word(at).to_owned()));
        }
        let is_inch = text.kind(at) == Some(TokenKind::Number)
            && text.word(at).contains('/')
            && text.is_sign(at + 1, "-")
            && text.is_joined(at + 1)
            && text.is_joined(at + 2)
            && text.kind(at + 2) == Some(TokenKind::Number)
            && !text.word(at + 2).contains('/');
        if is_inch {
            found.push((at..at + 3, text.slice(&(at..at + 3)).to_owned()));
        }
    }
    found
}

/// The diameter of a metric thread: `8` of `M8`, `M8x1.25` and `M8x30`.
fn metric(word: &str) -> Option<&str> {
    let rest = word.strip_prefix('M')?;
    let diameter = rest.split(['x', 'X', '-', '/']).next().unwrap_or_default();
    let is_number = diameter.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    (is_number && diameter.starts_with(|c: char| c.is_ascii_digit())).then_some(diameter)
}

/// Whether a thread as said is one of that size: `M8` and `M8x1.25`, `1/2-13` and a washer's `1/2`.
fn is_size(size: &str, said: &str) -> bool {
    match (metric(size), metric(said)) {
        (Some(own), Some(said)) => own == said,
        (None, None) => {
            let nominal = |size: &str| size.split('-').next().unwrap_or_default().to_owned();
            let pitch = |size: &str| {
                size.split('-').nth(1).filter(|it| it.bytes().all(|b| b.is_ascii_digit())).map(str::to_owned)
            };
            nominal(size) == nominal(said) && pitch(size).zip(pitch(said)).is_none_or(|(own, said)| own == said)
        }
        _ => false,
    }
}

// ---- Joints and steps ----------------------------------------------------------------------------------------------

fn of_joint(words: &mut Words<'_>, joint: &Joint) {
    let sizes = sizes_of(words.procedure, joint);
    let text = title(&joint.name);
    for (_, said) in threads(&text) {
        if !sizes.is_empty() && !sizes.iter().any(|(_, size)| is_size(size, &said)) {
            let own: Vec<&str> = sizes.iter().map(|(_, size)| size.as_str()).collect();
            words.tell(contradicts(&joint.name, &said, &format!("its parts are {}", listed(&own)), joint.span));
            return;
        }
    }
}

fn listed(sizes: &[&str]) -> String {
    let mut once: Vec<&str> = Vec::new();
    sizes.iter().for_each(|size| {
        if !once.contains(size) {
            once.push(size);
        }
    });
    once.join(", ")
}

fn sizes_of(procedure: &Procedure, joint: &Joint) -> Vec<(FastenerKind, String)> {
    let own = joint.each.iter().filter_map(|entry| of(procedure, entry.what));
    let stud = joint.onto.as_ref().map(|stud| (FastenerKind::Stud, stud.thread.id.clone()));
    own.chain(stud).collect()
}

fn of(procedure: &Procedure, part: PartId) -> Option<(FastenerKind, String)> {
    let fastener = procedure.parts[part].fastener.as_ref()?;
    Some((fastener.kind, size_of(fastener)?))
}

/// What a step or note says of the fasteners and tools that the step handles: `the M6 bolts` where it tightens M8.
pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    let Some(step) = text.step.filter(|_| matches!(text.sort, Sort::Instruction | Sort::Told | Sort::Heading)) else {
        return;
    };
    let procedure = words.procedure;
    let handled = handled(procedure, step);
    for (run, said) in threads(text) {
        let Some(kind) = named_kind(text, run.end) else { continue };
        let own: Vec<&(FastenerKind, String)> = handled.iter().filter(|(own, _)| is_kind(*own, kind)).collect();
        let elsewhere = procedure.parts.ids().filter_map(|part| of(procedure, part)).collect::<Vec<_>>();
        let known =
            |all: &[(FastenerKind, String)]| all.iter().any(|(own, size)| is_kind(*own, kind) && is_size(size, &said));
        if own.is_empty() || known(&handled) || (known(&elsewhere) && !acts(text, &run)) {
            continue;
        }
        let sizes: Vec<&str> = own.iter().map(|(_, size)| size.as_str()).collect();
        let Some(place) = text.place(&run) else { continue };
        words.tell(in_words(procedure, step, place, &said, &format!("those of this step are {}", listed(&sizes))));
    }
    tool_sizes(words, text, step);
}

/// Whether the words tell to do something to what they name: the first fastener after the verb with which their sentence begins.
fn acts(text: &Text<'_>, run: &Range<usize>) -> bool {
    let Some(sentence) = text.sentence_of(run.start) else {
        return false;
    };
    const ACTS: &[&str] =
        &["tighten", "torque", "loosen", "remove", "run", "fit", "insert", "push", "screw", "unscrew", "take", "put"];
    ACTS.contains(&text.lower(sentence.start)) && run.start <= sentence.start + 4
}

/// The kind of fastener that stands within two words after a size.
fn named_kind(text: &Text<'_>, from: usize) -> Option<FastenerKind> {
    (from..from + 3).take_while(|at| text.kind(*at) != Some(TokenKind::Sign)).find_map(|at| kind_of(text.lower(at)))
}

fn kind_of(word: &str) -> Option<FastenerKind> {
    Some(match word {
        "bolt" | "bolts" | "capscrew" | "capscrews" => FastenerKind::Bolt,
        "screw" | "screws" => FastenerKind::Screw,
        "nut" | "nuts" | "locknut" | "locknuts" => FastenerKind::Nut,
        "washer" | "washers" => FastenerKind::Washer,
        "stud" | "studs" => FastenerKind::Stud,
        _ => return None,
    })
}

/// A screw may be called a bolt.
fn is_kind(own: FastenerKind, said: FastenerKind) -> bool {
    let turned = |kind| matches!(kind, FastenerKind::Bolt | FastenerKind::Screw);
    own == said || (turned(own) && turned(said))
}

/// The fasteners that a step handles.
fn handled(procedure: &Procedure, step: StepId) -> Vec<(FastenerKind, String)> {
    let mut found = Vec::new();
    for line in &procedure.steps[step].lines {
        if let Some(joint) = joint_of(&line.kind) {
            found.extend(sizes_of(procedure, &procedure.joints[joint]));
        }
        if let LineKind::Take(parts)
        | LineKind::Remove(parts, _)
        | LineKind::Refit(parts)
        | LineKind::Discard(parts)
        | LineKind::Reuse(parts)
        | LineKind::KeepParts { parts, .. } = &line.kind
        {
            found.extend(parts.iter().filter_map(|entry| of(procedure, entry.what)));
        }
    }
    found
}

fn joint_of(line: &LineKind) -> Option<JointId> {
    line.joint()
}

/// `the 10 mm spanner` in a step whose only spanner is one of 13 mm.
fn tool_sizes(words: &mut Words<'_>, text: &Text<'_>, step: StepId) {
    let procedure = words.procedure;
    let used: Vec<&Tool> = procedure.steps[step]
        .lines
        .iter()
        .flat_map(|line| match &line.kind {
            LineKind::Use { tools, .. } => tools.as_slice(),
            other => other.worked_with(),
        })
        .flat_map(|place| &place.any_of)
        .map(|tool| &procedure.tools[*tool])
        .collect();
    for amount in amounts::of(text, words.english).iter().filter(|amount| amount.kind() == Kind::Length) {
        let Some(sort) = tool_sort(text.lower(amount.run.end)) else { continue };
        let alike = |tool: &&&Tool| {
            tool_sort_of(tool).contains(&sort) && tool.turns.iter().any(|turn| turn.only_size().is_some())
        };
        let alike: Vec<&&Tool> = used.iter().filter(alike).collect();
        let turns = |tool: &Tool| {
            tool.turns.iter().filter_map(DriveSize::only_size).any(|size| amounts::same(size, &amount.high))
        };
        if alike.is_empty() || procedure.tools.rows().iter().any(turns) {
            continue;
        }
        let sizes: Vec<String> = alike
            .iter()
            .flat_map(|tool| &tool.turns)
            .filter_map(DriveSize::only_size)
            .map(Quantity::to_string)
            .collect();
        let sizes: Vec<&str> = sizes.iter().map(String::as_str).collect();
        let Some(place) = text.place(&amount.run) else { continue };
        let said = text.slice(&amount.run).to_owned();
        words.tell(in_words(
            procedure,
            step,
            place,
            &said,
            &format!("the {sort} of this step turns {}", listed(&sizes)),
        ));
    }
}

fn tool_sort(word: &str) -> Option<&'static str> {
    Some(match word {
        "spanner" | "spanners" => "spanner",
        "wrench" | "wrenches" => "wrench",
        "socket" | "sockets" => "socket",
        "key" | "keys" => "key",
        _ => return None,
    })
}

/// What a tool may be called: a spanner is a wrench to many.
fn tool_sort_of(tool: &Tool) -> Vec<&'static str> {
    let text = title(&tool.name);
    let mut sorts: Vec<&str> = (0..text.tokens.len()).filter_map(|at| tool_sort(text.lower(at))).collect();
    if sorts.contains(&"spanner") || sorts.contains(&"wrench") {
        sorts.extend(["spanner", "wrench"]);
    }
    sorts
}

fn in_words(procedure: &Procedure, step: StepId, place: Span, said: &str, own: &str) -> crate::diagnostics::Finding {
    let row = &procedure.steps[step];
    crate::diagnostics::Finding::new(
        crate::diagnostics::Code::FW1203,
        format!("the words say {said}, and {own}"),
        place,
        "another size than the step handles",
    )
    .also(row.name.span, format!("step {}", row.number))
    .because("One who goes by the words looks for a part or tool that is not there, or takes a wrong one that is.")
    .repair(
        "Name the thing in brackets instead of its size, such as `[bracket-bolt]`: then words and list can't differ.",
    )
}
