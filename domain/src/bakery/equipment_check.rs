//! Checks of the house, its equipment, suppliers, packs and routes.

use super::{BakeryDraft, Index, check::Check};
use crate::{
    fault::{FaultKind, Faults},
    ratio::Ratio,
    supplier::{Pack, Substitute},
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
    for (number, supplier) in draft.suppliers.iter().enumerate() {
        let mut check = Check { at: format!("/suppliers/{number}"), index, faults };
        check.whole("minimum_order/minor_units", supplier.minimum_order.minor, 0, i64::MAX);
        check.whole("carriage/minor_units", supplier.carriage.minor, 0, i64::MAX);
        for (field, money) in
            [("minimum_order", supplier.minimum_order), ("carriage", supplier.carriage)]
        {
            currency(&mut check, draft, &format!("{field}/currency"), money.currency);
        }
    }
    for (number, pack) in draft.packs.iter().enumerate() {
        let mut check = Check { at: format!("/packs/{number}"), index, faults };
        check_pack(&mut check, draft, pack);
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

fn currency(
    check: &mut Check<'_>,
    draft: &BakeryDraft,
    field: &str,
    found: crate::money::Currency,
) {
    let house = draft.site.currency;
    if found != house {
        check.fault(
            field,
            FaultKind::UnitMismatch,
            format!("prices are in {house} here, not {found}"),
        );
    }
}

fn check_pack(check: &mut Check<'_>, draft: &BakeryDraft, pack: &Pack) {
    check.item_known("item", &pack.item);
    let supplier = check.index.supplier(pack.supplier.as_str());
    check.known("supplier", "supplier", supplier, &pack.supplier);
    check.whole("price/minor_units", pack.price.minor, 0, 1_000_000_000_000);
    currency(check, draft, "price/currency", pack.price.currency);
    check.amount("holds", pack.holds);
    for (row, level) in pack.breaks.iter().enumerate() {
        check.whole(&format!("breaks/{row}/from_packs"), level.from_packs, 1, 1_000_000);
        check.whole(
            &format!("breaks/{row}/price/minor_units"),
            level.price.minor,
            0,
            1_000_000_000_000,
        );
        currency(check, draft, &format!("breaks/{row}/price/currency"), level.price.currency);
    }
    if let Some(inner) = pack.inner {
        check.amount("inner", inner);
        if inner.unit() != pack.holds.unit() || inner.micro() > pack.holds.micro() {
            check.fault(
                "inner",
                FaultKind::UnitMismatch,
                format!("an inner pack of {inner} does not fit a pack of {}", pack.holds),
            );
        }
    }
    let Some(position) = check.index.item(pack.item.as_str()) else { return };
    let Some(item) = draft.items.get(position as usize) else { return };
    let fits = item.base_unit == pack.holds.unit()
        || (item.grams_per_base_unit().is_some()
            && matches!(item.mass_ug(pack.holds), Ok(Some(_))));
    if !fits {
        let (kind, what) = if pack.holds.unit() == crate::quantity::Unit::Millilitre {
            (FaultKind::NoDensity, "its density is not known: set density")
        } else {
            (FaultKind::NoWeightEach, "the usable weight of one is not known: set each")
        };
        check.fault(
            "holds",
            kind,
            format!(
                "`{}` is kept in {}, the pack holds {}, and {what}",
                item.code, item.base_unit, pack.holds
            ),
        );
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
