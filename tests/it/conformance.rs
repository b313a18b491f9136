//! Whole bakeries computed by an independent model, compared figure by figure.
//!
//! Every pair in `tests/conformance` (or in the folder that `CONFORMANCE_DIR` names) is
//! loaded through the public API of a fresh server and asked for its answers. Nothing
//! here knows a case by its name. A section that is not compared yet is counted and
//! named; an unknown section or key is a failure.
//!
//! # Source
//! The pairs come from a model that shares no code with this project; their form is
//! described in `tests/conformance/README.md`.

mod aged_dough;
mod back_schedule;
mod batches;
mod cost;
mod count_me;
mod desk;
mod late_orders;
mod mirror;
mod pair;
mod pieces;
mod recalls;
mod refusal;
mod statements;
mod tally;
mod unscheduled;

use anyhow::{Context, Result, bail};
use std::{
    fmt::Write as _,
    fs,
    io::Write as _,
    path::{Path, PathBuf},
};
use tally::Tally;

/// The folder of pairs: this project's own copy, unless the environment names another.
fn folder() -> PathBuf {
    #[expect(
        clippy::disallowed_methods,
        reason = "the folder is given to the test, not to the service"
    )]
    let named = std::env::var_os("CONFORMANCE_DIR");
    match named {
        Some(folder) => folder.into(),
        None => Path::new(env!("CARGO_MANIFEST_DIR")).join("conformance"),
    }
}

/// The scenario files of a folder, by name.
fn scenarios(folder: &Path) -> Result<Vec<PathBuf>> {
    let entries = fs::read_dir(folder)
        .with_context(|| format!("no folder {}: set CONFORMANCE_DIR to one", folder.display()))?;
    let mut found = Vec::new();
    for entry in entries {
        let path = entry?.path();
        if path.to_string_lossy().ends_with(".scenario.json") {
            found.push(path);
        }
    }
    if found.is_empty() {
        bail!("{} holds no *.scenario.json: nothing was compared", folder.display());
    }
    // Numbered names in the order of their numbers.
    found.sort_by_key(|path| (path.as_os_str().len(), path.clone()));
    Ok(found)
}

#[test]
fn every_figure_of_every_pair_agrees() -> Result<()> {
    let mut report = String::new();
    let mut failed = Vec::new();
    let (mut pairs, mut totals) = (0, [0; 3]);
    for scenario in scenarios(&folder())? {
        let name = scenario.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let mut tally = Tally::default();
        if let Err(failure) = pair::compare(&scenario, &mut tally) {
            tally.fault(format!("{failure:#}"));
        }
        write!(report, "{name}\n{tally}")?;
        pairs += 1;
        for (total, figures) in totals.iter_mut().zip(tally.totals()) {
            *total += figures;
        }
        if tally.failed() {
            failed.push(name);
        }
    }
    let [compared, different, not_due] = totals;
    writeln!(
        report,
        "{pairs} pairs: {compared} figures compared, {different} different, {not_due} not due yet"
    )?;
    // Written past the capture of the test harness: the counts are the result.
    std::io::stdout().write_all(report.as_bytes())?;
    if failed.is_empty() {
        return Ok(());
    }
    bail!("{} of the pairs differ: {}", failed.len(), failed.join(", "))
}
