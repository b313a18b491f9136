//! Services: load, let the domain decide, save. They know nothing of HTTP.
//!
//! A service runs inside one transaction and has no effect outside it, so it may run
//! again when another writer was in the way.

pub mod audit;
pub mod bakery;
pub mod book;
pub mod cost_changes;
pub mod decisions;
pub mod drops;
pub mod expiring;
pub mod forecasts;
pub mod friction;
pub mod holidays;
pub mod idempotency;
pub mod ledger;
pub mod load;
pub mod loads;
pub mod notices;
pub mod orders;
pub mod overrides;
pub mod past_loads;
pub mod plan;
pub mod prints;
pub mod product_lots;
pub mod reference;
pub mod revisions;
pub mod sign_offs;
pub mod stock;
pub mod supplier_orders;
pub mod tokens;
pub mod trace;
pub mod valuation;
pub mod webhooks;
pub mod what_if;
pub mod workbench;
pub mod workbook;
pub mod yields;

use crate::{
    document::Fault,
    store::{MayConflict, StoreError},
};

/// Why a service did nothing.
#[derive(Debug, thiserror::Error)]
pub enum Refusal {
    /// Nothing has this name.
    #[error("there is no {noun} `{code}`")]
    Unknown {
        /// What was looked for.
        noun: &'static str,
        /// By which name.
        code: String,
    },
    /// No bakery was put yet.
    #[error("no bakery is loaded yet")]
    NoBakery,
    /// The bakery contradicts itself.
    #[error("the bakery has {} faults", .0.len())]
    Bakery(Vec<Fault>),
    /// The body of a request cannot be what it says.
    #[error("the body has {} faults", .0.len())]
    Body(Vec<Fault>),
    /// A reason of its own, by the slug of its problem.
    #[error("{detail}")]
    Stated {
        /// The slug of the problem's kind.
        slug: &'static str,
        /// The same in plain words that name the offending line.
        detail: String,
    },
    /// The store failed.
    #[error("the store failed")]
    Store(#[from] StoreError),
}

impl MayConflict for Refusal {
    fn is_conflict(&self) -> bool {
        matches!(self, Self::Store(error) if error.is_conflict())
    }
}

impl Refusal {
    /// The slug of its problem's kind; of a store that failed, that something broke inside.
    #[must_use]
    pub const fn slug(&self) -> &'static str {
        match self {
            Self::Unknown { .. } => "not-found",
            Self::NoBakery => "no-bakery",
            Self::Bakery(_) => "invalid-bakery",
            Self::Body(_) => "invalid-body",
            Self::Stated { slug, .. } => slug,
            Self::Store(_) => "internal",
        }
    }

    /// A refusal with a reason of its own.
    #[must_use]
    pub fn stated(slug: &'static str, detail: impl Into<String>) -> Self {
        Self::Stated { slug, detail: detail.into() }
    }
}

/// One fault of a body as a refusal.
fn fault(pointer: &str, kind: &'static str, detail: impl Into<String>) -> Refusal {
    Refusal::Body(vec![Fault { pointer: pointer.to_owned(), kind, detail: detail.into() }])
}
