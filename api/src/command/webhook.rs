//! Webhooks on the machine itself: a secret is shown once, as on the owner's page.

use super::{CommandError, StorageArgs, say};
use crate::{
    clock::Clock,
    notice::NoticeKind,
    service::{
        reference::Precondition,
        webhooks::{self, Asked, Webhook},
    },
    state::State,
};
use clap::{Args, Subcommand};
use jiff::SignedDuration;

/// What to do with webhooks.
#[derive(Debug, Args)]
pub(super) struct WebhookArgs {
    #[command(subcommand)]
    action: Action,
    #[command(flatten)]
    storage: StorageArgs,
}

#[derive(Debug, Subcommand)]
enum Action {
    /// Make a webhook and print its secret, once
    Add {
        /// Its code: lower-case words and hyphens
        code: String,
        /// Where it posts to: https, or http on this machine itself
        #[arg(long)]
        url: String,
        /// What it tells of; may be said several times
        #[arg(long = "kind", value_enum, required = true)]
        kinds: Vec<NoticeKind>,
    },
    /// List webhooks, without their secrets
    List,
    /// Make another secret and print it, once; the one before signs beside it for a while
    Secret {
        /// Code of the webhook
        code: String,
        /// Hours for which the one before signs beside it
        #[arg(long, default_value_t = 24)]
        grace_hours: u16,
    },
}

/// Does it.
pub(super) fn webhook(args: WebhookArgs) -> Result<(), CommandError> {
    let WebhookArgs { action, storage } = args;
    let config = storage.without_server()?;
    let state = State::open(&config, Clock::System)?;
    match action {
        Action::Add { code, url, kinds } => {
            let asked = Asked { url, kinds, active: true };
            webhooks::put(&state, &code, &asked, &Precondition::None)?;
            show(&code, &webhooks::make_secret(&state, &code, SignedDuration::ZERO)?)
        }
        Action::Secret { code, grace_hours } => {
            let grace = SignedDuration::from_hours(i64::from(grace_hours));
            show(&code, &webhooks::make_secret(&state, &code, grace)?)
        }
        Action::List => {
            for webhook in webhooks::list(&state)? {
                say(&line(&webhook))?;
            }
            Ok(())
        }
    }
}

fn show(code: &str, secret: &str) -> Result<(), CommandError> {
    say(&format!(
        "{secret}\n\nThis is the secret of webhook {code}, shown this once. Its receiver checks \
         the header webhook-signature with it, as the specification Standard Webhooks says."
    ))
}

fn line(webhook: &Webhook) -> String {
    let Webhook { code, asked: Asked { url, kinds, active }, signed, etag: _ } = webhook;
    let kinds: Vec<_> = kinds.iter().map(|kind| kind.word()).collect();
    let state = match (active, signed) {
        (false, _) => "rests",
        (true, false) => "has no secret",
        (true, true) => "tells",
    };
    format!("{code}  {state}  {url}  {}", kinds.join(","))
}
