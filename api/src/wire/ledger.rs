//! What a check of the ledger proved.

use crate::service::ledger::{Checked, Finding};
use serde::Serialize;
use utoipa::ToSchema;

/// What a check proved, and what it could not.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CheckView {
    /// Whether nothing is wrong.
    #[schema(example = true)]
    pub whole: bool,
    /// Entries of the chain that were read.
    #[schema(example = 1042)]
    pub entries: i64,
    /// Entries from before the chain; its first link covers them.
    #[schema(example = 0)]
    pub entries_before: i64,
    /// Lots whose masses were added up.
    #[schema(example = 36)]
    pub lots: i64,
    /// Hash of the last entry: note it down to prove later that nothing before it changed.
    #[schema(example = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08")]
    pub last_hash: Option<String>,
    /// What was proved, in words; nothing while something is wrong.
    pub proved: Vec<String>,
    /// What is wrong, and what to do about it.
    pub findings: Vec<FindingView>,
}

/// One thing that is wrong.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FindingView {
    /// A stable word: `entry-changed`, `chain-broken`, `chain-cut`, `sequence-gap`,
    /// `balance-differs`, `mass-balance`, `move-uneven`, `correction-open`, `wrong-direction`,
    /// `unknown-kind` or `bakery-broken`.
    #[schema(example = "entry-changed")]
    pub kind: &'static str,
    /// The lot, entry, document or noun that it is about.
    #[schema(example = "01975a30-1c00-7000-8000-000000000001")]
    pub about: String,
    /// In plain words, with what to do next.
    #[schema(
        example = "entry 7 is not what was written (its hash differs): compare it with a backup, then correct it by a counter-entry"
    )]
    pub detail: String,
}

impl CheckView {
    /// What a check proved.
    #[must_use]
    pub fn new(checked: &Checked) -> Self {
        let Checked { entries, entries_before, lots, last_hash, balances: _, findings } = checked;
        let view = |finding: &Finding| {
            let Finding { kind, about, detail } = finding;
            FindingView { kind, about: about.clone(), detail: detail.clone() }
        };
        let proved = vec![
            format!("{entries} entries follow each other without a gap, each by its hash"),
            "every balance is the sum of its entries".to_owned(),
            format!("the masses of {lots} lots add up, and both ends of every move agree"),
            "the bakery document compiles".to_owned(),
        ];
        Self {
            whole: findings.is_empty(),
            entries: *entries,
            entries_before: *entries_before,
            lots: *lots,
            last_hash: last_hash.clone(),
            proved: if findings.is_empty() { proved } else { Vec::new() },
            findings: findings.iter().map(view).collect(),
        }
    }
}
