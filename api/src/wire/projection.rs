//! The projected balance of one item, need by need.

use super::{
    amount::{QuantityView, instant},
    requirements::user_code,
};
use crate::service::plan::Morning;
use domain::plan::{ItemStock, ShortageError, supplier_orders, with_orders};
use serde::Serialize;
use utoipa::ToSchema;

/// The projected balance of one item; amounts in its base unit.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProjectionView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// Last service date looked at.
    #[schema(example = "2026-06-13")]
    pub until: String,
    /// Which item.
    #[schema(example = "butter-sheet")]
    pub item: String,
    /// Whether proposed supplier orders count as on their way.
    pub with_proposals: bool,
    /// Its needs in order of time.
    pub rows: Vec<ProjectionRowView>,
    /// What goes out of date before a need takes it.
    pub expired: Vec<ExpiredView>,
}

/// One need and what covers it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProjectionRowView {
    /// The start of the step that takes it.
    #[schema(example = "2026-06-11T08:00:00+02:00")]
    pub at: String,
    /// The formula or product that takes it.
    #[serde(rename = "for")]
    #[schema(example = "laminated")]
    pub used_in: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// How much it takes.
    pub amount: QuantityView,
    /// From which lots, in the order in which they are used.
    pub from: Vec<DrawnView>,
    /// What nothing covers.
    pub unmet: QuantityView,
    /// What is usable right after.
    pub balance: QuantityView,
}

/// What one lot gives.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DrawnView {
    /// The lot's name; a proposed order is `order SUPPLIER DATE`.
    #[schema(example = "BS-1")]
    pub lot: String,
    /// How much of it.
    pub amount: QuantityView,
}

/// What goes out of date unused.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ExpiredView {
    /// The lot's name.
    pub lot: String,
    /// How much of it.
    pub amount: QuantityView,
    /// Its last instant.
    pub at: String,
}

/// Projects the stock of one item; none if the plan takes nothing of it.
///
/// # Errors
/// [`ShortageError`]
pub fn projection(
    morning: &Morning,
    item: u32,
    with_proposals: bool,
) -> Result<ProjectionView, ShortageError> {
    let Morning { bakery, book, plan, now, .. } = morning;
    let mut view = ProjectionView {
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, morning.now),
        until: morning.until.to_string(),
        item: bakery.item(item).code.to_string(),
        with_proposals,
        rows: Vec::new(),
        expired: Vec::new(),
    };
    let Some(stock) = plan.stock.iter().find(|stock| stock.item == item) else { return Ok(view) };
    let proposals =
        if with_proposals { supplier_orders(bakery, book, plan, *now)? } else { Vec::new() };
    let (lots, netting) = with_orders(bakery, book, plan, stock, &proposals, *now)?;
    let zone = &bakery.site().time_zone;
    let unit = bakery.item(item).base_unit;
    let drawn = |(lot, micro): (usize, i64)| DrawnView {
        lot: lots[lot].name.clone(),
        amount: QuantityView::whole(micro, unit),
    };
    let drawn_then = netting.allocations.iter().zip(&netting.balances);
    for (need, (allocation, &balance)) in needs(morning, stock).zip(drawn_then) {
        view.rows.push(ProjectionRowView {
            at: instant(zone, need.at),
            used_in: user_code(morning, need.user),
            service_date: need.service_date.to_string(),
            amount: QuantityView::whole(need.micro, unit),
            from: allocation.from.iter().copied().map(drawn).collect(),
            unmet: QuantityView::whole(allocation.unmet_micro, unit),
            balance: QuantityView::whole(balance, unit),
        });
    }
    view.expired = netting
        .spoiled
        .iter()
        .map(|spoiled| ExpiredView {
            lot: lots[spoiled.lot].name.clone(),
            amount: QuantityView::whole(spoiled.micro, unit),
            at: instant(zone, spoiled.at),
        })
        .collect();
    Ok(view)
}

fn needs<'a>(
    morning: &'a Morning,
    stock: &'a ItemStock,
) -> impl Iterator<Item = &'a domain::plan::Need> {
    stock.needs.iter().map(|&at| &morning.plan.needs[at as usize])
}
