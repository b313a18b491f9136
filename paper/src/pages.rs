//! Strips onto pages.

use crate::{
    layout::{Item, Line, Strip},
    length::{Area, Length},
};

/// A page of paper; places on it count from the left and top of what is printed.
pub struct Page {
    /// Its paper.
    pub area: Area,
    /// Words and drawings on it, and whether they are of a repeated head.
    pub items: Vec<(Item, bool)>,
    /// Lines on it.
    pub lines: Vec<Line>,
    used: Length,
}

impl Page {
    const fn empty(area: Area) -> Self {
        Self { area, items: Vec::new(), lines: Vec::new(), used: 0 }
    }

    fn put(&mut self, mut strip: Strip, again: bool) {
        strip.shift(self.used);
        for item in strip.items {
            match item {
                Item::Line(line) => self.rule(line),
                item => self.items.push((item, again)),
            }
        }
        self.used += strip.height;
    }

    /// A line that goes on where one of the last few ends makes that longer.
    fn rule(&mut self, line: Line) {
        let mut last = self.lines.iter_mut().rev().take(4);
        match last.find(|last| last.goes_on_in(&line)) {
            Some(last) => last.to = line.to,
            None => self.lines.push(line),
        }
    }
}

/// Puts a sheet on pages of its own.
pub fn place(mut strips: Vec<Strip>, area: Area) -> Vec<Page> {
    let mut pages = Vec::new();
    let mut page = Page::empty(area);
    let (mut at, mut ended) = (0, false);
    while at < strips.len() {
        let end = chain(&strips, at, area.inner_height());
        let height: Length = strips[at..end].iter().map(|strip| strip.height).sum();
        if page.used > 0 && (ended || page.used + height > area.inner_height()) {
            pages.push(std::mem::replace(&mut page, Page::empty(area)));
            if let Some(head) = &strips[at].head {
                page.put((**head).clone(), true);
            }
        }
        ended = strips[end - 1].ends_page;
        for strip in &mut strips[at..end] {
            // A gap on top of a page is none.
            if page.used > 0 || !strip.items.is_empty() {
                page.put(std::mem::take(strip), false);
            }
        }
        at = end;
    }
    pages.push(page);
    pages
}

/// Where the strips end that stay with the one at `at`; one alone if they fill more than a page.
fn chain(strips: &[Strip], at: usize, most: Length) -> usize {
    let mut end = at + 1;
    let mut height = strips[at].height;
    // A gap after what stays with the next thing stays with it too.
    let goes_on =
        |end: usize| strips[end - 1].with_next || end - 1 > at && strips[end - 1].items.is_empty();
    while end < strips.len() && goes_on(end) {
        height += strips[end].height;
        if height > most {
            return at + 1;
        }
        end += 1;
    }
    end
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Size;

    #[test]
    fn lines_that_go_on_are_one() {
        let mut page = Page::empty(Size::A4.area(false));
        let line = |from, to, thick| Line { from, to, look: (thick, false) };
        page.rule(line((0, 5), (10, 5), 50));
        page.rule(line((0, 0), (0, 5), 50));
        page.rule(line((10, 5), (30, 5), 50));
        page.rule(line((30, 5), (40, 5), 80));
        page.rule(line((40, 5), (40, 9), 80));
        let ends: Vec<_> = page.lines.iter().map(|line| line.to).collect();
        assert_eq!(ends, [(30, 5), (0, 5), (40, 5), (40, 9)], "another look, another way: another");
    }
}
