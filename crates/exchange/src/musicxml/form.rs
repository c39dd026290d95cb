//! The order in which measures are played: repeats, endings, and the ways back and to the coda (common practice; the signs
//! are those of MusicXML 4.0, "repeat", "ending", "sound").

use super::endings::{Ending, Endings};
use crate::ExchangeError;
use song::limits::BARS_PLAYED;
use std::collections::HashSet;

/// The signs of form of a measure.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(crate) struct Form {
    pub forward: bool,
    pub backward: Option<Repeat>,
    /// An ending begins: for these passes.
    pub ending: Option<Vec<u32>>,
    pub ending_stops: bool,
    pub segno: Option<Mark>,
    pub coda: Option<Mark>,
    pub to_coda: Option<Mark>,
    pub fine: bool,
    pub jump: Option<Jump>,
}

/// A sign that sends back to where the repeat begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(crate) struct Repeat {
    /// How often all is played, where it says so.
    pub times: Option<u32>,
    /// It holds on the way back too ("after-jump").
    pub after_jump: bool,
}

/// A sign of segno or coda. Signs of one kind may be told apart by numbers; nought is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Mark {
    pub place: Place,
    pub number: u8,
}

/// Where in its measure a sign stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Place {
    Start,
    Middle,
    /// Behind its last note.
    End,
}

/// Back, and until when.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(crate) struct Jump {
    /// To the sign rather than to the beginning.
    pub to_sign: bool,
    /// Which sign.
    pub sign: u8,
    pub until: Until,
    /// Which coda.
    pub coda: u8,
    /// Repeats are played again.
    pub repeats: bool,
}

/// Where a way back ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(crate) enum Until {
    /// At the first of fine and coda, or where it went back.
    #[default]
    Unsaid,
    Fine,
    Coda,
}

/// Measures in playing order, and what is doubtful about it.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(crate) struct Played {
    pub order: Vec<usize>,
    pub told: Vec<String>,
}

/// The measures in playing order. On a way back repeats are not played again, and the last endings are taken; from the
/// coda on, or behind the place of the way back, all is new again.
pub(crate) fn playing_order(forms: &[Form]) -> Result<Played, ExchangeError> {
    let endings = Endings::of(forms);
    let mut player = Player {
        forms,
        endings: &endings,
        says_to_coda: forms.iter().any(|form| form.to_coda.is_some()),
        starts: vec![Start { at: 0, pass: 1 }],
        way_back: None,
        taken: HashSet::new(),
        played: Played { order: Vec::new(), told: endings.told.clone() },
    };
    let mut at = Some(0);
    let mut steps = 0;
    while let Some(measure) = at.filter(|at| *at < forms.len()) {
        steps += 1;
        if player.played.order.len() as u64 >= BARS_PLAYED || steps > 4 * BARS_PLAYED {
            return Err(ExchangeError::TooLong(BARS_PLAYED as usize));
        }
        at = player.step(measure);
    }
    Ok(player.played)
}

/// Where a repeat begins, and its pass.
#[derive(Clone, Copy, Debug)]
struct Start {
    at: usize,
    pass: u32,
}

/// Under way after `D.C.` or `D.S.`
#[derive(Clone, Copy, Debug)]
struct WayBack {
    /// The measure from which it went back.
    from: usize,
    jump: Jump,
    /// The coda's measure and number, if it leads there.
    coda: Option<(usize, u8)>,
}

struct Player<'a> {
    forms: &'a [Form],
    endings: &'a Endings,
    /// Words say where to leave for the coda; else the first of two coda signs does.
    says_to_coda: bool,
    /// The innermost last.
    starts: Vec<Start>,
    way_back: Option<WayBack>,
    /// Ways back are taken once.
    taken: HashSet<usize>,
    played: Played,
}

impl Player<'_> {
    /// Plays a measure, or passes over it, and says which comes next.
    fn step(&mut self, at: usize) -> Option<usize> {
        let form = &self.forms[at];
        if self.way_back.is_some_and(|back| at > back.from) {
            self.begin_anew(at);
        }
        let endings = self.endings;
        let ending = endings.at(at);
        if let Some(left) =
            at.checked_sub(1).and_then(|before| endings.at(before)).filter(|left| left.to + 1 == at)
            && ending.is_none()
        {
            self.leave_endings(left, at);
        }
        if form.forward && self.starts.last().is_none_or(|start| start.at != at) {
            self.starts.push(Start { at, pass: 1 });
        }
        if let Some(coda) = self.leaves_for_coda(at, false) {
            return Some(coda);
        }
        let over = |ending: &&Ending| ending.from == at && ending.is_passed_over(self.pass(ending));
        if let Some(ending) = ending.filter(over) {
            return Some(ending.to + 1);
        }
        self.played.order.push(at);
        if form.fine && self.way_back.is_some_and(|back| back.jump.until != Until::Coda) {
            return None;
        }
        if let Some(coda) = self.leaves_for_coda(at, true) {
            return Some(coda);
        }
        let back = form.backward.and_then(|repeat| self.repeat(at, repeat, ending));
        back.or_else(|| self.jump(at)).or(Some(at + 1))
    }

    /// The pass for which endings are chosen: on a way back the last.
    fn pass(&self, ending: &Ending) -> u32 {
        if self.without_repeats() && !ending.after_jump {
            return ending.last_pass;
        }
        self.starts.last().map_or(1, |start| start.pass)
    }

    fn without_repeats(&self) -> bool {
        self.way_back.is_some_and(|back| !back.jump.repeats)
    }

    /// Back to where the repeat begins, unless it has been played often enough.
    fn repeat(&mut self, at: usize, repeat: Repeat, ending: Option<&Ending>) -> Option<usize> {
        if self.without_repeats() && !repeat.after_jump {
            return None;
        }
        let passes = match ending {
            Some(ending) if ending.last_pass > 1 && ending.passes.contains(&ending.last_pass) => {
                self.tell("the last ending has a repeat sign, and there is none to follow: it was played on");
                ending.last_pass
            }
            Some(ending) => ending.last_pass.max(2),
            None => repeat.times.unwrap_or(2),
        };
        let start = self.starts.last_mut()?;
        if start.pass < passes {
            start.pass += 1;
            return Some(start.at);
        }
        self.close_repeat(at + 1);
        None
    }

    /// The repeat that was played is over, and without a sign the next one begins at a measure.
    fn close_repeat(&mut self, next: usize) {
        let forms = self.forms;
        let inner = self.starts.len() > 1;
        if inner {
            self.starts.pop();
        }
        if let Some(outer) = self.starts.last_mut().filter(|outer| !inner || !forms[outer.at].forward) {
            *outer = Start { at: next, pass: 1 };
        }
    }

    /// Behind all endings of a repeat it is over, if it was not before.
    fn leave_endings(&mut self, left: &Ending, at: usize) {
        if self.starts.last().is_some_and(|start| start.at <= left.from) {
            self.close_repeat(at);
        }
    }

    fn begin_anew(&mut self, at: usize) {
        self.way_back = None;
        self.starts = vec![Start { at, pass: 1 }];
    }

    fn jump(&mut self, at: usize) -> Option<usize> {
        let jump = self.forms[at].jump.filter(|_| !self.taken.contains(&at))?;
        self.taken.insert(at);
        let to = if jump.to_sign { self.sign(at, jump.sign) } else { 0 };
        let coda = self.coda_behind(at, jump.coda).filter(|_| jump.until != Until::Fine);
        self.begin_anew(to);
        self.way_back = Some(WayBack { from: at, jump, coda });
        self.doubt(to);
        Some(to)
    }

    /// The measure of the sign before a measure, the beginning if there is none.
    fn sign(&mut self, at: usize, number: u8) -> usize {
        let marks = || (0..=at).rev().filter_map(|measure| Some((measure, self.forms[measure].segno?)));
        let mark = marks().find(|(_, mark)| number == 0 || mark.number == number).or_else(|| marks().next());
        let Some((measure, mark)) = mark else {
            self.tell("D.S. and no sign to go back to: it was played from the beginning");
            return 0;
        };
        measure + usize::from(mark.place == Place::End && measure < at)
    }

    /// The first coda behind a measure.
    fn coda_behind(&self, from: usize, number: u8) -> Option<(usize, u8)> {
        let marks = || {
            let mark = |measure: usize| Some((measure, self.forms[measure].coda?));
            (from + 1..self.forms.len()).filter_map(mark)
        };
        let (measure, mark) =
            marks().find(|(_, mark)| number == 0 || mark.number == number).or_else(|| marks().next())?;
        let behind = mark.place == Place::End && measure + 1 < self.forms.len();
        Some((measure + usize::from(behind), mark.number.max(number)))
    }

    /// Whether the way to the coda is taken here: before the measure is played, or behind it.
    fn leaves_for_coda(&mut self, at: usize, behind: bool) -> Option<usize> {
        let (coda, number) = self.way_back?.coda?;
        let mark = self.leaving(at).filter(|mark| (mark.place != Place::Start) == behind)?;
        if number > 0 && mark.number > 0 && mark.number != number {
            return None;
        }
        self.begin_anew(coda);
        Some(coda)
    }

    fn leaving(&self, at: usize) -> Option<Mark> {
        if self.says_to_coda { self.forms[at].to_coda } else { self.forms[at].coda }
    }

    /// Tells what of a way back the page does not say.
    fn doubt(&mut self, to: usize) {
        let Some(back) = self.way_back else { return };
        let mut way = to..=back.from.max(to);
        let repeats = |measure: usize| self.forms[measure].backward.is_some_and(|repeat| !repeat.after_jump);
        if !back.jump.repeats && way.clone().any(repeats) {
            self.tell("on the way back (D.C., D.S.) repeats are not played again");
        }
        match back.jump.until {
            Until::Coda if back.coda.is_none() => {
                self.tell("“al Coda” and no coda behind it: it was played on");
            }
            Until::Coda if !way.any(|measure| self.leaving(measure).is_some()) => {
                self.tell("“al Coda” and no sign where to leave for it: it was played on");
            }
            Until::Fine if !way.any(|measure| self.forms[measure].fine) => {
                self.tell("“al Fine” and no Fine on the way: it was played on");
            }
            _ => {}
        }
    }

    fn tell(&mut self, what: &str) {
        if !self.played.told.iter().any(|told| told == what) {
            self.played.told.push(what.to_owned());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Measures from a line: `|:` `:|` around them, `1[` an ending, `]` its stop, `$` segno, `@` coda before and `>` behind
    /// the measure, `F` fine, `C` D.C., `S` D.S., `+` holds on the way back, `x3` so many times.
    fn forms(line: &str) -> Vec<Form> {
        let form = |word: &str| Form {
            forward: word.contains("|:"),
            backward: word.contains(":|").then(|| Repeat {
                times: word.split_once('x').and_then(|(_, times)| times.parse().ok()),
                after_jump: word.contains('+'),
            }),
            ending: word.split_once('[').map(|(passes, _)| {
                let passes = passes.trim_start_matches("|:");
                passes.split(',').filter_map(|pass| pass.parse().ok()).collect()
            }),
            ending_stops: word.contains(']'),
            segno: word.contains('$').then_some(Mark { place: Place::Start, number: 0 }),
            coda: word
                .contains(['@', '>'])
                .then(|| if word.contains('@') { Place::Start } else { Place::End })
                .map(|place| Mark { place, number: 0 }),
            to_coda: None,
            fine: word.contains('F'),
            jump: word.contains(['C', 'S']).then(|| Jump { to_sign: word.contains('S'), ..Jump::default() }),
        };
        line.replace("|: ", "|:").split_whitespace().map(form).collect()
    }

    fn played(line: &str) -> Vec<usize> {
        playing_order(&forms(line)).unwrap().order
    }

    // Played out by hand.
    #[test]
    fn repeats_and_endings_are_played_out() {
        for (line, order) in [
            ("a b c", vec![0, 1, 2]),
            ("a |: b c:| d", vec![0, 1, 2, 1, 2, 3]),
            ("a b:| c d:|", vec![0, 1, 0, 1, 2, 3, 2, 3]),
            ("|: a 1[b]:| 2[c] d", vec![0, 1, 0, 2, 3]),
            ("|: a 1[b]:| 2[c]:| 3[d]", vec![0, 1, 0, 2, 0, 3]),
            ("|: a 1,2[b]:| 3[c]", vec![0, 1, 0, 1, 0, 2]),
            ("|: a 1,3[b]:| 2,4[c]:| d", vec![0, 1, 0, 2, 0, 1, 0, 2, 3]),
            ("|: a |: b:| c:| d", vec![0, 1, 1, 2, 0, 1, 1, 2, 3]),
            ("|: a 1[b] c:| 2[d]", vec![0, 1, 2, 0, 3]),
            ("|: a 1[b]:| 1[c]", vec![0, 1, 0, 2]),
            ("|: a 1[b]:| c", vec![0, 1, 0, 2]),
            ("|: a b:| c d:|", vec![0, 1, 0, 1, 2, 3, 2, 3]),
            ("|: a 1[b]:| 2[c] d e:|", vec![0, 1, 0, 2, 3, 4, 3, 4]),
            ("|: a:|x3 b", vec![0, 0, 0, 1]),
            ("a 1[b]:| 2[c]:| d", vec![0, 1, 0, 2, 3]),
            ("|: a b:| 2[c] d", vec![0, 1, 0, 1, 2, 3]),
        ] {
            assert_eq!(played(line), order, "{line}");
        }
    }

    // Played out by hand. That repeats are not played again on the way back, and are in the coda, is how music21 10.5
    // (repeat.Expander) has it too.
    #[test]
    fn ways_back_are_taken_once_and_without_repeats() {
        for (line, order) in [
            ("a bF c dC", vec![0, 1, 2, 3, 0, 1]),
            ("a $b c@ dS @e", vec![0, 1, 2, 3, 1, 4]),
            ("a $b c> dS @e", vec![0, 1, 2, 3, 1, 2, 4]),
            ("a:| bC", vec![0, 0, 1, 0, 1]),
            ("a:|+ bC", vec![0, 0, 1, 0, 0, 1]),
            ("|: a 1[b]:| 2[cF] dC", vec![0, 1, 0, 2, 3, 0, 2]),
            ("a> bC @c |: d:| e", vec![0, 1, 0, 2, 3, 3, 4]),
            ("|: a$ b> c:|S @d", vec![0, 1, 2, 0, 1, 2, 0, 1, 3]),
            ("a bC |: c:| d", vec![0, 1, 0, 1, 2, 2, 3]),
        ] {
            assert_eq!(played(line), order, "{line}");
        }
    }

    #[test]
    fn what_the_page_does_not_say_is_told() {
        let told = |line: &str, until: Until| {
            let mut forms = forms(line);
            forms.iter_mut().filter_map(|form| form.jump.as_mut()).for_each(|jump| jump.until = until);
            playing_order(&forms).unwrap().told.join("; ")
        };
        assert_eq!(told("a bC", Until::Unsaid), "");
        assert!(told("a bS", Until::Unsaid).contains("no sign to go back to"));
        assert!(told("a bC @c", Until::Coda).contains("no sign where to leave"));
        assert!(told("a> bC c", Until::Coda).contains("no coda behind it"));
        assert!(told("a bC c", Until::Fine).contains("no Fine on the way"));
        assert!(told("a:| bC", Until::Unsaid).contains("repeats are not played again"));
        assert!(told("|: a 1[b]:| 1[c]", Until::Unsaid).contains("taken for ending 2"));
    }
}
