//! What is laid out before the work: tools and protective equipment, how many, and for which fittings.
//!
//! Which tools, and for which fittings, the plan says; here it gets its words.

use serde::Serialize;

use super::other_size::other_standard;
use crate::emit::words::{Words, and_between, listed, or_between, own_range, own_unit};
use crate::labels::{fill, sentence_case, spoken};
use crate::model::{Drive, DriveSize, Guard, ProtectionId, Tool, ToolId, Ways};
use crate::plan::Plan;
use crate::plan::tools::{LaidOut, Use};

/// Of more conditions than this, a row names the first ones and counts the others.
const MOST_CONDITIONS: usize = 4;

/// One row of the tool list.
#[derive(Serialize)]
pub(in crate::emit) struct ToolRow {
    /// Names in the source, one for each alternative.
    pub(in crate::emit) names: Vec<String>,
    /// The same tools in the model.
    #[serde(skip)]
    pub(in crate::emit) ids: Vec<ToolId>,
    pub(in crate::emit) title: String,
    pub(in crate::emit) count: u32,
    /// Size, range and smallest reading in words.
    pub(in crate::emit) detail: String,
    /// Whether the work can be done without.
    pub(in crate::emit) optional: bool,
    pub(in crate::emit) remark: Option<String>,
    /// What an optional tool is good for.
    #[serde(skip)]
    pub(in crate::emit) benefit: Option<String>,
    pub(in crate::emit) when: Option<String>,
    /// The steps that use it.
    #[serde(skip)]
    pub(in crate::emit) uses: Vec<Use>,
}

/// One row of protective equipment.
#[derive(Serialize)]
pub(in crate::emit) struct WearRow {
    pub(in crate::emit) name: String,
    pub(in crate::emit) title: String,
    pub(in crate::emit) remark: Option<String>,
    pub(in crate::emit) when: Option<String>,
    /// The steps that ask for it; empty where it is worn throughout.
    #[serde(skip)]
    pub(in crate::emit) uses: Vec<Use>,
}

/// The tools in the order of their declaration, optional ones last.
pub(in crate::emit) fn tools(plan: &Plan) -> Vec<ToolRow> {
    let words = Words::new(plan.procedure());
    let ways = words.procedure.ways();
    plan.tools().iter().map(|row| tool_row(words, &ways, row)).collect()
}

fn tool_row(words: Words<'_>, ways: &Ways<'_>, row: &LaidOut) -> ToolRow {
    let procedure = words.procedure;
    let tools: Vec<&Tool> = row.any_of.iter().map(|tool| &procedure.tools[*tool]).collect();
    let details = tools.iter().zip(&row.any_of).map(|(tool, id)| {
        let other = other_standard(procedure, *id, &row.any_of);
        // What is said of another size stands behind the size.
        let detail = if other.is_some() { whole_detail(words, tool) } else { tool_detail(words, tool) };
        [Some(detail), other].into_iter().flatten().collect::<Vec<_>>().join(", ")
    });
    let mut details: Vec<String> = details.filter(|detail| !detail.is_empty()).collect();
    details.dedup();
    let benefit = (!row.benefits.is_empty()).then(|| row.benefits.join("; "));
    ToolRow {
        names: tools.iter().map(|tool| tool.name.id.clone()).collect(),
        ids: row.any_of.clone(),
        // The detail beside it says what tells it from others of its title.
        title: listed(tools.iter().map(|tool| tool.name.title.clone()), spoken().word.or),
        count: row.count,
        detail: details.join(&or_between()),
        optional: row.optional,
        remark: row.optional.then(|| sentence_case(&done_without(benefit.as_deref()))),
        benefit: benefit.filter(|_| row.optional),
        when: if row.always { None } else { when(words, ways, &row.uses) },
        uses: row.uses.clone(),
    }
}

/// `can be done without; saves an hour`: of a tool that is no must.
pub(in crate::emit) fn done_without(benefit: Option<&str>) -> String {
    std::iter::once(spoken().tell.without).chain(benefit).collect::<Vec<_>>().join("; ")
}

/// What it turns, its range and its smallest reading; of what it turns, what its title does not say.
pub(in crate::emit) fn tool_detail(words: Words<'_>, tool: &Tool) -> String {
    let is_new = |word: &String| !says(&tool.name.title, word);
    let turns = tool.turns.iter().map(|turns| drive_parts(turns).filter(is_new).collect::<Vec<_>>().join(" "));
    detail_behind(words, tool, turns.filter(|words| !words.is_empty()).collect())
}

/// The same, with all of what it turns.
fn whole_detail(words: Words<'_>, tool: &Tool) -> String {
    detail_behind(words, tool, tool.turns.iter().map(drive_words).collect())
}

fn detail_behind(words: Words<'_>, tool: &Tool, mut parts: Vec<String>) -> String {
    parts.extend(tool.torque.map(|(low, high)| words.range(&low, &high)));
    // An instrument has one scale; its other system would be a scale that nobody finds on it.
    parts.extend(tool.measures.map(|(low, high)| own_range(&low, &high)));
    parts.extend(tool.reads.map(|reads| fill(spoken().tool.reads, &[("value", &own_unit(&reads))])));
    parts.extend(tool.short.as_ref().map(|short| fill(spoken().kit.called, &[("short", short)])));
    parts.join(", ")
}

/// Whether a title has these words, as whole ones: `13 mm` says nothing of `3 mm`, nor `1 1/2 in` of `1/2 in`.
fn says(title: &str, words: &str) -> bool {
    let plain = |text: &str| -> Vec<String> {
        let words = text.split_whitespace().map(|word| word.trim_matches(|c: char| !c.is_alphanumeric()));
        words.map(str::to_lowercase).collect()
    };
    let (title, words) = (plain(title), plain(words));
    let is_number = |word: &String| word.chars().all(|c| c.is_ascii_digit());
    let mut runs = title.windows(words.len().max(1)).enumerate();
    runs.any(|(at, run)| run == words && !at.checked_sub(1).and_then(|before| title.get(before)).is_some_and(is_number))
}

/// `hex 13 mm`, `cross recess PH2`
pub(in crate::emit) fn drive_words(turns: &DriveSize) -> String {
    drive_parts(turns).collect::<Vec<_>>().join(" ")
}

/// The drive, its size and its mark.
fn drive_parts(turns: &DriveSize) -> impl Iterator<Item = String> {
    let drive = drive_name(turns.drive);
    let size = turns.size.as_ref().map(|low| match &turns.to {
        Some(high) => own_range(low, high),
        None => own_unit(low),
    });
    [Some(drive.to_owned()), size, turns.mark.clone()].into_iter().flatten()
}

/// A drive in words.
pub(in crate::emit) fn drive_name(drive: Drive) -> &'static str {
    match drive {
        Drive::Hex => spoken().tool.hex,
        Drive::HexSocket => spoken().tool.hex_socket,
        Drive::CrossRecess => spoken().tool.cross_recess,
        Drive::Slot => spoken().tool.slot,
        Drive::Hexalobular => spoken().tool.hexalobular,
    }
}

/// Protective equipment: first what is worn throughout, then what single steps ask for.
pub(in crate::emit) fn protection(plan: &Plan) -> Vec<WearRow> {
    let procedure = plan.procedure();
    let words = Words::new(procedure);
    let ways = procedure.ways();
    let row = |id: ProtectionId, remark: String, when, uses: Vec<Use>| {
        let name = &procedure.protections[id].name;
        WearRow { name: name.id.clone(), title: name.title.clone(), remark: Some(remark), when, uses }
    };
    plan.worn()
        .iter()
        .map(|worn| match &worn.steps {
            None => row(worn.what, spoken().tool.throughout.to_owned(), None, Vec::new()),
            Some(steps) => {
                let numbers = procedure.numbers_of(steps);
                let text = if numbers.len() == 1 { spoken().word.in_step } else { spoken().word.in_steps };
                let uses: Vec<Use> = steps.iter().map(|step| Use { step: *step, only: None }).collect();
                let when = if plan.occurrence().always(steps) { None } else { when(words, &ways, &uses) };
                row(worn.what, fill(text, &[("numbers", &listed(numbers.into_iter(), spoken().word.and))]), when, uses)
            }
        })
        .collect()
}

/// Under which condition any of the steps happens and needs it.
fn when(words: Words<'_>, ways: &Ways<'_>, uses: &[Use]) -> Option<String> {
    let way = |one: &'_ Use| -> Vec<String> {
        let mut guards = ways[one.step].clone();
        guards.extend(one.only.iter().map(Guard::Holds));
        words.guard_list(&guards)
    };
    let mut lists: Vec<Vec<String>> = Vec::new();
    for list in uses.iter().map(way) {
        if !lists.contains(&list) {
            lists.push(list);
        }
    }
    // "A, or A and B" is A: a way that asks for more than another adds nothing.
    let adds = |at: usize, list: &[String]| {
        !lists.iter().enumerate().any(|(other_at, other)| {
            let within = other.iter().all(|word| list.contains(word));
            within && (other.len() < list.len() || (other.len() == list.len() && other_at < at))
        })
    };
    let wanted =
        lists.iter().enumerate().filter(|(at, list)| adds(*at, list)).map(|(_, list)| list.join(&and_between()));
    let mut conditions: Vec<String> = wanted.filter(|words| !words.is_empty()).collect();
    let more = conditions.len().saturating_sub(MOST_CONDITIONS);
    if more > 1 {
        conditions.truncate(MOST_CONDITIONS);
        conditions.push(fill(spoken().condition.other_cases, &[("n", &more.to_string())]));
    }
    (!conditions.is_empty()).then(|| conditions.join(&or_between()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_says_a_size_in_whole_words() {
        for (title, words, wanted) in [
            ("Socket, 13 mm", "13\u{a0}mm", true),
            ("Socket, 13 mm", "3 mm", false),
            ("Socket, 1/2 in, deep", "1/2 in", true),
            ("Socket, 1 1/2 in", "1/2 in", false),
            ("Spanner", "13 mm", false),
            ("Hexalobular bit T20, for the torque screwdriver", "T20", true),
            ("Hexalobular bit T20", "hexalobular", true),
            ("", "", false),
        ] {
            assert_eq!(says(title, words), wanted, "{title}: {words}");
        }
    }
}
