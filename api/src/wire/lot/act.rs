//! What a person says who changes the state of a lot.

use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::stock::{Accept, Act, Opening, Return, Thaw},
};
use serde::Deserialize;
use utoipa::ToSchema;

/// Why a lot is held or released.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VerdictBody {
    /// In a few words, 1 to 200 characters; kept in the ledger.
    #[schema(example = "seal broken")]
    pub reason: String,
    /// Who decided.
    #[schema(example = "Imre")]
    pub who: Option<String>,
}

impl VerdictBody {
    /// Who decided, and why.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Act, Vec<Fault>> {
        let Self { reason, who } = self;
        let mut reader = Reader::default();
        let act = Act {
            who: reader.words_option("who", who.as_deref()),
            at: None,
            reason: Some(reader.words("reason", reason)),
        };
        reader.done(act)
    }
}

/// Who did something to a lot, when and why.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ActBody {
    /// Who did it.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// When; now if absent, and never in the future.
    #[schema(example = "2026-06-10T05:00:00+02:00")]
    pub at: Option<String>,
    /// Why.
    #[schema(example = json!(null))]
    pub reason: Option<String>,
}

impl ActBody {
    /// Who did it, when and why.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Act, Vec<Fault>> {
        let mut reader = Reader::default();
        let act = self.act(&mut reader);
        reader.done(act)
    }

    fn act(&self, reader: &mut Reader) -> Act {
        let Self { who, at, reason } = self;
        Act {
            who: reader.words_option("who", who.as_deref()),
            at: reader.instant_option("at", at.as_deref()),
            reason: reader.words_option("reason", reason.as_deref()),
        }
    }
}

/// A pack of a lot is opened.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OpenBody {
    /// Who opened it.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// When; now if absent, and never in the future.
    #[schema(example = "2026-06-10T05:00:00+02:00")]
    pub at: Option<String>,
    /// Why.
    #[schema(example = json!(null))]
    pub reason: Option<String>,
    /// What the pack holds, by estimate; the whole lot is opened if absent.
    pub quantity: Option<QuantityBody>,
    /// Where the open pack stands from then on; where it lay if absent.
    #[schema(example = "weigh-room")]
    pub place: Option<String>,
}

impl OpenBody {
    /// The opening.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Opening, Vec<Fault>> {
        let Self { who, at, reason, quantity, place } = self.clone();
        let mut reader = Reader::default();
        let opening = Opening {
            act: ActBody { who, at, reason }.act(&mut reader),
            quantity: reader.quantity_option("quantity", quantity.as_ref()),
            place: reader.code_option("place", place.as_deref()),
        };
        reader.done(opening)
    }
}

/// A named person's decision to use a lot past its best-before date.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AcceptBody {
    /// Who decided; a name is asked for, because it is their word.
    #[schema(example = "Imre")]
    pub who: String,
    /// Last local date of use.
    #[schema(example = "2026-06-20")]
    pub until: String,
    /// On what grounds.
    #[schema(example = "dry, no smell, sample baked well")]
    pub reason: String,
}

impl AcceptBody {
    /// The decision.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Accept, Vec<Fault>> {
        let Self { who, until, reason } = self;
        let mut reader = Reader::default();
        let accept = Accept {
            who: reader.words("who", who),
            until: reader.date("until", until),
            reason: reader.words("reason", reason),
        };
        reader.done(accept)
    }
}

/// A lot comes out of the freezer.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ThawBody {
    /// Who took it out.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// When; now if absent, and never in the future.
    #[schema(example = "2026-06-10T05:00:00+02:00")]
    pub at: Option<String>,
    /// Why.
    #[schema(example = json!(null))]
    pub reason: Option<String>,
    /// How long it keeps from then on, an ISO 8601 duration; the item's `thawed_life` if absent.
    #[schema(example = "P1D")]
    pub life: Option<String>,
}

impl ThawBody {
    /// The thaw.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Thaw, Vec<Fault>> {
        let Self { who, at, reason, life } = self.clone();
        let mut reader = Reader::default();
        let act = ActBody { who, at, reason }.act(&mut reader);
        let life_minutes = reader.minutes_option("life", life.as_deref());
        reader.done(Thaw { act, life_minutes })
    }
}

/// Some of a lot goes back to its supplier.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReturnBody {
    /// Who sent it back.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// When; now if absent, and never in the future.
    #[schema(example = json!(null))]
    pub at: Option<String>,
    /// Why.
    #[schema(example = "bags torn")]
    pub reason: String,
    /// How much; all of it if absent.
    pub quantity: Option<QuantityBody>,
    /// The credit note or other document behind it.
    #[schema(example = "credit note 1042")]
    pub document: Option<String>,
}

impl ReturnBody {
    /// The return.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Return, Vec<Fault>> {
        let Self { who, at, reason, quantity, document } = self.clone();
        let mut reader = Reader::default();
        let back = Return {
            act: ActBody { who, at, reason: Some(reason) }.act(&mut reader),
            quantity: reader.quantity_option("quantity", quantity.as_ref()),
            document: reader.words_option("document", document.as_deref()),
        };
        reader.done(back)
    }
}
