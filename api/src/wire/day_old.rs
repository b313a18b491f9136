//! Pieces of an earlier bake that go into others, lot by lot.

use super::{
    allergens::AllergensView,
    amount::QuantityView,
    printed,
    weigh_out::{LotProposalView, Tub, WeighLineView, lots::lot_in},
    why::link,
};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    allergens::{Swaps, allergens},
    plan::{day_old::DayOldDraw, why::WhyOf},
    quantity::{MICRO, Unit},
};
use serde::Serialize;
use utoipa::ToSchema;

/// What one product takes of an earlier bake.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct DayOldView {
    /// When it is baked.
    #[schema(example = "2026-06-11")]
    pub baked: String,
    /// Whole pieces that are still to be taken.
    pub pieces: i64,
    /// What takes them.
    #[serde(rename = "for")]
    #[schema(example = "almond-croissant")]
    pub used_in: String,
    /// What people call that.
    pub used_in_name: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Pieces of a bake that is planned itself: they are free once its own orders are packed.
    pub from_planned_bake: i64,
    /// Lots of that bake which were made by now.
    pub planned_bake_lots: Vec<String>,
    /// All of it in words.
    #[schema(value_type = String, example = "25 baked Thu 11 Jun, for Almond croissant of Fri 12 Jun")]
    pub words: Sentence,
}

impl DayOldView {
    /// What a draw says of itself.
    #[must_use]
    pub fn new(morning: &Morning, draw: &DayOldDraw) -> Self {
        let bakery = &morning.bakery;
        let (baked, service_date) = (draw.baked.to_string(), draw.service_date.to_string());
        let used_in = bakery.product(draw.taken_by);
        let planned_bake_lots = made_lots(morning, draw);
        let own = Sentence::of("day-old-draw")
            .with("pieces", draw.pieces.to_string())
            .with("baked", Sentence::day(&baked))
            .with("product", &used_in.name)
            .with("day", Sentence::day(&service_date));
        let lots = planned_bake_lots.iter().map(Sentence::from);
        let words = match Sentence::chained("day-old-draw-or", lots) {
            Some(lots) => Sentence::of("day-old-draw-lot").with("draw", own).with("lots", lots),
            None if draw.coming > 0 => Sentence::of("day-old-draw-not-baked").with("draw", own),
            None => own,
        };
        Self {
            baked,
            pieces: draw.pieces,
            used_in: used_in.code.to_string(),
            used_in_name: used_in.name.clone(),
            service_date,
            from_planned_bake: draw.coming,
            planned_bake_lots,
            words,
        }
    }
}

/// Names of the lots of a bake that the plan counts for its own date.
fn made_lots(morning: &Morning, draw: &DayOldDraw) -> Vec<String> {
    if draw.coming == 0 {
        return Vec::new();
    }
    let code = &morning.bakery.product(draw.product).code;
    let own = morning.book.made.iter().filter(|made| {
        made.product == *code && made.service_date == draw.baked && !made.lot.is_empty()
    });
    own.map(|made| made.lot.clone()).collect()
}

/// The same as a line among what goes onto or into pieces.
pub(super) fn line(morning: &Morning, draw: &DayOldDraw) -> WeighLineView {
    let bakery = &morning.bakery;
    let product = bakery.product(draw.product);
    let micro = draw.pieces.saturating_mul(MICRO);
    let quantity = || QuantityView::whole(micro, Unit::Each);
    let lots = draw.from.iter();
    let lots = lots.map(|&(lot, pieces)| lot_in(morning, Unit::Each, lot, pieces * MICRO));
    let lots: Vec<LotProposalView> = lots.collect();
    let found = allergens(bakery, bakery.recipes(draw.baked), draw.product, &Swaps::new());
    WeighLineView {
        number: 0,
        item: product.code.to_string(),
        name: product.name.clone(),
        exact: quantity(),
        weigh: quantity(),
        printed: printed::amount(micro, Unit::Each),
        scale: None,
        state: "counted",
        tub: Tub::AtUse.word(),
        short: (draw.unmet > 0).then(|| QuantityView::whole(draw.unmet * MICRO, Unit::Each)),
        undecided: false,
        lots,
        remarks: vec![DayOldView::new(morning, draw).words],
        allergens: AllergensView::new(bakery, &found),
        why: link(bakery, WhyOf::Pieces(draw.service_date, draw.taken_by)),
    }
}
