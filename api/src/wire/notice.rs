//! The feed of what happened, as it is answered, streamed and posted.

use super::amount::{QuantityView, instant};
use crate::{
    notice::NoticeKind,
    page,
    service::notices::{Notice, Shortage},
};
use domain::quantity::Unit;
use jiff::tz::TimeZone;
use serde::Serialize;
use utoipa::ToSchema;

/// One thing that happened.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NoticeView {
    /// Its place in the order: send it as `after` for what came later.
    #[schema(example = "3432")]
    pub cursor: String,
    /// What kind of thing.
    pub kind: NoticeKind,
    /// When: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The plan revision that it made, or that it was seen in.
    #[schema(example = 42)]
    pub plan_revision: i64,
    /// The name of what it is about: an order, a lot, a load, an item, or the revision itself.
    #[schema(example = "till-2-000481")]
    pub about: String,
    /// Where to read that.
    #[schema(example = "/v1/orders/till-2-000481")]
    pub link: String,
    /// The same in plain words.
    pub words: String,
    /// What is lacking, if it tells of a shortage; else null.
    pub shortage: Option<NoticeShortageView>,
}

/// How much of an item the plan lacks.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NoticeShortageView {
    /// By how much; 0 once it is gone.
    pub short_by: QuantityView,
    /// The first moment that lacks it: RFC 3339 with the bakery's offset.
    pub runs_out_at: Option<String>,
    /// Until when it can be ordered; null if nobody delivers in time at all.
    pub order_by: Option<String>,
}

/// A part of the feed, in the order in which things were committed.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NoticesView {
    /// The oldest first.
    pub rows: Vec<NoticeView>,
    /// Send it as `after` the next time, also if there were no rows.
    #[schema(example = "3432")]
    pub after: String,
    /// Whether there is more already.
    pub more: bool,
}

impl NoticeView {
    /// A notice on a bakery's clock.
    #[must_use]
    pub fn new(zone: &TimeZone, notice: &Notice) -> Self {
        let Notice { number, kind, made_at, plan_revision, about, words, shortage } = notice;
        Self {
            cursor: page::cursor(&number.to_string()),
            kind: *kind,
            made_at: instant(zone, *made_at),
            plan_revision: *plan_revision,
            link: kind.link(about),
            about: about.clone(),
            words: words.clone(),
            shortage: shortage.as_ref().and_then(|shortage| short(zone, shortage)),
        }
    }
}

fn short(zone: &TimeZone, shortage: &Shortage) -> Option<NoticeShortageView> {
    let Shortage { short_micro, unit, runs_out, order_by } = shortage;
    let (unit, _) = Unit::parse(unit).ok()?;
    Some(NoticeShortageView {
        short_by: QuantityView::whole(*short_micro, unit),
        runs_out_at: runs_out.map(|at| instant(zone, at)),
        order_by: order_by.map(|at| instant(zone, at)),
    })
}

impl NoticesView {
    /// Notices with the number to go on after; `limit` of them were asked for.
    #[must_use]
    pub fn new(zone: &TimeZone, (notices, last): (&[Notice], i64), limit: i64) -> Self {
        Self {
            rows: notices.iter().map(|notice| NoticeView::new(zone, notice)).collect(),
            after: page::cursor(&last.to_string()),
            more: usize::try_from(limit).is_ok_and(|limit| notices.len() >= limit),
        }
    }
}
