//! Taking orders by version, and calling them off.

use super::{
    Asked, CounterPar, Desk, Effect, LinesRule, Order, OrderState, OverStanding, Version,
    held::{self, asked_version, held_order, version_of},
    standing,
};
use crate::{
    clock, digest,
    notice::NoticeKind,
    service::{
        Refusal,
        notices::{self, News},
    },
    store::{
        StoreError, Tx, instant,
        orders::{self, OrderLineRow, OrderRow, OrderVersionRow},
        sites,
    },
};
use jiff::tz::TimeZone;
use std::sync::Arc;

/// What a cancellation leaves in place of a digest of an order.
const CANCELLATION: &str = "cancellation";

/// Takes an order, or says that nothing had to be done.
///
/// # Errors
/// [`Refusal::Body`] for a customer whom nobody knows, [`Refusal::Stated`] for a version
/// that was used for another content.
pub fn take(
    tx: &mut Tx,
    site: &str,
    desk: &mut Desk,
    asked: &Asked,
) -> Result<(Order, Effect), Refusal> {
    let (bakery, now) = (Arc::clone(&desk.bakery), desk.now);
    let zone = &bakery.site().time_zone;
    let fingerprint = fingerprint(asked)?;
    let row = orders::find(tx, site, &asked.order_ref)?;
    if let Some(row) = &row
        && let Some(known) = known(tx, site, row, (asked.version, &fingerprint), zone)?
    {
        return Ok(known);
    }
    let before = row.as_ref().map(|row| held_order(tx, site, row, zone)).transpose()?;
    let before = before.as_ref().map(|order| &order.held);
    let settled = desk.settle(tx, site, asked, before)?;
    let stands = settled.state == OrderState::Refused && before.is_some_and(holds_something);
    // Every version makes a revision, also one that leaves the plan as it is.
    let cause = format!("order {} version {}", asked.order_ref, asked.version);
    let change = sites::Change { at: now, cause: &cause, bakery_changed: false };
    let version = Version {
        version: asked.version,
        state: settled.state,
        customer: Some(asked.customer.to_string()),
        service_date: Some(asked.service_date),
        drop: Some(asked.drop),
        lines_rule: asked.lines_rule,
        standing: standing::word(asked, before),
        counter_par: super::counter_par(super::customer(&bakery, &asked.customer)?, asked),
        cutoff: settled.cutoff,
        received_at: now,
        plan_revision: sites::bump(tx, site, change)?,
        lines: settled.lines,
    };
    desk.note_change();
    if version.state == OrderState::TakenLateAsking {
        tell_late(tx, site, asked, &version)?;
    }
    if let (Some(row), true) = (&row, stands) {
        return refused(tx, site, row, version, &fingerprint, zone);
    }
    hold(tx, site, row, &asked.order_ref, version, &fingerprint, zone)
}

/// Nobody may find a late order by chance.
fn tell_late(tx: &mut Tx, site: &str, asked: &Asked, version: &Version) -> Result<(), StoreError> {
    let Asked { order_ref, customer, service_date, drop, .. } = asked;
    let drop = held::drop_text(*drop);
    let words = format!(
        "order {order_ref} version {} of {customer} for {service_date} {drop} came after its \
         cutoff: it is counted, and a person says whether it is made",
        version.version
    );
    let news = News {
        kind: NoticeKind::LateOrder,
        at: version.received_at,
        plan_revision: version.plan_revision,
        about: order_ref,
        words: &words,
    };
    notices::give(tx, site, news, None)
}

/// Calls an order off; if it never came, leaves a tombstone that its arrival meets.
///
/// # Errors
/// [`Refusal::Stated`] for a version that was used for an order.
pub fn cancel(
    tx: &mut Tx,
    site: &str,
    desk: &mut Desk,
    order_ref: &str,
    version: i64,
) -> Result<(Order, Effect), Refusal> {
    let (bakery, now) = (Arc::clone(&desk.bakery), desk.now);
    let zone = &bakery.site().time_zone;
    let row = orders::find(tx, site, order_ref)?;
    if let Some(row) = &row
        && let Some(known) = known(tx, site, row, (version, CANCELLATION), zone)?
    {
        return Ok(known);
    }
    let before = row.as_ref().map(|row| held_order(tx, site, row, zone)).transpose()?;
    let held = before.map(|order| order.held);
    let lines = match &held {
        Some(held) => desk.call_off(tx, site, order_ref, held)?,
        None => Vec::new(),
    };
    let cause = format!("order {order_ref} cancelled as version {version}");
    let change = sites::Change { at: now, cause: &cause, bakery_changed: false };
    let cancelled = Version {
        version,
        state: OrderState::Cancelled,
        customer: held.as_ref().and_then(|held| held.customer.clone()),
        service_date: held.as_ref().and_then(|held| held.service_date),
        drop: held.as_ref().and_then(|held| held.drop),
        lines_rule: held.as_ref().map_or(LinesRule::LineByLine, |held| held.lines_rule),
        standing: held.as_ref().and_then(|held| held.standing),
        counter_par: held.as_ref().and_then(|held| held.counter_par),
        cutoff: held.as_ref().and_then(|held| held.cutoff),
        received_at: now,
        plan_revision: sites::bump(tx, site, change)?,
        lines,
    };
    desk.note_change();
    hold(tx, site, row, order_ref, cancelled, CANCELLATION, zone)
}

/// Whether a held version has anything that could stand on.
const fn holds_something(held: &Version) -> bool {
    !matches!(held.state, OrderState::Refused | OrderState::Cancelled)
}

/// What a version means that is not higher than the held one, or that came before; none if
/// it is new.
fn known(
    tx: &mut Tx,
    site: &str,
    row: &OrderRow,
    (version, fingerprint): (i64, &str),
    zone: &TimeZone,
) -> Result<Option<(Order, Effect)>, Refusal> {
    let order = held_order(tx, site, row, zone)?;
    if version < row.version {
        return Ok(Some((order, Effect::Stale)));
    }
    if version == row.version {
        let held = asked_version(tx, site, row)?;
        return Ok(Some(match held.fingerprint.as_str() {
            same if same == fingerprint => (order, Effect::Repeated),
            // An order that comes after its cancellation stays called off.
            CANCELLATION => (order, Effect::Stale),
            _ => return Err(reused(row, version)),
        }));
    }
    let Some(came) = orders::version(tx, site, &row.order_ref, version)? else { return Ok(None) };
    if came.fingerprint != fingerprint {
        return Err(reused(row, version));
    }
    let refused = Some(version_of(tx, site, came)?);
    Ok(Some((Order { refused, ..order }, Effect::Refused)))
}

fn reused(row: &OrderRow, version: i64) -> Refusal {
    Refusal::Stated {
        slug: "version-reused",
        detail: format!(
            "version {version} of order `{}` came with other content: send what you want as \
             version {}",
            row.order_ref,
            version.saturating_add(1)
        ),
    }
}

/// A digest of all that an order asks for.
fn fingerprint(asked: &Asked) -> Result<String, Refusal> {
    let lines: Vec<_> = asked
        .lines
        .iter()
        .map(|line| (&line.line_ref, &line.product, &line.quantity.text))
        .collect();
    let head = (
        asked.customer.as_str(),
        asked.service_date.to_string(),
        asked.drop.to_string(),
        held::rule_word(asked.lines_rule),
    );
    let mut text =
        serde_json::to_string(&(head, lines)).map_err(|_| StoreError::Corrupt("order"))?;
    text.push_str(asked.standing.map_or("", OverStanding::word));
    text.push_str(asked.counter_par.map_or("", CounterPar::word));
    Ok(digest::of([text.as_bytes()]))
}

/// Keeps a version that was refused whole beside the one that stands.
fn refused(
    tx: &mut Tx,
    site: &str,
    row: &OrderRow,
    version: Version,
    fingerprint: &str,
    zone: &TimeZone,
) -> Result<(Order, Effect), Refusal> {
    add_version(tx, site, &row.order_ref, &version, fingerprint)?;
    let order = held_order(tx, site, row, zone)?;
    Ok((Order { refused: Some(version), ..order }, Effect::Refused))
}

fn add_version(
    tx: &mut Tx,
    site: &str,
    order_ref: &str,
    version: &Version,
    fingerprint: &str,
) -> Result<(), StoreError> {
    let row = OrderVersionRow {
        site: site.to_owned(),
        order_ref: order_ref.to_owned(),
        version: version.version,
        customer: version.customer.clone(),
        service_date: version.service_date.map(|date| date.to_string()),
        drop_time: version.drop.map(held::drop_text),
        lines_rule: held::rule_word(version.lines_rule).to_owned(),
        state: version.state.word().to_owned(),
        cutoff: version.cutoff.map(instant::text),
        received_at: instant::text(version.received_at),
        fingerprint: fingerprint.to_owned(),
        plan_revision: version.plan_revision,
        standing: version.standing.map(|word| word.word().to_owned()),
        counter_par: version.counter_par.map(|word| word.word().to_owned()),
    };
    let lines = (0_i64..)
        .zip(&version.lines)
        .map(|(position, line)| held::line_row(site, order_ref, version.version, position, line))
        .collect::<Result<Vec<OrderLineRow>, _>>()?;
    orders::add_version(tx, &row, &lines)
}

fn hold(
    tx: &mut Tx,
    site: &str,
    before: Option<OrderRow>,
    order_ref: &str,
    version: Version,
    fingerprint: &str,
    zone: &TimeZone,
) -> Result<(Order, Effect), Refusal> {
    let effect = if before.is_some() { Effect::Changed } else { Effect::Created };
    let before = before.map(|row| (row.order_id, row.taken_at));
    let (order_id, taken_at) = before.unwrap_or_else(|| {
        let new_id = clock::new_id(version.received_at).to_string();
        (new_id, instant::text(version.received_at))
    });
    let order = OrderRow {
        site: site.to_owned(),
        order_ref: order_ref.to_owned(),
        order_id: order_id.clone(),
        version: version.version,
        service_date: version.service_date.map(|date| date.to_string()),
        taken_at,
    };
    orders::hold(tx, &order)?;
    add_version(tx, site, order_ref, &version, fingerprint)?;
    let (order_ref, zone) = (order_ref.to_owned(), zone.clone());
    Ok((Order { order_ref, order_id, held: version, refused: None, zone }, effect))
}
