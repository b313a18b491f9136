//! A plan after orders that came since it was made.
//!
//! Every version of an order makes one plan revision. If versions made all revisions since,
//! nothing else changed, and only what these orders reach is planned anew.

use super::{Morning, refused};
use crate::{
    service::{Refusal, book, orders::OrderState},
    store::{
        StoreError, Tx,
        orders::{self, HeldLineRow, OrderVersionRow},
    },
};
use domain::{
    order::{OrderChange, OrderLine},
    plan::{PlanInput, replan::replan},
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
    before: &Morning,
    revision: i64,
) -> Result<Option<Morning>, Refusal> {
    let Some(change) = change((tx, site), before, revision)? else { return Ok(None) };
    let mut book = before.book.clone();
    book.change(&change);
    book.service_dates = book::service_dates(tx, site, before.today())?;
    book.service_dates.extend(book.ahead.iter().map(|line| line.service_date));
    let input = PlanInput { now: before.now, until: before.until };
    let found = replan(&before.bakery, (&book, before.plan.clone()), &change, input);
    let plan = found.map_err(refused)?.plan;
    let read = (Arc::clone(&before.bakery), book, revision);
    Ok(Some(Morning {
        asking: book::asking_orders(tx, site, before.today())?,
        loads: before.loads.clone(),
        overdue: before.overdue.clone(),
        ..Morning::of(read, plan, (before.now, before.until))
    }))
}

/// Lines that came and went; none if not only orders made the revisions since.
fn change(
    (tx, site): (&mut Tx, &str),
    before: &Morning,
    revision: i64,
) -> Result<Option<OrderChange>, StoreError> {
    let since = revision - before.plan_revision;
    // What a person cut is taken off the lines of a book before anybody sees them, and an
    // order may settle what a standing one asks.
    let standing = !before.bakery.lists().standing_orders.is_empty();
    let decided = !before.book.caps.is_empty()
        || !before.book.sign_offs.is_empty()
        || !before.book.lapsed.is_empty();
    if since > REVISIONS_MAX || standing || decided {
        return Ok(None);
    }
    let made = orders::versions_between(tx, site, before.plan_revision, revision)?;
    if i64::try_from(made.len()) != Ok(since) {
        return Ok(None);
    }
    let changed: BTreeSet<String> = made.into_iter().map(|version| version.order_ref).collect();
    let mut change = OrderChange::default();
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
        change.gone.extend(lines((tx, site), was, &order.taken_at, today)?);
        change.come.extend(lines((tx, site), is, &order.taken_at, today)?);
    }
    Ok(Some(change))
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
