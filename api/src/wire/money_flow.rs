//! Where money came from and went to: the stock ledger in minor units.

use super::{
    amount::{MoneyView, instant},
    cost::at_least,
    csv,
};
use crate::{
    messages::Sentence,
    service::{
        Refusal,
        plan::refused,
        valuation::{Ledger, MoneyFlow, minor, money_flow},
    },
};
use domain::{figure::Figure, money::whole_minor, valuation::Worth};
use jiff::civil::Date;
use serde::Serialize;
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
    #[schema(value_type = String, example = "1834.20 EUR came, and 1834.20 EUR is accounted for")]
    pub printed: Sentence,
}

/// One line of a money flow.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FlowLineView {
    /// `left-before`, `made-before`, `received`; or `wasted`, `sent`, `returned`, `counted`,
    /// `left`, `left-made`, `in-work`.
    #[schema(example = "received")]
    pub of: &'static str,
    /// The same in words.
    #[schema(value_type = String)]
    pub name: Sentence,
    /// How much.
    pub money: MoneyView,
    /// The sum in words.
    #[schema(value_type = String)]
    pub printed: Sentence,
}

/// Minor units of the bakery's currency.
pub(super) fn money(ledger: &Ledger, minor_units: i64) -> MoneyView {
    MoneyView::new(minor_units, ledger.bakery.site().currency)
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
        let figures: Vec<Figure> = lines.iter().map(|(.., worth)| minor(*worth)).collect();
        let minor = whole_minor(&figures).map_err(refused)?;
        let line = |(&(of, name, _), minor): (&(&'static str, &'static str, Worth), &i64)| {
            let money = money(ledger, *minor);
            let (name, printed) = (Sentence::of(name), Sentence::amount(money.said()));
            FlowLineView { of, name, printed, money }
        };
        Ok::<_, Refusal>(lines.iter().zip(&minor).map(line).collect::<Vec<_>>())
    };
    let came = lines(&[
        ("left-before", "flow-left-before", left_before),
        ("made-before", "flow-made-before", made_before),
        ("received", "flow-received", received),
    ])?;
    let went = lines(&[
        ("sent", "flow-sent", sent),
        ("wasted", "flow-wasted", wasted),
        ("returned", "flow-returned", returned),
        ("counted", "flow-counted", counted),
        ("left", "flow-left", left),
        ("left-made", "flow-left-made", left_made),
        ("in-work", "flow-in-work", in_work),
    ])?;
    let total = money(ledger, came.iter().map(|line| line.money.minor_units).sum());
    let issued = minor(issued).rounded(0);
    let issued = i64::try_from(&issued).map_err(refused)?;
    let sum = || Sentence::amount(total.said());
    let printed = Sentence::of("cost-came-accounted").with("came", sum()).with("went", sum());
    let printed = at_least(printed, missing.len());
    Ok(MoneyFlowView {
        bakery: ledger.bakery.site().name.clone(),
        made_at: instant(&ledger.bakery.site().time_zone, ledger.now),
        kind: "actual",
        from: from.to_string(),
        to: to.to_string(),
        came,
        went,
        total,
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
            let name = name.wired();
            [side, *of, &name, &minor, &money.currency].map(str::to_owned).to_vec()
        }
    };
    let head = ["side", "of", "name", "minor_units", "currency"];
    let rows = view.came.iter().map(row("came")).chain(view.went.iter().map(row("went")));
    csv::table(&head, rows)
}
