//! The smallest part that still does what the whole does.

use std::collections::BTreeSet;

use batsat::Lit;

/// Leaves out one after the other, the last first, as long as the rest still does what the whole did; at most `tries`
/// are tried, and none that is known to be needed. `still` gives those of the rest that it takes, in their order, or `None` where the rest does it no longer.
pub(super) fn fewest<T: Clone>(
    whole: Vec<T>,
    tries: usize,
    literal: impl Fn(&T) -> Lit,
    needed: impl Fn(&T) -> bool,
    mut still: impl FnMut(Vec<T>) -> Option<Vec<T>>,
) -> Vec<T> {
    let mut kept = whole;
    let mut at = kept.len();
    for _ in 0..tries {
        let Some(next) = kept.get(..at).and_then(|left| left.iter().rposition(|one| !needed(one))) else { break };
        at = next;
        let mut rest = kept.clone();
        rest.remove(at);
        if let Some(fewer) = still(rest) {
            // What is left keeps its order, so those behind `at` are still needed or gone.
            let before = kept.get(..at).unwrap_or_default();
            let before: BTreeSet<Lit> = before.iter().map(&literal).collect();
            at = fewer.iter().filter(|one| before.contains(&literal(one))).count();
            kept = fewer;
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use batsat::Var;

    /// What must be kept is a set of numbers; the rest is thrown away, one by one or several at once.
    fn kept(needed: &[u32], tries: usize, at_once: bool) -> Vec<u32> {
        let literal = |one: &u32| Lit::new(Var::unsafe_from_idx(*one), true);
        fewest(
            (0..8).collect(),
            tries,
            literal,
            |_| false,
            |rest| {
                let enough = needed.iter().all(|one| rest.contains(one));
                let fewer = rest.iter().copied().filter(|one| !at_once || needed.contains(one) || *one % 3 == 0);
                enough.then(|| fewer.collect())
            },
        )
    }

    #[test]
    fn only_what_is_needed_is_left() {
        for at_once in [false, true] {
            assert_eq!(kept(&[2, 5], 8, at_once), [2, 5]);
            assert_eq!(kept(&[], 8, at_once), [] as [u32; 0]);
            assert_eq!(kept(&[0, 7], 8, at_once), [0, 7]);
        }
    }

    #[test]
    fn what_is_known_to_be_needed_is_not_tried() {
        let literal = |one: &u32| Lit::new(Var::unsafe_from_idx(*one), true);
        let mut tried = Vec::new();
        let still = |rest: Vec<u32>| {
            tried.push(rest.clone());
            rest.contains(&1).then_some(rest)
        };
        assert_eq!(fewest(vec![0, 1, 2, 3], 2, literal, |one| *one >= 2, still), [1, 2, 3]);
        assert_eq!(tried, [vec![0, 2, 3], vec![1, 2, 3]]);
    }

    #[test]
    fn where_tries_run_out_the_rest_stays() {
        assert_eq!(kept(&[2], 3, false), [0, 1, 2, 3, 4]);
    }
}
