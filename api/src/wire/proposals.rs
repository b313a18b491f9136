//! What to order from whom by which cutoff, as proposed.

use super::{
    amount::{MoneyView, QuantityView, instant},
    printed::{self, PrintedView},
};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    plan::{
        Basket, Choice, ShortageError, SupplierOrderLine, SupplierOrderProposal, supplier_orders,
    },
    ratio::Overflow,
};
use serde::Serialize;
use utoipa::ToSchema;

/// What to order from whom by which cutoff.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProposalsView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// Last service date looked at.
    #[schema(example = "2026-06-13")]
    pub until: String,
    /// By supplier as listed, then by cutoff.
    pub proposals: Vec<ProposalView>,
}

/// What to order from one supplier by one cutoff.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProposalView {
    /// Which supplier.
    #[schema(example = "dairy")]
    pub supplier: String,
    /// Last moment to order.
    #[schema(example = "2026-06-10T11:00:00+02:00")]
    pub cutoff: String,
    /// When the goods count: the end of the delivery window.
    #[schema(example = "2026-06-11T06:00:00+02:00")]
    pub arrives: String,
    /// `as-is`, `fill`, `pay-carriage` or `refused-below-minimum`.
    #[schema(example = "fill")]
    pub choice: &'static str,
    /// The choice in a sentence.
    #[schema(value_type = String)]
    pub because: Sentence,
    /// Each cutoff ordered alone.
    pub alone: BasketView,
    /// Later lines brought forward; none if the minimum is reached alone.
    pub filled: Option<BasketView>,
    /// What an order must reach.
    pub minimum_order: MoneyView,
    /// What is missing up to the minimum if ordered alone.
    pub gap: MoneyView,
    /// Carriage that is paid.
    pub carriage: MoneyView,
    /// What bringing lines forward saves against carriage, to the end of the horizon.
    pub saves: Option<MoneyView>,
    /// Sum of the lines whose price is known.
    pub order_value: MoneyView,
    /// Its lines, as listed; then what was brought forward.
    pub lines: Vec<ProposalLineView>,
}

/// Goods of one cutoff, and what all cost to the end of the horizon.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BasketView {
    /// Goods of this cutoff.
    pub goods: MoneyView,
    /// Goods and carriage of this and all later cutoffs.
    pub total_to_end: MoneyView,
}

/// One item of a proposal; amounts in its base unit.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProposalLineView {
    /// Which item.
    #[schema(example = "whole-milk")]
    pub item: String,
    /// What people call it.
    #[schema(example = "Whole milk")]
    pub name: String,
    /// `must` (something runs short without it) or `top-up` (safety stock only).
    #[schema(example = "must")]
    pub pressing: &'static str,
    /// Needs from this arrival up to the next.
    pub needs: QuantityView,
    /// What should be left.
    pub safety_stock: QuantityView,
    /// Usable when it arrives.
    pub usable_at_arrival: QuantityView,
    /// What of that goes out of date unused before the next arrival.
    pub spoils: QuantityView,
    /// What is wanted.
    pub wanted: QuantityView,
    /// The same as it stands on paper.
    pub printed: PrintedView,
    /// The same in packs before rounding up, six decimals.
    #[schema(example = "1.043042")]
    pub in_packs: String,
    /// The pack.
    #[schema(example = "whole-milk-case")]
    pub pack: String,
    /// Whole packs to order.
    pub packs: i64,
    /// How many of them were brought forward from later cutoffs.
    pub forward: i64,
    /// Price of one pack at this number of packs, in minor units; none if not known.
    #[schema(example = "1260")]
    pub pack_price_minor_units: Option<String>,
    /// What all packs cost; none if not known.
    pub line_cost: Option<MoneyView>,
    /// A larger number of packs that costs less, where what is over is used in time.
    pub next_break: Option<NextBreakView>,
    /// Smaller packs that would do in place of the last whole one and cost less, where
    /// nobody knows that the rest of it keeps.
    pub split: Option<SplitView>,
}

/// Smaller packs in place of a whole one.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SplitView {
    /// Which pack.
    #[schema(example = "whole-milk-1-l")]
    pub pack: String,
    /// How many of it.
    #[schema(example = 2)]
    pub packs: i64,
    /// What it holds, as it is bought.
    #[schema(example = "1 L")]
    pub holds: String,
    /// What they save, with the surcharge for splitting.
    pub saves: MoneyView,
}

/// A price break worth going up to.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NextBreakView {
    /// From this many packs.
    #[schema(example = 20)]
    pub packs: i64,
    /// What the larger number saves.
    pub saves: MoneyView,
}

/// Projects a plan to what should be ordered.
///
/// # Errors
/// [`ShortageError`]
pub fn proposals(morning: &Morning) -> Result<ProposalsView, ShortageError> {
    let Morning { bakery, book, plan, now, .. } = morning;
    let found = supplier_orders(bakery, book, plan, *now)?;
    let mut rows = Vec::with_capacity(found.len());
    for one in &found {
        rows.push(proposal(morning, one)?);
    }
    Ok(ProposalsView {
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, morning.now),
        until: morning.until.to_string(),
        proposals: rows,
    })
}

fn proposal(morning: &Morning, found: &SupplierOrderProposal) -> Result<ProposalView, Overflow> {
    let bakery = &morning.bakery;
    let zone = &bakery.site().time_zone;
    let supplier = &bakery.lists().suppliers[found.supplier as usize];
    let money = |minor_units| MoneyView::new(minor_units, supplier.minimum_order.currency);
    let basket = |basket: Basket| BasketView {
        goods: money(basket.goods_minor),
        total_to_end: money(basket.total_to_end_minor),
    };
    let (choice, because) = words(found);
    let saved = found.filled.filter(|_| found.choice == Choice::Fill);
    let mut lines = Vec::with_capacity(found.lines.len());
    for one in &found.lines {
        lines.push(line(morning, one, &money)?);
    }
    Ok(ProposalView {
        supplier: supplier.code.to_string(),
        cutoff: instant(zone, found.arrival.cutoff),
        arrives: instant(zone, found.arrival.arrives),
        choice,
        because,
        alone: basket(found.alone),
        filled: found.filled.map(basket),
        minimum_order: money(supplier.minimum_order.minor),
        gap: money(found.gap_minor),
        carriage: money(found.carriage_minor),
        saves: saved
            .map(|filled| money(found.alone.total_to_end_minor - filled.total_to_end_minor)),
        order_value: money(found.goods_minor),
        lines,
    })
}

const fn words(found: &SupplierOrderProposal) -> (&'static str, Sentence) {
    let (word, message) = match found.choice {
        Choice::AsIs => ("as-is", "proposal-as-is"),
        Choice::Fill => ("fill", "proposal-fill"),
        Choice::PayCarriage => ("pay-carriage", "proposal-pay-carriage"),
        Choice::Refused => ("refused-below-minimum", "proposal-refused"),
    };
    (word, Sentence::of(message))
}

fn line(
    morning: &Morning,
    found: &SupplierOrderLine,
    money: &dyn Fn(i64) -> MoneyView,
) -> Result<ProposalLineView, Overflow> {
    let bakery = &morning.bakery;
    let item = bakery.item(found.item);
    let amount = |micro| QuantityView::whole(micro, item.base_unit);
    let wanted = found.quantity.order_micro;
    Ok(ProposalLineView {
        item: item.code.to_string(),
        name: item.name.clone(),
        pressing: if found.quantity.must { "must" } else { "top-up" },
        needs: amount(found.quantity.needs_micro),
        safety_stock: amount(found.safety_micro),
        usable_at_arrival: amount(found.quantity.usable_micro),
        spoils: amount(found.quantity.spoils_micro),
        wanted: amount(wanted),
        printed: printed::amount(wanted, item.base_unit),
        in_packs: found.in_packs.to_decimal(6),
        pack: bakery.lists().packs[found.pack as usize].code.to_string(),
        packs: found.packs,
        forward: found.forward,
        pack_price_minor_units: found.pack_price.map(|price| price.to_decimal(6)),
        line_cost: found.minor.map(money),
        next_break: found
            .next_break
            .map(|(packs, saves)| NextBreakView { packs, saves: money(saves) }),
        split: found.split.map(|split| {
            let pack = &bakery.lists().packs[split.pack as usize];
            SplitView {
                pack: pack.code.to_string(),
                packs: split.packs,
                holds: printed::pack(pack),
                saves: money(split.saves_minor),
            }
        }),
    })
}
