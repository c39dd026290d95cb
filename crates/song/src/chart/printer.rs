//! Bars printed as a person writes them. What is printed reads as the same bars.

use super::{BarContent, ChartBar, Item, ItemKind};
use std::fmt;

/// A line of bars: `3/4: 1.. 5. | 6`.
pub fn print_line(bars: &[ChartBar]) -> String {
    bars.iter().map(ChartBar::to_string).collect::<Vec<_>>().join(" | ")
}

impl fmt::Display for ChartBar {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(meter) = self.meter {
            write!(f, "{}: ", meter.value)?;
        }
        match &self.content {
            BarContent::Repeat => f.write_str("%"),
            BarContent::Items(items) => {
                f.write_str(&items.iter().map(Item::to_string).collect::<Vec<_>>().join(" "))
            }
        }
    }
}

impl fmt::Display for Item {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.kind.fmt(f)?;
        f.write_str(&".".repeat(self.dots.into()))
    }
}

impl fmt::Display for ItemKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ItemKind::Tie => f.write_str("~"),
            ItemKind::Rest => f.write_str("N"),
            ItemKind::Chord { symbol, push, diamond, .. } => {
                let push = if *push { "^" } else { "" };
                let (open, close) = if *diamond { ("<", ">") } else { ("", "") };
                write!(f, "{open}{push}{symbol}{close}")
            }
        }
    }
}
