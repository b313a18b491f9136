//! The label of a lot or tub.

use super::{
    allergens::AllergensView,
    amount::{instant, span},
    lot::UseUntilView,
};
use crate::{
    messages::{Sentence, Words},
    service::stock::{LotLabel, LotStop},
};
use domain::bakery::Bakery;
use jiff::Timestamp;
use serde::Serialize;
use utoipa::ToSchema;

/// Minutes of a day.
const DAY: i64 = 24 * 60;

/// What stands on the label of a lot.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LotLabelView {
    /// Id of the lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub id: String,
    /// The lot's own name.
    #[schema(example = "260612-1")]
    pub lot: String,
    /// Code of what is in it.
    #[schema(example = "custard")]
    pub item: String,
    /// What people call it.
    #[schema(example = "Custard")]
    pub name: String,
    /// When it was made here; null if it was bought.
    pub made_at: Option<String>,
    /// Local date on which it came.
    #[schema(example = "2026-06-12")]
    pub received: String,
    /// Never used after this local date.
    pub use_by: Option<String>,
    /// At its best until this local date.
    pub best_before: Option<String>,
    /// Until when it may be used by all rules; null if no rule says so.
    pub use_until: Option<UseUntilView>,
    /// When its pack was opened.
    pub opened_at: Option<String>,
    /// How long it is used once opened, in days, hours and minutes; null if nobody said.
    #[schema(value_type = Option<String>, example = "3 days")]
    pub opened_life: Option<Sentence>,
    /// What is in it by formula and record.
    pub allergens: AllergensView,
    /// What a scanner reads from the code: a GS1 Digital Link, or `lot:` and the id.
    #[schema(example = "lot:01975a30-1c00-7000-8000-000000000000")]
    pub code: String,
    /// Why nobody may use it; null if it may be used.
    #[schema(value_type = Option<String>)]
    pub stop: Option<Sentence>,
    /// What else must stand on it.
    pub cautions: Vec<String>,
    /// The messages of the cautions, for sheets in other languages.
    #[serde(skip)]
    pub caution_messages: Vec<&'static str>,
    /// When it was printed: RFC 3339 with the bakery's offset.
    pub made_out_at: String,
}

impl LotLabelView {
    /// A label, printed now; `cautions` are names of messages.
    #[must_use]
    pub fn new(
        bakery: &Bakery,
        label: &LotLabel,
        now: Timestamp,
        cautions: Vec<&'static str>,
    ) -> Self {
        let LotLabel { lot, name, allergens, opened_life_minutes, is_made: _, code, stop } = label;
        let zone = &lot.zone;
        Self {
            id: lot.id.clone(),
            lot: lot.name.clone(),
            item: lot.item.clone(),
            name: name.clone(),
            made_at: lot.made_at.map(|at| instant(zone, at)),
            received: lot.received.to_string(),
            use_by: lot.use_by.map(|date| date.to_string()),
            best_before: lot.best_before.map(|date| date.to_string()),
            use_until: lot.until.map(|end| UseUntilView::new(zone, end)),
            opened_at: lot.opened_at.map(|at| instant(zone, at)),
            opened_life: opened_life_minutes.map(days),
            allergens: AllergensView::new(bakery, allergens),
            code: code.clone(),
            stop: stop.as_ref().map(stopped),
            cautions: cautions.iter().map(|caution| Words::ENGLISH.say(caution)).collect(),
            caution_messages: cautions,
            made_out_at: instant(zone, now),
        }
    }
}

/// A length of time in days, hours and minutes.
fn days(minutes: i64) -> Sentence {
    match (minutes / DAY, minutes % DAY) {
        (0, minutes) => span(minutes).into(),
        (days, 0) => Sentence::of("lot-label-days").with("days", days),
        (days, minutes) => {
            let days = Sentence::of("lot-label-days").with("days", days);
            Sentence::joined(" ", [days, span(minutes).into()])
        }
    }
}

/// Why nobody may use a lot.
fn stopped(stop: &LotStop) -> Sentence {
    match stop {
        LotStop::Held(None) => Sentence::of("lot-label-held"),
        LotStop::Held(Some(why)) => Sentence::of("lot-label-held-because").with("why", why),
        LotStop::Past(end) => Sentence::one_of("lot-label-past-", end.word()),
    }
}
