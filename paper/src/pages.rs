//! Strips onto pages.

use crate::{
    layout::{Item, Strip},
    length::{Area, Length},
};

/// The strips of one sheet.
pub struct Sheet {
    /// Its paper.
    pub area: Area,
    /// Its strips, from the top.
    pub strips: Vec<Strip>,
}

/// A page of paper.
pub struct Page {
    /// Its paper.
    pub area: Area,
    /// What stands on it, and whether it is a repeated head; places count from the left and
    /// top of what is printed.
    pub items: Vec<(Item, bool)>,
    used: Length,
}

impl Page {
    const fn empty(area: Area) -> Self {
        Self { area, items: Vec::new(), used: 0 }
    }

    fn put(&mut self, strip: &Strip, again: bool) {
        let mut strip = strip.clone();
        strip.shift(self.used);
        self.items.extend(strip.items.into_iter().map(|item| (item, again)));
        self.used += strip.height;
    }
}

/// Puts each sheet on pages of its own.
pub fn place(sheets: Vec<Sheet>) -> Vec<Page> {
    let mut pages = Vec::new();
    for Sheet { area, strips } in sheets {
        let mut page = Page::empty(area);
        let (mut at, mut ended) = (0, false);
        while at < strips.len() {
            let end = chain(&strips, at, area.inner_height());
            let height: Length = strips[at..end].iter().map(|strip| strip.height).sum();
            if page.used > 0 && (ended || page.used + height > area.inner_height()) {
                pages.push(std::mem::replace(&mut page, Page::empty(area)));
                if let Some(head) = &strips[at].head {
                    page.put(head, true);
                }
            }
            let is_gap = |strip: &Strip| strip.items.is_empty();
            for strip in &strips[at..end] {
                // A gap on top of a page is none.
                if page.used > 0 || !is_gap(strip) {
                    page.put(strip, false);
                }
            }
            ended = strips[end - 1].ends_page;
            at = end;
        }
        pages.push(page);
    }
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
