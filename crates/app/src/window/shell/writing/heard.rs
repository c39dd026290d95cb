//! The bars in which a place of the song is heard.

use practice::LoopBars;
use song::PlayedBar;
use song::edit::Place;

/// Where a place first comes; of the whole song `None`, for that is heard from where one is.
pub(super) fn bars_of(bars: &[PlayedBar], place: Place) -> Option<LoopBars> {
    let is_there = |bar: &PlayedBar| match place {
        Place::Song => false,
        Place::Section(section) | Place::Exception { section, .. } => bar.section == section,
        Place::Pass { section, pass } => bar.section == section && bar.pass == pass,
        Place::Bar { section, bar: written, pass, .. } => {
            let of_it = bar.written_bar.or(bar.in_place_of) == Some(written);
            bar.section == section && bar.pass == pass.unwrap_or(1) && of_it
        }
    };
    let first = bars.iter().position(is_there)?;
    // Of several bars in place of one, only the first says whose place that is.
    let goes_on = |bar: &PlayedBar| bar.written_bar.or(bar.in_place_of).is_none();
    let of_it = |bar: &&PlayedBar| bar.place == bars[first].place && (is_there(bar) || goes_on(bar));
    Some(LoopBars::new(first, first + bars[first..].iter().take_while(of_it).count() - 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_heard_where_it_first_comes_and_no_further() {
        let text = r#"{ "format": 1, "title": "T", "key": "D major", "tempo": 72, "sections": [
            { "name": "Verse", "passes": 2, "bars": ["1 | 4 | 5"], "except": [ { "pass": 2, "bar": 2, "bars": "6 | 2",
              "replaces": 1 } ] },
            { "name": "Chorus", "bars": ["4 | 5"] } ], "order": ["Verse", "Chorus", "Verse", "Chorus"] }"#;
        let song = song::read(text).song.unwrap().play();
        let heard = |place| bars_of(&song.bars, place).map(|bars| (bars.from(), bars.to()));
        // Verse 0-2 and 3-6, chorus 7-8, and again.
        let bar = |section, bar, pass| Place::Bar { section, bar, pass, beat: None };
        assert_eq!(heard(Place::Section(0)), Some((0, 6)));
        assert_eq!(heard(Place::Section(1)), Some((7, 8)));
        assert_eq!(heard(Place::Pass { section: 0, pass: 2 }), Some((3, 6)));
        assert_eq!(heard(bar(0, 2, None)), Some((2, 2)));
        assert_eq!(heard(bar(0, 1, Some(2))), Some((4, 5)), "two bars in place of one");
        assert_eq!(heard(bar(1, 1, None)), Some((8, 8)));
        assert_eq!((heard(Place::Song), heard(Place::Section(5))), (None, None));
    }
}
