//! Shortages appear, change and go without anybody writing: an order takes what another was
//! to have, and a cutoff passes. Whoever watches compares the plan with what was told last.

use super::{News, Shortage, give};
use crate::{
    notice::NoticeKind,
    service::{
        Refusal,
        plan::{self, Horizon, Morning},
    },
    state::State,
    store::{
        StoreError, Tx, instant,
        shortage_watches::{self, ShortageWatchRow},
    },
};
use domain::{
    plan::{Pressing, shortages},
    quantity::micro_decimal,
    ratio::Ratio,
};
use std::collections::BTreeMap;

/// What is short, by the item's code.
type Short = BTreeMap<String, Shortage>;

/// Compares what is short with what was told last, and tells the difference.
///
/// Returns how many notices were given. Several servers may watch at once: who comes second
/// finds nothing to tell, and who looked at an older plan says nothing.
///
/// # Errors
/// [`Refusal`] if there is no plan.
pub fn look(state: &State) -> Result<usize, Refusal> {
    let morning = plan::load(state, Horizon::Usual)?;
    let short = short(&morning)?;
    let told = state.store.read(|tx| told(tx, state))?;
    if told.is_some_and(|(_, told)| told == short) {
        return Ok(0);
    }
    state.store.write(|tx| tell(tx, state, &morning, &short))
}

fn short(morning: &Morning) -> Result<Short, Refusal> {
    let Morning { bakery, book, plan, now, .. } = morning;
    let lines = shortages(bakery, book, plan, *now).map_err(plan::refused)?;
    let must = lines.into_iter().filter(|line| line.pressing == Pressing::Must);
    let read = must.map(|line| {
        let item = bakery.item(line.item);
        let shortage = Shortage {
            short_micro: line.short_micro,
            unit: item.base_unit.symbol().to_owned(),
            runs_out: line.runs_out.map(|at| plan.needs[at as usize].at),
            order_by: line.latest.filter(|latest| !latest.gone).map(|latest| latest.cutoff),
        };
        (item.code.to_string(), shortage)
    });
    Ok(read.collect())
}

/// The row and what it says.
fn told(tx: &mut Tx, state: &State) -> Result<Option<(ShortageWatchRow, Short)>, Refusal> {
    let Some(row) = shortage_watches::find(tx, &state.site)? else { return Ok(None) };
    let short = serde_json::from_str(&row.body);
    let short = short.map_err(|_| StoreError::Corrupt("shortage watch"))?;
    Ok(Some((row, short)))
}

fn tell(tx: &mut Tx, state: &State, morning: &Morning, short: &Short) -> Result<usize, Refusal> {
    let looked_at = instant::text(morning.now);
    let before = match told(tx, state)? {
        Some((row, _))
            if (row.plan_revision, &row.looked_at) > (morning.plan_revision, &looked_at) =>
        {
            return Ok(0);
        }
        Some((_, before)) => before,
        None => Short::new(),
    };
    let mut given = 0;
    let gone = before.iter().filter(|(item, _)| !short.contains_key(*item));
    for (item, was) in gone {
        let none = Shortage { short_micro: 0, runs_out: None, order_by: None, ..was.clone() };
        say(tx, state, morning, (NoticeKind::ShortageGone, item, &none))?;
        given += 1;
    }
    for (item, is) in short {
        let kind = match before.get(item) {
            None => NoticeKind::ShortageAppeared,
            Some(was) if was != is => NoticeKind::ShortageChanged,
            Some(_) => continue,
        };
        say(tx, state, morning, (kind, item, is))?;
        given += 1;
    }
    let body = serde_json::to_string(short).map_err(|_| StoreError::Corrupt("shortage watch"))?;
    let site = state.site.clone();
    let row = ShortageWatchRow { site, plan_revision: morning.plan_revision, looked_at, body };
    shortage_watches::keep(tx, &row)?;
    Ok(given)
}

fn say(
    tx: &mut Tx,
    state: &State,
    morning: &Morning,
    (kind, item, shortage): (NoticeKind, &str, &Shortage),
) -> Result<(), StoreError> {
    let amount = micro_decimal(Ratio::whole(shortage.short_micro.into()));
    let words = match kind {
        NoticeKind::ShortageGone => format!("{item} is not short any more"),
        _ => format!("{item} is short by {amount} {}", shortage.unit),
    };
    let news = News {
        kind,
        at: morning.now,
        plan_revision: morning.plan_revision,
        about: item,
        words: &words,
    };
    give(tx, &state.site, news, Some(shortage))
}
