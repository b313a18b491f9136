//! A plan after orders that came since it was made.
//!
//! Every version of an order makes one plan revision. If versions made all revisions since,
//! nothing else changed, and only what these orders reach is planned anew.

use super::{Morning, refused};
use crate::{
    service::{
        Refusal,
        book::{self, AskingOrder},
        loads::Load,
        orders::OrderState,
        supplier_orders::OverdueOrder,
    },
    store::{
        StoreError, Tx,
        orders::{self, HeldLineRow, OrderVersionRow},
    },
};
use domain::{
    bakery::Bakery,
    book::Book,
    order::{OrderChange, OrderLine},
    plan::{Plan, PlanInput, replan::replan},
};
use jiff::civil::Date;
use std::{collections::BTreeSet, sync::Arc};

/// Revisions behind which all is read anew.
const REVISIONS_MAX: i64 = 32;

/// The morning at a later revision; none if something else than orders changed since.
///
/// # Errors
/// [`Refusal`]
pub(super) fn orders(
    (tx, site): (&mut Tx, &str),
    before: Arc<Morning>,
    revision: i64,
) -> Result<Option<Morning>, Refusal> {
    let Some(since) = since((tx, site), &before, revision)? else { return Ok(None) };
    let (today, now, until) = (before.today(), before.now, before.until);
    let Standing { bakery, mut book, plan, asking, loads, overdue } = Standing::of(before);
    book.change(&since.lines);
    if since.may_end_a_date {
        book.service_dates = book::service_dates(tx, site, today)?;
        book.service_dates.extend(book.ahead.iter().map(|line| line.service_date));
    } else {
        book.service_dates.extend(&since.dates);
    }
    book.service_dates.sort_unstable();
    book.service_dates.dedup();
    let found = replan(&bakery, (&book, plan), &since.lines, PlanInput { now, until });
    let plan = found.map_err(refused)?.plan;
    let asking = since.asking(asking);
    let read = (bakery, book, revision);
    Ok(Some(Morning { asking, loads, overdue, ..Morning::of(read, plan, (now, until)) }))
}

/// What a later morning takes over.
struct Standing {
    bakery: Arc<Bakery>,
    book: Book,
    plan: Plan,
    asking: Vec<AskingOrder>,
    loads: Vec<Load>,
    overdue: Vec<OverdueOrder>,
}

impl Standing {
    /// The parts of a morning, or copies of them if somebody else holds it too.
    fn of(before: Arc<Morning>) -> Self {
        match Arc::try_unwrap(before) {
            Ok(Morning { bakery, book, plan, asking, loads, overdue, .. }) => {
                Self { bakery, book, plan, asking, loads, overdue }
            }
            Err(held) => Self {
                bakery: Arc::clone(&held.bakery),
                book: held.book.clone(),
                plan: held.plan.clone(),
                asking: held.asking.clone(),
                loads: held.loads.clone(),
                overdue: held.overdue.clone(),
            },
        }
    }
}

/// What orders changed.
#[derive(Default)]
struct Since {
    /// Lines that came and went.
    lines: OrderChange,
    /// The orders.
    orders: BTreeSet<String>,
    /// Those of them that a person is to settle.
    asking: Vec<AskingOrder>,
    /// Service dates that have one of them now.
    dates: Vec<Date>,
    /// Whether one of them may have been the last of a date.
    may_end_a_date: bool,
}

impl Since {
    /// Notes what a changed order was and is, apart from its lines.
    fn note(
        &mut self,
        (was, is): (Option<&OrderVersionRow>, Option<&OrderVersionRow>),
        today: Date,
    ) -> Result<(), StoreError> {
        let asks =
            |version: &&OrderVersionRow| !orders::WITHOUT_DATE.contains(&version.state.as_str());
        let date = |version: &OrderVersionRow| version.service_date.clone();
        let (had, has) = (was.filter(asks).and_then(date), is.filter(asks).and_then(date));
        self.may_end_a_date |= had.is_some() && had != has;
        if let Some(date) = has.map(|date| book::date(&date)).transpose()?
            && date >= today
        {
            self.dates.push(date);
        }
        if let Some(version) = is
            && let Some(one) = book::asking(version)?
            && one.service_date >= today
        {
            self.asking.push(one);
        }
        Ok(())
    }

    /// All orders that a person is to settle now.
    fn asking(self, before: Vec<AskingOrder>) -> Vec<AskingOrder> {
        let others = before.into_iter().filter(|one| !self.orders.contains(&one.order_ref));
        let mut all: Vec<AskingOrder> = others.chain(self.asking).collect();
        all.sort_by(AskingOrder::by_state_and_date);
        all
    }
}

/// What happened since a plan; none if not only orders made the revisions since.
fn since(
    (tx, site): (&mut Tx, &str),
    before: &Morning,
    revision: i64,
) -> Result<Option<Since>, StoreError> {
    let count = revision - before.plan_revision;
    // What a person cut is taken off the lines of a book before anybody sees them, and an
    // order may settle what a standing one asks.
    let standing = !before.bakery.lists().standing_orders.is_empty();
    let decided = !before.book.caps.is_empty()
        || !before.book.sign_offs.is_empty()
        || !before.book.lapsed.is_empty();
    if count > REVISIONS_MAX || standing || decided {
        return Ok(None);
    }
    let made = orders::versions_between(tx, site, before.plan_revision, revision)?;
    if i64::try_from(made.len()) != Ok(count) {
        return Ok(None);
    }
    let changed: BTreeSet<String> = made.into_iter().map(|version| version.order_ref).collect();
    let mut since = Since { orders: changed.clone(), ..Since::default() };
    for order_ref in changed {
        let Some(order) = orders::find(tx, site, &order_ref)? else { continue };
        let versions = orders::versions(tx, site, &order_ref)?;
        // What was refused whole holds nothing, and leaves the version that came before it.
        let held = |version: &&OrderVersionRow| {
            version.plan_revision <= before.plan_revision
                && version.state != OrderState::Refused.word()
        };
        let was = versions.iter().filter(held).max_by_key(|version| version.plan_revision);
        let is = versions.iter().find(|version| version.version == order.version);
        let today = before.today();
        since.lines.gone.extend(lines((tx, site), was, &order.taken_at, today)?);
        since.lines.come.extend(lines((tx, site), is, &order.taken_at, today)?);
        since.note((was, is), today)?;
    }
    Ok(Some(since))
}

/// The lines of a version as a book holds them: from a date on, and of more than nothing.
fn lines(
    (tx, site): (&mut Tx, &str),
    version: Option<&OrderVersionRow>,
    taken_at: &str,
    from: Date,
) -> Result<Vec<OrderLine>, StoreError> {
    let Some(version) = version else { return Ok(Vec::new()) };
    let rows = orders::lines_of(tx, site, &version.order_ref, version.version)?;
    let mut lines = Vec::with_capacity(rows.len());
    for row in rows.into_iter().filter(|row| row.quantity_taken > 0) {
        lines.push(book::order_line(HeldLineRow {
            order_ref: version.order_ref.clone(),
            customer: version.customer.clone(),
            service_date: version.service_date.clone(),
            drop_time: version.drop_time.clone(),
            product: row.product,
            quantity_taken: row.quantity_taken,
            taken_at: taken_at.to_owned(),
            counter_par: version.counter_par.clone(),
        })?);
    }
    lines.retain(|line| line.service_date >= from);
    Ok(lines)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::service::{
        orders::{
            Asked, Desk, Judging, cancel,
            tests::{House, SITE, order},
        },
        plan::{Horizon, read},
    };
    use jiff::Timestamp;

    enum Step<'a> {
        Order(&'a str, i64, Date, &'a [(&'a str, &'a str)]),
        Cancel(&'a str, i64),
    }

    fn take(house: &mut House, now: Timestamp, step: &Step<'_>) {
        match *step {
            Step::Order(order_ref, version, service_date, lines) => {
                let asked = order(version, lines);
                let asked = Asked { order_ref: order_ref.to_owned(), service_date, ..asked };
                house.take_at(now, &asked);
            }
            Step::Cancel(order_ref, version) => {
                let mut desk = Desk::new(Arc::clone(&house.bakery), now, Judging::AsAsked);
                cancel(&mut house.tx, SITE, &mut desk, order_ref, version).expect("called off");
            }
        }
    }

    /// All of a morning that orders can change.
    fn changing(morning: &Morning) -> (Vec<String>, Vec<Date>, &Plan, &[AskingOrder]) {
        let mut orders: Vec<_> = morning.book.orders.iter().map(|o| format!("{o:?}")).collect();
        orders.sort_unstable();
        let mut dates = morning.book.service_dates.clone();
        dates.sort_unstable();
        dates.dedup();
        (orders, dates, &morning.plan, &morning.asking)
    }

    #[test]
    fn a_morning_that_is_carried_on_is_the_one_that_is_read_anew() {
        let day = |day| Date::constant(2026, 6, day);
        let mut house = House::new();
        let loaves = order(1, &[("country-large", "6")]);
        let cutoff = house.take(&loaves).0.held.cutoff.expect("a cutoff");
        // Late for Saturday, in time for Tuesday.
        let now = cutoff.checked_add(jiff::Span::new().seconds(1)).expect("an instant");
        let steps = [
            Step::Order("a", 1, day(16), &[("sugar-bun", "12")]),
            Step::Order("b", 1, day(13), &[("country-large", "2")]),
            Step::Order("c", 1, day(16), &[("sugar-bun", "3"), ("croissant", "5")]),
            Step::Order("a", 2, day(17), &[("sugar-bun", "9")]),
            Step::Order("c", 2, day(16), &[("sugar-bun", "0")]),
            Step::Order("d", 1, day(13), &[("country-large", "1")]),
            Step::Order("b", 2, day(16), &[("country-large", "2")]),
            Step::Cancel("c", 3),
            Step::Cancel("a", 3),
            Step::Order(&loaves.order_ref, 2, day(13), &[("country-large", "7")]),
            Step::Order("a", 4, day(13), &[("no-such-bun", "1")]),
        ];
        let whole = |house: &mut House| {
            read((&mut house.tx, SITE), &house.bakery, now, Horizon::Usual).expect("a morning")
        };
        let mut carried = whole(&mut house);
        for (number, step) in steps.iter().enumerate() {
            take(&mut house, now, step);
            let anew = whole(&mut house);
            let revision = house.revision();
            let next = orders((&mut house.tx, SITE), Arc::new(carried), revision);
            carried = next.expect("a morning").expect("only orders changed");
            assert_eq!(changing(&carried), changing(&anew), "after step {number}");
        }
        assert!(!carried.asking.is_empty(), "an order late for Saturday asks");
    }
}
