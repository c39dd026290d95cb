//! The order in which measures are played: repeats, endings, and the ways back and to the coda (common practice; the signs
//! are those of MusicXML 4.0, "repeat", "ending", "sound").

use super::measure::{Form, Place};
use crate::ExchangeError;
use song::limits::BARS_PLAYED;

/// A bracket over measures for certain passes.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Ending {
    from: usize,
    to: usize,
    passes: Vec<u32>,
    /// The last pass of all endings that stand side by side with it.
    last_pass: u32,
}

/// The measures in playing order. After a way back repeats are not played again, and the last endings are taken.
pub(crate) fn playing_order(forms: &[Form]) -> Result<Vec<usize>, ExchangeError> {
    let endings = endings(forms);
    let mut player = Player {
        forms,
        endings: &endings,
        starts: vec![Start { at: 0, pass: 1 }],
        after_jump: None,
        order: Vec::new(),
    };
    let mut at = Some(0);
    let mut steps = 0;
    while let Some(measure) = at.filter(|at| *at < forms.len()) {
        steps += 1;
        if player.order.len() as u64 >= BARS_PLAYED || steps > 4 * BARS_PLAYED {
            return Err(ExchangeError::TooLong(BARS_PLAYED as usize));
        }
        at = player.step(measure);
    }
    Ok(player.order)
}

/// Where a repeat begins, and its pass.
#[derive(Clone, Copy, Debug)]
struct Start {
    at: usize,
    pass: u32,
}

struct Player<'a> {
    forms: &'a [Form],
    endings: &'a [Ending],
    /// The innermost last.
    starts: Vec<Start>,
    /// The measure from which it went back.
    after_jump: Option<usize>,
    order: Vec<usize>,
}

impl Player<'_> {
    /// Plays a measure, or passes over it, and says which comes next.
    fn step(&mut self, at: usize) -> Option<usize> {
        let form = &self.forms[at];
        if self.endings.iter().any(|ending| ending.to + 1 == at) && self.ending_at(at).is_none() {
            self.leave_endings(at);
        }
        if form.forward && self.starts.last().is_none_or(|start| start.at != at) {
            self.starts.push(Start { at, pass: 1 });
        }
        if self.leaves_for_coda(at, Place::Start) {
            return self.coda();
        }
        let endings = self.endings;
        let ending = endings.iter().find(|ending| (ending.from..=ending.to).contains(&at));
        let pass = self.starts.last().map_or(1, |start| start.pass);
        let pass = match (ending, self.after_jump) {
            (Some(ending), Some(_)) => ending.last_pass,
            _ => pass,
        };
        if let Some(ending) = ending.filter(|ending| ending.from == at && !ending.passes.contains(&pass)) {
            return Some(ending.to + 1);
        }
        self.order.push(at);
        if form.fine && self.after_jump.is_some() {
            return None;
        }
        if self.leaves_for_coda(at, Place::Later) {
            return self.coda();
        }
        if let Some(times) = form.backward
            && let Some(back) = self.back(at, times, ending)
        {
            return Some(back);
        }
        self.jump(at).or(Some(at + 1))
    }

    /// Back to where the repeat begins, unless it has been played often enough.
    fn back(&mut self, at: usize, times: Option<u32>, ending: Option<&Ending>) -> Option<usize> {
        if self.after_jump.is_some() {
            return None;
        }
        let passes = match ending {
            Some(ending) if ending.passes.contains(&ending.last_pass) && ending.last_pass > 1 => {
                ending.last_pass
            }
            Some(ending) => ending.last_pass.max(2),
            None => times.unwrap_or(2),
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
    fn leave_endings(&mut self, at: usize) {
        let before = self.endings.iter().rev().find(|ending| ending.to < at).map(|ending| ending.from);
        if self.starts.last().is_some_and(|start| before.is_some_and(|from| start.at <= from)) {
            self.close_repeat(at);
        }
    }

    fn ending_at(&self, at: usize) -> Option<&Ending> {
        self.endings.iter().find(|ending| (ending.from..=ending.to).contains(&at))
    }

    fn jump(&mut self, at: usize) -> Option<usize> {
        let jump = self.forms[at].jump.filter(|_| self.after_jump.is_none())?;
        let sign = || (0..=at).rev().find(|measure| self.forms[*measure].segno);
        let to = if jump.to_sign { sign().unwrap_or(0) } else { 0 };
        self.after_jump = Some(at);
        Some(to)
    }

    /// Whether the way to the coda is taken here. The first of two coda signs says where, if no words do.
    fn leaves_for_coda(&self, at: usize, place: Place) -> bool {
        let Some(jumped) = self.after_jump else { return false };
        if at > jumped || self.coda_at(jumped).is_none() {
            return false;
        }
        let said = self.forms.iter().any(|form| form.to_coda.is_some());
        let sign = if said { self.forms[at].to_coda } else { self.forms[at].coda };
        sign == Some(place)
    }

    fn coda_at(&self, jumped: usize) -> Option<usize> {
        (jumped + 1..self.forms.len()).find(|measure| self.forms[*measure].coda.is_some())
    }

    fn coda(&self) -> Option<usize> {
        self.coda_at(self.after_jump?)
    }
}

/// All endings. One that stops too soon reaches to the repeat sign before the next; one whose number is taken, or missing,
/// has the next number.
fn endings(forms: &[Form]) -> Vec<Ending> {
    let starts: Vec<usize> = (0..forms.len()).filter(|at| forms[*at].ending.is_some()).collect();
    let mut endings: Vec<Ending> = Vec::new();
    for (index, &from) in starts.iter().enumerate() {
        let next = starts.get(index + 1).copied();
        let to = reach(forms, from, next);
        let mut passes = forms[from].ending.clone().unwrap_or_default();
        let group: Vec<u32> = beside(&endings, from).flat_map(|ending| ending.passes.clone()).collect();
        if passes.is_empty() || passes.iter().all(|pass| group.contains(pass)) {
            passes = vec![group.iter().max().map_or(1, |last| last + 1)];
        }
        endings.push(Ending { from, to, passes, last_pass: 1 });
    }
    for index in (0..endings.len()).rev() {
        let own = endings[index].passes.iter().copied().max().unwrap_or(1);
        let next = endings.get(index + 1).filter(|next| next.from == endings[index].to + 1);
        endings[index].last_pass = next.map_or(own, |next| next.last_pass).max(own);
    }
    for index in 1..endings.len() {
        if endings[index].from == endings[index - 1].to + 1 {
            endings[index].last_pass = endings[index].last_pass.max(endings[index - 1].last_pass);
        }
    }
    endings
}

/// The endings that stand side by side up to a measure.
fn beside(endings: &[Ending], from: usize) -> impl Iterator<Item = &Ending> {
    let mut before = from;
    endings.iter().rev().take_while(move |ending| {
        let touches = ending.to + 1 == before;
        before = ending.from;
        touches
    })
}

fn reach(forms: &[Form], from: usize, next: Option<usize>) -> usize {
    let end = next.unwrap_or(forms.len());
    let stop = (from..end).find(|at| forms[*at].ending_stops);
    let repeat = (from..end).find(|at| forms[*at].backward.is_some());
    match (stop, repeat) {
        // The sign that sends back is the end of an ending that another follows.
        (_, Some(repeat)) if next == Some(repeat + 1) => repeat,
        (Some(stop), _) => stop,
        (None, Some(repeat)) => repeat,
        (None, None) => from,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::musicxml::measure::Jump;

    /// Measures from a line: `|:` `:|` around them, `1[` an ending, `]` its stop, `$` segno, `@` coda, `F` fine, `C` D.C.,
    /// `S` D.S.
    fn forms(line: &str) -> Vec<Form> {
        line.replace("|: ", "|:")
            .split_whitespace()
            .map(|word| Form {
                forward: word.contains("|:"),
                backward: word.contains(":|").then_some(None),
                ending: word.find('[').map(|at| word[at - 1..at].parse().into_iter().collect()),
                ending_stops: word.contains(']'),
                segno: word.contains('$'),
                coda: word.contains('@').then_some(Place::Start),
                to_coda: None,
                fine: word.contains('F'),
                jump: word.contains(['C', 'S']).then_some(Jump { to_sign: word.contains('S') }),
            })
            .collect()
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
            ("|: a |: b:| c:| d", vec![0, 1, 1, 2, 0, 1, 1, 2, 3]),
            ("|: a 1[b] c:| 2[d]", vec![0, 1, 2, 0, 3]),
            ("|: a 1[b]:| 1[c]", vec![0, 1, 0, 2]),
            ("|: a 1[b]:| c", vec![0, 1, 0, 2]),
            ("|: a b:| c d:|", vec![0, 1, 0, 1, 2, 3, 2, 3]),
            ("|: a 1[b]:| 2[c] d e:|", vec![0, 1, 0, 2, 3, 4, 3, 4]),
        ] {
            assert_eq!(playing_order(&forms(line)).unwrap(), order, "{line}");
        }
    }

    #[test]
    fn ways_back_are_taken_once_and_without_repeats() {
        for (line, order) in [
            ("a bF c dC", vec![0, 1, 2, 3, 0, 1]),
            ("a $b c@ dS @e", vec![0, 1, 2, 3, 1, 4]),
            ("a:| bC", vec![0, 0, 1, 0, 1]),
            ("|: a 1[b]:| 2[cF] dC", vec![0, 1, 0, 2, 3, 0, 2]),
        ] {
            assert_eq!(playing_order(&forms(line)).unwrap(), order, "{line}");
        }
    }
}
