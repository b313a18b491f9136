//! Problems: every answer that says no (RFC 9457).
//!
//! [`Kind`] is the registry: one row gives the slug, the status and the title.
//! Clients match on the slug, never on a sentence.

mod refused;

use crate::document::Fault;
use actix_web::{
    HttpResponse, ResponseError,
    body::BoxBody,
    http::{StatusCode, header},
};
use serde::Serialize;
use std::fmt;
use utoipa::ToSchema;

/// The media type of a problem document.
///
/// # Source
/// RFC 9457, section 3.
pub const PROBLEM: &str = "application/problem+json";

/// What is wrong, as a stable word with a status and a title.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The address leads nowhere.
    NoSuchPath,
    /// The address does not take this method.
    MethodNotAllowed,
    /// The body is not JSON.
    NotJson,
    /// The body's shape is not what the operation takes.
    InvalidBody,
    /// A key that the operation does not know.
    UnknownKey,
    /// The body is larger than the limit.
    BodyTooLarge,
    /// The body did not arrive in time.
    BodyTooSlow,
    /// The body is not declared as JSON.
    NotDeclaredJson,
    /// The file is not declared as what the operation takes.
    NotDeclaredFile,
    /// The file is no table or workbook.
    NotATable,
    /// A query parameter cannot be read.
    InvalidQuery,
    /// A part of the path cannot be read.
    InvalidPath,
    /// A request header cannot be read.
    InvalidHeader,
    /// Nothing has this name.
    NotFound,
    /// Several kinds of fault in one bakery document.
    InvalidBakery,
    /// No bakery was put yet.
    NoBakery,
    /// A text is not what its field takes.
    Malformed,
    /// A unit that we do not know.
    UnknownUnit,
    /// A formula contains itself.
    FormulaCycle,
    /// Flours do not make 100.
    FlourSum,
    /// The final mix would need less than nothing.
    NegativeFinalMix,
    /// Grams of a counted thing without weight each.
    NoWeightEach,
    /// A volume of a thing without density.
    NoDensity,
    /// Grams of a batch that is not weighed.
    NoBatchMass,
    /// A code that nothing has.
    UnknownCode,
    /// Two things of one code.
    DuplicateCode,
    /// A number beyond its bounds.
    OutOfRange,
    /// Two units that do not fit each other.
    UnitMismatch,
    /// A load cannot fit its mixer.
    OverMixerMaximum,
    /// Formulas inside formulas, too deep.
    NestingTooDeep,
    /// A field is missing, or two exclude each other.
    FieldMismatch,
    /// A list without elements, or with too many.
    TooMany,
    /// The code in the path and the code in the body differ.
    CodeMismatch,
    /// An existing thing was put without saying which state was read.
    PreconditionRequired,
    /// The thing changed since it was read.
    PreconditionFailed,
    /// The idempotency key was used with another request.
    KeyReused,
    /// The same version of an order with other content.
    VersionReused,
    /// A load is not where such a step is possible.
    LoadStep,
    /// A person must decide before a load can be released.
    LoadUndecided,
    /// What was used adds to the planned label, and nobody has confirmed another one.
    LabelChanged,
    /// The plan changed since it was looked at.
    PlanMoved,
    /// What was set by hand cannot be.
    OverrideImpossible,
    /// Nobody can decide that.
    DecisionImpossible,
    /// A substitute cannot be used so.
    SubstituteImpossible,
    /// What is signed for is not what was read.
    SignOffUnread,
    /// A sheet was not printed at that revision.
    NotPrinted,
    /// What is asked does not fit the state that a lot is in.
    WrongState,
    /// A lot is past the end of its use.
    PastUseBy,
    /// An entry of the ledger that cannot be taken back.
    CannotCorrect,
    /// Nobody said how long something keeps once thawed.
    NoThawedLife,
    /// A step of the plan grew beyond exact arithmetic or its limits.
    PlanRefused,
    /// An order to a supplier is not where such a step is possible.
    OrderStep,
    /// A draft for the same cutoff is open.
    OrderOpen,
    /// The plan asks for nothing.
    NothingToOrder,
    /// No delivery can be ordered so.
    NoDelivery,
    /// The cutoff is gone.
    CutoffGone,
    /// The supplier takes no order so small.
    BelowMinimum,
    /// The sums, currency or dates of an order do not fit.
    OrderUnsound,
    /// The sheet does not come in the format asked for.
    NotAcceptable,
    /// No token that opens this shop was shown.
    NotSignedIn,
    /// The token is for another job.
    NotAllowed,
    /// A page of another site asked, or a name that is not ours was used.
    FromElsewhere,
    /// More requests than a token may make.
    TooManyRequests,
    /// The database was busy too long.
    StoreBusy,
    /// The database does not answer.
    StoreAway,
    /// The disk of the database is full.
    StoreFull,
    /// The database can be read and not written.
    StoreReadOnly,
    /// The server was told to stop.
    Stopping,
    /// Something broke that a request cannot mend.
    Internal,
}

impl Kind {
    /// Every kind, for looking one up by its slug.
    pub const ALL: [Self; 69] = [
        Self::NoSuchPath,
        Self::MethodNotAllowed,
        Self::NotJson,
        Self::InvalidBody,
        Self::UnknownKey,
        Self::BodyTooLarge,
        Self::BodyTooSlow,
        Self::NotDeclaredJson,
        Self::NotDeclaredFile,
        Self::NotATable,
        Self::InvalidQuery,
        Self::InvalidPath,
        Self::InvalidHeader,
        Self::NotFound,
        Self::InvalidBakery,
        Self::NoBakery,
        Self::Malformed,
        Self::UnknownUnit,
        Self::FormulaCycle,
        Self::FlourSum,
        Self::NegativeFinalMix,
        Self::NoWeightEach,
        Self::NoDensity,
        Self::NoBatchMass,
        Self::UnknownCode,
        Self::DuplicateCode,
        Self::OutOfRange,
        Self::UnitMismatch,
        Self::OverMixerMaximum,
        Self::NestingTooDeep,
        Self::FieldMismatch,
        Self::TooMany,
        Self::CodeMismatch,
        Self::PreconditionRequired,
        Self::PreconditionFailed,
        Self::KeyReused,
        Self::VersionReused,
        Self::LoadStep,
        Self::LoadUndecided,
        Self::LabelChanged,
        Self::PlanMoved,
        Self::OverrideImpossible,
        Self::DecisionImpossible,
        Self::SubstituteImpossible,
        Self::SignOffUnread,
        Self::NotPrinted,
        Self::WrongState,
        Self::PastUseBy,
        Self::CannotCorrect,
        Self::NoThawedLife,
        Self::PlanRefused,
        Self::OrderStep,
        Self::OrderOpen,
        Self::NothingToOrder,
        Self::NoDelivery,
        Self::CutoffGone,
        Self::BelowMinimum,
        Self::OrderUnsound,
        Self::NotAcceptable,
        Self::NotSignedIn,
        Self::NotAllowed,
        Self::FromElsewhere,
        Self::TooManyRequests,
        Self::StoreBusy,
        Self::StoreAway,
        Self::StoreFull,
        Self::StoreReadOnly,
        Self::Stopping,
        Self::Internal,
    ];

    /// The row of the registry: slug, status, title.
    #[must_use]
    pub const fn row(self) -> (&'static str, u16, &'static str) {
        match self {
            Self::NoSuchPath => ("no-such-path", 404, "This address leads nowhere."),
            Self::MethodNotAllowed => {
                ("method-not-allowed", 405, "This address does not take this method.")
            }
            Self::NotJson => ("not-json", 400, "The body is not JSON."),
            Self::InvalidBody => ("invalid-body", 422, "The body has another shape."),
            Self::UnknownKey => ("unknown-key", 422, "The body has a key that is not known."),
            Self::BodyTooLarge => ("body-too-large", 413, "The body is too large."),
            Self::BodyTooSlow => ("body-too-slow", 408, "The body did not arrive in time."),
            Self::NotDeclaredJson => {
                ("not-declared-json", 415, "The body is not declared as JSON.")
            }
            Self::InvalidQuery => ("invalid-query", 400, "A query parameter cannot be read."),
            Self::InvalidPath => ("invalid-path", 400, "A part of the address cannot be read."),
            Self::InvalidHeader => ("invalid-header", 400, "A request header cannot be read."),
            Self::NotFound => ("not-found", 404, "Nothing has this name."),
            Self::InvalidBakery => ("invalid-bakery", 422, "The bakery has several faults."),
            Self::NoBakery => ("no-bakery", 409, "No bakery is loaded yet."),
            Self::Malformed => ("malformed", 422, "A text is not what its field takes."),
            Self::UnknownUnit => ("unknown-unit", 422, "A unit is not known."),
            Self::FormulaCycle => ("formula-cycle", 422, "A formula contains itself."),
            Self::FlourSum => ("flour-sum", 422, "The flours do not make 100."),
            Self::NegativeFinalMix => {
                ("negative-final-mix", 422, "The final mix would need less than nothing.")
            }
            Self::NoWeightEach => ("no-weight-each", 422, "A counted item has no weight each."),
            Self::NoDensity => ("no-density", 422, "An item has no density."),
            Self::NoBatchMass => ("no-batch-mass", 422, "A batch has no stated mass."),
            Self::UnknownCode => ("unknown-code", 422, "A code is not known."),
            Self::DuplicateCode => ("duplicate-code", 422, "Two things have one code."),
            Self::OutOfRange => ("out-of-range", 422, "A number is out of its range."),
            Self::UnitMismatch => ("unit-mismatch", 422, "Two units do not fit each other."),
            Self::OverMixerMaximum => {
                ("over-mixer-maximum", 422, "A load is too big for its mixer.")
            }
            Self::NestingTooDeep => ("nesting-too-deep", 422, "Formulas are nested too deep."),
            Self::FieldMismatch => ("field-mismatch", 422, "Fields do not fit together."),
            Self::TooMany => ("too-many", 422, "The list is empty or too long."),
            Self::CodeMismatch => ("code-mismatch", 422, "Address and body name two things."),
            Self::PreconditionRequired => {
                ("precondition-required", 428, "Say which state you read.")
            }
            Self::PreconditionFailed => ("precondition-failed", 412, "It changed meanwhile."),
            Self::KeyReused => ("key-reused", 422, "The idempotency key was used before."),
            Self::VersionReused => ("version-reused", 409, "The version was used before."),
            Self::LoadStep => ("load-step", 409, "The load cannot take this step."),
            Self::LoadUndecided => ("load-undecided", 409, "A person must decide first."),
            Self::LabelChanged => ("label-changed", 409, "The label leaves something out."),
            Self::PlanMoved => ("plan-moved", 409, "The plan changed meanwhile."),
            Self::OverrideImpossible => {
                ("override-impossible", 422, "The plan cannot have this value.")
            }
            Self::NotPrinted => ("not-printed", 404, "The sheet was not printed then."),
            Self::WrongState => ("wrong-state", 409, "The lot is in another state."),
            Self::PastUseBy => ("past-use-by", 409, "The lot is past the end of its use."),
            Self::CannotCorrect => ("cannot-correct", 409, "The entry cannot be taken back."),
            Self::NoThawedLife => {
                ("no-thawed-life", 422, "How long it keeps once thawed is not known.")
            }
            Self::PlanRefused => ("plan-refused", 422, "The plan cannot be computed."),
            Self::NotAcceptable => ("not-acceptable", 406, "The sheet has no such format."),
            Self::StoreBusy => ("store-busy", 503, "The database is busy."),
            Self::Internal => ("internal", 500, "Something broke here."),
            _ => self.row_of_persons(),
        }
    }

    /// The rows of who may come in, of what a person decides, and of orders to suppliers.
    const fn row_of_persons(self) -> (&'static str, u16, &'static str) {
        match self {
            Self::NotSignedIn => ("not-signed-in", 401, "A token is needed."),
            Self::NotDeclaredFile => {
                ("not-declared-file", 415, "The file is not declared as what it must be.")
            }
            Self::NotATable => ("not-a-table", 400, "The file is no table."),
            Self::NotAllowed => ("not-allowed", 403, "The token is for another job."),
            Self::FromElsewhere => ("from-elsewhere", 403, "Another site asked."),
            Self::TooManyRequests => ("too-many-requests", 429, "Too many requests."),
            Self::SubstituteImpossible => {
                ("substitute-impossible", 422, "The substitute cannot be used so.")
            }
            Self::SignOffUnread => {
                ("sign-off-unread", 409, "Read what it brings in before you sign.")
            }
            Self::DecisionImpossible => ("decision-impossible", 422, "Nobody can decide that."),
            Self::OrderStep => ("order-step", 409, "The order cannot take this step."),
            Self::OrderOpen => ("order-open", 409, "A draft for this cutoff is open."),
            Self::NothingToOrder => ("nothing-to-order", 409, "The plan asks for nothing."),
            Self::NoDelivery => ("no-delivery", 422, "No delivery can be ordered so."),
            Self::CutoffGone => ("cutoff-gone", 409, "The cutoff is gone."),
            Self::BelowMinimum => ("below-minimum", 409, "The order is below the minimum."),
            Self::OrderUnsound => ("order-unsound", 409, "The order does not fit together."),
            Self::StoreAway => ("store-away", 503, "The database does not answer."),
            Self::StoreFull => ("store-full", 507, "The disk is full."),
            Self::StoreReadOnly => ("store-read-only", 503, "The database cannot be written."),
            Self::Stopping => ("stopping", 503, "The server is stopping."),
            _ => Self::Internal.row(),
        }
    }

    /// After how many seconds the same request may have a chance; none if it must change first.
    const fn retry_after(self) -> Option<&'static str> {
        match self {
            Self::StoreBusy | Self::TooManyRequests => Some("1"),
            Self::StoreAway | Self::Stopping => Some("2"),
            // Somebody must do something about these first.
            Self::StoreFull | Self::StoreReadOnly => Some("30"),
            _ => None,
        }
    }

    /// The kind of a slug; [`Kind::Internal`] if the registry lacks it.
    #[must_use]
    pub fn from_slug(slug: &str) -> Self {
        Self::ALL.into_iter().find(|kind| kind.row().0 == slug).unwrap_or(Self::Internal)
    }
}

/// An answer that says no.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// What is wrong.
    pub kind: Kind,
    /// The same in plain words that name the offending line.
    pub detail: String,
    /// Every fault of the body, each with its place.
    pub errors: Vec<Fault>,
}

/// A problem document as it is sent.
///
/// # Source
/// RFC 9457; pointers as in RFC 6901.
#[derive(Debug, Serialize, ToSchema)]
pub struct ProblemView {
    /// A stable relative URI; its last part is the kind's slug.
    #[serde(rename = "type")]
    #[schema(example = "/problems/flour-sum")]
    pub kind: String,
    /// The kind in one sentence.
    pub title: &'static str,
    /// The HTTP status.
    pub status: u16,
    /// What is wrong here and what to do next, in plain words.
    pub detail: String,
    /// Every fault of the body, each with its place.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub errors: Vec<FaultView>,
}

/// One fault of a body.
#[derive(Debug, Serialize, ToSchema)]
pub struct FaultView {
    /// Where: a JSON Pointer into the body.
    #[schema(example = "/formulas/3/lines/0/parts")]
    pub pointer: String,
    /// The slug of what is wrong.
    #[schema(example = "out-of-range")]
    pub kind: &'static str,
    /// The same in plain words.
    pub detail: String,
}

impl From<&Fault> for FaultView {
    fn from(fault: &Fault) -> Self {
        let Fault { pointer, kind, detail } = fault;
        Self { pointer: pointer.clone(), kind, detail: detail.clone() }
    }
}

impl Problem {
    /// A problem without a place in a body.
    #[must_use]
    pub fn new(kind: Kind, detail: impl Into<String>) -> Self {
        Self { kind, detail: detail.into(), errors: Vec::new() }
    }

    /// All faults of a body: of their own kind if they share one, else `mixed`.
    #[must_use]
    pub fn from_faults(mixed: Kind, faults: Vec<Fault>) -> Self {
        let Some(first) = faults.first() else {
            return Self::new(mixed, "the body has a fault that was not named");
        };
        let one_kind = faults.iter().all(|fault| fault.kind == first.kind);
        let kind = if one_kind { Kind::from_slug(first.kind) } else { mixed };
        let detail = match faults.len() {
            1 => first.detail.clone(),
            count => format!("{count} faults, the first: {}", first.detail),
        };
        Self { kind, detail, errors: faults }
    }

    /// A problem from its document, as it was kept.
    #[must_use]
    pub fn read(document: &str) -> Option<Self> {
        let document: serde_json::Value = serde_json::from_str(document).ok()?;
        let text = |value: &serde_json::Value| value.as_str().unwrap_or_default().to_owned();
        let kind = |slug: &str| Kind::from_slug(slug);
        let fault = |fault: &serde_json::Value| Fault {
            pointer: text(&fault["pointer"]),
            kind: kind(&text(&fault["kind"])).row().0,
            detail: text(&fault["detail"]),
        };
        let slug = text(&document["type"]);
        Some(Self {
            kind: kind(slug.strip_prefix("/problems/")?),
            detail: text(&document["detail"]),
            errors: document["errors"].as_array().into_iter().flatten().map(fault).collect(),
        })
    }

    /// The problem as it is sent.
    #[must_use]
    pub fn view(&self) -> ProblemView {
        let (slug, status, title) = self.kind.row();
        ProblemView {
            kind: format!("/problems/{slug}"),
            title,
            status,
            detail: self.detail.clone(),
            errors: self.errors.iter().map(FaultView::from).collect(),
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.detail)
    }
}

impl std::error::Error for Problem {}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(self.kind.row().1).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse<BoxBody> {
        let mut response = HttpResponse::build(self.status_code());
        response.content_type(PROBLEM);
        if let Some(seconds) = self.kind.retry_after() {
            response.insert_header((header::RETRY_AFTER, seconds));
        }
        if self.kind == Kind::NotSignedIn {
            response.insert_header((header::WWW_AUTHENTICATE, "Bearer"));
        }
        let body = serde_json::to_string(&self.view()).unwrap_or_default();
        response.body(body)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fault(kind: &'static str) -> Fault {
        Fault { pointer: "/items/0".to_owned(), kind, detail: "wrong".to_owned() }
    }

    #[test]
    fn faults_of_one_kind_give_the_problem_that_kind() {
        let problem = |kinds: &[&'static str]| {
            let faults = kinds.iter().map(|kind| fault(kind)).collect();
            Problem::from_faults(Kind::InvalidBakery, faults).kind
        };
        assert_eq!(problem(&["flour-sum", "flour-sum"]), Kind::FlourSum);
        assert_eq!(problem(&["flour-sum", "unknown-code"]), Kind::InvalidBakery);
    }

    #[test]
    fn slugs_are_unique() {
        let mut slugs: Vec<_> = Kind::ALL.iter().map(|kind| kind.row().0).collect();
        slugs.sort_unstable();
        slugs.dedup();
        assert_eq!(slugs.len(), Kind::ALL.len());
    }
}
