//! Help while a row of the chart is typed: mistakes in place with what would be right, and completions.
//!
//! ```
//! use song::typing::{Row, complete, marks};
//! let row = Row { key: "D major".parse().unwrap(), ..Row::default() };
//! let marks = marks("1 | 4maj7 | G", &row);
//! assert_eq!(marks[0].span, (4, 9));
//! assert_eq!(marks[0].instead.as_ref().unwrap().text, "4(maj7)");
//! assert_eq!(marks[1].instead.as_ref().unwrap().text, "4");
//! let choices = complete("1 | 5/", 6, &row);
//! assert_eq!((choices.span, choices.all[0].text.as_str()), ((4, 6), "5/7"));
//! assert_eq!(choices.all[0].says, "A/C#");
//! ```

mod candidates;
mod complete;
mod line;
mod marks;
mod row;
mod signs;

pub use complete::{Choice, Completion, complete};
pub use line::{Heading, Line, begins_row, heading, line};
pub use marks::{Mark, marks};
pub use row::{Row, row_place, row_text};
pub use signs::{Sign, sign, with_dots};
