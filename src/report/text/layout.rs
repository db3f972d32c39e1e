//! Lines, paragraphs, tables and bars of a text page; knows nothing of what they say.

use comfy_table::{CellAlignment, Row, Table, TableStyle};

/// Characters of a line, at most, where the words allow it.
pub const WIDTH: usize = 100;

/// Characters that a label gets in a table.
const LABEL: usize = 22;

/// Breaks `text` at spaces into lines of at most `width` characters; `indent` goes before the second
/// and later ones. A word longer than the line stands alone.
pub fn wrapped(text: &str, width: usize, indent: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let room = width.saturating_sub(line.chars().count());
        if !line.trim().is_empty() && word.chars().count() + 1 > room {
            lines.push(std::mem::replace(&mut line, indent.to_string()));
        }
        if !line.is_empty() && !line.ends_with(' ') {
            line.push(' ');
        }
        line.push_str(word);
    }
    if !line.trim().is_empty() {
        lines.push(line);
    }
    lines
}

/// `A10 Wall tile`, shortened to fit a table.
pub fn named(id: &str, label: &Option<String>) -> String {
    match label {
        Some(label) => shortened(&format!("{id} {label}"), LABEL),
        None => shortened(id, LABEL),
    }
}

/// Cut to so many characters, which shows.
pub fn shortened(text: &str, most: usize) -> String {
    match text.chars().count() > most {
        true => text.chars().take(most - 1).chain(std::iter::once('…')).collect(),
        false => text.to_string(),
    }
}

/// Rows under headings; the first column leans left, the others right unless told.
pub struct Grid {
    table: Table,
    columns: usize,
    rows: usize,
}

impl Grid {
    pub fn new(headings: &[&str]) -> Grid {
        let mut table = Table::new();
        table.load_style(TableStyle::new());
        table.set_header(Row::from(headings.to_vec()));
        let mut grid = Grid { table, columns: headings.len(), rows: 0 };
        for column in 0..grid.columns {
            grid.align(column, if column == 0 { CellAlignment::Left } else { CellAlignment::Right });
        }
        grid
    }

    fn align(&mut self, column: usize, alignment: CellAlignment) {
        if let Some(column) = self.table.column_mut(column) {
            column.set_padding((0, 2));
            column.set_cell_alignment(alignment);
        }
    }

    /// Leans a column of words to the left.
    pub fn words(mut self, column: usize) -> Grid {
        self.align(column, CellAlignment::Left);
        self
    }

    pub fn row(&mut self, cells: Vec<String>) {
        debug_assert_eq!(cells.len(), self.columns, "a row has a cell for every heading");
        self.table.add_row(Row::from(cells));
        self.rows += 1;
    }

    pub fn is_empty(&self) -> bool {
        self.rows == 0
    }

    /// Lines, indented by two, without spaces at their ends; none without a row.
    pub fn lines(&self) -> Vec<String> {
        if self.rows == 0 {
            return Vec::new();
        }
        self.table.lines().map(|line| format!("  {line}").trim_end().to_string()).collect()
    }
}

const EIGHTHS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];

/// Height of a share of the greatest, as one block; a space for nothing, the lowest block for little.
pub fn block(part: u64, greatest: u64) -> char {
    if part == 0 || greatest == 0 {
        return ' ';
    }
    let eighths = (part as f64 / greatest as f64 * 8.0).ceil() as usize;
    EIGHTHS[eighths.clamp(1, 8) - 1]
}

/// Cells of a bar of `cells` characters for parts of a whole of 1, by largest remainder, so that a
/// full whole fills the bar.
pub fn divided(parts: &[f64], cells: usize) -> Vec<usize> {
    let scaled: Vec<f64> = parts.iter().map(|p| p.max(0.0) * cells as f64).collect();
    let mut whole: Vec<usize> = scaled.iter().map(|s| s.floor() as usize).collect();
    let total = (scaled.iter().sum::<f64>().round() as usize).min(cells);
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by(|a, b| (scaled[*b] - scaled[*b].floor()).total_cmp(&(scaled[*a] - scaled[*a].floor())));
    let mut left = total.saturating_sub(whole.iter().sum());
    for k in order {
        if left > 0 && scaled[k] > 0.0 {
            whole[k] += 1;
            left -= 1;
        }
    }
    whole
}

/// A bar of a load: one character for 5 %, the window's end at 100 % marked, what lies beyond heavier.
pub fn load_bar(load: f64) -> String {
    const CELLS: usize = 20;
    let filled = (load.max(0.0) * CELLS as f64).round() as usize;
    let inside = filled.min(CELLS);
    let beyond = filled.saturating_sub(CELLS).min(10);
    format!("{}{}|{}", "▬".repeat(inside), " ".repeat(CELLS - inside), "█".repeat(beyond))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paragraphs_break_at_spaces_and_keep_their_indent() {
        assert_eq!(wrapped("one two three four", 9, "  "), ["one two", "  three", "  four"]);
        assert_eq!(wrapped("averylongword b", 5, ""), ["averylongword", "b"]);
        assert!(wrapped("", 5, "").is_empty());
    }

    #[test]
    fn a_full_whole_fills_the_bar() {
        assert_eq!(divided(&[0.5, 0.25, 0.25], 20), [10, 5, 5]);
        assert_eq!(divided(&[1.0 / 3.0; 3], 20).iter().sum::<usize>(), 20);
        assert_eq!(divided(&[0.0; 3], 20), [0, 0, 0]);
    }

    #[test]
    fn blocks_show_that_there_is_something_and_loads_that_there_is_too_much() {
        assert_eq!([block(0, 9), block(1, 1000), block(500, 1000), block(9, 9)], [' ', '▁', '▄', '█']);
        assert_eq!(load_bar(0.5), format!("{}{}|", "▬".repeat(10), " ".repeat(10)));
        assert_eq!(load_bar(1.16), format!("{}|███", "▬".repeat(20)));
        assert_eq!(load_bar(99.0).chars().count(), 31, "a bar has an end");
    }
}
