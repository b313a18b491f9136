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
            match self.node(*one).tag.as_str() {
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
        widths
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
