//! Into the freezer once, and out of it; what is on hold waits as it is.

use super::Model;
use anyhow::{Result, ensure};
use serde_json::json;
use weighhouse_tests::{builders::Seed, client::Client};

impl Model {
    pub(super) fn freeze(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        let Some(at) = self.pick(seed) else { return Ok(()) };
        let lot = &mut self.lots[at];
        let path = format!("/v1/lots/{}/freeze", lot.id);
        let reply = client.post(&path, &json!({"who": "Imre"}))?;
        if lot.on_hold || lot.state != "released" {
            ensure!(reply.is_problem("wrong-state")?, "{lot:?}: {}", reply.text());
            let what = if lot.on_hold { "refused" } else { "second-freeze" };
            self.did(what, 0);
            return Ok(());
        }
        reply.success()?;
        lot.state = "frozen";
        self.did("freeze", 1);
        Ok(())
    }

    pub(super) fn thaw(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        // One that is frozen, if there is one: most lots are not.
        let frozen = self.lots.iter().position(|lot| lot.state == "frozen" && !lot.on_hold);
        let Some(at) = frozen.or_else(|| self.pick(seed)) else { return Ok(()) };
        let lot = &mut self.lots[at];
        let path = format!("/v1/lots/{}/thaw", lot.id);
        let reply = client.post(&path, &json!({"life": "P2D"}))?;
        if lot.on_hold || lot.state != "frozen" {
            ensure!(reply.is_problem("wrong-state")?, "{lot:?}: {}", reply.text());
            self.did("refused", 0);
            return Ok(());
        }
        reply.success()?;
        lot.state = "thawed";
        self.did("thaw", 1);
        Ok(())
    }
}
