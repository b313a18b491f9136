//! Loads: what is asked of them, and what is answered.

mod frozen;
mod pieces;
mod sheet;
mod view;

pub use frozen::frozen;
pub use pieces::{
    BakedLoadBody, CountBackBody, GoodsBody, PiecesBody, RejectedBody, SentBody, UsedBody,
};
pub use sheet::{
    LoadSheetBody, LoadSheetOutcomeView, LoadSheetRowBody, LoadSheetView, SHEET_ROWS_MAX,
};
pub use view::{
    LoadEventView, LoadLineView, LoadPiecesOfView, LoadRowView, LoadView, LoadsView, loads,
};

use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::loads::{Divided, Mixed, Step, UsedLot, WrittenLine},
};
use domain::{id::Code, quantity::Quantity};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Who did a step of a load, when, and what was sent.
pub(super) fn step(
    reader: &mut Reader,
    body: &impl Serialize,
    (who, happened_at, note): (&str, &Option<String>, &Option<String>),
) -> Step {
    Step {
        who: reader.words("who", who),
        happened_at: happened_at.as_deref().map(|text| reader.instant("happened_at", text)),
        note: note.as_deref().map(|text| reader.words("note", text)),
        sent: serde_json::to_value(body).unwrap_or_default(),
    }
}

/// Who releases a load.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReleaseBody {
    /// Who releases it, 1 to 200 characters.
    #[schema(example = "Anna")]
    pub who: String,
    /// When it happened; now if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-10T09:25:00+02:00")]
    pub happened_at: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The plan revision of the sheet that was looked at: another is refused.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 42)]
    pub plan_revision: Option<i64>,
}

/// Who did a step that needs no other words.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PassBody {
    /// Who did it, 1 to 200 characters.
    #[schema(example = "Anna")]
    pub who: String,
    /// When it happened; now if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-10T09:25:00+02:00")]
    pub happened_at: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A load that failed.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LostBody {
    /// Who says so, 1 to 200 characters.
    #[schema(example = "Anna")]
    pub who: String,
    /// When it happened; now if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-10T09:25:00+02:00")]
    pub happened_at: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Why it is lost: one of the house's reasons for waste.
    #[schema(example = "mixing fault")]
    pub reason: String,
}

/// What the hand wrote on a page.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WeighingsBody {
    /// Who weighed, 1 to 200 characters.
    #[schema(example = "Ben")]
    pub who: String,
    /// When it happened; now if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-10T09:25:00+02:00")]
    pub happened_at: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Lines on which something else was written than printed; all others are as printed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lines: Vec<WrittenLineBody>,
}

/// What the hand wrote beside one line.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenLineBody {
    /// Its number on the page.
    #[schema(example = 3)]
    pub line: usize,
    /// What was weighed (g) or counted (each); as printed if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub amount: Option<QuantityBody>,
    /// Lots that were used; as proposed if absent.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lots: Vec<UsedLotBody>,
}

/// A lot that the hand wrote.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct UsedLotBody {
    /// The name on its pack, its id, or the code of the bin that it came from.
    #[schema(example = "SW-2")]
    pub lot: String,
    /// How much of it was weighed; what other lots leave if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub amount: Option<QuantityBody>,
    /// `true` for a lot that nobody entered: it is made, and its balance goes below zero.
    #[serde(default, skip_serializing_if = "is_false")]
    pub new: bool,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde passes a reference")]
const fn is_false(flag: &bool) -> bool {
    !*flag
}

/// A load that was mixed; temperatures in degrees Celsius, decimals as text.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MixedBody {
    /// Who mixed, 1 to 200 characters.
    #[schema(example = "Cem")]
    pub who: String,
    /// When it came out of the bowl; now if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-10T09:25:00+02:00")]
    pub happened_at: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// What came out of the bowl; the weighed lines less the residue if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mixed_mass: Option<QuantityBody>,
    /// Of the dough.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "26.5")]
    pub dough_temperature: Option<String>,
    /// Of the water that was poured.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "8")]
    pub water_temperature: Option<String>,
    /// Of the flour.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "18.5")]
    pub flour_temperature: Option<String>,
    /// Of the room.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "22")]
    pub room_temperature: Option<String>,
    /// Of the preferment or old dough, if it takes one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "22")]
    pub preferment_temperature: Option<String>,
    /// What was done to the water, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "200 g more water: new flour lot")]
    pub hydration_note: Option<String>,
}

/// A dough that was divided.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DividedBody {
    /// Who divided, 1 to 200 characters.
    #[schema(example = "Dora")]
    pub who: String,
    /// When it happened; now if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-10T09:25:00+02:00")]
    pub happened_at: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// What is left and kept as old dough; its age counts from the mix.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub old_dough: Option<QuantityBody>,
    /// What is left and thrown away.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub waste: Option<DividedWasteBody>,
}

/// Dough that is thrown away.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DividedWasteBody {
    /// How much.
    pub quantity: QuantityBody,
    /// Why: one of the house's reasons for waste.
    #[schema(example = "trim not reusable")]
    pub reason: String,
}

impl ReleaseBody {
    /// The step, and the plan revision that was looked at.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(Step, Option<i64>), Vec<Fault>> {
        let mut reader = Reader::default();
        let step = step(&mut reader, self, (&self.who, &self.happened_at, &self.note));
        reader.done((step, self.plan_revision))
    }
}

impl PassBody {
    /// The step.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<Step, Vec<Fault>> {
        let mut reader = Reader::default();
        let step = step(&mut reader, self, (&self.who, &self.happened_at, &self.note));
        reader.done(step)
    }
}

impl LostBody {
    /// The step and its reason.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(Step, Code), Vec<Fault>> {
        let mut reader = Reader::default();
        let step = step(&mut reader, self, (&self.who, &self.happened_at, &self.note));
        let reason = reason(&mut reader, &self.reason);
        reader.done((step, reason))
    }
}

impl WeighingsBody {
    /// The step and the lines that were written.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(Step, Vec<WrittenLine>), Vec<Fault>> {
        let mut reader = Reader::default();
        let step = step(&mut reader, self, (&self.who, &self.happened_at, &self.note));
        let lines = reader.each("lines", &self.lines, |reader, line| {
            let WrittenLineBody { line: number, amount, lots } = line;
            WrittenLine {
                number: *number,
                amount: amount.as_ref().map(|amount| positive(reader, "amount", amount)),
                lots: reader.each("lots", lots, used_lot),
            }
        });
        reader.done((step, lines))
    }
}

fn used_lot(reader: &mut Reader, used: &UsedLotBody) -> UsedLot {
    let UsedLotBody { lot, amount, new } = used;
    UsedLot {
        lot: reader.words("lot", lot),
        amount: amount.as_ref().map(|amount| positive(reader, "amount", amount)),
        new: *new,
    }
}

/// A reason of the house's list, as its code or in its words: `mixing fault` is `mixing-fault`.
fn reason(reader: &mut Reader, text: &str) -> Code {
    let code = reader.words("reason", text).to_lowercase().replace([' ', '_'], "-");
    reader.code("reason", &code)
}

/// An amount that is not below nothing.
fn positive(reader: &mut Reader, field: &str, body: &QuantityBody) -> Quantity {
    let found = reader.quantity(field, body);
    if found.micro() < 0 {
        let detail = format!("{found} cannot be: write what the scale showed");
        reader.fault(&format!("{field}/amount"), "out-of-range", detail);
    }
    found
}

impl MixedBody {
    /// The step and what was mixed.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(Step, Mixed), Vec<Fault>> {
        let mut reader = Reader::default();
        let step = step(&mut reader, self, (&self.who, &self.happened_at, &self.note));
        for (field, text) in [
            ("dough_temperature", &self.dough_temperature),
            ("water_temperature", &self.water_temperature),
            ("flour_temperature", &self.flour_temperature),
            ("room_temperature", &self.room_temperature),
            ("preferment_temperature", &self.preferment_temperature),
        ] {
            if let Some(text) = text {
                reader.celsius(field, text);
            }
        }
        if let Some(note) = &self.hydration_note {
            reader.words("hydration_note", note);
        }
        let mass = self.mixed_mass.as_ref().map(|mass| positive(&mut reader, "mixed_mass", mass));
        reader.done((step, Mixed { mass }))
    }
}

impl DividedBody {
    /// The step and what was left.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<(Step, Divided), Vec<Fault>> {
        let mut reader = Reader::default();
        let step = step(&mut reader, self, (&self.who, &self.happened_at, &self.note));
        let old_dough =
            self.old_dough.as_ref().map(|quantity| positive(&mut reader, "old_dough", quantity));
        let waste = self.waste.as_ref().map(|waste| {
            reader.at("waste", |reader| {
                let quantity = positive(reader, "quantity", &waste.quantity);
                (quantity, reason(reader, &waste.reason))
            })
        });
        reader.done((step, Divided { old_dough, waste }))
    }
}
