//! Formulas: ingredients and parts for a dough, filling or finish.

mod keeping;

pub use keeping::{DivideBody, KeepBackBody, OldDoughBody};

use super::{
    Reader, Record,
    amount::QuantityBody,
    made::{MadeBody, MixingBody},
};
use domain::{
    formula::{Base, Blocks, Formula, Keeping, Line, LineAmount, Loss, View},
    id::Code,
    quantity::{Quantity, Unit},
    ratio::Ratio,
};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// One dated version of a formula; it makes the item of the same code.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FormulaBody {
    /// Its code.
    #[schema(example = "bun")]
    pub code: String,
    /// What people call it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// First service date for which it holds; always if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-06-01")]
    pub valid_from: Option<String>,
    /// What its lines are measured against.
    pub base: BaseBody,
    /// Percent of flour only: which view the lines are written in; final mix if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub view: Option<ViewBody>,
    /// Its class in a mixer, such as lean, enriched, stiff.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "enriched")]
    pub dough_class: Option<String>,
    /// The mixer or pan it is made in.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "bun-spiral")]
    pub mixer: Option<String>,
    /// Its lines in order of addition.
    #[serde(default)]
    pub lines: Vec<LineBody>,
    /// Its losses, from the bowl to the piece.
    #[serde(default)]
    pub losses: Vec<LossBody>,
    /// When it is made.
    pub made: MadeBody,
    /// How a load of it is mixed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mixing: Option<MixingBody>,
    /// What one batch gives: a mass, or pieces of a batch or tray.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub makes: Option<QuantityBody>,
    /// The smallest part of a batch that is made; 1 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "0.5")]
    pub step: Option<String>,
    /// Lamination in whole blocks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub blocks: Option<BlocksBody>,
    /// Levain: seed kept for the next build.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub keep_back: Option<KeepBackBody>,
    /// Whether its water is bound and left out of the dough's hydration.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub soaker: Option<bool>,
    /// Least and most free water that it is meant to have, in percent of all flour.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hydration: Option<BandBody>,
    /// Least and most age at use.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub age_window: Option<WindowBody>,
    /// How long it keeps.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "PT48H")]
    pub life: Option<String>,
    /// When it is divided into pieces, if it is kept before that: its age is read here, and
    /// kept dough whose age fits is used before new is mixed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub divide: Option<DivideBody>,
    /// Age from which it is at its best, an ISO 8601 duration; for the fridge sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "PT24H")]
    pub best_age: Option<String>,
    /// Old dough that each mix keeps for a later one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub keep_for_next: Option<QuantityBody>,
}

/// What a formula's lines are measured against.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BaseBody {
    /// Flours together are 100.
    PercentOfFlour,
    /// Parts by weight.
    Parts,
    /// Amounts for one batch.
    PerBatch,
    /// Amounts for a number of pieces.
    PerPieces,
    /// Amounts for one tray.
    PerTray,
    /// Base dough with a fat sheet per block.
    Blocks,
}

/// Which view of a bread formula is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ViewBody {
    /// What goes into the bowl.
    FinalMix,
    /// With preferments dissolved into their parts.
    Overall,
}

/// What a line's parts are percent of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BasisBody {
    /// Of the flour, or plain parts.
    Flour,
    /// Of the finished base dough: an inclusion.
    BaseDough,
}

/// One line of a formula: exactly one of `parts`, `quantity` and `prefermented_flour`.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LineBody {
    /// The item or sub-formula that it takes.
    #[schema(example = "strong-white")]
    pub item: String,
    /// Percent of flour, or parts by weight.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "68")]
    pub parts: Option<String>,
    /// A plain amount per batch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub quantity: Option<QuantityBody>,
    /// Overall view: percent of all flour that is fermented in this sub-formula.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "15")]
    pub prefermented_flour: Option<String>,
    /// What the parts are percent of; flour if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub basis: Option<BasisBody>,
    /// Whether it counts as flour.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flour: Option<bool>,
    /// Whether it is drawn from a batch made before, such as the seed of a levain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub previous_batch: Option<bool>,
    /// The scale division may be at most this percent of it; 1 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "0.5")]
    pub precision: Option<String>,
    /// Whether it goes into the mixer with the rest; true if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub in_bowl: Option<bool>,
    /// From a previous batch of another formula: what is asked of that old dough.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub old_dough: Option<OldDoughBody>,
}

/// One stage at which something is lost.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LossBody {
    /// Its name: scrap, ferment, trim, pot, deposit, use, cook.
    #[schema(example = "scrap")]
    pub stage: String,
    /// Percent of what enters it.
    #[schema(example = "1.5")]
    pub percent: String,
}

/// Lamination in whole blocks: one fat sheet to each.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BlocksBody {
    /// The base dough.
    #[schema(example = "detrempe")]
    pub base: String,
    /// The fat sheet.
    #[schema(example = "butter-sheet")]
    pub sheet: String,
    /// What one sheet weighs.
    pub sheet_mass: QuantityBody,
    /// Roll-in fat in percent of the base dough.
    #[schema(example = "28")]
    pub percent: String,
    /// Blocks are made in multiples of this; 1 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub step: Option<i64>,
}

/// A least and a most share, in percent.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BandBody {
    /// Least.
    #[schema(example = "62")]
    pub least: String,
    /// Most.
    #[schema(example = "70")]
    pub most: String,
}

impl BandBody {
    fn read(&self, field: &str, reader: &mut Reader) -> (Ratio, Ratio) {
        let Self { least, most } = self;
        reader.at(field, |reader| {
            let band = (reader.decimal("least", least), reader.decimal("most", most));
            if band.0 > band.1 {
                reader.fault("most", "out-of-range", "the most is not below the least");
            }
            band
        })
    }
}

/// A least and a most length of time.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WindowBody {
    /// Least, an ISO 8601 duration.
    #[schema(example = "PT12H")]
    pub least: String,
    /// Most.
    #[schema(example = "PT48H")]
    pub most: String,
}

impl WindowBody {
    pub(super) fn read(&self, field: &str, reader: &mut Reader) -> (i64, i64) {
        let Self { least, most } = self;
        reader.at(field, |reader| (reader.minutes("least", least), reader.minutes("most", most)))
    }
}

impl Record for FormulaBody {
    const NOUN: &'static str = "formulas";

    fn code(&self) -> &str {
        &self.code
    }

    fn valid_from(&self) -> &str {
        self.valid_from.as_deref().unwrap_or("")
    }
}

impl FormulaBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Formula {
        let base = self.base(reader);
        let Self {
            code,
            name,
            valid_from,
            base: _,
            view: _,
            dough_class,
            mixer,
            lines,
            losses,
            made,
            mixing,
            makes: _,
            step: _,
            blocks: _,
            keep_back,
            soaker,
            hydration,
            age_window,
            life,
            divide,
            best_age,
            keep_for_next,
        } = self;
        Formula {
            code: reader.code("code", code),
            name: reader.name(name.as_deref(), code),
            valid_from: valid_from
                .as_ref()
                .map_or(Date::MIN, |date| reader.date("valid_from", date)),
            base,
            dough_class: dough_class.as_ref().map(|class| reader.words("dough_class", class)),
            mixer: reader.code_option("mixer", mixer.as_deref()),
            lines: reader.each("lines", lines, |reader, line| line.read(reader)),
            losses: reader.each("losses", losses, |reader, LossBody { stage, percent }| Loss {
                stage: reader.words("stage", stage),
                percent: reader.decimal("percent", percent),
            }),
            made: made.read(reader),
            mixing: mixing.as_ref().map(|mixing| reader.at("mixing", |reader| mixing.read(reader))),
            keep_back_after_last: keep_back.as_ref().map(|kept| kept.after_last(reader)),
            soaker: soaker.unwrap_or(false),
            hydration_band: hydration.as_ref().map(|band| band.read("hydration", reader)),
            age_window_minutes: age_window.as_ref().map(|window| window.read("age_window", reader)),
            life_minutes: reader.minutes_option("life", life.as_deref()),
            keeping: Keeping {
                divide: divide.as_ref().map(|divide| divide.read(reader)),
                seed_life_minutes: keep_back.as_ref().and_then(|kept| kept.seed_life(reader)),
                best_age_minutes: reader.minutes_option("best_age", best_age.as_deref()),
                keep_for_next: reader.quantity_option("keep_for_next", keep_for_next.as_ref()),
            },
        }
    }

    fn base(&self, reader: &mut Reader) -> Base {
        let only = [
            ("view", self.view.is_some(), self.base == BaseBody::PercentOfFlour),
            ("makes", self.makes.is_some(), self.made_by_batch()),
            ("step", self.step.is_some(), self.made_by_batch()),
            ("blocks", self.blocks.is_some(), self.base == BaseBody::Blocks),
        ];
        for (field, given, fits) in only {
            if given && !fits {
                reader.fault(
                    field,
                    "field-mismatch",
                    format!("{field} does not go with this base"),
                );
            }
        }
        let step = reader.decimal_option("step", self.step.as_deref()).unwrap_or(Ratio::ONE);
        let makes = reader.quantity_option("makes", self.makes.as_ref());
        match self.base {
            BaseBody::PercentOfFlour => Base::PercentOfFlour(match self.view {
                Some(ViewBody::Overall) => View::Overall,
                Some(ViewBody::FinalMix) | None => View::FinalMix,
            }),
            BaseBody::Parts => Base::Parts,
            BaseBody::PerBatch => Base::PerBatch { makes, step },
            BaseBody::PerPieces => Base::PerPieces { pieces: pieces(makes, reader), step },
            BaseBody::PerTray => Base::PerTray { pieces: pieces(makes, reader), step },
            BaseBody::Blocks => match &self.blocks {
                Some(blocks) => Base::Blocks(blocks.read(reader)),
                None => {
                    reader.fault("blocks", "field-mismatch", "say what the blocks are made of");
                    Base::Parts
                }
            },
        }
    }

    const fn made_by_batch(&self) -> bool {
        matches!(self.base, BaseBody::PerBatch | BaseBody::PerPieces | BaseBody::PerTray)
    }
}

/// Pieces that a batch or tray makes; they must be said.
fn pieces(makes: Option<Quantity>, reader: &mut Reader) -> Quantity {
    makes.unwrap_or_else(|| {
        reader.fault("makes", "field-mismatch", "say how many pieces this makes, in each");
        Quantity::zero(Unit::Each)
    })
}

impl BlocksBody {
    fn read(&self, reader: &mut Reader) -> Blocks {
        let Self { base, sheet, sheet_mass, percent, step } = self;
        reader.at("blocks", |reader| Blocks {
            base: reader.code("base", base),
            sheet: reader.code("sheet", sheet),
            sheet_mass: reader.quantity("sheet_mass", sheet_mass),
            percent: reader.decimal("percent", percent),
            step: step.unwrap_or(1),
        })
    }
}

impl LineBody {
    fn read(&self, reader: &mut Reader) -> Line {
        let amount = self.amount(reader);
        let item: Code = reader.code("item", &self.item);
        Line {
            item,
            amount,
            flour: self.flour.unwrap_or(false),
            previous_batch: self.previous_batch.unwrap_or(false),
            precision_percent: reader.decimal_option("precision", self.precision.as_deref()),
            in_bowl: self.in_bowl.unwrap_or(true),
            old_dough: self.old_dough.as_ref().map(|old| old.read(reader)),
        }
    }

    fn amount(&self, reader: &mut Reader) -> LineAmount {
        match (&self.parts, &self.quantity, &self.prefermented_flour, self.basis) {
            (Some(parts), None, None, Some(BasisBody::BaseDough)) => {
                LineAmount::OfBaseDough(reader.decimal("parts", parts))
            }
            (Some(parts), None, None, _) => LineAmount::Parts(reader.decimal("parts", parts)),
            (None, Some(quantity), None, None) => {
                LineAmount::Amount(reader.quantity("quantity", quantity))
            }
            (None, None, Some(share), None) => {
                LineAmount::PrefermentedFlour(reader.decimal("prefermented_flour", share))
            }
            _ => {
                let detail = format!(
                    "`{}` needs exactly one of parts, quantity and prefermented_flour; basis goes with parts",
                    self.item
                );
                reader.fault("", "field-mismatch", detail);
                LineAmount::Parts(Ratio::ONE)
            }
        }
    }
}
