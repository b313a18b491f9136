//! Items: anything with stock.

use super::{
    Reader, Record,
    amount::QuantityBody,
    labelling::{AllergenRecordBody, ItemLabelBody, NutrientsBody},
};
use domain::{
    item::{AllergenRecord, Item, ItemKind, Joint, JointOutput, Nature, Supply, YeastForm},
    labelling::ItemLabel,
    nutrients::Nutrients,
    quantity::Unit,
    ratio::Ratio,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Anything with stock: bought, made here, or used to pack.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ItemBody {
    /// Its code; a formula of the same code makes it.
    #[schema(example = "strong-white")]
    pub code: String,
    /// What people call it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Where it usually comes from.
    pub kind: ItemKindBody,
    /// What its stock is counted in: `g`, `mL` or `each`.
    #[schema(example = "g")]
    pub base_unit: String,
    /// Kilograms in a litre, if volumes of it are used.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "1.03")]
    pub density: Option<String>,
    /// Usable mass of one piece, if it is counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub each: Option<QuantityBody>,
    /// Whether stock of it is kept; true if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stocked: Option<bool>,
    /// Whether it is water, for hydration.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water: Option<bool>,
    /// Whether it is salt, for the salt check.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub salt: Option<bool>,
    /// Water in it, in percent of its mass, for hydration with wet ingredients; of what is not
    /// water itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "88")]
    pub water_percent: Option<String>,
    /// Salt in it, in percent of its mass, as in salted butter; of what is not salt itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "1.2")]
    pub salt_percent: Option<String>,
    /// Which yeast it is, if it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yeast: Option<YeastFormBody>,
    /// Allergens that it contains.
    #[serde(default)]
    pub contains: Vec<String>,
    /// Allergens that the supplier or the site says may be in it.
    #[serde(default)]
    pub may_contain: Vec<String>,
    /// Whether its allergens were read from the pack. Unknown if not said, unless one
    /// is listed; unknown is never "none".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allergens_known: Option<bool>,
    /// How long an opened pack is used, an ISO 8601 duration.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "P3D")]
    pub opened_life: Option<String>,
    /// How long it keeps once it was thawed, an ISO 8601 duration; days that were left when it
    /// was frozen may end it sooner.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "P1D")]
    pub thawed_life: Option<String>,
    /// Whether it is never ordered ahead of need.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub short_life: Option<bool>,
    /// What should be left when all needs are met.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub safety_stock: Option<QuantityBody>,
    /// The same as days of average use of what is planned, 1 to 60, in place of a quantity.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 2)]
    pub safety_days: Option<i64>,
    /// Dust and sticky tubs, in percent of what leaves stock.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "0.5")]
    pub weighing_loss: Option<String>,
    /// Thawing or tempering after arrival before it can be used.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "PT16H")]
    pub ready_after: Option<String>,
    /// Where it is kept.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// Which way a need goes if it can be both made and bought.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub supply: Option<SupplyBody>,
    /// Whether it costs nothing by decision.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub free: Option<bool>,
    /// What it gives, if it is a fruit with two uses.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joint: Option<JointBody>,
    /// Where its allergens were read, and what a rule exempts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allergen_record: Option<AllergenRecordBody>,
    /// What labels say of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<ItemLabelBody>,
    /// What 100 g of it hold; not known if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nutrients: Option<NutrientsBody>,
}

/// A form in which yeast comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum YeastFormBody {
    /// Pressed, with its water.
    Fresh,
    /// Dried, soaked first.
    ActiveDry,
    /// Dried, goes in as it is.
    Instant,
}

/// Where an item usually comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ItemKindBody {
    /// Bought from a supplier.
    Bought,
    /// Made here.
    Made,
    /// Bought, and used to pack.
    Packaging,
}

/// Which way a need goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SupplyBody {
    /// Its formula is made for the need.
    Made,
    /// It is drawn from stock and bought.
    Bought,
    /// Whichever costs less by the prices of the date, made at standard cost.
    Cheapest,
}

/// Two things that one fruit gives.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct JointBody {
    /// The output that is taken first: the skin.
    #[schema(example = "lemon-zest")]
    pub first: String,
    /// How long the fruit keeps once its first output was taken.
    #[schema(example = "PT48H")]
    pub keep: String,
    /// Whether spare output is kept for the next use.
    pub surplus_keeps: bool,
    /// What one fruit gives.
    pub outputs: Vec<JointOutputBody>,
}

/// One thing that a fruit gives.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct JointOutputBody {
    /// The item that comes out.
    #[schema(example = "lemon-zest")]
    pub item: String,
    /// How much of it one fruit gives.
    #[serde(rename = "yield")]
    pub yields: QuantityBody,
    /// Its share of the fruit's price, percent.
    #[schema(example = "60")]
    pub cost_share: String,
}

impl Record for ItemBody {
    const NOUN: &'static str = "items";

    fn code(&self) -> &str {
        &self.code
    }
}

impl ItemBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Item {
        let Self {
            code,
            name,
            kind,
            base_unit,
            density,
            each,
            stocked,
            water,
            salt,
            water_percent,
            salt_percent,
            yeast,
            contains,
            may_contain,
            allergens_known,
            opened_life,
            thawed_life,
            short_life,
            safety_stock,
            safety_days,
            weighing_loss,
            ready_after,
            place,
            supply,
            free,
            joint,
            allergen_record,
            label,
            nutrients,
        } = self;
        Item {
            code: reader.code("code", code),
            name: reader.name(name.as_deref(), code),
            kind: ItemKind::from(*kind),
            base_unit: base_unit_read(base_unit, reader),
            density: reader.decimal_option("density", density.as_deref()),
            each: reader.quantity_option("each", each.as_ref()),
            stocked: stocked.unwrap_or(true),
            water: water.unwrap_or(false),
            salt: salt.unwrap_or(false),
            nature: nature(reader, (water_percent, salt_percent), *yeast),
            allergens: record(
                (contains, may_contain, *allergens_known),
                allergen_record.as_ref(),
                reader,
            ),
            opened_life_minutes: reader.minutes_option("opened_life", opened_life.as_deref()),
            thawed_life_minutes: reader.minutes_option("thawed_life", thawed_life.as_deref()),
            short_life: short_life.unwrap_or(false),
            safety_stock: reader.quantity_option("safety_stock", safety_stock.as_ref()),
            safety_days: *safety_days,
            weighing_loss_percent: reader
                .decimal_option("weighing_loss", weighing_loss.as_deref())
                .unwrap_or(Ratio::ZERO),
            ready_after_minutes: reader
                .minutes_option("ready_after", ready_after.as_deref())
                .unwrap_or(0),
            place: reader.code_option("place", place.as_deref()),
            supply: supply_of(*supply, *kind),
            free: free.unwrap_or(false),
            joint: joint.as_ref().map(|joint| reader.at("joint", |reader| joint.read(reader))),
            label: label_of(label.as_ref(), reader),
            nutrients: nutrients_of(nutrients.as_ref(), reader),
        }
    }
}

/// Which way a need goes: what is made is made, all else is bought, unless it is said.
const fn supply_of(supply: Option<SupplyBody>, kind: ItemKindBody) -> Supply {
    match (supply, kind) {
        (Some(SupplyBody::Made), _) | (None, ItemKindBody::Made) => Supply::Made,
        (Some(SupplyBody::Cheapest), _) => Supply::Cheapest,
        (Some(SupplyBody::Bought), _) | (None, _) => Supply::Bought,
    }
}

fn label_of(label: Option<&ItemLabelBody>, reader: &mut Reader) -> ItemLabel {
    let Some(label) = label else { return ItemLabel::default() };
    reader.at("label", |reader| label.read(reader))
}

fn nutrients_of(nutrients: Option<&NutrientsBody>, reader: &mut Reader) -> Nutrients {
    let Some(nutrients) = nutrients else { return Nutrients::default() };
    reader.at("nutrients", |reader| nutrients.read(reader))
}

impl From<ItemKindBody> for ItemKind {
    fn from(kind: ItemKindBody) -> Self {
        match kind {
            ItemKindBody::Bought => Self::Bought,
            ItemKindBody::Made => Self::Made,
            ItemKindBody::Packaging => Self::Packaging,
        }
    }
}

/// An allergen record: its words, whether the pack was read, and where.
fn record(
    (contains, may_contain, known): (&[String], &[String], Option<bool>),
    read_where: Option<&AllergenRecordBody>,
    reader: &mut Reader,
) -> AllergenRecord {
    AllergenRecord {
        contains: contains.iter().cloned().collect(),
        may_contain: may_contain.iter().cloned().collect(),
        known: known.unwrap_or(!contains.is_empty() || !may_contain.is_empty()),
        ..read_where.map_or_else(AllergenRecord::default, |record| {
            reader.at("allergen_record", |reader| record.read(reader))
        })
    }
}

impl JointBody {
    fn read(&self, reader: &mut Reader) -> Joint {
        let Self { first, keep, surplus_keeps, outputs } = self;
        Joint {
            first: reader.code("first", first),
            keep_minutes: reader.minutes("keep", keep),
            surplus_keeps: *surplus_keeps,
            outputs: reader.each(
                "outputs",
                outputs,
                |reader, JointOutputBody { item, yields, cost_share }| JointOutput {
                    item: reader.code("item", item),
                    yields: reader.quantity("yield", yields),
                    cost_share_percent: reader.decimal("cost_share", cost_share),
                },
            ),
        }
    }
}

/// What an item is to a dough.
fn nature(
    reader: &mut Reader,
    (water, salt): (&Option<String>, &Option<String>),
    yeast: Option<YeastFormBody>,
) -> Nature {
    let percent = |reader: &mut Reader, field: &str, text: &Option<String>| {
        let percent = reader.decimal_option(field, text.as_deref())?;
        if percent < Ratio::ZERO || percent > Ratio::whole(100) {
            reader.fault(field, "out-of-range", "write 0 to 100 percent");
        }
        Some(percent)
    };
    Nature {
        water_percent: percent(reader, "water_percent", water),
        salt_percent: percent(reader, "salt_percent", salt),
        yeast: yeast.map(|form| match form {
            YeastFormBody::Fresh => YeastForm::Fresh,
            YeastFormBody::ActiveDry => YeastForm::ActiveDry,
            YeastFormBody::Instant => YeastForm::Instant,
        }),
    }
}

fn base_unit_read(text: &str, reader: &mut Reader) -> Unit {
    match text {
        "g" => Unit::Gram,
        "mL" => Unit::Millilitre,
        "each" => Unit::Each,
        other => {
            let shown: String = other.chars().take(20).collect();
            let detail = format!("`{shown}` is not a base unit: stock is in g, mL or each");
            reader.fault("base_unit", "unknown-unit", detail);
            Unit::Gram
        }
    }
}
