//! What is known of the songs that are practised: of the one that is open, and of each song of the set.

use crate::window::practice_keeper::Known;
use practice::history::PassRecord;
use practice::learn::{Coach, HeardPass, first_day};
use practice::session_plan::{PlanItem, PlanSong, SessionPlan, Task, Wish, go_on, plan};
use practice::{LoopBars, Speed};
use std::sync::Arc;
use voicing::Part;

/// At a speed at which a bar is clean this often the first bars of a song are joined to the last of another.
const LIKELY: f64 = 0.8;

/// The songs, as far as they were read.
#[derive(Clone, Debug, Default)]
pub struct Repertoire {
    /// The song that is open.
    pub open: Option<Known>,
    /// Those of the set, by their places; none of what is not read yet, or cannot be read.
    pub set: Vec<Option<Known>>,
    /// The whole set is practised, and not the open song alone.
    pub whole: bool,
}

impl Repertoire {
    /// The songs of the plan, by the places that its tasks name.
    pub fn planned(&self) -> Vec<Option<&Known>> {
        match self.whole {
            true => self.set.iter().map(Option::as_ref).collect(),
            false => vec![self.open.as_ref()],
        }
    }

    /// A song of the plan.
    pub fn song(&self, place: usize) -> Option<&Known> {
        self.planned().get(place).copied().flatten()
    }

    /// A song of the set, and the next one that can be read: what one is joined from and into.
    pub fn join(&self, place: usize) -> Option<(&Known, &Known)> {
        let ends = self.set.get(place)?.as_ref()?;
        let begins = self.set.iter().skip(place + 1).flatten().next()?;
        Some((ends, begins))
    }

    /// The coaches of the plan; one who knows of no bars where a song cannot be read.
    pub fn coaches(&self) -> Vec<Coach> {
        let nobody = || Coach::new(0, Speed::FULL);
        self.planned()
            .into_iter()
            .map(|known| known.map_or_else(nobody, |known| known.coach.clone()))
            .collect()
    }

    /// A plan for the songs.
    pub fn plan(&self, wish: &Wish) -> SessionPlan {
        self.plan_with(|_| true, |songs| plan(songs, wish))
    }

    /// What is left to do takes another form once a song was heard: a plan for what there is of it; the items of other songs
    /// stay as the player has them.
    pub fn plan_on(&self, song: usize, left: &[PlanItem], wish: Wish) -> SessionPlan {
        let of_song = |item: &&PlanItem| match item.task {
            Task::SongJoin { .. } => false,
            _ => !self.whole || item.task.song() == Some(song),
        };
        let minutes = left.iter().filter(of_song).map(|item| item.minutes).sum();
        let mut anew = self.plan_with(|place| place == song, |songs| go_on(songs, &Wish { minutes, ..wish }));
        anew.items.extend(left.iter().filter(|item| !of_song(item)).cloned());
        anew
    }

    fn plan_with(
        &self,
        is_meant: impl Fn(usize) -> bool,
        plan: impl FnOnce(&[PlanSong<'_>]) -> SessionPlan,
    ) -> SessionPlan {
        let (songs, nobody) = (self.planned(), Coach::new(0, Speed::FULL));
        let goals: Vec<Vec<usize>> = songs
            .iter()
            .map(|known| known.iter().flat_map(|k| &k.goals).flat_map(|goal| goal.bars.clone()).collect())
            .collect();
        let Some(some) = songs.iter().flatten().next() else { return SessionPlan::default() };
        let meant = songs.iter().enumerate().map(|(place, known)| known.filter(|_| is_meant(place)));
        let songs = meant.zip(&goals).map(|(known, goals)| PlanSong {
            part: &known.unwrap_or(some).part,
            coach: known.map_or(&nobody, |known| &known.coach),
            hard: known.map_or(&[], |known| &known.hard),
            goals,
        });
        plan(&songs.collect::<Vec<_>>())
    }

    /// The first day that a coach has set for one of the songs and that is not over.
    pub fn first_day(&self, today: i64) -> Option<i64> {
        self.planned().into_iter().flatten().filter_map(|known| first_day(&known.goals, today)).min()
    }

    /// The coach of a song of the plan, to hear a pass of it.
    pub fn coach_mut(&mut self, place: usize) -> Option<&mut Coach> {
        let known = match self.whole {
            true => self.set.get_mut(place)?.as_mut(),
            false => self.open.as_mut().filter(|_| place == 0),
        };
        known.map(|known| &mut known.coach)
    }

    /// A pass was played: all who coach its song hear it, but for the one of the plan who has heard it already.
    pub fn hear(&mut self, record: &PassRecord, has_heard: Option<usize>) {
        let whole = self.whole;
        let is_one = |place: Option<usize>| match whole {
            true => place.is_some() && place == has_heard,
            false => place.is_none() && has_heard == Some(0),
        };
        let of_set = self.set.iter_mut().enumerate().map(|(place, known)| (Some(place), known.as_mut()));
        let all = of_set.chain([(None, self.open.as_mut())]);
        for (place, known) in all {
            let Some(known) = known.filter(|known| is_of(record, known)) else { continue };
            known.passes += 1;
            if !is_one(place) {
                let heard = HeardPass::of(record, &known.coach);
                known.coach.recall_pass(record, &heard);
            }
        }
    }

    /// A song was opened, one of the set or another: what was known of it still holds if its part is the same.
    pub fn opened(&mut self, place: Option<usize>, part: &Arc<Part>) -> Option<Known> {
        let known = self.set.get_mut(place?)?.as_mut().filter(|known| known.part == *part)?;
        known.part = part.clone();
        Some(known.clone())
    }

    /// This is known of the song that is open.
    pub fn know(&mut self, place: Option<usize>, known: Known) {
        if let Some(of_set) = place.and_then(|place| self.set.get_mut(place)) {
            *of_set = Some(known.clone());
        }
        self.open = Some(known);
    }

    /// What history tells of the song that is open, once more: its coach has heard all of it already.
    pub fn refresh(&mut self, place: Option<usize>, told: &Known) {
        let of_set = place.and_then(|place| self.set.get_mut(place)).and_then(Option::as_mut);
        for known in of_set.into_iter().chain(self.open.as_mut()) {
            *known = Known { coach: known.coach.clone(), ..told.clone() };
        }
    }

    /// How fast the last bars of a song and the first ones of another are likely to go well.
    pub fn speed_of_join(&self, ends: &Known, begins: &Known, day: f64) -> Speed {
        let last = ends.coach.len().saturating_sub(1);
        let likely = |known: &Known, bars: LoopBars| {
            let beliefs = (bars.from()..=bars.to()).filter_map(|bar| known.coach.belief(bar));
            let speeds = beliefs.map(|b| b.speed_with(LIKELY, day, known.coach.target()).percent());
            speeds.fold(known.coach.target().percent(), f64::min)
        };
        let ends = likely(ends, LoopBars::new(last.saturating_sub(1), last));
        Speed::clamped(ends.min(likely(begins, LoopBars::new(0, 1))))
    }
}

/// Whether a pass is one of a song as it is now.
pub fn is_of(record: &PassRecord, known: &Known) -> bool {
    known.name.is(&record.song) && record.layout.len() == known.part.bars.len()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::window::played::{part, played};
    use crate::window::playing::Playing;
    use practice::Hands;
    use practice::history::SongName;

    fn known(demo: usize) -> Known {
        let part = part(demo);
        Known {
            name: SongName { id: None, title: part.title.clone() },
            source: "song.json".into(),
            coach: Coach::recalling(&part, Speed::FULL, &[]),
            hard: Vec::new(),
            goals: Vec::new(),
            days: Vec::new(),
            progress: Vec::new(),
            passes: 0,
            elsewhere: 0,
            told: Vec::new(),
            part,
        }
    }

    /// Two songs, with one between them that cannot be read; the first is open.
    fn set() -> Repertoire {
        Repertoire { open: Some(known(0)), set: vec![Some(known(0)), None, Some(known(1))], whole: true }
    }

    fn record(known: &Known) -> PassRecord {
        let playing = Playing::song(known.source.clone(), known.part.clone());
        let records = playing.records(&played(&known.part, Speed::clamped(60.0), Hands::Both));
        PassRecord { song: known.name.clone(), ..records[0].clone() }
    }

    #[test]
    fn all_who_coach_a_song_hear_a_pass_once() {
        let mut songs = set();
        let record = record(songs.open.as_ref().unwrap());
        let heard = |known: &Option<Known>| known.as_ref().unwrap().coach.belief(0).unwrap().heard();
        let coach = songs.coach_mut(0).unwrap();
        coach.recall_pass(&record, &HeardPass::of(&record, coach));
        let once = heard(&songs.set[0]);
        songs.hear(&record, Some(0));
        assert_eq!((heard(&songs.set[0]), heard(&songs.open)), (once, once));
        assert!(once > 0 && !songs.set[2].as_ref().unwrap().coach.is_known());
        let passes = |known: &Option<Known>| known.as_ref().unwrap().passes;
        assert_eq!((passes(&songs.set[0]), passes(&songs.open), passes(&songs.set[2])), (1, 1, 0));
        songs.hear(&record, None);
        assert_eq!((heard(&songs.set[0]), heard(&songs.open)), (2 * once, 2 * once));
    }

    #[test]
    fn once_a_song_was_heard_the_items_of_the_others_stay_as_the_player_has_them() {
        let mut songs = set();
        let item = |task| PlanItem { task, minutes: 3.0 };
        let others = [
            item(Task::Survey { song: 2 }),
            item(Task::SongJoin { song: 0 }),
            item(Task::Hardest { song: 2 }),
        ];
        let mut left = vec![item(Task::Hardest { song: 0 })];
        left.extend(others.clone());
        left.push(item(Task::Hardest { song: 0 }));
        let record = record(songs.set[0].as_ref().unwrap());
        songs.hear(&record, None);
        let wish = Wish { minutes: 0.0, today: 20_000.0, days_left: None };
        let anew = songs.plan_on(0, &left, wish).items;
        let (of_song, after) = anew.split_at(anew.len() - others.len());
        assert_eq!(after, others);
        assert!(!of_song.is_empty() && of_song.iter().all(|item| item.task.song() == Some(0)), "{of_song:?}");
        assert!(of_song.iter().map(|item| item.minutes).sum::<f64>() <= 6.5, "{of_song:?}");
    }

    #[test]
    fn a_song_is_joined_into_the_next_one_that_can_be_read() {
        let songs = set();
        let into = |place| songs.join(place).map(|(_, begins)| begins.part.title.clone());
        assert_eq!(into(0), Some(part(1).title.clone()));
        assert_eq!((into(1), into(2)), (None, None));
        assert!(songs.coaches()[1].is_empty(), "nothing is planned of what cannot be read");
        let (ends, begins) = songs.join(0).unwrap();
        assert!(songs.speed_of_join(ends, begins, 0.0).percent() < 100.0, "nothing was heard of them yet");
    }
}
