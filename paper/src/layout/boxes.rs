//! Boxes beside each other, and in columns.

use super::{Layout, Place, Strip, strip::stack};
use crate::{length::Length, style::Justify, tree::Child};

/// A width beyond every line.
const ENDLESS: Length = 10_000_000;

impl<'a> Layout<'a> {
    /// Children of an element that are boxes.
    pub(super) fn boxes(self, at: usize) -> Vec<usize> {
        let nodes = self.node(at).children.iter().filter_map(|child| match child {
            Child::Node(one) => Some(*one),
            Child::Text(_) => None,
        });
        nodes.collect()
    }

    /// How wide an element would be if nothing were broken.
    pub(super) fn natural(self, at: usize) -> Length {
        let style = &self.node(at).style;
        if let Some(width) = style.width {
            return width;
        }
        let sides: Length =
            [1, 3].iter().map(|side| style.padding[*side] + style.border[*side]).sum();
        // Where lines begin does not matter to how long they are: measured from the left.
        let strips = self.content(at, Place { x: 0, width: ENDLESS });
        let measure = |face, size, text: &str| self.faces.width(face, size, text);
        let (mut widest, mut least) = (0, ENDLESS);
        for strip in &strips {
            widest = widest.max(strip.right(measure));
            least = least.min(strip.items.iter().map(super::strip_left).min().unwrap_or(ENDLESS));
        }
        let least = if least == ENDLESS { 0 } else { least };
        (widest - least + sides + 1).max(style.min_width)
    }

    /// Children beside each other.
    pub(super) fn flex(self, at: usize, place: Place) -> Vec<Strip> {
        let style = &self.node(at).style;
        let boxes = self.boxes(at);
        if boxes.is_empty() {
            return self.flow(at, place);
        }
        let gap = style.gap.1;
        let naturals: Vec<Length> = boxes.iter().map(|one| self.outer(*one)).collect();
        let mut rows: Vec<Vec<usize>> = vec![Vec::new()];
        let mut used = 0;
        for (index, width) in naturals.iter().enumerate() {
            let row = rows.len() - 1;
            if style.wraps && !rows[row].is_empty() && used + gap + width > place.width {
                rows.push(Vec::new());
                used = 0;
            }
            used += if used > 0 { gap + width } else { *width };
            if let Some(row) = rows.last_mut() {
                row.push(index);
            }
        }
        let mut strips = Vec::new();
        for (number, row) in rows.iter().enumerate() {
            if number > 0 {
                strips.push(Strip::blank(style.gap.0));
            }
            let (ones, widths): (Vec<usize>, Vec<Length>) =
                row.iter().map(|index| (boxes[*index], naturals[*index])).unzip();
            strips.push(self.row(&ones, widths, place, (gap, style.justify)));
        }
        strips
    }

    fn outer(self, at: usize) -> Length {
        let margin = self.node(at).style.margin;
        self.natural(at).min(ENDLESS) + margin[1] + margin[3]
    }

    /// One row of boxes.
    fn row(
        self,
        boxes: &[usize],
        mut widths: Vec<Length>,
        place: Place,
        (gap, justify): (Length, Justify),
    ) -> Strip {
        let gaps = gap * Length::try_from(boxes.len().saturating_sub(1)).unwrap_or(0);
        let growing: Vec<usize> =
            (0..boxes.len()).filter(|at| self.node(boxes[*at]).style.grows).collect();
        if !growing.is_empty() {
            // Those that grow begin from nothing and share what the others leave.
            let fixed: Length =
                (0..boxes.len()).filter(|at| !growing.contains(at)).map(|at| widths[at]).sum();
            let count = Length::try_from(growing.len()).unwrap_or(1);
            for at in &growing {
                widths[*at] = ((place.width - gaps - fixed) / count).max(0);
            }
        }
        let over = widths.iter().sum::<Length>() + gaps - place.width;
        if over > 0 {
            // What can be broken gives way; the widest of it first.
            let soft = (0..boxes.len()).filter(|at| !self.node(boxes[*at]).style.nowrap);
            if let Some(widest) = soft.max_by_key(|at| widths[*at]) {
                widths[widest] = (widths[widest] - over).max(place.width / 6);
            }
        }
        let free = (place.width - gaps - widths.iter().sum::<Length>()).max(0);
        let between = Length::try_from(boxes.len().saturating_sub(1)).unwrap_or(0).max(1);
        let (mut x, step) = match justify {
            Justify::Start => (place.x, gap),
            Justify::End => (place.x + free, gap),
            Justify::Between => (place.x, gap + free / between),
        };
        let mut parts = Vec::new();
        for (one, width) in boxes.iter().zip(widths) {
            parts.push(stack(self.block(*one, Place { x, width })));
            x += width + step;
        }
        beside(parts)
    }

    /// Children in columns.
    pub(super) fn grid(self, at: usize, place: Place) -> Vec<Strip> {
        let style = &self.node(at).style;
        let columns = if style.columns.is_empty() { vec![None] } else { style.columns.clone() };
        let (row_gap, gap) = style.gap;
        let count = Length::try_from(columns.len()).unwrap_or(1);
        let fixed: Length = columns.iter().flatten().sum();
        let shares = Length::try_from(columns.iter().filter(|width| width.is_none()).count());
        let share = (place.width - fixed - gap * (count - 1)) / shares.unwrap_or(1).max(1);
        let mut strips = Vec::new();
        for (number, row) in self.boxes(at).chunks(columns.len()).enumerate() {
            if number > 0 && row_gap > 0 {
                strips.push(Strip::blank(row_gap));
            }
            let mut x = place.x;
            let mut parts = Vec::new();
            for (one, width) in row.iter().zip(&columns) {
                let width = width.unwrap_or(share).max(0);
                parts.push(stack(self.block(*one, Place { x, width })));
                x += width + gap;
            }
            strips.push(beside(parts));
        }
        strips
    }
}

/// Strips beside each other: as high as the highest.
fn beside(parts: Vec<Strip>) -> Strip {
    let height = parts.iter().map(|part| part.height).max().unwrap_or(0);
    let items = parts.into_iter().flat_map(|part| part.items).collect();
    Strip { height, items, ..Strip::default() }
}
