//! What a service date needs: orders to start pieces, to batches, to draws on stock.

mod batch;

pub use batch::{
    AskView, BatchView, HeldLoadView, IssueTotalView, LineView, LoadGroupView, LoadPiecesView,
    PiecesOfView, state_word,
};

use super::{
    amount::{QuantityView, instant},
    findings,
    made_lot::MadeLotView,
    overrides,
    why::link,
};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    demand::PieceLine,
    plan::{
        FruitLine, Need, NeedUser,
        made_stock::{MadeLotError, made_lots},
        why::WhyOf,
    },
    ratio::Overflow,
};
use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;

/// All that a service date needs, from orders down to stock.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RequirementsView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The local date on which the goods are sold.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// What a person should know, in words.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Pieces of each product, as the bakery lists its products.
    pub pieces: Vec<PiecesView>,
    /// Finished pieces of another day that come from stock.
    pub day_old_draws: Vec<DayOldDrawView>,
    /// Kept dough, levain, cream and the like of what is made for the date, judged when it is
    /// taken: used first if its age fits.
    pub dough_stock: Vec<MadeLotView>,
    /// Batches, users before what they use.
    pub batches: Vec<BatchView>,
    /// Fruit that gives two things at once.
    pub fruit: Vec<FruitView>,
    /// Draws on stock in order of time.
    pub needs: Vec<NeedView>,
}

/// The way of one product from orders to start pieces; all in whole pieces.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PiecesView {
    /// Which product.
    #[schema(example = "fruit-bun")]
    pub product: String,
    /// Pieces that customers hold orders for.
    pub ordered: i64,
    /// The same customer by customer.
    pub by_customer: Vec<CustomerPiecesView>,
    /// Pieces that counters open with, beyond what is ordered out of their par.
    pub par: i64,
    /// Pieces that nobody ordered yet and a forecast expects, where it is switched on.
    pub forecast: i64,
    /// Pieces that other products take, such as day-old goods.
    pub day_after: i64,
    /// Pieces to be cut or probed.
    pub test_pieces: i64,
    /// Pieces for customers that finished stock covers.
    pub from_stock: i64,
    /// Good pieces that must come out.
    pub net: i64,
    /// Good pieces planned, overs included.
    pub good_planned: i64,
    /// Good pieces beyond what was asked.
    pub overs: i64,
    /// Pieces to begin with.
    pub start: i64,
    /// Pieces that would be begun, if a person set another number.
    pub computed_start: Option<i64>,
    /// What a person set by hand, with note and name.
    #[schema(value_type = Vec<String>)]
    pub overrides: Vec<Sentence>,
    /// Trays begun; none if the product has no trays.
    pub trays: Option<i64>,
    /// The chain behind the start pieces.
    pub why: String,
}

/// What one customer ordered.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CustomerPiecesView {
    /// Which customer.
    #[schema(example = "pier-hotel")]
    pub customer: String,
    /// Whole pieces.
    pub pieces: i64,
}

/// Finished pieces of another day that a product takes from stock.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DayOldDrawView {
    /// What is taken.
    #[schema(example = "croissant")]
    pub product: String,
    /// When it was baked.
    #[schema(example = "2026-06-11")]
    pub baked: String,
    /// Whole pieces.
    pub pieces: i64,
    /// What takes it.
    #[serde(rename = "for")]
    #[schema(example = "almond-croissant")]
    pub used_in: String,
    /// The chain behind the pieces of what takes it.
    pub why: String,
}

/// One fruit over all its uses of the date.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FruitView {
    /// Which fruit.
    #[schema(example = "lemons")]
    pub fruit: String,
    /// What it gives, and how much of that is needed.
    pub needs: Vec<FruitNeedView>,
    /// Whole fruits for all of it together.
    pub fruit_count: i64,
    /// What is left over.
    pub spare: Vec<FruitSpareView>,
    /// Whole fruits if nothing spare is kept from one use to the next.
    pub fruit_count_if_surplus_not_kept: i64,
    /// Where each draw of it from stock is explained; their sum can differ from the count
    /// above by what is spare from other dates.
    pub why: Vec<String>,
}

/// How much of one output is needed.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FruitNeedView {
    /// Which output.
    #[schema(example = "lemon-zest")]
    pub item: String,
    /// How much.
    pub amount: QuantityView,
    /// Whole fruits for it alone.
    pub fruit: i64,
}

/// How much of one output is left over.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FruitSpareView {
    /// Which output.
    #[schema(example = "lemon-juice")]
    pub item: String,
    /// How much.
    pub amount: QuantityView,
}

/// One draw on stock.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NeedView {
    /// The start of the step that takes it: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-11T11:00:00+02:00")]
    pub at: String,
    /// What is taken.
    #[schema(example = "rye")]
    pub item: String,
    /// What leaves stock, in the item's base unit.
    pub amount: QuantityView,
    /// The formula or product that takes it.
    #[serde(rename = "for")]
    #[schema(example = "country")]
    pub used_in: String,
    /// The chain behind the amount.
    pub why: String,
}

/// Projects a plan to one service date.
///
/// # Errors
/// [`MadeLotError`] if an exact amount cannot be written.
pub fn requirements(morning: &Morning, date: Date) -> Result<RequirementsView, MadeLotError> {
    let Morning { bakery, plan, .. } = morning;
    let batches = plan
        .batches
        .iter()
        .filter(|batch| batch.service_date == date)
        .map(|batch| batch::batch(morning, batch))
        .collect::<Result<_, Overflow>>()?;
    let draws = plan.demand.stock_draws.iter().filter(|draw| draw.service_date == date);
    Ok(RequirementsView {
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, morning.now),
        service_date: date.to_string(),
        notes: findings::of_service_date(morning, date),
        pieces: plan
            .demand
            .pieces
            .iter()
            .filter(|line| line.service_date == date)
            .map(|line| pieces(morning, line))
            .collect(),
        day_old_draws: draws
            .map(|draw| DayOldDrawView {
                product: bakery.product(draw.product).code.to_string(),
                baked: draw.baked.to_string(),
                pieces: draw.pieces,
                used_in: bakery.product(draw.taken_by).code.to_string(),
                why: link(bakery, WhyOf::Pieces(date, draw.taken_by)),
            })
            .collect(),
        dough_stock: made_lots(bakery, &morning.book, plan, morning.now, Some(date))?
            .iter()
            .map(|row| MadeLotView::new(morning, row))
            .collect(),
        batches,
        fruit: plan
            .fruits
            .iter()
            .filter(|line| line.service_date == date)
            .map(|line| fruit(morning, line))
            .collect(),
        needs: plan
            .needs
            .iter()
            .filter(|need| need.service_date == date)
            .map(|line| need(morning, line))
            .collect(),
    })
}

fn pieces(morning: &Morning, line: &PieceLine) -> PiecesView {
    let bakery = &morning.bakery;
    let customer = |&(customer, pieces): &(u32, i64)| CustomerPiecesView {
        customer: bakery.lists().customers[customer as usize].code.to_string(),
        pieces,
    };
    let code = &bakery.product(line.product).code;
    PiecesView {
        product: code.to_string(),
        ordered: line.ordered,
        by_customer: line.by_customer.iter().map(customer).collect(),
        par: line.par,
        forecast: line.forecast,
        day_after: line.taken(),
        test_pieces: line.test_pieces,
        from_stock: line.from_stock,
        net: line.net,
        good_planned: line.good_planned,
        overs: line.overs(),
        start: line.start,
        computed_start: line.computed,
        overrides: overrides::of_code(morning, line.service_date, code),
        trays: line.trays,
        why: link(bakery, WhyOf::Pieces(line.service_date, line.product)),
    }
}

fn fruit(morning: &Morning, line: &FruitLine) -> FruitView {
    let code = |item| morning.bakery.item(item).code.to_string();
    let needs = line.needs.iter().map(|&(item, ug, fruit)| FruitNeedView {
        item: code(item),
        amount: QuantityView::mass(ug),
        fruit,
    });
    let spare = line
        .spare
        .iter()
        .map(|&(item, ug)| FruitSpareView { item: code(item), amount: QuantityView::mass(ug) });
    let plan = &morning.plan;
    let drawn = plan
        .needs
        .iter()
        .filter(|need| need.item == line.fruit && need.service_date == line.service_date);
    let why =
        |need: &Need| link(&morning.bakery, WhyOf::Need(need.service_date, need.user, need.item));
    FruitView {
        fruit: code(line.fruit),
        needs: needs.collect(),
        fruit_count: line.fruits,
        spare: spare.collect(),
        fruit_count_if_surplus_not_kept: line.fruits_if_not_kept,
        why: drawn.map(why).collect(),
    }
}

/// The formula or product that takes something.
pub(crate) fn user_code(morning: &Morning, user: NeedUser) -> String {
    match user {
        NeedUser::Formula(item) => morning.bakery.item(item).code.to_string(),
        NeedUser::Product(product) => morning.bakery.product(product).code.to_string(),
    }
}

fn need(morning: &Morning, need: &Need) -> NeedView {
    let bakery = &morning.bakery;
    let item = bakery.item(need.item);
    NeedView {
        at: instant(&bakery.site().time_zone, need.at),
        item: item.code.to_string(),
        amount: QuantityView::whole(need.micro, item.base_unit),
        used_in: user_code(morning, need.user),
        why: link(bakery, WhyOf::Need(need.service_date, need.user, need.item)),
    }
}
