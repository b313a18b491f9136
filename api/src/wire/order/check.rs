//! An order that is only asked about, and what can be said of it.

use super::{LinesRuleBody, OrderBody, OrderLineBody, OverStandingBody, VERSION_MAX};
use crate::{
    document::{Fault, Reader, site::CounterParBody},
    messages::Sentence,
    service::orders::{
        Asked, Line,
        check::{Check, is_in_time, reason, sentence},
    },
    wire::amount::{QuantityView, instant},
};
use domain::{
    bakery::Bakery,
    book::Book,
    plan::check::{FirstStep, LineAnswer, LoadOf, Sources, ToOrder},
};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use utoipa::ToSchema;

/// One whole order that is only asked about; the body of an order, its version left to you.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CheckBody {
    /// The sender's name for the order, 1 to 200 characters; what is held under it counts
    /// as the customer's already.
    #[schema(example = "till-2-000481")]
    pub order_ref: String,
    /// The sender's number of this version; the next one if absent.
    #[schema(example = 1)]
    pub version: Option<i64>,
    /// Code of the customer.
    #[schema(example = "harbour-cafe")]
    pub customer: String,
    /// Local date on which the goods are sold or delivered; never inferred.
    #[schema(example = "2026-06-13", required = true)]
    pub service_date: Option<String>,
    /// Local time of delivery or collection, `HH:MM`; never inferred.
    #[schema(example = "07:00", required = true)]
    pub drop: Option<String>,
    /// What is wanted.
    pub lines: Vec<OrderLineBody>,
    /// What happens to good lines beside bad ones; `line_by_line` if absent.
    pub lines_rule: Option<LinesRuleBody>,
    /// What it means for a standing order of its drop; as in an order.
    pub standing: Option<OverStandingBody>,
    /// What it means for the counter par of its customer; as in an order.
    pub counter_par: Option<CounterParBody>,
}

impl CheckBody {
    /// The order as it would be asked for.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Asked, Vec<Fault>> {
        self.order().read()
    }

    /// The order as far as it can be read; its faults go to the reader.
    pub fn read_with(&self, reader: &mut Reader) -> Asked {
        self.order().read_with(reader)
    }

    fn order(&self) -> OrderBody {
        let Self {
            order_ref,
            version,
            customer,
            service_date,
            drop,
            lines,
            lines_rule,
            standing,
            counter_par,
        } = self.clone();
        let version = version.unwrap_or(VERSION_MAX);
        OrderBody {
            order_ref,
            version,
            customer,
            service_date,
            drop,
            lines,
            lines_rule,
            standing,
            counter_par,
        }
    }
}

/// What would become of an order if it came now; nothing of it is kept.
#[derive(Debug, Serialize, ToSchema)]
pub struct OrderCheckView {
    /// The sender's name for the order.
    #[schema(example = "till-2-000481")]
    pub order_ref: String,
    /// What the answer would be: `taken`, `taken-late-asking`, `part-taken`, `refused` or
    /// `held-duplicate`.
    #[schema(example = "taken")]
    pub would_be: &'static str,
    /// Whether it would have no effect because a higher version or a cancellation is held.
    pub stale: bool,
    /// What can be said of each line.
    pub lines: Vec<CheckLineView>,
    /// What has to be bought for it, and until when.
    pub to_order: Vec<ToOrderView>,
    /// The last moment for changes that applies; null if none is known.
    #[schema(example = "2026-06-11T12:54:00+02:00")]
    pub cutoff: Option<String>,
    /// The plan revision that it was judged against.
    #[schema(example = 17)]
    pub plan_revision: i64,
    /// When it was judged.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// What could not be judged.
    #[schema(value_type = Vec<String>, example = json!([]))]
    pub notes: Vec<Sentence>,
}

/// What can be said of a line.
#[derive(Debug, Serialize, ToSchema)]
pub struct CheckLineView {
    /// The sender's name for the line.
    #[schema(example = "1")]
    pub line_ref: String,
    /// Code of the product, as it was asked.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// The number that was asked, as it was written.
    #[schema(value_type = i64, example = 6)]
    pub quantity_asked: Box<RawValue>,
    /// Whether it could still be made: `yes`, `part` or `no`.
    #[schema(example = "yes")]
    pub could_be_made: &'static str,
    /// Most pieces up to that number that could be made.
    #[schema(example = 6)]
    pub at_most: i64,
    /// Pieces that would be taken. A line in time is taken whole even where something is
    /// still missing; a late one only as far as it takes nothing from others.
    #[schema(example = 6)]
    pub quantity_taken: i64,
    /// Where the pieces come from; null of a line that names nothing we sell.
    pub from: Option<FromView>,
    /// What stands in the way, or what is to be known: the words of an order's lines.
    #[schema(example = json!(null))]
    pub reason: Option<&'static str>,
    /// The same in a plain sentence.
    #[schema(value_type = String, example = "6 pieces can be made.")]
    pub sentence: Sentence,
    /// The customer's cutoff, or the first step if that is earlier; null if neither is known.
    #[schema(example = "2026-06-11T12:54:00+02:00")]
    pub cutoff: Option<String>,
    /// The first step that cannot be undone; null if it has no time.
    pub first_step: Option<FirstStepView>,
    /// Pieces that are begun already and that nobody would want any more.
    #[schema(example = 0)]
    pub surplus: i64,
    /// The same drop time on the next day that fits; null if this one does, or none was found.
    #[schema(example = json!(null))]
    pub earliest: Option<String>,
}

/// Where the pieces of a line come from; they add up to `at_most`.
#[derive(Debug, Serialize, ToSchema)]
pub struct FromView {
    /// The order holds them already.
    #[schema(example = 0)]
    pub held: i64,
    /// Finished pieces in stock.
    #[schema(example = 0)]
    pub stock: i64,
    /// Pieces that are made beyond what is ordered.
    #[schema(example = 0)]
    pub overs: i64,
    /// Pieces that a load makes.
    #[schema(example = 6)]
    pub load: i64,
    /// Which load: `larger` (planned anyhow, not begun), `new`, or `extra` (beside those that
    /// are begun); null if none.
    #[schema(example = "larger")]
    pub load_kind: Option<&'static str>,
}

/// The first step of a line that cannot be undone.
#[derive(Debug, Serialize, ToSchema)]
pub struct FirstStepView {
    /// What is made by it.
    #[schema(example = "bun")]
    pub item: String,
    /// The step.
    #[schema(example = "weigh")]
    pub step: String,
    /// When it starts, or started.
    #[schema(example = "2026-06-11T12:54:00+02:00")]
    pub at: String,
    /// Whether it is planned for orders that are held; if not, it would be for this one.
    pub planned: bool,
}

/// Something that has to be bought for an order.
#[derive(Debug, Serialize, ToSchema)]
pub struct ToOrderView {
    /// Which item.
    #[schema(example = "whole-milk")]
    pub item: String,
    /// How much more of it is missing than without the order.
    pub short: QuantityView,
    /// The start of the step that needs it.
    #[schema(example = "2026-06-11T12:54:00+02:00")]
    pub needed_at: String,
    /// The last moment to order it.
    #[schema(example = "2026-06-10T11:00:00+02:00")]
    pub order_until: String,
}

impl OrderCheckView {
    /// What can be said of an order that was asked about.
    #[must_use]
    pub fn new(asked: &Asked, check: &Check) -> Self {
        let Check { morning, now, settled, stale } = check;
        let bakery = &morning.bakery;
        let zone = &bakery.site().time_zone;
        let lines = settled.lines.iter().zip(&settled.answers);
        Self {
            order_ref: asked.order_ref.clone(),
            would_be: settled.state.word(),
            stale: *stale,
            lines: lines.map(|(line, answer)| line_view(check, line, answer.as_ref())).collect(),
            to_order: settled.to_order.iter().map(|one| to_order_view(bakery, one)).collect(),
            cutoff: settled.cutoff.map(|cutoff| instant(zone, cutoff)),
            plan_revision: morning.plan_revision,
            made_at: instant(zone, *now),
            notes: notes(&morning.book),
        }
    }
}

fn notes(book: &Book) -> Vec<Sentence> {
    let unjudged = Sentence::of("order-said-no-stock");
    book.lots.is_empty().then_some(unjudged).into_iter().collect()
}

fn line_view(check: &Check, line: &Line, answer: Option<&LineAnswer>) -> CheckLineView {
    let bakery = &check.morning.bakery;
    let zone = &bakery.site().time_zone;
    // A line that names nothing we sell is answered as an order's line is.
    let Some(answer) = answer else {
        let said = super::OrderLineView::new(zone, line);
        return CheckLineView {
            line_ref: said.line_ref,
            product: said.product,
            quantity_asked: said.quantity_asked,
            could_be_made: "no",
            at_most: 0,
            quantity_taken: said.quantity_taken,
            from: None,
            reason: said.reason,
            sentence: said.sentence,
            cutoff: None,
            first_step: None,
            surplus: 0,
            earliest: None,
        };
    };
    let number = RawValue::from_string(line.quantity_asked.clone());
    let in_time = is_in_time(answer, check.now);
    CheckLineView {
        line_ref: line.line_ref.clone(),
        product: line.product.clone(),
        quantity_asked: number.unwrap_or_else(|_| RawValue::NULL.to_owned()),
        could_be_made: match answer.at_most {
            most if most >= answer.asked => "yes",
            0 => "no",
            _ => "part",
        },
        at_most: answer.at_most,
        quantity_taken: line.quantity_taken,
        from: Some(FromView::new(answer.sources)),
        reason: line.reason.filter(|_| !in_time).or_else(|| reason(answer)).map(|r| r.word()),
        sentence: sentence(bakery, answer),
        cutoff: answer.cutoff.map(|cutoff| instant(zone, cutoff)),
        first_step: answer.first_step.as_ref().map(|step| first_step_view(bakery, step)),
        surplus: answer.surplus,
        earliest: answer.earliest.map(|earliest| instant(zone, earliest)),
    }
}

impl FromView {
    fn new(sources: Sources) -> Self {
        let Sources { held, stock, overs, load, load_of } = sources;
        let load_kind = load_of.map(|kind| match kind {
            LoadOf::Larger => "larger",
            LoadOf::New => "new",
            LoadOf::Extra => "extra",
        });
        Self { held, stock, overs, load, load_kind }
    }
}

pub(in crate::wire) fn first_step_view(bakery: &Bakery, step: &FirstStep) -> FirstStepView {
    let FirstStep { at, item, step, planned } = step;
    FirstStepView {
        item: bakery.item(*item).code.to_string(),
        step: step.clone(),
        at: instant(&bakery.site().time_zone, *at),
        planned: *planned,
    }
}

fn to_order_view(bakery: &Bakery, one: &ToOrder) -> ToOrderView {
    let ToOrder { item, at, short_micro, latest } = one;
    let zone = &bakery.site().time_zone;
    let found = bakery.item(*item);
    ToOrderView {
        item: found.code.to_string(),
        short: QuantityView::whole(*short_micro, found.base_unit),
        needed_at: instant(zone, *at),
        order_until: instant(zone, latest.cutoff),
    }
}
