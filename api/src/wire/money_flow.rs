//! Where money came from and went to: the stock ledger in minor units.

use super::{
    amount::{MoneyView, QuantityView, instant, money_text},
    cost::{CostView, cost_view, said},
    csv,
};
use crate::service::{
    Refusal,
    plan::refused,
    valuation::{Entry, Ledger, MoneyFlow, money_flow},
};
use domain::{
    figure::Figure,
    money::whole_minor,
    plan::cost::Cost,
    quantity::Unit,
    ratio::Ratio,
    valuation::{Flow, Left, WORTH, Worth},
};
use jiff::civil::Date;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;

/// Where the money of the stock ledger was, came from and went to.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MoneyFlowView {
    /// What people call the bakery.
    pub bakery: String,
    /// When it was computed: RFC 3339 with the bakery's offset.
    pub made_at: String,
    /// Always `actual`: what each lot cost, never today's price.
    #[schema(example = "actual")]
    pub kind: &'static str,
    /// First local date.
    #[schema(example = "2026-06-08")]
    pub from: String,
    /// Last local date.
    #[schema(example = "2026-06-13")]
    pub to: String,
    /// What was there and came in.
    pub came: Vec<FlowLineView>,
    /// What became of it; the lines sum to the same total.
    pub went: Vec<FlowLineView>,
    /// Of either side, to the minor unit.
    pub total: MoneyView,
    /// What went from bought lots into work in these days; it stands in what was made of it.
    pub issued: MoneyView,
    /// Whether every lot has a price; if not, the sums are at least so much.
    pub known: bool,
    /// Items without a price, which are in no sum.
    pub missing: Vec<String>,
    /// The total in words.
    #[schema(example = "1834.20 EUR came, and 1834.20 EUR is accounted for")]
    pub printed: String,
}

/// One line of a money flow.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FlowLineView {
    /// `left-before`, `made-before`, `received`; or `wasted`, `sent`, `returned`, `counted`,
    /// `left`, `left-made`, `in-work`.
    #[schema(example = "received")]
    pub of: &'static str,
    /// The same in words.
    pub name: &'static str,
    /// How much.
    pub money: MoneyView,
    /// The sum in words.
    pub printed: String,
}

fn figure(worth: Worth) -> Figure {
    Figure::from(Ratio::whole(worth)).over(&Figure::from(Ratio::whole(WORTH)))
}

/// A worth as a cost, with what has no price in it.
fn cost(worth: Worth, missing: &BTreeSet<u32>) -> Cost {
    Cost { minor: figure(worth), missing: missing.clone() }
}

fn money(ledger: &Ledger, minor_units: i64) -> MoneyView {
    MoneyView { minor_units, currency: ledger.bakery.site().currency.to_string() }
}

fn in_words(ledger: &Ledger, minor: i64) -> String {
    format!("{} {}", money_text(minor), ledger.bakery.site().currency)
}

/// The money flow between two local dates, both included.
///
/// # Errors
/// [`Refusal`] beyond all calendars or bounds.
pub fn money_flow_view(
    ledger: &Ledger,
    (from, to): (Date, Date),
) -> Result<MoneyFlowView, Refusal> {
    let sums = money_flow(ledger, (from, to))?;
    let MoneyFlow {
        left_before,
        made_before,
        received,
        issued,
        wasted,
        sent,
        returned,
        counted,
        left,
        left_made,
        in_work,
        missing,
    } = sums;
    let lines = |lines: &[(&'static str, &'static str, Worth)]| {
        let figures: Vec<Figure> = lines.iter().map(|(.., worth)| figure(*worth)).collect();
        let minor = whole_minor(&figures).map_err(refused)?;
        let line = |(&(of, name, _), minor): (&(&'static str, &'static str, Worth), &i64)| {
            let printed = in_words(ledger, *minor);
            FlowLineView { of, name, money: money(ledger, *minor), printed }
        };
        Ok::<_, Refusal>(lines.iter().zip(&minor).map(line).collect::<Vec<_>>())
    };
    let came = lines(&[
        ("left-before", "left in bought lots before", left_before),
        ("made-before", "in made goods and in work before", made_before),
        ("received", "received", received),
    ])?;
    let went = lines(&[
        ("sent", "sent to customers", sent),
        ("wasted", "thrown away", wasted),
        ("returned", "back to suppliers", returned),
        ("counted", "missing at counts", counted),
        ("left", "left in bought lots", left),
        ("left-made", "left in made goods", left_made),
        ("in-work", "in work, or in pieces that are in no lot", in_work),
    ])?;
    let minor = came.iter().map(|line| line.money.minor_units).sum();
    let total = in_words(ledger, minor);
    let issued = figure(issued).rounded(0);
    let issued = i64::try_from(&issued).map_err(refused)?;
    let printed = said(&format!("{total} came, and {total} is accounted for"), missing.len());
    Ok(MoneyFlowView {
        bakery: ledger.bakery.site().name.clone(),
        made_at: instant(&ledger.bakery.site().time_zone, ledger.now),
        kind: "actual",
        from: from.to_string(),
        to: to.to_string(),
        came,
        went,
        total: money(ledger, minor),
        issued: money(ledger, issued),
        known: missing.is_empty(),
        missing,
        printed,
    })
}

/// A money flow as comma-separated values.
#[must_use]
pub fn money_flow_csv(view: &MoneyFlowView) -> String {
    let row = |side: &'static str| {
        move |line: &FlowLineView| {
            let FlowLineView { of, name, money, printed: _ } = line;
            let minor = money.minor_units.to_string();
            [side, *of, *name, minor.as_str(), money.currency.as_str()].map(str::to_owned).to_vec()
        }
    };
    let head = ["side", "of", "name", "minor_units", "currency"];
    let rows = view.came.iter().map(row("came")).chain(view.went.iter().map(row("went")));
    csv::table(&head, rows)
}

/// What the loads of one service date really cost.
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
    /// What finished pieces cost, product by product.
    pub products: Vec<ProductActualView>,
    /// What a person should know.
    pub notes: Vec<String>,
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

/// What the good pieces of a product really cost.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProductActualView {
    /// Its code.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// Good pieces that came out.
    pub pieces: QuantityView,
    /// What they cost.
    pub cost: CostView,
    /// Of one of them.
    pub per_good_piece: CostView,
    /// Items without a price.
    pub missing: Vec<String>,
    /// The cost of a good piece in words.
    #[schema(example = "0.3107 EUR")]
    pub printed: String,
}

/// A load, by what names it: its id, formula and number.
pub type LoadName = (String, String, i64);

/// What the loads of a service date really cost.
#[must_use]
pub fn actual_cost_view(ledger: &Ledger, date: Date, loads: &[LoadName]) -> ActualCostView {
    let mut works = Vec::new();
    let mut products: BTreeMap<String, (Unit, i128, Worth, BTreeSet<u32>)> = BTreeMap::new();
    for (id, formula, number) in loads {
        let Some(work) = ledger.works.iter().position(|known| known == id) else { continue };
        let of_work = |entry: &&Entry| entry.work.is_some_and(|at| at as usize == work);
        let entries: Vec<&Entry> = ledger.entries.iter().filter(of_work).collect();
        for entry in entries.iter().filter(|entry| entry.flow == Flow::Made) {
            let lot = &ledger.lots[entry.lot as usize];
            if ledger.bakery.index().product(&lot.item).is_some() {
                let sum =
                    products.entry(lot.item.clone()).or_insert((Unit::Each, 0, 0, BTreeSet::new()));
                sum.1 += i128::from(entry.amount_micro);
                sum.2 += entry.worth;
                sum.3.extend(&ledger.valuation.lots[entry.lot as usize].missing);
            }
        }
        let left: &Left = &ledger.valuation.works[work];
        works.push(WorkCostView {
            load: id.clone(),
            formula: formula.clone(),
            number: *number,
            inputs: lines(ledger, &entries, Flow::Used),
            made: lines(ledger, &entries, Flow::Made),
            in_work: cost_view(&cost(left.worth, &left.missing)),
            wasted: cost_view(&Cost::of(figure(wasted(&entries)))),
            missing: ledger.missing(left),
        });
    }
    let mut notes = Vec::new();
    if works.is_empty() {
        notes.push("no load of this date was weighed yet: nothing has a cost".to_owned());
    } else if products.is_empty() {
        notes.push("no finished pieces are in the book yet: what was put in is in work".to_owned());
    }
    let product =
        |(product, (unit, micro, worth, missing)): (String, (Unit, i128, Worth, BTreeSet<u32>))| {
            let all = cost(worth, &missing);
            let pieces = Ratio::whole(micro);
            let size = Figure::from(pieces).over(&Figure::whole(1_000_000));
            let each = Cost { minor: all.minor.over(&size), missing };
            let missing = each.missing.iter().map(|&item| ledger.codes[item as usize].clone());
            let missing: Vec<String> = missing.collect();
            let currency = ledger.bakery.site().currency;
            ProductActualView {
                product,
                pieces: QuantityView::new(pieces, unit),
                cost: cost_view(&all),
                printed: said(&format!("{} {currency}", each.major_decimal()), missing.len()),
                per_good_piece: cost_view(&each),
                missing,
            }
        };
    ActualCostView {
        bakery: ledger.bakery.site().name.clone(),
        made_at: instant(&ledger.bakery.site().time_zone, ledger.now),
        kind: "actual",
        service_date: date.to_string(),
        works,
        products: products.into_iter().map(product).collect(),
        notes,
    }
}

fn wasted(entries: &[&Entry]) -> Worth {
    let wasted = entries.iter().filter(|entry| entry.flow == Flow::Wasted);
    -wasted.map(|entry| entry.worth).sum::<Worth>()
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
            cost: cost_view(&Cost::of(figure(worth))),
        })
        .collect()
}
