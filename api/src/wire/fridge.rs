//! Feed and fridge: every dough, levain and kept piece now in the house, and the feeds to come.

use super::{
    amount::{QuantityView, instant},
    findings,
    made_lot::MadeLotView,
    piece_lot::PieceLotView,
    printed::{self, PrintedView},
    why::link,
};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    calendar,
    plan::{
        Batch,
        made_stock::{MadeLotError, made_lots, piece_lots},
        why::WhyOf,
    },
    quantity::Unit,
    weigh::exact,
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use serde::Serialize;
use utoipa::ToSchema;

/// Every made lot in the house with its age, and the feeds that keep levains alive.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FridgeView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The local date on which hands work.
    #[schema(example = "2026-06-10")]
    pub work_date: String,
    /// The bakery's name.
    pub bakery: String,
    /// What a person should know, in words.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Made lots, over-age ones first, then as they end.
    pub lots: Vec<MadeLotView>,
    /// Frozen, par-baked and day-old pieces, over-age ones first, then as they end.
    pub pieces: Vec<PieceLotView>,
    /// Feeds from that date on, by time.
    pub feeds: Vec<FeedView>,
}

/// A feed: it keeps a levain alive on a day without a build.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FeedView {
    /// Which levain.
    #[schema(example = "levain")]
    pub formula: String,
    /// What people call it.
    pub name: String,
    /// When it is fed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-14T02:00:00+02:00")]
    pub at: String,
    /// All of it.
    pub mass: QuantityView,
    /// Seed, flour and water.
    pub lines: Vec<FeedLineView>,
    /// The chain behind it.
    pub why: String,
}

/// One thing that goes into a feed.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FeedLineView {
    /// What is taken; its own kind is the seed.
    #[schema(example = "strong-white")]
    pub item: String,
    /// What people call it.
    pub name: String,
    /// Whether it is the seed.
    pub seed: bool,
    /// How much, exactly.
    pub exact: QuantityView,
    /// How much by the scale.
    pub weigh: QuantityView,
    /// The same as it stands on paper.
    pub printed: PrintedView,
}

/// Projects a plan to what lies in the fridge.
///
/// On today's sheet lots are judged now; on a later one at the first minute of its date.
///
/// # Errors
/// [`MadeLotError`]
pub fn fridge(morning: &Morning, work_date: Date) -> Result<FridgeView, MadeLotError> {
    let Morning { bakery, book, plan, .. } = morning;
    let zone = &bakery.site().time_zone;
    let begin = calendar::instant(zone, work_date, Time::midnight())?;
    let seen_at = begin.max(morning.now);
    let mut rows = made_lots(bakery, book, plan, seen_at, None)?;
    let last = |row: &domain::plan::made_stock::MadeLotRow| {
        row.window.and_then(|window| window.last).unwrap_or(Timestamp::MAX)
    };
    // What must not be used is read first.
    rows.sort_by_key(|row| (last(row) >= seen_at, last(row), row.item, row.lot));
    let mut pieces = piece_lots(bakery, book, plan, seen_at)?;
    let end = |last: Option<Timestamp>| last.unwrap_or(Timestamp::MAX);
    pieces.sort_by_key(|row| (end(row.last) >= seen_at, end(row.last), row.product, row.lot));
    let batches = plan.batches.iter().map(|batch| &**batch);
    let mut feeds: Vec<&Batch> =
        batches.filter(|batch| batch.feed && batch.made_at >= Some(begin)).collect();
    feeds.sort_by_key(|batch| (batch.made_at, batch.item));
    Ok(FridgeView {
        plan_revision: morning.plan_revision,
        made_at: instant(zone, morning.now),
        work_date: work_date.to_string(),
        bakery: bakery.site().name.clone(),
        notes: findings::of_plan(morning, work_date),
        lots: rows.iter().map(|row| MadeLotView::new(morning, row)).collect(),
        pieces: pieces.iter().map(|row| PieceLotView::new(morning, row)).collect(),
        feeds: feeds.into_iter().map(|batch| feed(morning, batch)).collect::<Result<_, _>>()?,
    })
}

fn feed(morning: &Morning, batch: &Batch) -> Result<FeedView, MadeLotError> {
    let bakery = &morning.bakery;
    let found = bakery.item(batch.item);
    let mut lines = Vec::new();
    for group in &batch.groups {
        for (line, weighed) in morning.plan.lines_of(bakery, batch, group) {
            let unit = if line.flags.counted() { Unit::Each } else { Unit::Gram };
            let taken = bakery.item(line.item);
            lines.push(FeedLineView {
                item: taken.code.to_string(),
                name: taken.name.clone(),
                seed: line.flags.previous_batch() && line.item == batch.item,
                exact: QuantityView::new(exact(line, group.factor)?, unit),
                weigh: QuantityView::whole(weighed.micro, unit),
                printed: printed::line(bakery.scales(), *weighed),
            });
        }
    }
    Ok(FeedView {
        formula: found.code.to_string(),
        name: found.name.clone(),
        at: batch.made_at.map(|at| instant(&bakery.site().time_zone, at)).unwrap_or_default(),
        mass: QuantityView::mass(batch.split.mass),
        lines,
        why: link(bakery, WhyOf::Batch(batch.service_date, batch.item)),
    })
}
