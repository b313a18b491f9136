//! Kept pieces with their age, as they are answered.

use super::{
    amount::{QuantityView, instant},
    lot_lever::{lot_levers, said},
    made_lot::{MadeLotUseView, word},
    named,
    printed::{self, PrintedView},
};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    plan::made_stock::{PieceKind, PieceLotRow},
    quantity::Unit,
};
use jiff::Timestamp;
use serde::Serialize;
use utoipa::ToSchema;

/// Finished pieces that are kept: how, how old they are, and what becomes of them.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PieceLotView {
    /// The name on the box.
    #[schema(example = "CR-0608")]
    pub lot: String,
    /// Which product.
    #[schema(example = "crusty-roll")]
    pub product: String,
    /// What people call it.
    #[schema(example = "Crusty roll")]
    pub name: String,
    /// `frozen`, `par-baked`, `day-old` (only for other products), or `kept`.
    #[schema(example = "par-baked")]
    pub kept_as: &'static str,
    /// What there is of it.
    pub amount: QuantityView,
    /// The same as it stands on paper.
    pub printed: PrintedView,
    /// Where it lies.
    #[schema(value_type = Option<String>, example = "freezer")]
    pub place: Option<Sentence>,
    /// Its bake date, if somebody wrote it down.
    #[schema(example = "2026-06-08")]
    pub baked: Option<String>,
    /// When it was made, if its age is counted.
    pub made_at: Option<String>,
    /// From when it may be used; of frozen pieces, if they are taken out at `at`. Null if
    /// nothing bounds it or nobody knows.
    #[schema(example = "2026-06-10T22:00:00+02:00")]
    pub ready_from: Option<String>,
    /// Its last instant of use; null if nothing bounds it.
    pub last: Option<String>,
    /// The instant at which it is judged.
    pub at: String,
    /// `ready`, `not ready`, `STOP`, `on hold`, or `unknown` if nobody wrote when it was made.
    #[schema(example = "ready")]
    pub state: &'static str,
    /// Orders that it covers, by service date.
    pub covers: Vec<CoveredView>,
    /// Products that take goods of its bake date.
    pub goes_into: Vec<MadeLotUseView>,
    /// What can be done if it is not used as it was meant, in words, with what it costs.
    #[schema(value_type = Vec<String>)]
    pub levers: Vec<Sentence>,
}

/// Orders that kept pieces cover.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CoveredView {
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// How many pieces.
    #[schema(example = 8)]
    pub pieces: i64,
}

const fn kind(kind: PieceKind) -> &'static str {
    match kind {
        PieceKind::Frozen => "frozen",
        PieceKind::ParBaked => "par-baked",
        PieceKind::DayOld => "day-old",
        PieceKind::Kept => "kept",
    }
}

impl PieceLotView {
    /// A row of kept pieces.
    #[must_use]
    pub fn new(morning: &Morning, row: &PieceLotRow) -> Self {
        let bakery = &morning.bakery;
        let PieceLotRow {
            lot,
            product,
            kind: kept_as,
            at,
            ready,
            last,
            state,
            covers,
            goes_into,
            levers,
        } = row;
        let lot = &morning.book.lots[*lot as usize];
        let product = bakery.product(*product);
        let said_at = |at: Timestamp| instant(&bakery.site().time_zone, at);
        let covered = |&(date, pieces): &(jiff::civil::Date, i64)| CoveredView {
            service_date: date.to_string(),
            pieces,
        };
        let into = |&(date, user): &(jiff::civil::Date, u32)| MadeLotUseView {
            service_date: date.to_string(),
            by: vec![named::product(bakery, user)],
        };
        Self {
            lot: lot.name.clone(),
            product: product.code.to_string(),
            name: product.name.clone(),
            kept_as: kind(*kept_as),
            amount: QuantityView::whole(lot.balance_micro, Unit::Each),
            printed: printed::amount(lot.balance_micro, Unit::Each),
            place: lot.place.as_ref().map(|place| named::place(bakery, place.as_str())),
            baked: lot.baked.map(|baked| baked.to_string()),
            made_at: lot.made_at.map(said_at),
            ready_from: ready.filter(|&at| at != Timestamp::MIN).map(said_at),
            last: last.map(said_at),
            at: said_at(*at),
            state: word(*state),
            covers: covers.iter().map(covered).collect(),
            goes_into: goes_into.iter().map(into).collect(),
            levers: lot_levers(morning, lot, levers).iter().map(said).collect(),
        }
    }
}
