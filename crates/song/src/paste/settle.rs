//! `~` and `%` that repeats and rests left with nothing to hold on to.

/// Puts a rest wherever a `~` has nothing before it that sounds, also where a `%` repeats it. Tells whether anything
/// changed.
pub(super) fn settle(rows: &mut [String]) -> bool {
    let mut changed = false;
    let mut sounds = false;
    let mut before: Option<String> = None;
    for row in rows {
        let bars: Vec<String> = row
            .split(" | ")
            .map(|bar| {
                let repeated = before.clone().filter(|_| bar == "%");
                let written = repeated.clone().unwrap_or_else(|| bar.replace('%', "N"));
                let settled = held_or_rest(&written, &mut sounds);
                before = Some(settled.clone());
                changed |= settled != written;
                if repeated.as_ref() == Some(&settled) { bar.to_string() } else { settled }
            })
            .collect();
        *row = bars.join(" | ");
    }
    changed
}

/// A bar with rests in place of what cannot go on.
fn held_or_rest(bar: &str, sounds: &mut bool) -> String {
    let items = bar.split(' ').map(|item| match item.as_bytes() {
        [b'~', ..] if !*sounds => item.replacen('~', "N", 1),
        [b'~', ..] => item.to_string(),
        [b'N', ..] => {
            *sounds = false;
            item.to_string()
        }
        // A meter in front of the bar is no sound.
        _ => {
            *sounds |= !item.ends_with(':');
            item.to_string()
        }
    });
    items.collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_sounds_goes_on() {
        let settled = |row: &str| {
            let mut rows = vec![row.to_string()];
            let changed = settle(&mut rows);
            (rows.pop().unwrap(), changed)
        };
        assert_eq!(settled("1 | ~ | 3/4: ~ | %"), ("1 | ~ | 3/4: ~ | %".into(), false));
        assert_eq!(settled("~.. 1.. | ~ N | ~ 4"), ("N.. 1.. | ~ N | N 4".into(), true));
        // What is repeated goes on the first time only.
        assert_eq!(settled("1 | ~ N | %"), ("1 | ~ N | N N".into(), true));
    }
}
