//! Amounts that cannot be turned into grams, and pieces of nothing.

use super::{check, formula, good, loaf, restate};
use anyhow::{Context, Result, ensure};
use domain::{
    bakery::{Bakery, BakeryDraft},
    fault::FaultKind,
    formula::{Base, LineAmount},
    product::{Baked, MakeUp, MakeUpAmount, Per},
    ratio::Ratio,
};
use weighhouse_tests::house::{code, quantity, ratio};

/// Forgets what one of a counted item weighs.
fn forget_each(draft: &mut BakeryDraft) -> Result<()> {
    draft.items.iter_mut().find(|item| item.code.as_str() == "egg").context("egg")?.each = None;
    Ok(())
}

/// Forgets how heavy a litre of a liquid is.
fn forget_density(draft: &mut BakeryDraft) -> Result<()> {
    let milk = draft.items.iter_mut().find(|item| item.code.as_str() == "milk");
    milk.context("milk")?.density = None;
    Ok(())
}

/// Takes out the custard and all that asks for it.
fn without_custard(draft: &mut BakeryDraft) -> Result<()> {
    draft.formulas.retain(|formula| formula.code.as_str() != "custard");
    loaf(draft)?.make_up.truncate(2);
    Ok(())
}

/// Adds an item to the product's make-up.
fn top_with(draft: &mut BakeryDraft, item: &str, amount: &str) -> Result<()> {
    let line = MakeUp::Item {
        item: code(item)?,
        amount: MakeUpAmount::Amount(quantity(amount)?),
        per: Per::Piece,
        included: false,
        at: None,
    };
    loaf(draft)?.make_up.push(line);
    Ok(())
}

#[test]
fn grams_of_a_counted_item_need_the_weight_of_one() -> Result<()> {
    // In parts by weight.
    check(
        |draft| {
            without_custard(draft)?;
            forget_each(draft)
        },
        &[("/formulas/2/lines/0", FaultKind::NoWeightEach, &["`egg`", "set each"])],
    )?;
    // In a batch, stated in grams.
    check(
        |draft| {
            draft.formulas.retain(|formula| formula.code.as_str() != "wash");
            loaf(draft)?.make_up.remove(1);
            formula(draft, "custard")?.lines[0].amount = LineAmount::Amount(quantity("300 g")?);
            forget_each(draft)
        },
        &[("/formulas/2/lines/0", FaultKind::NoWeightEach, &["`egg`", "set each"])],
    )?;
    // On a piece.
    check(
        |draft| {
            draft.formulas.retain(|formula| {
                formula.code.as_str() == "dough" || formula.code.as_str() == "levain"
            });
            loaf(draft)?.make_up.truncate(1);
            top_with(draft, "egg", "2 g")?;
            forget_each(draft)
        },
        &[("/products/0/make_up/1", FaultKind::NoWeightEach, &["`egg`", "set each"])],
    )
}

#[test]
fn pieces_of_a_counted_item_need_no_weight() -> Result<()> {
    let mut draft = good()?;
    draft.formulas.retain(|formula| matches!(formula.code.as_str(), "dough" | "levain"));
    loaf(&mut draft)?.make_up.truncate(1);
    top_with(&mut draft, "egg", "1 each")?;
    forget_each(&mut draft)?;
    let opened = Bakery::new(draft);
    ensure!(opened.is_ok(), "{:#?}", opened.err());
    Ok(())
}

#[test]
fn scoops_of_a_formula_that_is_weighed_are_refused() -> Result<()> {
    // Source: trade.md 7 case 10: refused at save, naming product and line.
    check(
        |draft| restate(draft, 1, "2 each"),
        &[("/products/0/make_up/1", FaultKind::NoWeightEach, &["`wash`"])],
    )
}

#[test]
fn a_volume_needs_a_density() -> Result<()> {
    // In a batch.
    check(
        forget_density,
        &[("/formulas/3/lines/1", FaultKind::NoDensity, &["`milk`", "set density"])],
    )?;
    // On a piece.
    check(
        |draft| {
            without_custard(draft)?;
            top_with(draft, "milk", "5 mL")?;
            forget_density(draft)
        },
        &[("/products/0/make_up/2", FaultKind::NoDensity, &["`milk`", "set density"])],
    )?;
    // Of something that is weighed, and has none.
    check(
        |draft| top_with(draft, "sugar", "5 mL"),
        &[("/products/0/make_up/3", FaultKind::NoDensity, &["`sugar`", "set density"])],
    )
}

#[test]
fn a_density_of_nothing_is_refused() -> Result<()> {
    for density in ["0", "-1", "1000"] {
        let stated = ratio(density)?;
        check(
            |draft| {
                draft.items[1].density = Some(stated);
                Ok(())
            },
            &[("/items/1/density", FaultKind::OutOfRange, &[density])],
        )?;
    }
    Ok(())
}

#[test]
fn grams_of_a_batch_need_what_a_batch_makes() -> Result<()> {
    check(
        |draft| {
            formula(draft, "custard")?.base = Base::PerBatch { makes: None, step: Ratio::ONE };
            Ok(())
        },
        &[(
            "/products/0/make_up/2",
            FaultKind::NoBatchMass,
            &["`custard`", "30 g", "say what a batch makes"],
        )],
    )
}

#[test]
fn a_piece_of_nothing_is_refused() -> Result<()> {
    for amount in ["0 g", "-500 g"] {
        check(
            |draft| restate(draft, 0, amount),
            &[("/products/0/make_up/0/quantity", FaultKind::OutOfRange, &[amount, "above 0"])],
        )?;
    }
    check(
        |draft| {
            let baked = Baked {
                dough: code("dough")?,
                mass: quantity("0 g")?,
                bake_loss_percent: ratio("12")?,
                cool_loss_percent: ratio("1")?,
            };
            loaf(draft)?.baked = Some(baked);
            Ok(())
        },
        &[("/products/0/baked/mass", FaultKind::OutOfRange, &["0 g", "above 0"])],
    )
}

#[test]
fn a_piece_that_is_all_inclusion_is_refused() -> Result<()> {
    check(
        |draft| {
            let line = MakeUp::Item {
                item: code("sugar")?,
                amount: MakeUpAmount::Amount(quantity("500 g")?),
                per: Per::Piece,
                included: true,
                at: None,
            };
            loaf(draft)?.make_up.push(line);
            Ok(())
        },
        &[("/products/0/make_up/0", FaultKind::OutOfRange, &["`dough`", "heavier piece"])],
    )
}

#[test]
fn an_egg_of_nothing_is_refused() -> Result<()> {
    check(
        |draft| {
            draft.items[0].each = Some(quantity("0 g")?);
            Ok(())
        },
        &[("/items/0/each", FaultKind::OutOfRange, &["0 g"])],
    )
}
