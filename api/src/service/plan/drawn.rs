//! Sheets that were drawn from a plan, kept with it and gone with it.

use crate::pieces::Pieces;
use std::{
    collections::BTreeMap,
    sync::{Mutex, PoisonError},
};

/// Sheets that are kept of one plan: a few days of a few sheets in each format.
const SHEETS_MAX: usize = 24;

/// Sheets by their names.
#[derive(Debug, Default)]
pub(super) struct Drawn(Mutex<BTreeMap<String, Pieces>>);

impl Drawn {
    /// A sheet as it was drawn before.
    pub(super) fn find(&self, name: &str) -> Option<Pieces> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).get(name).cloned()
    }

    /// A sheet as it was drawn before, or anew; two who ask at once may both draw it.
    pub(super) fn find_or<E>(
        &self,
        name: &str,
        draw: impl FnOnce() -> Result<(Pieces, bool), E>,
    ) -> Result<Pieces, E> {
        if let Some(found) = self.find(name) {
            return Ok(found);
        }
        let (sheet, keep) = draw()?;
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if keep && kept.len() < SHEETS_MAX {
            kept.insert(name.to_owned(), sheet.clone());
        }
        Ok(sheet)
    }
}
