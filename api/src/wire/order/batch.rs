//! Batches of orders, each with an outcome of its own.

use super::{OrderBody, OrderView};
use crate::{
    document::{Fault, Undecodable, decode},
    problem::{Kind, Problem, ProblemView},
    service::orders::Asked,
};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use utoipa::ToSchema;

/// Orders of one batch.
pub const BATCH_ORDERS_MAX: usize = 1_000;

/// Several orders, each with its own outcome.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BatchBody {
    /// At most 1,000 orders.
    #[schema(value_type = Vec<OrderBody>)]
    pub orders: Vec<Box<RawValue>>,
}

/// An order of a batch before anything is known of it.
#[derive(Debug)]
pub struct BatchEntry {
    /// The sender's name for it, as far as it can be read.
    pub order_ref: Option<String>,
    /// The order, or what is wrong with its body.
    pub order: Result<Asked, Problem>,
}

impl BatchBody {
    /// The orders, each by itself.
    ///
    /// # Errors
    /// A fault if there are too many.
    pub fn read(&self) -> Result<Vec<BatchEntry>, Vec<Fault>> {
        let Self { orders } = self;
        if orders.len() > BATCH_ORDERS_MAX {
            return Err(vec![Fault {
                pointer: "/orders".to_owned(),
                kind: "too-many",
                detail: format!(
                    "{} orders in one batch: send at most {BATCH_ORDERS_MAX} at a time",
                    orders.len()
                ),
            }]);
        }
        Ok(orders.iter().map(|order| BatchEntry::read(order.get())).collect())
    }
}

impl BatchEntry {
    fn read(text: &str) -> Self {
        #[derive(Deserialize)]
        struct Named {
            order_ref: Option<String>,
        }
        let named = || serde_json::from_str::<Named>(text).ok().and_then(|named| named.order_ref);
        match decode::<OrderBody>(text.as_bytes()) {
            Ok(body) => Self {
                order_ref: Some(body.order_ref.clone()),
                order: body
                    .read()
                    .map_err(|faults| Problem::from_faults(Kind::InvalidBody, faults)),
            },
            Err(Undecodable::Shape(fault)) => Self {
                order_ref: named(),
                order: Err(Problem::from_faults(Kind::InvalidBody, vec![fault])),
            },
            Err(Undecodable::NotJson(detail)) => {
                Self { order_ref: named(), order: Err(Problem::new(Kind::NotJson, detail)) }
            }
        }
    }
}

/// The outcomes of a batch, in the order of its orders.
#[derive(Debug, Serialize, ToSchema)]
pub struct OutcomesView {
    /// One outcome for each order.
    pub outcomes: Vec<OutcomeView>,
}

/// What became of one order of a batch.
#[derive(Debug, Serialize, ToSchema)]
pub struct OutcomeView {
    /// The sender's name for the order; null if it could not be read.
    #[schema(example = "till-2-000481")]
    pub order_ref: Option<String>,
    /// The HTTP status that the order alone would have been answered with.
    #[schema(example = 201)]
    pub status: u16,
    /// The order as it is held; absent if it was refused whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub order: Option<OrderView>,
    /// Why it was refused whole; absent if it was not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub problem: Option<ProblemView>,
}

impl OutcomeView {
    /// An order of a batch that is held, or was before.
    #[must_use]
    pub fn taken(order: OrderView, status: u16) -> Self {
        Self { order_ref: Some(order.order_ref.clone()), status, order: Some(order), problem: None }
    }

    /// An order of a batch that was refused whole.
    #[must_use]
    pub fn refused(order_ref: Option<String>, problem: &Problem) -> Self {
        let problem = problem.view();
        Self { order_ref, status: problem.status, order: None, problem: Some(problem) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_broken_order_of_a_batch_keeps_its_name() {
        let body: BatchBody =
            decode(br#"{"orders": [{"order_ref": "x", "version": "one"}, 7]}"#).expect("a body");
        let entries = body.read().expect("entries");
        assert_eq!(entries[0].order_ref.as_deref(), Some("x"));
        assert!(entries.iter().all(|entry| entry.order.is_err()));
    }
}
