//! Tables: columns, rows that are never cut, heads that stand again on each page.

use super::{Layout, Place, Strip, strip::stack};
use crate::{length::Length, tree::Child};
use std::rc::Rc;

/// A row: its cells, and whether it is one of the head.
struct Row {
    cells: Vec<usize>,
    head: bool,
    /// Stays with the next row: its group stays whole.
    with_next: bool,
}

impl Layout<'_> {
    /// A table.
    pub(super) fn table(self, at: usize, place: Place) -> Vec<Strip> {
        let rows = self.rows(at);
        let widths = self.widths(at, &rows, place.width);
        let head: Vec<Strip> = rows
            .iter()
            .filter(|row| row.head)
            .map(|row| self.table_row(row, &widths, place))
            .collect();
        let head = Rc::new(stack(head));
        let mut strips = Vec::new();
        if head.height > 0 {
            strips.push(Strip { with_next: true, ..(*head).clone() });
        }
        for row in rows.iter().filter(|row| !row.head) {
            let mut strip = self.table_row(row, &widths, place);
            strip.with_next = row.with_next;
            strip.head = (head.height > 0).then(|| Rc::clone(&head));
            strips.push(strip);
        }
        strips
    }

    fn rows(self, table: usize) -> Vec<Row> {
        let mut rows = Vec::new();
        for child in &self.node(table).children {
            let Child::Node(one) = child else { continue };
            match self.node(*one).tag {
                "tr" => rows.push(self.cells(*one, false)),
                "thead" | "tbody" | "tfoot" => self.group(*one, &mut rows),
                _ => {}
            }
        }
        rows
    }

    fn group(self, group: usize, rows: &mut Vec<Row>) {
        let node = self.node(group);
        let first = rows.len();
        for child in &node.children {
            if let Child::Node(row) = child {
                rows.push(self.cells(*row, node.tag == "thead"));
            }
        }
        if node.style.whole {
            let last = rows.len().saturating_sub(1);
            for row in rows.iter_mut().take(last).skip(first) {
                row.with_next = true;
            }
        }
    }

    fn cells(self, row: usize, head: bool) -> Row {
        let cells = self.node(row).children.iter().filter_map(|child| match child {
            Child::Node(cell) => Some(*cell),
            Child::Text(_) => None,
        });
        Row { cells: cells.collect(), head, with_next: false }
    }

    /// Widths of the columns: their own, or a share of what the others leave.
    fn widths(self, table: usize, rows: &[Row], width: Length) -> Vec<Length> {
        let spans = |row: &Row| row.cells.iter().map(|cell| self.node(*cell).span).sum();
        let count: usize = rows.iter().map(spans).max().unwrap_or(0);
        let mut own = self.node(table).columns.clone();
        own.resize(count.max(own.len()), None);
        if own.iter().all(Option::is_none) {
            return self.by_content(rows, own.len(), width);
        }
        let fixed: Length = own.iter().flatten().sum();
        let open = Length::try_from(own.iter().filter(|width| width.is_none()).count());
        let share = (width - fixed) / open.unwrap_or(1).max(1);
        let mut widths: Vec<Length> =
            own.iter().map(|width| width.unwrap_or(share).max(0)).collect();
        let sum: Length = widths.iter().sum();
        if sum > width && sum > 0 {
            for one in &mut widths {
                let scaled = i64::from(*one) * i64::from(width) / i64::from(sum);
                *one = Length::try_from(scaled).unwrap_or(0);
            }
        }
        with_whole_words(widths, &self.longest_words(rows, count))
    }

    /// What each column needs so that no word in it is cut; cells over several columns ask for
    /// nothing.
    fn longest_words(self, rows: &[Row], count: usize) -> Vec<Length> {
        let mut longest = vec![0; count];
        for row in rows {
            let mut column = 0;
            for cell in &row.cells {
                let node = self.node(*cell);
                if node.span == 1 {
                    let sides =
                        [1, 3].map(|side| node.style.border[side] + node.style.padding[side]);
                    let least = self.longest_word(*cell) + sides.iter().sum::<Length>();
                    longest[column] = longest[column].max(least);
                }
                column += node.span;
            }
        }
        longest
    }

    /// Columns without widths share the table by what stands in them.
    fn by_content(self, rows: &[Row], count: usize, width: Length) -> Vec<Length> {
        let mut widest = vec![1; count];
        for row in rows {
            let mut column = 0;
            for cell in &row.cells {
                let span = self.node(*cell).span;
                if span == 1 {
                    let natural = self.natural(*cell).min(width);
                    widest[column] = widest[column].max(natural);
                }
                column += span;
            }
        }
        let sum: i64 = widest.iter().map(|one| i64::from(*one)).sum();
        if sum <= i64::from(width) {
            // What is left goes to the widest.
            let left = width - Length::try_from(sum).unwrap_or(width);
            let most = (0..count).max_by_key(|column| widest[*column]);
            if let Some(column) = most {
                widest[column] += left;
            }
            return widest;
        }
        let scale = |one: &Length| i64::from(*one) * i64::from(width) / sum.max(1);
        widest.iter().map(|one| Length::try_from(scale(one)).unwrap_or(0)).collect()
    }

    fn table_row(self, row: &Row, widths: &[Length], place: Place) -> Strip {
        let mut parts = Vec::new();
        let (mut column, mut x) = (0, place.x);
        for cell in &row.cells {
            let span = self.node(*cell).span;
            let width: Length = widths.iter().skip(column).take(span).sum();
            parts.push((*cell, x, width, self.cell(*cell, Place { x, width })));
            column += span;
            x += width;
        }
        let height = parts.iter().map(|(.., part)| part.height).max().unwrap_or(0);
        let mut strip = Strip::blank(height);
        for (cell, x, width, mut part) in parts {
            let style = &self.node(cell).style;
            if style.bottom {
                part.shift(height - part.height);
            }
            strip.items.append(&mut part.items);
            strip.lines_around((x, 0, width, height), style.border, style.dotted);
        }
        strip
    }

    fn cell(self, cell: usize, place: Place) -> Strip {
        let style = &self.node(cell).style;
        let side = |index: usize| style.border[index] + style.padding[index];
        let width = (place.width - side(1) - side(3)).max(0);
        let mut strip = stack(self.content(cell, Place { x: place.x + side(3), width }));
        strip.shift(side(0));
        strip.height += side(0) + side(2);
        strip
    }
}

/// Columns in which no word is cut, if the table has room for that: those that are too narrow
/// take what they lack from what the others have to spare, each its part.
fn with_whole_words(widths: Vec<Length>, longest: &[Length]) -> Vec<Length> {
    let pairs = || widths.iter().zip(longest);
    let lack: i64 = pairs().map(|(width, least)| i64::from((least - width).max(0))).sum();
    let spare: i64 = pairs().map(|(width, least)| i64::from((width - least).max(0))).sum();
    if lack == 0 || spare < lack {
        return widths;
    }
    let settled = |(width, least): (&Length, &Length)| {
        let given = i64::from((width - least).max(0)) * lack / spare;
        (*width).max(*least) - Length::try_from(given).unwrap_or(0)
    };
    let mut settled: Vec<Length> = pairs().map(settled).collect();
    // What was cut down in dividing comes off the widest.
    let over = settled.iter().sum::<Length>() - widths.iter().sum::<Length>();
    if let Some(widest) = settled.iter_mut().max() {
        *widest -= over;
    }
    settled
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_that_would_cut_a_word_takes_from_those_with_room() {
        assert_eq!(with_whole_words(vec![10, 50, 40], &[20, 30, 40]), [20, 40, 40]);
        assert_eq!(with_whole_words(vec![10, 50, 43], &[13, 10, 10]), [13, 48, 42]);
        // Without room nothing moves, and with nothing to mend neither.
        assert_eq!(with_whole_words(vec![10, 20], &[15, 18]), [10, 20]);
        assert_eq!(with_whole_words(vec![10, 20], &[10, 20]), [10, 20]);
    }
}
