//! Receipts as they come in.

use crate::{
    document::{
        Fault, Reader,
        amount::{MoneyBody, QuantityBody},
    },
    service::stock::{Receipt, ReceiptPrice},
};
use domain::{
    lot::{LotState, LotUse},
    quantity::Quantity,
};
use serde::Deserialize;
use utoipa::ToSchema;

/// Something came in, was baked, or is on its way.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReceiptBody {
    /// Code of an item or product.
    #[schema(example = "whole-milk")]
    pub item: String,
    /// The name on the pack.
    #[schema(example = "M-0611")]
    pub lot: String,
    /// How much, more than nothing; a volume or count is converted by density or usable weight.
    pub quantity: QuantityBody,
    /// Local date on which it came.
    #[schema(example = "2026-06-05")]
    pub received: String,
    /// Never used after this local date; excludes `best_before`.
    #[schema(example = "2026-06-11")]
    pub use_by: Option<String>,
    /// At its best until this local date; excludes `use_by`.
    #[schema(example = "2026-08-20")]
    pub best_before: Option<String>,
    /// Last instant of use, where hours count.
    #[schema(example = "2026-06-12T11:00:00+02:00")]
    pub usable_until: Option<String>,
    /// Where it is put.
    #[schema(example = "chiller")]
    pub place: Option<String>,
    /// Who sent it.
    #[schema(example = "dairy")]
    pub supplier: Option<String>,
    /// What may be done with it; `released` if absent.
    pub state: Option<ReceiptStateBody>,
    /// `ingredient` for finished pieces that are only used in other products.
    #[serde(rename = "use")]
    pub usage: Option<ReceiptUseBody>,
    /// Local bake date of finished pieces.
    #[schema(example = "2026-06-11")]
    pub baked: Option<String>,
    /// When it will be put away; with state `expected`, and only with it.
    #[schema(example = "2026-06-12T06:00:00+02:00")]
    pub arrives: Option<String>,
    /// When it was mixed or built, if it was made here: its age counts from here.
    #[schema(example = "2026-06-10T02:00:00+02:00")]
    pub made_at: Option<String>,
    /// What it cost; without it, what the price list says for its date. If that says nothing,
    /// what waste and balances of it are worth is not known.
    pub price: Option<ReceiptPriceBody>,
    /// Who took it in.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// The delivery note or other document behind it.
    #[schema(example = "delivery note 4711")]
    pub document: Option<String>,
}

/// What something cost.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReceiptPriceBody {
    /// The money, without tax.
    pub money: MoneyBody,
    /// For how much of it; for the whole receipt if absent.
    pub per: Option<QuantityBody>,
}

/// What may be done with what came in.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum ReceiptStateBody {
    /// It may be used.
    Released,
    /// It must not be used yet.
    Hold,
    /// It is on its way.
    Expected,
    /// It came frozen.
    Frozen,
}

/// What finished pieces may be used for.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum ReceiptUseBody {
    /// Only in other products.
    Ingredient,
}

impl ReceiptBody {
    /// The receipt as the ledger takes it.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Receipt, Vec<Fault>> {
        let Self {
            item,
            lot,
            quantity,
            received,
            use_by,
            best_before,
            usable_until,
            place,
            supplier,
            state,
            usage,
            baked,
            arrives,
            made_at,
            price,
            who,
            document,
        } = self;
        let mut reader = Reader::default();
        let date = |reader: &mut Reader, field: &str, text: &Option<String>| {
            text.as_deref().map(|text| reader.date(field, text))
        };
        let instant = |reader: &mut Reader, field: &str, text: &Option<String>| {
            text.as_deref().map(|text| reader.instant(field, text))
        };
        let receipt = Receipt {
            item: reader.code("item", item),
            lot: reader.words("lot", lot),
            quantity: reader.quantity("quantity", quantity),
            received: reader.date("received", received),
            use_by: date(&mut reader, "use_by", use_by),
            best_before: date(&mut reader, "best_before", best_before),
            usable_until: instant(&mut reader, "usable_until", usable_until),
            place: reader.code_option("place", place.as_deref()),
            supplier: reader.code_option("supplier", supplier.as_deref()),
            state: match state {
                Some(ReceiptStateBody::Released) | None => LotState::Released,
                Some(ReceiptStateBody::Hold) => LotState::Hold,
                Some(ReceiptStateBody::Expected) => LotState::Expected,
                Some(ReceiptStateBody::Frozen) => LotState::Frozen,
            },
            usage: match usage {
                Some(ReceiptUseBody::Ingredient) => LotUse::Ingredient,
                None => LotUse::Any,
            },
            baked: date(&mut reader, "baked", baked),
            arrives: instant(&mut reader, "arrives", arrives),
            made_at: instant(&mut reader, "made_at", made_at),
            price: price.as_ref().map(|ReceiptPriceBody { money, per }| {
                reader.at("price", |reader| ReceiptPrice {
                    money: reader.money("money", money),
                    per: reader.quantity_option("per", per.as_ref()),
                })
            }),
            who: reader.words_option("who", who.as_deref()),
            document: reader.words_option("document", document.as_deref()),
        };
        check(&mut reader, &receipt, quantity);
        let faults = reader.into_faults();
        if faults.is_empty() { Ok(receipt) } else { Err(faults) }
    }
}

/// What the fields of a receipt say together.
fn check(reader: &mut Reader, receipt: &Receipt, quantity: &QuantityBody) {
    // An amount that cannot be read was named already.
    let readable = Quantity::parse(&quantity.amount, &quantity.unit).is_ok();
    if readable && receipt.quantity.micro() <= 0 {
        let detail = format!("{} came: write more than nothing", receipt.quantity);
        reader.fault("quantity/amount", "out-of-range", detail);
    }
    if receipt.price.is_some_and(|price| price.money.minor < 0) {
        reader.fault("price/money/minor_units", "out-of-range", "a price is 0 or more");
    }
    if receipt.use_by.is_some() && receipt.best_before.is_some() {
        let detail = "use_by and best_before exclude each other: write what the pack says";
        reader.fault("best_before", "field-mismatch", detail);
    }
    match (receipt.state, receipt.arrives) {
        (LotState::Expected, None) => {
            let detail = "arrives is missing: say when the expected goods are put away";
            reader.fault("arrives", "field-mismatch", detail);
        }
        (LotState::Released | LotState::Open | LotState::Frozen, Some(_)) => {
            let detail = "arrives is only for state expected: leave it out for what is here";
            reader.fault("arrives", "field-mismatch", detail);
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::decode;

    #[test]
    fn all_faults_of_a_receipt_are_told_at_once() {
        let body: ReceiptBody = decode(
            br#"{"item": "Milk", "lot": "", "quantity": {"amount": "-1", "unit": "L"},
                "received": "2026-02-29", "use_by": "2026-06-11", "best_before": "2026-06-12",
                "state": "expected"}"#,
        )
        .expect("a body");
        let faults = body.read().expect_err("faults");
        let found: Vec<_> =
            faults.iter().map(|fault| (fault.pointer.as_str(), fault.kind)).collect();
        assert_eq!(
            found,
            [
                ("/item", "malformed"),
                ("/lot", "malformed"),
                ("/received", "malformed"),
                ("/quantity/amount", "out-of-range"),
                ("/best_before", "field-mismatch"),
                ("/arrives", "field-mismatch"),
            ]
        );
    }
}
