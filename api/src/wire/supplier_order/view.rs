//! An order as it is answered.

use super::super::{
    amount::{MoneyView, instant, money_text},
    csv,
    printed::{self, PrintedView},
};
use crate::{
    link::segment,
    messages::Sentence,
    service::supplier_orders::{LineBody, OrderBody, OrderHistory, SupplierOrder},
};
use domain::{
    bakery::Bakery,
    quantity::Quantity,
    supplier_order::{SupplierOrderState, SupplierOrderStep},
};
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

/// An order to a supplier.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SupplierOrderView {
    /// Its UUID.
    pub id: String,
    /// What people call it.
    #[schema(example = "dairy-1")]
    pub reference: String,
    /// The bakery's name.
    pub bakery: String,
    /// Who is to bring it.
    #[schema(example = "dairy")]
    pub supplier: String,
    /// What people call the supplier.
    pub supplier_name: String,
    /// `draft`, `sent`, `acknowledged`, `part-received`, `received`, `closed` or `cancelled`.
    #[schema(example = "draft")]
    pub state: &'static str,
    /// Who set that state.
    pub who: String,
    /// When: RFC 3339 with the bakery's offset.
    pub happened_at: String,
    /// Last moment to send it.
    #[schema(example = "2026-06-10T11:00:00+02:00")]
    pub cutoff: String,
    /// Minutes to the cutoff while it is a draft; below zero it is gone.
    pub minutes_left: Option<i64>,
    /// When its goods count: the end of the delivery window.
    #[schema(example = "2026-06-11T06:00:00+02:00")]
    pub arrives: String,
    /// The supplier's own name for it.
    pub their_reference: Option<String>,
    /// What can be done with it now.
    pub next: Vec<&'static str>,
    /// Its lines.
    pub lines: Vec<SupplierOrderLineView>,
    /// Goods as far as prices are known.
    pub goods: MoneyView,
    /// What the value of the goods takes off them.
    pub off: MoneyView,
    /// Carriage below the minimum.
    pub carriage: MoneyView,
    /// What the goods must reach.
    pub minimum_order: MoneyView,
    /// What is missing up to that.
    pub gap: MoneyView,
    /// Deposits, which come back with the crates.
    pub deposits: MoneyView,
    /// Tax on goods by rate; not of carriage.
    pub tax: Vec<TaxView>,
    /// Goods, less what is off, and carriage: without deposits and tax.
    pub net: MoneyView,
    /// Everything together.
    pub total: MoneyView,
    /// What a person should know.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// A link that opens a mail program with the order written out; none without an address.
    pub mailto: Option<String>,
    /// All that happened to it, oldest first.
    pub history: Vec<SupplierOrderEventView>,
    /// Names its state, for `If-Match`.
    pub etag: String,
}

/// One line of an order.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SupplierOrderLineView {
    /// Its number, from 1.
    pub line: i64,
    /// Which item.
    #[schema(example = "whole-milk")]
    pub item: String,
    /// What people call it.
    pub name: String,
    /// Which pack.
    pub pack: String,
    /// What one pack holds, in words.
    #[schema(example = "12 L")]
    pub holds: String,
    /// Amount of that.
    pub holds_amount: String,
    /// Unit of that: `mg`, `g`, `kg`, `mL`, `L` or `each`.
    pub holds_unit: String,
    /// Whether packs are of uneven weight: weigh them when they come.
    pub uneven: bool,
    /// Its GTIN.
    pub gtin: Option<String>,
    /// Packs that were ordered.
    #[schema(example = 2)]
    pub packs: i64,
    /// Packs that the supplier brings, once it said so.
    pub agreed: Option<i64>,
    /// Why that is another number.
    pub cut_reason: Option<String>,
    /// Packs that came.
    pub received: i64,
    /// Packs that were sent back.
    pub refused: i64,
    /// Packs that the plan counts on.
    pub to_come: i64,
    /// Exact price of one pack in minor units, six decimals at most; none if not known.
    #[schema(example = "1260")]
    pub pack_price_minor_units: Option<String>,
    /// The stated price behind it, in words.
    #[schema(value_type = Option<String>, example = "12.60 EUR per 12 L")]
    pub stated_price: Option<Sentence>,
    /// What is asked for splitting a larger pack.
    pub surcharge: MoneyView,
    /// All packs, rounded once; none if not known.
    pub line_cost: Option<MoneyView>,
    /// Percent of tax, if somebody wrote it.
    pub tax: Option<String>,
    /// Least life at the door, in days.
    pub least_life_days: Option<i64>,
}

/// Tax of one rate.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TaxView {
    /// The rate, in percent.
    #[schema(example = "9")]
    pub percent: String,
    /// The tax.
    pub money: MoneyView,
}

/// One step of an order.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SupplierOrderEventView {
    /// `drafted`, `edited`, `sent`, `acknowledged`, `received`, `closed` or `cancelled`.
    pub step: String,
    /// Who did it.
    pub who: String,
    /// When it happened: RFC 3339 with the bakery's offset.
    pub happened_at: String,
    /// A remark.
    pub note: Option<String>,
    /// What was written down, as it was sent.
    #[schema(value_type = Object)]
    pub sent: Value,
    /// The plan revision that it made.
    pub plan_revision: i64,
}

/// An order in the list.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SupplierOrderRowView {
    /// Its UUID.
    pub id: String,
    /// What people call it.
    #[schema(example = "dairy-1")]
    pub reference: String,
    /// Who is to bring it.
    pub supplier: String,
    /// How far it is.
    pub state: &'static str,
    /// Last moment to send it.
    pub cutoff: String,
    /// When its goods count.
    pub arrives: String,
    /// Lines.
    pub lines: usize,
    /// Goods as far as prices are known.
    pub goods: MoneyView,
    /// Its number in the shop, from 1.
    pub number: i64,
}

fn money(body: &OrderBody, minor_units: i64) -> MoneyView {
    MoneyView { minor_units, currency: body.currency.clone() }
}

impl SupplierOrderRowView {
    /// An order in the list.
    #[must_use]
    pub fn new(bakery: &Bakery, order: &SupplierOrder) -> Self {
        let zone = &bakery.site().time_zone;
        Self {
            id: order.id.clone(),
            reference: order.reference(),
            supplier: order.supplier.to_string(),
            state: order.state.word(),
            cutoff: instant(zone, order.cutoff),
            arrives: instant(zone, order.arrives),
            lines: order.body.lines.len(),
            goods: money(&order.body, order.body.goods_minor),
            number: order.number,
        }
    }
}

impl SupplierOrderView {
    /// An order with its history, as it stands at a moment.
    #[must_use]
    pub fn new(bakery: &Bakery, history: &OrderHistory, now: jiff::Timestamp) -> Self {
        let OrderHistory { order, events, etag, also_ordered: _ } = history;
        let (body, zone) = (&order.body, &bakery.site().time_zone);
        let supplier = bakery.index().supplier(order.supplier.as_str());
        let supplier = supplier.map(|at| &bakery.lists().suppliers[at as usize]);
        let net = body.goods_minor - body.off_minor + body.carriage_minor;
        let tax: i64 = body.tax.iter().map(|(_, minor)| minor).sum();
        let minutes = (order.cutoff.as_second() - now.as_second()).div_euclid(60);
        let is_draft = order.state == SupplierOrderState::Draft;
        let mut view = Self {
            id: order.id.clone(),
            reference: order.reference(),
            bakery: bakery.site().name.clone(),
            supplier: order.supplier.to_string(),
            supplier_name: supplier
                .map_or_else(|| order.supplier.to_string(), |found| found.name.clone()),
            state: order.state.word(),
            who: order.who.clone(),
            happened_at: instant(zone, order.happened_at),
            cutoff: instant(zone, order.cutoff),
            minutes_left: is_draft.then_some(minutes),
            arrives: instant(zone, order.arrives),
            their_reference: body.their_reference.clone(),
            next: SupplierOrderStep::ALL
                .into_iter()
                .filter(|&step| order.state.takes(step))
                .map(SupplierOrderStep::word)
                .collect(),
            lines: body.lines.iter().map(|line| view_line(body, line)).collect(),
            goods: money(body, body.goods_minor),
            off: money(body, body.off_minor),
            carriage: money(body, body.carriage_minor),
            minimum_order: money(body, body.minimum_minor),
            gap: money(body, (body.minimum_minor - body.goods_minor).max(0)),
            deposits: money(body, body.deposit_minor),
            tax: body.tax.iter().map(|(percent, minor)| tax_view(body, percent, *minor)).collect(),
            net: money(body, net),
            total: money(body, net + body.deposit_minor + tax),
            notes: notes(history),
            mailto: None,
            history: events
                .iter()
                .map(|event| SupplierOrderEventView {
                    step: event.step.clone(),
                    who: event.who.clone(),
                    happened_at: instant(zone, event.happened_at),
                    note: event.note.clone(),
                    sent: event.body.clone(),
                    plan_revision: event.plan_revision,
                })
                .collect(),
            etag: etag.clone(),
        };
        let address = supplier.and_then(|found| found.email.as_deref());
        view.mailto = address.map(|address| mailto(address, &view));
        view
    }
}

fn tax_view(body: &OrderBody, percent: &str, minor: i64) -> TaxView {
    TaxView { percent: percent.to_owned(), money: money(body, minor) }
}

fn view_line(body: &OrderBody, line: &LineBody) -> SupplierOrderLineView {
    let stated = |minor: i64, per: &(String, String)| {
        let (amount, unit) = as_said(per);
        let money = format!("{} {}", money_text(minor), body.currency);
        Sentence::of("supplier-order-price-per")
            .with("money", Sentence::amount(money))
            .with("amount", Sentence::amount(format!("{amount} {unit}")))
    };
    let (holds_amount, holds_unit) = as_said(&line.holds);
    SupplierOrderLineView {
        line: line.number,
        item: line.item.clone(),
        name: line.item_name.clone(),
        pack: line.pack.clone(),
        holds: format!("{holds_amount} {holds_unit}"),
        holds_amount,
        holds_unit,
        uneven: line.uneven,
        gtin: line.gtin.clone(),
        packs: line.packs,
        agreed: line.agreed,
        cut_reason: line.cut_reason.clone(),
        received: line.received,
        refused: line.refused,
        to_come: line.counts().to_come(),
        pack_price_minor_units: line.price.as_ref().map(|price| price.each.clone()),
        stated_price: line.price.as_ref().map(|price| stated(price.minor, &price.per)),
        surcharge: money(body, line.surcharge_minor),
        line_cost: line.minor.map(|minor| money(body, minor)),
        tax: line.tax.clone(),
        least_life_days: line.life_minutes.map(|minutes| minutes / (24 * 60)),
    }
}

/// A kept amount in the unit in which people say it: `12000 mL` as `12 L`.
fn as_said((amount, unit): &(String, String)) -> (String, String) {
    let Ok(quantity) = Quantity::parse(amount, unit) else { return (amount.clone(), unit.clone()) };
    let PrintedView { amount, unit } = printed::amount(quantity.micro(), quantity.unit());
    (amount, if unit == "pieces" { "each".to_owned() } else { unit.to_owned() })
}

fn notes(history: &OrderHistory) -> Vec<Sentence> {
    let body = &history.order.body;
    let mut notes = Vec::new();
    let unpriced = body.lines.iter().filter(|line| line.minor.is_none()).count();
    if unpriced > 0 {
        notes.push(Sentence::of("supplier-order-unpriced").with("lines", unpriced.to_string()));
    }
    let untaxed = body.tax_unknown;
    if untaxed > 0 && untaxed < body.lines.len() {
        notes.push(Sentence::of("supplier-order-tax-unknown").with("lines", untaxed.to_string()));
    }
    let below = body.goods_minor < body.minimum_minor;
    if below && body.refused_below {
        notes.push(Sentence::of("supplier-order-below-refused"));
    } else if below {
        notes.push(Sentence::of("supplier-order-below-carriage"));
    }
    for (reference, item, packs) in &history.also_ordered {
        notes.push(
            Sentence::of("supplier-order-also-on")
                .with("item", item)
                .with("reference", reference)
                .with("packs", packs.to_string()),
        );
    }
    notes
}

impl SupplierOrderView {
    /// Its lines as comma-separated values.
    #[must_use]
    pub fn csv(&self) -> String {
        let header = [
            "order",
            "line",
            "pack",
            "gtin",
            "item",
            "packs",
            "holds",
            "unit",
            "pack_price",
            "line_cost",
            "currency",
            "delivery",
        ];
        let currency = &self.total.currency;
        csv::table(
            &header,
            self.lines.iter().map(|line| {
                let cost = line.line_cost.as_ref().map(|cost| money_text(cost.minor_units));
                let price = line.pack_price_minor_units.as_deref().map(major);
                vec![
                    self.reference.clone(),
                    line.line.to_string(),
                    line.pack.clone(),
                    line.gtin.clone().unwrap_or_default(),
                    line.name.clone(),
                    line.packs.to_string(),
                    line.holds_amount.clone(),
                    line.holds_unit.clone(),
                    price.unwrap_or_default(),
                    cost.unwrap_or_default(),
                    currency.clone(),
                    self.arrives.clone(),
                ]
            }),
        )
    }
}

/// A decimal of minor units as one of major units, every digit kept.
pub(super) fn major(minor: &str) -> String {
    let (whole, part) = minor.split_once('.').unwrap_or((minor, ""));
    let whole = format!("{whole:0>3}");
    let (units, cents) = whole.split_at(whole.len() - 2);
    format!("{units}.{cents}{part}")
}

/// The order as a mail that its sender still reads and sends.
///
/// # Source
/// RFC 6068: subject and body percent-encoded, lines end in CR LF.
fn mailto(address: &str, view: &SupplierOrderView) -> String {
    let mut text = format!(
        "Order {} of {}\r\nDelivery: {}\r\n\r\n",
        view.reference,
        view.bakery,
        view.arrives.replace('T', " ").get(..16).unwrap_or_default()
    );
    for line in &view.lines {
        let gtin = line.gtin.as_ref().map(|gtin| format!(", GTIN {gtin}")).unwrap_or_default();
        text += &format!("{} x {} ({}{gtin})\r\n", line.packs, line.name, line.holds);
    }
    let subject = format!("Order {} of {}", view.reference, view.bakery);
    format!("mailto:{address}?subject={}&body={}", segment(&subject), segment(&text))
}
