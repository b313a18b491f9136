//! Made lots with their age, as they are answered.

use super::{
    amount::{QuantityView, instant},
    lot_lever::{lot_levers, said},
    named,
    printed::{self, PrintedView},
};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    plan::{
        AskedBy,
        made_stock::{MadeLotRow, MadeState},
    },
    quantity::Unit,
};
use serde::Serialize;
use utoipa::ToSchema;

/// One made lot in the house: how old it is, and what becomes of it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MadeLotView {
    /// The name on the tub.
    #[schema(example = "CD-0610")]
    pub lot: String,
    /// The formula that made it.
    #[schema(example = "country")]
    pub formula: String,
    /// What people call it.
    #[schema(example = "Country dough")]
    pub name: String,
    /// What there is of it.
    pub amount: QuantityView,
    /// The same as it stands on paper.
    pub printed: PrintedView,
    /// Where it lies.
    #[schema(value_type = Option<String>, example = "chiller")]
    pub place: Option<Sentence>,
    /// When it was mixed or built; null if nobody wrote it down.
    #[schema(example = "2026-06-10T11:00:00+02:00")]
    pub made_at: Option<String>,
    /// From when it may be used.
    pub ready_from: Option<String>,
    /// From when it is at its best, if the formula says so.
    pub best_from: Option<String>,
    /// Its last instant of use; null if nothing bounds it or nobody knows.
    pub last: Option<String>,
    /// The instant at which it is judged: of its use, or now.
    pub at: String,
    /// Whole minutes from its making to that instant.
    pub age_minutes: Option<i64>,
    /// `ready`, `not ready`, `STOP`, `on hold`, or `unknown` if nobody wrote when it was made;
    /// `seed only` or `old dough only` if it is too old for anything else and is drawn for that.
    #[schema(example = "ready")]
    pub state: &'static str,
    /// What batches take of it before new is made.
    pub used: QuantityView,
    /// What that spares after the losses of taking it; batches of what is made by the batch.
    pub credit: QuantityView,
    /// For whom.
    pub used_for: Vec<MadeLotUseView>,
    /// What it goes into as the seed of its kind or as old dough.
    pub goes_into: Vec<MadeLotUseView>,
    /// What can be done if it is not used as it was meant, in words, with what it costs.
    #[schema(value_type = Vec<String>)]
    pub levers: Vec<Sentence>,
}

/// For whom a made lot is used.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MadeLotUseView {
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Who takes it: products, or formulas.
    #[schema(value_type = Vec<String>)]
    pub by: Vec<Sentence>,
}

/// A word for a state, the same in every answer.
pub(super) const fn word(state: MadeState) -> &'static str {
    match state {
        MadeState::NotReady => "not ready",
        MadeState::Ready => "ready",
        MadeState::Stop => "STOP",
        MadeState::Hold => "on hold",
        MadeState::Unknown => "unknown",
    }
}

impl MadeLotView {
    /// A row of made stock.
    #[must_use]
    pub fn new(morning: &Morning, row: &MadeLotRow) -> Self {
        let Morning { bakery, book, .. } = morning;
        let zone = &bakery.site().time_zone;
        let MadeLotRow {
            lot,
            item,
            at,
            window,
            best,
            state,
            used_ug,
            credit,
            used_for,
            goes_into,
            levers,
        } = row;
        let lot = &book.lots[*lot as usize];
        let made = bakery.item(*item);
        let at_zone = |at| instant(zone, at);
        let age = lot.made_at.map(|made_at| (at.as_second() - made_at.as_second()).div_euclid(60));
        Self {
            lot: lot.name.clone(),
            formula: made.code.to_string(),
            name: made.name.clone(),
            amount: QuantityView::whole(lot.balance_micro, made.base_unit),
            printed: printed::amount(lot.balance_micro, made.base_unit),
            place: lot.place.as_ref().map(|place| named::place(bakery, place.as_str())),
            made_at: lot.made_at.map(at_zone),
            ready_from: window.map(|window| at_zone(window.ready)),
            best_from: best.map(at_zone),
            last: window.and_then(|window| window.last).map(at_zone),
            at: at_zone(*at),
            age_minutes: age,
            state: match (*state, goes_into.first()) {
                (MadeState::Stop, Some(&(_, into))) if into == *item => "seed only",
                (MadeState::Stop, Some(_)) => "old dough only",
                (state, _) => word(state),
            },
            used: QuantityView::whole(*used_ug, Unit::Gram),
            credit: QuantityView::mass(*credit),
            used_for: used_for.iter().map(|&(date, item)| users(morning, date, item)).collect(),
            goes_into: goes_into
                .iter()
                .map(|&(date, item)| MadeLotUseView {
                    service_date: date.to_string(),
                    by: vec![named::item(bakery, item)],
                })
                .collect(),
            levers: lot_levers(morning, lot, levers).iter().map(said).collect(),
        }
    }
}

/// Who asks for the batch that takes a lot.
fn users(morning: &Morning, date: jiff::civil::Date, item: u32) -> MadeLotUseView {
    let Morning { bakery, plan, .. } = morning;
    let asked = plan.batch(date, item).into_iter().flat_map(|batch| &batch.asked);
    let by = asked.map(|ask| match ask.by {
        AskedBy::Product(product) => named::product(bakery, product),
        AskedBy::Formula(item) => named::item(bakery, item),
    });
    MadeLotUseView { service_date: date.to_string(), by: by.collect() }
}
