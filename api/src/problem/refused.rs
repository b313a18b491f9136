//! What services and the store refuse, as problems.

use super::{Kind, Problem};
use crate::{service::Refusal, store::StoreError};

impl From<Refusal> for Problem {
    fn from(refusal: Refusal) -> Self {
        let kind = Kind::from_slug(refusal.slug());
        match refusal {
            Refusal::Unknown { noun, code } => {
                Self::new(kind, format!("there is no {noun} `{code}`"))
            }
            Refusal::NoBakery => Self::new(
                kind,
                "no bakery is loaded yet: PUT /v1/bakery, or run `weighhouse load FILE`",
            ),
            Refusal::Bakery(faults) | Refusal::Body(faults) => Self::from_faults(kind, faults),
            Refusal::Stated { detail, .. } => Self::new(kind, detail),
            Refusal::Store(error) => Self::from(error),
        }
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::Busy => {
                Self::new(Kind::StoreBusy, "the database is busy: send the request again")
            }
            other => {
                // What broke inside stays inside: the log has it, the client does not.
                tracing::error!(error = ?other, "the store failed");
                let (kind, detail) = match other {
                    StoreError::Away(_) | StoreError::Connect(_) => (
                        Kind::StoreAway,
                        "the database does not answer: send the request again, under the same \
                         Idempotency-Key if it writes",
                    ),
                    StoreError::Full(_) => (
                        Kind::StoreFull,
                        "nothing was written, for the disk of the database is full: make room \
                         on it and send the request again",
                    ),
                    StoreError::ReadOnly(_) => (
                        Kind::StoreReadOnly,
                        "nothing was written, for the database can only be read: make it \
                         writable and send the request again",
                    ),
                    _ => (
                        Kind::Internal,
                        "the data could not be read or written: look at the server's log",
                    ),
                };
                Self::new(kind, detail)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_names_the_slug_of_its_kind() {
        for refusal in [
            Refusal::Unknown { noun: "lot", code: "x".to_owned() },
            Refusal::NoBakery,
            Refusal::Bakery(Vec::new()),
            Refusal::Body(Vec::new()),
            Refusal::stated("plan-refused", "too much"),
        ] {
            let slug = refusal.slug();
            assert_eq!(Problem::from(refusal).kind.row().0, slug);
        }
    }
}
