//! Lots and balances as they are answered.

mod act;

pub use act::{AcceptBody, ActBody, OpenBody, ReturnBody, ThawBody, VerdictBody};

use super::amount::{MoneyView, QuantityView, instant};
use crate::service::stock::{LotHeld, Price, StockRow};
use domain::{quantity::Unit, shelf_life::LifeEnd};
use jiff::{Timestamp, tz::TimeZone};
use serde::Serialize;
use utoipa::ToSchema;

/// A lot with what is left of it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LotView {
    /// UUID of version 7.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub id: String,
    /// The name on the pack.
    #[schema(example = "M-0611")]
    pub lot: String,
    /// Code of the item or product.
    #[schema(example = "whole-milk")]
    pub item: String,
    /// What is left by the book; negative if more was used than came.
    pub quantity: QuantityView,
    /// `expected`, `hold`, `released`, `open`, `frozen`, `thawing`, `thawed`, `blocked`,
    /// `recalled`, `returned`, `wasted` or `used-up`.
    #[schema(example = "released")]
    pub state: &'static str,
    /// Which states may follow.
    #[schema(example = json!(["hold", "open", "frozen"]))]
    pub next_states: Vec<&'static str>,
    /// Whether there is less than nothing by the book: count it, it is not counted on.
    #[schema(example = false)]
    pub count_me: bool,
    /// What is left at each place.
    pub places: Vec<PlaceLeftView>,
    /// Until when it may be used by all rules, and which of them says so; null if no rule ends
    /// it. What is frozen has no end until it is thawed.
    pub use_until: Option<UseUntilView>,
    /// Why it is on hold; null if it is not.
    #[schema(example = json!(null))]
    pub hold_reason: Option<String>,
    /// `any`, or `ingredient` for pieces only used in other products.
    #[serde(rename = "use")]
    #[schema(example = "any")]
    pub usage: &'static str,
    /// Local date on which it came.
    #[schema(example = "2026-06-05")]
    pub received: String,
    /// Never used after this local date.
    #[schema(example = "2026-06-11")]
    pub use_by: Option<String>,
    /// At its best until this local date.
    #[schema(example = json!(null))]
    pub best_before: Option<String>,
    /// Last instant of use, where hours count.
    #[schema(example = json!(null))]
    pub usable_until: Option<String>,
    /// Local bake date of finished pieces.
    #[schema(example = json!(null))]
    pub baked: Option<String>,
    /// When it is put away, if it was expected.
    #[schema(example = json!(null))]
    pub arrives: Option<String>,
    /// When it was mixed or built, if it was made here: its age counts from here.
    #[schema(example = json!(null))]
    pub made_at: Option<String>,
    /// When its open pack was opened.
    #[schema(example = json!(null))]
    pub opened_at: Option<String>,
    /// When it was frozen.
    #[schema(example = json!(null))]
    pub frozen_at: Option<String>,
    /// Days of its date that were left when it was frozen.
    #[schema(example = json!(null))]
    pub frozen_days_left: Option<i64>,
    /// When it was taken out of the freezer; it is never frozen again.
    #[schema(example = json!(null))]
    pub thaw_started: Option<String>,
    /// Who accepted it past its best-before date.
    #[schema(example = json!(null))]
    pub accepted_by: Option<String>,
    /// What it cost; null if that is not known.
    pub price: Option<PriceView>,
    /// Where most of it lies.
    #[schema(example = "chiller")]
    pub place: Option<String>,
    /// Who sent it.
    #[schema(example = "dairy")]
    pub supplier: Option<String>,
}

/// What is left of a lot at a place.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PlaceLeftView {
    /// The place; null if nobody said one.
    #[schema(example = "chiller")]
    pub place: Option<String>,
    /// What is left there by the book.
    pub quantity: QuantityView,
}

/// The end of a lot's use.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct UseUntilView {
    /// The last instant of use.
    #[schema(example = "2026-06-11T23:59:59+02:00")]
    pub until: String,
    /// `use-by`, `best-before`, `accepted`, `stated`, `opened`, `thawed` or `age`.
    #[schema(example = "use-by")]
    pub because: &'static str,
}

impl UseUntilView {
    /// An end on the bakery's clock.
    #[must_use]
    pub fn new(zone: &TimeZone, (until, because): (Timestamp, LifeEnd)) -> Self {
        Self { until: instant(zone, until), because: because.word() }
    }
}

/// What a lot cost.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PriceView {
    /// The money.
    pub money: MoneyView,
    /// For how much of it.
    pub per: QuantityView,
}

impl PriceView {
    fn new(price: &Price, unit: Unit) -> Self {
        let Price { money, per_micro } = price;
        let currency = money.currency.to_string();
        Self {
            money: MoneyView { minor_units: money.minor, currency },
            per: QuantityView::whole(*per_micro, unit),
        }
    }
}

impl LotView {
    /// A lot as it is held.
    #[must_use]
    pub fn new(lot: &LotHeld) -> Self {
        let usage = lot.usage_word();
        let LotHeld {
            id,
            name,
            item,
            balance_micro,
            places,
            unit,
            received,
            use_by,
            best_before,
            usable_until,
            until,
            baked,
            arrives,
            made_at,
            opened_at,
            frozen_at,
            frozen_days_left,
            thaw_started,
            accepted_by,
            price,
            place,
            supplier,
            state,
            usage: _,
            hold_reason,
            zone,
        } = lot;
        Self {
            id: id.clone(),
            lot: name.clone(),
            item: item.clone(),
            quantity: QuantityView::whole(*balance_micro, *unit),
            state: state.word(),
            next_states: state.next().iter().map(|next| next.word()).collect(),
            count_me: *balance_micro < 0,
            places: places.iter().map(|(place, micro)| left(place, *micro, *unit)).collect(),
            use_until: until.map(|end| UseUntilView::new(zone, end)),
            hold_reason: hold_reason.clone(),
            usage,
            received: received.to_string(),
            use_by: use_by.map(|date| date.to_string()),
            best_before: best_before.map(|date| date.to_string()),
            usable_until: usable_until.map(|at| instant(zone, at)),
            baked: baked.map(|date| date.to_string()),
            arrives: arrives.map(|at| instant(zone, at)),
            made_at: made_at.map(|at| instant(zone, at)),
            opened_at: opened_at.map(|at| instant(zone, at)),
            frozen_at: frozen_at.map(|at| instant(zone, at)),
            frozen_days_left: *frozen_days_left,
            thaw_started: thaw_started.map(|at| instant(zone, at)),
            accepted_by: accepted_by.clone(),
            price: price.as_ref().map(|price| PriceView::new(price, *unit)),
            place: place.clone(),
            supplier: supplier.clone(),
        }
    }
}

fn left(place: &str, micro: i64, unit: Unit) -> PlaceLeftView {
    let place = Some(place.to_owned()).filter(|place| !place.is_empty());
    PlaceLeftView { place, quantity: QuantityView::whole(micro, unit) }
}

/// The stock of one item or product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StockView {
    /// Code of the item or product.
    #[schema(example = "whole-milk")]
    pub item: String,
    /// In the house and released, by the book; negative if more was used than came.
    pub on_hand: QuantityView,
    /// In the house and held back: never counted as on hand.
    pub on_hold: QuantityView,
    /// On its way: never counted as on hand.
    pub expected: QuantityView,
    /// Lots that are not used up.
    #[schema(example = 2)]
    pub lots: i64,
    /// Whether one of them is below nothing by the book: count it, it is not counted on.
    #[schema(example = false)]
    pub count_me: bool,
}

impl StockView {
    /// A row of the stock list.
    #[must_use]
    pub fn new(row: &StockRow) -> Self {
        let StockRow { item, unit, on_hand_micro, held_micro, expected_micro, lots, count_me } =
            row;
        Self {
            item: item.clone(),
            on_hand: QuantityView::whole(*on_hand_micro, *unit),
            on_hold: QuantityView::whole(*held_micro, *unit),
            expected: QuantityView::whole(*expected_micro, *unit),
            lots: *lots,
            count_me: *count_me,
        }
    }
}
