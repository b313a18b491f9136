//! What a formula is made of, level by level.

use crate::{
    bakery::{Driver, Recipes},
    figure::Figure,
    ratio::Ratio,
};
use std::collections::BTreeSet;

/// One thing in a formula, with what it is made of in turn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Branch {
    /// Position of the item.
    pub item: u32,
    /// Its parts as written; of a folded dough, percent of the base dough. None at the root.
    pub parts: Option<Figure>,
    /// What it is.
    pub kind: BranchKind,
    /// What it is made of, in order of addition.
    pub branches: Vec<Self>,
}

/// What stands at the end of a branch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BranchKind {
    /// It is bought.
    Bought,
    /// A formula makes it.
    Made,
    /// A formula makes it, and its own branches stand further up already.
    MadeAbove,
    /// It comes from a batch made before.
    PreviousBatch,
}

/// The tree of what makes an item; none if nothing makes it.
///
/// What stands in several places is unfolded in the first of them, so that a tree is never
/// longer than its formulas.
#[must_use]
pub fn tree(recipes: &Recipes, item: u32) -> Option<Branch> {
    recipes.of_item(item)?;
    Some(branch(recipes, (item, None), &mut BTreeSet::new()))
}

fn branch(
    recipes: &Recipes,
    (item, parts): (u32, Option<Figure>),
    seen: &mut BTreeSet<u32>,
) -> Branch {
    let Some(at) = recipes.of_item(item) else {
        return Branch { item, parts, kind: BranchKind::Bought, branches: Vec::new() };
    };
    if !seen.insert(item) {
        return Branch { item, parts, kind: BranchKind::MadeAbove, branches: Vec::new() };
    }
    let recipe = &recipes.recipes[at];
    let mut branches = Vec::new();
    if let Driver::Blocks { base, sheet, ratio, .. } = recipe.driver {
        let hundred = Figure::whole(100);
        let of_base = Figure::from(ratio).times(&hundred);
        branches.push(branch(recipes, (base, Some(hundred)), seen));
        branches.push(branch(recipes, (sheet, Some(of_base)), seen));
    }
    let scale = Figure::whole(recipe.parts_scale.max(1));
    for line in recipes.lines_of(recipe) {
        let parts = Some(Figure::from(Ratio::whole(line.parts.into())).over(&scale));
        let item = line.item;
        branches.push(if line.flags.previous_batch() {
            Branch { item, parts, kind: BranchKind::PreviousBatch, branches: Vec::new() }
        } else {
            branch(recipes, (item, parts), seen)
        });
    }
    Branch { item, parts, kind: BranchKind::Made, branches }
}
