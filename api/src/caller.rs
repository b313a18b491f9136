//! Who asks: found at the door, carried with the request to where it is written down.

use crate::access::Job;
use uuid::Uuid;

/// Who asks, and by which request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caller {
    /// The name on the token; `local` on a machine that needs none.
    pub who: String,
    /// What it may do.
    pub job: Job,
    /// The token that was shown.
    pub token: Option<Uuid>,
    /// HTTP method.
    pub method: String,
    /// Path of the request, without its query.
    pub path: String,
    /// The name of the request in the log and in `X-Request-Id`.
    pub request_id: String,
}

tokio::task_local! {
    static CALLER: Caller;
}

impl Caller {
    /// The caller of the request that is being answered.
    #[must_use]
    pub fn current() -> Option<Self> {
        CALLER.try_with(Self::clone).ok()
    }

    /// Answers a request in its caller's name.
    pub async fn carry<T>(self, answer: impl Future<Output = T>) -> T {
        CALLER.scope(self, answer).await
    }

    /// Works in the caller's name on a thread of its own.
    pub fn carry_on<T>(caller: Option<Self>, work: impl FnOnce() -> T) -> T {
        match caller {
            Some(caller) => CALLER.sync_scope(caller, work),
            None => work(),
        }
    }
}
