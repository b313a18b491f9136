//! Two plans side by side: what was, what is now, and what differs.
//!
//! Both are of one bakery's lists: positions mean the same in both.

use super::{Finding, Plan, ShortageLine};
use crate::ratio::Ratio;
use jiff::{Timestamp, civil::Date};
use std::collections::{BTreeMap, BTreeSet};

/// Pieces of one product for one service date.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct PieceState {
    /// What customers hold orders for.
    pub ordered: i64,
    /// What finished stock covers of it.
    pub from_stock: i64,
    /// Pieces to begin with.
    pub start: i64,
}

/// One batch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BatchState {
    /// Its loads.
    pub loads: i64,
    /// All that is mixed, in micrograms.
    pub mass: Ratio,
    /// When it is weighed or made; none if no time fits.
    pub made_at: Option<Timestamp>,
}

/// What is needed of one item.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct NeedState {
    /// Over all needs, in millionths of its base unit.
    pub micro: i64,
    /// The first need.
    pub first_at: Option<Timestamp>,
}

/// What is missing of one item.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct ShortState {
    /// Over all needs, in millionths of its base unit.
    pub micro: i64,
    /// When it runs out.
    pub runs_out: Option<Timestamp>,
}

/// Something that is not what it was; the first is before, the second after.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change<K, S> {
    /// Of what.
    pub of: K,
    /// What was; none if it was not there.
    pub was: Option<S>,
    /// What is now; none if it is gone.
    pub now: Option<S>,
}

/// All that differs, each in order of date or position.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Difference {
    /// Pieces, by service date and product.
    pub pieces: Vec<Change<(Date, u32), PieceState>>,
    /// Batches, by service date and item.
    pub batches: Vec<Change<(Date, u32), BatchState>>,
    /// Needs, by item.
    pub needs: Vec<Change<u32, NeedState>>,
    /// Shortages, by item.
    pub shortages: Vec<Change<u32, ShortState>>,
    /// What nobody had to know before.
    pub new_findings: Vec<Finding>,
    /// What nobody has to know any more.
    pub gone_findings: Vec<Finding>,
    /// Products and dates whose orders a shortage hits that did not hit them before, by item.
    pub hits: Vec<(Date, u32, u32)>,
}

/// A plan with its shortages.
#[derive(Debug, Clone, Copy)]
pub struct Side<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its shortages.
    pub shortages: &'a [ShortageLine],
}

/// What differs from one plan to another.
#[must_use]
pub fn difference(was: Side<'_>, now: Side<'_>) -> Difference {
    let missing = |of: &[Finding], in_: &[Finding]| -> Vec<Finding> {
        of.iter().filter(|finding| !in_.contains(finding)).cloned().collect()
    };
    let (before, after) = (&was.plan.findings, &now.plan.findings);
    Difference {
        pieces: changes(pieces(was.plan), pieces(now.plan)),
        batches: changes(batches(was.plan), batches(now.plan)),
        needs: changes(needs(was.plan), needs(now.plan)),
        shortages: changes(shorts(was), shorts(now)),
        new_findings: missing(after, before),
        gone_findings: missing(before, after),
        hits: hits(now).difference(&hits(was)).copied().collect(),
    }
}

fn changes<K: Ord + Copy, S: PartialEq + Copy>(
    was: BTreeMap<K, S>,
    now: BTreeMap<K, S>,
) -> Vec<Change<K, S>> {
    let keys: BTreeSet<K> = was.keys().chain(now.keys()).copied().collect();
    let change = |of: K| Change { of, was: was.get(&of).copied(), now: now.get(&of).copied() };
    keys.into_iter().map(change).filter(|change| change.was != change.now).collect()
}

fn pieces(plan: &Plan) -> BTreeMap<(Date, u32), PieceState> {
    let state = |line: &crate::demand::PieceLine| PieceState {
        ordered: line.ordered,
        from_stock: line.from_stock,
        start: line.start,
    };
    let lines = plan.demand.pieces.iter();
    lines.map(|line| ((line.service_date, line.product), state(line))).collect()
}

fn batches(plan: &Plan) -> BTreeMap<(Date, u32), BatchState> {
    let mut found: BTreeMap<(Date, u32), BatchState> = BTreeMap::new();
    for batch in &plan.batches {
        let (loads, mass) = (batch.split.loads, batch.split.mass);
        let state = BatchState { loads, mass, made_at: batch.made_at };
        found.insert((batch.service_date, batch.item), state);
    }
    found
}

fn needs(plan: &Plan) -> BTreeMap<u32, NeedState> {
    let mut found: BTreeMap<u32, NeedState> = BTreeMap::new();
    // Needs are in order of time.
    for need in &plan.needs {
        let state = found.entry(need.item).or_default();
        state.micro = state.micro.saturating_add(need.micro);
        state.first_at = state.first_at.or(Some(need.at));
    }
    found
}

fn shorts(side: Side<'_>) -> BTreeMap<u32, ShortState> {
    let state = |line: &ShortageLine| {
        let runs_out = line.runs_out.map(|at| side.plan.needs[at as usize].at);
        ShortState { micro: line.short_micro, runs_out }
    };
    let short = side.shortages.iter().filter(|line| line.short_micro > 0);
    short.map(|line| (line.item, state(line))).collect()
}

fn hits(side: Side<'_>) -> BTreeSet<(Date, u32, u32)> {
    let lines = side.shortages.iter();
    lines
        .flat_map(|line| line.hits.iter().map(|&(date, product)| (date, product, line.item)))
        .collect()
}
