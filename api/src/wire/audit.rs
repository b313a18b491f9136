//! Who wrote what, as it is shown.

use serde::Serialize;
use utoipa::ToSchema;

/// One write.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AuditView {
    /// Its UUID; ids sort as the writes happened.
    pub id: String,
    /// When: RFC 3339 in UTC.
    pub written_at: String,
    /// The name on the token; `local` without one; `command line` if no request asked.
    #[schema(example = "till 2")]
    pub who: String,
    /// The token that was shown.
    pub token_id: Option<String>,
    /// HTTP method; empty if no request asked.
    #[schema(example = "POST")]
    pub method: String,
    /// Path of the request.
    #[schema(example = "/v1/orders")]
    pub path: String,
    /// HTTP status of the answer.
    #[schema(example = 201)]
    pub status: i32,
    /// The name of the request in the log and in `X-Request-Id`.
    pub request_id: String,
}
