//! FW0512: where lines name alternatives, the smallest set of tools that serves them all.
//!
//! It is asked of the list that is laid out (`plan::tools`), fitting by fitting. A tool that some line names alone lies there
//! in any case: it is *fixed*. What the list carries beyond those are rows of alternatives, one for each sort of place that
//! no fixed tool serves. Whether fewer pieces would do is a set cover; it is small, so it is searched exactly, with one piece
//! more at a time, up to [`EFFORT`] tries.

use std::collections::{BTreeMap, BTreeSet};

use super::matching::matching;
use super::proof::Proof;
use crate::diagnostics::{Case, CaseInput, Change, Code, Finding, Mend};
use crate::model::{ChoiceId, IdMap, Place, ToolId, ToolNeed};
use crate::plan::Plan;
use crate::plan::occurrence::{Fittings, Occurrence};
use crate::plan::tools::LaidOut;
use crate::source::Span;

/// Most sets that are tried.
const EFFORT: u32 = 20_000;

/// The note, where the tool list carries more than it must; none where it is the smallest, or no line names alternatives.
pub(super) fn check(proof: &mut Proof<'_>) {
    proof.findings.extend(smaller(proof.plan));
}

/// What the list has for a fitting, and what it is for.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Laid {
    /// Pieces of each tool that lies there in any case.
    fixed: IdMap<ToolId, u32>,
    /// Pieces of rows of alternatives.
    carried: u32,
    /// What each line needs at once.
    lines: Vec<Vec<Vec<ToolId>>>,
}

fn smaller(plan: &Plan) -> Option<Finding> {
    let procedure = plan.procedure();
    let needs: Vec<ToolNeed<'_>> = procedure.tool_needs().into_iter().filter(|need| !need.optional).collect();
    // Without a choice there is nothing to ask, and no fitting to look at.
    if !needs.iter().any(has_choice) {
        return None;
    }
    let mut fittings: BTreeMap<Laid, Fittings> = BTreeMap::new();
    for fitting in Occurrence::each(plan.occurrence().every()) {
        *fittings.entry(laid(plan, &needs, fitting)).or_default() |= fitting;
    }
    let most = procedure.tools.map(|_, tool| tool.count);
    let mut in_text: Vec<(Laid, Fittings)> = fittings.into_iter().collect();
    in_text.sort_by_key(|(_, fittings)| fittings.trailing_zeros());
    let mut tries = 0;
    for (Laid { fixed, carried, lines }, own) in in_text {
        let mut search = Search { most: most.clone(), lines, tries };
        for more in 0..carried {
            let mut picked = Vec::new();
            match search.serve(&mut fixed.clone(), more, &mut picked) {
                Some(true) => return Some(fewer_do(plan, own, carried, &picked)),
                Some(false) => {}
                None => return Some(not_found(places(plan, own).first()?.1)),
            }
        }
        tries = search.tries;
    }
    None
}

fn has_choice(need: &ToolNeed<'_>) -> bool {
    need.places.iter().any(|place| place.any_of.len() > 1)
}

fn laid(plan: &Plan, needs: &[ToolNeed<'_>], fitting: Fittings) -> Laid {
    let mut fixed = plan.procedure().tools.each(0);
    for row in plan.tools().iter().filter(|row| !row.optional && row.certain & fitting != 0) {
        if let [tool] = row.any_of.as_slice() {
            fixed[*tool] = row.count;
        }
    }
    let carried = rows_of_choices(plan, fitting).map(|row| row.count).fold(0, u32::saturating_add);
    let there = needs.iter().filter(|need| plan.occurrence().possible(need.step) & fitting != 0);
    Laid { fixed, carried, lines: lines(there) }
}

/// The rows of alternatives that are laid out in any of the fittings.
fn rows_of_choices(plan: &Plan, fittings: Fittings) -> impl Iterator<Item = &LaidOut> {
    let rows = plan.tools().iter().filter(|row| !row.optional && row.any_of.len() > 1);
    rows.filter(move |row| row.possible & fittings != 0)
}

/// The places for which the list has those rows, in order of the text, each with its alternatives.
fn places(plan: &Plan, fittings: Fittings) -> Vec<(&[ToolId], Span)> {
    let rows = rows_of_choices(plan, fittings);
    let mut places: Vec<(&[ToolId], Span)> = Vec::new();
    for row in rows {
        let here = row.places.iter().filter(|(_, own)| own & fittings != 0);
        places.extend(here.map(|(place, _)| (row.any_of.as_slice(), *place)));
    }
    places.sort_by_key(|(_, place)| *place);
    places
}

/// What each line needs at once, a list of alternatives for each piece; lines that ask for the same stand once.
fn lines<'n>(needs: impl Iterator<Item = &'n ToolNeed<'n>>) -> Vec<Vec<Vec<ToolId>>> {
    let pieces = |place: &Place| std::iter::repeat_n(place.any_of.clone(), place.count.min(8) as usize);
    let with_choice = needs.filter(|need| has_choice(need));
    let all: BTreeSet<Vec<Vec<ToolId>>> =
        with_choice.map(|need| need.places.iter().flat_map(pieces).take(32).collect()).collect();
    all.into_iter().collect()
}

struct Search {
    /// How many of each tool there are, where they are few.
    most: IdMap<ToolId, Option<u32>>,
    lines: Vec<Vec<Vec<ToolId>>>,
    tries: u32,
}

impl Search {
    /// Whether `more` pieces can be added so that every line is served; `None` where the effort is spent.
    fn serve(&mut self, have: &mut IdMap<ToolId, u32>, more: u32, picked: &mut Vec<ToolId>) -> Option<bool> {
        self.tries += 1;
        if self.tries > EFFORT {
            return None;
        }
        let Some(line) = self.lines.iter().find(|line| !served(line, have)) else { return Some(true) };
        if more == 0 {
            return Some(false);
        }
        // Whatever set serves this line holds one more piece of some tool that the line names.
        let named: BTreeSet<ToolId> = line.iter().flatten().copied().collect();
        for tool in named {
            if self.most[tool].is_some_and(|most| have[tool] >= most) {
                continue;
            }
            have[tool] += 1;
            picked.push(tool);
            if self.serve(have, more - 1, picked)? {
                return Some(true);
            }
            picked.pop();
            have[tool] -= 1;
        }
        Some(false)
    }
}

/// Whether the pieces can be dealt out so that each place of a line has its own.
fn served(line: &[Vec<ToolId>], have: &IdMap<ToolId, u32>) -> bool {
    let mut first_of: BTreeMap<ToolId, (usize, usize)> = BTreeMap::new();
    let mut pieces = 0;
    for tool in line.iter().flatten() {
        let count = have[*tool].min(32) as usize;
        first_of.entry(*tool).or_insert_with(|| {
            pieces += count;
            (pieces - count, count)
        });
    }
    let fitting = |any_of: &Vec<ToolId>| -> Vec<usize> {
        let runs = any_of.iter().filter_map(|tool| first_of.get(tool));
        runs.flat_map(|(first, count)| *first..first + count).collect()
    };
    let edges: Vec<Vec<usize>> = line.iter().map(fitting).collect();
    matching(&edges, pieces) == line.len()
}

fn fewer_do(plan: &Plan, fittings: Fittings, carried: u32, picked: &[ToolId]) -> Finding {
    let procedure = plan.procedure();
    let name = |tool: &ToolId| format!("`{}`", procedure.tools[*tool].name.id);
    let mut serve: Vec<ToolId> = picked.to_vec();
    serve.sort_unstable();
    let enough = match serve.as_slice() {
        [] => "the tools that other lines name serve here too".to_owned(),
        [only] => format!("{} serves all these lines", name(only)),
        all => format!("{} serve all these lines", all.iter().map(name).collect::<Vec<_>>().join(" and ")),
    };
    let places = places(plan, fittings);
    let extra: BTreeSet<ToolId> =
        places.iter().flat_map(|(any_of, _)| *any_of).copied().filter(|tool| !serve.contains(tool)).collect();
    let extra = extra.iter().map(name).collect::<Vec<_>>().join(", ");
    let things = if carried == 1 { "one tool more".to_owned() } else { format!("{carried} tools") };
    let spans: Vec<Span> = places.iter().map(|(_, place)| *place).collect();
    let Some(first) = spans.first().copied() else { return Finding::without_place(Code::FW0512, enough) };
    let finding = Finding::new(
        Code::FW0512,
        format!("{enough}; the tool list asks for {things}"),
        first,
        "one of these alternatives is enough",
    );
    let finding = match case(plan, fittings) {
        Some(case) => finding.case(case),
        None => finding,
    };
    let finding = spans
        .iter()
        .skip(1)
        .take(3)
        .filter(|span| **span != first)
        .fold(finding, |finding, span| finding.also(*span, "and here"));
    let only = serve.first().filter(|_| serve.len() == 1).map(|tool| procedure.tools[*tool].name.id.clone());
    let settled = only.map(|only| Mend {
        changes: spans.iter().map(|span| Change::Write(*span, only.clone())).collect(),
        ..Mend::look(format!("Name `{only}` alone"), Change::Drop(first))
    });
    finding
        .mend(settled)
        .because(format!(
            "Nothing needs {extra}: what is laid out and never picked up is in the way, and is missed elsewhere."
        ))
        .repair("Name the tool that serves everywhere by itself, without `or`; or leave the choice to the workshop.")
}

/// The options with which it is so; `None` where it is so with all.
fn case(plan: &Plan, fittings: Fittings) -> Option<Case> {
    let others = plan.occurrence().every() & !fittings;
    let first = Occurrence::each(fittings).next().filter(|_| others != 0)?;
    let input = |(choice, value): (ChoiceId, usize)| {
        let row = &plan.procedure().choices[choice];
        let value = row.values.get(value)?.id.clone();
        Some(CaseInput { name: row.name.id.clone(), says: None, value, occasion: 1 })
    };
    Some(Case {
        inputs: plan.occurrence().telling(first, others).into_iter().filter_map(input).collect(),
        ..Case::default()
    })
}

fn not_found(place: Span) -> Finding {
    Finding::new(
        Code::FW0513,
        "the smallest set of tools was not found within the effort allowed",
        place,
        "the alternatives begin here",
    )
    .because("Many lines name alternatives; the tool list may ask for more tools than the work needs.")
    .repair("Name one tool where the workshop surely has it, so that fewer lines leave a choice.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Id;

    fn tool(number: usize) -> ToolId {
        ToolId::from_index(number)
    }

    fn pieces(counts: &[u32]) -> IdMap<ToolId, u32> {
        IdMap::along(counts, |_, count| *count)
    }

    #[test]
    fn a_line_is_served_when_each_place_has_a_piece_of_its_own() {
        let line = [vec![tool(0)], vec![tool(0), tool(1)]];
        assert!(served(&line, &pieces(&[1, 1])));
        assert!(served(&line, &pieces(&[2, 0])));
        assert!(!served(&line, &pieces(&[1, 0])));
        assert!(!served(&line, &pieces(&[0, 2])));
    }

    /// The fewest pieces, by trying every number of every tool.
    fn by_trying_all(lines: &[Vec<Vec<ToolId>>], tools: usize, most: u32) -> Option<u32> {
        let sets = (most + 1).pow(tools as u32);
        let dealt = (0..sets)
            .map(|set| (0..tools as u32).map(|tool| set / (most + 1).pow(tool) % (most + 1)).collect::<Vec<u32>>());
        dealt.filter(|have| lines.iter().all(|line| served(line, &pieces(have)))).map(|have| have.iter().sum()).min()
    }

    #[test]
    fn the_search_finds_as_few_as_trying_all_sets() {
        // Lines of one or two places with one to three alternatives each, from a fixed sequence of numbers.
        let mut seed = 7_u64;
        let mut next = |below: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            ((seed >> 33) % below) as usize
        };
        for _ in 0..200 {
            let lines: Vec<Vec<Vec<ToolId>>> = (0..1 + next(5))
                .map(|_| (0..1 + next(2)).map(|_| (0..1 + next(3)).map(|_| tool(next(4))).collect()).collect())
                .collect();
            let wanted = by_trying_all(&lines, 4, 2).unwrap();
            let mut search = Search { most: IdMap::along(&[Some(2); 4], |_, most| *most), lines, tries: 0 };
            let found = (0..=8).find(|more| search.serve(&mut pieces(&[0; 4]), *more, &mut Vec::new()) == Some(true));
            assert_eq!(found, Some(wanted), "{:?}", search.lines);
        }
    }
}
