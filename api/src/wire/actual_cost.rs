//! What the loads and pieces of a service date really cost.

use super::{
    amount::{MoneyView, QuantityView, instant},
    cost::{CostView, at_least, cost_view, total_of},
    csv,
    day_cost::ShareLineView,
    money_flow::money,
};
use crate::{
    messages::Sentence,
    service::{
        Refusal,
        plan::refused,
        valuation::{ActualDay, Entry, Ledger, LoadName, Share, Sum, minor},
    },
};
use domain::{
    figure::Figure,
    money::whole_minor,
    plan::cost::Cost,
    quantity::{MICRO, Unit},
    ratio::Ratio,
    valuation::{Flow, Left, Worth},
};
use jiff::civil::Date;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;

/// What one service date really cost, by load, dough, product and customer.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ActualCostView {
    /// What people call the bakery.
    pub bakery: String,
    /// When it was computed: RFC 3339 with the bakery's offset.
    pub made_at: String,
    /// Always `actual`: what each lot cost, never today's price.
    #[schema(example = "actual")]
    pub kind: &'static str,
    /// The service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// What its loads took and gave, by formula and number.
    pub works: Vec<WorkCostView>,
    /// What its loads made, formula by formula, as it came out of the bowl.
    pub doughs: Vec<ActualDoughView>,
    /// What finished pieces cost, product by product; rejected ones are in the good.
    pub products: Vec<ProductActualView>,
    /// What each customer's pieces cost: what was sent for the date, from any lot.
    pub customers: Vec<ShareLineView>,
    /// What became of the other pieces.
    pub own_lines: Vec<ShareLineView>,
    /// Of all pieces made for the date: the sum of the customers and own lines, and of the
    /// products.
    pub total: MoneyView,
    /// Whether every price is known; if not, the sums are at least so much.
    pub known: bool,
    /// Items without a price.
    pub missing: Vec<String>,
    /// The total in words.
    #[schema(value_type = String, example = "21.40 EUR")]
    pub printed: Sentence,
    /// What a person should know.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
}

/// What one load took and gave.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WorkCostView {
    /// Id of the load.
    pub load: String,
    /// What it makes.
    #[schema(example = "bun")]
    pub formula: String,
    /// Its number among the loads of its formula and date.
    pub number: i64,
    /// What was put in, item by item.
    pub inputs: Vec<WorkLineView>,
    /// What came out, lot by lot.
    pub made: Vec<WorkLineView>,
    /// Put in, and not made into anything that is in the book.
    pub in_work: CostView,
    /// Lost on the way, thrown away with the load's name on it.
    pub wasted: CostView,
    /// Items without a price.
    pub missing: Vec<String>,
}

/// One item or lot of a load.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WorkLineView {
    /// Code of the item or product.
    #[schema(example = "strong-white")]
    pub item: String,
    /// How much.
    pub quantity: QuantityView,
    /// What it cost.
    pub cost: CostView,
}

/// What a dough, filling or wash really cost.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ActualDoughView {
    /// Its code.
    #[schema(example = "bun")]
    pub formula: String,
    /// How much came out of the bowl.
    pub quantity: QuantityView,
    /// What it cost.
    pub cost: CostView,
    /// Of a kilogram, or of one of what is counted.
    pub each: CostView,
    /// `kg` or `each`.
    #[schema(example = "kg")]
    pub per: &'static str,
    /// Items without a price.
    pub missing: Vec<String>,
}

/// What the good pieces of a product really cost.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProductActualView {
    /// Its code.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// Good pieces that came out.
    pub pieces: QuantityView,
    /// What they cost, with the pieces that were rejected.
    pub cost: CostView,
    /// Of one good piece; null if none came out good.
    pub per_good_piece: Option<CostView>,
    /// Of all of them; the lines sum to the total.
    pub total: MoneyView,
    /// Items without a price.
    pub missing: Vec<String>,
    /// The cost of a good piece in words.
    #[schema(value_type = String, example = "0.3107 EUR")]
    pub printed: Sentence,
}

/// What a service date really cost.
///
/// # Errors
/// [`Refusal`] if a sum is beyond all bounds.
pub fn actual_cost_view(day: &ActualDay, date: Date) -> Result<ActualCostView, Refusal> {
    let ActualDay { ledger, loads, products, doughs, shares } = day;
    let works: Vec<_> = loads.iter().filter_map(|load| work(ledger, load)).collect();
    let mut notes = Vec::new();
    if works.is_empty() && products.is_empty() {
        notes.push(Sentence::of("cost-nothing-weighed"));
    } else if products.is_empty() {
        notes.push(Sentence::of("cost-nothing-finished"));
    }
    if ledger.bakery.site().labour.is_some() {
        notes.push(Sentence::of("cost-without-labour"));
    }
    let totals: Vec<Figure> = products.values().map(|sum| sum.cost.minor.clone()).collect();
    let totals = whole_minor(&totals).map_err(refused)?;
    let total = money(ledger, total_of(&totals)?);
    let lines = products.iter().zip(totals);
    let (customers, own_lines) = share_lines(ledger, shares)?;
    let mut all = Cost::default();
    for sum in products.values().chain(shares.values()) {
        all.missing.extend(&sum.cost.missing);
    }
    let missing = missing(ledger, &all);
    Ok(ActualCostView {
        bakery: ledger.bakery.site().name.clone(),
        made_at: instant(&ledger.bakery.site().time_zone, ledger.now),
        kind: "actual",
        service_date: date.to_string(),
        works,
        doughs: doughs.iter().map(|(formula, sum)| dough(ledger, formula, sum)).collect(),
        products: lines.map(|((code, sum), minor)| product(ledger, code, sum, minor)).collect(),
        customers,
        own_lines,
        printed: at_least(Sentence::amount(total.said()), missing.len()),
        total,
        known: missing.is_empty(),
        missing,
        notes,
    })
}

/// Codes of what has no price in a cost of the ledger.
fn missing(ledger: &Ledger, cost: &Cost) -> Vec<String> {
    cost.missing.iter().map(|&item| ledger.codes[item as usize].clone()).collect()
}

fn dough(ledger: &Ledger, formula: &str, sum: &Sum) -> ActualDoughView {
    let unit = ledger.bakery.index().item(formula);
    let unit = unit.map_or(Unit::Gram, |item| ledger.bakery.item(item).base_unit);
    let (per, size) = if unit == Unit::Each { ("each", MICRO) } else { ("kg", 1_000 * MICRO) };
    let micro = Ratio::whole(sum.micro);
    let made = Figure::from(micro).over(&Figure::whole(size));
    let each = if made.is_zero() { Cost::default() } else { over(&sum.cost, &made) };
    ActualDoughView {
        formula: formula.to_owned(),
        quantity: QuantityView::new(micro, unit),
        cost: cost_view(&sum.cost),
        each: cost_view(&each),
        per,
        missing: missing(ledger, &sum.cost),
    }
}

fn over(cost: &Cost, size: &Figure) -> Cost {
    cost.times(&Figure::whole(1).over(size))
}

fn product(ledger: &Ledger, code: &str, sum: &Sum, minor: i64) -> ProductActualView {
    let pieces = Ratio::whole(sum.micro);
    let good = Figure::from(pieces).over(&Figure::whole(MICRO));
    let each = (sum.micro > 0).then(|| over(&sum.cost, &good));
    let missing = missing(ledger, &sum.cost);
    let total = money(ledger, minor);
    let printed = match &each {
        Some(each) => {
            let each = format!("{} {}", each.major_decimal(), total.currency);
            at_least(Sentence::amount(each), missing.len())
        }
        None => Sentence::of("cost-no-piece-good"),
    };
    ProductActualView {
        product: code.to_owned(),
        pieces: QuantityView::new(pieces, Unit::Each),
        cost: cost_view(&sum.cost),
        per_good_piece: each.as_ref().map(cost_view),
        total,
        missing,
        printed,
    }
}

/// Lines of customers and of all else, which sum to the total of the products.
fn share_lines(
    ledger: &Ledger,
    shares: &BTreeMap<Share, Sum>,
) -> Result<(Vec<ShareLineView>, Vec<ShareLineView>), Refusal> {
    let figures: Vec<Figure> = shares.values().map(|sum| sum.cost.minor.clone()).collect();
    let sums = whole_minor(&figures).map_err(refused)?;
    let line = |((share, sum), &minor): ((&Share, &Sum), &i64)| {
        let (of, name) = words(ledger, share);
        let missing = missing(ledger, &sum.cost);
        let cost = money(ledger, minor);
        let pieces = i64::try_from(sum.micro / i128::from(MICRO)).unwrap_or(i64::MAX);
        let printed = at_least(Sentence::amount(cost.said()), missing.len());
        ShareLineView { of, name, pieces, cost, missing, printed }
    };
    let is_customer = |share: &Share| matches!(share, Share::Customer(_));
    let all = shares.iter().zip(&sums);
    let (customers, own): (Vec<_>, Vec<_>) = all.partition(|((share, _), _)| is_customer(share));
    Ok((customers.into_iter().map(line).collect(), own.into_iter().map(line).collect()))
}

/// The word of a share, and what people call it.
fn words(ledger: &Ledger, share: &Share) -> (String, Sentence) {
    let (of, name) = match share {
        Share::Customer(code) => {
            let found = ledger.bakery.index().customer(code);
            let lists = ledger.bakery.lists();
            let name = found.map_or(code, |at| &lists.customers[at as usize].name);
            return (code.clone(), Sentence::from(name));
        }
        Share::NoOrder => ("no-order", "cost-own-no-order"),
        Share::FromOtherDates => ("from-other-dates", "cost-own-from-other-dates"),
        Share::ForOtherDates => ("for-other-dates", "cost-own-for-other-dates"),
        Share::Taken => ("for-other-products", "cost-own-for-other-products"),
        Share::Wasted => ("wasted", "cost-own-wasted"),
        Share::Counted => ("counted", "cost-own-counted"),
        Share::Rejected => ("rejected", "cost-own-rejected"),
        Share::Left => ("left", "cost-own-left"),
    };
    (of.to_owned(), Sentence::of(name))
}

fn work(ledger: &Ledger, load: &LoadName) -> Option<WorkCostView> {
    let LoadName { id, formula, number } = load;
    let work = ledger.works.iter().position(|known| known == id)?;
    let of_load = |entry: &&Entry| entry.load.is_some_and(|at| at as usize == work);
    let entries: Vec<&Entry> = ledger.entries.iter().filter(of_load).collect();
    let mut left: Left = ledger.valuation.works[work].clone();
    // What was put onto its pieces alone is in work of its own.
    let makings: BTreeSet<usize> =
        entries.iter().filter_map(|entry| entry.work).map(|at| at as usize).collect();
    for making in makings.into_iter().filter(|making| *making != work) {
        left.worth += ledger.valuation.works[making].worth;
        left.missing.extend(&ledger.valuation.works[making].missing);
    }
    let wasted = entries.iter().filter(|entry| entry.flow == Flow::Wasted);
    let wasted = -wasted.map(|entry| entry.worth).sum::<Worth>();
    let in_work = Cost { minor: minor(left.worth), missing: left.missing.clone() };
    Some(WorkCostView {
        load: id.clone(),
        formula: formula.clone(),
        number: *number,
        inputs: lines(ledger, &entries, Flow::Used),
        made: lines(ledger, &entries, Flow::Made),
        in_work: cost_view(&in_work),
        wasted: cost_view(&Cost::of(minor(wasted))),
        missing: ledger.missing(&left),
    })
}

/// Entries of one flow, summed by what is in their lots.
fn lines(ledger: &Ledger, entries: &[&Entry], flow: Flow) -> Vec<WorkLineView> {
    let mut sums: BTreeMap<(&str, &str), (i128, Worth)> = BTreeMap::new();
    for entry in entries.iter().filter(|entry| entry.flow == flow) {
        let lot = &ledger.lots[entry.lot as usize];
        let sum = sums.entry((&lot.item, &lot.unit)).or_default();
        let sign = if flow == Flow::Used { -1 } else { 1 };
        sum.0 += sign * i128::from(entry.amount_micro);
        sum.1 += sign * entry.worth;
    }
    let unit = |symbol: &str| {
        [Unit::Gram, Unit::Millilitre, Unit::Each]
            .into_iter()
            .find(|unit| unit.symbol() == symbol)
            .unwrap_or(Unit::Gram)
    };
    sums.into_iter()
        .map(|((item, symbol), (micro, worth))| WorkLineView {
            item: item.to_owned(),
            quantity: QuantityView::new(Ratio::whole(micro), unit(symbol)),
            cost: cost_view(&Cost::of(minor(worth))),
        })
        .collect()
}

/// What pieces really cost as comma-separated values: doughs, products, and who got them.
#[must_use]
pub fn actual_cost_csv(view: &ActualCostView) -> String {
    let head = [
        "kind",
        "service_date",
        "line",
        "of",
        "quantity",
        "unit",
        "each",
        "total_minor_units",
        "currency",
        "missing",
    ];
    let row = |line: &str, of: &str, (amount, unit): (&str, &str), (each, total): (&str, &str)| {
        let words = [view.kind, &view.service_date, line, of, amount, unit, each, total];
        words.map(str::to_owned).to_vec()
    };
    let end = |mut row: Vec<String>, missing: &[String]| {
        row.extend([view.total.currency.clone(), missing.join(" ")]);
        row
    };
    let mut rows = Vec::new();
    for line in &view.doughs {
        let quantity = (line.quantity.amount.as_str(), line.quantity.unit);
        let sums = (line.each.printed.as_str(), line.cost.minor_units_exact.as_str());
        rows.push(end(row("dough", &line.formula, quantity, sums), &line.missing));
    }
    for line in &view.products {
        let quantity = (line.pieces.amount.as_str(), line.pieces.unit);
        let each = line.per_good_piece.as_ref().map_or("", |each| each.printed.as_str());
        let total = line.total.minor_units.to_string();
        rows.push(end(row("product", &line.product, quantity, (each, &total)), &line.missing));
    }
    let lines = |word: &'static str, lines: &'_ [ShareLineView]| -> Vec<Vec<String>> {
        let each = |line: &ShareLineView| {
            let (pieces, total) = (line.pieces.to_string(), line.cost.minor_units.to_string());
            end(row(word, &line.of, (&pieces, "each"), ("", &total)), &line.missing)
        };
        lines.iter().map(each).collect()
    };
    rows.extend(lines("customer", &view.customers));
    rows.extend(lines("own", &view.own_lines));
    csv::table(&head, rows)
}
