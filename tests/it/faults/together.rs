//! Faults of all kinds in one document are reported together.

use super::{Wanted, check, forget, formula, loaf, restate};
use anyhow::Result;
use domain::{fault::FaultKind, formula::LineAmount};
use jiff::civil::Date;
use weighhouse_tests::house::{House, code, ratio};

#[test]
fn faults_of_different_formulas_are_found_at_once() -> Result<()> {
    check(
        |draft| {
            formula(draft, "levain")?.losses[0].percent = ratio("100")?;
            formula(draft, "dough")?.lines[2].item = code("sallt")?;
            formula(draft, "wash")?.lines[1].amount = LineAmount::Parts(ratio("0")?);
            restate(draft, 0, "0 g")?;
            loaf(draft)?.reject_percent = ratio("100")?;
            let again = draft.items[0].clone();
            draft.items.push(again);
            Ok(())
        },
        &[
            ("/formulas/0/losses/0/percent", FaultKind::OutOfRange, &["100"]),
            ("/formulas/1/lines/2/item", FaultKind::UnknownCode, &["`sallt`"]),
            ("/formulas/2/lines/1/parts", FaultKind::OutOfRange, &["0"]),
            ("/products/0/make_up/0/quantity", FaultKind::OutOfRange, &["0 g"]),
            ("/products/0/reject", FaultKind::OutOfRange, &["100"]),
            ("/items/6/code", FaultKind::DuplicateCode, &["`egg`"]),
        ],
    )
}

/// What does not add up once codes and numbers are right.
const SUMS: [Wanted<'static>; 3] = [
    ("/formulas/0", FaultKind::FlourSum, &["`levain`", "99 %"]),
    ("/formulas/2/lines/0", FaultKind::NoWeightEach, &["`egg`"]),
    ("/formulas/3/lines/1", FaultKind::NoDensity, &["`milk`"]),
];

#[test]
fn sums_and_missing_weights_are_found_at_once() -> Result<()> {
    check(
        |draft| {
            formula(draft, "levain")?.lines[0].amount = LineAmount::Parts(ratio("99")?);
            forget(draft)
        },
        &SUMS,
    )
}

#[test]
fn an_unknown_code_hides_no_fault_elsewhere() -> Result<()> {
    let mut wanted = SUMS.to_vec();
    wanted.push(("/items/0/place", FaultKind::UnknownCode, &["`cellar`"]));
    check(
        |draft| {
            draft.items[0].place = Some(code("cellar")?);
            formula(draft, "levain")?.lines[0].amount = LineAmount::Parts(ratio("99")?);
            forget(draft)
        },
        &wanted,
    )
}

#[test]
fn a_cycle_hides_no_fault_elsewhere() -> Result<()> {
    check(
        |draft| {
            // The wash takes the custard and the custard the wash.
            let mut custard = formula(draft, "wash")?.lines[1].clone();
            custard.item = code("custard")?;
            formula(draft, "wash")?.lines.push(custard);
            let mut wash = formula(draft, "custard")?.lines[2].clone();
            wash.item = code("wash")?;
            formula(draft, "custard")?.lines.push(wash);
            formula(draft, "dough")?.lines[0].amount = LineAmount::Parts(ratio("98")?);
            Ok(())
        },
        &[
            ("/formulas/3/lines/3/item", FaultKind::FormulaCycle, &["wash → custard → wash"]),
            ("/formulas/1", FaultKind::FlourSum, &["`dough`", "98 %"]),
        ],
    )
}

#[test]
fn a_fault_adds_none_to_its_users() -> Result<()> {
    // The soaker brings 30 of the hundred; while it is wrong, nobody can count them.
    let house = House::new()?
        .parts("soaker", &["rye 30 flour", "water 30"])?
        .losing(&[("cook", "100")])?
        .bread("dough", &["white 70 flour", "water 50", "soaker 60"])?
        .parts("filling", &["soaker 50", "sugar 10"])?
        .product("loaf", &[("dough", "500 g"), ("filling", "20 g")])?;
    check(
        |draft| {
            *draft = house.into_draft();
            Ok(())
        },
        &[("/formulas/0/losses/0/percent", FaultKind::OutOfRange, &["100"])],
    )
}

#[test]
fn a_fault_is_reported_once_whatever_the_versions() -> Result<()> {
    check(
        |draft| {
            for day in 1..=3 {
                let mut newer = formula(draft, "levain")?.clone();
                newer.valid_from = Date::constant(2026, 12, day);
                draft.formulas.push(newer);
            }
            formula(draft, "wash")?.lines[0].item = code("sugar")?;
            formula(draft, "dough")?.lines[0].amount = LineAmount::Parts(ratio("98")?);
            draft.items[1].density = None;
            Ok(())
        },
        &[
            ("/formulas/1", FaultKind::FlourSum, &["`dough`", "98 %"]),
            ("/formulas/3/lines/1", FaultKind::NoDensity, &["`milk`"]),
        ],
    )
}
