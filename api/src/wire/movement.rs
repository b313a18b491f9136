//! Ledger entries as they are answered.

use super::amount::{QuantityView, instant};
use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::ledger::{Correction, MovementHeld},
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// One entry of the stock ledger; a balance is the sum of its entries.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MovementView {
    /// UUID of version 7.
    #[schema(example = "01975a30-1c00-7000-8000-000000000001")]
    pub id: String,
    /// Id of the lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub lot: String,
    /// What happened: `receive`, `move`, `weigh`, `make`, `use`, `count`, `waste`, `freeze`,
    /// `thaw`, `return`, `send`, `correct`; or `hold`, `release`, `open`, `accept`, `empty`,
    /// which move nothing.
    #[schema(example = "receive")]
    pub kind: String,
    /// What it adds to the lot; negative if it takes away.
    pub amount: QuantityView,
    /// When it happened.
    #[schema(example = "2026-06-05T00:00:00+02:00")]
    pub happened_at: String,
    /// When it was written down.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub recorded_at: String,
    /// Why, if somebody said so.
    #[schema(example = json!(null))]
    pub reason: Option<String>,
    /// Who did it, if somebody said so.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// The document behind it: a delivery note, `move:…`, `waste:…`, `order:…`.
    #[schema(example = json!(null))]
    pub document: Option<String>,
    /// Id of the load that it was for.
    #[schema(example = json!(null))]
    pub load: Option<String>,
    /// Where it happened, if a place was ever said.
    #[schema(example = "chiller")]
    pub place: Option<String>,
    /// Id of the entry that it takes back.
    #[schema(example = json!(null))]
    pub reverses: Option<String>,
    /// Its number in the ledger, from 1 without gaps.
    #[schema(example = 17)]
    pub sequence: i64,
    /// SHA-256 of this entry and the hash before it, in hexadecimal.
    #[schema(example = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08")]
    pub hash: String,
}

impl MovementView {
    /// An entry of the ledger.
    #[must_use]
    pub fn new(movement: &MovementHeld) -> Self {
        let MovementHeld {
            id,
            lot,
            kind,
            amount_micro,
            unit,
            happened_at,
            recorded_at,
            reason,
            who,
            document,
            load,
            place,
            reverses,
            sequence,
            hash,
            zone,
        } = movement;
        Self {
            id: id.clone(),
            lot: lot.clone(),
            kind: kind.clone(),
            amount: QuantityView::whole(*amount_micro, *unit),
            happened_at: instant(zone, *happened_at),
            recorded_at: instant(zone, *recorded_at),
            reason: reason.clone(),
            who: who.clone(),
            document: document.clone(),
            load: load.clone(),
            place: place.clone(),
            reverses: reverses.clone(),
            sequence: *sequence,
            hash: hash.clone(),
        }
    }
}

/// What was wrong with an entry.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CorrectionBody {
    /// Why it is taken back, 1 to 200 characters; kept in the ledger.
    #[schema(example = "typed 52 for 5.2")]
    pub reason: String,
    /// Who takes it back.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// What it should have said, without sign; nothing at all if absent.
    pub instead: Option<QuantityBody>,
}

impl CorrectionBody {
    /// The correction as the ledger takes it.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Correction, Vec<Fault>> {
        let Self { reason, who, instead } = self;
        let mut reader = Reader::default();
        let correction = Correction {
            reason: reader.words("reason", reason),
            who: reader.words_option("who", who.as_deref()),
            instead: reader.quantity_option("instead", instead.as_ref()),
        };
        if correction.instead.is_some_and(|instead| instead.micro() <= 0) {
            let detail = "leave instead out if nothing at all happened";
            reader.fault("instead/amount", "out-of-range", detail);
        }
        reader.done(correction)
    }
}

/// The entries that a correction wrote.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CorrectionView {
    /// First what takes entries back, then what they should have said.
    pub movements: Vec<MovementView>,
}
