//! An order's lines and sums as they are kept: prices as they stood when it was written.

use domain::supplier_order::OrderedLine;
use serde::{Deserialize, Serialize};

/// The lines and sums of an order; money in minor units of the shop's currency.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OrderBody {
    /// ISO 4217.
    pub currency: String,
    /// Its lines, numbered from 1.
    pub lines: Vec<LineBody>,
    /// Goods as far as prices are known.
    pub goods_minor: i64,
    /// What the value of the goods takes off.
    pub off_minor: i64,
    /// Carriage below the minimum.
    pub carriage_minor: i64,
    /// Deposits.
    pub deposit_minor: i64,
    /// Tax by rate in percent.
    pub tax: Vec<(String, i64)>,
    /// Lines of which nobody wrote the tax.
    pub tax_unknown: usize,
    /// What the goods must reach.
    pub minimum_minor: i64,
    /// Whether the supplier takes no order below that.
    pub refused_below: bool,
    /// The supplier's own name for the order.
    pub their_reference: Option<String>,
}

/// One line of an order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LineBody {
    /// Its number, from 1.
    pub number: i64,
    /// Code of the item.
    pub item: String,
    /// What people call it.
    pub item_name: String,
    /// Code of the pack.
    pub pack: String,
    /// What one pack holds, as the supplier states it.
    pub holds: (String, String),
    /// What one pack holds at least, in millionths of the item's base unit.
    pub least_micro: i64,
    /// Whether packs are of uneven weight.
    pub uneven: bool,
    /// Its GTIN.
    pub gtin: Option<String>,
    /// What was ordered.
    pub packs: i64,
    /// What the supplier brings, once it said so.
    pub agreed: Option<i64>,
    /// Why that differs.
    pub cut_reason: Option<String>,
    /// What came and was taken in.
    pub received: i64,
    /// What came and was sent back.
    pub refused: i64,
    /// Whether nothing more is waited for.
    pub settled: bool,
    /// The price that holds; none if not known.
    pub price: Option<StatedPrice>,
    /// What is asked for splitting a larger pack.
    pub surcharge_minor: i64,
    /// All packs, rounded half up; none if not known.
    pub minor: Option<i64>,
    /// Percent of tax, if somebody wrote it.
    pub tax: Option<String>,
    /// Life agreed at arrival, in minutes.
    pub life_minutes: Option<i64>,
}

/// A price for a stated amount.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StatedPrice {
    /// Minor units.
    pub minor: i64,
    /// What they are for: amount and unit.
    pub per: (String, String),
    /// The exact price of one nominal pack in minor units, a decimal of six places.
    pub each: String,
}

impl LineBody {
    /// Its packs.
    #[must_use]
    pub const fn counts(&self) -> OrderedLine {
        OrderedLine {
            packs: self.packs,
            agreed: self.agreed,
            received: self.received,
            settled: self.settled,
        }
    }
}
