//! Checks of what is written down for labels.

use super::{BakeryDraft, Index, check::Check};
use crate::{
    fault::{FaultKind, Faults},
    labelling::Finished,
    limits::LINES_MAX,
};

/// Codes that labels name are known, and figures are possible.
pub(super) fn check(draft: &BakeryDraft, index: &Index, faults: &mut Faults) {
    for (number, product) in draft.products.iter().enumerate() {
        let mut check = Check { at: format!("/products/{number}/label"), index, faults };
        match product.label.finished {
            Some(Finished::Mass(mass)) => check.of_unit("mass", mass, crate::quantity::Unit::Gram),
            Some(Finished::Loss(percent)) => check.loss("bake_loss", percent),
            None => {}
        }
        check.length("quantities", product.label.quantities.len(), LINES_MAX);
        for (at, code) in product.label.quantities.iter().enumerate() {
            check.item_known(&format!("quantities/{at}"), code);
        }
    }
    for (number, item) in draft.items.iter().enumerate() {
        let mut check = Check { at: format!("/items/{number}/label"), index, faults };
        check.length("parts", item.label.parts.len(), LINES_MAX);
    }
    let Some(chosen) = &draft.site.regulation else { return };
    if !draft.regulations.iter().any(|regulation| regulation.code == *chosen) {
        faults.add(
            "/site/regulation",
            FaultKind::UnknownCode,
            format!("there is no regulation `{chosen}`: add it, or correct the code"),
        );
    }
}
