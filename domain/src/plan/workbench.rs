//! The formula workbench: what a version of a formula is, and what it takes at another size.

mod profile;
mod scaled;
mod tree;

pub use profile::{Profile, Warning, profile, yeast_change};
pub use scaled::{ScaleTo, Scaled, ScaledBatch, ScaledLoad, scaled};
pub use tree::{Branch, BranchKind, tree};
