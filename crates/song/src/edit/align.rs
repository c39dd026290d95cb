//! Which of the old bars each new one is, found by difference.

use similar::{Algorithm, DiffOp, capture_diff_slices};

/// For each new text the old one it is. What is alike is the same; between two that are, the rest is paired in order.
pub(crate) fn by_difference<T: std::hash::Hash + Eq + Ord>(
    old: &[T],
    new: &[T],
    pair_rest: bool,
) -> Vec<Option<usize>> {
    let mut was = vec![None; new.len()];
    for change in capture_diff_slices(Algorithm::Myers, old, new) {
        let (from, to) = (change.old_range(), change.new_range());
        let pairs = match change {
            DiffOp::Equal { .. } => true,
            DiffOp::Replace { .. } => pair_rest,
            DiffOp::Delete { .. } | DiffOp::Insert { .. } => false,
        };
        if pairs {
            to.zip(from).for_each(|(new, old)| was[new] = Some(old));
        }
    }
    was
}

/// For each bar of a row as typed the bar it was: if none was put in or taken out, and keeping each in its place changes
/// no more bars than moving them about, each is the one it was.
pub(super) fn typed(old: &[&str], new: &[&str]) -> Vec<Option<usize>> {
    let moved = by_difference(old, new, true);
    if old.len() == new.len() {
        let differ = (0..old.len()).filter(|i| old[*i] != new[*i]).count();
        let paired = moved.iter().enumerate().filter(|(_, was)| was.is_none()).count();
        let changed =
            moved.iter().enumerate().filter(|(i, was)| was.is_some_and(|was| old[was] != new[*i])).count();
        if differ <= 2 * paired + changed {
            return (0..old.len()).map(Some).collect();
        }
    }
    moved
}
