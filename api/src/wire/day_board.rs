//! The day board of a work date: for the production lead.

mod exceptions;
mod line;
mod timeline;

pub use exceptions::{BoardLeverView, ExceptionView};
pub use line::{BoardLineView, BoardPiecesView, HeldUpView, LoadStateView};
pub use timeline::{BarView, StationView};

use super::{amount::instant, findings, shortages};
use crate::{
    messages::Sentence,
    service::{
        Refusal,
        plan::{Morning, refused},
    },
};
use domain::plan::board::board;
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeSet;
use utoipa::ToSchema;

/// One local date as the production lead looks at it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DayBoardView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The local date.
    #[schema(example = "2026-06-11")]
    pub work_date: String,
    /// The service dates that it works for.
    pub service_dates: Vec<String>,
    /// The bakery's name.
    pub bakery: String,
    /// What a person should know, in words.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// What needs a person, by the latest moment at which somebody can act.
    pub exceptions: Vec<ExceptionView>,
    /// What is made on the date, by its start.
    pub lines: Vec<BoardLineView>,
    /// The day station by station.
    pub stations: Vec<StationView>,
    /// Minutes of the date that the stations cover: first and last, counted from its midnight
    /// as they elapse.
    pub span_minutes: [i64; 2],
    /// Full hours of the date: elapsed minute, and the hour on the wall.
    pub hours: Vec<(i64, String)>,
}

/// Projects a plan to the board of a local date.
///
/// # Errors
/// [`Refusal`] if a number or date leaves its bounds.
pub fn day_board(morning: &Morning, work_date: Date) -> Result<DayBoardView, Refusal> {
    let bakery = &morning.bakery;
    let found = board(bakery, &morning.book, &morning.plan, work_date).map_err(refused)?;
    let short = shortages::shortages(morning).map_err(refused)?;
    let lines = found.lines.iter().map(|one| line::line(morning, one));
    let lines: Vec<BoardLineView> = lines.collect::<Result<_, _>>().map_err(refused)?;
    let service_dates: BTreeSet<String> =
        lines.iter().map(|line| line.service_date.clone()).collect();
    let (stations, span) = timeline::stations(morning, &found);
    Ok(DayBoardView {
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, morning.now),
        work_date: work_date.to_string(),
        service_dates: service_dates.into_iter().collect(),
        bakery: bakery.site().name.clone(),
        notes: findings::of_board(morning, work_date),
        exceptions: exceptions::exceptions(morning, work_date, &short)?,
        lines,
        hours: timeline::hours(morning, &found, span),
        stations,
        span_minutes: [span.0, span.1],
    })
}

/// What needs a person on some work dates, each thing once.
///
/// # Errors
/// [`Refusal`] if a number or date leaves its bounds.
pub fn exceptions_of(morning: &Morning, dates: &[Date]) -> Result<Vec<ExceptionView>, Refusal> {
    let short = shortages::shortages(morning).map_err(refused)?;
    let mut found: Vec<ExceptionView> = Vec::new();
    for date in dates {
        let more = exceptions::exceptions(morning, *date, &short)?;
        // What is short tomorrow and must be ordered today stands on both boards.
        let known: Vec<Sentence> = found.iter().map(|one| one.what.clone()).collect();
        found.extend(more.into_iter().filter(|one| !known.contains(&one.what)));
    }
    Ok(found)
}
