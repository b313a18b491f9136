//! A long list whose copies share what none of them has changed.
//!
//! Rows stand on pages. A copy points to the same pages, and a change makes anew only the
//! page that it falls on, or changes it where it stands if nobody else has it.

use std::{fmt, ops::Index, slice, sync::Arc};

/// Rows of a page when a list is made; a page is split when it holds twice as many.
const PAGE: usize = 128;

/// A list of rows in pages.
///
/// Invariant: no page is empty, and `starts` holds the position of each page's first row.
#[derive(Clone)]
pub struct Rows<T> {
    pages: Vec<Arc<Vec<T>>>,
    starts: Vec<usize>,
    len: usize,
}

/// The rows of a list in order.
#[derive(Debug, Clone)]
pub struct Iter<'a, T> {
    pages: slice::Iter<'a, Arc<Vec<T>>>,
    page: slice::Iter<'a, T>,
}

impl<T> Default for Rows<T> {
    fn default() -> Self {
        Self { pages: Vec::new(), starts: Vec::new(), len: 0 }
    }
}

impl<T> Rows<T> {
    /// How many rows.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.len
    }

    /// Whether there is none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// All rows in order.
    #[must_use]
    pub fn iter(&self) -> Iter<'_, T> {
        Iter { pages: self.pages.iter(), page: [].iter() }
    }

    /// The rows from a position on; none beyond the end.
    #[must_use]
    pub fn tail(&self, position: usize) -> Iter<'_, T> {
        if position >= self.len {
            return Iter { pages: [].iter(), page: [].iter() };
        }
        let page = self.page_of(position);
        let offset = position - self.starts[page];
        Iter { pages: self.pages[page + 1..].iter(), page: self.pages[page][offset..].iter() }
    }

    /// The first row.
    #[must_use]
    pub fn first(&self) -> Option<&T> {
        self.pages.first()?.first()
    }

    /// The last row.
    #[must_use]
    pub fn last(&self) -> Option<&T> {
        self.pages.last()?.last()
    }

    /// Where a row with a key is, or where it belongs; rows are in order of the key.
    ///
    /// # Errors
    /// The position at which such a row belongs.
    pub fn binary_search_by_key<K: Ord>(
        &self,
        key: &K,
        of: impl Fn(&T) -> K,
    ) -> Result<usize, usize> {
        let at = self.partition_point(|row| of(row) < *key);
        match self.tail(at).next() {
            Some(row) if of(row) == *key => Ok(at),
            _ => Err(at),
        }
    }

    /// The position of the first row that does not come before; those that do stand first.
    pub fn partition_point(&self, before: impl Fn(&T) -> bool) -> usize {
        // No page is empty, so each has a first row.
        let page = self.pages.partition_point(|page| before(&page[0])).saturating_sub(1);
        match self.pages.get(page) {
            Some(rows) => self.starts[page] + rows.partition_point(before),
            None => 0,
        }
    }

    /// The page on which a position is, or the last one.
    fn page_of(&self, position: usize) -> usize {
        // Where it would be if all pages were as they are made; changes move it little.
        let mut page = (position / PAGE).min(self.starts.len().saturating_sub(1));
        while page > 0 && self.starts[page] > position {
            page -= 1;
        }
        while self.starts.get(page + 1).is_some_and(|start| *start <= position) {
            page += 1;
        }
        page
    }
}

impl<T: Clone> Rows<T> {
    /// Adds a row at the end.
    pub fn push(&mut self, row: T) {
        match self.pages.last_mut() {
            Some(page) if page.len() < PAGE => Arc::make_mut(page).push(row),
            _ => {
                let mut page = Vec::with_capacity(PAGE);
                page.push(row);
                self.starts.push(self.len);
                self.pages.push(Arc::new(page));
            }
        }
        self.len += 1;
    }

    /// Puts a row in the place of another.
    ///
    /// # Panics
    /// Beyond the end.
    pub fn set(&mut self, position: usize, row: T) {
        let page = self.page_of(position);
        let offset = position - self.starts[page];
        Arc::make_mut(&mut self.pages[page])[offset] = row;
    }

    /// Changes rows from a position on where they stand, each with its position, until one
    /// says that it is to be left alone.
    pub fn change_while(&mut self, position: usize, mut change: impl FnMut(usize, &mut T) -> bool) {
        let first = self.page_of(position);
        for (page, start) in self.pages.iter_mut().zip(&self.starts).skip(first) {
            let skipped = position.saturating_sub(*start);
            for (at, row) in Arc::make_mut(page).iter_mut().enumerate().skip(skipped) {
                if !change(start + at, row) {
                    return;
                }
            }
        }
    }

    /// Puts a row before the one at a position, or at the end.
    ///
    /// # Panics
    /// Beyond the end.
    pub fn insert(&mut self, position: usize, row: T) {
        if position == self.len {
            return self.push(row);
        }
        let page = self.page_of(position);
        let offset = position - self.starts[page];
        let rows = Arc::make_mut(&mut self.pages[page]);
        rows.insert(offset, row);
        self.len += 1;
        if rows.len() >= 2 * PAGE {
            let rest = rows.split_off(PAGE);
            self.pages.insert(page + 1, Arc::new(rest));
        }
        self.count_from(page);
    }

    /// Takes a row out.
    ///
    /// # Panics
    /// Beyond the end.
    pub fn remove(&mut self, position: usize) -> T {
        let page = self.page_of(position);
        let rows = Arc::make_mut(&mut self.pages[page]);
        let row = rows.remove(position - self.starts[page]);
        if rows.is_empty() {
            self.pages.remove(page);
        }
        self.len -= 1;
        self.count_from(page);
        row
    }

    /// Puts some rows in the place of others that stand together.
    ///
    /// # Panics
    /// Beyond the end.
    pub fn replace(&mut self, from: usize, count: usize, rows: Vec<T>) {
        let both = count.min(rows.len());
        for _ in both..count {
            self.remove(from + both);
        }
        for (position, row) in (from..).zip(rows) {
            if position < from + both {
                self.set(position, row);
            } else {
                self.insert(position, row);
            }
        }
    }

    /// Writes down anew where pages start, from one on.
    fn count_from(&mut self, page: usize) {
        self.starts.truncate(page);
        let mut start =
            page.checked_sub(1).map_or(0, |before| self.starts[before] + self.pages[before].len());
        for page in &self.pages[page..] {
            self.starts.push(start);
            start += page.len();
        }
    }
}

impl<T> From<Vec<T>> for Rows<T> {
    fn from(rows: Vec<T>) -> Self {
        let len = rows.len();
        let mut pages = Vec::with_capacity(len.div_ceil(PAGE));
        let mut rows = rows.into_iter();
        while rows.len() > 0 {
            pages.push(Arc::new(rows.by_ref().take(PAGE).collect::<Vec<T>>()));
        }
        let starts = (0..pages.len()).map(|page| page * PAGE).collect();
        Self { pages, starts, len }
    }
}

impl<T: Clone> Extend<T> for Rows<T> {
    fn extend<I: IntoIterator<Item = T>>(&mut self, rows: I) {
        rows.into_iter().for_each(|row| self.push(row));
    }
}

impl<T: Clone> FromIterator<T> for Rows<T> {
    fn from_iter<I: IntoIterator<Item = T>>(rows: I) -> Self {
        let mut list = Self::default();
        list.extend(rows);
        list
    }
}

impl<T> Index<usize> for Rows<T> {
    type Output = T;

    fn index(&self, position: usize) -> &T {
        let page = self.page_of(position);
        &self.pages[page][position - self.starts[page]]
    }
}

impl<'a, T> IntoIterator for &'a Rows<T> {
    type Item = &'a T;
    type IntoIter = Iter<'a, T>;

    fn into_iter(self) -> Iter<'a, T> {
        self.iter()
    }
}

impl<'a, T> Iterator for Iter<'a, T> {
    type Item = &'a T;

    fn next(&mut self) -> Option<&'a T> {
        loop {
            if let Some(row) = self.page.next() {
                return Some(row);
            }
            self.page = self.pages.next()?.iter();
        }
    }
}

/// As lists, whatever their pages; pages that are shared need no look.
impl<T: PartialEq> PartialEq for Rows<T> {
    fn eq(&self, other: &Self) -> bool {
        let same_page = |(a, b): (&Arc<Vec<T>>, &Arc<Vec<T>>)| Arc::ptr_eq(a, b) || a == b;
        self.len == other.len
            && if self.starts == other.starts {
                self.pages.iter().zip(&other.pages).all(same_page)
            } else {
                self.iter().eq(other)
            }
    }
}

impl<T: Eq> Eq for Rows<T> {}

impl<T: fmt::Debug> fmt::Debug for Rows<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self).finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The same changes to a plain list and to one in pages.
    #[test]
    fn it_is_the_same_list_as_a_plain_one_after_any_changes() {
        for seed in 0_usize..20 {
            let mut plain: Vec<usize> = (0..seed * 67).collect();
            let mut rows = Rows::from(plain.clone());
            let untouched = (plain.clone(), rows.clone());
            for turn in 0..400_usize {
                let place = turn.wrapping_mul(2_654_435_761).wrapping_add(seed * 40_503) >> 3;
                let at = place % (plain.len() + 1);
                match turn % 6 {
                    0 | 1 => {
                        plain.insert(at, turn);
                        rows.insert(at, turn);
                    }
                    2 if at < plain.len() => {
                        assert_eq!(plain.remove(at), rows.remove(at));
                    }
                    3 if at < plain.len() => {
                        plain[at] = turn;
                        rows.set(at, turn);
                    }
                    4 => {
                        let until = at + turn % 200;
                        plain.iter_mut().take(until).skip(at).for_each(|row| *row += 1);
                        rows.change_while(at, |position, row| {
                            assert!(position >= at);
                            *row += usize::from(position < until);
                            position < until
                        });
                    }
                    _ => {
                        let count = (plain.len() - at).min(turn % 300);
                        let put: Vec<usize> = (0..turn % 7 * 50).collect();
                        plain.splice(at..at + count, put.clone());
                        rows.replace(at, count, put);
                    }
                }
                assert_eq!(rows.len(), plain.len());
            }
            assert!(rows.iter().eq(&plain) && rows == plain.iter().copied().collect());
            assert!((0..plain.len()).all(|at| rows[at] == plain[at]));
            assert!((0..=plain.len() + 1).all(|at| rows.tail(at).eq(plain.iter().skip(at))));
            assert_eq!((rows.first(), rows.last()), (plain.first(), plain.last()));
            assert!(untouched.1.iter().eq(&untouched.0), "a copy keeps what it had");
        }
    }

    #[test]
    fn rows_are_found_by_their_key() {
        let rows: Rows<usize> = (0..1_000).map(|at| at * 2).collect();
        assert_eq!(rows.binary_search_by_key(&600, |row| *row), Ok(300));
        assert_eq!(rows.binary_search_by_key(&601, |row| *row), Err(301));
        assert_eq!(rows.binary_search_by_key(&5_000, |row| *row), Err(1_000));
        assert_eq!(Rows::<usize>::default().binary_search_by_key(&1, |row| *row), Err(0));
        assert_eq!(rows.partition_point(|row| *row < 256), 128, "at the edge of a page");
    }
}
