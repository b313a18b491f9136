//! Who got something of a lot, as it is answered.

use super::ReachView;
use crate::{
    messages::Sentence,
    service::trace::Recipient,
    wire::{
        amount::{QuantityView, instant},
        named,
    },
};
use domain::bakery::Bakery;
use serde::Serialize;
use utoipa::ToSchema;

/// Somebody who got, or may have got, something of a lot.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RecipientView {
    /// Code of the customer; null if only a document is known.
    #[schema(example = "harbour-cafe")]
    pub customer: Option<String>,
    /// What people call the customer.
    #[schema(example = "Harbour Cafe")]
    pub name: Option<String>,
    /// The sender's name for the order, or the document.
    #[schema(example = "till-2-000481")]
    pub order_ref: Option<String>,
    /// For which local date.
    #[schema(example = "2026-06-12")]
    pub service_date: Option<String>,
    /// Local time of the drop.
    #[schema(example = "07:00")]
    pub drop: Option<String>,
    /// The product or item.
    #[schema(value_type = String, example = "sugar-bun")]
    pub product: Sentence,
    /// Name of the lot that was sent; null if nobody wrote it down.
    #[schema(example = "260612-1")]
    pub lot: Option<String>,
    /// How much was sent, or ordered if nobody wrote down what was sent.
    pub quantity: QuantityView,
    /// When it was sent; null if nobody wrote it down.
    #[schema(example = "2026-06-12T06:30:00+02:00")]
    pub sent_at: Option<String>,
    /// How far it is.
    #[serde(flatten)]
    pub reach: ReachView,
}

impl RecipientView {
    /// A recipient.
    #[must_use]
    pub fn new(bakery: &Bakery, one: &Recipient) -> Self {
        let Recipient {
            customer,
            name,
            order_ref,
            service_date,
            drop,
            product,
            lot,
            micro,
            unit,
            sent_at,
            reach,
        } = one;
        Self {
            customer: customer.clone(),
            name: name.clone(),
            order_ref: order_ref.clone(),
            service_date: service_date.map(|date| date.to_string()),
            drop: drop.clone(),
            product: named::made(bakery, product),
            lot: lot.clone(),
            quantity: QuantityView::whole(*micro, *unit),
            sent_at: sent_at.map(|at| instant(&bakery.site().time_zone, at)),
            reach: ReachView::new(reach),
        }
    }
}
