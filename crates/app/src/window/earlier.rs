//! Earlier versions of a song as the window shows them.

use super::song_keeper::Earlier;
use crate::storage::VersionKind;
use ui::{VersionEntry, VersionRow};

/// The song as it is now, where no version says so: another program changed it, or what was just done is still to be saved.
pub fn present(earlier: &[Earlier], now: &str) -> Option<Earlier> {
    let newest = earlier.first()?;
    let known = earlier.iter().any(|one| one.text == now);
    let changed = song::difference(&newest.text, now);
    (!known).then(|| Earlier { at: PRESENT, kind: VersionKind::Saved, text: now.to_owned(), changed })
}

/// Whether it stands for the song as it is now, and is no version.
pub fn is_present(one: &Earlier) -> bool {
    one.at == PRESENT
}

/// No moment that a version is of.
const PRESENT: u64 = u64::MAX;

/// The list, compared with the song as it is now.
pub fn entries(earlier: &[Earlier], now: &str) -> Vec<VersionEntry> {
    let newest = earlier.iter().position(|one| one.text == now);
    let entry = |(at, one): (usize, &Earlier)| VersionEntry {
        when: when(one.at),
        what: what(one),
        now: newest == Some(at),
    };
    earlier.iter().enumerate().map(entry).collect()
}

fn what(one: &Earlier) -> String {
    let changed = match &one.changed[..] {
        [] => "nothing that is heard: spaces, order of fields".to_owned(),
        [a, b, c, _, more @ ..] => format!("{a}, {b}, {c} and {} more", more.len() + 1),
        few => few.join(", "),
    };
    match one.kind {
        VersionKind::Found => "the song as it was found".to_owned(),
        VersionKind::Saved => changed,
        VersionKind::Outside => format!("by another program: {changed}"),
        VersionKind::Mine => format!("written here, not in the file: {changed}"),
    }
}

/// A song row by row, each marked where it is not like that in the song as it is now.
pub fn rows(then: &str, now: &str) -> Vec<VersionRow> {
    let now = lines(now);
    let row = |(heading, text): (bool, String)| {
        let differs = !now.contains(&(heading, text.clone()));
        VersionRow {
            text: text.split_once('\u{1f}').map_or(text.clone(), |(_, row)| row.to_owned()),
            heading,
            differs,
        }
    };
    lines(then).into_iter().map(row).collect()
}

/// What a song says, line by line; rows carry the name of their section in front of a sign that no text has.
fn lines(text: &str) -> Vec<(bool, String)> {
    let Some(song) = song::read(text).song else {
        return text.lines().map(|line| (false, line.to_owned())).collect();
    };
    let tempo = song.plays.tempo.as_ref().map(|tempo| tempo.value.beats_per_minute());
    let tempo = tempo.map(|beats| format!(" · {}", crate::cli::round(beats))).unwrap_or_default();
    let meter = song.plays.meter.as_ref().map_or("4/4".to_owned(), |meter| meter.value.to_string());
    let mut lines = vec![(false, format!("{} · {} · {meter}{tempo}", song.title, song.key.pretty()))];
    for section in &song.sections {
        let name = &section.name;
        let passes = section.passes.filter(|passes| *passes > 1);
        let times = passes.map(|passes| format!(", {passes} passes")).unwrap_or_default();
        let like = section.like.as_ref().and_then(|like| song.sections.get(like.value));
        let like = like.map(|like| format!(", like {}", like.name)).unwrap_or_default();
        lines.push((true, format!("{name}{like}{times}")));
        let row = |row: &song::Row| {
            text.get(row.span.0..row.span.1).unwrap_or_default().trim_matches('"').to_owned()
        };
        lines.extend(section.rows.iter().map(|r| (false, format!("{name}\u{1f}{}", row(r)))));
        let words = match section.exceptions.len() {
            0 => continue,
            1 => "one exception".to_owned(),
            several => format!("{several} exceptions"),
        };
        lines.push((false, format!("{name}\u{1f}{words}")));
    }
    lines
}

/// `today, 21:04`, `24 Nov 2026, 21:04`.
pub fn when(at: u64) -> String {
    if at == PRESENT {
        return "now".to_owned();
    }
    let known = i64::try_from(at).ok().and_then(|ms| jiff::Timestamp::from_millisecond(ms).ok());
    let Some(at) = known else { return "at some time".to_owned() };
    let zone = jiff::tz::TimeZone::system();
    let (at, today) = (at.to_zoned(zone.clone()), jiff::Timestamp::now().to_zoned(zone).date());
    let day = if at.date() == today { "today".to_owned() } else { at.strftime("%-d %b %Y").to_string() };
    format!("{day}, {}", at.strftime("%H:%M"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_song_as_it_is_now_has_a_line_where_no_version_says_so() {
        let text = |row: &str| {
            format!(
                r#"{{ "format": 1, "title": "T", "key": "C major", "tempo": 72,
                  "sections": [ {{ "name": "Verse", "bars": ["{row}"] }} ] }}"#
            )
        };
        let version =
            |row: &str| Earlier { at: 5, kind: VersionKind::Saved, text: text(row), changed: Vec::new() };
        let earlier = [version("1 | 4"), version("1 | 5")];
        let now = present(&earlier, &text("1 | 6")).expect("another program wrote it");
        assert!(is_present(&now) && !is_present(&earlier[0]));
        let all: Vec<Earlier> = std::iter::once(now).chain(earlier.clone()).collect();
        let shown = entries(&all, &text("1 | 6"));
        assert_eq!((shown[0].when.as_str(), shown[0].now), ("now", true));
        assert!(shown[0].what.contains("Verse"), "what is different since the newest: {}", shown[0].what);
        assert!(!shown[1].now && !shown[2].now);
        assert_eq!(present(&earlier, &text("1 | 5")), None, "one of the versions is as it is now");
        assert_eq!(present(&[], &text("1")), None, "as it was found");
    }
}
