//! Formulas that contradict themselves or each other.

use super::{check, formula, good};
use anyhow::{Context, Result, ensure};
use domain::{
    bakery::{Bakery, BakeryDraft},
    fault::FaultKind,
    formula::{Formula, Line, LineAmount},
    limits::NESTING_MAX,
    product::MakeUp,
};
use weighhouse_tests::house::{House, code, ratio};

/// Adds a line by parts to a formula.
fn add_line(draft: &mut BakeryDraft, user: &str, used: &str, parts: &str) -> Result<()> {
    let line = Line {
        item: code(used)?,
        amount: LineAmount::Parts(ratio(parts)?),
        flour: false,
        previous_batch: false,
        precision_percent: None,
        in_bowl: true,
        old_dough: None,
    };
    formula(draft, user)?.lines.push(line);
    Ok(())
}

/// Sets the amount of a formula's line.
fn set(draft: &mut BakeryDraft, name: &str, line: usize, amount: LineAmount) -> Result<()> {
    let formula: &mut Formula = formula(draft, name)?;
    formula.lines.get_mut(line).context("no such line")?.amount = amount;
    Ok(())
}

#[test]
fn a_cycle_is_refused_with_its_path() -> Result<()> {
    // Source: trade.md 7 case 11.
    check(
        |draft| {
            *draft = House::new()?
                .parts("glaze", &["sugar 50", "water 50"])?
                .parts("cream", &["glaze 20", "butter 30"])?
                .parts("filling", &["cream 40", "nuts 10"])?
                .into_draft();
            add_line(draft, "glaze", "filling", "5")
        },
        &[(
            "/formulas/1/lines/0/item",
            FaultKind::FormulaCycle,
            &["glaze → filling → cream → glaze", "from a previous batch"],
        )],
    )
}

#[test]
fn a_formula_that_takes_itself_is_a_cycle_and_a_seed_is_none() -> Result<()> {
    check(
        |draft| {
            for line in &mut formula(draft, "levain")?.lines {
                line.previous_batch = false;
            }
            Ok(())
        },
        &[("/formulas/0/lines/2/item", FaultKind::FormulaCycle, &["levain → levain"])],
    )
}

#[test]
fn a_product_that_takes_itself_on_the_same_day_is_a_cycle() -> Result<()> {
    let takes = |day_offset| -> Result<MakeUp> {
        Ok(MakeUp::Product { product: code("loaf")?, pieces: 1, day_offset })
    };
    check(
        |draft| {
            draft.products[0].make_up.push(takes(0)?);
            Ok(())
        },
        &[("/products/0/make_up", FaultKind::FormulaCycle, &["`loaf`", "a day before"])],
    )?;
    let mut day_old = good()?;
    day_old.products[0].make_up.push(takes(-1)?);
    ensure!(Bakery::new(day_old).is_ok(), "yesterday's piece is a draw on stock, no cycle");
    Ok(())
}

#[test]
fn flours_that_are_not_a_hundred_are_refused_with_the_sum_found() -> Result<()> {
    // Source: trade.md 2.1: 100.00 ± 0.01 in the overall view, or refused with the sum.
    for (parts, found) in [("99.989", "99.989 %"), ("100.011", "100.011 %"), ("60", "60 %")] {
        let amount = LineAmount::Parts(ratio(parts)?);
        check(
            |draft| set(draft, "dough", 0, amount),
            &[("/formulas/1", FaultKind::FlourSum, &["`dough`", found])],
        )?;
    }
    for parts in ["99.99", "100", "100.01"] {
        let mut draft = good()?;
        set(&mut draft, "dough", 0, LineAmount::Parts(ratio(parts)?))?;
        ensure!(Bakery::new(draft).is_ok(), "{parts} is within 100 ± 0.01");
    }
    Ok(())
}

#[test]
fn flour_in_a_sub_formula_counts_towards_the_hundred() -> Result<()> {
    // The soaker brings 30 parts of flour to the 80 that the bowl gets.
    let house = House::new()?
        .parts("soaker", &["rye 30 flour", "water 30"])?
        .bread("dough", &["white 80 flour", "water 50", "soaker 60"])?;
    check(
        |draft| {
            *draft = house.into_draft();
            Ok(())
        },
        &[("/formulas/1", FaultKind::FlourSum, &["`dough`", "110 %"])],
    )
}

#[test]
fn a_preferment_that_brings_too_much_is_refused_by_name() -> Result<()> {
    // 120 % of the flour in 240 parts of levain: 20 parts of flour too many.
    check(
        |draft| {
            set(draft, "dough", 1, LineAmount::Parts(ratio("200")?))?;
            set(draft, "dough", 3, LineAmount::PrefermentedFlour(ratio("120")?))
        },
        &[(
            "/formulas/1/lines/3",
            FaultKind::NegativeFinalMix,
            &["`levain`", "white", "`dough`", "-20 parts"],
        )],
    )?;
    // 40 parts of levain bring 20 of water where 12.5 are wanted overall.
    check(
        |draft| set(draft, "dough", 1, LineAmount::Parts(ratio("12.5")?)),
        &[(
            "/formulas/1/lines/3",
            FaultKind::NegativeFinalMix,
            &["`levain`", "water", "`dough`", "-7.5 parts"],
        )],
    )
}

#[test]
fn a_preferment_brings_nothing_that_the_formula_does_not_have() -> Result<()> {
    check(
        |draft| add_line(draft, "levain", "sugar", "4"),
        &[("/formulas/1/lines/3", FaultKind::NegativeFinalMix, &["`levain`", "sugar", "`dough`"])],
    )
}

#[test]
fn parts_of_nothing_or_less_are_refused() -> Result<()> {
    for parts in ["0", "-1"] {
        let amount = LineAmount::Parts(ratio(parts)?);
        check(
            |draft| set(draft, "wash", 1, amount),
            &[("/formulas/2/lines/1/parts", FaultKind::OutOfRange, &[parts])],
        )?;
        let amount = LineAmount::PrefermentedFlour(ratio(parts)?);
        check(
            |draft| set(draft, "dough", 3, amount),
            &[("/formulas/1/lines/3/prefermented_flour", FaultKind::OutOfRange, &[parts])],
        )?;
    }
    Ok(())
}

#[test]
fn a_loss_of_everything_or_a_gain_is_refused() -> Result<()> {
    for percent in ["100", "250", "-0.5"] {
        let lost = ratio(percent)?;
        check(
            |draft| {
                formula(draft, "levain")?.losses[0].percent = lost;
                Ok(())
            },
            &[("/formulas/0/losses/0/percent", FaultKind::OutOfRange, &[percent, "below 100"])],
        )?;
        check(
            |draft| {
                draft.products[0].reject_percent = lost;
                Ok(())
            },
            &[("/products/0/reject", FaultKind::OutOfRange, &[percent, "below 100"])],
        )?;
        check(
            |draft| {
                draft.items[0].weighing_loss_percent = lost;
                Ok(())
            },
            &[("/items/0/weighing_loss", FaultKind::OutOfRange, &[percent, "below 100"])],
        )?;
    }
    let mut nearly_all = good()?;
    formula(&mut nearly_all, "levain")?.losses[0].percent = ratio("99.9")?;
    ensure!(Bakery::new(nearly_all).is_ok(), "99.9 % lost leaves something");
    Ok(())
}

#[test]
fn a_formula_of_nothing_is_refused() -> Result<()> {
    check(
        |draft| {
            formula(draft, "wash")?.lines.clear();
            Ok(())
        },
        &[("/formulas/2/lines", FaultKind::FieldMismatch, &["`wash`", "no lines"])],
    )
}

/// A chain of formulas, each inside the next, and a product of the last.
fn nested(levels: usize) -> Result<BakeryDraft> {
    let mut house = House::new()?.parts("level-1", &["sugar 50", "water 50"])?;
    for level in 2..=levels {
        let below = format!("level-{} 90", level - 1);
        house = house.parts(&format!("level-{level}"), &[&below, "sugar 10"])?;
    }
    let top = format!("level-{levels}");
    Ok(house.product("slice", &[(top.as_str(), "100 g")])?.into_draft())
}

#[test]
fn forty_levels_are_taken_and_the_forty_first_is_refused() -> Result<()> {
    ensure!(NESTING_MAX == 40, "the limit that is published");
    let taken = Bakery::new(nested(40)?);
    ensure!(taken.is_ok(), "{:#?}", taken.err());
    for levels in [41, 42, 100, 1_000] {
        check(
            |draft| {
                *draft = nested(levels)?;
                Ok(())
            },
            &[("/formulas/40", FaultKind::NestingTooDeep, &["`level-41`", "40 levels"])],
        )?;
    }
    Ok(())
}
