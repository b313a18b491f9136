//! A sheet to count by: many lots at one moment, without what the book expects.

use super::{CountReasonBody, CountView};
use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::stock::{Count, Counted, SheetLine},
    wire::{amount::QuantityView, lot::UseUntilView},
};
use domain::bakery::Bakery;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Most lines of one sheet.
const LINES_MAX: usize = 1_000;

/// The unit that hands count in, and the small one beside it, of a base unit by its symbol.
#[must_use]
pub fn units_by_hand(base: &str) -> &'static [&'static str] {
    match base {
        "g" => &["kg", "g"],
        "mL" => &["L", "mL"],
        _ => &["each"],
    }
}

/// A sheet to count by.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CountSheetView {
    /// When it was made: the shelf is counted at a moment of its own, written on the sheet.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// Whether it hides what the book expects.
    #[schema(example = true)]
    pub blind: bool,
    /// Its lines, by place, item and lot: what is on its way or went back is not among them.
    pub lines: Vec<CountSheetLineView>,
}

/// One lot at one place.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CountSheetLineView {
    /// Id of the lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub lot: String,
    /// The name on the pack.
    #[schema(example = "M-0611")]
    pub name: String,
    /// Code of the item or product.
    #[schema(example = "whole-milk")]
    pub item: String,
    /// What people call it.
    #[schema(example = "Whole milk")]
    pub item_name: String,
    /// Where it should lie.
    #[schema(example = "chiller")]
    pub place: Option<String>,
    /// What people call that place.
    #[schema(example = "Chiller")]
    pub place_name: Option<String>,
    /// The word of its state.
    #[schema(example = "released")]
    pub state: &'static str,
    /// Until when it may be used.
    pub use_until: Option<UseUntilView>,
    /// The unit to count in.
    #[schema(example = "g")]
    pub unit: &'static str,
    /// What the book expects; null on a blind sheet.
    pub book: Option<QuantityView>,
}

impl CountSheetView {
    /// A sheet of some lines.
    #[must_use]
    pub fn new(bakery: &Bakery, lines: &[SheetLine], made_at: String, blind: bool) -> Self {
        let view = |line: &SheetLine| {
            let SheetLine { lot, place } = line;
            let key = place.as_deref().unwrap_or_default();
            let there = lot.places.iter().find(|(at, _)| at == key).map_or(0, |(_, micro)| *micro);
            CountSheetLineView {
                lot: lot.id.clone(),
                name: lot.name.clone(),
                item: lot.item.clone(),
                item_name: bakery.name_of(&lot.item).to_owned(),
                place: place.clone(),
                place_name: place.as_deref().map(|place| bakery.place_name(place).to_owned()),
                state: lot.state.word(),
                use_until: lot.until.map(|end| UseUntilView::new(&lot.zone, end)),
                unit: lot.unit.symbol(),
                book: (!blind).then(|| QuantityView::whole(there, lot.unit)),
            }
        };
        Self { made_at, blind, lines: lines.iter().map(view).collect() }
    }
}

/// A counted sheet.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CountSheetBody {
    /// The moment counted, not the moment of writing it down.
    #[schema(example = "2026-06-10T09:10:00+02:00")]
    pub counted_at: String,
    /// Who counted.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// What the sheet is called; it stands in the ledger as the document behind each line.
    #[schema(example = "dry store, Wednesday")]
    pub sheet: Option<String>,
    /// What was found, 1 to 1,000 lines.
    pub lines: Vec<CountSheetLineBody>,
}

/// What was found of one lot.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CountSheetLineBody {
    /// Id of the lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub lot: String,
    /// How much there was; 0 if it is used up.
    pub quantity: QuantityBody,
    /// Where it lay, if only what lies at one place was counted; all places if absent.
    #[schema(example = "dry-store")]
    pub place: Option<String>,
    /// Why it differs from the book, if that is known.
    pub reason: Option<CountReasonBody>,
}

impl CountSheetBody {
    /// The counts as the ledger takes them.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Vec<Count>, Vec<Fault>> {
        let Self { counted_at, who, sheet, lines } = self;
        let mut reader = Reader::default();
        if lines.is_empty() || lines.len() > LINES_MAX {
            let detail = format!("a sheet has {} lines: send 1 to {LINES_MAX}", lines.len());
            reader.fault("lines", "too-many", detail);
        }
        let counted_at = reader.instant("counted_at", counted_at);
        let who = reader.words_option("who", who.as_deref());
        let document = reader.words_option("sheet", sheet.as_deref());
        let counts = reader.each("lines", lines, |reader, line| {
            let CountSheetLineBody { lot, quantity, place, reason } = line;
            let quantity = reader.quantity("quantity", quantity);
            if quantity.micro() < 0 {
                let detail = format!("{quantity} cannot lie on a shelf: write 0 or more");
                reader.fault("quantity/amount", "out-of-range", detail);
            }
            let place = reader.code_option("place", place.as_deref());
            Count {
                counted_at,
                lot: reader.words("lot", lot),
                quantity,
                who: who.clone(),
                reason: reason.map(CountReasonBody::read),
                document: document.clone(),
                place: place.map(|code| code.to_string()),
            }
        });
        reader.done(counts)
    }
}

/// What a sheet came to: the book is shown now that the count is posted.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CountedSheetView {
    /// Its lines, in their own order.
    pub lines: Vec<CountView>,
}

impl CountedSheetView {
    /// What a sheet came to.
    #[must_use]
    pub fn new(counted: &[Counted]) -> Self {
        Self { lines: counted.iter().map(CountView::new).collect() }
    }
}
