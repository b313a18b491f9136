//! Packs: what can be ordered, and for how much.

use super::{
    Reader, Record,
    amount::{MoneyBody, QuantityBody},
};
use domain::supplier::{Break, Gtin, Pack, PackPrice};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// One pack of an item that can be ordered from a supplier.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PackBody {
    /// Its code.
    #[schema(example = "strong-white-25-kg")]
    pub code: String,
    /// What is in it.
    #[schema(example = "strong-white")]
    pub item: String,
    /// Who sells it.
    #[schema(example = "mill")]
    pub supplier: String,
    /// How much it holds.
    pub holds: QuantityBody,
    /// The pack inside that is opened at once.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inner: Option<QuantityBody>,
    /// Its price, for `price_per` or for the whole pack.
    pub price: MoneyBody,
    /// What the price is for, if not the pack.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price_per: Option<QuantityBody>,
    /// Prices for many packs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub breaks: Vec<BreakBody>,
    /// Life agreed at arrival.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "P60D")]
    pub minimum_life: Option<String>,
    /// Least and most that a pack sold by received weight holds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub catch_weight: Option<CatchWeightBody>,
    /// First date of delivery for which the price holds; always if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub valid_from: Option<String>,
    /// Later prices, each from its own date on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub prices: Vec<PackPriceBody>,
    /// Packs with one word here are counted together for their breaks.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "flour-bags")]
    pub price_group: Option<String>,
    /// Its GTIN.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "09506000134352")]
    pub gtin: Option<String>,
    /// Whether it may be ordered; it may if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub orderable: Option<bool>,
    /// Packs are ordered in multiples of this, such as a pallet layer; 1 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1)]
    pub multiple: Option<i64>,
    /// The larger pack that is split for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "whole-milk-case")]
    pub split_of: Option<String>,
    /// What the supplier asks for a line of split packs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub split_surcharge: Option<MoneyBody>,
    /// What is paid for its crate and comes back with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deposit: Option<MoneyBody>,
    /// Tax on its price, percent; all prices are without it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "9")]
    pub tax: Option<String>,
}

/// A price that holds from a date on.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PackPriceBody {
    /// First date of delivery for which it holds.
    #[schema(example = "2026-07-01")]
    pub valid_from: String,
    /// The price, for `price_per` or for the whole pack.
    pub price: MoneyBody,
    /// What the price is for, if not the pack.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price_per: Option<QuantityBody>,
    /// Prices for many packs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub breaks: Vec<BreakBody>,
}

impl PackPriceBody {
    fn read(&self, reader: &mut Reader) -> PackPrice {
        let Self { valid_from, price, price_per, breaks } = self;
        PackPrice {
            valid_from: reader.date("valid_from", valid_from),
            price: reader.money("price", price),
            per: reader.quantity_option("price_per", price_per.as_ref()),
            breaks: read_breaks(reader, breaks),
        }
    }
}

fn read_breaks(reader: &mut Reader, breaks: &[BreakBody]) -> Vec<Break> {
    reader.each("breaks", breaks, |reader, BreakBody { from_packs, price }| Break {
        from_packs: *from_packs,
        price: reader.money("price", price),
    })
}

/// A price that holds from a number of packs.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BreakBody {
    /// From this many packs.
    #[schema(example = 20)]
    pub from_packs: i64,
    /// Price of one pack then.
    pub price: MoneyBody,
}

/// Least and most that a pack sold by received weight holds.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CatchWeightBody {
    /// Least.
    pub low: QuantityBody,
    /// Most.
    pub high: QuantityBody,
}

impl Record for PackBody {
    const NOUN: &'static str = "packs";

    fn code(&self) -> &str {
        &self.code
    }
}

impl PackBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Pack {
        let Self {
            code,
            item,
            supplier,
            holds,
            inner,
            price,
            price_per,
            breaks,
            minimum_life,
            catch_weight,
            valid_from,
            prices,
            price_group,
            gtin,
            orderable,
            multiple,
            split_of,
            split_surcharge,
            deposit,
            tax,
        } = self;
        let first = PackPrice {
            valid_from: valid_from
                .as_ref()
                .map_or(Date::MIN, |date| reader.date("valid_from", date)),
            price: reader.money("price", price),
            per: reader.quantity_option("price_per", price_per.as_ref()),
            breaks: read_breaks(reader, breaks),
        };
        let later = reader.each("prices", prices, |reader, price| price.read(reader));
        let money = |reader: &mut Reader, field: &str, money: &Option<MoneyBody>| {
            money.as_ref().map(|money| reader.money(field, money))
        };
        Pack {
            code: reader.code("code", code),
            item: reader.code("item", item),
            supplier: reader.code("supplier", supplier),
            holds: reader.quantity("holds", holds),
            inner: reader.quantity_option("inner", inner.as_ref()),
            prices: std::iter::once(first).chain(later).collect(),
            price_group: reader.code_option("price_group", price_group.as_deref()),
            minimum_life_minutes: reader.minutes_option("minimum_life", minimum_life.as_deref()),
            catch_weight: catch_weight.as_ref().map(|CatchWeightBody { low, high }| {
                reader.at("catch_weight", |reader| {
                    (reader.quantity("low", low), reader.quantity("high", high))
                })
            }),
            gtin: gtin.as_deref().and_then(|text| read_gtin(reader, text)),
            orderable: orderable.unwrap_or(true),
            multiple: multiple.unwrap_or(1),
            split_of: reader.code_option("split_of", split_of.as_deref()),
            split_surcharge: money(reader, "split_surcharge", split_surcharge),
            deposit: money(reader, "deposit", deposit),
            tax_percent: reader.decimal_option("tax", tax.as_deref()),
        }
    }
}

fn read_gtin(reader: &mut Reader, text: &str) -> Option<Gtin> {
    let read = Gtin::parse(text);
    if let Err(error) = &read {
        reader.fault("gtin", "malformed", error.to_string());
    }
    read.ok()
}
