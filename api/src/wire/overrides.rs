//! What people set by hand, as it is asked and answered.

use super::{amount::instant, findings::override_kind};
use crate::{
    document::{Fault, Reader},
    messages::Sentence,
    service::{
        overrides::{OverrideHeld, text_of, value_of},
        plan::Morning,
    },
};
use domain::{
    id::Code,
    overrides::{Override, OverrideKind, OverrideValue},
    plan::{AskedBy, Batch},
};
use jiff::{civil::Date, tz::TimeZone};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A value that a person sets against the plan.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OverrideBody {
    /// `start-pieces`, `loads`: a whole number; `mixer`: a code; `time`: an RFC 3339 instant;
    /// `under-minimum`: `raise-to-minimum`, `hand-mix` or `drop`; `formula`: `new-version`.
    #[schema(example = "3")]
    pub value: String,
    /// Why, 1 to 200 characters; it stands on every sheet that shows the value.
    #[schema(example = "school trip, asked by phone")]
    pub note: String,
    /// Who sets it, 1 to 200 characters.
    #[schema(example = "Anna")]
    pub who: String,
}

/// A value that a person set against the plan.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct OverrideView {
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// `start-pieces`, `loads`, `mixer`, `time`, `under-minimum` or `formula`.
    #[schema(example = "loads")]
    pub kind: &'static str,
    /// Of which product or formula.
    #[schema(example = "bun")]
    pub code: String,
    /// What was set.
    #[schema(example = "3")]
    pub value: String,
    /// Why.
    #[schema(example = "school trip, asked by phone")]
    pub note: String,
    /// Who set it.
    #[schema(example = "Anna")]
    pub who: String,
    /// When it was written down: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub recorded_at: String,
    /// The plan revision that it made.
    pub plan_revision: i64,
    /// Names its state, for `If-Match`.
    pub etag: String,
}

impl OverrideBody {
    /// The override of a kind, date and code.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(
        &self,
        service_date: Date,
        kind: OverrideKind,
        code: &str,
    ) -> Result<Override, Vec<Fault>> {
        let Self { value, note, who } = self;
        let mut reader = Reader::default();
        let note = reader.words("note", note);
        let who = reader.words("who", who);
        let code = Code::parse(code).ok();
        let found = value_of(kind, value.trim());
        if found.is_none() {
            let detail = format!("`{value}` is no {}: {}", kind.word(), takes(kind));
            reader.fault("value", "malformed", detail);
        }
        let faults = reader.into_faults();
        match (found, code) {
            (Some(value), Some(code)) if faults.is_empty() => {
                Ok(Override { service_date, code, value, note, who })
            }
            (_, None) => Err(vec![Fault {
                pointer: String::new(),
                kind: "malformed",
                detail: "the code in the address is none: lower-case words and hyphens".to_owned(),
            }]),
            _ => Err(faults),
        }
    }
}

/// What a kind takes, in words.
const fn takes(kind: OverrideKind) -> &'static str {
    match kind {
        OverrideKind::StartPieces => "write whole pieces, such as 120",
        OverrideKind::Loads => "write whole loads from 1, released ones included",
        OverrideKind::Mixer => "write the code of a mixer",
        OverrideKind::Time => "write an instant with its offset, such as 2026-06-11T05:30:00+02:00",
        OverrideKind::UnderMinimum => {
            "write raise-to-minimum, hand-mix or drop; for another mixer set `mixer`, for a merge \
             set the start pieces of both dates"
        }
        OverrideKind::Formula => "write new-version when you have seen that the formula changed",
    }
}

impl OverrideView {
    /// An override as it is held.
    #[must_use]
    pub fn new(zone: &TimeZone, held: &OverrideHeld) -> Self {
        let OverrideHeld { set, recorded_at, plan_revision, etag } = held;
        let Override { service_date, code, value, note, who } = set;
        Self {
            service_date: service_date.to_string(),
            kind: value.kind().word(),
            code: code.to_string(),
            value: shown(zone, value),
            note: note.clone(),
            who: who.clone(),
            recorded_at: instant(zone, *recorded_at),
            plan_revision: *plan_revision,
            etag: etag.clone(),
        }
    }
}

/// A value as people write it: instants on the bakery's clock.
fn shown(zone: &TimeZone, value: &OverrideValue) -> String {
    match value {
        OverrideValue::Time(at) => instant(zone, *at),
        other => text_of(other),
    }
}

/// What was set by hand for a batch, and for the pieces that ask for it.
#[must_use]
pub fn of_batch(morning: &Morning, batch: &Batch) -> Vec<Sentence> {
    let Morning { bakery, .. } = morning;
    let mut found = of_code(morning, batch.service_date, &bakery.item(batch.item).code);
    for ask in &batch.asked {
        let AskedBy::Product(product) = ask.by else { continue };
        let product = bakery.product(product);
        let own = of_code(morning, batch.service_date, &product.code);
        let named = |set| Sentence::of("named-of").with("name", &product.name).with("what", set);
        found.extend(own.into_iter().map(named));
    }
    found
}

/// What was set by hand for a product or formula, in words with note and name.
#[must_use]
pub fn of_code(morning: &Morning, date: Date, code: &Code) -> Vec<Sentence> {
    let zone = &morning.bakery.site().time_zone;
    let own = |one: &&Override| one.service_date == date && one.code == *code;
    let set = morning.plan.overrides.iter().filter(own);
    set.map(|one| {
        Sentence::of("override-set")
            .with("kind", override_kind(one.value.kind()))
            .with("value", shown(zone, &one.value))
            .with("who", &one.who)
            .with("note", &one.note)
    })
    .collect()
}
