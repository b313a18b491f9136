//! The demo bakery: invented, loaded into a fresh database, its clock held still.

use super::{CommandError, load::load_text};
use crate::{
    clock::{self, Clock},
    config::{Config, Storage},
    state::State,
};
use jiff::Timestamp;
use std::{net::SocketAddr, path::PathBuf};

/// The files of the demo bakery, in the order in which they are loaded.
const FILES: [&str; 3] = [
    include_str!("../../../demo-data/bakery.json"),
    include_str!("../../../demo-data/stock.json"),
    include_str!("../../../demo-data/orders.json"),
];

/// Wednesday 10 June 2026, 09:30 in Amsterdam, in seconds since 1970.
const NOW_SECONDS: i64 = 1_781_076_600;

/// A demo and the folder that goes with it when it ends.
pub(crate) struct Demo {
    /// The open database.
    pub(super) state: State,
    folder: Folder,
}

/// A folder that is removed when it is dropped.
pub(crate) struct Folder(PathBuf);

impl Drop for Folder {
    fn drop(&mut self) {
        // What cannot be removed is left to the system's cleaning of such folders.
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

impl Demo {
    /// Makes a fresh database and loads the demo bakery, its stock and its orders.
    pub(crate) fn open() -> Result<Self, CommandError> {
        let name = format!("weighhouse-demo-{}", clock::new_id(Clock::System.now()));
        let folder = Folder(std::env::temp_dir().join(name));
        let config = Config {
            storage: Storage::Embedded(folder.0.clone()),
            ..Config::embedded(folder.0.clone())
        };
        let state = State::open(&config, Clock::Fixed(now()))?;
        for text in FILES {
            load_text(&state, text.as_bytes())?;
        }
        Ok(Self { state, folder })
    }

    /// The state, and what must outlive it.
    pub(crate) fn into_parts(self) -> (State, Folder) {
        let Self { state, folder } = self;
        (state, folder)
    }
}

/// The moment at which the demo stands.
fn now() -> Timestamp {
    Timestamp::constant(NOW_SECONDS, 0)
}

/// What to open first.
pub(super) fn greeting(address: SocketAddr) -> String {
    format!(
        "The demo bakery Alder Yard; its clock stands at Wednesday 10 June 2026, 09:30.\n\
         Open in a browser:\n  \
         http://{address}/v1/work-dates/2026-06-11/weigh-out   what is weighed tomorrow\n  \
         http://{address}/v1/work-dates/2026-06-11/pick-list   what is fetched for it\n  \
         http://{address}/v1/shortages                         what runs short\n  \
         http://{address}/docs                                 every call\n\
         Stop it with Ctrl-C; its data goes with it."
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_demo_loads_and_stands_at_its_moment() {
        // Source: the contract's part on the command line.
        let stated: Timestamp = "2026-06-10T09:30:00+02:00".parse().expect("an instant");
        assert_eq!(now(), stated);
        let demo = Demo::open().expect("the demo bakery loads");
        let again = load_text(&demo.state, FILES[1].as_bytes()).expect("loads again");
        assert!(again.starts_with("0 receipts taken"), "{again}");
    }
}
