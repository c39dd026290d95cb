//! Room shared out: as wide as the beats ask for, but never narrower than what has to stand there.

/// Widths for things side by side, each from what it wants and what it needs, in no more than `room`. They are what is
/// wanted where that suffices for all; else each has at least what it needs, and those with more to spare give way. Where
/// even the needs are too much, all shrink alike.
pub(crate) fn allot(wants: &[f32], needs: &[f32], room: f32) -> Vec<f32> {
    let wide: Vec<f32> = wants.iter().zip(needs).map(|(want, need)| want.max(*need)).collect();
    let total: f32 = wide.iter().sum();
    if total <= room {
        return wide;
    }
    let needed: f32 = needs.iter().sum();
    if needed >= room {
        return needs.iter().map(|need| need * room / needed.max(f32::MIN_POSITIVE)).collect();
    }
    let keep = (room - needed) / (total - needed);
    wide.iter().zip(needs).map(|(wide, need)| need + keep * (wide - need)).collect()
}

/// Where each of some widths begins.
pub(crate) fn starts(from: f32, widths: &[f32]) -> Vec<f32> {
    let mut x = from;
    let start = |width: &f32| {
        x += width;
        x - width
    };
    widths.iter().map(start).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beats_decide_while_there_is_room() {
        assert_eq!(allot(&[60.0, 20.0], &[10.0, 10.0], 80.0), [60.0, 20.0]);
    }

    #[test]
    fn a_narrow_thing_takes_from_a_wide_one() {
        assert_eq!(allot(&[60.0, 20.0], &[10.0, 30.0], 80.0), [50.0, 30.0]);
    }

    #[test]
    fn too_much_shrinks_alike() {
        assert_eq!(allot(&[1.0, 1.0], &[60.0, 20.0], 40.0), [30.0, 10.0]);
    }

    #[test]
    fn each_begins_where_the_one_before_ends() {
        assert_eq!(starts(5.0, &[10.0, 20.0]), [5.0, 15.0]);
    }
}
