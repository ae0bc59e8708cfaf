//! Which line of the old text is which of the new.

use super::lines::{Line, Names};
use crate::parse::forms::Block;

/// Lines of two lists side by side, by their places in the lists.
#[derive(Debug, Default)]
pub(super) struct Matched {
    /// Old and new, in the order of the new list.
    pub pairs: Vec<(usize, usize)>,
    /// Of the old list, what is gone.
    pub gone: Vec<usize>,
    /// Of the new list, what came.
    pub came: Vec<usize>,
}

/// Two lines without the same name are one that was rewritten, from this likeness on. By trial on the edits of the demos that the
/// tests breed: lower makes unrelated steps one, higher makes one line two.
const ALIKE: f64 = 0.5;

/// More lines than this that nothing tells apart are not compared each with each.
const MOST_TO_COMPARE: usize = 400;

/// Whether an old line and a new one are the same.
type Partners<'a> = &'a dyn Fn(&Line, &Line) -> bool;

/// Brings the lines of two lists together: by their names, then by their words, then by their likeness.
pub(super) fn matched(old: &[Line], new: &[Line], names: &Names) -> Matched {
    let mut partner: Vec<Option<usize>> = vec![None; new.len()];
    let mut open: Vec<usize> = (0..old.len()).collect();
    let rounds: [Partners<'_>; 3] = [
        &|old, new| old.key.is_some() && old.word == new.word && is_named(old, new, names) && old.is_same(new, names),
        &|old, new| old.key.is_some() && old.word == new.word && is_named(old, new, names),
        &|old, new| old.key.is_none() && old.is_same(new, names),
    ];
    for is_partner in rounds {
        open.retain(|at| {
            let found = (0..new.len()).find(|to| partner[*to].is_none() && is_partner(&old[*at], &new[*to]));
            if let Some(to) = found {
                partner[to] = Some(*at);
            }
            found.is_none()
        });
    }
    by_likeness(old, new, names, &mut open, &mut partner);
    // What is the only one of its word on both sides is the same line, whatever it says now.
    open.retain(|at| {
        let line = &old[*at];
        let free = |to: &usize| partner[*to].is_none() && new[*to].word == line.word && new[*to].home == line.home;
        let mut those = (0..new.len()).filter(free);
        let found = those.next().filter(|_| those.next().is_none() && line.key.is_none() && line.word != ">");
        let found = found.filter(|to| new[*to].key.is_none());
        if let Some(to) = found {
            partner[to] = Some(*at);
        }
        found.is_none()
    });
    let pairs = partner.iter().enumerate().filter_map(|(to, from)| Some(((*from)?, to))).collect();
    let came = (0..new.len()).filter(|to| partner[*to].is_none()).collect();
    Matched { pairs, gone: open, came }
}

fn is_named(old: &Line, new: &Line, names: &Names) -> bool {
    old.key.as_deref().map(|key| names.told(key)) == new.key
}

/// The most alike first. A line that declares a name keeps it, but where hardly anything else changed: then it was renamed.
fn by_likeness(old: &[Line], new: &[Line], names: &Names, open: &mut Vec<usize>, partner: &mut [Option<usize>]) {
    let free: Vec<usize> = (0..new.len()).filter(|to| partner[*to].is_none()).collect();
    if open.len().max(free.len()) > MOST_TO_COMPARE {
        return;
    }
    let mut likely: Vec<(f64, usize, usize)> = Vec::new();
    for from in open.iter() {
        for to in &free {
            let (one, other) = (&old[*from], &new[*to]);
            let same_sort = one.word == other.word && one.home == other.home;
            // A line of a step may do something else with the same: `tighten` for `snug`.
            let is_act = |line: &Line| line.key.is_none() && line.word != ">" && line.inner.is_empty();
            let may =
                same_sort || (one.home == Block::Step && other.home == Block::Step && is_act(one) && is_act(other));
            if may && one.key.is_some() == other.key.is_some() {
                let likeness = one.likeness(other, names);
                let least = if one.inner.is_empty() && one.key.is_some() { 0.7 } else { ALIKE };
                if likeness >= least {
                    likely.push((likeness, *from, *to));
                }
            }
        }
    }
    likely.sort_by(|one, other| other.0.total_cmp(&one.0).then((one.1, one.2).cmp(&(other.1, other.2))));
    for (_, from, to) in likely {
        if partner[to].is_none() && open.contains(&from) {
            partner[to] = Some(from);
            open.retain(|at| *at != from);
        }
    }
}

/// Of pairs in the order of the new list, those whose old order is kept as far as can be; the others changed their place.
pub(super) fn kept_in_order(pairs: &[(usize, usize)]) -> Vec<bool> {
    // The longest rising run of old places (Schensted, 1961), its members found by going back from its end.
    let mut ends: Vec<usize> = Vec::new();
    let mut before: Vec<Option<usize>> = vec![None; pairs.len()];
    for (at, (old, _)) in pairs.iter().enumerate() {
        let place = ends.partition_point(|end| pairs[*end].0 < *old);
        before[at] = place.checked_sub(1).map(|place| ends[place]);
        if place == ends.len() { ends.push(at) } else { ends[place] = at }
    }
    let mut kept = vec![false; pairs.len()];
    let mut next = ends.last().copied();
    while let Some(at) = next {
        kept[at] = true;
        next = before[at];
    }
    kept
}
