//! What moved of costs since a date, and why.

use super::{
    amount::instant,
    cost::{at_least, missing},
    csv,
};
use crate::{
    messages::Sentence,
    service::{Refusal, cost_changes::CostChanges, plan::refused},
};
use domain::{
    figure::{Figure, written},
    money::share_out,
    plan::cost::{Cause, CostChange},
};
use serde::Serialize;
use utoipa::ToSchema;

/// What moved between two service dates, product by product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CostChangesView {
    /// What people call the bakery.
    pub bakery: String,
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    pub made_at: String,
    /// Always `standard`: formula and price on exact masses, on both dates.
    #[schema(example = "standard")]
    pub kind: &'static str,
    /// The first service date.
    #[schema(example = "2026-06-12")]
    pub from: String,
    /// The second.
    #[schema(example = "2026-06-13")]
    pub to: String,
    /// Three letters of ISO 4217.
    #[schema(example = "EUR")]
    pub currency: String,
    /// Product by product.
    pub products: Vec<CostChangeView>,
}

/// What moved of the cost of a good piece; was and the causes sum to now, as printed.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CostChangeView {
    /// Its code.
    #[schema(example = "croissant")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// What it was, in major units to four places.
    #[schema(example = "0.2566")]
    pub was: String,
    /// What it is.
    #[schema(example = "0.2571")]
    pub now: String,
    /// Now less was.
    #[schema(example = "0.0005")]
    pub difference: String,
    /// Price, yield, formula and mix, in this order.
    pub causes: Vec<CauseView>,
    /// What each item's price added; together the cause `price`.
    pub prices: Vec<CauseView>,
    /// Doughs and fillings that lose otherwise than before.
    pub yields: Vec<String>,
    /// Doughs and fillings that are made otherwise than before.
    pub formulas: Vec<String>,
    /// Items without a price on either date: the figures are at least so much.
    pub missing: Vec<String>,
    /// What a person should know.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// The whole in words.
    #[schema(value_type = String, example = "0.2566 EUR was, 0.2571 EUR is")]
    pub printed: Sentence,
}

/// What one cause added to a good piece.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CauseView {
    /// `price`, `yield`, `formula` or `mix`; or the code of an item.
    #[schema(example = "price")]
    pub of: String,
    /// Major units to four places; below zero if it became cheaper.
    #[schema(example = "0.0005")]
    pub added: String,
    /// The same in minor units, half up to six places.
    #[schema(example = "0.049751")]
    pub minor_units_exact: String,
}

/// The word of a cause.
const fn word(cause: Cause) -> &'static str {
    match cause {
        Cause::Price => "price",
        Cause::Yield => "yield",
        Cause::Formula => "formula",
        Cause::Mix => "mix",
    }
}

/// What moved, as it is sent.
///
/// # Errors
/// [`Refusal`] if a figure is beyond all bounds.
pub fn cost_changes_view(found: &CostChanges) -> Result<CostChangesView, Refusal> {
    let CostChanges { morning, was, now, changes } = found;
    let site = morning.bakery.site();
    Ok(CostChangesView {
        bakery: site.name.clone(),
        plan_revision: morning.plan_revision,
        made_at: instant(&site.time_zone, morning.now),
        kind: "standard",
        from: was.to_string(),
        to: now.to_string(),
        currency: site.currency.to_string(),
        products: changes
            .iter()
            .map(|change| product(found, change))
            .collect::<Result<_, Refusal>>()?,
    })
}

/// Ten-thousandths of a major unit, as they are printed.
fn printed(ten_thousandths: i64) -> String {
    written(&ten_thousandths.into(), 4)
}

/// Lines in ten-thousandths of a major unit, of which a hundred are a minor one, that sum to
/// a total.
fn lines(names: Vec<String>, figures: &[Figure], total: i64) -> Result<Vec<CauseView>, Refusal> {
    let fine: Vec<Figure> = figures.iter().map(|one| one.times(&Figure::whole(100))).collect();
    let shared = share_out(&fine, total).map_err(refused)?;
    let line = |((of, figure), added): ((String, &Figure), i64)| CauseView {
        of,
        added: printed(added),
        minor_units_exact: figure.decimal(6),
    };
    Ok(names.into_iter().zip(figures).zip(shared).map(line).collect())
}

fn product(found: &CostChanges, change: &CostChange) -> Result<CostChangeView, Refusal> {
    let CostChange { product, was, now, causes, prices, yields, formulas, made_then } = change;
    let morning = &found.morning;
    let item = |at: &u32| morning.bakery.item(*at).code.to_string();
    let whole = |figure: &Figure| i64::try_from(&figure.rounded(2)).map_err(refused);
    let (old, new) = (whole(&was.minor)?, whole(&now.minor)?);
    let difference = new.checked_sub(old).ok_or_else(|| refused("beyond all bounds"))?;
    let names = Cause::ALL.map(|cause| word(cause).to_owned()).to_vec();
    let causes = lines(names, causes, difference)?;
    let of_price = causes.first().map_or("0", |cause| cause.added.as_str()).replace('.', "");
    let of_price = of_price.parse::<i64>().map_err(refused)?;
    let (items, added): (Vec<String>, Vec<Figure>) =
        prices.iter().map(|(at, added)| (item(at), added.clone())).unzip();
    let prices = lines(items, &added, of_price)?;
    let mut all = was.clone();
    all.add(now, &Figure::zero());
    let missing = missing(morning, &all);
    let mut notes = Vec::new();
    if !made_then {
        let (from, to) = (found.was, found.now);
        notes.push(
            Sentence::of("cost-stands-for")
                .with("from", Sentence::date(from))
                .with("to", Sentence::date(to)),
        );
    }
    let currency = morning.bakery.site().currency;
    let sum = |of| Sentence::amount(format!("{} {currency}", printed(of)));
    let words = Sentence::of("cost-was-is").with("was", sum(old)).with("now", sum(new));
    let product = morning.bakery.product(*product);
    Ok(CostChangeView {
        product: product.code.to_string(),
        name: product.name.clone(),
        was: printed(old),
        now: printed(new),
        difference: printed(difference),
        causes,
        prices,
        yields: yields.iter().map(item).collect(),
        formulas: formulas.iter().map(item).collect(),
        printed: at_least(words, missing.len()),
        missing,
        notes,
    })
}

/// What moved as comma-separated values, one row a product.
#[must_use]
pub fn cost_changes_csv(view: &CostChangesView) -> String {
    let head = [
        "from", "to", "product", "was", "price", "yield", "formula", "mix", "now", "currency",
        "missing",
    ];
    let row = |line: &CostChangeView| {
        let mut row =
            vec![view.from.clone(), view.to.clone(), line.product.clone(), line.was.clone()];
        row.extend(line.causes.iter().map(|cause| cause.added.clone()));
        row.extend([line.now.clone(), view.currency.clone(), line.missing.join(" ")]);
        row
    };
    csv::table(&head, view.products.iter().map(row))
}
