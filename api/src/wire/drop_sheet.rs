//! The drop sheet of a service date: who gets what, van run by van run, last off first.

use super::{
    allergens::AllergensView,
    amount::instant,
    findings::{self, ahead_words},
};
use crate::{
    messages::Sentence,
    service::{
        Refusal,
        drops::CutLine,
        plan::{Morning, refused},
    },
};
use domain::{
    allergens::{Allergens, Swaps, allergens},
    bakery::Bakery,
    calendar,
    customer::Customer,
    decision::Cap,
    id::Code,
    order::Wanted,
};
use jiff::civil::{Date, Time};
use serde::Serialize;
use std::{cmp::Reverse, collections::BTreeMap};
use utoipa::ToSchema;

/// All that leaves the house for one service date.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DropSheetView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The local date on which the goods are sold.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// The bakery's name.
    pub bakery: String,
    /// What a person should know, in words.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Drops and their van runs, by time, then run.
    pub runs: Vec<DropRunView>,
}

/// What leaves at one time in one van, or is fetched.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DropRunView {
    /// When it leaves or is fetched; none if the orders do not say.
    #[schema(example = "2026-06-12T07:00:00+02:00")]
    pub at: Option<String>,
    /// Its van run; none for those who fetch, or of whom nobody said.
    #[schema(example = "north")]
    pub run: Option<String>,
    /// Its stops in the order in which they are loaded: last off first.
    pub stops: Vec<DropStopView>,
}

/// What one customer gets at one drop.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DropStopView {
    /// Its place in the run's order of stops; none if nobody said.
    #[schema(example = 2)]
    pub stop: Option<i64>,
    /// Who gets it.
    #[schema(example = "harbour-cafe")]
    pub customer: String,
    /// What people call it.
    pub name: String,
    /// Allergens that it must not be sent, in the words of the records.
    pub avoids: Vec<String>,
    /// Pieces of all lines.
    pub pieces: i64,
    /// Its lines, as the bakery lists products.
    pub lines: Vec<DropLineView>,
}

/// One product for one customer.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DropLineView {
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// Whole pieces that were asked for.
    #[schema(example = 24)]
    pub asked: i64,
    /// Whole pieces to pack.
    #[schema(example = 24)]
    pub pieces: i64,
    /// Pieces in one sale unit.
    #[schema(example = 6)]
    pub sale_pack: i64,
    /// Why fewer are packed than were asked for; empty if none are.
    #[schema(value_type = Vec<String>)]
    pub reasons: Vec<Sentence>,
    /// What of it the customer must not be sent, and what nobody knows of it; loud.
    #[schema(value_type = Option<String>)]
    pub stop: Option<Sentence>,
    /// What is in it, by the records of the plan revision.
    pub allergens: AllergensView,
}

/// What tells one line of the sheet from another: customer, drop, product.
type Key = (u32, Option<Time>, u32);

/// A stop with its customer, who says where it stands.
type Stop<'a> = (&'a Customer, DropStopView);

/// A line while it is added up.
#[derive(Debug, Default)]
struct Line {
    asked: i64,
    pieces: i64,
    reasons: Vec<Sentence>,
}

/// Projects a book to what leaves the house for a service date.
///
/// `cut` are the lines of that date that were not taken whole.
///
/// # Errors
/// [`Refusal`] beyond all calendars.
pub fn drop_sheet(
    morning: &Morning,
    date: Date,
    cut: &[CutLine],
) -> Result<DropSheetView, Refusal> {
    let bakery = &morning.bakery;
    let lines = lines(morning, date, cut);
    let mut stops: BTreeMap<(u32, Option<Time>), Vec<DropLineView>> = BTreeMap::new();
    let mut known: BTreeMap<u32, Allergens> = BTreeMap::new();
    for ((customer, drop, product), line) in &lines {
        let of = known
            .entry(*product)
            .or_insert_with(|| allergens(bakery, bakery.recipes(date), *product, &Swaps::new()));
        let view = line_view(bakery, (*customer, *product), line, of);
        stops.entry((*customer, *drop)).or_default().push(view);
    }
    let mut runs: BTreeMap<(Option<Time>, Option<&str>), Vec<Stop<'_>>> = BTreeMap::new();
    for ((customer, drop), lines) in stops {
        let customer = &bakery.lists().customers[customer as usize];
        let run = customer.run.as_ref().map(Code::as_str);
        runs.entry((drop, run)).or_default().push((customer, stop_view(customer, lines)));
    }
    let mut views = Vec::new();
    for ((drop, run), mut stops) in runs {
        // What comes off last is loaded first; a stop that nobody numbered stands at the end.
        stops.sort_by_key(|(customer, _)| {
            (customer.stop.is_none(), Reverse(customer.stop), customer.name.clone())
        });
        let zone = &bakery.site().time_zone;
        let at = drop.map(|drop| calendar::instant(zone, date, drop)).transpose();
        let at = at.map_err(refused)?.map(|at| instant(zone, at));
        let stops = stops.into_iter().map(|(_, view)| view).collect();
        views.push(DropRunView { at, run: run.map(str::to_owned), stops });
    }
    Ok(DropSheetView {
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, morning.now),
        service_date: date.to_string(),
        bakery: bakery.site().name.clone(),
        notes: findings::of_service_date(morning, date),
        runs: views,
    })
}

/// Held lines, what decisions took of them, and what was not taken in the first place.
fn lines(morning: &Morning, date: Date, cut: &[CutLine]) -> BTreeMap<Key, Line> {
    let index = morning.bakery.index();
    let mut lines: BTreeMap<Key, Line> = BTreeMap::new();
    let key = |customer: &str, drop, product: &str| -> Option<Key> {
        Some((index.customer(customer)?, drop, index.product(product)?))
    };
    for order in morning.book.orders.iter().filter(|order| order.service_date == date) {
        let Some(key) = key(order.customer.as_str(), order.drop, order.product.as_str()) else {
            continue;
        };
        let line = lines.entry(key).or_default();
        line.asked += order.pieces;
        line.pieces += order.pieces;
        let (par, forecast) = match order.wanted {
            Wanted::Par => (order.pieces, 0),
            Wanted::Forecast => (0, order.pieces),
            Wanted::Ordered | Wanted::OutOfPar => (0, 0),
        };
        // Nobody ordered these: they are loaded all the same, and the sheet says so.
        line.reasons.extend(ahead_words(par, forecast));
    }
    let caps = morning.book.caps.iter().filter(|cap| cap.service_date == date && cap.cuts());
    for Cap { customer, product, drop, pieces, asked, who, note, .. } in caps {
        let Some(key) = key(customer.as_str(), *drop, product.as_str()) else { continue };
        let line = lines.entry(key).or_default();
        line.asked += asked - pieces;
        let decided = Sentence::of("drop-sheet-decided");
        line.reasons.push(decided.with("who", who).with("note", note));
    }
    for CutLine { customer, drop, product, missing, sentence } in cut {
        let Some(key) = key(customer, *drop, product) else { continue };
        let line = lines.entry(key).or_default();
        line.asked += missing;
        line.reasons.extend(sentence.clone());
    }
    lines.retain(|_, line| line.asked > 0 || line.pieces > 0);
    lines
}

fn stop_view(customer: &Customer, lines: Vec<DropLineView>) -> DropStopView {
    DropStopView {
        stop: customer.stop,
        customer: customer.code.to_string(),
        name: customer.name.clone(),
        avoids: customer.avoids.clone(),
        pieces: lines.iter().map(|line| line.pieces).sum(),
        lines,
    }
}

fn line_view(
    bakery: &Bakery,
    (customer, product): (u32, u32),
    line: &Line,
    found: &Allergens,
) -> DropLineView {
    let product = bakery.product(product);
    let customer = &bakery.lists().customers[customer as usize];
    let allergens = AllergensView::new(bakery, found);
    let stop = stop_words(customer, &allergens);
    DropLineView {
        product: product.code.to_string(),
        name: product.name.clone(),
        asked: line.asked,
        pieces: line.pieces,
        sale_pack: product.sale_pack,
        reasons: line.reasons.clone(),
        stop,
        allergens,
    }
}

/// What a customer that avoids something must not be sent; what nobody knows is not "none".
fn stop_words(customer: &Customer, found: &AllergensView) -> Option<Sentence> {
    if customer.avoids.is_empty() {
        return None;
    }
    let avoided = |list: &[String]| -> Vec<String> {
        list.iter().filter(|word| customer.avoids.contains(*word)).cloned().collect()
    };
    let (contains, may) = (avoided(&found.contains), avoided(&found.may_contain));
    let mut words = Vec::new();
    if !contains.is_empty() {
        let allergens = Sentence::allergens(&contains);
        words.push(Sentence::of("drop-sheet-contains").with("allergens", allergens));
    }
    if !may.is_empty() {
        let allergens = Sentence::allergens(&may);
        words.push(Sentence::of("drop-sheet-may-contain").with("allergens", allergens));
    }
    if !found.unknown.is_empty() {
        let items = Sentence::joined(", ", &found.unknown);
        words.push(Sentence::of("drop-sheet-not-known").with("items", items));
    }
    (!words.is_empty()).then(|| {
        Sentence::of("drop-sheet-stop-words")
            .with("what", Sentence::joined("; ", words))
            .with("customer", &customer.name)
    })
}
