//! What is on the stand, for the record of its passes: the bars of which songs, what for, with how much help.

use crate::document::Source;
use crate::storage;
use practice::Lap;
use practice::history::{About, PassRecord, SongName};
use practice::learn::Excerpt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use voicing::Part;

/// So many bars of each song are in a join.
const JOIN_BARS: usize = 2;
/// So many parts that were on the stand are remembered: a pass may be over while the next part is put there.
const REMEMBERED: usize = 4;

/// A part on the stand.
#[derive(Clone, Debug)]
pub struct Playing {
    /// The part.
    pub part: Arc<Part>,
    /// The songs it is of: one, or the two of a join.
    pub of: Vec<OfSong>,
    /// What for, with how much help.
    pub about: About,
    /// The player is asked how it went; the pass is remembered with the answer.
    pub asks: bool,
}

/// A song of which bars are on the stand.
#[derive(Clone, Debug)]
pub struct OfSong {
    /// Where it is.
    pub source: PathBuf,
    /// Its part.
    pub part: Arc<Part>,
    /// The stretch of it; `None`: it is there itself.
    pub stretch: Option<Arc<Excerpt>>,
}

impl Playing {
    /// A song itself, played as the player likes.
    pub fn song(source: PathBuf, part: Arc<Part>) -> Playing {
        let of = OfSong { source, part: part.clone(), stretch: None };
        Playing { part, of: vec![of], about: About::default(), asks: false }
    }

    /// A stretch of a song.
    pub fn stretch(source: PathBuf, part: Arc<Part>, stretch: Excerpt) -> Playing {
        let on_stand = Arc::new(stretch.part.clone());
        let of = OfSong { source, part, stretch: Some(Arc::new(stretch)) };
        Playing { part: on_stand, of: vec![of], about: About::default(), asks: false }
    }

    /// From the last bars of one song into the first of another. They count for the song that each is of.
    pub fn join(ends: (PathBuf, Arc<Part>), begins: (PathBuf, Arc<Part>)) -> Playing {
        let join = Excerpt::between(&ends.1, &begins.1, JOIN_BARS);
        let first = ends.1.bars.len().saturating_sub(JOIN_BARS);
        let joined = ends.1.bars.len() - first;
        let of = |(source, part): (PathBuf, Arc<Part>), bar: &dyn Fn(usize) -> Option<usize>| {
            let bars: Vec<Option<usize>> = (0..join.bars.len()).map(bar).collect();
            let stretch = Excerpt { taken_from: bars.clone(), bars, ..join.clone() };
            OfSong { source, part, stretch: Some(Arc::new(stretch)) }
        };
        let of = vec![
            of(ends, &|bar| (bar < joined).then_some(first + bar)),
            of(begins, &|bar| bar.checked_sub(joined)),
        ];
        Playing { part: Arc::new(join.part.clone()), of, about: About::default(), asks: false }
    }

    /// The song, if it is there itself: its takes are kept.
    pub fn whole_song(&self) -> Option<&OfSong> {
        self.of.first().filter(|song| song.stretch.is_none())
    }

    /// The record of a pass for each song it is of; the time it took is shared between them.
    pub fn records(&self, lap: &Lap) -> Vec<PassRecord> {
        let now = storage::now();
        let songs = self.of.len() as f64;
        let record = |song: &OfSong| {
            let name = name(&song.source, &song.part.title);
            let record = match &song.stretch {
                Some(stretch) => PassRecord::of_stretch(lap, &song.part, stretch, name, self.about, now),
                None => PassRecord::of(lap, name, self.about, now),
            };
            PassRecord { key: song.part.key, seconds: record.seconds / songs, ..record }
        };
        self.of.iter().map(record).collect()
    }
}

/// What was put on the stand lately, the newest first.
#[derive(Debug, Default)]
pub struct OnStand(Vec<Playing>);

impl OnStand {
    /// Something is put there.
    pub fn put(&mut self, playing: Playing) {
        self.0.retain(|known| !Arc::ptr_eq(&known.part, &playing.part));
        self.0.insert(0, playing);
        self.0.truncate(REMEMBERED);
    }

    /// What is there now.
    pub fn now(&self) -> Option<&Playing> {
        self.0.first()
    }

    /// What a pass was played to, which may be over only after something else was put there.
    pub fn of(&self, lap: &Lap) -> Option<Playing> {
        let known = self.0.iter().find(|playing| Arc::ptr_eq(&playing.part, &lap.part));
        known.or(self.now().filter(|now| *now.part == *lap.part)).cloned()
    }
}

/// The name of the song that lies there, with its identity if it has one.
pub fn name(source: &Path, title: &str) -> SongName {
    let bytes = Source::remembered(source).bytes().ok();
    let id = bytes.and_then(|bytes| song::read_bytes(&bytes).song).and_then(|song| song.id);
    SongName { id, title: title.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::storage::DEMOS;
    use crate::window::played::{part, played};
    use practice::{Hands, Speed};

    fn source(demo: usize) -> PathBuf {
        PathBuf::from(DEMOS[demo].file)
    }

    fn pass(part: &Arc<Part>) -> Lap {
        played(part, Speed::FULL, Hands::Both)
    }

    #[test]
    fn the_bars_of_a_join_count_for_the_song_that_each_is_of() {
        let (ends, begins) = (part(0), part(1));
        let join = Playing::join((source(0), ends.clone()), (source(1), begins.clone()));
        assert_eq!(join.part.bars.len(), 4, "two bars of each");
        let records = join.records(&pass(&join.part));
        let told: Vec<(&str, Vec<usize>, theory::Key)> = records
            .iter()
            .map(|r| (r.song.title.as_str(), r.bars.iter().map(|b| b.bar).collect(), r.key))
            .collect();
        let last = ends.bars.len();
        assert_eq!(
            told,
            [
                (ends.title.as_str(), vec![last - 2, last - 1], ends.key),
                (begins.title.as_str(), vec![0, 1], begins.key)
            ]
        );
        assert!(records.iter().all(PassRecord::is_clean));
        assert_eq!(records[0].layout.len(), last);
        assert_eq!(records[0].seconds, records[1].seconds, "the time is shared");
    }

    #[test]
    fn a_pass_that_is_over_late_is_of_what_it_was_played_to() {
        let mut stand = OnStand::default();
        let (before, after) = (part(0), part(1));
        stand.put(Playing::song(source(0), before.clone()));
        stand.put(Playing::song(source(1), after.clone()));
        let of = |part: &Arc<Part>| stand.of(&pass(part)).unwrap().of[0].source.clone();
        assert_eq!((of(&before), of(&after)), (source(0), source(1)));
        assert!(stand.of(&pass(&part(2))).is_none());
    }
}
