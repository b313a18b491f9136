//! Finished pieces that are kept: frozen, baked in part, or of the day before.

use super::rows::{Lever, MadeLotError, MadeState, past_best_before, state};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{OutOfCalendar, add_days, add_minutes, instant, last_second},
    lot::{Lot, LotUse},
    plan::{
        Plan,
        day_old::{DayOldDraw, DayOldError, day_old},
        stock::lot_end,
    },
    product::MakeUp,
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};

/// How pieces are kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PieceKind {
    /// Baked, and in the freezer.
    Frozen,
    /// Baked in part: finished before they are sent.
    ParBaked,
    /// Of an earlier day: they only go into other products.
    DayOld,
    /// Baked on an earlier day, and still to be sold.
    Kept,
}

/// Kept pieces of one lot, seen at one instant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PieceLotRow {
    /// Position of the lot in the book.
    pub lot: u32,
    /// Position of the product.
    pub product: u32,
    /// How they are kept.
    pub kind: PieceKind,
    /// The instant at which they are judged.
    pub at: Timestamp,
    /// From when they may be used: thawed if they are taken out at that instant, or old enough
    /// to be finished; none if nobody knows.
    pub ready: Option<Timestamp>,
    /// Their last instant of use, if anything bounds it.
    pub last: Option<Timestamp>,
    /// Whether they may be used.
    pub state: MadeState,
    /// Service dates whose orders they cover, with pieces.
    pub covers: Vec<(Date, i64)>,
    /// Service dates and products that take them as goods of an earlier day.
    pub goes_into: Vec<(Date, u32)>,
    /// What can be done if they are not used as they were meant.
    pub levers: Vec<Lever>,
}

impl From<DayOldError> for MadeLotError {
    fn from(error: DayOldError) -> Self {
        match error {
            DayOldError::Overflow(overflow) => overflow.into(),
            DayOldError::OutOfCalendar(beyond) => beyond.into(),
        }
    }
}

/// Kept pieces in the house as listed in the book; those of the day itself are none.
///
/// # Errors
/// [`MadeLotError`]
pub fn piece_lots(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    at: Timestamp,
) -> Result<Vec<PieceLotRow>, MadeLotError> {
    let today = bakery.site().time_zone.to_datetime(at).date();
    let drawn = day_old(bakery, book, plan)?;
    let seen = Seen { bakery, plan, drawn: &drawn, at };
    let mut rows = Vec::new();
    for (position, lot) in (0_u32..).zip(&book.lots) {
        let Some(product) = bakery.index().product(lot.item.as_str()) else { continue };
        let kind = kind(bakery, lot);
        let of_the_day = kind == PieceKind::Kept && lot.baked == Some(today);
        if lot.balance_micro > 0 && !of_the_day {
            rows.push(seen.row((position, lot), product, kind)?);
        }
    }
    Ok(rows)
}

/// Kept pieces that are over their age where the orders of a service date would take them.
///
/// # Errors
/// [`MadeLotError`]
pub fn over_age_pieces(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    at: Timestamp,
    service_date: Date,
) -> Result<Vec<PieceLotRow>, MadeLotError> {
    let mut rows = piece_lots(bakery, book, plan, at)?;
    rows.retain(|row| {
        let pieces = plan.demand.pieces.iter();
        let asked = pieces.filter(|line| line.service_date == service_date);
        let mut asked = asked.filter(|line| line.asked() > 0 || line.taken() > 0);
        let mut drawn = plan.demand.stock_draws.iter();
        row.state == MadeState::Stop
            && (asked.any(|line| line.product == row.product)
                || drawn.any(|one| (one.service_date, one.product) == (service_date, row.product)))
    });
    Ok(rows)
}

fn kind(bakery: &Bakery, lot: &Lot) -> PieceKind {
    match lot.usage {
        LotUse::ParBaked => PieceKind::ParBaked,
        LotUse::Ingredient => PieceKind::DayOld,
        LotUse::Any if bakery.is_frozen(lot) || lot.thaw_started.is_some() => PieceKind::Frozen,
        LotUse::Any => PieceKind::Kept,
    }
}

struct Seen<'a> {
    bakery: &'a Bakery,
    plan: &'a Plan,
    drawn: &'a [DayOldDraw],
    at: Timestamp,
}

impl Seen<'_> {
    fn row(
        &self,
        (position, lot): (u32, &Lot),
        product: u32,
        kind: PieceKind,
    ) -> Result<PieceLotRow, MadeLotError> {
        let (ready, last) = self.window(lot, product, kind)?;
        let state = state(lot, (ready, last), self.at);
        let covered = self.plan.demand.finished.iter().filter(|draw| draw.lot == position);
        let drawn = self.drawn.iter().filter(|draw| draw.from.iter().any(|one| one.0 == position));
        let goes_into = drawn.map(|draw| (draw.service_date, draw.taken_by));
        Ok(PieceLotRow {
            lot: position,
            product,
            kind,
            at: self.at,
            ready,
            last,
            state,
            covers: covered.map(|draw| (draw.service_date, draw.pieces)).collect(),
            goes_into: goes_into.collect(),
            levers: self.levers(state, lot),
        })
    }

    /// From when and until when pieces may be used.
    fn window(
        &self,
        lot: &Lot,
        product: u32,
        kind: PieceKind,
    ) -> Result<(Option<Timestamp>, Option<Timestamp>), OutOfCalendar> {
        let product = self.bakery.product(product);
        let zone = &self.bakery.site().time_zone;
        let own = lot_end(self.bakery, lot)?;
        let baked = lot.baked.map(|baked| instant(zone, baked, Time::midnight())).transpose()?;
        match kind {
            PieceKind::Kept => Ok((Some(baked.unwrap_or(Timestamp::MIN)), own)),
            PieceKind::Frozen => {
                let out_at = lot.thaw_started.unwrap_or(self.at);
                Ok((Some(add_minutes(out_at, product.thaw_minutes)?), own))
            }
            PieceKind::ParBaked => {
                let age = product.par_baked.as_ref().and_then(|par_baked| par_baked.age);
                match (age, lot.made_at) {
                    (None, _) => Ok((Some(Timestamp::MIN), own)),
                    // An unknown age is never a good one.
                    (Some(_), None) => Ok((None, own)),
                    (Some((least, most)), Some(made_at)) => {
                        let end = add_minutes(made_at, most)?;
                        let last = own.map_or(end, |own| own.min(end));
                        Ok((Some(add_minutes(made_at, least)?), Some(last)))
                    }
                }
            }
            PieceKind::DayOld => {
                let end = self.taken_on(lot)?;
                let end = end.map(|date| last_second(zone, date)).transpose()?;
                Ok((baked, own.into_iter().chain(end).min()))
            }
        }
    }

    /// The last service date on which another product takes goods of a lot's bake date.
    fn taken_on(&self, lot: &Lot) -> Result<Option<Date>, OutOfCalendar> {
        let Some(baked) = lot.baked else { return Ok(None) };
        let lines = self.bakery.lists().products.iter().flat_map(|product| &product.make_up);
        let days = lines.filter_map(|line| match line {
            MakeUp::Product { product, day_offset, .. } if *product == lot.item => {
                Some(-i64::from(*day_offset))
            }
            _ => None,
        });
        days.max().map(|days| add_days(baked, days)).transpose()
    }

    fn levers(&self, state: MadeState, lot: &Lot) -> Vec<Lever> {
        match state {
            MadeState::Unknown => vec![Lever::SayWhenMade],
            MadeState::Stop => {
                let mut levers = Vec::new();
                if past_best_before(self.bakery, lot, self.at) {
                    levers.push(Lever::Accept);
                }
                levers.push(Lever::Waste);
                levers
            }
            _ => Vec::new(),
        }
    }
}
