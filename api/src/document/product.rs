//! Products.

use super::{
    Reader, Record,
    amount::{AtBody, MoneyBody, QuantityBody},
    formula::WindowBody,
    labelling::ProductLabelBody,
};
use domain::{
    forecast::MissCosts,
    labelling::ProductLabel,
    product::{
        Baked, Baking, MadeAhead, MakeUp, MakeUpAmount, Overs, ParBaked, Per, Product, SaleLife,
        Tray,
    },
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What is sold, and what one piece is made of.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ProductBody {
    /// Its code; never that of an item or formula.
    #[schema(example = "sugar-bun")]
    pub code: String,
    /// What people call it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The dough whose loads its pieces are divided from.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "bun")]
    pub dough: Option<String>,
    /// Finished pieces not fit to send, percent of start pieces.
    #[schema(example = "1")]
    pub reject: String,
    /// Pieces cut or probed each day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub test_pieces: Option<i64>,
    /// Pieces made beyond what was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overs: Option<OversBody>,
    /// Its trays.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tray: Option<TrayBody>,
    /// Its route to a drop.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub route: Option<String>,
    /// How it is baked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub baking: Option<BakingBody>,
    /// Pieces in one sale unit; 1 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sale_pack: Option<i64>,
    /// Last moment for changes of an order for it, against the service date; the customer's
    /// cutoff or the first step counts if that is earlier.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cutoff: Option<AtBody>,
    /// How long a frozen piece thaws before it can be sent, an ISO 8601 duration.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "PT3H")]
    pub thaw: Option<String>,
    /// How pieces that were baked in part and kept are finished on the day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub par_baked: Option<ParBakedBody>,
    /// What one good piece is sold for, tax apart.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<MoneyBody>,
    /// How long its pieces are sold, as the house decided; not known if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sale_life: Option<SaleLifeBody>,
    /// Its weight as baked, if it is defined so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub baked: Option<BakedBody>,
    /// What one piece is made of, in order.
    #[serde(default)]
    pub make_up: Vec<MakeUpBody>,
    /// What its label says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<ProductLabelBody>,
    /// Makes it ahead of orders by the forecast of its weekday; off if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub made_ahead: Option<MadeAheadBody>,
}

/// How a product is made ahead of orders: as many pieces as its forecast says to have, less
/// those that are ordered, while orders for the date may still come.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MadeAheadBody {
    /// Code of the customer for whom pieces are made that nobody has ordered yet.
    #[schema(example = "counter")]
    pub customer: String,
    /// Local time at which they must be there, `HH:MM`.
    #[schema(example = "07:00")]
    pub drop: String,
    /// What a piece too few costs.
    pub under: MoneyBody,
    /// What a piece too many costs.
    pub over: MoneyBody,
}

impl MadeAheadBody {
    fn read(&self, reader: &mut Reader) -> MadeAhead {
        let Self { customer, drop, under, over } = self;
        let (under, over) = (reader.money("under", under), reader.money("over", over));
        if under.minor < 0 || over.minor < 0 || (under.minor, over.minor) == (0, 0) {
            let detail = "under and over are 0 or more, and one of them above 0";
            reader.fault("under", "out-of-range", detail);
        }
        MadeAhead {
            customer: reader.code("customer", customer),
            drop: reader.time("drop", drop),
            costs: MissCosts { under: under.minor, over: over.minor },
        }
    }
}

/// Pieces made beyond what was asked.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(tag = "policy", rename_all = "snake_case", deny_unknown_fields)]
pub enum OversBody {
    /// None.
    None,
    /// Start pieces rounded up to whole trays.
    Tray,
    /// Good pieces rounded up to a multiple.
    Pack {
        /// Pieces in one pack.
        multiple: i64,
    },
    /// This many good pieces more.
    Fixed {
        /// How many.
        pieces: i64,
    },
}

/// Trays of one product.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TrayBody {
    /// Pieces on a full tray.
    #[schema(example = 24)]
    pub pieces: i64,
    /// Products of one group bake together.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub group: Option<String>,
}

/// Days for which anything baked is sold at most: ten years, in a freezer.
const SALE_DAYS_MAX: i64 = 3_650;

/// How long good pieces are sold.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SaleLifeBody {
    /// Days after the bake date; 0 is that day alone.
    #[schema(example = 1)]
    pub days: i64,
    /// Which kind of date that makes.
    pub date: SaleDateBody,
}

/// Which date is on a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SaleDateBody {
    /// At its best until then.
    BestBefore,
    /// Never used after it.
    UseBy,
}

/// A piece whose weight is stated as baked.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BakedBody {
    /// What a good piece weighs when cold.
    pub mass: QuantityBody,
    /// Loss in the oven, percent.
    #[schema(example = "12")]
    pub bake_loss: String,
    /// Loss while cooling, percent.
    #[schema(example = "1")]
    pub cool_loss: String,
    /// The dough whose scale weight follows from it.
    #[schema(example = "country")]
    pub of: String,
}

/// What a make-up amount is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PerBody {
    /// One start piece.
    Piece,
    /// One tray begun.
    Tray,
}

/// One thing that goes into a piece: an item or formula with its quantity, or another
/// product with its pieces and day.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MakeUpBody {
    /// An item or formula.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "pearl-sugar")]
    pub item: Option<String>,
    /// How much of it; the unit `batch` counts batches.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub quantity: Option<QuantityBody>,
    /// What that is for; one piece if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per: Option<PerBody>,
    /// Whether its mass is part of the stated dough mass.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub included: Option<bool>,
    /// When it is used; 04:00 on the service date if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<AtBody>,
    /// Another product.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// Pieces of it in one piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pieces: Option<i64>,
    /// Its bake date against the service date: -1 is day-old.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub day_offset: Option<i32>,
}

/// How a product is baked.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BakingBody {
    /// In which oven.
    #[schema(example = "rack")]
    pub oven: String,
    /// Heat from above, in degrees Celsius.
    #[schema(example = "190")]
    pub top: String,
    /// Heat from below, in degrees Celsius.
    #[schema(example = "180")]
    pub bottom: String,
    /// Steam, as the oven hand says it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "5 s at the start")]
    pub steam: Option<String>,
    /// Minutes in the oven.
    #[schema(example = 16)]
    pub minutes: i64,
    /// Minutes until it may be packed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 60)]
    pub cool_minutes: Option<i64>,
    /// Core temperature that the site's own plan asks for, in degrees Celsius.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub core: Option<String>,
    /// What is done when it comes out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "brush with lemon-syrup")]
    pub finish: Option<String>,
}

/// How pieces that were baked in part are finished.
///
/// Their lots are received with `use` `par_baked`, and with the instant at which they were
/// made if there is an age window.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ParBakedBody {
    /// The steps from the cold place to the drop: to thaw, bake, cool, pack, drive.
    #[schema(example = "finish-bread")]
    pub route: String,
    /// Least and most time from their making to the start of that route.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub age_window: Option<WindowBody>,
}

impl BakingBody {
    fn read(&self, reader: &mut Reader) -> Baking {
        let Self { oven, top, bottom, steam, minutes, cool_minutes, core, finish } = self;
        Baking {
            oven: reader.code("oven", oven),
            top: reader.celsius("top", top),
            bottom: reader.celsius("bottom", bottom),
            steam: steam.as_ref().map(|text| reader.words("steam", text)),
            minutes: *minutes,
            cool_minutes: cool_minutes.unwrap_or(0),
            core: core.as_ref().map(|text| reader.celsius("core", text)),
            finish: finish.as_ref().map(|text| reader.words("finish", text)),
        }
    }
}

impl Record for ProductBody {
    const NOUN: &'static str = "products";

    fn code(&self) -> &str {
        &self.code
    }
}

impl ProductBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Product {
        let Self {
            code,
            name,
            dough,
            reject,
            test_pieces,
            overs,
            tray,
            route,
            baking,
            sale_pack,
            cutoff,
            thaw,
            par_baked,
            price,
            sale_life,
            baked,
            make_up,
            label,
            made_ahead,
        } = self;
        Product {
            code: reader.code("code", code),
            name: reader.name(name.as_deref(), code),
            dough: reader.code_option("dough", dough.as_deref()),
            reject_percent: reader.decimal("reject", reject),
            test_pieces: test_pieces.unwrap_or(0),
            overs: match overs {
                None | Some(OversBody::None) => Overs::None,
                Some(OversBody::Tray) => Overs::Tray,
                Some(OversBody::Pack { multiple }) => Overs::Pack { multiple: *multiple },
                Some(OversBody::Fixed { pieces }) => Overs::Fixed { pieces: *pieces },
            },
            tray: tray
                .as_ref()
                .map(|TrayBody { pieces, group }| Tray { pieces: *pieces, group: group.clone() }),
            route: reader.code_option("route", route.as_deref()),
            baking: baking.as_ref().map(|baking| reader.at("baking", |reader| baking.read(reader))),
            sale_pack: sale_pack.unwrap_or(1),
            cutoff: cutoff.as_ref().map(|cutoff| cutoff.read("cutoff", reader)),
            thaw_minutes: reader.minutes_option("thaw", thaw.as_deref()).unwrap_or(0),
            par_baked: par_baked.as_ref().map(|body| body.read(reader)),
            price: price.as_ref().map(|price| reader.money("price", price)),
            sale_life: sale_life.as_ref().map(|life| reader.at("sale_life", |r| life.read(r))),
            baked: baked.as_ref().map(|baked| baked.read(reader)),
            make_up: reader.each("make_up", make_up, |reader, line| line.read(reader)),
            label: label.as_ref().map_or_else(ProductLabel::default, |label| {
                reader.at("label", |reader| label.read(reader))
            }),
            made_ahead: made_ahead
                .as_ref()
                .map(|body| reader.at("made_ahead", |reader| body.read(reader))),
        }
    }
}

impl ParBakedBody {
    fn read(&self, reader: &mut Reader) -> ParBaked {
        let Self { route, age_window } = self;
        reader.at("par_baked", |reader| ParBaked {
            route: reader.code("route", route),
            age: age_window.as_ref().map(|window| window.read("age_window", reader)),
        })
    }
}

impl SaleLifeBody {
    fn read(&self, reader: &mut Reader) -> SaleLife {
        let Self { days, date } = self;
        if !(0..=SALE_DAYS_MAX).contains(days) {
            reader.fault("days", "out-of-range", format!("{days}: say 0 to {SALE_DAYS_MAX} days"));
        }
        SaleLife { days: *days, is_use_by: *date == SaleDateBody::UseBy }
    }
}

impl BakedBody {
    fn read(&self, reader: &mut Reader) -> Baked {
        let Self { mass, bake_loss, cool_loss, of } = self;
        reader.at("baked", |reader| Baked {
            dough: reader.code("of", of),
            mass: reader.quantity("mass", mass),
            bake_loss_percent: reader.decimal("bake_loss", bake_loss),
            cool_loss_percent: reader.decimal("cool_loss", cool_loss),
        })
    }
}

impl MakeUpBody {
    fn read(&self, reader: &mut Reader) -> MakeUp {
        let Self { item, quantity, per, included, at, product, pieces, day_offset } = self;
        let of_item = per.is_some() || included.is_some() || at.is_some();
        match (item, quantity, product, pieces, day_offset) {
            (Some(item), Some(quantity), None, None, None) => MakeUp::Item {
                item: reader.code("item", item),
                amount: amount(quantity, reader),
                per: match per {
                    Some(PerBody::Tray) => Per::Tray,
                    Some(PerBody::Piece) | None => Per::Piece,
                },
                included: included.unwrap_or(false),
                at: at.as_ref().map(|at| at.read("at", reader)),
            },
            (None, None, Some(product), Some(pieces), Some(day_offset)) if !of_item => {
                MakeUp::Product {
                    product: reader.code("product", product),
                    pieces: *pieces,
                    day_offset: *day_offset,
                }
            }
            _ => {
                let detail = "a make-up line has an item and a quantity (and per, included, at), \
                              or a product, pieces and day_offset";
                reader.fault("", "field-mismatch", detail);
                MakeUp::Product { product: reader.stand_in(), pieces: 1, day_offset: 0 }
            }
        }
    }
}

fn amount(quantity: &QuantityBody, reader: &mut Reader) -> MakeUpAmount {
    if quantity.unit == "batch" {
        let batches = reader.at("quantity", |reader| reader.decimal("amount", &quantity.amount));
        return MakeUpAmount::Batches(batches);
    }
    MakeUpAmount::Amount(reader.quantity("quantity", quantity))
}
