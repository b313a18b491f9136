//! The allergen union only grows: an ingredient more never takes an allergen away.

use super::{Tried, WORLDS};
use anyhow::{Context, Result, ensure};
use domain::{
    allergens::{Allergens, Swaps, actual_allergens, allergens, difference},
    bakery::{Bakery, BakeryDraft},
    item::{AllergenRecord, Item, ItemKind},
    product::{MakeUp, MakeUpAmount, Per},
    quantity::Unit,
    supplier::Overhead,
};
use jiff::civil::Date;
use std::collections::BTreeSet;
use weighhouse_tests::builders::{Seed, code, quantity, world};

const ON: Date = Date::constant(2026, 3, 27);
const WORDS: [&str; 6] = ["wheat", "milk", "egg", "sesame", "soya", "almond"];

/// Gives every bought item a record: some words contained, some possible, some packs unread.
fn record(random: &mut Seed, draft: &mut BakeryDraft) {
    for item in draft.items.iter_mut().filter(|item| item.kind == ItemKind::Bought) {
        let mut words = |percent| {
            let taken = WORDS.iter().filter(|_| random.chance(percent));
            taken.map(|word| (*word).to_owned()).collect::<BTreeSet<String>>()
        };
        item.allergens.contains = words(15);
        item.allergens.may_contain = words(15);
        item.allergens.known = random.chance(85);
    }
}

/// Takes up one item more, which nothing uses yet.
fn take_up(draft: &mut BakeryDraft) -> Result<()> {
    let fits = |item: &&Item| item.kind == ItemKind::Bought && item.base_unit == Unit::Gram;
    let like = draft.items.iter().find(fits).context("an item that is weighed")?;
    draft.items.push(Item { code: code("one-more"), ..like.clone() });
    Ok(())
}

/// Puts that item somewhere: into a piece, or as dust on a dough.
fn add(random: &mut Seed, draft: &mut BakeryDraft) {
    let item = code("one-more");
    if random.chance(50) && !draft.formulas.is_empty() {
        let dough = random.pick(&draft.formulas).code.clone();
        draft.overheads.push(Overhead {
            code: code("one-more"),
            item,
            purpose: "dusting".to_owned(),
            doughs: vec![dough],
            per_kg: None,
        });
        return;
    }
    let at = random.below(draft.products.len() as u64);
    let product = &mut draft.products[usize::try_from(at).unwrap_or_default()];
    product.make_up.push(MakeUp::Item {
        item,
        amount: MakeUpAmount::Amount(quantity("1", "g")),
        per: Per::Piece,
        included: false,
        at: None,
    });
}

fn open(draft: &BakeryDraft) -> Result<Bakery> {
    Bakery::new(draft.clone()).map_err(|faults| anyhow::anyhow!("{faults:?}"))
}

fn all(found: &Allergens) -> BTreeSet<&String> {
    found.contains.union(&found.may_contain).collect()
}

#[test]
fn an_ingredient_more_never_takes_an_allergen_away() -> Result<()> {
    let (mut tried, mut grown) = (Tried::default(), 0);
    for seed in 0..WORLDS {
        let mut random = Seed::new(seed ^ 0xa11e);
        let mut draft = world(seed).draft;
        take_up(&mut draft)?;
        record(&mut random, &mut draft);
        let before = open(&draft).with_context(|| format!("seed {seed}"))?;
        add(&mut random, &mut draft);
        let after = open(&draft).with_context(|| format!("seed {seed}"))?;
        for product in 0..u32::try_from(draft.products.len())? {
            let of =
                |bakery: &Bakery| allergens(bakery, bakery.recipes(ON), product, &Swaps::new());
            let (was, now) = (of(&before), of(&after));
            let more = was.contains.is_subset(&now.contains)
                && was.unknown.is_subset(&now.unknown)
                && all(&was).is_subset(&all(&now));
            ensure!(more, "seed {seed}, product {product}: {was:?} became {now:?}");
            grown += usize::from(was != now);
            tried.checks += 1;
        }
    }
    ensure!(tried.checks > 200 && grown > 20, "{tried:?}, {grown} grew");
    Ok(())
}

#[test]
fn a_lot_made_as_planned_has_the_planned_allergens() -> Result<()> {
    let mut tried = Tried::default();
    for seed in 0..WORLDS {
        let mut draft = world(seed).draft;
        record(&mut Seed::new(seed ^ 0xa11e), &mut draft);
        let bakery = open(&draft).with_context(|| format!("seed {seed}"))?;
        let recipes = bakery.recipes(ON);
        for product in 0..u32::try_from(draft.products.len())? {
            let planned = allergens(&bakery, recipes, product, &Swaps::new());
            let items = 0..u32::try_from(bakery.lists().items.len())?;
            let used = items.filter(|item| {
                let lines = draft.products[product as usize].make_up.iter();
                let code = &bakery.item(*item).code;
                lines
                    .into_iter()
                    .any(|line| matches!(line, MakeUp::Item { item, .. } if item == code))
            });
            let taken = draft.products[product as usize].make_up.iter();
            if taken.into_iter().any(|line| matches!(line, MakeUp::Product { .. })) {
                continue;
            }
            let used: BTreeSet<u32> = used.collect();
            let actual = actual_allergens(&bakery, recipes, product, used.clone(), []);
            ensure!(difference(&planned, &actual).is_none(), "seed {seed}: {planned:?} {actual:?}");
            // A lot more whose own pack was read takes nothing away, and brings all it says.
            let may_contain = BTreeSet::from(["lupin".to_owned()]);
            let pack = AllergenRecord { may_contain, known: true, ..AllergenRecord::default() };
            let more = actual_allergens(&bakery, recipes, product, used, [&pack]);
            ensure!(all(&more).is_superset(&all(&actual)), "seed {seed}: {actual:?} {more:?}");
            ensure!(more.may_contain.contains("lupin"), "seed {seed}: {more:?}");
            tried.checks += 1;
        }
    }
    ensure!(tried.checks > 100, "{tried:?}");
    Ok(())
}
