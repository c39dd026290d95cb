//! A figure as a grid: beats, each in equal cells with one sign, and what a click does to them.

use song::{Figure, FigureNote, FigurePlace, FigureSign};

/// Into how many cells a beat is divided here; what is typed may have others.
pub const DIVISIONS: [usize; 5] = [1, 2, 3, 4, 6];

/// What a click puts into a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Pen {
    /// The whole shape.
    #[default]
    Strike,
    /// A note counted from the lowest, from 1; others that are there stay.
    Note(u8),
    /// The highest note.
    Top,
    /// What sounds goes on.
    Hold,
    /// Nothing sounds.
    Silent,
    /// The lowest note that is there comes from the scale step below.
    Below,
    /// … or from the step above.
    Above,
}

impl Pen {
    /// All that the grid offers, in its order.
    pub const ALL: [Pen; 10] = [
        Pen::Strike,
        Pen::Note(1),
        Pen::Note(2),
        Pen::Note(3),
        Pen::Note(4),
        Pen::Top,
        Pen::Hold,
        Pen::Silent,
        Pen::Below,
        Pen::Above,
    ];

    /// The sign that stands for it in a figure, and on the computer keyboard.
    pub const fn sign(self) -> &'static str {
        const DIGITS: [&str; 9] = ["1", "2", "3", "4", "5", "6", "7", "8", "9"];
        match self {
            Pen::Strike => "x",
            Pen::Note(n) if n >= 1 && n <= 9 => DIGITS[n as usize - 1],
            Pen::Note(_) => "1",
            Pen::Top => "t",
            Pen::Hold => "-",
            Pen::Silent => ".",
            Pen::Below => "v",
            Pen::Above => "^",
        }
    }

    /// The pen of a sign that was typed.
    pub fn of_sign(sign: char) -> Option<Pen> {
        match sign {
            '1'..='9' => Some(Pen::Note(sign as u8 - b'0')),
            _ => Pen::ALL.into_iter().find(|pen| pen.sign().starts_with(sign)),
        }
    }

    /// In words.
    pub fn name(self) -> String {
        match self {
            Pen::Strike => "strike the whole shape".into(),
            Pen::Note(1) => "strike the lowest note".into(),
            Pen::Note(n) => format!("strike note {n} from the lowest"),
            Pen::Top => "strike the highest note".into(),
            Pen::Hold => "hold".into(),
            Pen::Silent => "silent".into(),
            Pen::Below => "from the step below".into(),
            Pen::Above => "from the step above".into(),
        }
    }

    /// A cell after a click: the sign put in; once more, and it is taken out again, to be held.
    pub fn click(self, sign: &FigureSign) -> FigureSign {
        let toggled = |wanted: FigureSign| if *sign == wanted { FigureSign::Hold } else { wanted };
        match self {
            Pen::Strike => toggled(FigureSign::Strike),
            Pen::Silent => toggled(FigureSign::Silent),
            Pen::Hold => FigureSign::Hold,
            Pen::Note(n) => with_note(sign, FigurePlace::FromLowest(n)),
            Pen::Top => with_note(sign, FigurePlace::Top),
            Pen::Below => with_neighbour(sign, -1),
            Pen::Above => with_neighbour(sign, 1),
        }
    }
}

/// A sign in words: what the cell does.
pub(crate) fn in_words(sign: &FigureSign) -> String {
    let note = |note: &FigureNote| {
        let which = match note.which {
            FigurePlace::FromLowest(n) => format!("note {n}"),
            FigurePlace::Top => "the highest note".into(),
        };
        match note.neighbour {
            0 => which,
            n if n < 0 => format!("the step below {which}"),
            _ => format!("the step above {which}"),
        }
    };
    match sign {
        FigureSign::Strike => "strikes the shape".into(),
        FigureSign::Hold => "holds".into(),
        FigureSign::Silent => "silent".into(),
        FigureSign::Notes(notes) => {
            format!("strikes {}", notes.iter().map(note).collect::<Vec<_>>().join(" and "))
        }
    }
}

/// The figure with another sign in one cell.
pub(crate) fn with_sign(figure: &Figure, beat: usize, cell: usize, sign: FigureSign) -> Figure {
    let mut beats = figure.beats.clone();
    if let Some(place) = beats.get_mut(beat).and_then(|beat| beat.get_mut(cell)) {
        *place = sign;
    }
    named(beats)
}

/// The figure with one beat in another number of cells. Each new cell takes what begins in its time first; what finds no
/// place of its own is left out, what is new holds.
pub(crate) fn divided(figure: &Figure, beat: usize, cells: usize) -> Figure {
    let mut beats = figure.beats.clone();
    if let Some(old) = beats.get_mut(beat).filter(|_| cells > 0) {
        let count = old.len();
        // In parts of the beat that both divide.
        let begins = |cell: usize| (cell * count, (cell + 1) * count);
        let inside = |cell: usize| {
            let (from, to) = begins(cell);
            let here = (0..count).filter(|at| (from..to).contains(&(at * cells)));
            here.map(|at| old[at].clone()).find(|sign| *sign != FigureSign::Hold)
        };
        *old = (0..cells).map(|cell| inside(cell).unwrap_or(FigureSign::Hold)).collect();
    }
    named(beats)
}

/// The figure with all beats like one of them.
pub(crate) fn all_like(figure: &Figure, beat: usize) -> Figure {
    let beats = match figure.beats.get(beat) {
        Some(one) => vec![one.clone(); figure.beats.len()],
        None => figure.beats.clone(),
    };
    named(beats)
}

/// The figure over so many beats: cut, or begun again.
pub(crate) fn over_beats(figure: &Figure, beats: usize) -> Figure {
    named(figure.beats.iter().cycle().take(beats.max(1)).cloned().collect())
}

fn named(beats: Vec<Vec<FigureSign>>) -> Figure {
    let mut figure = Figure { text: String::new(), beats };
    figure.text = figure.to_string();
    figure
}

fn with_note(sign: &FigureSign, which: FigurePlace) -> FigureSign {
    let mut notes = match sign {
        FigureSign::Notes(notes) => notes.clone(),
        _ => Vec::new(),
    };
    match notes.iter().position(|note| note.which == which) {
        Some(at) => drop(notes.remove(at)),
        None => notes.push(FigureNote { which, neighbour: 0 }),
    }
    notes.sort_by_key(|note| order(note.which));
    if notes.is_empty() { FigureSign::Hold } else { FigureSign::Notes(notes) }
}

fn with_neighbour(sign: &FigureSign, neighbour: i8) -> FigureSign {
    let mut notes = match sign {
        FigureSign::Notes(notes) => notes.clone(),
        _ => vec![FigureNote { which: FigurePlace::FromLowest(1), neighbour: 0 }],
    };
    let had = notes.iter().any(|note| note.neighbour == neighbour);
    notes.iter_mut().for_each(|note| note.neighbour = 0);
    if let (false, Some(lowest)) = (had, notes.first_mut()) {
        lowest.neighbour = neighbour;
    }
    FigureSign::Notes(notes)
}

/// From the lowest up.
const fn order(which: FigurePlace) -> u8 {
    match which {
        FigurePlace::FromLowest(n) => n,
        FigurePlace::Top => u8::MAX,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figure(text: &str) -> Figure {
        Figure::parse(text).unwrap()
    }

    fn clicked(text: &str, pens: &[Pen]) -> String {
        let mut sign = figure(text).beats[0][0].clone();
        pens.iter().for_each(|pen| sign = pen.click(&sign));
        sign.to_string()
    }

    #[test]
    fn a_click_puts_in_and_takes_out() {
        use Pen::{Above, Below, Hold, Note, Silent, Strike, Top};
        assert_eq!(clicked("-", &[Strike]), "x");
        assert_eq!(clicked("x", &[Strike]), "-");
        assert_eq!(clicked("x", &[Note(2)]), "2", "a note in place of the shape");
        assert_eq!(clicked("3", &[Note(1)]), "[13]", "from the lowest up");
        assert_eq!(clicked("[13]", &[Note(3), Note(1)]), "-");
        assert_eq!(clicked("2", &[Top]), "[2t]");
        assert_eq!(clicked("2", &[Silent]), ".");
        assert_eq!(clicked("2", &[Hold]), "-");
        assert_eq!(clicked("[12]", &[Below]), "[v12]");
        assert_eq!(clicked("[v12]", &[Above]), "[^12]");
        assert_eq!(clicked("[^12]", &[Above]), "[12]");
        assert_eq!(clicked("x", &[Below]), "v1");
    }

    #[test]
    fn every_sign_is_typed_as_it_is_written() {
        for pen in Pen::ALL {
            assert_eq!(Pen::of_sign(pen.sign().chars().next().unwrap()), Some(pen));
        }
        assert_eq!((Pen::of_sign('7'), Pen::of_sign('y')), (Some(Pen::Note(7)), None));
    }

    /// What begins at a place stays at that place, worked out by hand on the beat's sixths and twelfths.
    #[test]
    fn a_beat_divided_otherwise_keeps_what_begins_in_it() {
        let to = |text: &str, cells| divided(&figure(text), 0, cells).text;
        assert_eq!(to("x", 4), "x---");
        assert_eq!(to("12", 4), "1-2-");
        assert_eq!(to("1-2-", 2), "12");
        assert_eq!(to("12", 3), "12-", "the half lies in the second third");
        assert_eq!(to("1-2", 2), "12", "the last third lies in the second half");
        assert_eq!(to("123", 6), "1-2-3-");
        assert_eq!(to("1234", 2), "13", "two find no place");
        assert_eq!(to("x.", 1), "x");
    }

    #[test]
    fn beats_are_made_alike_and_as_many_as_the_bar_has() {
        assert_eq!(all_like(&figure("x 12 - -"), 1).text, "12 12 12 12");
        assert_eq!(over_beats(&figure("x - 12 -"), 3).text, "x - 12");
        assert_eq!(over_beats(&figure("1 2"), 5).text, "1 2 1 2 1");
        assert_eq!(with_sign(&figure("x 12 -"), 1, 1, FigureSign::Silent).text, "x 1. -");
    }

    #[test]
    fn a_cell_says_what_it_does() {
        let words = |text: &str| in_words(&figure(text).beats[0][0]);
        assert_eq!(words("x"), "strikes the shape");
        assert_eq!(words("[v12t]"), "strikes the step below note 1 and note 2 and the highest note");
        assert_eq!((words("-"), words(".")), ("holds".into(), "silent".into()));
    }
}
