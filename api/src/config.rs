//! What the server is told at its start. The only reader of the environment.

use crate::messages::Language;
use paper::Size;
use std::{net::SocketAddr, num::NonZeroU32, path::PathBuf, time::Duration};

/// Where the data lives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Storage {
    /// An embedded SQLite database in this folder.
    Embedded(PathBuf),
    /// A PostgreSQL database at this address.
    Postgres(String),
}

/// Everything that can be set from outside.
#[derive(Debug, Clone)]
pub struct Config {
    /// Address to listen on; port 0 takes a free one.
    pub listen: SocketAddr,
    /// Where the data lives.
    pub storage: Storage,
    /// First part of every key in the store: which shop of the database this server serves.
    pub site: String,
    /// Threads that answer requests.
    pub workers: usize,
    /// Requests that a token may make each second, ten seconds of them at once.
    pub rate_per_second: NonZeroU32,
    /// How long the server goes on, saying that it is not ready, once it was told to stop.
    pub drain: Duration,
    /// Which paper sheets are printed on.
    pub paper: Size,
    /// Which language is spoken to whoever asks for none of ours.
    pub language: Language,
    /// Certificate and key for TLS; without them the server speaks plain HTTP.
    pub tls: Option<TlsFiles>,
}

/// The files of a TLS certificate, in PEM.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TlsFiles {
    /// The chain of certificates, the server's own first.
    pub certificate: PathBuf,
    /// Its private key.
    pub key: PathBuf,
}

/// Requests of a token each second if nothing is said: a till at its busiest sends a few.
pub const RATE_USUAL: NonZeroU32 = NonZeroU32::new(200).unwrap();

/// A setting cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum ConfigError {
    /// `DATABASE_URL` names no database that we speak to.
    #[error(
        "DATABASE_URL must begin with postgres:// or sqlite: (it begins with `{0}`); \
         leave it unset to use the embedded database"
    )]
    UnknownDatabase(String),
}

/// The site key of a database that holds one shop.
pub const SITE_USUAL: &str = "main";

impl Config {
    /// A server on a free port of the loopback, with its data in `folder`.
    #[must_use]
    pub fn embedded(folder: impl Into<PathBuf>) -> Self {
        Self {
            listen: SocketAddr::from(([127, 0, 0, 1], 0)),
            storage: Storage::Embedded(folder.into()),
            site: SITE_USUAL.to_owned(),
            workers: 2,
            rate_per_second: RATE_USUAL,
            drain: Duration::ZERO,
            paper: Size::A4,
            language: Language::English,
            tls: None,
        }
    }
}

impl Storage {
    /// The folder if one is given, else what `DATABASE_URL` says, else `./weighhouse-data`.
    ///
    /// # Errors
    /// [`ConfigError`]
    pub fn choose(folder: Option<PathBuf>) -> Result<Self, ConfigError> {
        match (folder, variable("DATABASE_URL")) {
            (Some(folder), _) => Ok(Self::Embedded(folder)),
            (None, Some(url)) => Self::from_url(&url),
            (None, None) => Ok(Self::Embedded(PathBuf::from("weighhouse-data"))),
        }
    }

    /// Reads a database address.
    ///
    /// # Errors
    /// [`ConfigError::UnknownDatabase`]
    pub fn from_url(url: &str) -> Result<Self, ConfigError> {
        if url.starts_with("postgres://") || url.starts_with("postgresql://") {
            Ok(Self::Postgres(url.to_owned()))
        } else if let Some(path) = url.strip_prefix("sqlite:") {
            Ok(Self::Embedded(PathBuf::from(path.trim_start_matches("//"))))
        } else {
            let scheme: String = url.chars().take_while(|c| c.is_ascii_alphanumeric()).collect();
            Err(ConfigError::UnknownDatabase(scheme))
        }
    }
}

/// Whether the log is written as JSON, one object a line: `WEIGHHOUSE_LOG_FORMAT=json`.
#[must_use]
pub fn log_as_json() -> bool {
    variable("WEIGHHOUSE_LOG_FORMAT").is_some_and(|text| text == "json")
}

/// How much the log says: `error`, `warn`, `info` or `debug`, from `WEIGHHOUSE_LOG`.
#[must_use]
pub fn log_level() -> tracing::Level {
    variable("WEIGHHOUSE_LOG").and_then(|text| text.parse().ok()).unwrap_or(tracing::Level::WARN)
}

/// Where spans are sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Collector {
    /// Address that takes OTLP over HTTP in its JSON form.
    pub url: String,
    /// Headers that go along, such as a key.
    pub headers: Vec<(String, String)>,
    /// Our name among the services.
    pub service: String,
}

/// The collector of traces, if one is named.
///
/// # Source
/// OpenTelemetry, "OTLP Exporter Configuration": the base address gets `/v1/traces`.
#[must_use]
pub fn collector() -> Option<Collector> {
    let base = variable("OTEL_EXPORTER_OTLP_ENDPOINT")?;
    let headers = variable("OTEL_EXPORTER_OTLP_HEADERS").unwrap_or_default();
    let pair = |pair: &str| {
        let (name, value) = pair.split_once('=')?;
        Some((name.trim().to_owned(), value.trim().to_owned()))
    };
    Some(Collector {
        url: format!("{}/v1/traces", base.trim_end_matches('/')),
        headers: headers.split(',').filter_map(pair).collect(),
        service: variable("OTEL_SERVICE_NAME").unwrap_or_else(|| "weighhouse".to_owned()),
    })
}

/// Every variable of the environment that is read; `deploy/README.md` says what each does.
pub const VARIABLES: [&str; 6] = [
    "DATABASE_URL",
    "OTEL_EXPORTER_OTLP_ENDPOINT",
    "OTEL_EXPORTER_OTLP_HEADERS",
    "OTEL_SERVICE_NAME",
    "WEIGHHOUSE_LOG",
    "WEIGHHOUSE_LOG_FORMAT",
];

#[expect(clippy::disallowed_methods, reason = "this file is where the environment is read")]
fn variable(name: &str) -> Option<String> {
    debug_assert!(VARIABLES.contains(&name), "{name} is a setting that nobody is told of");
    std::env::var(name).ok().filter(|text| !text.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scheme_chooses_the_dialect() {
        assert!(matches!(Storage::from_url("postgres://shop@db/book"), Ok(Storage::Postgres(_))));
        assert!(matches!(Storage::from_url("sqlite:///var/book"), Ok(Storage::Embedded(_))));
        assert!(Storage::from_url("mysql://shop").is_err());
    }
}
