//! Reasons hold: each claim is worked out again from the keys, the chart and the reach alone.

use crate::finger_reasons;
use crate::print::{part_of, song_text};
use expect_test::expect;
use song::{Slot, SlotKind};
use theory::{Chord, Hand};
use voicing::{Claim, Part, PartChord, Reason, SecondNote};

/// MIDI keys of a hand at a chord.
fn keys(chord: &PartChord, hand: Option<Hand>) -> Vec<i32> {
    chord
        .hand(hand.expect("a claim about one hand"))
        .notes
        .iter()
        .map(|n| i32::from(n.key.number()))
        .collect()
}

/// A chord with what was struck before it, and the bar's beats.
struct Scene<'a> {
    slot: &'a Slot,
    here: &'a PartChord,
    before: Option<&'a PartChord>,
    beat: song::Beat,
    key: theory::Key,
    reach: i32,
    part: &'a Part,
    place: (usize, usize),
}

fn scenes(part: &Part) -> Vec<(Scene<'_>, &[Reason])> {
    let mut before = None;
    let mut scenes = Vec::new();
    for (number, bar) in part.bars.iter().enumerate() {
        for (index, (slot, here)) in bar.played.slots.iter().zip(&bar.chords).enumerate() {
            let reach = i32::from(part.settings.reach.semitones());
            let (beat, key, place) = (bar.played.beat, bar.played.key, (number, index));
            let scene = Scene { slot, here, before, beat, key, reach, part, place };
            scenes.push((scene, &here.why[..]));
            if matches!(slot.kind, SlotKind::Chord { .. }) {
                before = Some(here);
            }
        }
    }
    scenes
}

impl Scene<'_> {
    fn chord(&self) -> Option<&Chord> {
        match &self.slot.kind {
            SlotKind::Chord { chord, .. } | SlotKind::Tie { sounding: chord } => Some(chord),
            SlotKind::Rest => None,
        }
    }

    /// Whether a reason is true here.
    fn holds(&self, reason: &Reason) -> bool {
        match (&reason.claim, self.chord()) {
            (Claim::Rest, _) => self.slot.kind == SlotKind::Rest,
            (Claim::Tie { chord }, Some(c)) => {
                matches!(self.slot.kind, SlotKind::Tie { .. }) && c.written == *chord
            }
            (Claim::Beats { beats, of, dots }, _) => {
                self.beat.length.times(i64::from(*beats)) == self.slot.length
                    && *of == self.beat.count
                    && *dots == self.slot.dots
                    && (*dots == 0 || dots == beats)
            }
            (Claim::Chord { chord, key }, Some(c)) => {
                c.written == *chord && c.key == *key && *key == self.key
            }
            (Claim::Push { degree }, Some(c)) => {
                matches!(self.slot.kind, SlotKind::Chord { push: true, .. }) && c.written.root == *degree
            }
            (Claim::Diamond { degree }, Some(c)) => {
                matches!(self.slot.kind, SlotKind::Chord { diamond: true, .. }) && c.written.root == *degree
            }
            (claim, Some(chord)) => self.holds_for_hand(claim, chord, reason.hand),
            _ => false,
        }
    }

    /// Whether the right hand strikes this key here as a passing note.
    fn passes(&self, key: i32) -> bool {
        self.part.events.iter().any(|e| {
            (e.bar, e.slot) == self.place
                && e.hand == Hand::Right
                && e.role == voicing::Role::Passing
                && i32::from(e.key.number()) == key
        })
    }

    /// The right hand's top key at the next chord.
    fn next_top(&self) -> Option<i32> {
        let (bar, slot) = self.place;
        let chords = self.part.bars[bar..].iter().flat_map(|bar| &bar.chords);
        chords.skip(slot + 1).find_map(|chord| chord.right.notes.last()).map(|n| i32::from(n.key.number()))
    }

    fn holds_for_hand(&self, claim: &Claim, chord: &Chord, hand: Option<Hand>) -> bool {
        if let Claim::Fingers { .. } | Claim::Substitution { .. } = claim {
            return finger_reasons::holds(
                self.part,
                self.place,
                hand.expect("a claim about one hand"),
                claim,
            );
        }
        let now = keys(self.here, hand);
        let other = keys(self.here, hand.map(|h| if h == Hand::Right { Hand::Left } else { Hand::Right }));
        let before = self.before.map(|chord| keys(chord, hand)).unwrap_or_default();
        let class = |key: i32| key.rem_euclid(12) as u8;
        match claim {
            Claim::Lowest { note, member, inversion } => {
                let lowest = chord.member_sounding(class(now[0])).unwrap();
                let by_member = match member.number() {
                    1 => Some(0),
                    2..=4 => Some(1),
                    5 => Some(2),
                    6 | 7 => Some(3),
                    _ => None,
                };
                let bare = now.iter().all(|k| class(*k) == class(now[0]));
                let no_third = chord.written.quality == Some(theory::Quality::NoThird);
                let inversion_fits = *inversion == if bare || no_third { None } else { by_member };
                note.semitones() == now[0]
                    && lowest.member == *member
                    && lowest.name == note.name
                    && inversion_fits
            }
            Claim::LeftOut { member, name, covered } => {
                let tone = chord.member(*member);
                let sounds = |keys: &[i32]| keys.iter().any(|k| class(*k) == name.pitch_class());
                tone.is_some_and(|t| t.name == *name) && !sounds(&now) && sounds(&other) == *covered
            }
            Claim::Stays { notes } => {
                let same = now.len() == before.len();
                let stays =
                    |(i, key): (usize, &i32)| if same { before[i] == *key } else { before.contains(key) };
                let staying: Vec<i32> =
                    now.iter().enumerate().filter(|(i, key)| stays((*i, key))).map(|(_, k)| *k).collect();
                notes.iter().map(|n| n.semitones()).eq(staying)
            }
            Claim::Moves { voices, semitones } => {
                let moved = before.iter().zip(&now).filter(|(a, b)| a != b);
                let total: i32 = before.iter().zip(&now).map(|(a, b)| (a - b).abs()).sum();
                before.len() == now.len()
                    && voices
                        .iter()
                        .map(|(a, b)| (a.semitones(), b.semitones()))
                        .eq(moved.map(|(a, b)| (*a, *b)))
                    && *semitones as i32 == total
            }
            Claim::NothingMoves { lowest } => before == now && lowest.semitones() == now[0],
            Claim::RootPositionInstead { semitones, played } => {
                let cost = |to: &[i32]| before.iter().zip(to).map(|(a, b)| (a - b).abs()).sum::<i32>() as u32;
                let root = i32::from(chord.root().pitch_class());
                let mut close: Vec<i32> = now.iter().map(|k| (k - root).rem_euclid(12)).collect();
                close.sort_unstable();
                let at = |octave: i32| close.iter().map(|k| k + root + 12 * octave).collect::<Vec<i32>>();
                let least = (0..9).map(|octave| cost(&at(octave))).min().unwrap();
                cost(&now) == *played && least == *semitones && semitones > played
            }
            Claim::Bass { degree, note, under_slash } => {
                let taken = chord.written.under.unwrap_or(chord.written.root);
                note.semitones() == now[0]
                    && taken == *degree
                    && chord.written.under.is_some() == *under_slash
                    && chord.key.degree(*degree) == note.name
            }
            Claim::Second { lowest, note, why } => {
                let interval = (now[1] - now[0]).rem_euclid(12);
                let fifth_sounds = chord.has_pitch_class(class(now[0] + 7));
                let in_chord = chord.has_pitch_class(class(now[0]));
                let rule = match why {
                    SecondNote::FifthInChord => interval == 7 && fifth_sounds,
                    SecondNote::RootAbove => {
                        in_chord && !fifth_sounds && class(now[1]) == chord.root().pitch_class()
                    }
                    SecondNote::FifthInKey => interval == 7 && !fifth_sounds && !in_chord,
                    SecondNote::OctaveUnderSlash => interval == 0 && chord.written.under.is_some(),
                    SecondNote::NoPerfectFifth => interval == 0 && !fifth_sounds,
                    SecondNote::OwnFifth => interval == 7 && chord.written.under.is_none(),
                };
                rule && lowest.pitch_class() == class(now[0]) && note.pitch_class() == class(now[1])
            }
            Claim::Written { tones } => {
                let held = &self.here.hand(hand.unwrap()).notes;
                held.len() == tones.len() && held.iter().map(|n| n.member).eq(tones.iter().copied())
            }
            Claim::Near { wanted, lowest } => {
                let style = if hand == Some(Hand::Right) { &self.slot.right } else { &self.slot.left };
                style.near == Some(*wanted) && lowest.semitones() == now[0]
            }
            Claim::Rolled { semitones, reach } => {
                let span = now.last().unwrap() - now[0];
                i32::from(*semitones) == span && i32::from(*reach) == self.reach && span > self.reach
            }
            Claim::Fewer { asked, held, reach } => {
                usize::from(*held) == now.len() && held < asked && i32::from(*reach) == self.reach
            }
            Claim::OctaveDown { octaves, highest, right } => {
                let up = 12 * i32::from(*octaves);
                highest.semitones() == now.last().unwrap() + up
                    && right.semitones() == other[0]
                    && highest.semitones() >= other[0]
            }
            Claim::Level { level, keys } => {
                let style = if hand == Some(Hand::Right) { &self.slot.right } else { &self.slot.left };
                let played = &self.part.bars[self.place.0].played;
                !style.written.hold
                    && *level == played.level
                    && *level != 3
                    && usize::from(*keys) == now.len()
            }
            Claim::BassPlayer { note, floor } => {
                let left_out = now.iter().all(|k| class(*k) != note.pitch_class());
                let played = &self.part.bars[self.place.0].played;
                hand == Some(Hand::Left)
                    && played.bass
                    && *note == chord.bass
                    && left_out
                    && now[0] >= floor.semitones()
                    && floor.key() == Some(self.part.settings.left_floor)
            }
            Claim::PassingNote { from, through, to } => {
                let (top, next) = (*now.last().unwrap(), self.next_top());
                let step = |a: i32, b: i32| matches!((a - b).abs(), 1 | 2);
                self.passes(through.semitones())
                    && (from.semitones(), Some(to.semitones())) == (top, next)
                    && step(from.semitones(), through.semitones())
                    && step(through.semitones(), to.semitones())
                    && (from.semitones() < to.semitones()) == (from.semitones() < through.semitones())
            }
            Claim::NeighbourNote { note, neighbour } => {
                self.passes(neighbour.semitones())
                    && now.last() == Some(&note.semitones())
                    && self.next_top() == Some(note.semitones())
                    && matches!((note.semitones() - neighbour.semitones()).abs(), 1 | 2)
            }
            Claim::Muddy { low, high, below } => {
                let pair = now.windows(2).any(|w| w == [low.semitones(), high.semitones()]);
                let interval = (high.semitones() - low.semitones()) as u8;
                let limit = voicing::low_interval_limit(interval).map(i32::from);
                pair && limit == Some(low.semitones() + i32::from(*below)) && *below > 0
            }
            _ => false,
        }
    }
}

const SONG: &str = r#"{ "format": 1, "title": "Test", "key": "D major", "tempo": 90, "meter": "4/4",
    "sections": [
      { "name": "A", "bars": ["3/4: 1.. 5. | 6 | 4 1/3 | 2(7) 5(7) | ^1 | ~ | <4/5> | N"] },
      { "name": "B", "right": { "notes": 2 }, "left": { "shape": "root fifth tenth" },
        "bars": ["1/4 | 1/5 | 1/7 | 7 | b7 5sus4"] },
      { "name": "C", "right": { "tones": "5 1", "near": "A4" }, "left": { "shape": "octave" },
        "bars": ["1 | 4 | 5/7 | 2"] },
      { "name": "D", "right": { "tones": "1 3 5", "near": "C4" }, "left": { "shape": "octave" },
        "bars": ["1 | 4 | 6"] },
      { "name": "F", "level": 4, "bars": ["1 | 4 | 5 | 6"] },
      { "name": "G", "level": 2, "bass": true, "bars": ["4 | 5/7 | 1"] },
      { "name": "E", "right": { "notes": 4 }, "left": { "shape": "triad" }, "bars": ["6 | 1no3 | 1(maj9) | 4(6) | 5(13)"] } ] }"#;

#[test]
fn every_claim_holds() {
    let part = part_of(SONG);
    let mut seen = std::collections::BTreeSet::new();
    for (scene, why) in scenes(&part) {
        for reason in why {
            assert!(scene.holds(reason), "{:?}: {}", scene.slot.kind, reason.text());
            let claim = format!("{:?}", reason.claim);
            seen.insert(claim.split([' ', '{']).next().unwrap().to_string());
        }
    }
    // The song above makes every kind of claim.
    expect!["Bass BassPlayer Beats Chord Diamond Fewer Fingers LeftOut Level Lowest Moves Muddy Near NeighbourNote NothingMoves OctaveDown PassingNote Push Rest Rolled RootPositionInstead Second Stays Tie Written"].assert_eq(&seen.into_iter().collect::<Vec<_>>().join(" "));
}

#[test]
fn swapped_reasons_do_not_hold() {
    let part = part_of(SONG);
    let scenes = scenes(&part);
    for (i, (scene, _)) in scenes.iter().enumerate() {
        for (j, (other, why)) in scenes.iter().enumerate() {
            let same_claims = scenes[i].1 == *why;
            if i != j && !same_claims && scene.chord().map(|c| c.written) != other.chord().map(|c| c.written)
            {
                assert!(
                    !why.iter().all(|reason| scene.holds(reason)),
                    "the reasons of {j} also hold for {i}"
                );
            }
        }
    }
}

#[test]
fn a_narrow_reach_is_told_of() {
    let song = song::read(&song_text("C major", "", "1")).sound().unwrap().play();
    let settings = voicing::Settings::default().with_reach(voicing::Reach::new(6).unwrap());
    let part = voicing::plan(&song, song.key, &settings).unwrap();
    for (scene, why) in scenes(&part) {
        assert!(why.iter().all(|reason| scene.holds(reason)));
        assert!(why.iter().any(|reason| matches!(reason.claim, Claim::Fewer { .. })));
    }
}

#[test]
fn at_most_three_sentences_a_hand_and_what_there_is_to_say_about_fingers() {
    let about_fingers =
        |reason: &Reason| matches!(reason.claim, Claim::Fingers { .. } | Claim::Substitution { .. });
    for (_, why) in scenes(&part_of(SONG)) {
        for hand in Hand::BOTH {
            let told = why.iter().filter(|reason| reason.hand == Some(hand) && !about_fingers(reason));
            assert!(told.count() <= 3);
        }
    }
}

#[test]
fn the_sentences_of_a_few_chords() {
    // Read through: each says what the keys do.
    let part = part_of(&song_text("D major", "", "3/4: 1.. 5. | ^1/4 | ~ | <7>"));
    let mut text = String::new();
    for chord in part.bars.iter().flat_map(|bar| &bar.chords) {
        for reason in &chord.why {
            let hand = reason.hand.map_or("", |hand| hand.name());
            text.push_str(&format!("{hand:>5} {}\n", reason.text()));
        }
    }
    expect![[r#"
        right Root position: the root, D4, lies lowest.
         left The left hand stands on 1, D3.
              1 in D major is D: D F♯ A.
              2 of the bar's 3 beats: two dots.
        right A4 stays.
        right Two notes move, 3 semitones in all: D4 down a semitone to C♯4 and F♯4 down a tone to E4.
        right Root position would have moved 15 semitones instead of 3.
         left The left hand stands on 5, A2.
         left Two notes move together down 5 semitones, to A2 and E3.
              5 in D major is A: A C♯ E.
              1 of the bar's 3 beats: one dot.
        right A4 stays.
        right Two notes move, 3 semitones in all: C♯4 up a semitone to D4 and E4 up a tone to F♯4.
        right Root position: the root, D4, lies lowest.
         left The 4 under the slash is for the left hand: G2.
         left Above G the fifth, D: the right hand's chord has it.
         left Two notes move together down a tone, to G2 and D3.
              1/4 in D major is D/G: D F♯ A.
              Pushed: the 1 comes an eighth early, in both hands.
              Tied: the 1/4 rings on, nothing is struck.
        right Three notes move, 5 semitones in all: D4 down a semitone to C♯4, F♯4 down a tone to E4 and A4 down a tone to G4.
        right Root position: the root, C♯4, lies lowest.
         left An octave lower than usual: its C♯4 would meet the right hand's C♯4.
         left The left hand stands on 7, C♯2.
         left Above C♯ the octave: the chord's own fifth is not perfect, and would grumble down here.
              7 in D major is C♯dim: C♯ E G.
              A diamond: strike the 7 once and let it ring.
    "#]].assert_eq(&text);
}
