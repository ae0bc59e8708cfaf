//! Dealing things out: each place gets one of its own.

/// The size of a largest matching of left nodes (with their right neighbours) by augmenting paths.
pub(super) fn matching(edges: &[Vec<usize>], right: usize) -> usize {
    fn augment(left: usize, edges: &[Vec<usize>], seen: &mut [bool], taken: &mut [Option<usize>]) -> bool {
        for &place in edges.get(left).map(Vec::as_slice).unwrap_or_default() {
            match seen.get_mut(place) {
                Some(seen) if !*seen => *seen = true,
                _ => continue,
            }
            let free = match taken.get(place).copied().flatten() {
                None => true,
                Some(other) => augment(other, edges, seen, taken),
            };
            if free {
                if let Some(slot) = taken.get_mut(place) {
                    *slot = Some(left);
                }
                return true;
            }
        }
        false
    }
    let mut taken = vec![None; right];
    (0..edges.len()).filter(|left| augment(*left, edges, &mut vec![false; right], &mut taken)).count()
}

#[cfg(test)]
mod tests {
    use super::matching;

    #[test]
    fn matching_deals_tools_out_so_that_each_side_has_its_own() {
        assert_eq!(matching(&[vec![0], vec![0]], 1), 1);
        assert_eq!(matching(&[vec![0, 1], vec![0]], 2), 2);
        assert_eq!(matching(&[], 0), 0);
    }
}
