//! Yields: what was seen of each loss, against the figure that the bakery has set.

use super::Refusal;
use crate::{
    clock,
    document::Fault,
    store::{Tx, instant, yields as rows, yields::YieldRow},
};
use domain::{
    bakery::Bakery,
    id::Code,
    ratio::Ratio,
    yields::{Observation, Yield, learn},
};
use jiff::Timestamp;
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
