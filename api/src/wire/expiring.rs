//! What goes out of date before the plan uses it, as it is answered.

use super::{
    amount::{MoneyView, QuantityView, instant},
    cost::at_least,
    named,
};
use crate::{
    messages::Sentence,
    service::expiring::{Expired, ExpiringLot},
};
use domain::bakery::Bakery;
use jiff::Timestamp;
use serde::Serialize;
use utoipa::ToSchema;

/// What goes out of date before the plan uses it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ExpiringView {
    /// What the bakery is called.
    #[schema(example = "Alder Yard")]
    pub bakery: String,
    /// Counts every change of what the plan is made from.
    #[schema(example = 42)]
    pub plan_revision: i64,
    /// When it was made.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// Last local date that is looked at.
    #[schema(example = "2026-06-24")]
    pub until: String,
    /// Lots by their end.
    pub rows: Vec<ExpiringRowView>,
    /// What all of it had cost.
    pub total: ExpiringTotalView,
    /// What a person should know.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
}

/// Some of a lot that nobody will have used by its end.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ExpiringRowView {
    /// Id of the lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub id: String,
    /// The name on the pack.
    #[schema(example = "M-0611")]
    pub lot: String,
    /// Code of the item or product.
    #[schema(value_type = String, example = "whole-milk")]
    pub item: Sentence,
    /// Where it lies; null if nobody said.
    #[schema(value_type = Option<String>, example = "chiller")]
    pub place: Option<Sentence>,
    /// The word of its state.
    #[schema(example = "released")]
    pub state: &'static str,
    /// Its last instant of use.
    #[schema(example = "2026-06-11T23:59:59+02:00")]
    pub last: String,
    /// Whether that is past.
    #[schema(example = false)]
    pub past: bool,
    /// How much is left by then.
    pub left_over: QuantityView,
    /// How much the plan takes of the lot before.
    pub planned: QuantityView,
    /// What that had cost at the price of its receipt; null if that is not known.
    pub money: Option<MoneyView>,
    /// Codes of formulas that take it.
    #[schema(value_type = Vec<String>, example = json!(["bun", "custard"]))]
    pub formulas: Vec<Sentence>,
    /// Codes of products that take it straight.
    #[schema(value_type = Vec<String>, example = json!([]))]
    pub products: Vec<Sentence>,
}

/// What all of it had cost.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ExpiringTotalView {
    /// The money that is known: the sum of the rows.
    pub money: MoneyView,
    /// Rows of which nobody knows what they had cost.
    #[schema(example = 1)]
    pub unpriced: usize,
    /// The same in words.
    #[schema(example = "at least 4.10 EUR, 1 price missing")]
    #[schema(value_type = String)]
    pub statement: Sentence,
}

impl ExpiringView {
    /// What goes out of date.
    #[must_use]
    pub fn new(bakery: &Bakery, expired: &Expired, now: Timestamp) -> Self {
        let Expired { plan_revision, until, lots } = expired;
        let site = bakery.site();
        let made = |codes: &[String]| codes.iter().map(|code| named::made(bakery, code)).collect();
        let row = |one: &ExpiringLot| {
            let ExpiringLot { lot, place, at, micro, planned_micro, minor, formulas, products } =
                one;
            ExpiringRowView {
                id: lot.id.clone(),
                lot: lot.name.clone(),
                item: named::made(bakery, &lot.item),
                place: place.as_deref().map(|place| named::place(bakery, place)),
                state: lot.state.word(),
                last: instant(&site.time_zone, *at),
                past: *at < now,
                left_over: QuantityView::whole(*micro, lot.unit),
                planned: QuantityView::whole(*planned_micro, lot.unit),
                money: minor.map(|minor_units| money(bakery, minor_units)),
                formulas: made(formulas),
                products: made(products),
            }
        };
        let mut notes = Vec::new();
        if lots.iter().any(|one| one.lot.state.is_kept_back()) {
            notes.push(Sentence::of("expiring-kept-back"));
        }
        Self {
            bakery: site.name.clone(),
            plan_revision: *plan_revision,
            made_at: instant(&site.time_zone, now),
            until: until.to_string(),
            rows: lots.iter().map(row).collect(),
            total: total(bakery, lots),
            notes,
        }
    }
}

fn money(bakery: &Bakery, minor_units: i64) -> MoneyView {
    MoneyView::new(minor_units, bakery.site().currency)
}

fn total(bakery: &Bakery, lots: &[ExpiringLot]) -> ExpiringTotalView {
    let unpriced = lots.iter().filter(|one| one.minor.is_none()).count();
    let known = lots.iter().filter_map(|one| one.minor).fold(0_i64, i64::saturating_add);
    let money = money(bakery, known);
    let statement = match unpriced {
        missing if missing > 0 && missing == lots.len() => Sentence::of("cost-price-not-known"),
        missing => at_least(Sentence::amount(money.said()), missing),
    };
    ExpiringTotalView { money, unpriced, statement }
}
