//! Codes that nothing has, and codes that two things have.

use super::{check, formula, loaf};
use anyhow::{Context, Result};
use domain::{fault::FaultKind, formula::Made, product::MakeUp};
use jiff::civil::{Date, Time};
use weighhouse_tests::house::code;

#[test]
fn an_item_that_is_not_there_is_named_where_it_is_used() -> Result<()> {
    check(
        |draft| {
            formula(draft, "dough")?.lines[2].item = code("sallt")?;
            Ok(())
        },
        &[("/formulas/1/lines/2/item", FaultKind::UnknownCode, &["`sallt`"])],
    )?;
    check(
        |draft| {
            let line = loaf(draft)?.make_up.get_mut(1).context("the wash")?;
            let MakeUp::Item { item, .. } = line else { anyhow::bail!("an item") };
            *item = code("wassh")?;
            Ok(())
        },
        &[("/products/0/make_up/1/item", FaultKind::UnknownCode, &["`wassh`"])],
    )?;
    check(
        |draft| {
            let day_old = MakeUp::Product { product: code("roll")?, pieces: 1, day_offset: -1 };
            loaf(draft)?.make_up.push(day_old);
            Ok(())
        },
        &[("/products/0/make_up/3/product", FaultKind::UnknownCode, &["`roll`"])],
    )
}

#[test]
fn a_place_route_or_mixer_that_is_not_there_is_named() -> Result<()> {
    check(
        |draft| {
            draft.items[0].place = Some(code("cellar")?);
            Ok(())
        },
        &[("/items/0/place", FaultKind::UnknownCode, &["`cellar`"])],
    )?;
    check(
        |draft| {
            formula(draft, "dough")?.made =
                Made::Step { route: code("rye")?, step: "mix".to_owned(), drop: Time::midnight() };
            Ok(())
        },
        &[("/formulas/1/made/route", FaultKind::UnknownCode, &["`rye`"])],
    )?;
    check(
        |draft| {
            let dough = formula(draft, "dough")?;
            dough.mixer = Some(code("spiral")?);
            dough.dough_class = Some("lean".to_owned());
            Ok(())
        },
        &[("/formulas/1/mixer", FaultKind::UnknownCode, &["`spiral`"])],
    )
}

#[test]
fn two_things_of_one_code_are_refused_with_both_places() -> Result<()> {
    check(
        |draft| {
            let again = draft.items[0].clone();
            draft.items.push(again);
            Ok(())
        },
        &[("/items/6/code", FaultKind::DuplicateCode, &["`egg`", "/items/0"])],
    )?;
    check(
        |draft| {
            let again = draft.formulas[2].clone();
            draft.formulas.push(again);
            Ok(())
        },
        &[("/formulas/4/code", FaultKind::DuplicateCode, &["`wash`", "/formulas/2"])],
    )?;
    check(
        |draft| {
            let again = draft.customers[0].clone();
            draft.customers.push(again);
            Ok(())
        },
        &[("/customers/1/code", FaultKind::DuplicateCode, &["`till`", "/customers/0"])],
    )
}

#[test]
fn a_later_version_of_a_formula_is_no_double() -> Result<()> {
    let mut draft = super::good()?;
    let mut newer = draft.formulas[2].clone();
    newer.valid_from = Date::constant(2026, 12, 1);
    draft.formulas.push(newer);
    let opened = domain::bakery::Bakery::new(draft);
    anyhow::ensure!(opened.is_ok(), "{:#?}", opened.err());
    Ok(())
}

#[test]
fn a_product_shares_no_code_with_a_dough() -> Result<()> {
    // Source: readings.md R32.
    check(
        |draft| {
            loaf(draft)?.code = code("dough")?;
            Ok(())
        },
        &[("/products/0/code", FaultKind::DuplicateCode, &["`dough`", "item or formula"])],
    )
}
