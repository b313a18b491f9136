//! Who got something of a lot: what the ledger says was sent, and what the order book says
//! where goods were not sent lot by lot.

use super::{
    Reach, StepOf, TracedLot, TracedStep, documents,
    gather::{Graph, Key},
};
use crate::{
    service::{Refusal, book::date, stock},
    store::{StoreError, Tx, orders, trace as rows},
};
use domain::{
    bakery::{Bakery, Driver},
    load::LoadState,
    product::MakeUp,
    quantity::{MICRO, Unit},
};
use jiff::{Timestamp, civil::Date};
use std::collections::{BTreeMap, BTreeSet};

/// Somebody who got, or may have got, something of a lot.
#[derive(Debug, Clone)]
pub struct Recipient {
    /// Code of the customer; none if only a document is known.
    pub customer: Option<String>,
    /// What people call the customer.
    pub name: Option<String>,
    /// The sender's name for the order, or the document.
    pub order_ref: Option<String>,
    /// For which local date.
    pub service_date: Option<Date>,
    /// Local time of the drop, `HH:MM`.
    pub drop: Option<String>,
    /// The product or item.
    pub product: String,
    /// Name of the lot that was sent; none if nobody wrote it down.
    pub lot: Option<String>,
    /// How much, in millionths of the unit.
    pub micro: i64,
    /// The unit.
    pub unit: Unit,
    /// When it was sent; none if nobody wrote it down.
    pub sent_at: Option<Timestamp>,
    /// How far it is.
    pub reach: Reach,
}

impl Recipient {
    fn rank(&self) -> impl Ord + use<> {
        let when = (self.service_date, self.drop.clone());
        let who = (self.customer.clone(), self.order_ref.clone());
        (!self.reach.certain, when, who, self.product.clone(), self.lot.clone())
    }
}

type Found<'a> = (&'a [TracedLot], &'a [TracedStep], &'a [Option<usize>]);

pub(super) fn find(
    tx: &mut Tx,
    site: &str,
    graph: &Graph<'_>,
    (lots, steps, position): Found<'_>,
) -> Result<Vec<Recipient>, Refusal> {
    let mut found = Vec::new();
    let mut asked = Asked::default();
    for (met, at) in graph.lots.iter().zip(position) {
        let Some(lot) = at.map(|at| &lots[at]) else { continue };
        for sent in &met.sent {
            let mut one = recipient((&met.row.item, sent.micro, lot.unit), lot.reach.clone());
            one.lot = Some(lot.name.clone());
            one.sent_at = Some(sent.at);
            let order = sent.document.as_deref().and_then(|text| text.strip_prefix(ORDER));
            match order {
                Some(order) => asked.fill(tx, site, graph.bakery, order, &mut one)?,
                None => one.order_ref.clone_from(&sent.document),
            }
            found.push(one);
        }
    }
    for (key, read) in &graph.read {
        let Key::Past(past) = key else { continue };
        let own = |step: &&TracedStep| matches!(&step.of, StepOf::Past { id, .. } if id == past);
        let Some(reach) = steps.iter().find(own).map(|step| &step.reach) else { continue };
        for line in read.lines.iter().filter(|line| line.kind == documents::SEND) {
            let lot = line.lot.as_deref().and_then(|lot| graph.number(lot).ok());
            let lot = lot.and_then(|lot| position[lot as usize]).map(|at| &lots[at]);
            // What left of another lot of the same load has nothing of this one.
            if line.lot.is_some() && lot.is_none() {
                continue;
            }
            let reach = lot.map_or(reach, |lot| &lot.reach);
            let unit = stock::unit_of(&line.unit)?;
            let mut one = recipient((&line.item, line.amount_micro, unit), reach.clone());
            one.lot = lot.map(|lot| lot.name.clone());
            one.order_ref.clone_from(&line.order_ref);
            one.name = line.customer.as_deref().and_then(|code| name(graph.bakery, code));
            one.customer.clone_from(&line.customer);
            one.service_date = line.service_date.as_deref().map(date).transpose()?;
            one.drop.clone_from(&line.drop_time);
            found.push(one);
        }
    }
    found.extend(by_the_orders(tx, site, graph, steps)?);
    found.sort_by_key(Recipient::rank);
    Ok(found)
}

/// How a document names an order.
const ORDER: &str = "order:";

fn recipient((product, micro, unit): (&str, i64, Unit), reach: Reach) -> Recipient {
    Recipient {
        customer: None,
        name: None,
        order_ref: None,
        service_date: None,
        drop: None,
        product: product.to_owned(),
        lot: None,
        micro,
        unit,
        sent_at: None,
        reach,
    }
}

fn name(bakery: &Bakery, code: &str) -> Option<String> {
    let at = bakery.index().customer(code)?;
    Some(bakery.lists().customers[at as usize].name.clone())
}

/// Orders, read once each.
#[derive(Default)]
struct Asked {
    orders: BTreeMap<String, Option<orders::OrderVersionRow>>,
}

impl Asked {
    fn fill(
        &mut self,
        tx: &mut Tx,
        site: &str,
        bakery: &Bakery,
        order: &str,
        one: &mut Recipient,
    ) -> Result<(), StoreError> {
        one.order_ref = Some(order.to_owned());
        if !self.orders.contains_key(order) {
            let held = orders::find(tx, site, order)?;
            let version = match held {
                Some(held) => orders::version(tx, site, order, held.version)?,
                None => None,
            };
            self.orders.insert(order.to_owned(), version);
        }
        if let Some(Some(version)) = self.orders.get(order) {
            one.customer.clone_from(&version.customer);
            one.name = version.customer.as_deref().and_then(|code| name(bakery, code));
            one.service_date = version.service_date.as_deref().map(date).transpose()?;
            one.drop.clone_from(&version.drop_time);
        }
        Ok(())
    }
}

/// Where pieces of a load are in no lot, everybody who ordered its products may have got some.
fn by_the_orders(
    tx: &mut Tx,
    site: &str,
    graph: &Graph<'_>,
    steps: &[TracedStep],
) -> Result<Vec<Recipient>, Refusal> {
    let mut wanted: BTreeMap<(Date, String), Reach> = BTreeMap::new();
    for step in steps {
        let StepOf::Load { id, formula, service_date, state, pieces, .. } = &step.of else {
            continue;
        };
        let read = graph.read.get(&Key::Load(id.clone()));
        let gave = read.map(|read| documents::pieces_of(graph, read)).unwrap_or_default();
        let began = LoadState::parse(state)
            .is_some_and(|state| state.covers() && state >= LoadState::Divided);
        if !began {
            continue;
        }
        let products: BTreeSet<String> = if pieces.is_empty() {
            products_of(graph.bakery, formula, *service_date)
        } else {
            pieces.iter().map(|(product, _)| product.clone()).collect()
        };
        for product in products.into_iter().filter(|product| !gave.contains(product)) {
            let reach = Reach {
                generation: step.reach.generation + 1,
                certain: false,
                ..step.reach.clone()
            };
            wanted.entry((*service_date, product)).or_insert(reach);
        }
    }
    let mut found = Vec::new();
    let dates: BTreeSet<Date> = wanted.keys().map(|(date, _)| *date).collect();
    for day in dates {
        for line in rows::lines_on(tx, site, &day.to_string())? {
            let Some(reach) = wanted.get(&(day, line.product.clone())) else { continue };
            let micro = line.quantity_taken.saturating_mul(MICRO);
            let mut one = recipient((&line.product, micro, Unit::Each), reach.clone());
            one.name = line.customer.as_deref().and_then(|code| name(graph.bakery, code));
            one.customer = line.customer;
            one.order_ref = Some(line.order_ref);
            one.service_date = Some(day);
            one.drop = line.drop_time;
            found.push(one);
        }
    }
    Ok(found)
}

/// Products that take a formula, straight or through doughs that are made in blocks.
fn products_of(bakery: &Bakery, formula: &str, service_date: Date) -> BTreeSet<String> {
    let recipes = bakery.recipes(service_date);
    let mut made: BTreeSet<u32> = bakery.index().item(formula).into_iter().collect();
    for recipe in &recipes.recipes {
        if let Driver::Blocks { base, sheet, .. } = recipe.driver
            && (made.contains(&base) || made.contains(&sheet))
        {
            made.insert(recipe.item);
        }
    }
    let takes = |line: &MakeUp| match line {
        MakeUp::Item { item, .. } => {
            bakery.index().item(item.as_str()).is_some_and(|item| made.contains(&item))
        }
        MakeUp::Product { .. } => false,
    };
    let products = bakery.lists().products.iter();
    let found = products.filter(|product| product.make_up.iter().any(takes));
    found.map(|product| product.code.to_string()).collect()
}
