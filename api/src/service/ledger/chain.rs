//! The hash chain: one hash from which every entry before it can be proved.

use crate::{
    digest,
    store::{StoreError, Tx, movements as rows, movements::MovementRow},
};

/// Entries read at once.
pub(super) const PAGE: i64 = 10_000;

/// The hash of an entry: SHA-256 over its canonical text and the hash before it.
///
/// The canonical text is JSON without spaces, two arrays in one: site, sequence, id, lot, kind,
/// amount in millionths, when it happened, when it was recorded; and reason, who, document,
/// load, place, what it reverses, hash before it. What is absent is null.
pub(super) fn hash(row: &MovementRow) -> Result<String, StoreError> {
    let MovementRow {
        site,
        id,
        lot,
        kind,
        amount_micro,
        happened_at,
        recorded_at,
        reason,
        who,
        document,
        load,
        place,
        reverses,
        sequence,
        previous_hash,
        hash: _,
    } = row;
    let text = serde_json::to_string(&(
        (site, sequence, id, lot, kind, amount_micro, happened_at, recorded_at),
        (reason, who, document, load, place, reverses, previous_hash),
    ));
    let text = text.map_err(|_| StoreError::Corrupt("movement"))?;
    Ok(digest::whole([text.as_bytes()]))
}

/// What stands before the first link: the entries from before there was a chain.
pub(super) fn genesis(tx: &mut Tx, site: &str) -> Result<String, StoreError> {
    let mut hash_before = digest::whole([b"ledger ".as_slice(), site.as_bytes()]);
    let mut after = String::new();
    loop {
        let page = rows::before_chain(tx, site, &after, PAGE)?;
        let Some(last) = page.last() else { return Ok(hash_before) };
        after.clone_from(&last.id);
        for mut row in page {
            row.previous_hash = hash_before;
            hash_before = hash(&row)?;
        }
    }
}
