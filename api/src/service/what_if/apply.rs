//! A change put into a copy of the bakery and its book.

use super::{DroppedLoads, Incoming, MixerMost, Proposed};
use crate::{
    document::Fault,
    service::{
        Refusal,
        orders::{self, Version},
        plan::{Morning, refused},
    },
    state::State,
    store::Tx,
};
use domain::{
    bakery::{Bakery, BakeryDraft},
    book::Book,
    demand::make_ahead,
    id::Code,
    lot::{Lot, LotState, LotUse},
    order::{OrderLine, Wanted},
    plan::{
        dropped::{Dropped, DroppedInput, book_after, dropped},
        in_base_unit,
    },
    quantity::Quantity,
};
use std::sync::Arc;

/// A copy with the change in it.
pub(super) struct Applied {
    /// Reference data; none if the change contradicts them.
    pub bakery: Option<Arc<Bakery>>,
    /// Orders and lots.
    pub book: Book,
    /// What the change names that is not there.
    pub found: Vec<Fault>,
}

/// What is held of the orders that a change names, in its order; then of its cancellations.
pub(super) fn held_orders(
    state: &State,
    tx: &mut Tx,
    morning: &Morning,
    proposed: &Proposed,
) -> Result<Vec<Option<Version>>, Refusal> {
    let zone = &morning.bakery.site().time_zone;
    let names = proposed.orders.iter().map(|order| order.order_ref.as_str());
    let names = names.chain(proposed.cancellations.iter().map(String::as_str));
    let mut held = Vec::new();
    for name in names {
        held.push(orders::held_version(tx, &state.site, zone, name)?);
    }
    Ok(held)
}

/// Puts a change into a copy.
pub(super) fn apply(was: &Morning, proposed: &Proposed, held: Vec<Option<Version>>) -> Applied {
    let mut found = Vec::new();
    let mut book = was.book.clone();
    // Figures that nobody counted stand for the real moment, whatever moment is thought of.
    for item in &was.bakery.lists().items {
        if !book.counted.iter().any(|(counted, _)| *counted == item.code) {
            book.counted.push((item.code.clone(), was.now));
        }
    }
    let bakery = equipment(was, proposed, &mut found);
    let known = bakery.as_ref().unwrap_or(&was.bakery);
    order(known, &mut book, proposed, held, &mut found);
    stock(known, &mut book, proposed, &mut found);
    for (at, outage) in proposed.outages.iter().enumerate() {
        if known.index().mixer(outage.mixer.as_str()).is_none() {
            let detail = format!("there is no mixer `{}`", outage.mixer);
            found.push(unknown(format!("/outages/{at}/mixer"), detail));
        }
    }
    for (at, DroppedLoads { formula, service_date, .. }) in proposed.dropped.iter().enumerate() {
        let item = known.index().item(formula.as_str());
        let planned = item.and_then(|item| was.plan.batch(*service_date, item));
        if planned.is_none() {
            let detail = format!("no batch of `{formula}` is planned for {service_date}");
            found.push(unknown(format!("/dropped/{at}/formula"), detail));
        }
    }
    Applied { bakery, book, found }
}

fn unknown(pointer: String, detail: String) -> Fault {
    Fault { pointer, kind: "unknown-code", detail }
}

/// The bakery with other mixers and hours.
fn equipment(was: &Morning, proposed: &Proposed, found: &mut Vec<Fault>) -> Option<Arc<Bakery>> {
    if proposed.mixers.is_empty() && proposed.teams.is_empty() {
        return Some(Arc::clone(&was.bakery));
    }
    let mut draft: BakeryDraft = was.bakery.lists().clone();
    for (at, MixerMost { mixer, dough_class, maximum }) in proposed.mixers.iter().enumerate() {
        let Some(there) = draft.mixers.iter_mut().find(|one| one.code == *mixer) else {
            let detail = format!("there is no mixer `{mixer}`");
            found.push(unknown(format!("/mixers/{at}/mixer"), detail));
            continue;
        };
        match there.maximum_ug.iter_mut().find(|(class, _)| class == dough_class) {
            Some((_, most)) => *most = maximum.micro(),
            None => {
                let detail = format!("`{mixer}` takes no dough of class `{dough_class}`");
                found.push(unknown(format!("/mixers/{at}/dough_class"), detail));
            }
        }
    }
    for (at, team) in proposed.teams.iter().enumerate() {
        match draft.site.teams.iter_mut().find(|one| one.code == team.code) {
            Some(there) => *there = team.clone(),
            None => {
                let detail = format!("there is no team `{}`", team.code);
                found.push(unknown(format!("/teams/{at}/team"), detail));
            }
        }
    }
    match Bakery::new(draft) {
        Ok(bakery) => {
            let signed = bakery.with_sign_offs(&was.book.sign_offs);
            Some(Arc::new(signed.unwrap_or(bakery)))
        }
        Err(faults) => {
            for fault in faults.into_iter().map(Fault::from) {
                let list = if fault.pointer.starts_with("/site") { "/teams" } else { "/mixers" };
                found.push(Fault { pointer: list.to_owned(), ..fault });
            }
            None
        }
    }
}

/// Orders in place of what is held of them.
fn order(
    bakery: &Bakery,
    book: &mut Book,
    proposed: &Proposed,
    held: Vec<Option<Version>>,
    found: &mut Vec<Fault>,
) {
    let mut held = held.into_iter();
    for (at, order) in proposed.orders.iter().enumerate() {
        if let Some(version) = held.next().flatten() {
            orders::take_out(book, &version);
        }
        if bakery.index().customer(order.customer.as_str()).is_none() {
            let detail = format!("there is no customer `{}`", order.customer);
            found.push(unknown(format!("/orders/{at}/customer"), detail));
        }
        if !book.service_dates.contains(&order.service_date) {
            book.service_dates.push(order.service_date);
        }
        let known = bakery.index().customer(order.customer.as_str());
        let wanted = known.map_or(Wanted::Ordered, |at| {
            orders::wanted_of(&bakery.lists().customers[at as usize], order)
        });
        for (line_at, line) in order.lines.iter().enumerate() {
            let place = format!("/orders/{at}/lines/{line_at}");
            let product = bakery.index().product(&line.product);
            if product.is_none() {
                let detail = format!("we sell nothing called `{}`", line.product);
                found.push(unknown(format!("{place}/product"), detail));
            }
            match (product, line.quantity.pieces) {
                (Some(product), Ok(pieces)) if pieces > 0 => book.orders.push(OrderLine {
                    customer: order.customer.clone(),
                    service_date: order.service_date,
                    product: bakery.product(product).code.clone(),
                    pieces,
                    drop: Some(order.drop),
                    taken_at: None,
                    wanted,
                }),
                (_, Err(reason)) => found.push(Fault {
                    pointer: format!("{place}/quantity"),
                    kind: "out-of-range",
                    detail: format!("{} pieces: {}", line.quantity.text, reason.word()),
                }),
                _ => {}
            }
        }
    }
    for (at, name) in proposed.cancellations.iter().enumerate() {
        match held.next().flatten() {
            Some(version) => orders::take_out(book, &version),
            None => {
                let detail = format!("there is no order `{name}`");
                found.push(unknown(format!("/cancellations/{at}"), detail));
            }
        }
    }
    make_ahead(book);
}

/// Lots gone, lots to come, and what is there of an item.
fn stock(bakery: &Bakery, book: &mut Book, proposed: &Proposed, found: &mut Vec<Fault>) {
    for (at, (item, lot)) in proposed.lots_gone.iter().enumerate() {
        let before = book.lots.len();
        book.lots.retain(|there| !(there.item == *item && there.name == *lot));
        if book.lots.len() == before {
            let detail = format!("there is no lot `{lot}` of `{item}`");
            found.push(unknown(format!("/lots_gone/{at}/lot"), detail));
        }
    }
    for (at, (item, quantity)) in proposed.balances.iter().enumerate() {
        if let Some(micro) = amount(bakery, item, *quantity, &format!("/balances/{at}"), found) {
            rebalance(book, item, micro);
        }
    }
    for (at, incoming) in proposed.receipts.iter().enumerate() {
        let Incoming { item, quantity, arrives, use_by } = incoming;
        let Some(micro) = amount(bakery, item, *quantity, &format!("/receipts/{at}"), found) else {
            continue;
        };
        let lot = thought(item, micro);
        let state = if arrives.is_some() { LotState::Expected } else { LotState::Released };
        book.lots.push(Lot { state, arrives: *arrives, date: *use_by, ..lot });
    }
}

/// A lot that nobody has.
fn thought(item: &Code, balance_micro: i64) -> Lot {
    Lot {
        id: String::new(),
        name: "what-if".to_owned(),
        item: item.clone(),
        balance_micro,
        state: LotState::Released,
        usage: LotUse::Any,
        received: jiff::civil::Date::MIN,
        date: None,
        date_is_use_by: true,
        usable_until: None,
        arrives: None,
        baked: None,
        made_at: None,
        thaw_started: None,
        opened: None,
        place: None,
    }
}

/// A quantity in millionths of the item's base unit.
fn amount(
    bakery: &Bakery,
    item: &Code,
    quantity: Quantity,
    place: &str,
    found: &mut Vec<Fault>,
) -> Option<i64> {
    let Some(position) = bakery.index().item(item.as_str()) else {
        found.push(unknown(format!("{place}/item"), format!("there is no item `{item}`")));
        return None;
    };
    let micro = in_base_unit(bakery, position, quantity).ok().flatten();
    let micro = micro.and_then(|micro| i64::try_from(micro.floor()).ok());
    if micro.is_none() {
        found.push(Fault {
            pointer: format!("{place}/quantity"),
            kind: "unit-mismatch",
            detail: format!(
                "`{item}` is kept in {}: a quantity in {} cannot be converted",
                bakery.item(position).base_unit.symbol(),
                quantity.unit().symbol()
            ),
        });
    }
    micro
}

/// So much is there of an item: what is missing has gone from what expires first, what is
/// too much lies with what expires last.
fn rebalance(book: &mut Book, item: &Code, micro: i64) {
    let usable = |lot: &&mut Lot| {
        lot.item == *item && matches!(lot.state, LotState::Released | LotState::Open)
    };
    let mut lots: Vec<&mut Lot> = book.lots.iter_mut().filter(usable).collect();
    lots.sort_by_key(|lot| (lot.date.is_none(), lot.date, lot.received, lot.name.clone()));
    let there: i64 = lots.iter().map(|lot| lot.balance_micro).sum();
    let mut less = (there - micro).max(0);
    for lot in &mut lots {
        let gone = less.min(lot.balance_micro.max(0));
        lot.balance_micro -= gone;
        less -= gone;
    }
    let more = micro - there;
    match lots.last_mut() {
        Some(lot) if more > 0 => lot.balance_micro += more,
        None if more > 0 => book.lots.push(thought(item, more)),
        _ => {}
    }
}

/// Cuts the orders to what lost loads leave.
pub(super) fn drop_loads(
    was: &Morning,
    bakery: &Bakery,
    book: &mut Book,
    proposed: &Proposed,
) -> Result<Vec<Dropped>, Refusal> {
    let mut all = Vec::new();
    let now = proposed.now.unwrap_or(was.now);
    for DroppedLoads { formula, service_date, loads } in &proposed.dropped {
        let Some(item) = bakery.index().item(formula.as_str()) else { continue };
        let input = DroppedInput { service_date: *service_date, item, loads: *loads, now };
        let found = dropped(bakery, book, &was.plan, input).map_err(refused)?;
        *book = book_after(bakery, book, *service_date, &found.cuts);
        all.push(found);
    }
    Ok(all)
}
