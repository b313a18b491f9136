//! Yields: what was seen of each loss, against the figure that the bakery has set.

use super::{Refusal, fault, reference};
use crate::{
    clock,
    document::{Fault, formula::FormulaBody, product::ProductBody},
    state::State,
    store::{Tx, instant, yields as rows, yields::YieldRow},
};
use domain::{
    bakery::Bakery,
    id::Code,
    ratio::Ratio,
    yields::{Observation, Yield, learn},
};
use jiff::{Timestamp, civil::Date};
use std::collections::BTreeMap;

/// The stage of a product's finished pieces.
pub const REJECT: &str = "reject";

/// One load at one stage, as somebody saw it.
#[derive(Debug, Clone)]
pub struct Seen {
    /// What went in and came out.
    pub observation: Observation,
    /// When.
    pub at: Timestamp,
    /// Who saw it.
    pub who: Option<String>,
}

/// A loss that is set, seen, or both.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct YieldHeld {
    /// The formula or product.
    pub code: String,
    /// The stage.
    pub stage: String,
    /// The figure that is set, in percent; none if the stage is not in the loss chain.
    pub set_percent: Option<Ratio>,
    /// What was seen; none if nothing was.
    pub seen: Option<Yield>,
}

/// Keeps what was seen; the figures that are set do not change by it.
///
/// # Errors
/// [`Refusal::Body`] if there is no such formula or product, or nothing went in.
pub fn observe(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    seen: &Seen,
) -> Result<(), Refusal> {
    let Seen { observation, at, who } = seen;
    let Observation { code, stage, load, in_micro, out_micro } = observation;
    let mut faults = Vec::new();
    let mut refuse = |pointer: &str, kind, detail: String| {
        faults.push(Fault { pointer: pointer.to_owned(), kind, detail });
    };
    if !figures(bakery).iter().any(|(known, ..)| known == code.as_str())
        && bakery.index().product(code.as_str()).is_none()
        && !bakery.lists().formulas.iter().any(|formula| formula.code == *code)
    {
        let detail = format!("there is no formula or product `{code}`: mend the code");
        refuse("/code", "unknown-code", detail);
    }
    if *in_micro <= 0 {
        refuse("/went_in", "out-of-range", "nothing went in: say how much did".to_owned());
    }
    if *out_micro < 0 {
        refuse("/came_out", "out-of-range", "less than nothing cannot come out".to_owned());
    }
    if *at > now {
        refuse("/at", "out-of-range", format!("`{at}` is still to come: say when it was"));
    }
    if !faults.is_empty() {
        return Err(Refusal::Body(faults));
    }
    let row = YieldRow {
        site: site.to_owned(),
        id: clock::new_id(now).to_string(),
        code: code.to_string(),
        stage: stage.clone(),
        load: load.clone(),
        in_micro: *in_micro,
        out_micro: *out_micro,
        happened_at: instant::text(*at),
        recorded_at: instant::text(now),
        who: who.clone(),
    };
    Ok(rows::insert(tx, &row)?)
}

/// A figure that a person takes for a loss.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AcceptYield {
    /// The formula, or the product for rejects.
    pub code: Code,
    /// The stage.
    pub stage: String,
    /// The figure in percent; what is suggested if not said.
    pub percent: Option<Ratio>,
    /// First service date for which a formula has it; today if not said.
    pub valid_from: Option<Date>,
    /// Who takes it.
    pub who: String,
}

/// Sets a loss to what was suggested, or to another figure, in a person's name.
///
/// A formula gets a version of its own from a service date on, so that loads of before keep
/// theirs; released loads never move.
///
/// # Errors
/// [`Refusal::Body`] names the fault.
pub fn accept(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    accepted: &AcceptYield,
) -> Result<(), Refusal> {
    let AcceptYield { code, stage, percent, valid_from, who } = accepted;
    let known = yields(tx, &state.site, bakery)?;
    let own = known.iter().find(|one| one.code == code.as_str() && one.stage == *stage);
    let Some(set) = own.and_then(|one| one.set_percent) else {
        let detail = format!("`{code}` has no loss `{stage}` that is set: PUT it there first");
        return Err(fault("/stage", "unknown-code", detail));
    };
    let suggested = own.and_then(|one| one.seen.as_ref()).and_then(|seen| seen.suggested);
    let suggested = suggested.map(|thousandths| Ratio::new(thousandths.into(), 1000));
    let Some(percent) = (match percent {
        Some(percent) => Some(*percent),
        None => suggested.transpose().map_err(super::plan::refused)?,
    }) else {
        let detail = "too few loads were seen to suggest a figure: say one".to_owned();
        return Err(fault("/percent", "out-of-range", detail));
    };
    if percent < Ratio::ZERO || percent >= Ratio::whole(100) {
        let detail = "a loss is at least 0 and less than 100 percent".to_owned();
        return Err(fault("/percent", "out-of-range", detail));
    }
    let (was, now) = (set.to_decimal(6), percent.to_decimal(6));
    let cause = format!("{stage} of {code}: {was} % to {now} %, accepted by {who}");
    if bakery.index().product(code.as_str()).is_some() {
        let set = |record: &mut ProductBody| record.reject = now;
        return reference::change(state, tx, code.as_str(), &cause, set).map(drop);
    }
    let today = bakery.site().time_zone.to_datetime(state.now()).date();
    let from = valid_from.unwrap_or(today);
    let versions = bakery.lists().formulas.iter().filter(|formula| formula.code == *code);
    let newest = versions.map(|formula| formula.valid_from).max();
    if from < today || newest.is_some_and(|newest| newest > from) {
        let detail = format!("`{from}` is past, or before the newest version: say a later date");
        return Err(fault("/valid_from", "out-of-range", detail));
    }
    let set = |record: &mut FormulaBody| {
        record.valid_from = Some(from.to_string());
        for loss in record.losses.iter_mut().filter(|loss| loss.stage == *stage) {
            loss.percent.clone_from(&now);
        }
    };
    reference::change(state, tx, code.as_str(), &cause, set).map(drop)
}

/// Every loss that is set or was seen, by code and stage.
///
/// # Errors
/// [`Refusal::Store`]
pub fn yields(tx: &mut Tx, site: &str, bakery: &Bakery) -> Result<Vec<YieldHeld>, Refusal> {
    // A load that was counted again is one observation: the last.
    let mut last: BTreeMap<(String, String, String), (i64, i64)> = BTreeMap::new();
    for row in rows::list(tx, site)? {
        let YieldRow { code, stage, load, in_micro, out_micro, .. } = row;
        last.insert((code, stage, load), (in_micro, out_micro));
    }
    let mut observations = Vec::with_capacity(last.len());
    for ((code, stage, load), (in_micro, out_micro)) in last {
        let code = super::book::code(&code)?;
        observations.push(Observation { code, stage, load, in_micro, out_micro });
    }
    Ok(held(bakery, &observations))
}

/// Set figures beside what observations teach.
fn held(bakery: &Bakery, observations: &[Observation]) -> Vec<YieldHeld> {
    let mut seen = learn(observations);
    let mut found = Vec::new();
    for (code, stage, percent) in figures(bakery) {
        let fits = |one: &Yield| one.code.as_str() == code && one.stage == stage;
        let own = seen.iter().position(fits).map(|at| seen.swap_remove(at));
        found.push(YieldHeld { code, stage, set_percent: Some(percent), seen: own });
    }
    found.extend(seen.into_iter().map(|one| YieldHeld {
        code: one.code.to_string(),
        stage: one.stage.clone(),
        set_percent: None,
        seen: Some(one),
    }));
    found.sort_by(|a, b| (&a.code, &a.stage).cmp(&(&b.code, &b.stage)));
    found
}

/// The losses that the bakery has set: those of each formula's last version, and the rejects
/// of each product.
fn figures(bakery: &Bakery) -> Vec<(String, String, Ratio)> {
    let lists = bakery.lists();
    let is_last = |code: &Code, from| {
        !lists.formulas.iter().any(|other| other.code == *code && other.valid_from > from)
    };
    let mut figures = Vec::new();
    for formula in lists.formulas.iter().filter(|own| is_last(&own.code, own.valid_from)) {
        for loss in &formula.losses {
            figures.push((formula.code.to_string(), loss.stage.clone(), loss.percent));
        }
    }
    for product in lists.products.iter().filter(|product| !product.reject_percent.is_zero()) {
        figures.push((product.code.to_string(), REJECT.to_owned(), product.reject_percent));
    }
    figures
}
