//! Tokens on the machine itself: shown once, as on the owner's page.

use super::{CommandError, StorageArgs, say};
use crate::{
    access::Job,
    clock::Clock,
    service::tokens::{self, Token},
    state::State,
};
use clap::{Args, Subcommand};
use jiff::{SignedDuration, Timestamp};

/// What to do with tokens.
#[derive(Debug, Args)]
pub(super) struct TokenArgs {
    #[command(subcommand)]
    action: Action,
    #[command(flatten)]
    storage: StorageArgs,
}

#[derive(Debug, Subcommand)]
enum Action {
    /// Make a token and print it, once
    Add {
        /// Who will use it: a till, a tablet, a person
        name: String,
        /// What it may do
        #[arg(long, value_enum)]
        job: Job,
        /// From when on it opens nothing, such as 2027-01-01T00:00:00+01:00
        #[arg(long, value_name = "INSTANT")]
        expires: Option<Timestamp>,
    },
    /// List tokens, without their secrets
    List,
    /// Revoke a token at once
    Revoke {
        /// Its id, as `list` prints it
        id: String,
    },
    /// Make another token of the same name, job and end; the old one goes on for a while
    Rotate {
        /// Its id, as `list` prints it
        id: String,
        /// Hours for which the old one goes on
        #[arg(long, default_value_t = 24)]
        grace_hours: u16,
    },
}

/// Does it.
pub(super) fn token(args: TokenArgs) -> Result<(), CommandError> {
    let TokenArgs { action, storage } = args;
    let config = storage.without_server()?;
    let state = State::open(&config, Clock::System)?;
    match action {
        Action::Add { name, job, expires } => show(&tokens::make(&state, &name, job, expires)?),
        Action::Rotate { id, grace_hours } => {
            let grace = SignedDuration::from_hours(i64::from(grace_hours));
            show(&tokens::rotate(&state, &id, grace)?)
        }
        Action::List => {
            let now = state.now();
            for token in tokens::list(&state)? {
                say(&line(&token, now))?;
            }
            Ok(())
        }
        Action::Revoke { id } => {
            let token = state.write(|tx| tokens::revoke(tx, &state, &id))?;
            say(&line(&token, state.now()))
        }
    }
}

fn show((token, whole): &(Token, String)) -> Result<(), CommandError> {
    say(&format!(
        "{whole}\n\nThis is the token of {} ({}), shown this once. Send it as\n  \
         Authorization: Bearer {whole}\nor sign in with it at /sign-in.",
        token.name,
        token.job.word()
    ))
}

fn line(token: &Token, now: Timestamp) -> String {
    let Token { id, name, job, made_at, expires_at, revoked_at } = token;
    let until = match (revoked_at, expires_at) {
        (Some(at), _) => format!("revoked {at}"),
        (None, Some(at)) if !token.is_live(now) => format!("expired {at}"),
        (None, Some(at)) => format!("until {at}"),
        (None, None) => "no end".to_owned(),
    };
    format!("{id}  {:<7} {name}  made {made_at}  {until}", job.word())
}
