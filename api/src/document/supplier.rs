//! Suppliers, substitutes and overheads.

use super::{
    Reader, Record,
    amount::{MoneyBody, QuantityBody},
};
use domain::supplier::{
    BelowMinimum, Delivery, HolidayRule, Overhead, Substitute, Supplier, ValueBreak,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Who sells to us.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SupplierBody {
    /// Its code.
    #[schema(example = "dairy")]
    pub code: String,
    /// What people call it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// IANA name of the zone of its cutoffs.
    #[schema(example = "Europe/Amsterdam")]
    pub time_zone: String,
    /// Days on which it neither takes orders nor delivers.
    #[serde(default)]
    pub holidays: Vec<String>,
    /// What it does with a delivery on such a day; ask if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub delivery_on_holiday: Option<HolidayRuleBody>,
    /// Weekdays on which it works; all if not said.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub working_days: Vec<String>,
    /// Goods that an order must reach.
    pub minimum_order: MoneyBody,
    /// What happens below it.
    pub below_minimum: BelowMinimumBody,
    /// What carriage costs.
    pub carriage: MoneyBody,
    /// Its table: order by then, delivered then.
    pub deliveries: Vec<DeliveryBody>,
    /// What it takes off goods from an order's value on; the highest that is reached holds.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub value_breaks: Vec<ValueBreakBody>,
    /// Where orders are sent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "orders@mill.example")]
    pub email: Option<String>,
}

/// Percent off all goods of an order, from a value of them on.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ValueBreakBody {
    /// From this value of goods.
    pub from: MoneyBody,
    /// What is taken off.
    #[schema(example = "2.5")]
    pub percent_off: String,
}

/// What a supplier does with a delivery on a day without one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum HolidayRuleBody {
    /// No delivery.
    Skip,
    /// The day before.
    Earlier,
    /// The next day.
    Later,
    /// Nothing is agreed.
    Ask,
}

/// What happens below the minimum order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BelowMinimumBody {
    /// Carriage is charged.
    Carriage,
    /// The order is refused.
    Refused,
}

/// One row of a supplier's table.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DeliveryBody {
    /// Weekday of the cutoff.
    #[schema(example = "wed")]
    pub order_day: String,
    /// Cutoff on the supplier's clock, `HH:MM`.
    #[schema(example = "11:00")]
    pub cutoff: String,
    /// Weekday of the delivery.
    #[schema(example = "thu")]
    pub delivery_day: String,
    /// Start of the delivery window on our clock.
    #[schema(example = "06:00")]
    pub window_from: String,
    /// End of it.
    #[schema(example = "06:00")]
    pub window_to: String,
}

impl Record for SupplierBody {
    const NOUN: &'static str = "suppliers";

    fn code(&self) -> &str {
        &self.code
    }
}

impl SupplierBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Supplier {
        let Self {
            code,
            name,
            time_zone,
            holidays,
            delivery_on_holiday,
            working_days,
            minimum_order,
            below_minimum,
            carriage,
            deliveries,
            value_breaks,
            email,
        } = self;
        Supplier {
            code: reader.code("code", code),
            name: reader.name(name.as_deref(), code),
            time_zone: reader.time_zone("time_zone", time_zone),
            holidays: reader.dates("holidays", holidays),
            delivery_on_holiday: match delivery_on_holiday {
                Some(HolidayRuleBody::Skip) => HolidayRule::Skip,
                Some(HolidayRuleBody::Earlier) => HolidayRule::Earlier,
                Some(HolidayRuleBody::Later) => HolidayRule::Later,
                Some(HolidayRuleBody::Ask) | None => HolidayRule::Ask,
            },
            working_days: reader.weekdays("working_days", working_days),
            minimum_order: reader.money("minimum_order", minimum_order),
            below_minimum: match below_minimum {
                BelowMinimumBody::Carriage => BelowMinimum::Carriage,
                BelowMinimumBody::Refused => BelowMinimum::Refused,
            },
            carriage: reader.money("carriage", carriage),
            deliveries: reader.each("deliveries", deliveries, |reader, row| row.read(reader)),
            value_breaks: reader.each("value_breaks", value_breaks, |reader, row| {
                let ValueBreakBody { from, percent_off } = row;
                ValueBreak {
                    from: reader.money("from", from),
                    percent_off: reader.decimal("percent_off", percent_off),
                }
            }),
            email: email.as_deref().and_then(|text| read_email(reader, text)),
        }
    }
}

/// An address as a mail program takes it: one `@`, and nothing that would end a link.
fn read_email(reader: &mut Reader, text: &str) -> Option<String> {
    let plain = |c: char| c.is_ascii_alphanumeric() || ".-_+".contains(c);
    let sound = text.split_once('@').is_some_and(|(name, host)| {
        let parts = [name, host];
        host.contains('.') && parts.iter().all(|part| !part.is_empty() && part.chars().all(plain))
    });
    if !sound || text.len() > 200 {
        reader.fault("email", "malformed", "write an address such as orders@mill.example");
        return None;
    }
    Some(text.to_owned())
}

impl DeliveryBody {
    fn read(&self, reader: &mut Reader) -> Delivery {
        let Self { order_day, cutoff, delivery_day, window_from, window_to } = self;
        Delivery {
            order_day: reader.weekday("order_day", order_day),
            cutoff: reader.time("cutoff", cutoff),
            delivery_day: reader.weekday("delivery_day", delivery_day),
            window_from: reader.time("window_from", window_from),
            window_to: reader.time("window_to", window_to),
        }
    }
}

/// What may be used instead; directed, never chained.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SubstituteBody {
    /// Its code.
    #[schema(example = "rye-by-wholemeal")]
    pub code: String,
    /// What is replaced.
    #[schema(example = "rye")]
    pub item: String,
    /// How much of it the amounts below replace.
    pub per: QuantityBody,
    /// What is used instead.
    #[serde(rename = "use")]
    pub uses: Vec<UseBody>,
    /// Whether a competent person approved it.
    pub approved: bool,
    /// The formulas in which it is allowed; all if not said.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub only_in: Vec<String>,
    /// Largest share of a line that may be replaced, percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "50")]
    pub max_share: Option<String>,
    /// Whether labels change.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label_change: Option<bool>,
    /// Whether each use must be signed off.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sign_off: Option<bool>,
}

/// An amount that is used instead.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct UseBody {
    /// The item.
    #[schema(example = "wholemeal")]
    pub item: String,
    /// How much of it.
    pub quantity: QuantityBody,
}

impl Record for SubstituteBody {
    const NOUN: &'static str = "substitutes";

    fn code(&self) -> &str {
        &self.code
    }
}

impl SubstituteBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Substitute {
        let Self { code, item, per, uses, approved, only_in, max_share, label_change, sign_off } =
            self;
        Substitute {
            code: reader.code("code", code),
            item: reader.code("item", item),
            per: reader.quantity("per", per),
            uses: reader.each("use", uses, |reader, UseBody { item, quantity }| {
                (reader.code("item", item), reader.quantity("quantity", quantity))
            }),
            approved: *approved,
            only_in: reader.codes("only_in", only_in),
            max_share_percent: reader.decimal_option("max_share", max_share.as_deref()),
            label_change: label_change.unwrap_or(false),
            sign_off: sign_off.unwrap_or(false),
        }
    }
}

/// Dusting flour and the like: in a dough's allergens, not in its formula.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OverheadBody {
    /// Its code.
    #[schema(example = "bench-dusting")]
    pub code: String,
    /// What is used.
    #[schema(example = "soft-white")]
    pub item: String,
    /// What for.
    #[serde(rename = "use")]
    #[schema(example = "bench dusting")]
    pub purpose: String,
    /// The doughs that it touches.
    pub doughs: Vec<String>,
    /// How much goes with a kilogram of dough, if that is set.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_kg: Option<QuantityBody>,
}

impl Record for OverheadBody {
    const NOUN: &'static str = "overheads";

    fn code(&self) -> &str {
        &self.code
    }
}

impl OverheadBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Overhead {
        let Self { code, item, purpose, doughs, per_kg } = self;
        Overhead {
            code: reader.code("code", code),
            item: reader.code("item", item),
            purpose: reader.words("use", purpose),
            doughs: reader.codes("doughs", doughs),
            per_kg: reader.quantity_option("per_kg", per_kg.as_ref()),
        }
    }
}
