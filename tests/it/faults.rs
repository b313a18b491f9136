//! Documents that are refused: each fault names its place and what was found there.
//!
//! Every case is a good document with one thing wrong, so that nothing else can be
//! what is refused.

mod amounts;
mod codes;
mod equipment;
mod formulas;
mod time;
mod together;

use anyhow::{Context, Result, ensure};
use domain::{
    bakery::{Bakery, BakeryDraft},
    fault::{Fault, FaultKind},
    formula::{Base, Formula, LineAmount},
    product::{MakeUp, MakeUpAmount, Product},
    quantity::Unit,
    ratio::Ratio,
};
use weighhouse_tests::house::{House, quantity, ratio};

/// A small bakery without fault: a levain bread, a custard by the pan and an egg wash.
fn good() -> Result<BakeryDraft> {
    let each = quantity("50 g")?;
    let density = ratio("1.03")?;
    let house = House::new()?
        .item("egg", |item| {
            item.base_unit = Unit::Each;
            item.each = Some(each);
        })?
        .item("milk", |item| {
            item.base_unit = Unit::Millilitre;
            item.density = Some(density);
        })?
        .bread("levain", &["white 100 flour", "water 100", "levain 20 previous"])?
        .losing(&[("pot", "2")])?
        .overall("dough", &["white 100 flour", "water 65", "salt 2", "levain 20 prefermented"])?
        .parts("wash", &["egg 50", "water 10"])?
        .formula(
            "custard",
            Base::PerBatch { makes: Some(quantity("1500 g")?), step: Ratio::ONE },
            &["egg 1", "milk 1", "sugar 1"],
        )?
        .product("loaf", &[("dough", "500 g"), ("wash", "10 g"), ("custard", "30 g")])?;
    let mut draft = house.into_draft();
    let amounts = ["6 each", "1000 mL", "250 g"];
    let custard = draft.formulas.last_mut().context("the custard")?;
    for (line, amount) in custard.lines.iter_mut().zip(amounts) {
        line.amount = LineAmount::Amount(quantity(amount)?);
    }
    Ok(draft)
}

/// The formula of a name.
fn formula<'a>(draft: &'a mut BakeryDraft, name: &str) -> Result<&'a mut Formula> {
    let found = draft.formulas.iter_mut().find(|formula| formula.code.as_str() == name);
    found.with_context(|| format!("no formula `{name}`"))
}

/// The one product.
fn loaf(draft: &mut BakeryDraft) -> Result<&mut Product> {
    draft.products.first_mut().context("no product")
}

/// States another amount in a line of the product's make-up.
fn restate(draft: &mut BakeryDraft, line: usize, amount: &str) -> Result<()> {
    let stated = MakeUpAmount::Amount(quantity(amount)?);
    let line = loaf(draft)?.make_up.get_mut(line).context("no such line")?;
    let MakeUp::Item { amount, .. } = line else { anyhow::bail!("a line that takes an item") };
    *amount = stated;
    Ok(())
}

/// Forgets what an egg weighs and how heavy milk is.
fn forget(draft: &mut BakeryDraft) -> Result<()> {
    for item in &mut draft.items {
        (item.each, item.density) = (None, None);
    }
    Ok(())
}

/// A fault that is looked for: where, what, and the words that its sentence must say.
type Wanted<'a> = (&'a str, FaultKind, &'a [&'a str]);

/// The faults of a document.
fn faults(draft: BakeryDraft) -> Result<Vec<Fault>> {
    Bakery::new(draft).err().context("the document is taken, with its fault")
}

fn is(fault: &Fault, (pointer, kind, words): &Wanted<'_>) -> bool {
    fault.pointer == *pointer
        && fault.kind == *kind
        && words.iter().all(|word| fault.detail.contains(word))
}

/// Spoils the good document and looks for exactly the faults that this makes.
fn check(spoil: impl FnOnce(&mut BakeryDraft) -> Result<()>, wanted: &[Wanted<'_>]) -> Result<()> {
    let mut draft = good()?;
    spoil(&mut draft)?;
    let found = faults(draft).with_context(|| format!("wanted {wanted:?}"))?;
    let matches = found.len() == wanted.len()
        && wanted.iter().all(|wanted| found.iter().any(|fault| is(fault, wanted)));
    ensure!(matches, "wanted {wanted:#?}\nfound {found:#?}");
    let plain = found.iter().all(|fault| !fault.detail.ends_with('.') && fault.detail.len() < 300);
    ensure!(plain, "a sentence too long, or with a full stop: {found:#?}");
    Ok(())
}

#[test]
fn the_bakery_that_is_spoilt_here_is_good() -> Result<()> {
    let opened = Bakery::new(good()?);
    ensure!(opened.is_ok(), "{:#?}", opened.err());
    Ok(())
}
