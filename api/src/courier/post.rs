//! One webhook posted: signed, to an address that may be called, without following anything.

use crate::{
    messages::Sentence,
    service::webhooks::{
        address::{Reach, reach},
        deliveries::{Letter, Outcome},
        signature::sign,
    },
    wire::notice::NoticeView,
};
use jiff::Timestamp;
use serde::Serialize;
use std::{io, net::IpAddr, time::Duration};
use ureq::{
    Agent, Error,
    config::Config,
    http::Uri,
    unversioned::{
        resolver::{DefaultResolver, ResolvedSocketAddrs, Resolver},
        transport::{DefaultConnector, NextTimeout},
    },
};

/// How long a receiver may take, from its name to the end of its headers.
const TIMEOUT: Duration = Duration::from_secs(10);
/// Most bytes of headers that are read of an answer; of its body nothing is.
const HEADER_BYTES_MAX: usize = 16 * 1024;

/// Posts letters.
pub struct Post {
    agent: Agent,
}

/// The body of a webhook.
///
/// # Source
/// Standard Webhooks 1.0.0, "Payload structure".
#[derive(Serialize)]
struct PayloadView<'a> {
    #[serde(rename = "type")]
    kind: &'a str,
    timestamp: &'a str,
    data: &'a NoticeView,
}

impl Post {
    /// A post that calls this machine and its network only if it may.
    #[must_use]
    pub fn new(may_call_inside: bool) -> Self {
        let config = Config::builder()
            .http_status_as_error(false)
            .max_redirects(0)
            .max_redirects_will_error(false)
            .timeout_global(Some(TIMEOUT))
            .max_response_header_size(HEADER_BYTES_MAX)
            .max_idle_connections(0)
            .proxy(None)
            .user_agent("weighhouse")
            .build();
        let guard = Guard { may_call_inside, names: DefaultResolver::default() };
        Self { agent: Agent::with_parts(config, DefaultConnector::default(), guard) }
    }

    /// Posts a letter and says what became of it.
    #[must_use]
    pub fn letter(&self, letter: &Letter, now: Timestamp) -> Outcome {
        let view = NoticeView::new(&letter.zone, &letter.notice);
        let payload = PayloadView { kind: view.kind.word(), timestamp: &view.made_at, data: &view };
        let Ok(body) = serde_json::to_string(&payload) else {
            return failed(Sentence::of("delivery-unwritable"));
        };
        let at = now.as_second();
        let signatures = letter.secrets.iter().map(|key| sign(key, &letter.id, at, &body));
        let Some(signatures) = signatures.collect::<Option<Vec<_>>>() else {
            return failed(Sentence::of("delivery-no-secret"));
        };
        let sent = self
            .agent
            .post(&letter.url)
            .header("Content-Type", "application/json")
            .header("webhook-id", &letter.id)
            .header("webhook-timestamp", at.to_string())
            .header("webhook-signature", signatures.join(" "))
            .send(&body);
        match sent {
            Ok(answer) if answer.status().is_success() => {
                Outcome { status: Some(answer.status().as_u16()), failure: None }
            }
            Ok(answer) => {
                let status = answer.status().as_u16();
                let failure = Sentence::of("delivery-answered").with("status", status.to_string());
                Outcome { status: Some(status), failure: Some(failure) }
            }
            Err(error) => failed(words(&error)),
        }
    }
}

const fn failed(words: Sentence) -> Outcome {
    Outcome { status: None, failure: Some(words) }
}

/// What went wrong, without the address: it may hold what is nobody's business.
fn words(error: &Error) -> Sentence {
    match error {
        Error::Timeout(_) => Sentence::of("delivery-no-answer"),
        Error::HostNotFound => Sentence::of("delivery-no-host"),
        Error::Tls(_) | Error::Rustls(_) => Sentence::of("delivery-untrusted"),
        // What the guard below says no to holds an error of its own.
        Error::Io(error) if error.kind() == io::ErrorKind::PermissionDenied => {
            match error.get_ref() {
                Some(_) => Sentence::of("delivery-inside"),
                None => error.to_string().into(),
            }
        }
        Error::Io(error) if error.kind() == io::ErrorKind::InvalidData => {
            Sentence::of("delivery-untrusted")
        }
        Error::Io(error) => Sentence::listed("delivery-broke-", error.kind().to_string()),
        _ => Sentence::of("delivery-not-posted"),
    }
}

/// Looks at every network address that a name leads to, at the moment of calling: a name
/// that led outside when it was written down may lead inside now.
#[derive(Debug)]
struct Guard {
    may_call_inside: bool,
    names: DefaultResolver,
}

impl Guard {
    fn lets(&self, address: IpAddr) -> bool {
        match reach(address) {
            Reach::Outside => true,
            Reach::Inside => self.may_call_inside,
            Reach::Never => false,
        }
    }
}

impl Resolver for Guard {
    fn resolve(
        &self,
        uri: &Uri,
        config: &Config,
        timeout: NextTimeout,
    ) -> Result<ResolvedSocketAddrs, Error> {
        let found = self.names.resolve(uri, config, timeout)?;
        let mut allowed = self.empty();
        for address in found.iter().filter(|address| self.lets(address.ip())) {
            allowed.push(*address);
        }
        if allowed.is_empty() {
            let inside = "an address that may not be called";
            return Err(Error::Io(io::Error::new(io::ErrorKind::PermissionDenied, inside)));
        }
        Ok(allowed)
    }
}
