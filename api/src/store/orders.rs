//! Orders, kept as versions.

use super::{
    StoreError, Tx,
    schema::{order_lines, order_versions, orders},
};
use diesel::prelude::*;

/// Which version of an order is held.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = orders, treat_none_as_default_value = false)]
pub struct OrderRow {
    /// The shop.
    pub site: String,
    /// The sender's name for it.
    pub order_ref: String,
    /// Our name for it: a UUID of version 7.
    pub order_id: String,
    /// The version that is held.
    pub version: i64,
    /// Its service date; none for a cancellation that came first.
    pub service_date: Option<String>,
    /// When it was first taken.
    pub taken_at: String,
}

/// One version of an order.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = order_versions, treat_none_as_default_value = false)]
pub struct OrderVersionRow {
    /// The shop.
    pub site: String,
    /// The sender's name for it.
    pub order_ref: String,
    /// The sender's number.
    pub version: i64,
    /// Who ordered; none for a cancellation that came first.
    pub customer: Option<String>,
    /// For when; none for a cancellation that came first.
    pub service_date: Option<String>,
    /// Local time of delivery or collection.
    pub drop_time: Option<String>,
    /// `line_by_line` or `all_or_nothing`.
    pub lines_rule: String,
    /// `taken`, `taken-late-asking`, `part-taken`, `refused`, `held-duplicate` or `cancelled`.
    pub state: String,
    /// The last moment for changes, RFC 3339 in UTC.
    pub cutoff: Option<String>,
    /// When it came, RFC 3339 in UTC.
    pub received_at: String,
    /// A digest of what was asked.
    pub fingerprint: String,
    /// The plan revision that it made.
    pub plan_revision: i64,
    /// `replaces` or `adds` to a standing order of its drop; none if it says nothing.
    pub standing: Option<String>,
    /// `on_top` or `out_of` the counter par of its customer; none, as on top, if it says
    /// nothing.
    pub counter_par: Option<String>,
}

/// One line of a version.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = order_lines, treat_none_as_default_value = false)]
pub struct OrderLineRow {
    /// The shop.
    pub site: String,
    /// The order.
    pub order_ref: String,
    /// Its version.
    pub version: i64,
    /// Place in the order.
    pub position: i64,
    /// The sender's name for the line.
    pub line_ref: String,
    /// What is wanted.
    pub product: String,
    /// How many, as it was written.
    pub quantity_asked: String,
    /// How many are taken.
    pub quantity_taken: i64,
    /// `taken`, `refused` or `cancelled`.
    pub state: String,
    /// Why it was refused.
    pub reason: Option<String>,
    /// Pieces begun that nobody wants any more.
    pub surplus: i64,
    /// The last moment for changes that applied, RFC 3339 in UTC.
    pub cutoff: Option<String>,
    /// The next time that works, RFC 3339 in UTC.
    pub earliest: Option<String>,
    /// What was said of it, if more than state and reason say.
    pub sentence: Option<String>,
}

/// An order by the sender's name.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, order_ref: &str) -> Result<Option<OrderRow>, StoreError> {
    Ok(orders::table
        .filter(orders::site.eq(site))
        .filter(orders::order_ref.eq(order_ref))
        .get_result(tx)
        .optional()?)
}

/// Orders of a service date, or all, after a name.
///
/// # Errors
/// [`StoreError`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    service_date: Option<&str>,
    after: &str,
    limit: i64,
) -> Result<Vec<OrderRow>, StoreError> {
    let of_site = orders::site.eq(site).and(orders::order_ref.gt(after));
    Ok(match service_date {
        Some(date) => orders::table
            .filter(of_site)
            .filter(orders::service_date.eq(date))
            .order(orders::order_ref)
            .limit(limit)
            .load(tx)?,
        None => orders::table.filter(of_site).order(orders::order_ref).limit(limit).load(tx)?,
    })
}

/// The versions of an order, oldest first.
///
/// # Errors
/// [`StoreError`]
pub fn versions(
    tx: &mut Tx,
    site: &str,
    order_ref: &str,
) -> Result<Vec<OrderVersionRow>, StoreError> {
    Ok(order_versions::table
        .filter(order_versions::site.eq(site))
        .filter(order_versions::order_ref.eq(order_ref))
        .order(order_versions::version)
        .load(tx)?)
}

/// The lines of every version of an order, in order.
///
/// # Errors
/// [`StoreError`]
pub fn lines(tx: &mut Tx, site: &str, order_ref: &str) -> Result<Vec<OrderLineRow>, StoreError> {
    Ok(order_lines::table
        .filter(order_lines::site.eq(site))
        .filter(order_lines::order_ref.eq(order_ref))
        .order((order_lines::version, order_lines::position))
        .load(tx)?)
}

/// One version of an order.
///
/// # Errors
/// [`StoreError`]
pub fn version(
    tx: &mut Tx,
    site: &str,
    order_ref: &str,
    version: i64,
) -> Result<Option<OrderVersionRow>, StoreError> {
    Ok(order_versions::table
        .filter(order_versions::site.eq(site))
        .filter(order_versions::order_ref.eq(order_ref))
        .filter(order_versions::version.eq(version))
        .get_result(tx)
        .optional()?)
}

/// The lines of one version of an order, in order.
///
/// # Errors
/// [`StoreError`]
pub fn lines_of(
    tx: &mut Tx,
    site: &str,
    order_ref: &str,
    version: i64,
) -> Result<Vec<OrderLineRow>, StoreError> {
    Ok(order_lines::table
        .filter(order_lines::site.eq(site))
        .filter(order_lines::order_ref.eq(order_ref))
        .filter(order_lines::version.eq(version))
        .order(order_lines::position)
        .load(tx)?)
}

/// A held line with what a plan needs of its order.
#[derive(Debug, Clone, PartialEq, Eq, Queryable)]
pub struct HeldLineRow {
    /// The sender's name for the order.
    pub order_ref: String,
    /// Who ordered.
    pub customer: Option<String>,
    /// For when.
    pub service_date: Option<String>,
    /// Local time at which it leaves or is fetched.
    pub drop_time: Option<String>,
    /// What is wanted.
    pub product: String,
    /// How many.
    pub quantity_taken: i64,
    /// When the order was first taken.
    pub taken_at: String,
    /// What it means for the counter par of its customer.
    pub counter_par: Option<String>,
}

/// States of orders that ask for nothing: their service date needs no plan for them.
pub const WITHOUT_DATE: [&str; 3] = ["cancelled", "refused", "held-duplicate"];

/// Service dates from a date on with an order that is held and neither cancelled nor
/// refused, in order.
///
/// # Errors
/// [`StoreError`]
pub fn service_dates(tx: &mut Tx, site: &str, from: &str) -> Result<Vec<String>, StoreError> {
    let dates: Vec<Option<String>> = orders::table
        .inner_join(
            order_versions::table.on(order_versions::site
                .eq(orders::site)
                .and(order_versions::order_ref.eq(orders::order_ref))
                .and(order_versions::version.eq(orders::version))),
        )
        .filter(orders::site.eq(site))
        .filter(orders::service_date.ge(from))
        .filter(order_versions::state.ne_all(WITHOUT_DATE))
        .select(orders::service_date)
        .distinct()
        .order(orders::service_date)
        .load(tx)?;
    Ok(dates.into_iter().flatten().collect())
}

/// Taken lines of held versions with a service date from a date on.
///
/// # Errors
/// [`StoreError`]
pub fn held_lines(tx: &mut Tx, site: &str, from: &str) -> Result<Vec<HeldLineRow>, StoreError> {
    Ok(orders::table
        .inner_join(
            order_versions::table.on(order_versions::site
                .eq(orders::site)
                .and(order_versions::order_ref.eq(orders::order_ref))
                .and(order_versions::version.eq(orders::version))),
        )
        .inner_join(
            order_lines::table.on(order_lines::site
                .eq(orders::site)
                .and(order_lines::order_ref.eq(orders::order_ref))
                .and(order_lines::version.eq(orders::version))),
        )
        .filter(orders::site.eq(site))
        .filter(orders::service_date.ge(from))
        .filter(order_lines::quantity_taken.gt(0))
        .order((orders::service_date, orders::order_ref, order_lines::position))
        .select((
            orders::order_ref,
            order_versions::customer,
            order_versions::service_date,
            order_versions::drop_time,
            order_lines::product,
            order_lines::quantity_taken,
            orders::taken_at,
            order_versions::counter_par,
        ))
        .load(tx)?)
}

/// A line of a held version that was not taken whole.
#[derive(Debug, Clone, PartialEq, Eq, Queryable)]
pub struct CutLineRow {
    /// Who ordered.
    pub customer: Option<String>,
    /// Local time at which it leaves or is fetched.
    pub drop_time: Option<String>,
    /// What is wanted.
    pub product: String,
    /// How many, as it was sent.
    pub quantity_asked: String,
    /// How many of them are made.
    pub quantity_taken: i64,
    /// Why, in words.
    pub sentence: Option<String>,
}

/// Lines of held versions for a service date that were taken in part or refused, by order.
///
/// # Errors
/// [`StoreError`]
pub fn cut_lines(tx: &mut Tx, site: &str, date: &str) -> Result<Vec<CutLineRow>, StoreError> {
    Ok(orders::table
        .inner_join(
            order_versions::table.on(order_versions::site
                .eq(orders::site)
                .and(order_versions::order_ref.eq(orders::order_ref))
                .and(order_versions::version.eq(orders::version))),
        )
        .inner_join(
            order_lines::table.on(order_lines::site
                .eq(orders::site)
                .and(order_lines::order_ref.eq(orders::order_ref))
                .and(order_lines::version.eq(orders::version))),
        )
        .filter(orders::site.eq(site))
        .filter(orders::service_date.eq(date))
        .filter(order_lines::state.eq_any(["part-taken", "refused"]))
        .order((orders::order_ref, order_lines::position))
        .select((
            order_versions::customer,
            order_versions::drop_time,
            order_lines::product,
            order_lines::quantity_asked,
            order_lines::quantity_taken,
            order_lines::sentence,
        ))
        .load(tx)?)
}

/// Versions that made the plan revisions after one and up to another.
///
/// # Errors
/// [`StoreError`]
pub fn versions_between(
    tx: &mut Tx,
    site: &str,
    after: i64,
    up_to: i64,
) -> Result<Vec<OrderVersionRow>, StoreError> {
    Ok(order_versions::table
        .filter(order_versions::site.eq(site))
        .filter(order_versions::plan_revision.gt(after))
        .filter(order_versions::plan_revision.le(up_to))
        .load(tx)?)
}

/// How many plan revisions after one and up to another were made by versions.
///
/// # Errors
/// [`StoreError`]
pub fn made_between(
    tx: &mut Tx,
    site: &str,
    (after, up_to): (i64, i64),
) -> Result<i64, StoreError> {
    Ok(order_versions::table
        .filter(order_versions::site.eq(site))
        .filter(order_versions::plan_revision.gt(after))
        .filter(order_versions::plan_revision.le(up_to))
        .count()
        .get_result(tx)?)
}

/// A drop that a held version speaks of.
#[derive(Debug, Clone, PartialEq, Eq, Queryable)]
pub struct SlotRow {
    /// The order.
    pub order_ref: String,
    /// Who ordered.
    pub customer: Option<String>,
    /// For when.
    pub service_date: Option<String>,
    /// Local time at which it leaves or is fetched.
    pub drop_time: Option<String>,
    /// What became of it.
    pub state: String,
    /// What it means for a standing order.
    pub standing: Option<String>,
}

/// The drops that held versions of some service dates speak of, both ends in.
///
/// # Errors
/// [`StoreError`]
pub fn slots(
    tx: &mut Tx,
    site: &str,
    (from, until): (&str, &str),
) -> Result<Vec<SlotRow>, StoreError> {
    Ok(orders::table
        .inner_join(
            order_versions::table.on(order_versions::site
                .eq(orders::site)
                .and(order_versions::order_ref.eq(orders::order_ref))
                .and(order_versions::version.eq(orders::version))),
        )
        .filter(orders::site.eq(site))
        .filter(orders::service_date.ge(from))
        .filter(orders::service_date.le(until))
        .select((
            orders::order_ref,
            order_versions::customer,
            order_versions::service_date,
            order_versions::drop_time,
            order_versions::state,
            order_versions::standing,
        ))
        .load(tx)?)
}

/// Name and service date of orders from a date on whose held version has a state.
///
/// # Errors
/// [`StoreError`]
pub fn in_state(
    tx: &mut Tx,
    site: &str,
    state: &str,
    from: &str,
) -> Result<Vec<(String, Option<String>)>, StoreError> {
    Ok(orders::table
        .inner_join(
            order_versions::table.on(order_versions::site
                .eq(orders::site)
                .and(order_versions::order_ref.eq(orders::order_ref))
                .and(order_versions::version.eq(orders::version))),
        )
        .filter(orders::site.eq(site))
        .filter(orders::service_date.ge(from))
        .filter(order_versions::state.eq(state))
        .select((orders::order_ref, orders::service_date))
        .order((orders::service_date, orders::order_ref))
        .load(tx)?)
}

/// Makes a version the one that is held.
///
/// # Errors
/// [`StoreError`]
pub fn hold(tx: &mut Tx, order: &OrderRow) -> Result<(), StoreError> {
    let held = orders::table
        .filter(orders::site.eq(&order.site))
        .filter(orders::order_ref.eq(&order.order_ref));
    let changed = diesel::update(held)
        .set((orders::version.eq(order.version), orders::service_date.eq(&order.service_date)))
        .execute(tx)?;
    if changed == 0 {
        diesel::insert_into(orders::table).values(order).execute(tx)?;
    }
    Ok(())
}

/// Adds a version with its lines.
///
/// # Errors
/// [`StoreError`]
pub fn add_version(
    tx: &mut Tx,
    version: &OrderVersionRow,
    lines: &[OrderLineRow],
) -> Result<(), StoreError> {
    diesel::insert_into(order_versions::table).values(version).execute(tx)?;
    for line in lines {
        diesel::insert_into(order_lines::table).values(line).execute(tx)?;
    }
    Ok(())
}
