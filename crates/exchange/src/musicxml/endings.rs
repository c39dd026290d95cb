//! Endings: brackets over measures for certain passes of a repeat (MusicXML 4.0, "ending").

use super::form::Form;
use std::ops::Range;

/// A bracket over measures for certain passes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Ending {
    pub from: usize,
    pub to: usize,
    pub passes: Vec<u32>,
    /// The last pass of all endings that stand side by side with it.
    pub last_pass: u32,
    /// The first pass of them.
    first_pass: u32,
    /// The repeat that they are endings of is played on a way back too.
    pub after_jump: bool,
    /// Those that stand side by side with it, itself among them.
    group: Range<usize>,
}

impl Ending {
    /// Whether it is passed over in a pass that it is not for. In a pass before all that stand beside it it is played: the
    /// first ending has no bracket then.
    pub fn is_passed_over(&self, pass: u32) -> bool {
        pass >= self.first_pass && !self.passes.contains(&pass)
    }
}

/// All endings of a score.
#[derive(Clone, Debug, Default)]
pub(super) struct Endings {
    all: Vec<Ending>,
    /// The ending that each measure lies in.
    of_measure: Vec<Option<usize>>,
    /// What was mended.
    pub told: Vec<String>,
}

impl Endings {
    /// Finds them. One that stops too soon reaches to the repeat sign before the next; one whose number is taken, or
    /// missing, has the next number.
    pub fn of(forms: &[Form]) -> Endings {
        let mut endings = Endings { of_measure: vec![None; forms.len()], ..Endings::default() };
        let starts: Vec<usize> = (0..forms.len()).filter(|at| forms[*at].ending.is_some()).collect();
        let mut group = 0..0;
        let mut last = 0;
        for (index, &from) in starts.iter().enumerate() {
            let to = reach(forms, from, starts.get(index + 1).copied());
            let beside = endings.all.last().is_some_and(|before| before.to + 1 == from);
            if !beside {
                endings.close(group.clone(), forms);
                group = index..index;
                last = 0;
            }
            let passes =
                endings.passes_of(forms[from].ending.as_deref().unwrap_or_default(), group.clone(), last);
            last = passes.iter().copied().max().unwrap_or(1).max(last);
            endings.all.push(Ending {
                from,
                to,
                passes,
                last_pass: 1,
                first_pass: 1,
                after_jump: false,
                group: group.clone(),
            });
            endings.of_measure[from..=to].fill(Some(index));
            group.end = index + 1;
        }
        endings.close(group, forms);
        endings
    }

    /// The ending that a measure lies in.
    pub fn at(&self, measure: usize) -> Option<&Ending> {
        self.all.get((*self.of_measure.get(measure)?)?)
    }

    /// The passes of an ending: those that are written, unless all of them are taken.
    fn passes_of(&mut self, written: &[u32], group: Range<usize>, last: u32) -> Vec<u32> {
        let taken = |pass: &u32| self.all[group.clone()].iter().any(|other| other.passes.contains(pass));
        // A hundred side by side are a page that means nothing by them.
        if !written.is_empty() && (group.len() > 100 || !written.iter().all(taken)) {
            return written.to_vec();
        }
        if let Some(twice) = written.first() {
            self.told.push(format!("a second ending {twice} was taken for ending {}", last + 1));
        }
        vec![last + 1]
    }

    /// All endings of a group are known.
    fn close(&mut self, group: Range<usize>, forms: &[Form]) {
        let own = &mut self.all[group.clone()];
        let last_pass = own.iter().flat_map(|ending| &ending.passes).copied().max().unwrap_or(1);
        let first_pass = own.iter().flat_map(|ending| &ending.passes).copied().min().unwrap_or(1);
        let sends = |ending: &Ending| {
            forms[ending.from..=ending.to].iter().any(|form| form.backward.is_some_and(|r| r.after_jump))
        };
        let after_jump = own.iter().any(sends);
        own.iter_mut().for_each(|ending| {
            (ending.first_pass, ending.last_pass) = (first_pass, last_pass);
            ending.after_jump = after_jump;
            ending.group = group.clone();
        });
    }
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
