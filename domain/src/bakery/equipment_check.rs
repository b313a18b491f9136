//! Checks of the house, its equipment, substitutes, overheads and routes.

use super::{BakeryDraft, Index, check::Check};
use crate::{
    fault::{FaultKind, Faults},
    ratio::Ratio,
    supplier::Substitute,
};

pub(super) fn check(draft: &BakeryDraft, index: &Index, faults: &mut Faults) {
    for (number, mixer) in draft.mixers.iter().enumerate() {
        let mut check = Check { at: format!("/mixers/{number}"), index, faults };
        check.whole("wash_minutes", mixer.wash_minutes, 0, 1_000);
        if mixer.residue_ug < 0 || mixer.minimum_ug < 0 {
            check.fault(
                "residue",
                FaultKind::OutOfRange,
                "minimum and residue cannot be below 0".to_owned(),
            );
        }
        for (row, (class, most)) in mixer.maximum_ug.iter().enumerate() {
            if *most <= 0 || *most < mixer.minimum_ug {
                check.fault(
                    &format!("maximum/{row}/mass"),
                    FaultKind::OutOfRange,
                    format!(
                        "the most {class} dough in `{}` must be above 0 and not below its minimum",
                        mixer.code
                    ),
                );
            }
        }
    }
    for (number, oven) in draft.ovens.iter().enumerate() {
        let mut check = Check { at: format!("/ovens/{number}"), index, faults };
        check.whole("decks", oven.decks, 1, 100);
        check.whole("trays", oven.trays, 1, 1_000);
        check.whole("loading_minutes", oven.loading_minutes, 0, 1_000);
        check.whole("heat_seconds_per_degree", oven.heat_seconds_per_degree, 0, 3_600);
        check.whole("cool_seconds_per_degree", oven.cool_seconds_per_degree, 0, 3_600);
    }
    for (number, place) in draft.places.iter().enumerate() {
        if let Some(slots) = place.slots {
            Check { at: format!("/places/{number}"), index, faults }
                .whole("slots", slots, 1, 1_000_000);
        }
    }
    for (number, substitute) in draft.substitutes.iter().enumerate() {
        let mut check = Check { at: format!("/substitutes/{number}"), index, faults };
        check_substitute(&mut check, draft, substitute);
    }
    for (number, overhead) in draft.overheads.iter().enumerate() {
        let mut check = Check { at: format!("/overheads/{number}"), index, faults };
        check.item_known("item", &overhead.item);
        for (row, dough) in overhead.doughs.iter().enumerate() {
            let known = draft.formulas.iter().any(|formula| formula.code == *dough);
            check.known(&format!("doughs/{row}"), "formula", known.then_some(0), dough);
        }
    }
    for (number, route) in draft.routes.iter().enumerate() {
        Check { at: format!("/routes/{number}"), index, faults }.route(route);
    }
}

fn check_substitute(check: &mut Check<'_>, draft: &BakeryDraft, substitute: &Substitute) {
    check.item_known("item", &substitute.item);
    check.amount("per", substitute.per);
    for (row, (item, quantity)) in substitute.uses.iter().enumerate() {
        check.item_known(&format!("use/{row}/item"), item);
        check.amount(&format!("use/{row}/quantity"), *quantity);
    }
    for (row, formula) in substitute.only_in.iter().enumerate() {
        let known = draft.formulas.iter().any(|found| found.code == *formula);
        check.known(&format!("only_in/{row}"), "formula", known.then_some(0), formula);
    }
    if let Some(share) = substitute.max_share_percent
        && (!share.is_positive() || share > Ratio::whole(100))
    {
        check.fault(
            "max_share",
            FaultKind::OutOfRange,
            "a share is above 0 and at most 100 %".to_owned(),
        );
    }
}
