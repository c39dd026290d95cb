//! The pairing against every possible pairing.

use super::*;
use proptest::prelude::*;

fn target(at: i64, window: i64) -> Target {
    Target { at, window }
}

/// All of a pairing's properties in the order in which they count.
fn cost(targets: &[Target], played: &[i64], mates: &[Option<usize>]) -> Cost {
    let pairs = mates.iter().enumerate().filter_map(|(t, m)| m.map(|p| (t, p)));
    pairs.fold(Cost::default(), |sum, (t, p)| sum + Cost::of(targets[t], played[p]))
}

/// The best cost by trying everything; the rule is written out anew, as the contract has it.
fn best_by_trying(targets: &[Target], played: &[i64], used: &mut Vec<bool>) -> (i64, i64, i64) {
    let Some((first, rest)) = targets.split_first() else { return (0, 0, 0) };
    let mut best = best_by_trying(rest, played, used);
    for p in 0..played.len() {
        let error = (played[p] - first.at).abs();
        if used[p] || error > first.window {
            continue;
        }
        used[p] = true;
        let (pairs, errors, times) = best_by_trying(rest, played, used);
        best = best.min((pairs - 1, errors + error, times + played[p] + first.at));
        used[p] = false;
    }
    best
}

fn check_valid(targets: &[Target], played: &[i64], mates: &[Option<usize>]) {
    let mut used: Vec<usize> = mates.iter().flatten().copied().collect();
    let count = used.len();
    used.sort_unstable();
    used.dedup();
    assert_eq!(used.len(), count, "a played note is used once");
    for (t, mate) in mates.iter().enumerate() {
        assert!(mate.is_none_or(|p| (played[p] - targets[t].at).abs() <= targets[t].window));
    }
}

#[test]
fn a_difference_of_exactly_the_window_counts() {
    assert_eq!(pair(&[target(100, 50)], &[150]), [Some(0)]);
    assert_eq!(pair(&[target(100, 50)], &[151]), [None]);
    assert_eq!(pair(&[target(100, 50)], &[50]), [Some(0)]);
}

#[test]
fn of_equal_errors_the_earlier_is_taken() {
    assert_eq!(pair(&[target(100, 50)], &[90, 110]), [Some(0)]);
    assert_eq!(pair(&[target(0, 50), target(20, 50)], &[10]), [Some(0), None]);
}

#[test]
fn more_pairs_go_before_less_error() {
    // The nearest note to the first target is the only one that the second can have.
    assert_eq!(pair(&[target(0, 50), target(60, 50)], &[-45, 10]), [Some(0), Some(1)]);
}

#[test]
fn windows_of_their_own_may_make_pairs_cross() {
    // The narrow target between has to take the later note, the wide one before it the... only earlier one left.
    let targets = [target(0, 5), target(10, 100)];
    assert_eq!(pair(&targets, &[-60, 3]), [Some(1), Some(0)]);
}

proptest! {
    #[test]
    fn the_pairing_is_the_best_there_is(
        mut targets in prop::collection::vec((0i64..60, 0i64..25), 0..6),
        mut played in prop::collection::vec(-10i64..70, 0..6),
    ) {
        targets.sort_unstable();
        played.sort_unstable();
        let targets: Vec<Target> = targets.into_iter().map(|(at, window)| target(at, window)).collect();
        let mates = pair(&targets, &played);
        check_valid(&targets, &played, &mates);
        let found = cost(&targets, &played, &mates);
        let best = best_by_trying(&targets, &played, &mut vec![false; played.len()]);
        prop_assert_eq!((found.pairs, found.error as i64, found.time as i64), best);
    }

    #[test]
    fn both_ways_of_solving_agree_on_long_chains(
        mut targets in prop::collection::vec(0i64..400, 0..50),
        mut played in prop::collection::vec(-10i64..410, 0..50),
        window in 1i64..40,
    ) {
        targets.sort_unstable();
        played.sort_unstable();
        let targets: Vec<Target> = targets.into_iter().map(|at| target(at, window)).collect();
        let in_order = pair(&targets, &played);
        let reach = reach(&targets, &played);
        let group: Vec<usize> = (0..targets.len()).filter(|&t| !reach[t].is_empty()).collect();
        let mut crossing = vec![None; targets.len()];
        Group { targets: &targets, played: &played, reach: &reach, group: &group }.solve_crossing(&mut crossing);
        check_valid(&targets, &played, &in_order);
        prop_assert_eq!(cost(&targets, &played, &in_order), cost(&targets, &played, &crossing));
    }
}
