//! Other draws than before by a few users, put in their places among all others.

use super::{Need, NeedUser, Place, Plan, place, stock_draw};
use crate::{
    bakery::Bakery,
    plan::{
        Batch, Topping,
        replan::{Stop, WholeBecause},
    },
    ratio::Ratio,
    scale::WeighState,
};
use jiff::{Timestamp, civil::Date};
use std::collections::{BTreeMap, BTreeSet};

/// What one user draws, by instant, item and whether it is counted.
pub(in crate::plan) type Drawn = BTreeMap<(Timestamp, u32, bool), Ratio>;

/// What a batch draws from stock; nothing if it is not made.
pub(in crate::plan) fn of_batch(bakery: &Bakery, batch: Option<&Batch>) -> Result<Drawn, Stop> {
    let mut drawn = Drawn::new();
    let Some(batch) = batch else { return Ok(drawn) };
    let recipes = bakery.recipes(batch.service_date);
    let at = batch.made_at.ok_or(Stop::Whole(WholeBecause::Timetable))?;
    for issue in &batch.issues {
        if recipes.of_item(issue.item).is_none() {
            add(&mut drawn, (at, issue.item, issue.counted), issue.micro)?;
        }
    }
    Ok(drawn)
}

/// What toppings of one product and date draw from stock.
pub(in crate::plan) fn of_toppings(toppings: &[Topping]) -> Result<Drawn, Stop> {
    let mut drawn = Drawn::new();
    for topping in toppings {
        let counted = topping.weighed.state == WeighState::Counted;
        let issue = Ratio::whole(topping.weighed.micro.into());
        add(&mut drawn, (topping.at, topping.item, counted), issue)?;
    }
    Ok(drawn)
}

fn add(drawn: &mut Drawn, key: (Timestamp, u32, bool), issue: Ratio) -> Result<(), Stop> {
    if !issue.is_zero() {
        let sum = drawn.entry(key).or_insert(Ratio::ZERO);
        *sum = sum.plus(issue)?;
    }
    Ok(())
}

/// What changed among the needs of one item.
#[derive(Default)]
pub(in crate::plan) struct TouchedItem {
    /// Positions of needs that are another amount.
    pub(in crate::plan) changed: Vec<u32>,
    /// Positions of needs that were not there before.
    pub(in crate::plan) came: Vec<u32>,
    /// Whether needs of it are gone.
    pub(in crate::plan) went: bool,
}

/// What changed, by position of item.
pub(in crate::plan) type Touched = BTreeMap<u32, TouchedItem>;

/// Needs that changed: by place, and whether counted; none where there is none any more.
#[derive(Default)]
pub(in crate::plan) struct Changes {
    changed: BTreeMap<(Place, bool), (u32, Option<Need>)>,
}

impl Changes {
    /// Notes where a user draws something else than before.
    pub(in crate::plan) fn note(
        &mut self,
        bakery: &Bakery,
        (user, service_date): (NeedUser, Date),
        was: &Drawn,
        is: &Drawn,
    ) -> Result<(), Stop> {
        let keys: BTreeSet<_> = was.keys().chain(is.keys()).copied().collect();
        for key in keys.into_iter().filter(|key| was.get(key) != is.get(key)) {
            let (at, item, counted) = key;
            if bakery.index().fruit_of(item).is_some() {
                return Err(Stop::Whole(WholeBecause::Fruit));
            }
            let found = bakery.item(item);
            if !found.stocked {
                continue;
            }
            let need = |issue: Ratio| -> Result<Need, Stop> {
                let micro = stock_draw(found, issue, counted)?;
                Ok(Need { at, item, micro, issue, counted, user, service_date, load: None })
            };
            let is = is.get(&key).map(|issue| need(*issue)).transpose()?;
            let somewhere = place(bakery, &need(Ratio::ZERO)?);
            self.changed.insert((somewhere, counted), (item, is));
        }
        Ok(())
    }

    /// Puts the changes into a plan; returns the items whose needs changed.
    pub(in crate::plan) fn put(self, bakery: &Bakery, plan: &mut Plan) -> Result<Touched, Stop> {
        let mut items = Touched::new();
        let mut moved: Vec<(u32, Moved)> = Vec::new();
        let mut came: Vec<u32> = Vec::new();
        // From the back, so that positions before still hold.
        for (key, (item, is)) in self.changed.into_iter().rev() {
            let key_of = |need: &Need| (place(bakery, need), need.counted);
            let found = plan.needs.binary_search_by_key(&key, key_of);
            let touched = items.entry(item).or_default();
            let at = |at: usize| u32::try_from(at).map_err(|_| Stop::Whole(WholeBecause::Bounds));
            match (found, is) {
                (Ok(position), Some(need)) => {
                    plan.needs.set(position, need);
                    touched.changed.push(at(position)?);
                }
                (Ok(position), None) => {
                    plan.needs.remove(position);
                    moved.push((at(position)?, Moved::Went));
                    touched.went = true;
                }
                (Err(position), Some(need)) => {
                    plan.needs.insert(position, need);
                    moved.push((at(position)?, Moved::Came));
                    came.push(item);
                }
                (Err(_), None) => {}
            }
        }
        moved.reverse();
        for (position, item) in came_to(&moved).zip(came.into_iter().rev()) {
            items.entry(item).or_default().came.push(position?);
        }
        for touched in items.values_mut() {
            touched.changed.reverse();
            shift(&mut touched.changed, &moved);
        }
        if !moved.is_empty() {
            for stock in &mut plan.stock {
                shift(&mut stock.needs, &moved);
            }
        }
        Ok(items)
    }
}

/// What happened at a position before anything was moved.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Moved {
    /// A need came before the one that stood there.
    Came,
    /// The one that stood there is no more.
    Went,
}

/// The positions of those that came, in order, once all is moved.
fn came_to(moved: &[(u32, Moved)]) -> impl Iterator<Item = Result<u32, Stop>> {
    let mut by = 0_i64;
    moved.iter().filter_map(move |&(at, what)| {
        let position = i64::from(at) + by;
        by += if what == Moved::Came { 1 } else { -1 };
        let position = u32::try_from(position).map_err(|_| Stop::Whole(WholeBecause::Bounds));
        (what == Moved::Came).then_some(position)
    })
}

/// Moves positions by what came and went before them; those that went fall out.
fn shift(positions: &mut Vec<u32>, moved: &[(u32, Moved)]) {
    let (mut next, mut by, mut gone) = (0, 0_i64, false);
    positions.retain_mut(|position| {
        while let Some(&(at, what)) = moved.get(next)
            && at <= *position
        {
            by += if what == Moved::Came { 1 } else { -1 };
            gone = what == Moved::Went && at == *position;
            next += 1;
        }
        let kept = !std::mem::take(&mut gone);
        *position = u32::try_from(i64::from(*position) + by).unwrap_or(u32::MAX);
        kept
    });
}
