//! Sheets that were drawn from a plan, kept with it and gone with it.

use std::{
    collections::BTreeMap,
    sync::{Mutex, PoisonError},
};

/// Sheets that are kept of one plan: a few days of a few sheets in each format.
const SHEETS_MAX: usize = 24;

/// Sheets by their names.
#[derive(Debug, Default)]
pub(super) struct Drawn(Mutex<BTreeMap<String, Vec<u8>>>);

impl Drawn {
    /// A sheet as it was drawn before, or anew; two who ask at once may both draw it.
    pub(super) fn find_or<E>(
        &self,
        name: &str,
        draw: impl FnOnce() -> Result<(Vec<u8>, bool), E>,
    ) -> Result<Vec<u8>, E> {
        let Self(place) = self;
        let held = || place.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(found) = held().get(name) {
            return Ok(found.clone());
        }
        let (sheet, keep) = draw()?;
        let mut kept = held();
        if keep && kept.len() < SHEETS_MAX {
            kept.insert(name.to_owned(), sheet.clone());
        }
        Ok(sheet)
    }
}
