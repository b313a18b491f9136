//! What a service date costs: piece by piece, dough by dough, customer by customer.

use super::{
    amount::{MoneyView, QuantityView, instant},
    cost::{CostView, at_least, cost_view, missing, total_of},
    csv,
    labour::{LabourView, labour_view},
};
use crate::{
    messages::Sentence,
    service::{Refusal, plan::Morning, plan::refused},
};
use domain::{
    demand::PieceLine,
    figure::Figure,
    item::ItemKind,
    money::whole_minor,
    plan::cost::{Cost, CostPart, Costs, MadeCost, OwnLine, ProductCost, day_cost},
    quantity::MICRO,
};
use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;

/// The cost sheet of one service date; only one kind of cost stands on it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DayCostView {
    /// What people call the bakery.
    #[schema(example = "Alder Yard Bakehouse")]
    pub bakery: String,
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    pub made_at: String,
    /// `standard`: formula, price in force and exact masses; `planned`: this plan's weighed
    /// amounts from the lots that it proposes.
    #[schema(example = "standard")]
    pub kind: &'static str,
    /// The service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Three letters of ISO 4217.
    #[schema(example = "EUR")]
    pub currency: String,
    /// What a good piece costs, and all of them, product by product.
    pub products: Vec<ProductLineView>,
    /// What doughs, fillings and washes cost, users before what they use; they are in the
    /// products already.
    pub doughs: Vec<DoughLineView>,
    /// What each customer's pieces cost.
    pub customers: Vec<ShareLineView>,
    /// Good pieces that no customer ordered, as lines of their own.
    pub own_lines: Vec<ShareLineView>,
    /// Of all good pieces: the sum of the customers and own lines, and of the products.
    pub total: MoneyView,
    /// What the hands cost, beside all of the above; null as long as the site counts none.
    pub labour: Option<LabourView>,
    /// Whether every price is known; if not, the sums are at least so much.
    pub known: bool,
    /// Items without a price.
    pub missing: Vec<String>,
    /// The total in words.
    #[schema(value_type = String, example = "393.11 EUR")]
    pub printed: Sentence,
    /// What a person should know.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
}

/// One product of a cost sheet.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProductLineView {
    /// Its code.
    #[schema(example = "croissant")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// Pieces begun.
    pub start: i64,
    /// Good pieces planned.
    pub good_planned: i64,
    /// Ingredients of a start piece, losses and residue included.
    pub ingredients: CostView,
    /// Packaging of a start piece.
    pub packaging: CostView,
    /// What its share of the pieces that are begun and do not come out good adds.
    pub rejects: CostView,
    /// Of a good piece: the three together.
    pub per_good_piece: CostView,
    /// Of all good pieces; the lines sum to the total.
    pub total: MoneyView,
    /// Items without a price.
    pub missing: Vec<String>,
    /// The cost of a good piece in words.
    #[schema(value_type = String, example = "0.2566 EUR")]
    pub printed: Sentence,
}

/// One made thing of a cost sheet.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DoughLineView {
    /// Its code.
    #[schema(example = "laminated")]
    pub formula: String,
    /// What people call it.
    pub name: String,
    /// What its users take.
    pub net: QuantityView,
    /// The same on paper, half up to a tenth of a gram or hundredth of a batch.
    #[schema(value_type = String, example = "33.97 kg")]
    pub printed: Sentence,
    /// Of a kilogram or a batch that users take: losses, trim and residue are in it.
    pub each: CostView,
    /// `kg` or `batch`.
    #[schema(example = "kg")]
    pub per: &'static str,
    /// Of all of it.
    pub total: CostView,
    /// Items without a price.
    pub missing: Vec<String>,
}

/// Some good pieces, and what they cost.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ShareLineView {
    /// A customer's code, or `from-stock`, `for-other-products`, `test-pieces`, `overs`.
    #[schema(example = "pier-hotel")]
    pub of: String,
    /// What people call it.
    #[schema(value_type = String)]
    pub name: Sentence,
    /// How many good pieces.
    pub pieces: i64,
    /// What they cost; the lines sum to the total.
    pub cost: MoneyView,
    /// Items without a price.
    pub missing: Vec<String>,
    /// The sum in words.
    #[schema(value_type = String, example = "39.20 EUR")]
    pub printed: Sentence,
}

/// The cost sheet of a service date.
///
/// # Errors
/// [`Refusal`] if a sum is beyond all bounds.
pub fn day_cost_view(
    morning: &Morning,
    (kind, costs): (&'static str, &Costs),
    date: Date,
    notes: Vec<Sentence>,
) -> Result<DayCostView, Refusal> {
    let bakery = &morning.bakery;
    let site = bakery.site();
    let of_date = |line: &&PieceLine| line.service_date == date;
    let pieces: Vec<&PieceLine> = morning.plan.demand.pieces.iter().filter(of_date).collect();
    let products: Vec<&ProductCost> =
        costs.products.iter().filter(|cost| cost.service_date == date).collect();
    let day = day_cost(&pieces, &products);
    let totals: Vec<Figure> = products
        .iter()
        .map(|cost| cost.per_good_piece.minor.times(&Figure::whole(cost.good)))
        .collect();
    let totals = whole_minor(&totals).map_err(refused)?;
    let lines: Vec<(String, Sentence, i64, &Cost)> = day
        .customers
        .iter()
        .map(|(who, pieces, cost)| {
            let customer = &bakery.lists().customers[*who as usize];
            (customer.code.to_string(), Sentence::from(&customer.name), *pieces, cost)
        })
        .chain(day.own.iter().map(|(kind, pieces, cost)| {
            let (word, name) = own_words(*kind);
            (word.to_owned(), Sentence::of(name), *pieces, cost)
        }))
        .collect();
    let sums: Vec<Figure> = lines.iter().map(|(.., cost)| cost.minor.clone()).collect();
    let sums = whole_minor(&sums).map_err(refused)?;
    let total = total_of(&sums)?;
    let mut lines: Vec<ShareLineView> = lines
        .into_iter()
        .zip(&sums)
        .map(|(line, &minor)| share_line(morning, line, minor))
        .collect();
    let own_lines = lines.split_off(day.customers.len());
    let doughs = costs.made.iter().filter(|made| made.service_date == date);
    let missing = missing(morning, &day.total);
    let total = money(morning, total);
    let unknown = day.unknown.iter().map(|&product| unknown_words(morning, product));
    Ok(DayCostView {
        bakery: site.name.clone(),
        plan_revision: morning.plan_revision,
        made_at: instant(&site.time_zone, morning.now),
        kind,
        service_date: date.to_string(),
        currency: site.currency.to_string(),
        products: products
            .iter()
            .zip(totals)
            .map(|(cost, minor)| product_line(morning, cost, minor))
            .collect(),
        doughs: doughs.map(|made| dough_line(morning, made)).collect(),
        customers: lines,
        own_lines,
        printed: at_least(Sentence::amount(total.said()), missing.len()),
        labour: labour_view(morning, date, &products)?,
        total,
        known: missing.is_empty(),
        missing,
        notes: unknown.chain(notes).collect(),
    })
}

const fn own_words(line: OwnLine) -> (&'static str, &'static str) {
    match line {
        OwnLine::Par => ("counter-par", "cost-own-counter-par"),
        OwnLine::Forecast => ("forecast", "cost-own-forecast"),
        OwnLine::FromStock => ("from-stock", "cost-own-from-stock"),
        OwnLine::Taken => ("for-other-products", "cost-own-for-other-products"),
        OwnLine::TestPieces => ("test-pieces", "cost-own-test-pieces"),
        OwnLine::Overs => ("overs", "cost-own-overs"),
    }
}

fn unknown_words(morning: &Morning, product: u32) -> Sentence {
    Sentence::of("cost-not-made").with("name", &morning.bakery.product(product).name)
}

fn money(morning: &Morning, minor_units: i64) -> MoneyView {
    MoneyView::new(minor_units, morning.bakery.site().currency)
}

fn share_line(
    morning: &Morning,
    (of, name, pieces, cost): (String, Sentence, i64, &Cost),
    minor: i64,
) -> ShareLineView {
    let missing = missing(morning, cost);
    let cost = money(morning, minor);
    let printed = at_least(Sentence::amount(cost.said()), missing.len());
    ShareLineView { of, name, pieces, cost, missing, printed }
}

fn product_line(morning: &Morning, cost: &ProductCost, minor: i64) -> ProductLineView {
    let product = morning.bakery.product(cost.product);
    let packaging = |part: &CostPart| match *part {
        CostPart::Item(item) => morning.bakery.item(item).kind == ItemKind::Packaging,
        CostPart::Product(_) => false,
    };
    let sum = |wanted: bool| {
        let mut sum = Cost::default();
        for (_, part) in cost.parts.iter().filter(|(part, _)| packaging(part) == wanted) {
            sum.add(part, &Figure::whole(1));
        }
        sum
    };
    let (ingredients, packaging) = (sum(false), sum(true));
    let begun = ingredients.minor.plus(&packaging.minor);
    let rejects = Cost::of(cost.per_good_piece.minor.minus(&begun));
    let missing = missing(morning, &cost.per_good_piece);
    let per_good_piece = cost_view(&cost.per_good_piece);
    let printed = format!("{} {}", per_good_piece.printed, morning.bakery.site().currency);
    ProductLineView {
        product: product.code.to_string(),
        name: product.name.clone(),
        start: cost.start,
        good_planned: cost.good,
        ingredients: cost_view(&ingredients),
        packaging: cost_view(&packaging),
        rejects: cost_view(&rejects),
        printed: at_least(Sentence::amount(printed), missing.len()),
        per_good_piece,
        total: money(morning, minor),
        missing,
    }
}

fn dough_line(morning: &Morning, made: &MadeCost) -> DoughLineView {
    let MadeCost { item, service_date: _, net, by_batch, each } = made;
    let item = morning.bakery.item(*item);
    let (per, size) = if *by_batch { ("batch", 1) } else { ("kg", 1_000 * MICRO) };
    let net_text = if *by_batch { net.clone() } else { net.over(&Figure::whole(MICRO)) };
    let printed = if *by_batch {
        let count = Sentence::digits(trimmed(&net.decimal(2)));
        Sentence::of("cost-batches").with("count", count)
    } else {
        let kilograms = trimmed(&net.over(&Figure::whole(1_000 * MICRO)).decimal(4));
        Sentence::amount(format!("{kilograms} kg"))
    };
    DoughLineView {
        printed,
        formula: item.code.to_string(),
        name: item.name.clone(),
        net: QuantityView {
            amount: trimmed(&net_text.decimal(6)),
            unit: if *by_batch { "batch" } else { "g" },
        },
        each: cost_view(&each.times(&Figure::whole(size))),
        per,
        total: cost_view(&each.times(net)),
        missing: missing(morning, each),
    }
}

/// A decimal without zeros that say nothing.
fn trimmed(decimal: &str) -> String {
    if !decimal.contains('.') {
        return decimal.to_owned();
    }
    decimal.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The products of a cost sheet as comma-separated values, with the total below.
#[must_use]
pub fn day_cost_csv(view: &DayCostView) -> String {
    let labour = |product: &str| {
        let lines = view.labour.iter().flat_map(|labour| &labour.products);
        let line = lines.into_iter().find(|line| line.product == product);
        line.map_or_else(Default::default, |line| {
            [
                line.minutes.clone(),
                line.total.minor_units.to_string(),
                Sentence::joined("; ", &line.missing).wired(),
            ]
        })
    };
    let head = [
        "kind",
        "service_date",
        "product",
        "start",
        "good_planned",
        "ingredients",
        "packaging",
        "rejects",
        "per_good_piece",
        "total_minor_units",
        "labour_minutes",
        "labour_minor_units",
        "labour_missing",
        "currency",
        "missing",
    ];
    let stamp = || [view.kind.to_owned(), view.service_date.clone()];
    let row = |line: &ProductLineView| {
        let mut row = Vec::from(stamp());
        row.extend([line.product.clone(), line.start.to_string(), line.good_planned.to_string()]);
        let costs = [&line.ingredients, &line.packaging, &line.rejects, &line.per_good_piece];
        row.extend(costs.map(|cost| cost.printed.clone()));
        let total = line.total.minor_units.to_string();
        row.push(total);
        row.extend::<[String; 3]>(labour(&line.product));
        row.extend([view.currency.clone(), line.missing.join(" ")]);
        row
    };
    csv::table(&head, view.products.iter().map(row))
}
