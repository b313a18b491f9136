//! Proves the ledger and the reference data, with no server running.

use super::{CommandError, StorageArgs, say};
use crate::{clock::Clock, service::ledger, state::State, wire::ledger::CheckView};
use clap::Args;

/// Which database to check.
#[derive(Debug, Args)]
pub(super) struct CheckArgs {
    #[command(flatten)]
    storage: StorageArgs,
}

/// Prints what was proved and every finding; a finding is a failure.
pub(super) fn check(args: CheckArgs) -> Result<(), CommandError> {
    let config = args.storage.without_server()?;
    let state = State::open(&config, Clock::System)?;
    let checked = state.store.read(|tx| ledger::check(&state, tx))?;
    let view = CheckView::new(&checked);
    if view.whole {
        for line in &view.proved {
            say(&format!("ok    {line}"))?;
        }
        if let Some(hash) = &view.last_hash {
            say(&format!("note  the last hash is {hash}: write it down to prove it later"))?;
        }
        return Ok(());
    }
    say(&format!("read  {} entries, {} lots", view.entries, view.lots))?;
    for finding in &view.findings {
        say(&format!("FOUND {}: {}: {}", finding.kind, finding.about, finding.detail))?;
    }
    Err(CommandError::Found(view.findings.len()))
}
