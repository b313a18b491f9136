//! Products and their routes.

use super::{
    Reader, Record,
    amount::{AtBody, QuantityBody},
    formula::WindowBody,
};
use domain::{
    product::{Baked, MakeUp, MakeUpAmount, Overs, Per, Product, Tray},
    route::{Length, Route, RouteLimit, Step},
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
    /// Pieces in one sale unit; 1 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sale_pack: Option<i64>,
    /// Its weight as baked, if it is defined so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub baked: Option<BakedBody>,
    /// What one piece is made of, in order.
    #[serde(default)]
    pub make_up: Vec<MakeUpBody>,
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
            sale_pack,
            baked,
            make_up,
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
            sale_pack: sale_pack.unwrap_or(1),
            baked: baked.as_ref().map(|baked| baked.read(reader)),
            make_up: reader.each("make_up", make_up, |reader, line| line.read(reader)),
        }
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

/// The steps that lead to a drop, in order.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RouteBody {
    /// Its code.
    #[schema(example = "bun-route")]
    pub code: String,
    /// Its steps, first to last.
    pub steps: Vec<StepBody>,
    /// Bounds over several steps together.
    #[serde(default)]
    pub limits: Vec<LimitBody>,
}

/// One step: exactly one of `minutes`, `per_load` and `window`.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StepBody {
    /// Its name.
    #[schema(example = "weigh")]
    pub step: String,
    /// Minutes, always the same.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minutes: Option<i64>,
    /// Minutes for each load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_load: Option<i64>,
    /// Minutes between two loads.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub between: Option<i64>,
    /// Anything between a least and a most.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub window: Option<WindowBody>,
    /// Who must be there all the time.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub team: Option<String>,
    /// Who must be there when it starts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start_team: Option<String>,
}

/// A bound over several steps.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LimitBody {
    /// The steps.
    pub steps: Vec<String>,
    /// Most of them together.
    #[schema(example = "PT48H")]
    pub most: String,
}

impl Record for RouteBody {
    const NOUN: &'static str = "routes";

    fn code(&self) -> &str {
        &self.code
    }
}

impl RouteBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Route {
        let Self { code, steps, limits } = self;
        Route {
            code: reader.code("code", code),
            steps: reader.each("steps", steps, |reader, step| step.read(reader)),
            limits: reader.each("limits", limits, |reader, LimitBody { steps, most }| RouteLimit {
                steps: steps.clone(),
                most_minutes: reader.minutes("most", most),
            }),
        }
    }
}

impl StepBody {
    fn read(&self, reader: &mut Reader) -> Step {
        let Self { step, minutes, per_load, between, window, team, start_team } = self;
        let length = match (minutes, per_load, window) {
            (Some(minutes), None, None) => Length::Fixed { minutes: *minutes },
            (None, Some(minutes), None) => {
                Length::PerLoad { minutes: *minutes, between_minutes: between.unwrap_or(0) }
            }
            (None, None, Some(window)) => {
                let (least_minutes, most_minutes) = window.read("window", reader);
                Length::Window { least_minutes, most_minutes }
            }
            _ => {
                let detail = format!("`{step}` needs exactly one of minutes, per_load and window");
                reader.fault("", "field-mismatch", detail);
                Length::Fixed { minutes: 0 }
            }
        };
        Step {
            name: reader.words("step", step),
            length,
            team: reader.code_option("team", team.as_deref()),
            start_team: reader.code_option("start_team", start_team.as_deref()),
        }
    }
}
