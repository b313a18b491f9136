//! Ingredients of a seeded bakery: by mass, by volume, by the piece, and a joint fruit.

use super::{Seed, code, quantity, ratio};
use domain::{
    item::{AllergenRecord, Item, ItemKind, Joint, JointOutput, Supply},
    quantity::Unit,
    ratio::Ratio,
};

/// A plain ingredient in grams.
#[must_use]
pub fn ingredient(name: &str) -> Item {
    Item {
        code: code(name),
        name: name.to_owned(),
        kind: ItemKind::Bought,
        base_unit: Unit::Gram,
        density: None,
        each: None,
        stocked: true,
        water: false,
        salt: false,
        allergens: AllergenRecord { known: true, ..AllergenRecord::default() },
        opened_life_minutes: None,
        thawed_life_minutes: None,
        short_life: false,
        safety_stock: None,
        safety_days: None,
        weighing_loss_percent: Ratio::ZERO,
        ready_after_minutes: 0,
        place: None,
        supply: Supply::Bought,
        free: false,
        joint: None,
        label: domain::labelling::ItemLabel::default(),
        nutrients: domain::nutrients::Nutrients::default(),
        nature: domain::item::Nature::default(),
    }
}

/// Names of the plain powders of every seeded bakery.
pub(super) const POWDERS: [&str; 7] =
    ["white-flour", "dark-flour", "sugar", "butter", "seeds", "salt", "yeast"];

pub(super) fn all(seed: &mut Seed) -> Vec<Item> {
    let mut items: Vec<Item> = POWDERS
        .iter()
        .map(|name| Item {
            salt: *name == "salt",
            weighing_loss_percent: ratio(seed.pick(&["0", "0", "0.5", "0.7", "1.25"])),
            ..ingredient(name)
        })
        .collect();
    items.push(Item { water: true, stocked: false, ..ingredient("water") });
    items.push(Item {
        base_unit: Unit::Millilitre,
        density: Some(ratio("1.03")),
        weighing_loss_percent: ratio(seed.pick(&["0", "0.5"])),
        ..ingredient("milk")
    });
    items.push(counted("egg", seed.pick(&["50", "57", "48.5"])));
    items.push(counted("fat-sheet", "1000"));
    items.push(Item { kind: ItemKind::Packaging, ..counted("paper", "4") });
    items.push(fruit(seed));
    for output in ["zest", "juice"] {
        items.push(Item { kind: ItemKind::Made, supply: Supply::Made, ..ingredient(output) });
    }
    seed.shuffle(&mut items);
    items
}

fn counted(name: &str, grams: &str) -> Item {
    Item { base_unit: Unit::Each, each: Some(quantity(grams, "g")), ..ingredient(name) }
}

fn fruit(seed: &mut Seed) -> Item {
    let output = |item: &str, grams: i64, share: &str| JointOutput {
        item: code(item),
        yields: quantity(&grams.to_string(), "g"),
        cost_share_percent: ratio(share),
    };
    Item {
        joint: Some(Joint {
            first: code("zest"),
            keep_minutes: seed.pick(&[0, 12 * 60, 48 * 60]),
            surplus_keeps: seed.chance(50),
            outputs: vec![
                output("zest", seed.between(3, 7), "60"),
                output("juice", seed.between(30, 50), "40"),
            ],
        }),
        ..counted("lemon", "125")
    }
}
