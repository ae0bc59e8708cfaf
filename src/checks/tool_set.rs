//! FW0512: where lines name alternatives, the smallest set of tools that serves them all.
//!
//! A tool that some line names alone is laid out in any case: it is *fixed*. What the tool list carries beyond those is a
//! piece for each list of alternatives that no fixed tool serves. Whether fewer pieces would do is a set cover; it is small,
//! so it is searched exactly, with one piece more at a time, up to [`EFFORT`] tries.

use std::collections::{BTreeMap, BTreeSet};

use super::matching::matching;
use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::{Id, Place, Procedure, ToolId, ToolNeed};

/// Most sets that are tried.
const EFFORT: u32 = 20_000;

/// The note, where the tool list carries more than it must; none where it is the smallest, or no line names alternatives.
pub(super) fn check(proof: &mut Proof<'_>) {
    proof.findings.extend(smaller(proof.procedure));
}

fn smaller(procedure: &Procedure) -> Option<Finding> {
    let needs: Vec<ToolNeed<'_>> = procedure.tool_needs().into_iter().filter(|need| !need.optional).collect();
    let fixed = fixed(procedure, &needs);
    let mut lists: BTreeMap<Vec<ToolId>, u32> = BTreeMap::new();
    let mut places: Vec<&Place> = Vec::new();
    for need in &needs {
        for (place, count) in unmet(need, &fixed) {
            let mut key = place.any_of.clone();
            key.sort_unstable();
            key.dedup();
            let most = lists.entry(key).or_default();
            *most = (*most).max(count);
            places.push(place);
        }
    }
    let carried: u32 = lists.values().sum();
    let most = procedure.tools.rows().iter().map(|tool| tool.count).collect();
    let mut search = Search { most, lines: lines(&needs), tries: 0 };
    for more in 0..carried {
        let mut have = fixed.clone();
        let mut picked = Vec::new();
        match search.serve(&mut have, more, &mut picked) {
            Some(true) => return Some(fewer_do(procedure, &places, carried, &picked)),
            Some(false) => {}
            None => return Some(not_found(places.first()?)),
        }
    }
    None
}

/// Pieces of each tool that lines name alone: as many as one line needs at once.
fn fixed(procedure: &Procedure, needs: &[ToolNeed<'_>]) -> Vec<u32> {
    let mut fixed = vec![0; procedure.tools.len()];
    for need in needs {
        let mut at_once: BTreeMap<ToolId, u32> = BTreeMap::new();
        for place in &need.places {
            if let [tool] = place.any_of.as_slice() {
                *at_once.entry(*tool).or_default() += place.count;
            }
        }
        for (tool, count) in at_once {
            if let Some(slot) = fixed.get_mut(tool.index()) {
                *slot = count.max(*slot);
            }
        }
    }
    fixed
}

/// The places of a line for which the tool list gets a piece of its own, as the pick-list deals them out.
fn unmet<'n>(need: &'n ToolNeed<'_>, fixed: &[u32]) -> Vec<(&'n Place, u32)> {
    let mut left = fixed.to_vec();
    for place in need.places.iter().filter(|place| place.any_of.len() == 1) {
        for slot in place.any_of.iter().map(|tool| tool.index()) {
            if let Some(left) = left.get_mut(slot) {
                *left = left.saturating_sub(place.count);
            }
        }
    }
    let mut unmet = Vec::new();
    for place in need.places.iter().filter(|place| place.any_of.len() > 1) {
        let mut missing = place.count;
        for tool in &place.any_of {
            if let Some(left) = left.get_mut(tool.index()) {
                let taken = missing.min(*left);
                *left -= taken;
                missing -= taken;
            }
        }
        if missing > 0 {
            unmet.push((place, missing));
        }
    }
    unmet
}

/// What each line needs at once, a list of alternatives for each piece; lines that ask for the same stand once.
fn lines(needs: &[ToolNeed<'_>]) -> Vec<Vec<Vec<ToolId>>> {
    let pieces = |place: &Place| std::iter::repeat_n(place.any_of.clone(), place.count.min(8) as usize);
    let with_choice = needs.iter().filter(|need| need.places.iter().any(|place| place.any_of.len() > 1));
    let all: BTreeSet<Vec<Vec<ToolId>>> =
        with_choice.map(|need| need.places.iter().flat_map(pieces).take(32).collect()).collect();
    all.into_iter().collect()
}

struct Search {
    /// How many of each tool there are, where they are few.
    most: Vec<Option<u32>>,
    lines: Vec<Vec<Vec<ToolId>>>,
    tries: u32,
}

impl Search {
    /// Whether `more` pieces can be added so that every line is served; `None` where the effort is spent.
    fn serve(&mut self, have: &mut [u32], more: u32, picked: &mut Vec<ToolId>) -> Option<bool> {
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
            let Some(slot) = have.get_mut(tool.index()) else { continue };
            if self.most.get(tool.index()).copied().flatten().is_some_and(|most| *slot >= most) {
                continue;
            }
            *slot += 1;
            picked.push(tool);
            if self.serve(have, more - 1, picked)? {
                return Some(true);
            }
            picked.pop();
            if let Some(slot) = have.get_mut(tool.index()) {
                *slot -= 1;
            }
        }
        Some(false)
    }
}

/// Whether the pieces can be dealt out so that each place of a line has its own.
fn served(line: &[Vec<ToolId>], have: &[u32]) -> bool {
    let mut first_of: BTreeMap<ToolId, (usize, usize)> = BTreeMap::new();
    let mut pieces = 0;
    for tool in line.iter().flatten() {
        let count = have.get(tool.index()).copied().unwrap_or_default().min(32) as usize;
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

fn fewer_do(procedure: &Procedure, places: &[&Place], carried: u32, picked: &[ToolId]) -> Finding {
    let name = |tool: &ToolId| format!("`{}`", procedure.tools[*tool].name.id);
    let mut serve: Vec<ToolId> = picked.to_vec();
    serve.sort_unstable();
    let enough = match serve.as_slice() {
        [] => "the tools that other lines name serve here too".to_owned(),
        [only] => format!("{} serves all these lines", name(only)),
        all => format!("{} serve all these lines", all.iter().map(name).collect::<Vec<_>>().join(" and ")),
    };
    let extra: BTreeSet<ToolId> =
        places.iter().flat_map(|place| &place.any_of).copied().filter(|tool| !serve.contains(tool)).collect();
    let extra = extra.iter().map(name).collect::<Vec<_>>().join(", ");
    let things = if carried == 1 { "one tool more".to_owned() } else { format!("{carried} tools") };
    let spans: Vec<_> = places.iter().map(|place| place.span).collect();
    let Some(first) = spans.first().copied() else { return Finding::without_place(Code::FW0512, enough) };
    let finding = Finding::new(
        Code::FW0512,
        format!("{enough}; the tool list asks for {things}"),
        first,
        "one of these alternatives is enough",
    );
    let finding = spans
        .iter()
        .skip(1)
        .take(3)
        .filter(|span| **span != first)
        .fold(finding, |finding, span| finding.also(*span, "and here"));
    finding
        .because(format!(
            "Nothing needs {extra}: what is laid out and never picked up is in the way, and is missed elsewhere."
        ))
        .repair("Name the tool that serves everywhere by itself, without `or`; or leave the choice to the workshop.")
}

fn not_found(place: &Place) -> Finding {
    Finding::new(
        Code::FW0513,
        "the smallest set of tools was not found within the effort allowed",
        place.span,
        "the alternatives begin here",
    )
    .because("Many lines name alternatives; the tool list may ask for more tools than the work needs.")
    .repair("Name one tool where the workshop surely has it, so that fewer lines leave a choice.")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tool(number: usize) -> ToolId {
        ToolId::from_index(number)
    }

    #[test]
    fn a_line_is_served_when_each_place_has_a_piece_of_its_own() {
        let line = [vec![tool(0)], vec![tool(0), tool(1)]];
        assert!(served(&line, &[1, 1]));
        assert!(served(&line, &[2, 0]));
        assert!(!served(&line, &[1, 0]));
        assert!(!served(&line, &[0, 2]));
    }

    /// The fewest pieces, by trying every number of every tool.
    fn by_trying_all(lines: &[Vec<Vec<ToolId>>], tools: usize, most: u32) -> Option<u32> {
        let sets = (most + 1).pow(tools as u32);
        let dealt = (0..sets)
            .map(|set| (0..tools as u32).map(|tool| set / (most + 1).pow(tool) % (most + 1)).collect::<Vec<u32>>());
        dealt.filter(|have| lines.iter().all(|line| served(line, have))).map(|have| have.iter().sum()).min()
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
            let mut search = Search { most: vec![Some(2); 4], lines, tries: 0 };
            let found = (0..=8).find(|more| search.serve(&mut [0; 4], *more, &mut Vec::new()) == Some(true));
            assert_eq!(found, Some(wanted), "{:?}", search.lines);
        }
    }
}
