//! What is made ready beside the doughs on a work date: levains, creams, washes, and fruit.

use super::{Batch, NeedUser, Plan, day_old::used_at};
use crate::{
    bakery::{Bakery, Driver},
    calendar::OutOfCalendar,
    fruit::OutputDraw,
};
use jiff::{Timestamp, civil::Date};

/// Fruits that are cut for one use.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FruitCut {
    /// Position of the fruit.
    pub fruit: u32,
    /// When what takes it begins.
    pub at: Timestamp,
    /// For what.
    pub user: NeedUser,
    /// For which service date.
    pub service_date: Date,
    /// Whole fruits from stock.
    pub fruits: i64,
    /// What it gives: position of the item, and what is taken of it, skin first.
    pub outputs: Vec<(u32, OutputDraw)>,
}

/// Whether a batch is made ready for others: no product is divided from it, it is not folded,
/// and no dough is folded from it.
#[must_use]
pub fn is_prep(bakery: &Bakery, batch: &Batch) -> bool {
    let recipes = bakery.recipes(batch.service_date);
    let folds = matches!(recipes.recipes[batch.recipe as usize].driver, Driver::Blocks { .. });
    !folds && !recipes.is_dough(batch.item)
}

/// Fruit that is cut on a local date, by time.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn fruit_cuts(
    bakery: &Bakery,
    plan: &Plan,
    work_date: Date,
) -> Result<Vec<FruitCut>, OutOfCalendar> {
    let mut cuts = Vec::new();
    for line in &plan.fruit_draws {
        let at = match line.user {
            NeedUser::Formula(item) => {
                plan.mixes(line.service_date, item).filter_map(|batch| batch.made_at).min()
            }
            NeedUser::Product(product) => {
                Some(used_at(bakery, plan, (product, line.service_date))?)
            }
        };
        let Some(at) = at else { continue };
        if bakery.site().time_zone.to_datetime(at).date() != work_date {
            continue;
        }
        let Some(joint) = &bakery.item(line.fruit).joint else { continue };
        let items = joint.outputs.iter().map(|output| bakery.index().item(output.item.as_str()));
        let outputs = items.zip(&line.draw.outputs).filter_map(|(item, &draw)| Some((item?, draw)));
        let outputs: Vec<_> = outputs.filter(|(_, draw)| draw.needed.is_positive()).collect();
        let (fruit, user, service_date) = (line.fruit, line.user, line.service_date);
        let fruits = line.draw.fruits;
        cuts.push(FruitCut { fruit, at, user, service_date, fruits, outputs });
    }
    cuts.sort_by_key(|cut| (cut.at, cut.service_date, cut.fruit, cut.user));
    Ok(cuts)
}
