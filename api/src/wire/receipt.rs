//! Receipts as they come in.

use crate::{
    document::{
        Fault, Reader,
        amount::{MoneyBody, QuantityBody},
    },
    service::stock::{Receipt, ReceiptPrice, Scanned},
};
use domain::{
    id::Code,
    item::AllergenRecord,
    lot::{LotState, LotUse},
    quantity::{Quantity, Unit},
    scan::Element,
};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Something came in, was baked, or is on its way.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReceiptBody {
    /// What a scanner read from the pack: it says what is not written here.
    #[schema(example = json!(null))]
    pub scan: Option<String>,
    /// How many scanned packs came; as the code says, or 1, if absent.
    #[schema(example = json!(null))]
    pub packs: Option<i64>,
    /// Code of an item or product; required unless a scan says it.
    #[schema(example = "whole-milk")]
    pub item: Option<String>,
    /// The name on the pack; the house gives one of supplier, date and line if there is none.
    #[schema(example = "M-0611")]
    pub lot: Option<String>,
    /// How much, more than nothing, required unless a scan says it; a volume or count is
    /// converted by density or usable weight.
    pub quantity: Option<QuantityBody>,
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
    /// Allergens as they stand on this pack, if somebody read them: a pack that says otherwise
    /// than the record of the item goes on hold.
    pub allergens: Option<PackAllergensBody>,
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

/// Allergens as they stand on a pack.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PackAllergensBody {
    /// What is in it.
    #[serde(default)]
    #[schema(example = json!(["wheat"]))]
    pub contains: Vec<String>,
    /// What may be in it.
    #[serde(default)]
    #[schema(example = json!(["sesame"]))]
    pub may_contain: Vec<String>,
    /// Which edition of the text it is, as the pack numbers it.
    #[schema(example = "2026-05")]
    pub version: Option<String>,
    /// Where it was read; the pack if absent.
    #[schema(example = "the pack")]
    pub source: Option<String>,
}

/// A code on a pack that was scanned.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ScanBody {
    /// What the scanner or the hand read, at most 500 characters.
    #[schema(example = "(01)09506000134352(17)261130(10)LOT7(3103)001250")]
    pub scan: String,
    /// How many such packs came; as the code says, or 1, if absent.
    #[schema(example = json!(null))]
    pub packs: Option<i64>,
}

/// One identifier of a code with its value.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ScanElementView {
    /// Which identifier.
    #[schema(example = "10")]
    pub identifier: String,
    /// Its value.
    #[schema(example = "LOT7")]
    pub value: String,
}

/// A receipt as a code says it, to be looked at and posted.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ReceiptDraftView {
    /// What the code says, in order.
    pub elements: Vec<ScanElementView>,
    /// The same as people read it.
    #[schema(example = "(01)09506000134352(17)261130(10)LOT7(3103)001250")]
    pub bracketed: String,
    /// The pack with that number.
    pub pack: Option<String>,
    /// What is in it.
    pub item: Option<String>,
    /// Who sells it.
    pub supplier: Option<String>,
    /// The lot; the house gives one if the code has none.
    #[schema(example = "LOT7")]
    pub lot: Option<String>,
    /// How much came.
    pub quantity: Option<QuantityBody>,
    /// Never used after this local date.
    pub use_by: Option<String>,
    /// At its best until this local date.
    pub best_before: Option<String>,
    /// When it was produced.
    pub produced_on: Option<String>,
    /// The number of the logistic unit.
    pub sscc: Option<String>,
    /// What a person should look at.
    pub notes: Vec<String>,
}

impl From<&Scanned> for ReceiptDraftView {
    fn from(scanned: &Scanned) -> Self {
        let Scanned { scan, pack, item, supplier, quantity, use_by, best_before, produced, notes } =
            scanned;
        let element = |element: &Element| ScanElementView {
            identifier: element.identifier.clone(),
            value: element.value.clone(),
        };
        let code = |code: &Option<Code>| code.as_ref().map(Code::to_string);
        let date = |date: &Option<Date>| date.map(|date| date.to_string());
        Self {
            elements: scan.elements().iter().map(element).collect(),
            bracketed: scan.bracketed(),
            pack: code(pack),
            item: code(item),
            supplier: code(supplier),
            lot: scan.lot().map(str::to_owned),
            quantity: quantity.map(quantity_body),
            use_by: date(use_by),
            best_before: date(best_before),
            produced_on: date(produced),
            sscc: scan.sscc().map(str::to_owned),
            notes: notes.clone(),
        }
    }
}

fn quantity_body(quantity: Quantity) -> QuantityBody {
    QuantityBody::new(quantity.decimal(), quantity.unit().symbol())
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
#[serde(rename_all = "snake_case")]
pub enum ReceiptUseBody {
    /// Only in other products.
    Ingredient,
    /// Baked in part: finished by the product's own finish route.
    ParBaked,
}

impl ReceiptBody {
    /// The same with what a scan says and nobody wrote.
    #[must_use]
    pub fn filled(&self, scanned: &Scanned) -> Self {
        let code = |code: &Option<Code>| code.as_ref().map(Code::to_string);
        // A date that was written by hand replaces both of the code.
        let by_hand = self.use_by.is_some() || self.best_before.is_some();
        let date = |date: Option<Date>| date.filter(|_| !by_hand).map(|date| date.to_string());
        Self {
            item: self.item.clone().or_else(|| code(&scanned.item)),
            lot: self.lot.clone().or_else(|| scanned.scan.lot().map(str::to_owned)),
            quantity: self.quantity.clone().or_else(|| scanned.quantity.map(quantity_body)),
            use_by: self.use_by.clone().or_else(|| date(scanned.use_by)),
            best_before: self.best_before.clone().or_else(|| date(scanned.best_before)),
            supplier: self.supplier.clone().or_else(|| code(&scanned.supplier)),
            ..self.clone()
        }
    }

    /// The receipt as the ledger takes it.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Receipt, Vec<Fault>> {
        let Self {
            scan: _,
            packs: _,
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
            allergens,
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
        let lot = lot.as_deref().map(|lot| reader.words("lot", lot));
        let receipt = Receipt {
            item: needed_item(&mut reader, item.as_deref()),
            lot,
            quantity: needed_quantity(&mut reader, quantity.as_ref()),
            received: reader.date("received", received),
            use_by: date(&mut reader, "use_by", use_by),
            best_before: date(&mut reader, "best_before", best_before),
            usable_until: instant(&mut reader, "usable_until", usable_until),
            place: reader.code_option("place", place.as_deref()),
            supplier: reader.code_option("supplier", supplier.as_deref()),
            state: state.map_or(LotState::Released, ReceiptStateBody::read),
            usage: match usage {
                Some(ReceiptUseBody::Ingredient) => LotUse::Ingredient,
                Some(ReceiptUseBody::ParBaked) => LotUse::ParBaked,
                None => LotUse::Any,
            },
            baked: date(&mut reader, "baked", baked),
            arrives: instant(&mut reader, "arrives", arrives),
            made_at: instant(&mut reader, "made_at", made_at),
            allergens: allergens
                .as_ref()
                .map(|pack| reader.at("allergens", |reader| pack.read(reader))),
            price: price.as_ref().map(|ReceiptPriceBody { money, per }| {
                reader.at("price", |reader| ReceiptPrice {
                    money: reader.money("money", money),
                    per: reader.quantity_option("per", per.as_ref()),
                })
            }),
            who: reader.words_option("who", who.as_deref()),
            document: reader.words_option("document", document.as_deref()),
        };
        check(&mut reader, &receipt, quantity.as_ref());
        reader.done(receipt)
    }
}

impl PackAllergensBody {
    /// What was read, as a record.
    pub(super) fn read(&self, reader: &mut Reader) -> AllergenRecord {
        let Self { contains, may_contain, version, source } = self;
        let source = reader.words_option("source", source.as_deref());
        let mut words = |field: &str, list: &[String]| {
            reader.each(field, list, |reader, word| reader.words("", word)).into_iter().collect()
        };
        AllergenRecord {
            contains: words("contains", contains),
            may_contain: words("may_contain", may_contain),
            known: true,
            version: reader.words_option("version", version.as_deref()),
            source: source.or_else(|| Some("the pack".to_owned())),
            ..AllergenRecord::default()
        }
    }
}

impl ReceiptStateBody {
    const fn read(self) -> LotState {
        match self {
            Self::Released => LotState::Released,
            Self::Hold => LotState::Hold,
            Self::Expected => LotState::Expected,
            Self::Frozen => LotState::Frozen,
        }
    }
}

/// A field that neither the hand nor a scan filled.
fn missing(reader: &mut Reader, field: &str) {
    let detail = format!("{field} is missing: write it, or scan a code that says it");
    reader.fault(field, "field-mismatch", detail);
}

fn needed_item(reader: &mut Reader, item: Option<&str>) -> Code {
    if let Some(item) = item {
        return reader.code("item", item);
    }
    missing(reader, "item");
    reader.stand_in()
}

fn needed_quantity(reader: &mut Reader, quantity: Option<&QuantityBody>) -> Quantity {
    if let Some(quantity) = quantity {
        return reader.quantity("quantity", quantity);
    }
    missing(reader, "quantity");
    Quantity::zero(Unit::Gram)
}

/// What the fields of a receipt say together.
fn check(reader: &mut Reader, receipt: &Receipt, quantity: Option<&QuantityBody>) {
    // An amount that cannot be read was named already.
    let readable = quantity.is_some_and(|one| Quantity::parse(&one.amount, &one.unit).is_ok());
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
                ("/lot", "malformed"),
                ("/item", "malformed"),
                ("/received", "malformed"),
                ("/quantity/amount", "out-of-range"),
                ("/best_before", "field-mismatch"),
                ("/arrives", "field-mismatch"),
            ]
        );
    }
}
