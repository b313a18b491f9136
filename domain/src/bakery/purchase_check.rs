//! Checks of suppliers and of what can be ordered from them.

use super::{BakeryDraft, Index, check::Check};
use crate::{
    fault::{FaultKind, Faults},
    money::Money,
    quantity::Unit,
    ratio::Ratio,
    supplier::{Pack, PackPrice, Supplier},
};

/// Largest price or sum of money, in minor units.
const MINOR_MAX: i64 = 1_000_000_000_000;
/// Breaks of one price, or of one supplier.
const BREAKS_MAX: usize = 20;

pub(super) fn check(draft: &BakeryDraft, index: &Index, faults: &mut Faults) {
    for (number, supplier) in draft.suppliers.iter().enumerate() {
        let mut check = Check { at: format!("/suppliers/{number}"), index, faults };
        check_supplier(&mut check, draft, supplier);
    }
    for (number, pack) in draft.packs.iter().enumerate() {
        let mut check = Check { at: format!("/packs/{number}"), index, faults };
        check_pack(&mut check, draft, pack);
    }
}

fn check_supplier(check: &mut Check<'_>, draft: &BakeryDraft, supplier: &Supplier) {
    check_money(check, draft, "minimum_order", supplier.minimum_order);
    check_money(check, draft, "carriage", supplier.carriage);
    check.length("value_breaks", supplier.value_breaks.len(), BREAKS_MAX);
    for (row, level) in supplier.value_breaks.iter().enumerate() {
        check_money(check, draft, &format!("value_breaks/{row}/from"), level.from);
        check.loss(&format!("value_breaks/{row}/percent_off"), level.percent_off);
    }
}

fn check_money(check: &mut Check<'_>, draft: &BakeryDraft, field: &str, money: Money) {
    check.whole(&format!("{field}/minor_units"), money.minor, 0, MINOR_MAX);
    let house = draft.site.currency;
    if money.currency != house {
        check.fault(
            &format!("{field}/currency"),
            FaultKind::UnitMismatch,
            format!("prices are in {house} here, not {}", money.currency),
        );
    }
}

fn check_price(check: &mut Check<'_>, draft: &BakeryDraft, at: &str, price: &PackPrice) {
    check_money(check, draft, &format!("{at}price"), price.price);
    check.length(&format!("{at}breaks"), price.breaks.len(), BREAKS_MAX);
    for (row, level) in price.breaks.iter().enumerate() {
        check.whole(&format!("{at}breaks/{row}/from_packs"), level.from_packs, 1, 1_000_000);
        check_money(check, draft, &format!("{at}breaks/{row}/price"), level.price);
    }
}

/// What a pack says of itself as a level of a larger one.
fn check_level(check: &mut Check<'_>, draft: &BakeryDraft, pack: &Pack) {
    check.whole("multiple", pack.multiple, 1, 100_000);
    for (field, money) in [("split_surcharge", pack.split_surcharge), ("deposit", pack.deposit)] {
        if let Some(money) = money {
            check_money(check, draft, field, money);
        }
    }
    if let Some(percent) = pack.tax_percent
        && (percent < Ratio::ZERO || percent > Ratio::whole(100))
    {
        let detail = format!("a tax of {} % is not possible", percent.to_decimal(6));
        check.fault("tax", FaultKind::OutOfRange, detail);
    }
    if let Some((low, high)) = pack.catch_weight
        && (low.unit() != high.unit() || low.micro() <= 0 || low.micro() > high.micro())
    {
        let detail = format!("from {low} to {high} is no band: write the least first");
        check.fault("catch_weight", FaultKind::OutOfRange, detail);
    }
    let Some(larger) = &pack.split_of else {
        if pack.split_surcharge.is_some() {
            let detail = "a surcharge goes with split_of: name the pack that is split".to_owned();
            check.fault("split_surcharge", FaultKind::FieldMismatch, detail);
        }
        return;
    };
    let found = draft.packs.iter().find(|other| other.code == *larger);
    check.known("split_of", "pack", found.map(|_| 0), larger);
    let fits = |other: &Pack| {
        (&other.item, &other.supplier) == (&pack.item, &pack.supplier)
            && other.code != pack.code
            && other.holds.unit() == pack.holds.unit()
            && other.holds.micro() > pack.holds.micro()
    };
    if found.is_some_and(|other| !fits(other)) {
        let detail = format!(
            "`{larger}` cannot be split into `{}`: it must hold more of the same item, of the \
             same supplier",
            pack.code
        );
        check.fault("split_of", FaultKind::UnitMismatch, detail);
    }
}

fn check_pack(check: &mut Check<'_>, draft: &BakeryDraft, pack: &Pack) {
    check.item_known("item", &pack.item);
    let supplier = check.index.supplier(pack.supplier.as_str());
    check.known("supplier", "supplier", supplier, &pack.supplier);
    for (row, price) in pack.prices.iter().enumerate() {
        let at = row.checked_sub(1).map_or(String::new(), |row| format!("prices/{row}/"));
        check_price(check, draft, &at, price);
        if pack.prices[..row].iter().any(|other| other.valid_from == price.valid_from) {
            let detail = format!(
                "two prices of `{}` hold from {}: give the newer one a later valid_from",
                pack.code, price.valid_from
            );
            check.fault(&format!("{at}valid_from"), FaultKind::DuplicateCode, detail);
        }
    }
    check_level(check, draft, pack);
    check.amount("holds", pack.holds);
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
        let (kind, what) = if pack.holds.unit() == Unit::Millilitre {
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
