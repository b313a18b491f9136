//! Whole copies of the database: made while a server runs, proved before they count, and put
//! back into an empty place.
//!
//! A copy is an embedded database in one file, from whichever database it comes: `--data` of
//! any command can look at it, and it goes into either.

use super::{CommandError, StorageArgs, say};
use crate::{
    clock::Clock,
    config::{Config, Storage},
    service::ledger,
    state::State,
    store::{backup, database_file},
};
use clap::Args;
use std::{
    ffi::OsString,
    fs::{self, File},
    io,
    path::{Path, PathBuf},
};

/// What to copy, and where to.
#[derive(Debug, Args)]
pub(super) struct BackupArgs {
    /// The new file; one that is there is never overwritten
    #[arg(value_name = "FILE")]
    file: PathBuf,
    #[command(flatten)]
    storage: StorageArgs,
}

/// Which copy to put back, and where to.
#[derive(Debug, Args)]
pub(super) struct RestoreArgs {
    /// A file that `backup` wrote
    #[arg(value_name = "FILE")]
    file: PathBuf,
    #[command(flatten)]
    storage: StorageArgs,
}

/// Copies the database into a new file and proves the copy.
pub(super) fn backup(args: BackupArgs) -> Result<(), CommandError> {
    let BackupArgs { file, storage } = args;
    let config = storage.without_server()?;
    refuse_if_there(&file)?;
    let aside = Aside::beside(&file)?;
    backup::copy_out(&config.storage, &aside.folder)?;
    let copy = Config { storage: Storage::Embedded(aside.folder.clone()), ..config };
    let proved = prove(&copy)?;
    put(&aside, &file)?;
    say(&format!("{} holds {proved}", file.display()))
}

/// Puts a copy into an empty database and proves it there.
pub(super) fn restore(args: RestoreArgs) -> Result<(), CommandError> {
    let RestoreArgs { file, storage } = args;
    let config = storage.without_server()?;
    let place = match &config.storage {
        Storage::Embedded(folder) => {
            fs::create_dir_all(folder)?;
            Some(database_file(folder))
        }
        Storage::Postgres(_) => None,
    };
    if let Some(place) = &place {
        refuse_if_there(place)?;
    }
    let aside = Aside::beside(place.as_deref().unwrap_or(&file))?;
    copy(&file, &database_file(&aside.folder))?;
    backup::recognise(&aside.folder)?;
    // The copy is brought up to date and proved before anything else is touched.
    let copied = Config { storage: Storage::Embedded(aside.folder.clone()), ..config.clone() };
    let proved = prove(&copied)?;
    match &place {
        Some(place) => put(&aside, place)?,
        None => {
            backup::copy_in(&aside.folder, &config.storage)?;
            prove(&config)?;
        }
    }
    say(&format!("restored {proved}"))
}

/// Proves every shop of a database; says what it holds.
fn prove(config: &Config) -> Result<String, CommandError> {
    // Opening it brings its schema up to date.
    drop(State::open(config, Clock::System)?);
    let (mut entries, mut found) = (0, 0);
    let sites = backup::sites(&config.storage)?;
    for site in &sites {
        let state = State::open(&Config { site: site.clone(), ..config.clone() }, Clock::System)?;
        let checked = state.store.read(|tx| ledger::check(&state, tx))?;
        entries += checked.entries;
        found += checked.findings.len();
        for finding in &checked.findings {
            say(&format!("FOUND {site}: {}: {}: {}", finding.kind, finding.about, finding.detail))?;
        }
    }
    if found > 0 {
        return Err(CommandError::Found(found));
    }
    Ok(format!("{} shop(s), {entries} entries of the ledger: all proved", sites.len()))
}

fn refuse_if_there(file: &Path) -> Result<(), CommandError> {
    if fs::symlink_metadata(file).is_ok() {
        let detail = format!("{} is there already: nothing is overwritten", file.display());
        return Err(CommandError::Usage(detail));
    }
    Ok(())
}

fn copy(file: &Path, into: &Path) -> Result<(), CommandError> {
    let copied = fs::copy(file, into);
    copied.map(drop).map_err(|source| CommandError::Read { path: file.to_owned(), source })
}

/// A folder beside a file, in which it is made; it goes when it is dropped.
struct Aside {
    folder: PathBuf,
}

impl Aside {
    fn beside(file: &Path) -> Result<Self, CommandError> {
        let name = file.file_name().map(OsString::from).unwrap_or_default();
        let mut hidden = OsString::from(".");
        hidden.push(name);
        hidden.push(format!(".{}", std::process::id()));
        let folder = file.with_file_name(hidden);
        fs::create_dir(&folder)?;
        Ok(Self { folder })
    }
}

impl Drop for Aside {
    fn drop(&mut self) {
        // What stays behind is hidden and harms nobody.
        let _ = fs::remove_dir_all(&self.folder);
    }
}

/// Moves what was made into its place whole, on the disk, and over nothing.
fn put(aside: &Aside, place: &Path) -> Result<(), CommandError> {
    backup::settle(&aside.folder)?;
    let made = database_file(&aside.folder);
    File::open(&made)?.sync_all()?;
    match fs::hard_link(&made, place) {
        Ok(()) => {}
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => refuse_if_there(place)?,
        // Some disks have no second names; nobody else is expected to make this file now.
        Err(_) => {
            refuse_if_there(place)?;
            fs::rename(&made, place)?;
        }
    }
    let folder = place.parent().filter(|folder| !folder.as_os_str().is_empty());
    File::open(folder.unwrap_or(Path::new(".")))?.sync_all()?;
    Ok(())
}
