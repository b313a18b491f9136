//! The recall file as comma-separated values: one line for each fact.

use super::{ChainView, MassBalanceView, RecallView};
use crate::{
    messages::Sentence,
    wire::{
        amount::QuantityView,
        csv,
        trace::{ReachView, RecipientView, TracedLotView},
    },
};

const HEAD: [&str; 19] = [
    "part",
    "generation",
    "share_percent",
    "link",
    "kind",
    "code",
    "lot",
    "id",
    "amount",
    "unit",
    "place",
    "state",
    "at",
    "customer",
    "customer_name",
    "order_ref",
    "service_date",
    "drop",
    "remark",
];

/// One line; what a part does not have stays empty.
#[derive(Default)]
struct Line<'a> {
    part: &'static str,
    reach: Option<&'a ReachView>,
    kind: &'a str,
    code: &'a str,
    lot: &'a str,
    id: &'a str,
    quantity: Option<&'a QuantityView>,
    place: &'a str,
    state: &'a str,
    at: &'a str,
    customer: &'a str,
    name: &'a str,
    order_ref: &'a str,
    service_date: &'a str,
    drop: &'a str,
    remark: &'a str,
}

/// A recall file as lines, each with the part of the file that it belongs to.
///
/// # Source
/// RFC 4180.
#[must_use]
pub fn recall_csv(view: &RecallView) -> String {
    let mut rows = Vec::new();
    let lot = &view.lot;
    rows.push(written(&Line {
        part: "lot",
        code: &lot.item,
        lot: &lot.lot,
        id: &lot.id,
        quantity: Some(&lot.quantity),
        place: lot.place.as_deref().unwrap_or_default(),
        state: lot.state,
        at: &view.made_at,
        remark: lot.hold_reason.as_deref().unwrap_or_default(),
        ..Line::default()
    }));
    balance(&view.mass_balance, &mut rows);
    chain(("came-from", "came-from-step"), &view.came_from, &mut rows);
    chain(("went-into", "went-into-step"), &view.went_into, &mut rows);
    rows.extend(view.recipients.iter().map(recipient));
    for left in &view.in_house {
        let place = left.place.as_ref().map(Sentence::wired);
        rows.push(written(&Line {
            part: "in-house",
            code: &left.item.wired(),
            lot: &left.lot,
            id: &left.id,
            quantity: Some(&left.quantity),
            place: &place.unwrap_or_default(),
            state: &left.state,
            ..Line::default()
        }));
    }
    for one in &view.planned.uses {
        rows.push(written(&Line {
            part: "planned",
            kind: one.kind,
            code: &one.item.wired(),
            lot: &one.lot,
            quantity: Some(&one.quantity),
            state: one.state,
            at: one.at.as_deref().unwrap_or_default(),
            service_date: &one.service_date,
            remark: &match one.load {
                Some(load) => format!("for {}, load {load}", one.code.wired()),
                None => format!("for {}", one.code.wired()),
            },
            ..Line::default()
        }));
    }
    for note in view.notes.iter().chain(&view.planned.notes) {
        rows.push(written(&Line { part: "note", remark: &note.wired(), ..Line::default() }));
    }
    csv::table(&HEAD, rows)
}

fn balance(mass: &MassBalanceView, rows: &mut Vec<Vec<String>>) {
    let MassBalanceView {
        came,
        used,
        wasted,
        returned,
        sent,
        left,
        variance,
        accounted_percent,
        gap,
    } = mass;
    for (kind, quantity) in [
        ("came", came),
        ("used", used),
        ("wasted", wasted),
        ("returned", returned),
        ("sent", sent),
        ("left", left),
        ("variance", variance),
        ("gap", gap),
    ] {
        let quantity = Some(quantity);
        rows.push(written(&Line { part: "mass-balance", kind, quantity, ..Line::default() }));
    }
    let remark = match accounted_percent {
        Some(percent) => format!("{percent} percent"),
        None => "not known: nothing came".to_owned(),
    };
    let remark = remark.as_str();
    rows.push(written(&Line {
        part: "mass-balance",
        kind: "accounted",
        remark,
        ..Line::default()
    }));
}

fn chain(
    (lots, steps): (&'static str, &'static str),
    chain: &ChainView,
    rows: &mut Vec<Vec<String>>,
) {
    for step in &chain.steps {
        rows.push(written(&Line {
            part: steps,
            reach: Some(&step.reach),
            kind: step.kind,
            code: step.formula.as_deref().unwrap_or_default(),
            id: step.id.as_deref().unwrap_or_default(),
            state: step.state.as_deref().unwrap_or_default(),
            at: &step.at,
            service_date: step.service_date.as_deref().unwrap_or_default(),
            remark: &step.name.wired(),
            ..Line::default()
        }));
    }
    rows.extend(chain.lots.iter().map(|lot| traced(lots, "item", lot)));
    rows.extend(chain.products.iter().map(|lot| traced(lots, "product", lot)));
}

fn traced(part: &'static str, kind: &'static str, lot: &TracedLotView) -> Vec<String> {
    let supplier = lot.supplier.as_ref().map(Sentence::wired);
    written(&Line {
        part,
        reach: Some(&lot.reach),
        kind,
        code: &lot.item.wired(),
        lot: &lot.lot,
        id: &lot.id,
        state: &lot.state,
        at: &lot.received,
        remark: &supplier.unwrap_or_default(),
        ..Line::default()
    })
}

fn recipient(one: &RecipientView) -> Vec<String> {
    let text = |text: &'_ Option<String>| text.clone().unwrap_or_default();
    let (customer, name) = (text(&one.customer), text(&one.name));
    let (order_ref, service_date) = (text(&one.order_ref), text(&one.service_date));
    written(&Line {
        part: "recipient",
        reach: Some(&one.reach),
        kind: "product",
        code: &one.product.wired(),
        lot: &text(&one.lot),
        quantity: Some(&one.quantity),
        at: &text(&one.sent_at),
        customer: &customer,
        name: &name,
        order_ref: &order_ref,
        service_date: &service_date,
        drop: &text(&one.drop),
        ..Line::default()
    })
}

fn written(line: &Line<'_>) -> Vec<String> {
    let share = line.reach.and_then(|reach| reach.share.as_ref());
    let generation = line.reach.map(|reach| reach.generation.to_string());
    let cells = [
        line.part,
        generation.as_deref().unwrap_or_default(),
        share.map_or("", |share| &share.percent),
        line.reach.map_or("", |reach| reach.link),
        line.kind,
        line.code,
        line.lot,
        line.id,
        line.quantity.map_or("", |quantity| &quantity.amount),
        line.quantity.map_or("", |quantity| quantity.unit),
        line.place,
        line.state,
        line.at,
        line.customer,
        line.name,
        line.order_ref,
        line.service_date,
        line.drop,
        line.remark,
    ];
    cells.map(str::to_owned).to_vec()
}
