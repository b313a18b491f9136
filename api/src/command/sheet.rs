//! Prints a sheet with no server running: the way out at 04:00.

use super::{CommandError, StorageArgs, say};
use crate::{
    clock::Clock,
    document::parse_date,
    messages::Words,
    service::{
        drops,
        plan::{self, Horizon, Morning},
        prints::{self, PrintRow},
    },
    sheets,
    state::State,
    wire::{
        bake_sheet::bake_sheet, bench_sheet::bench_sheet, changes, day_board::day_board,
        drop_sheet::drop_sheet, fridge::fridge, mix_sheet::mix_sheet, pick_list::pick_list,
        prep_sheet::prep_sheet, requirements::requirements, schedule::schedule,
        shortages::shortages, weigh_out::weigh_out,
    },
};
use clap::{Args, ValueEnum};
use domain::plan::mixes::Temperatures;
use jiff::civil::Date;
use maud::Markup;
use paper::Size;
use serde::Serialize;
use std::io::{self, Write as _};

/// How a page links to its style on a server.
const STYLE_LINK: &str = r#"<link rel="stylesheet" href="/assets/sheet.css">"#;

/// Which sheet, of which date, how.
#[derive(Debug, Args)]
pub(super) struct SheetArgs {
    /// Which sheet
    name: SheetName,
    /// Local date: of work for most, of sale for drop-sheet, requirements and schedule; for
    /// shortages the last service date looked at
    #[arg(long, value_name = "YEAR-MONTH-DAY", value_parser = date)]
    date: Date,
    /// How it is written; requirements are JSON only
    #[arg(long, default_value = "html")]
    format: SheetFormat,
    #[command(flatten)]
    storage: StorageArgs,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum SheetName {
    /// What is weighed on a work date
    WeighOut,
    /// What is fetched on a work date
    PickList,
    /// What dough and levain is in the house on a work date, and what is fed
    Fridge,
    /// What is made ready beside the doughs on a work date
    PrepSheet,
    /// What is mixed on a work date
    MixSheet,
    /// What is divided and shaped on a work date
    BenchSheet,
    /// What is baked on a work date
    BakeSheet,
    /// What the production lead looks at on a work date
    DayBoard,
    /// What runs short up to a service date
    Shortages,
    /// What leaves the house for a service date
    DropSheet,
    /// When every step for a service date happens
    Schedule,
    /// What a service date needs
    Requirements,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum SheetFormat {
    /// A page that prints on A4
    Html,
    /// The same as a file for a printer
    Pdf,
    /// The same as JSON
    Json,
}

/// Prints the sheet.
pub(super) fn sheet(args: SheetArgs) -> Result<(), CommandError> {
    let SheetArgs { name, date, format, storage } = args;
    let config = storage.without_server()?;
    let state = State::open(&config, Clock::System)?;
    let horizon = match name {
        SheetName::WeighOut
        | SheetName::PickList
        | SheetName::PrepSheet
        | SheetName::MixSheet
        | SheetName::BenchSheet
        | SheetName::BakeSheet
        | SheetName::DayBoard
        | SheetName::Fridge => Horizon::WorkDate(date),
        SheetName::Shortages => Horizon::Until(date),
        SheetName::Requirements | SheetName::Schedule | SheetName::DropSheet => {
            Horizon::ServiceDate(date)
        }
    };
    let morning = plan::load(&state, horizon)?;
    let bytes = printed(&state, &morning, (name, date, format))?;
    match format {
        SheetFormat::Pdf => Ok(io::stdout().lock().write_all(&bytes)?),
        SheetFormat::Html | SheetFormat::Json => say(&String::from_utf8_lossy(&bytes)),
    }
}

/// A sheet of a date as the bytes of its file.
pub(super) fn printed(
    state: &State,
    morning: &Morning,
    (name, date, format): (SheetName, Date, SheetFormat),
) -> Result<Vec<u8>, CommandError> {
    let format = (format, Words { language: state.language }, state.paper);
    let keep = |sheet, lines: &[PrintRow]| {
        prints::kept(state, (date, sheet, morning.plan_revision), lines)
    };
    match name {
        SheetName::WeighOut => {
            let mut view = weigh_out(morning, date).map_err(plan::refused)?;
            view.notes.extend(keep(changes::WEIGH_OUT, &changes::of_weigh_out(&view)));
            write(&view, format, Some(&sheets::weigh_out::draw))
        }
        SheetName::PickList => {
            let mut view = pick_list(morning, date).map_err(plan::refused)?;
            view.notes.extend(keep(changes::PICK_LIST, &changes::of_pick_list(&view)));
            write(&view, format, Some(&sheets::pick_list::draw))
        }
        SheetName::Fridge => {
            let view = fridge(morning, date).map_err(plan::refused)?;
            write(&view, format, Some(&sheets::fridge::draw))
        }
        SheetName::MixSheet => {
            let view = mix_sheet(morning, date, Temperatures::default()).map_err(plan::refused)?;
            write(&view, format, Some(&sheets::mix_sheet::draw))
        }
        SheetName::PrepSheet => {
            write(&prep_sheet(morning, date)?, format, Some(&sheets::prep_sheet::draw))
        }
        SheetName::DropSheet => {
            let view = drop_sheet(morning, date, &drops::cut_lines(state, date)?)?;
            write(&view, format, Some(&sheets::drop_sheet::draw))
        }
        SheetName::BenchSheet => {
            let view = bench_sheet(morning, date).map_err(plan::refused)?;
            write(&view, format, Some(&sheets::bench_sheet::draw))
        }
        SheetName::DayBoard => {
            let view = day_board(morning, date)?;
            write(&view, format, Some(&sheets::day_board::draw))
        }
        SheetName::BakeSheet => {
            let view = bake_sheet(morning, date).map_err(plan::refused)?;
            write(&view, format, Some(&sheets::bake_sheet::draw))
        }
        SheetName::Shortages => {
            let view = shortages(morning).map_err(plan::refused)?;
            write(&view, format, Some(&sheets::shortages::draw))
        }
        SheetName::Schedule => {
            write(&schedule(morning, date), format, Some(&sheets::schedule::draw))
        }
        SheetName::Requirements => {
            let view = requirements(morning, date).map_err(plan::refused)?;
            write(&view, format, None)
        }
    }
}

/// Draws a sheet as HTML.
type Draw<'a, V> = &'a dyn Fn(Words, &V) -> Markup;

fn write<V: Serialize>(
    view: &V,
    (format, words, size): (SheetFormat, Words, Size),
    draw: Option<Draw<'_, V>>,
) -> Result<Vec<u8>, CommandError> {
    match (format, draw) {
        (SheetFormat::Html, Some(draw)) => {
            Ok(with_style(&draw(words, view).into_string()).into_bytes())
        }
        (SheetFormat::Pdf, Some(draw)) => {
            let mut file = Vec::new();
            sheets::pdf(&draw(words, view).into_string(), size, &mut file)?;
            Ok(file)
        }
        (SheetFormat::Html | SheetFormat::Pdf, None) => {
            let text = "this sheet is not printed on paper: ask for --format json";
            Err(CommandError::Usage(text.to_owned()))
        }
        (SheetFormat::Json, _) => Ok(serde_json::to_vec_pretty(view)?),
    }
}

/// A page that needs no server: the style sheet that it links to stands inside it.
fn with_style(page: &str) -> String {
    page.replacen(STYLE_LINK, &format!("<style>{}</style>", sheets::STYLE), 1)
}

fn date(text: &str) -> Result<Date, String> {
    parse_date(text)
        .ok_or_else(|| "write year-month-day of a day that exists, such as 2026-06-12".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::command::demo::Demo;

    #[test]
    fn every_printed_sheet_carries_its_style_and_asks_no_server_for_it() {
        let (state, _folder) = Demo::open().expect("the demo bakery loads").into_parts();
        let date: Date = "2026-06-11".parse().expect("a date");
        let morning = plan::load(&state, Horizon::WorkDate(date)).expect("a plan");
        let names =
            [SheetName::WeighOut, SheetName::PickList, SheetName::Fridge, SheetName::Shortages];
        for name in names {
            let page = printed(&state, &morning, (name, date, SheetFormat::Html));
            let page = String::from_utf8(page.expect("a page")).expect("UTF-8");
            assert!(page.contains("<style>"), "{name:?}");
            assert!(!page.contains("rel=\"stylesheet\""), "{name:?}");
        }
        let json_only =
            printed(&state, &morning, (SheetName::Requirements, date, SheetFormat::Html));
        assert!(matches!(json_only, Err(CommandError::Usage(_))));
    }
}
