//! Columns of text that line up, counted in characters.

/// Rows with their cells padded to the widest of each column, two spaces between, nothing after the last.
pub fn lined_up(rows: &[Vec<String>]) -> Vec<String> {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |column: usize| rows.iter().filter_map(|r| r.get(column)).map(|c| c.chars().count()).max();
    let widths: Vec<usize> = (0..columns).map(|column| width(column).unwrap_or(0)).collect();
    rows.iter().map(|row| line(row, &widths)).collect()
}

fn line(row: &[String], widths: &[usize]) -> String {
    let mut line = String::new();
    for (cell, width) in row.iter().zip(widths) {
        line.push_str(cell);
        line.extend(std::iter::repeat_n(' ', width - cell.chars().count() + 2));
    }
    line.trim_end().to_owned()
}

/// Text broken into lines of at most `width` characters at spaces; a longer word stands alone.
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up_by_characters_not_bytes() {
        let rows = [vec!["F♯".to_owned(), "1".to_owned()], vec!["Bbb".to_owned(), "2".to_owned()]];
        assert_eq!(lined_up(&rows), ["F♯   1", "Bbb  2"]);
    }

    #[test]
    fn text_breaks_at_spaces() {
        assert_eq!(wrapped("the left hand has it", 8), ["the left", "hand has", "it"]);
    }
}
