//! The folder of the morning: sheets as files, for when nothing else works at 04:00.
//!
//! After each change of the plan, and when the day turns, the sheets of today and the next
//! days are written as HTML and PDF. A file is moved into its place whole; its name says its
//! date and revision, and those of older revisions go once the new ones stand.

use super::sheet::{SheetFormat, SheetName, printed};
use crate::{
    service::{
        Refusal, bakery,
        plan::{self, Horizon, Morning},
    },
    state::State,
    store::sites,
};
use jiff::{ToSpan as _, civil::Date};
use std::{
    fs::{self, File},
    io::{self, Write as _},
    path::{Path, PathBuf},
    thread,
    time::Duration,
};

/// Days of which sheets are written, today first.
const DAYS: usize = 3;
/// How often is looked whether anything changed.
const LOOK: Duration = Duration::from_secs(20);
/// What hangs on the wall.
const SHEETS: [(SheetName, &str); 8] = [
    (SheetName::PickList, "pick-list"),
    (SheetName::WeighOut, "weigh-out"),
    (SheetName::PrepSheet, "prep-sheet"),
    (SheetName::MixSheet, "mix-sheet"),
    (SheetName::BenchSheet, "bench-sheet"),
    (SheetName::BakeSheet, "bake-sheet"),
    (SheetName::DayBoard, "day-board"),
    (SheetName::DropSheet, "drop-sheet"),
];
const FORMATS: [(SheetFormat, &str); 2] = [(SheetFormat::Html, "html"), (SheetFormat::Pdf, "pdf")];

/// Writes the folder now and after each change, as long as the process lives.
pub(super) fn keep(state: &State, folder: &Path) {
    let mut written: Option<(i64, Date)> = None;
    loop {
        match look(state, folder, written) {
            Ok(now) => written = now,
            // What failed is tried again: a full disk may be emptied.
            Err(error) => tracing::error!(%error, "the folder of the morning was not written"),
        }
        thread::sleep(LOOK);
    }
}

type Failure = Box<dyn std::error::Error>;

fn look(
    state: &State,
    folder: &Path,
    written: Option<(i64, Date)>,
) -> Result<Option<(i64, Date)>, Failure> {
    // Looked at often: neither of the two needs a plan.
    let found = state.store.read(|tx| -> Result<_, Refusal> {
        let zone = bakery::load(state, tx)?.site().time_zone.clone();
        Ok((sites::find(tx, &state.site)?.plan_revision, zone.to_datetime(state.now()).date()))
    });
    let (revision, today) = match found {
        Err(Refusal::NoBakery) => return Ok(written),
        found => found?,
    };
    if written == Some((revision, today)) {
        return Ok(written);
    }
    write(state, folder, today)?;
    // What was read before writing: what changed meanwhile is seen at the next look.
    Ok(Some((revision, today)))
}

/// Writes all sheets.
fn write(state: &State, folder: &Path, today: Date) -> Result<(), Failure> {
    fs::create_dir_all(folder)?;
    let mut names = Vec::new();
    for date in today.series(1.day()).take(DAYS) {
        let morning = plan::load(state, Horizon::WorkDate(date))?;
        names.append(&mut write_day(state, folder, &morning, date)?);
    }
    Ok(forget(folder, &names)?)
}

fn write_day(
    state: &State,
    folder: &Path,
    morning: &Morning,
    date: Date,
) -> Result<Vec<String>, Failure> {
    let mut names = Vec::new();
    for (sheet, word) in SHEETS {
        for (format, ending) in FORMATS {
            let bytes = printed(state, morning, (sheet, date, format))?;
            let name = format!("{date}_{word}_r{}.{ending}", morning.plan_revision);
            put(folder, &name, &bytes)?;
            names.push(name);
        }
    }
    Ok(names)
}

/// Puts a file in its place whole, or not at all.
fn put(folder: &Path, name: &str, bytes: &[u8]) -> io::Result<()> {
    let aside = folder.join(format!(".{name}.new"));
    // What a crash left, or a link that somebody else put there, is not written through.
    let _ = fs::remove_file(&aside);
    let mut file = File::create_new(&aside)?;
    file.write_all(bytes)?;
    file.sync_all()?;
    fs::rename(&aside, folder.join(name))
}

/// Removes our own files of older revisions and days; what others put there stays.
fn forget(folder: &Path, names: &[String]) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path: PathBuf = entry?.path();
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
        let name = name.unwrap_or_default();
        if is_ours(&name) && !names.contains(&name) {
            fs::remove_file(path)?;
        }
    }
    Ok(())
}

/// `2026-06-11_weigh-out_r48.pdf`
fn is_ours(name: &str) -> bool {
    let mut parts = name.splitn(3, '_');
    let (date, sheet, rest) = (parts.next(), parts.next(), parts.next());
    date.is_some_and(|date| date.parse::<Date>().is_ok())
        && sheet.is_some_and(|sheet| SHEETS.iter().any(|(_, word)| *word == sheet))
        && rest.and_then(|rest| rest.strip_prefix('r')).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::command::demo::Demo;

    #[test]
    fn the_folder_has_the_newest_sheets_and_leaves_what_is_not_ours() {
        let (state, kept) = Demo::open().expect("the demo bakery loads").into_parts();
        let folder = std::env::temp_dir().join(format!("weighhouse-folder-{}", std::process::id()));
        fs::create_dir_all(&folder).expect("a folder");
        for name in ["2026-06-10_weigh-out_r1.pdf", "notes.txt", "2026-06-10_photo_r1.pdf"] {
            fs::write(folder.join(name), "x").expect("a file");
        }
        let written = look(&state, &folder, None).expect("written");
        let (revision, today) = written.expect("a revision");
        assert_eq!(today.to_string(), "2026-06-10");
        let mut names: Vec<String> = fs::read_dir(&folder)
            .expect("a folder")
            .map(|entry| entry.expect("a file").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        assert_eq!(names.len(), 2 + DAYS * SHEETS.len() * FORMATS.len(), "{names:?}");
        assert!(names.contains(&"notes.txt".to_owned()));
        let pdf = fs::read(folder.join(format!("2026-06-11_weigh-out_r{revision}.pdf")));
        assert!(pdf.expect("the weigh-out").starts_with(b"%PDF-"));
        // Nothing changed: nothing is written.
        fs::remove_file(folder.join(format!("2026-06-11_weigh-out_r{revision}.pdf")))
            .expect("gone");
        assert_eq!(look(&state, &folder, written).expect("looked"), written);
        let count = fs::read_dir(&folder).expect("a folder").count();
        assert_eq!(count, names.len() - 1);
        fs::remove_dir_all(&folder).expect("cleaned");
        drop(kept);
    }
}
