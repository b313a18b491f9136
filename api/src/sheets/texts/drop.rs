//! Phrases of the drop sheet.

use crate::messages::Words;

/// Which stop of a run.
#[must_use]
pub fn stop(words: Words, stop: i64) -> String {
    words.tell("drop-sheet-stop", &[("stop", stop.to_string().into())])
}

/// What is packed of what was asked.
#[must_use]
pub fn short(words: Words, pieces: i64, asked: i64) -> String {
    let (pieces, asked) = (pieces.to_string(), asked.to_string());
    words.tell("drop-sheet-short", &[("pieces", pieces.into()), ("asked", asked.into())])
}

/// Pieces in sale units: `4 × 6`; none if they do not divide.
#[must_use]
pub fn packs(pieces: i64, sale_pack: i64) -> Option<String> {
    (sale_pack > 1 && pieces % sale_pack == 0)
        .then(|| format!("{} × {sale_pack}", pieces / sale_pack))
}

/// Allergens that a customer avoids.
#[must_use]
pub fn avoids(words: Words, avoided: &[String]) -> String {
    words.tell("drop-sheet-avoids", &[("allergens", words.allergens(avoided).into())])
}
