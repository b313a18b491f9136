//! What a person can do about something that runs short, all levers in the order in which to
//! try them.

use super::{LeverView, ShortageLineView};
use crate::{
    messages::Sentence,
    service::plan::Morning,
    wire::{
        amount::{QuantityView, instant},
        day_board::BoardLeverView,
        findings, named,
    },
};
use domain::{demand::PieceLine, id::Code, purchase::latest_moment, supplier::Pack};
use jiff::civil::Date;

/// The levers of the trade rules, part 5, in their order, as far as they exist.
pub(super) fn steps(morning: &Morning, line: &ShortageLineView) -> Vec<BoardLeverView> {
    let mut levers: Vec<BoardLeverView> = vec![BoardLeverView::new(
        Sentence::of("shortages-count-again").with("name", &line.name),
        Some(Sentence::of("shortages-minutes")),
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
    levers.push(BoardLeverView::new(Sentence::of("shortages-share"), None));
    levers
}

fn order(morning: &Morning, line: &ShortageLineView) -> Option<BoardLeverView> {
    let lists = morning.bakery.lists();
    let pack = lists.packs.iter().find(|pack| Some(pack.code.as_str()) == line.pack.as_deref())?;
    let supplier = lists.suppliers.iter().find(|supplier| supplier.code == pack.supplier);
    let name = supplier.map_or(pack.supplier.as_str(), |supplier| supplier.name.as_str());
    let latest = line.latest.as_ref();
    if latest.is_none_or(|latest| latest.gone) {
        let ring = Sentence::of("shortages-ring").with("name", name);
        return Some(BoardLeverView::new(ring, None));
    }
    let what = Sentence::of("shortages-order")
        .with("packs", line.packs.max(1).to_string())
        .with("pack", named::pack(&morning.bakery, pack))
        .with("name", name);
    let until = latest.map(|latest| latest.cutoff.clone());
    let cost = line.line_cost.as_ref().map(|cost| Sentence::amount(cost.said()));
    Some(BoardLeverView { what, cost, until })
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
            let what = Sentence::of("shortages-order-instead")
                .with("pack", named::pack(bakery, pack))
                .with("name", &supplier.name);
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
    let pieces = findings::ahead_words(par, forecast)?;
    Some(BoardLeverView::new(
        Sentence::of("shortages-make-less-ahead").with("pieces", pieces),
        Some(Sentence::of("board-no-order")),
    ))
}

fn overs(morning: &Morning, line: &ShortageLineView) -> Option<BoardLeverView> {
    let overs = pieces_hit(morning, line, PieceLine::overs);
    (overs > 0).then(|| {
        BoardLeverView::new(
            Sentence::of("shortages-cut-overs").with("pieces", overs.to_string()),
            Some(Sentence::of("board-no-order")),
        )
    })
}

/// How much of the shortage a lever covers, in words.
fn frees(one: &LeverView) -> Sentence {
    let QuantityView { amount, unit } = &one.frees;
    let frees = Sentence::amount(format!("{amount} {unit}"));
    match one.enough {
        true => Sentence::of("shortages-covers-it"),
        false => Sentence::of("shortages-frees").with("amount", frees),
    }
}

fn held_lot(line: &ShortageLineView, one: &LeverView) -> BoardLeverView {
    let lot = one.lot.as_deref().unwrap_or_default();
    let what = Sentence::of("shortages-held-lot").with("lot", lot).with("name", &line.name);
    BoardLeverView::new(what, Some(frees(one)))
}

fn substitute(morning: &Morning, one: &LeverView) -> BoardLeverView {
    let index = morning.bakery.index();
    let name = |code: &str| {
        let item = index.item(code);
        item.map_or_else(|| code.to_owned(), |item| morning.bakery.item(item).name.clone())
    };
    let uses = one.uses.iter().map(|part| name(&part.item.wired()));
    let message = match one.needs_sign_off {
        true => "shortages-use-instead-signed",
        false => "shortages-use-instead",
    };
    let what = Sentence::of(message).with("items", Sentence::joined(" + ", uses));
    let mut cost = vec![frees(one)];
    if !one.adds_contains.is_empty() {
        let allergens = Sentence::allergens(&one.adds_contains).loud();
        cost.push(Sentence::of("shortages-brings-in").with("allergens", allergens));
    }
    if !one.adds_may_contain.is_empty() {
        let allergens = Sentence::allergens(&one.adds_may_contain);
        cost.push(Sentence::of("shortages-may-bring-in").with("allergens", allergens));
    }
    if !one.unknown.is_empty() {
        let items = Sentence::joined(", ", &one.unknown);
        cost.push(Sentence::of("shortages-not-known-of").with("items", items));
    }
    if one.label_change {
        cost.push(Sentence::of("shortages-new-labels"));
    }
    if cost.len() == 1 {
        cost.push(Sentence::of("shortages-no-new-allergen"));
    }
    BoardLeverView::new(what, Some(Sentence::joined("; ", cost)))
}
