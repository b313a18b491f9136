//! Documents loaded from files: the bakery, and what happened. Loading twice changes nothing.

use super::{
    Refusal,
    bakery::{self, Put},
    orders::{self, Asked, Desk, Effect, Judging},
    reference::Precondition,
    stock::{self, Receipt},
    workbook,
};
use crate::{
    document::{BakeryBody, Fault},
    state::State,
    store::{
        StoreError, Tx,
        idempotency::{self as answers, AnswerRow},
    },
    workbook::Grid,
};

/// What became of the records of a file.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Loaded {
    /// Records that were taken.
    pub taken: usize,
    /// Records that were there already.
    pub known: usize,
}

/// A receipt with a name by which it is known again.
#[derive(Debug, Clone)]
pub struct NamedReceipt {
    /// The same for the same receipt of the same file.
    pub name: String,
    /// What came in.
    pub receipt: Receipt,
}

/// Puts a bakery in the place of whatever is held.
///
/// # Errors
/// [`Refusal::Bakery`] with every fault; then nothing was written.
pub fn bakery(state: &State, document: &BakeryBody) -> Result<Put, Refusal> {
    bakery::put(state, document, &over_whatever_is_there(state)?)
}

/// Puts the tables of a workbook, over whatever is there.
///
/// # Errors
/// [`Refusal::Bakery`] with every fault by its cell; then nothing was written.
pub fn workbook(state: &State, sent: &[Grid]) -> Result<Put, Refusal> {
    let (put, _) = workbook::put(state, sent, &over_whatever_is_there(state)?)?;
    Ok(put)
}

fn over_whatever_is_there(state: &State) -> Result<Precondition, Refusal> {
    let held = state.store.read(|tx| bakery::held(tx, &state.site))?;
    Ok(if held.is_some() { Precondition::Any } else { Precondition::None })
}

/// Takes all orders of a file or none; those that are held already are left as they are.
///
/// # Errors
/// The refusal of the first order that cannot be taken, with its place in the file.
pub fn orders(state: &State, asked: &[Asked]) -> Result<Loaded, Refusal> {
    state.write(|tx| {
        let bakery = bakery::load(state, tx)?;
        let mut loaded = Loaded::default();
        let mut desk = Desk::new(bakery, state.now(), Judging::AsRecorded);
        for (at, order) in asked.iter().enumerate() {
            let (_, effect) = orders::take(tx, &state.site, &mut desk, order)
                .map_err(|refusal| placed(&format!("/orders/{at}"), refusal))?;
            match effect {
                Effect::Created | Effect::Changed => loaded.taken += 1,
                Effect::Repeated | Effect::Stale | Effect::Refused => loaded.known += 1,
            }
        }
        Ok(loaded)
    })
}

/// Takes all receipts of a file or none; those that were taken under their name are left out.
///
/// # Errors
/// The refusal of the first receipt that cannot be taken, with its place in the file.
pub fn receipts(state: &State, receipts: &[NamedReceipt]) -> Result<Loaded, Refusal> {
    state.write(|tx| {
        let bakery = bakery::load(state, tx)?;
        let mut loaded = Loaded::default();
        for (at, NamedReceipt { name, receipt }) in receipts.iter().enumerate() {
            if answers::find(tx, &state.site, name)?.is_some() {
                loaded.known += 1;
                continue;
            }
            stock::receive(tx, &state.site, state.now(), &bakery, receipt)
                .map_err(|refusal| placed(&format!("/receipts/{at}"), refusal))?;
            remember(state, tx, name)?;
            loaded.taken += 1;
        }
        Ok(loaded)
    })
}

/// Keeps the name of a receipt beside the keys of requests, which are kept for the same reason.
fn remember(state: &State, tx: &mut Tx, name: &str) -> Result<(), StoreError> {
    let row = AnswerRow {
        site: state.site.clone(),
        idempotency_key: name.to_owned(),
        fingerprint: name.to_owned(),
        status: 201,
        etag: None,
        body: String::new(),
        created_at: state.now().to_string(),
    };
    answers::insert(tx, &row)
}

/// A refusal of one record as one of its file.
fn placed(place: &str, refusal: Refusal) -> Refusal {
    match refusal {
        Refusal::Body(faults) => {
            let inside =
                |fault: Fault| Fault { pointer: format!("{place}{}", fault.pointer), ..fault };
            Refusal::Body(faults.into_iter().map(inside).collect())
        }
        Refusal::Stated { slug, detail } => {
            Refusal::Stated { slug, detail: format!("{place}: {detail}") }
        }
        other => other,
    }
}
