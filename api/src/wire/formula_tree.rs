//! What a formula is made of, level by level, as it is sent.

use domain::{
    bakery::Bakery,
    plan::workbench::{Branch, BranchKind},
};
use serde::Serialize;
use utoipa::ToSchema;

/// One thing in a formula, with what it is made of in turn.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FormulaTreeView {
    /// Its code.
    #[schema(example = "levain")]
    pub item: String,
    /// What people call it.
    pub name: String,
    /// Its parts as written, half up to six places; percent of the base dough in a folded one.
    /// Null at the root.
    #[schema(example = "30")]
    pub parts: Option<String>,
    /// `made`, `bought`, `previous-batch`, or `made-above` where its branches stand further up.
    #[schema(example = "made")]
    pub kind: &'static str,
    /// What it is made of, in order of addition.
    #[schema(no_recursion)]
    pub branches: Vec<Self>,
}

impl FormulaTreeView {
    /// A branch with everything on it.
    #[must_use]
    pub fn new(bakery: &Bakery, branch: &Branch) -> Self {
        let Branch { item, parts, kind, branches } = branch;
        let item = bakery.item(*item);
        Self {
            item: item.code.to_string(),
            name: item.name.clone(),
            parts: parts.as_ref().map(|parts| super::workbench::short(parts, 6)),
            kind: match kind {
                BranchKind::Bought => "bought",
                BranchKind::Made => "made",
                BranchKind::MadeAbove => "made-above",
                BranchKind::PreviousBatch => "previous-batch",
            },
            branches: branches.iter().map(|branch| Self::new(bakery, branch)).collect(),
        }
    }
}
