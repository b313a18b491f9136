//! Fruits one by one: when each is skinned, when it is pressed, what is left of it.

use super::{amount, whole};
use domain::item::Joint;
use jiff::Timestamp;
use num_rational::BigRational;
use num_traits::{Signed, Zero};

struct Fruit {
    skinned_at: Timestamp,
    skin_left: BigRational,
    juice_left: BigRational,
    pressed: bool,
}

/// Whole fruits taken at each use of skin and juice, both in grams; uses in order of time.
pub(super) fn draws(joint: &Joint, uses: &[(Timestamp, BigRational, BigRational)]) -> Vec<i64> {
    let yields = |first: bool| {
        joint
            .outputs
            .iter()
            .find(|output| (output.item == joint.first) == first)
            .map_or_else(|| whole(1), |output| amount(output.yields))
    };
    let (skin_each, juice_each) = (yields(true), yields(false));
    let keeps = |fruit: &Fruit, at: Timestamp| {
        (at.as_second() - fruit.skinned_at.as_second()) / 60 <= joint.keep_minutes
    };
    let mut fruits: Vec<Fruit> = Vec::new();
    let mut taken = Vec::new();
    for (at, skin, juice) in uses {
        let before = fruits.len();
        let cut = || Fruit {
            skinned_at: *at,
            skin_left: skin_each.clone(),
            juice_left: juice_each.clone(),
            pressed: false,
        };
        let mut wanted = skin.clone();
        for fruit in &mut fruits {
            take(&mut wanted, &mut fruit.skin_left);
        }
        while wanted.is_positive() {
            let mut fruit = cut();
            take(&mut wanted, &mut fruit.skin_left);
            fruits.push(fruit);
        }
        let mut wanted = juice.clone();
        for spare in [true, false] {
            for fruit in fruits.iter_mut().filter(|fruit| keeps(fruit, *at)) {
                if fruit.pressed == spare && wanted.is_positive() {
                    fruit.pressed = true;
                    take(&mut wanted, &mut fruit.juice_left);
                }
            }
        }
        while wanted.is_positive() {
            let mut fruit = cut();
            fruit.pressed = true;
            take(&mut wanted, &mut fruit.juice_left);
            fruits.push(fruit);
        }
        taken.push(i64::try_from(fruits.len() - before).unwrap_or(i64::MAX));
        if !joint.surplus_keeps {
            for fruit in &mut fruits {
                fruit.skin_left = whole(0);
                if fruit.pressed {
                    fruit.juice_left = whole(0);
                }
            }
        }
        // What nothing is left of, and nothing can be made of, needs no more looking at.
        fruits.retain(|fruit| {
            !fruit.skin_left.is_zero() || (!fruit.juice_left.is_zero() && keeps(fruit, *at))
        });
    }
    taken
}

fn take(wanted: &mut BigRational, left: &mut BigRational) {
    let used = if *wanted < *left { wanted.clone() } else { left.clone() };
    *wanted -= &used;
    *left -= used;
}
