//! Orders to suppliers: what is asked of them.

mod ubl;
mod view;

pub use ubl::ubl;
pub use view::{
    SupplierOrderEventView, SupplierOrderLineView, SupplierOrderRowView, SupplierOrderView, TaxView,
};

use super::load::step;
use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::{
        loads::Step,
        supplier_orders::{AgreedLine, Agreement, DraftAsk, PackCount, ReceivedLine},
    },
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// So many of a pack.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PackCountBody {
    /// Code of the pack.
    #[schema(example = "whole-milk-12-l")]
    pub pack: String,
    /// How many, in the supplier's multiples.
    #[schema(example = 2)]
    pub packs: i64,
}

/// A new order, from what the plan proposes or from lines of its own.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SupplierOrderBody {
    /// From whom.
    #[schema(example = "dairy")]
    pub supplier: String,
    /// By which cutoff; the next one that asks for something if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-10T11:00:00+02:00")]
    pub cutoff: Option<String>,
    /// Last service date that the plan looks at; 14 days from today if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-13")]
    pub until: Option<String>,
    /// Its lines; what the plan proposes if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lines: Option<Vec<PackCountBody>>,
    /// Who drafts it, 1 to 200 characters.
    #[schema(example = "Imre")]
    pub who: String,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Other lines for a draft.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SupplierOrderLinesBody {
    /// All its lines.
    pub lines: Vec<PackCountBody>,
    /// Who writes them.
    #[schema(example = "Imre")]
    pub who: String,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// That an order went out.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SendOrderBody {
    /// Who sent it.
    #[schema(example = "Imre")]
    pub who: String,
    /// When; now if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub happened_at: Option<String>,
    /// Who at the supplier agreed, after the cutoff or below the minimum.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub agreed_with: Option<String>,
    /// A remark, such as how it was sent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A supplier's answer.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AcknowledgeBody {
    /// Who writes it down.
    #[schema(example = "Imre")]
    pub who: String,
    /// When it was said; now if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub happened_at: Option<String>,
    /// Lines that are cut or changed; the others stand as ordered.
    #[serde(default)]
    pub lines: Vec<AgreedLineBody>,
    /// The supplier's own name for the order.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub their_reference: Option<String>,
    /// When it comes, if at another time.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-11T08:00:00+02:00")]
    pub arrives: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What the supplier brings of one line.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AgreedLineBody {
    /// Number of the line.
    #[schema(example = 1)]
    pub line: i64,
    /// Packs that come; 0 if none.
    #[schema(example = 1)]
    pub packs: i64,
    /// Why it is another number.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "out of stock")]
    pub reason: Option<String>,
}

/// Goods that came.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReceiveOrderBody {
    /// Who took them in.
    #[schema(example = "Imre")]
    pub who: String,
    /// When; now if absent. The lots are dated by its local date.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub happened_at: Option<String>,
    /// What came, line by line.
    pub lines: Vec<ReceivedLineBody>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What came of one line; a line of several lots stands once for each.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReceivedLineBody {
    /// Number of the line.
    #[schema(example = 1)]
    pub line: i64,
    /// Packs that were taken in.
    #[schema(example = 2)]
    pub packs: i64,
    /// What they hold, if it was weighed; needed for packs of uneven weight.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub quantity: Option<QuantityBody>,
    /// The name on the pack; one of the house's own if it has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "M-0611")]
    pub lot: Option<String>,
    /// Never used after this local date; excludes `best_before`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub use_by: Option<String>,
    /// At its best until this local date; excludes `use_by`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub best_before: Option<String>,
    /// Where it was put.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// What the thermometer said, in degrees Celsius; kept with the event.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "4.5")]
    pub temperature: Option<String>,
    /// Whether brand or list of ingredients differ from what is on file: it goes on hold until
    /// its allergens are read again.
    #[serde(default)]
    pub label_changed: bool,
    /// Packs that were sent back; needs a note.
    #[serde(default)]
    pub refused: i64,
    /// Whether more than was promised is kept.
    #[serde(default)]
    pub accept_over: bool,
    /// Whether what is missing of the line is no longer waited for.
    #[serde(default)]
    pub settle: bool,
    /// Why it was sent back, or taken with less life than agreed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Who closes an order or gives up a draft, and why.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EndOrderBody {
    /// Who does it.
    #[schema(example = "Imre")]
    pub who: String,
    /// Why.
    #[schema(example = "the rest was cut")]
    pub note: String,
}

fn pack_counts(reader: &mut Reader, lines: &[PackCountBody]) -> Vec<PackCount> {
    reader.each("lines", lines, |reader, PackCountBody { pack, packs }| PackCount {
        pack: reader.code("pack", pack),
        packs: *packs,
    })
}

impl SupplierOrderBody {
    /// The draft that is asked for.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<DraftAsk, Vec<Fault>> {
        let mut reader = Reader::default();
        let Self { supplier, cutoff, until, lines, who, note } = self;
        let ask = DraftAsk {
            supplier: reader.code("supplier", supplier),
            cutoff: reader.instant_option("cutoff", cutoff.as_deref()),
            until: until.as_deref().map(|text| reader.date("until", text)),
            lines: lines.as_ref().map(|lines| pack_counts(&mut reader, lines)),
            said: step(&mut reader, self, (who, &None, note)),
        };
        reader.done(ask)
    }
}

impl SupplierOrderLinesBody {
    /// The lines.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(Step, Vec<PackCount>), Vec<Fault>> {
        let mut reader = Reader::default();
        let Self { lines, who, note } = self;
        let lines = pack_counts(&mut reader, lines);
        let said = step(&mut reader, self, (who, &None, note));
        reader.done((said, lines))
    }
}

impl SendOrderBody {
    /// Who sent it, and who agreed.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(Step, Option<String>), Vec<Fault>> {
        let mut reader = Reader::default();
        let Self { who, happened_at, agreed_with, note } = self;
        let agreed = reader.words_option("agreed_with", agreed_with.as_deref());
        let said = step(&mut reader, self, (who, happened_at, note));
        reader.done((said, agreed))
    }
}

impl AcknowledgeBody {
    /// The answer.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(Step, Agreement), Vec<Fault>> {
        let mut reader = Reader::default();
        let Self { who, happened_at, lines, their_reference, arrives, note } = self;
        let agreement = Agreement {
            lines: reader.each("lines", lines, |reader, line| {
                let AgreedLineBody { line, packs, reason } = line;
                let reason = reader.words_option("reason", reason.as_deref());
                AgreedLine { line: *line, packs: *packs, reason }
            }),
            their_reference: reader.words_option("their_reference", their_reference.as_deref()),
            arrives: reader.instant_option("arrives", arrives.as_deref()),
        };
        let said = step(&mut reader, self, (who, happened_at, note));
        reader.done((said, agreement))
    }
}

impl ReceiveOrderBody {
    /// What came.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(Step, Vec<ReceivedLine>), Vec<Fault>> {
        let mut reader = Reader::default();
        let Self { who, happened_at, lines, note } = self;
        if lines.is_empty() || lines.len() > 500 {
            reader.fault("lines", "too-many", "write 1 to 500 lines");
        }
        let lines = reader.each("lines", lines, |reader, line| line.read(reader));
        let said = step(&mut reader, self, (who, happened_at, note));
        reader.done((said, lines))
    }
}

impl ReceivedLineBody {
    fn read(&self, reader: &mut Reader) -> ReceivedLine {
        let Self {
            line,
            packs,
            quantity,
            lot,
            use_by,
            best_before,
            place,
            temperature,
            label_changed,
            refused,
            accept_over,
            settle,
            note,
        } = self;
        if use_by.is_some() && best_before.is_some() {
            let detail = "use_by and best_before exclude each other: write what the pack says";
            reader.fault("best_before", "field-mismatch", detail);
        }
        // The temperature is checked here and kept with the event, as it was sent.
        let _ = temperature.as_deref().map(|text| reader.celsius("temperature", text));
        let quantity = reader.quantity_option("quantity", quantity.as_ref());
        if quantity.is_some_and(|quantity| quantity.micro() <= 0) {
            reader.fault("quantity/amount", "out-of-range", "write more than nothing");
        }
        ReceivedLine {
            line: *line,
            packs: *packs,
            quantity,
            lot: reader.words_option("lot", lot.as_deref()),
            use_by: use_by.as_deref().map(|text| reader.date("use_by", text)),
            best_before: best_before.as_deref().map(|text| reader.date("best_before", text)),
            place: reader.code_option("place", place.as_deref()),
            label_changed: *label_changed,
            refused: *refused,
            accept_over: *accept_over,
            settle: *settle,
            note: reader.words_option("note", note.as_deref()),
        }
    }
}

impl EndOrderBody {
    /// Who ends it, and why.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<Step, Vec<Fault>> {
        let mut reader = Reader::default();
        let Self { who, note } = self;
        let said = step(&mut reader, self, (who, &None, &Some(note.clone())));
        reader.done(said)
    }
}
