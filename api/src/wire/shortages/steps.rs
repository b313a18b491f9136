//! What a person can do about something that runs short, all levers in the order in which to
//! try them.

use super::{LeverView, ShortageLineView};
use crate::{
    service::plan::Morning,
    wire::{
        amount::{MoneyView, QuantityView, instant},
        day_board::BoardLeverView,
        findings,
    },
};
use domain::{demand::PieceLine, id::Code, purchase::latest_moment, supplier::Pack};
use jiff::civil::Date;

/// The levers of the trade rules, part 5, in their order, as far as they exist.
pub(super) fn steps(morning: &Morning, line: &ShortageLineView) -> Vec<BoardLeverView> {
    let mut levers: Vec<BoardLeverView> = vec![BoardLeverView::new(
        format!("count {} again, look in part packs and tubs", line.name),
        Some("minutes".to_owned()),
    )];
    let (lots, substitutes): (Vec<&LeverView>, Vec<&LeverView>) =
        line.levers.iter().partition(|one| one.lot.is_some());
    levers.extend(lots.into_iter().map(|one| held_lot(line, one)));
    levers.extend(order(morning, line));
    levers.extend(elsewhere(morning, line));
    if let Some(overs) = overs(morning, line) {
        levers.push(overs);
    }
    // They come as they are to be tried: without a new allergen first.
    levers.extend(substitutes.into_iter().map(|one| substitute(morning, one)));
    levers.extend(ahead(morning, line));
    levers.push(BoardLeverView::new("share what there is by tier and tell customers", None));
    levers
}

fn order(morning: &Morning, line: &ShortageLineView) -> Option<BoardLeverView> {
    let lists = morning.bakery.lists();
    let pack = lists.packs.iter().find(|pack| Some(pack.code.as_str()) == line.pack.as_deref())?;
    let supplier = lists.suppliers.iter().find(|supplier| supplier.code == pack.supplier);
    let name = supplier.map_or(pack.supplier.as_str(), |supplier| supplier.name.as_str());
    let latest = line.latest.as_ref();
    if latest.is_none_or(|latest| latest.gone) {
        return Some(BoardLeverView::new(
            format!("ring {name}: the cutoff is gone; or buy at a shop or a neighbour's"),
            None,
        ));
    }
    let what = format!("order {} × {} from {name}", line.packs.max(1), pack.code);
    let until = latest.map(|latest| latest.cutoff.clone());
    Some(BoardLeverView { what, cost: line.line_cost.as_ref().map(MoneyView::said), until })
}

/// Other suppliers on record whose goods would still be there for the step that lacks it.
fn elsewhere(morning: &Morning, line: &ShortageLineView) -> Vec<BoardLeverView> {
    let bakery = &morning.bakery;
    let (lists, zone) = (bakery.lists(), &bakery.site().time_zone);
    let item = bakery.index().item(&line.item).map(|at| bakery.item(at));
    let step = line.runs_out.as_ref().and_then(|out| out.at.parse().ok());
    let (Some(item), Some(step)) = (item, step) else { return Vec::new() };
    let mut found = Vec::new();
    for supplier in &lists.suppliers {
        let sells = |pack: &&Pack| {
            pack.supplier == supplier.code && pack.item == item.code && pack.orderable
        };
        let pack = lists.packs.iter().find(sells);
        let own = line.supplier.as_deref() == Some(supplier.code.as_str());
        let Some(pack) = pack.filter(|_| !own) else { continue };
        let ready = item.ready_after_minutes;
        let latest = latest_moment(bakery.site(), supplier, ready, morning.now, step);
        let Ok(Some(latest)) = latest else { continue };
        if !latest.gone {
            let what = format!("order {} from {} instead", pack.code, supplier.name);
            let until = Some(instant(zone, latest.cutoff));
            found.push(BoardLeverView { what, cost: None, until });
        }
    }
    found
}

/// Pieces of what a shortage hits, of some kind.
fn pieces_hit(morning: &Morning, line: &ShortageLineView, kind: impl Fn(&PieceLine) -> i64) -> i64 {
    let hit = |date: Date, product: &Code| {
        line.hits
            .iter()
            .any(|hit| hit.service_date == date.to_string() && hit.product == product.as_str())
    };
    let pieces = morning.plan.demand.pieces.iter();
    pieces
        .filter(|one| hit(one.service_date, &morning.bakery.product(one.product).code))
        .map(kind)
        .sum()
}

fn ahead(morning: &Morning, line: &ShortageLineView) -> Option<BoardLeverView> {
    let par = pieces_hit(morning, line, |one| one.par);
    let forecast = pieces_hit(morning, line, |one| one.forecast);
    let words = findings::ahead_words(par, forecast)?;
    Some(BoardLeverView::new(
        format!("make less ahead of orders: {words}"),
        Some("no order".to_owned()),
    ))
}

fn overs(morning: &Morning, line: &ShortageLineView) -> Option<BoardLeverView> {
    let overs = pieces_hit(morning, line, PieceLine::overs);
    (overs > 0).then(|| {
        BoardLeverView::new(
            format!("cut the overs of what it hits: {overs} pieces"),
            Some("no order".to_owned()),
        )
    })
}

/// How much of the shortage a lever covers, in words.
fn frees(one: &LeverView) -> String {
    let QuantityView { amount, unit } = &one.frees;
    if one.enough { "covers it".to_owned() } else { format!("frees {amount} {unit} of it") }
}

fn held_lot(line: &ShortageLineView, one: &LeverView) -> BoardLeverView {
    let lot = one.lot.as_deref().unwrap_or_default();
    let what = format!("lot {lot} of {} is on hold: ask whether it may be released", line.name);
    BoardLeverView::new(what, Some(frees(one)))
}

fn substitute(morning: &Morning, one: &LeverView) -> BoardLeverView {
    let index = morning.bakery.index();
    let name = |code: &str| {
        let item = index.item(code);
        item.map_or_else(|| code.to_owned(), |item| morning.bakery.item(item).name.clone())
    };
    let uses: Vec<String> = one.uses.iter().map(|part| name(&part.item)).collect();
    let mut words = format!("use {} instead", uses.join(" + "));
    if one.needs_sign_off {
        words += " (a competent person signs for it)";
    }
    let mut cost = vec![frees(one)];
    if !one.adds_contains.is_empty() {
        cost.push(format!("BRINGS IN {}", one.adds_contains.join(", ").to_uppercase()));
    }
    if !one.adds_may_contain.is_empty() {
        cost.push(format!("may bring in {}", one.adds_may_contain.join(", ")));
    }
    if !one.unknown.is_empty() {
        cost.push(format!("ALLERGENS NOT KNOWN of {}", one.unknown.join(", ")));
    }
    if one.label_change {
        cost.push("new labels".to_owned());
    }
    if cost.len() == 1 {
        cost.push("no new allergen, no new label".to_owned());
    }
    BoardLeverView::new(words, Some(cost.join("; ")))
}
