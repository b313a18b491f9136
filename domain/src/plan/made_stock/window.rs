//! From when to when a made lot may be used.

use crate::{
    bakery::{Bakery, Recipe},
    calendar::{self, OutOfCalendar, add_minutes},
    formula::{Divide, Formula, Made},
    lot::Lot,
    plan::stock::lot_end,
    plan::times::Clock,
    route::Route,
    schedule::{Pin, Work},
};
use jiff::{Timestamp, civil::Date};

/// When a made lot is ready, and its last instant of use; both are inside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LotWindow {
    /// From when it may be used.
    pub ready: Timestamp,
    /// Until when; never ends if nothing bounds it.
    pub last: Option<Timestamp>,
}

impl LotWindow {
    /// Whether an instant lies in it, both ends in.
    #[must_use]
    pub fn holds(self, at: Timestamp) -> bool {
        self.ready <= at && self.last.is_none_or(|last| at <= last)
    }
}

/// The window of a lot of a formula, made at a known instant.
///
/// The least and most age of the formula, its life, and what the lot itself says: the
/// earliest end holds.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn window(
    bakery: &Bakery,
    recipe: &Recipe,
    lot: &Lot,
    made_at: Timestamp,
) -> Result<LotWindow, OutOfCalendar> {
    let LotWindow { ready, last } = made_window(bakery, recipe, made_at)?;
    let ends = [last, lot_end(bakery, lot)?].into_iter().flatten();
    Ok(LotWindow { ready, last: ends.min() })
}

/// The window of what is made by a formula at an instant: its least and most age, and its life.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn made_window(
    bakery: &Bakery,
    recipe: &Recipe,
    made_at: Timestamp,
) -> Result<LotWindow, OutOfCalendar> {
    let formula = bakery.formula_of(recipe);
    let (least, most) = match ages(bakery, formula) {
        Some((least, most)) => (least, Some(most)),
        None => (0, None),
    };
    let mut last: Option<Timestamp> = None;
    for minutes in [most, formula.life_minutes].into_iter().flatten() {
        let end = add_minutes(made_at, minutes)?;
        last = Some(last.map_or(end, |last| last.min(end)));
    }
    Ok(LotWindow { ready: add_minutes(made_at, least)?, last })
}

/// The route and drop that a formula is made by, if it is.
fn route_of<'a>(bakery: &'a Bakery, formula: &Formula) -> Option<(&'a Route, jiff::civil::Time)> {
    let Made::Step { route, drop, .. } = &formula.made else { return None };
    let at = bakery.index().route(route.as_str())?;
    Some((&bakery.lists().routes[at as usize], *drop))
}

/// Least and most age at use: the formula's own, or that of the route it is made by.
fn ages(bakery: &Bakery, formula: &Formula) -> Option<(i64, i64)> {
    formula.age_window_minutes.or_else(|| {
        let age = route_of(bakery, formula)?.0.ages.first()?;
        Some((age.least_minutes, age.most_minutes))
    })
}

/// When a formula is divided for a service date; none if nobody stated it, or nothing fits.
pub(in crate::plan) fn divide_at(
    bakery: &Bakery,
    recipe: &Recipe,
    service_date: Date,
    pieces: i64,
) -> Option<Timestamp> {
    let site = bakery.site();
    let formula = bakery.formula_of(recipe);
    let (route, step, drop) = match &formula.keeping.divide {
        Some(Divide::At(at)) => {
            return calendar::instant_at(&site.time_zone, service_date, *at).ok();
        }
        Some(Divide::Step { route, step, drop }) => {
            let at = bakery.index().route(route.as_str())?;
            (&bakery.lists().routes[at as usize], step, *drop)
        }
        None => {
            let (route, drop) = route_of(bakery, formula)?;
            (route, &route.ages.first()?.before, drop)
        }
    };
    let drop = calendar::instant(&site.time_zone, service_date, drop).ok()?;
    let clock = Clock::new(bakery, &[service_date]).ok()?;
    let pin = Pin::drop(route, drop);
    let times = clock.times(route, Work { loads: 1, pieces }, &[pin]).ok()?;
    times.iter().find(|time| route.steps[time.step].name == *step).map(|time| time.start)
}

/// From when to when a lot may go into a later batch: as the seed of its own kind, or as
/// old dough of another formula. Where both or several ask, what fits all of them.
pub(in crate::plan) fn draw_window(
    bakery: &Bakery,
    lot: &Lot,
) -> Result<Option<LotWindow>, OutOfCalendar> {
    let made = bakery.index().item(lot.item.as_str());
    // What is bought has no batch before: nothing to look for in all formulas.
    if made.is_none_or(|item| bakery.recipes(Date::MAX).of_item(item).is_none()) {
        return Ok(None);
    }
    let mut bounds: Vec<(i64, i64)> = Vec::new();
    let mut as_old_dough = false;
    for formula in &bakery.lists().formulas {
        let lines =
            formula.lines.iter().filter(|line| line.previous_batch && line.item == lot.item);
        for line in lines {
            match line.old_dough {
                Some(old) => {
                    as_old_dough = true;
                    bounds.push(old.age_minutes);
                }
                None if formula.code == lot.item => {
                    bounds.extend(formula.keeping.seed_life_minutes.map(|most| (0, most)));
                }
                None => {}
            }
        }
    }
    let own = bakery.lists().formulas.iter().find(|formula| formula.code == lot.item);
    bounds.extend(own.and_then(|own| own.life_minutes).map(|most| (0, most)));
    if bounds.is_empty() {
        return Ok(None);
    }
    let Some(made_at) = lot.made_at else {
        // An age that nobody knows is not a good one, unless it is only the seed's.
        return Ok(as_old_dough.then_some(LotWindow { ready: Timestamp::MAX, last: None }));
    };
    let least = bounds.iter().map(|&(least, _)| least).max().unwrap_or(0);
    let most = bounds.iter().map(|&(_, most)| most).min();
    Ok(Some(LotWindow {
        ready: add_minutes(made_at, least)?,
        last: most.map(|most| add_minutes(made_at, most)).transpose()?,
    }))
}
