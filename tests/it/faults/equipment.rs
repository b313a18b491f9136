//! Loads that the only mixer cannot take.

use super::{check, formula, good};
use anyhow::{Result, ensure};
use domain::{
    bakery::{Bakery, BakeryDraft},
    equipment::Mixer,
    fault::FaultKind,
    formula::{Base, Blocks},
    quantity::MICRO,
};
use weighhouse_tests::house::{House, code, quantity, ratio};

/// A mixer that takes so many grams of lean dough and keeps so many back.
fn mixer(most: i64, residue: i64) -> Result<Mixer> {
    Ok(Mixer {
        code: code("spiral")?,
        name: "Spiral".to_owned(),
        minimum_ug: 0,
        residue_ug: residue * MICRO,
        wash_minutes: 0,
        friction: None,
        maximum_ug: vec![("lean".to_owned(), most * MICRO)],
    })
}

/// Mixes a formula in a mixer.
fn mix_in(draft: &mut BakeryDraft, name: &str, mixer: Mixer) -> Result<()> {
    let formula = formula(draft, name)?;
    formula.mixer = Some(mixer.code.clone());
    formula.dough_class = Some("lean".to_owned());
    draft.mixers.push(mixer);
    Ok(())
}

#[test]
fn a_pan_over_the_mixers_maximum_is_refused() -> Result<()> {
    // Six eggs of 50 g, a litre of milk at 1.03 and 250 g of sugar weigh 1,580 g.
    check(
        |draft| mix_in(draft, "custard", mixer(1_579, 0)?),
        &[("/formulas/3/mixer", FaultKind::OverMixerMaximum, &["`custard`", "`spiral`"])],
    )?;
    let mut just = good()?;
    mix_in(&mut just, "custard", mixer(1_580, 0)?)?;
    ensure!(Bakery::new(just).is_ok(), "a pan of exactly the maximum fits");
    Ok(())
}

/// Blocks of 1,000 g of butter in 4,000 g of base dough, two at a time.
fn laminated(most: i64, residue: i64) -> Result<BakeryDraft> {
    let mut draft = House::new()?
        .bread("base", &["white 100 flour", "water 55"])?
        .item("sheet", |_| ())?
        .formula("laminated", Base::Parts, &["base 1"])?
        .into_draft();
    let last = formula(&mut draft, "laminated")?;
    last.lines.clear();
    last.base = Base::Blocks(Blocks {
        base: code("base")?,
        sheet: code("sheet")?,
        sheet_mass: quantity("1000 g")?,
        percent: ratio("25")?,
        step: 2,
    });
    mix_in(&mut draft, "base", mixer(most, residue)?)?;
    Ok(draft)
}

#[test]
fn a_step_of_blocks_over_the_mixers_maximum_is_refused() -> Result<()> {
    // Source: readings.md R3: one step or the residue too big for the bowl is refused.
    check(
        |draft| {
            *draft = laminated(8_099, 100)?;
            Ok(())
        },
        &[("/formulas/0/mixer", FaultKind::OverMixerMaximum, &["`base`", "`spiral`"])],
    )?;
    ensure!(Bakery::new(laminated(8_100, 100)?).is_ok(), "8,000 g and 100 g of residue fit");
    Ok(())
}

#[test]
fn a_bowl_that_its_residue_fills_is_refused() -> Result<()> {
    check(
        |draft| mix_in(draft, "dough", mixer(200, 200)?),
        &[("/formulas/1/mixer", FaultKind::OverMixerMaximum, &["`dough`", "`spiral`"])],
    )
}

#[test]
fn a_mixer_without_the_doughs_class_is_refused() -> Result<()> {
    check(
        |draft| {
            mix_in(draft, "dough", mixer(12_000, 0)?)?;
            formula(draft, "dough")?.dough_class = Some("stiff".to_owned());
            Ok(())
        },
        &[("/formulas/1/dough_class", FaultKind::UnknownCode, &["`spiral`", "stiff"])],
    )
}
