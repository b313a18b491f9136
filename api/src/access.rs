//! Which job may do what: one table, by the tag of each operation.
//!
//! What the table does not name is for the owner alone, so that a new operation is closed
//! until somebody opens it.

use actix_web::http::Method;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The job that a token is for.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    ToSchema,
    clap::ValueEnum,
)]
#[serde(rename_all = "kebab-case")]
pub enum Job {
    /// A till or shop: its orders and nothing else.
    Till,
    /// Prints and reads sheets, weighs, counts, books stock in and out.
    Porter,
    /// Orders from suppliers and receives.
    Clerk,
    /// Leads production: everything but tokens.
    Lead,
    /// Everything.
    Owner,
    /// Reads everything but tokens, writes nothing.
    Reader,
}

impl Job {
    /// Every job.
    pub const ALL: [Self; 6] =
        [Self::Till, Self::Porter, Self::Clerk, Self::Lead, Self::Owner, Self::Reader];

    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Till => "till",
            Self::Porter => "porter",
            Self::Clerk => "clerk",
            Self::Lead => "lead",
            Self::Owner => "owner",
            Self::Reader => "reader",
        }
    }

    /// The job of a word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|job| job.word() == word)
    }
}

use Job::{Clerk, Lead, Porter, Reader, Till};

/// Who may read and who may write what has a tag; the owner may all.
const TABLE: &[(&str, &[Job], &[Job])] = &[
    ("running", &[Till, Porter, Clerk, Lead, Reader], &[Lead]),
    ("changes", &[Porter, Clerk, Lead, Reader], &[]),
    ("measures", &[Lead, Reader], &[]),
    ("bakery", &[Porter, Clerk, Lead, Reader], &[Lead]),
    ("orders", &[Till, Clerk, Lead, Reader], &[Till, Clerk, Lead]),
    ("stock", &[Porter, Clerk, Lead, Reader], &[Porter, Clerk, Lead]),
    ("loads", &[Porter, Clerk, Lead, Reader], &[Porter, Lead]),
    ("overrides", &[Porter, Clerk, Lead, Reader], &[Lead]),
    ("plan", &[Porter, Clerk, Lead, Reader], &[Clerk, Lead]),
    ("purchase", &[Clerk, Lead, Reader], &[Clerk, Lead]),
    ("sheets", &[Porter, Clerk, Lead, Reader], &[Clerk, Lead]),
    ("statements", &[Porter, Clerk, Lead, Reader], &[Lead]),
    ("trace", &[Clerk, Lead, Reader], &[Lead]),
    ("why", &[Porter, Clerk, Lead, Reader], &[]),
];

/// Writes that ask for more than their tag: a decision about food is not booked in passing.
const DECISIONS: &[&str] = &[
    "accept_lot",
    "accept_yield",
    "release_lot",
    "correct_movement",
    "sign_off",
    "take_back_sign_off",
];

/// Questions that a post asks and that change nothing: who may read may ask.
const QUESTIONS: &[&str] = &["ask_what_if", "check_order", "share_fairly"];

/// Whether a job may use an operation.
#[must_use]
pub fn allows(job: Job, method: &Method, tag: &str, operation: &str) -> bool {
    if job == Job::Owner {
        return true;
    }
    let Some((_, readers, writers)) = TABLE.iter().find(|(name, ..)| *name == tag) else {
        return false;
    };
    let reads = method.is_safe() || QUESTIONS.contains(&operation);
    if !reads && DECISIONS.contains(&operation) {
        return job == Lead;
    }
    if reads { readers } else { writers }.contains(&job)
}

/// Whether the table knows a tag.
#[must_use]
pub fn knows(tag: &str) -> bool {
    OWNERS_TAGS.contains(&tag) || TABLE.iter().any(|(name, ..)| *name == tag)
}

/// Tags of what only the owner may use.
pub const OWNERS_TAGS: [&str; 2] = ["tokens", "webhooks"];
