//! The one file that a stronger solver would replace, and the one with binary floats.
//!
//! None of them leaves it: what is found goes out in whole pieces and is checked
//! elsewhere, prices go out in whole parts and give a bound whatever they are.
#![allow(
    clippy::float_arithmetic,
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    reason = "a linear program is solved in floats; what comes of it is only a candidate"
)]

use super::{
    best::TierWorth,
    claims::{Claim, Claims},
};
use microlp::{ComparisonOp, LinearExpr, OptimizationDirection, Problem, SolveOptions, Variable};

/// One tier of a best cut.
pub(super) struct Share<'a> {
    pub(super) claims: &'a Claims,
    pub(super) tier: i64,
    /// What tiers before it keep.
    pub(super) floors: &'a [TierWorth],
}

/// What a search ended with.
#[derive(Debug, Clone)]
pub(super) struct Search {
    /// Pieces of each claim, unchecked.
    pub(super) kept: Vec<i64>,
    /// Whether all ways were searched.
    pub(super) finished: bool,
}

/// Work of one search, in nodes times the square of the size: the same on every machine.
const WORK: usize = 2_000_000;

/// Searches for the most worth of a tier, from a cut that holds; none if that is too much.
pub(super) fn search(share: &Share<'_>, from: &[i64]) -> Option<Search> {
    let claims = share.claims;
    let size = claims.claims.len() + claims.scarce.len() + claims.doughs.len();
    let nodes = (WORK / (size * size).max(1)).min(5_000);
    if nodes < 2 {
        return None;
    }
    let Model { problem, columns, hint } = Model::new(share, from, true);
    let mut options = SolveOptions::default();
    options.node_limit = u64::try_from(nodes).ok();
    options.warm_start = Some(hint);
    options.tolerances.feasibility = 1e-9;
    let outcome = problem.solve_with(options).ok()?;
    let finished = outcome.is_optimal();
    let solution = outcome.solution()?;
    let kept = columns.iter().map(|column| column.pieces(|var| solution.var_value(var).round()));
    Some(Search { kept: kept.collect(), finished })
}

/// The same without searching: broken pieces are allowed and then left out. Few claims
/// are broken, no more than there are scarce things, so it is close to the best.
pub(super) fn relaxed(share: &Share<'_>, from: &[i64]) -> Option<Vec<i64>> {
    let Model { problem, columns, .. } = Model::new(share, from, false);
    let outcome = problem.solve().ok()?;
    let solution = outcome.solution()?;
    let whole = |variable| (solution.var_value(variable) + 1e-6).floor();
    Some(columns.iter().map(|column| column.pieces(whole)).collect())
}

/// A tier as a linear program.
struct Model {
    problem: Problem,
    columns: Vec<Column>,
    hint: Vec<(Variable, f64)>,
}

impl Model {
    fn new(share: &Share<'_>, from: &[i64], whole: bool) -> Self {
        let Share { claims, tier, floors } = share;
        let problem = Problem::new(OptimizationDirection::Maximize);
        let mut model = Self { problem, columns: Vec::new(), hint: Vec::new() };
        let top = top(claims);
        for (claim, &start) in claims.claims.iter().zip(from) {
            let worth = if claim.tier == *tier { claim.worth as f64 / top } else { 0.0 };
            let room = claim.at_most(most(claims, claim));
            let column = Column::add(&mut model, claim, (worth, whole), room, start);
            model.columns.push(column);
        }
        for scarce in &claims.scarce {
            let scale = scarce.uses.iter().map(|&(_, each)| each).max().unwrap_or(1).max(1) as f64;
            let row = model.row(claims, |claim| each_of(&scarce.uses, claim) / scale);
            model.problem.add_constraint(row, ComparisonOp::Le, scarce.capacity as f64 / scale);
        }
        for floor in *floors {
            let worth = |claim: &Claim| claim.worth as f64 / top;
            let own = |claim: &Claim| if claim.tier == floor.tier { worth(claim) } else { 0.0 };
            let row = model.row(claims, own);
            model.problem.add_constraint(row, ComparisonOp::Ge, floor.worth as f64 / top);
        }
        for dough in &claims.doughs {
            let scale = dough.mass.max(1) as f64;
            let each = |claim: &Claim| each_of(&dough.of, claim) / scale;
            let made = model.zero_or_one(0.0, whole);
            let (mut least, mut all) = (model.row(claims, each), 0.0);
            let mut any = false;
            for (claim, &start) in claims.claims.iter().zip(from) {
                all += each(claim) * claim.pieces as f64;
                any |= start > 0 && each(claim) > 0.0;
            }
            let mut most = least.clone();
            least.add(made, -1.0);
            model.problem.add_constraint(least, ComparisonOp::Ge, 0.0);
            most.add(made, -all);
            model.problem.add_constraint(most, ComparisonOp::Le, 0.0);
            model.hint.push((made, f64::from(u8::from(any))));
        }
        model
    }

    fn row(&self, claims: &Claims, each: impl Fn(&Claim) -> f64) -> LinearExpr {
        let mut row = LinearExpr::empty();
        for (claim, column) in claims.claims.iter().zip(&self.columns) {
            let each = each(claim);
            for &(variable, pieces) in column.parts.iter().filter(|_| each > 0.0) {
                row.add(variable, each * pieces as f64);
            }
        }
        row
    }

    fn count(&mut self, worth: f64, most: i64, whole: bool) -> Variable {
        let most = i32::try_from(most).unwrap_or(i32::MAX);
        match whole {
            true => self.problem.add_integer_var(worth, (0, most)),
            false => self.problem.add_var(worth, (0.0, f64::from(most))),
        }
    }

    fn zero_or_one(&mut self, worth: f64, whole: bool) -> Variable {
        match whole {
            true => self.problem.add_binary_var(worth),
            false => self.problem.add_var(worth, (0.0, 1.0)),
        }
    }
}

/// The largest worth of a piece: all others are measured by it.
fn top(claims: &Claims) -> f64 {
    claims.claims.iter().map(|claim| claim.worth).max().unwrap_or(1).max(1) as f64
}

/// What a piece of a claim takes, by a list of kinds.
fn each_of(of: &[(u32, i64)], claim: &Claim) -> f64 {
    of.iter().find(|(kind, _)| *kind == claim.kind).map_or(0.0, |&(_, each)| each as f64)
}

/// The most pieces of a claim that what is scarce leaves room for.
fn most(claims: &Claims, claim: &Claim) -> i64 {
    let uses = claims.scarce.iter().flat_map(|scarce| {
        let own = scarce.uses.iter().filter(|(kind, each)| *kind == claim.kind && *each > 0);
        own.map(|(_, each)| scarce.capacity.max(0) / each)
    });
    uses.min().map_or(claim.pieces, |most| most.min(claim.pieces))
}

/// A claim as variables: whole packs, and the rest of the last one.
struct Column {
    parts: Vec<(Variable, i64)>,
}

impl Column {
    fn add(
        model: &mut Model,
        claim: &Claim,
        (worth, whole): (f64, bool),
        room: i64,
        start: i64,
    ) -> Self {
        let pack = claim.pack.max(1);
        let yes = |is: bool| f64::from(u8::from(is));
        let all_or_nothing = claim.at_most(claim.pieces - 1) == 0;
        if all_or_nothing || room < claim.least {
            let can = i64::from(room >= claim.pieces);
            let all = model.count(worth * claim.pieces as f64, can, whole);
            model.hint.push((all, yes(start > 0)));
            return Self { parts: vec![(all, claim.pieces)] };
        }
        let (full, rest) = (claim.pieces / pack, claim.pieces % pack);
        let packs = model.count(worth * pack as f64, room / pack, whole);
        model.hint.push((packs, (start / pack) as f64));
        let mut parts = vec![(packs, pack)];
        if rest > 0 && room >= claim.pieces {
            // The broken pack comes only on top of all whole ones.
            let last = model.zero_or_one(worth * rest as f64, whole);
            model.hint.push((last, yes(start == claim.pieces)));
            let row = [(packs, 1.0), (last, -(full as f64))];
            model.problem.add_constraint(row, ComparisonOp::Ge, 0.0);
            parts.push((last, rest));
        }
        if claim.least > pack {
            let any = model.zero_or_one(0.0, whole);
            model.hint.push((any, yes(start > 0)));
            let least = ((claim.least + pack - 1) / pack).min(full.max(1));
            let row = [(packs, 1.0), (any, -(least as f64))];
            model.problem.add_constraint(row, ComparisonOp::Ge, 0.0);
            let row = [(packs, 1.0), (any, -((room / pack) as f64))];
            model.problem.add_constraint(row, ComparisonOp::Le, 0.0);
        }
        Self { parts }
    }

    fn pieces(&self, value: impl Fn(Variable) -> f64) -> i64 {
        let whole = |variable| value(variable) as i64;
        self.parts.iter().map(|&(variable, pieces)| whole(variable).saturating_mul(pieces)).sum()
    }
}

/// Prices in 1/2^20 of a unit of worth.
#[derive(Debug, Clone, Default)]
pub(super) struct Prices {
    /// Of all there is of each scarce thing.
    pub(super) scarce: Vec<i128>,
    /// Of a unit of worth of each tier that keeps its own.
    pub(super) floors: Vec<i128>,
}

/// Prices at which the bound of a tier is low: the dual of its linear relaxation.
pub(super) fn prices(share: &Share<'_>) -> Prices {
    let Share { claims, tier, floors } = share;
    let nothing = Prices { scarce: vec![0; claims.scarce.len()], floors: vec![0; floors.len()] };
    let top = top(claims);
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let mut price = |cost: f64| problem.add_var(cost, (0.0, f64::INFINITY));
    let of_scarce: Vec<Variable> = claims.scarce.iter().map(|_| price(1.0)).collect();
    let worths = floors.iter().map(|floor| floor.worth as f64 / top);
    let of_floor: Vec<Variable> = worths.map(|worth| price(-worth)).collect();
    let gains = claims.claims.iter().map(|claim| price(claim.pieces.max(0) as f64));
    let gains: Vec<Variable> = gains.collect();
    for (claim, &gain) in claims.claims.iter().zip(&gains) {
        if claim.pieces <= 0 || most(claims, claim) < claim.pieces.min(claim.least.max(1)) {
            continue;
        }
        let mut row = LinearExpr::empty();
        row.add(gain, 1.0);
        for (scarce, &price) in claims.scarce.iter().zip(&of_scarce) {
            let each = each_of(&scarce.uses, claim);
            if each > 0.0 && scarce.capacity > 0 {
                row.add(price, each / scarce.capacity as f64);
            }
        }
        for (floor, &price) in floors.iter().zip(&of_floor) {
            if floor.tier == claim.tier {
                row.add(price, -(claim.worth as f64) / top);
            }
        }
        let worth = if claim.tier == *tier { claim.worth as f64 / top } else { 0.0 };
        problem.add_constraint(row, ComparisonOp::Ge, worth);
    }
    let Ok(outcome) = problem.solve() else { return nothing };
    let Some(solution) = outcome.solution() else { return nothing };
    let fine = |value: f64, unit: f64| (value * unit * f64::from(1_u32 << 20)).round() as i128;
    Prices {
        scarce: of_scarce.iter().map(|&v| fine(solution.var_value(v), top).max(0)).collect(),
        floors: of_floor.iter().map(|&v| fine(solution.var_value(v), 1.0).max(0)).collect(),
    }
}
