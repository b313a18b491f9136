//! Who wrote what. A row is written in the transaction of the write that it tells of.

use crate::{
    caller::Caller,
    clock::new_id,
    service::Refusal,
    state::State,
    store::{
        StoreError, Tx,
        audit_entries::{self, AuditRow},
    },
};

/// The name of writes that no request asked for.
const COMMAND_LINE: &str = "command line";

/// Writes down who wrote, and with which status it was answered.
///
/// # Errors
/// [`StoreError`]
pub fn note(tx: &mut Tx, state: &State, status: u16) -> Result<(), StoreError> {
    let now = state.now();
    let row = AuditRow {
        site: state.site.clone(),
        id: new_id(now).to_string(),
        written_at: now.to_string(),
        who: COMMAND_LINE.to_owned(),
        token_id: None,
        method: String::new(),
        path: String::new(),
        status: i32::from(status),
        request_id: String::new(),
    };
    let row = match Caller::current() {
        None => row,
        Some(Caller { who, job: _, token, method, path, request_id }) => {
            let token_id = token.map(|id| id.to_string());
            AuditRow { who, token_id, method, path, request_id, ..row }
        }
    };
    audit_entries::insert(tx, &row)
}

/// Rows before an id, newest first; at most `limit`.
///
/// # Errors
/// [`Refusal::Store`]
pub fn list(state: &State, before: Option<&str>, limit: i64) -> Result<Vec<AuditRow>, Refusal> {
    Ok(state.store.read(|tx| audit_entries::list(tx, &state.site, before, limit))?)
}
