//! The command line: the same services, with or without a server.

mod backup;
mod check;
pub(crate) mod demo;
mod derive;
mod folder;
mod load;
mod serve;
mod sheet;
mod token;
mod webhook;

use crate::{
    config::{Config, ConfigError, RATE_USUAL, SITE_USUAL, Storage},
    document::Fault,
    logs,
    messages::Language,
    openapi,
    problem::Problem,
    server::ServerError,
    service::Refusal,
    store::StoreError,
};
use ::paper::Size;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::{
    fmt,
    io::{self, Write as _},
    net::SocketAddr,
    path::PathBuf,
    process::ExitCode,
    time::Duration,
};

/// A bakery's orders in; the morning's weigh-out, pick list and shortages out.
#[derive(Debug, Parser)]
#[command(name = "weighhouse", version)]
struct CommandLine {
    /// What to do; `serve` if nothing is said.
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Run the server until it is stopped with Ctrl-C
    Serve(serve::ServeArgs),
    /// Load files: a bakery, receipts or orders; each file whole or not at all
    Load(load::LoadArgs),
    /// Print a sheet from the database, with no server running
    Sheet(sheet::SheetArgs),
    /// Prove the ledger and the reference data; fails if anything is wrong
    Check(check::CheckArgs),
    /// Copy the database into a new file, while a server runs, and prove the copy
    Backup(backup::BackupArgs),
    /// Put a copy back into an empty database, and prove it there
    Restore(backup::RestoreArgs),
    /// Make, list, rotate and revoke the tokens that open the server
    Token(token::TokenArgs),
    /// Make and list webhooks, and their secrets
    Webhook(webhook::WebhookArgs),
    /// Print the OpenAPI document
    Openapi,
    /// Derive the table of foods anew from the files of its public-domain release
    DeriveNutrients(derive::DeriveArgs),
}

/// Where the data lives.
#[derive(Debug, Args)]
struct StorageArgs {
    /// Folder of the embedded database; else what `DATABASE_URL` names, else ./weighhouse-data
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// Which shop of the database: first part of every key
    #[arg(long, value_name = "CODE", default_value = SITE_USUAL)]
    site: String,
    /// Which paper sheets are printed on
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    paper: Paper,
    /// Which language sheets and pages speak to whoever asks for none: en, de or fr
    #[arg(long, default_value = "en", value_parser = language)]
    language: Language,
}

fn language(code: &str) -> Result<Language, String> {
    let codes = Language::ALL.map(Language::code).join(", ");
    Language::from_code(code).ok_or_else(|| format!("we speak {codes}: name one of them"))
}

/// Paper that a printer holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Paper {
    /// 210 mm by 297 mm
    A4,
    /// 8.5 in by 11 in
    Letter,
}

impl From<Paper> for Size {
    fn from(paper: Paper) -> Self {
        match paper {
            Paper::A4 => Self::A4,
            Paper::Letter => Self::Letter,
        }
    }
}

impl Default for StorageArgs {
    fn default() -> Self {
        Self {
            data: None,
            site: SITE_USUAL.to_owned(),
            paper: Paper::A4,
            language: Language::English,
        }
    }
}

impl StorageArgs {
    /// For a command that works with no server running, and listens nowhere.
    fn without_server(self) -> Result<Config, ConfigError> {
        self.config(SocketAddr::from(([127, 0, 0, 1], 0)))
    }

    fn config(self, listen: SocketAddr) -> Result<Config, ConfigError> {
        let Self { data, site, paper, language } = self;
        Ok(Config {
            listen,
            storage: Storage::choose(data)?,
            site,
            workers: std::thread::available_parallelism().map_or(2, usize::from),
            rate_per_second: RATE_USUAL,
            drain: Duration::ZERO,
            paper: paper.into(),
            language,
            tls: None,
        })
    }
}

/// Why a command did not do its work.
#[derive(Debug, thiserror::Error)]
pub(crate) enum CommandError {
    #[error(transparent)]
    Config(#[from] ConfigError),
    #[error("the database cannot be opened: {0}")]
    Store(#[from] StoreError),
    #[error(transparent)]
    Server(#[from] ServerError),
    #[error("cannot read {path}: {source}")]
    Read { path: PathBuf, source: io::Error },
    #[error("{path} was not loaded: {faults}")]
    File { path: PathBuf, faults: FaultList },
    #[error("{0}")]
    Refused(FaultList),
    #[error("{0}")]
    Usage(String),
    #[error("{0} findings: see above what to do about each")]
    Found(usize),
    #[error("{0}")]
    Problem(#[from] Problem),
    #[error("the output cannot be written")]
    Write(#[from] io::Error),
    #[error("the OpenAPI document cannot be written")]
    Document(#[from] serde_json::Error),
}

impl From<Refusal> for CommandError {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(FaultList::from(refusal))
    }
}

/// What was wrong, each fault on its line.
#[derive(Debug)]
pub(crate) struct FaultList {
    detail: String,
    faults: Vec<Fault>,
}

impl From<Refusal> for FaultList {
    fn from(refusal: Refusal) -> Self {
        let Problem { kind: _, detail, errors } = Problem::from(refusal);
        Self { detail, faults: errors }
    }
}

impl fmt::Display for FaultList {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.faults.is_empty() {
            return f.write_str(&self.detail);
        }
        write!(f, "{} found", if self.faults.len() == 1 { "a fault was" } else { "faults were" })?;
        for Fault { pointer, kind, detail } in &self.faults {
            write!(f, "\n  {pointer}: {detail} ({kind})")?;
        }
        Ok(())
    }
}

/// Runs the command line of this process.
#[must_use]
pub fn run() -> ExitCode {
    let CommandLine { command } = CommandLine::parse();
    logs::begin();
    match execute(command) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            // There is nowhere left to say that standard error is closed.
            let _ = writeln!(io::stderr(), "weighhouse: {error}");
            ExitCode::FAILURE
        }
    }
}

/// Runs a command of words as they stand on a command line, the name of the program first.
///
/// # Errors
/// What the program would say before it fails.
pub fn run_words(words: &[&str]) -> Result<(), String> {
    let CommandLine { command } =
        CommandLine::try_parse_from(words).map_err(|error| error.to_string())?;
    execute(command).map_err(|error| error.to_string())
}

fn execute(command: Option<Command>) -> Result<(), CommandError> {
    match command {
        None => serve::serve(serve::ServeArgs::default()),
        Some(Command::Serve(args)) => serve::serve(args),
        Some(Command::Load(args)) => load::load(args),
        Some(Command::Sheet(args)) => sheet::sheet(args),
        Some(Command::Check(args)) => check::check(args),
        Some(Command::Backup(args)) => backup::backup(args),
        Some(Command::Restore(args)) => backup::restore(args),
        Some(Command::Token(args)) => token::token(args),
        Some(Command::Webhook(args)) => webhook::webhook(args),
        Some(Command::Openapi) => print_document(),
        Some(Command::DeriveNutrients(args)) => derive::derive(args),
    }
}

fn print_document() -> Result<(), CommandError> {
    say(openapi::text()?.trim_end())
}

/// Prints a text and ends its line; a reader who has seen enough is no failure.
fn say(text: &str) -> Result<(), CommandError> {
    let mut out = io::stdout().lock();
    match writeln!(out, "{text}").and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(error.into()),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory as _;

    #[test]
    fn the_arguments_fit_each_other() {
        CommandLine::command().debug_assert();
    }

    #[test]
    fn every_setting_is_in_the_table_for_those_who_run_it() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../deploy/README.md");
        let text = std::fs::read_to_string(path).expect("deploy/README.md");
        let table = text.lines().filter(|line| line.starts_with("| `")).collect::<Vec<_>>();
        let cells: Vec<&str> = table.iter().filter_map(|line| line.split('|').nth(1)).collect();
        let named = |setting: &str| {
            cells.iter().flat_map(|cell| cell.split(['`', ' '])).any(|word| word == setting)
        };
        let mut command = CommandLine::command();
        command.build();
        let serve = command.find_subcommand("serve").expect("serve");
        let flags = serve.get_arguments().filter_map(|argument| argument.get_long());
        let flags = flags.filter(|flag| !["help", "version"].contains(flag));
        let settings: Vec<String> = flags
            .map(|flag| format!("--{flag}"))
            .chain(crate::config::VARIABLES.map(str::to_owned))
            .collect();
        assert!(settings.len() > 10, "{settings:?}");
        for setting in &settings {
            assert!(named(setting), "{setting} is not in the table of deploy/README.md");
        }
        let known = |word: &&str| {
            ["--", "WEIGHHOUSE_", "OTEL_"].iter().any(|start| word.starts_with(start))
        };
        for word in cells.iter().flat_map(|cell| cell.split(['`', ' '])).filter(known) {
            assert!(settings.iter().any(|setting| setting == word), "{word} is no setting");
        }
    }

    #[test]
    fn every_fault_is_shown_with_its_place() {
        let fault = |pointer: &str| Fault {
            pointer: pointer.to_owned(),
            kind: "out-of-range",
            detail: "too large".to_owned(),
        };
        let faults = FaultList::from(Refusal::Body(vec![fault("/a"), fault("/b")]));
        assert_eq!(
            faults.to_string(),
            "faults were found\n  /a: too large (out-of-range)\n  /b: too large (out-of-range)"
        );
    }
}
