//! What to order from whom by which cutoff, in whole packs, and how to meet a minimum.
//!
//! Cutoff by cutoff in order of time: what must come with this delivery is ordered as if
//! alone. Below the supplier's minimum, whole lines of its later cutoffs are brought
//! forward, soonest run-out first, if that costs no more than carriage to the end.

mod goods;

pub(super) use goods::expected;

use super::{Plan, ShortageError, shortages::pack_of};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::add_minutes,
    net::{NetInput, NetLot, OrderQuantity, OrderQuantityInput, order_quantity},
    price::{Bill, OrderedPacks, bill, in_multiples, next_break, split},
    purchase::{Arrival, arrivals, whole_packs},
    ratio::{Overflow, Ratio},
    supplier::{BelowMinimum, Supplier},
};
use goods::Goods;
use jiff::{Timestamp, civil::Date};

/// What is done about a supplier's minimum.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    /// The order reaches it.
    AsIs,
    /// Lines of later cutoffs are brought forward.
    Fill,
    /// It stays below, and carriage is paid.
    PayCarriage,
    /// It stays below, and the supplier takes no such order.
    Refused,
}

/// One item of a suggested order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SupplierOrderLine {
    /// Position of the item.
    pub item: u32,
    /// Position of the pack.
    pub pack: u32,
    /// What makes it necessary; of its own cutoff, if it was brought forward whole.
    pub quantity: OrderQuantity,
    /// What should be left when all needs are met, in millionths.
    pub safety_micro: i64,
    /// What is wanted, in packs, before rounding up.
    pub in_packs: Ratio,
    /// Whole packs.
    pub packs: i64,
    /// How many of them were brought forward from later cutoffs.
    pub forward: i64,
    /// Price of one pack at this number of packs, in minor units; none if not known.
    pub pack_price: Option<Ratio>,
    /// All packs, rounded half up to minor units.
    pub minor: Option<i64>,
    /// A larger number of packs that costs less, what it saves in minor units; only where the
    /// item keeps long enough for what is over.
    pub next_break: Option<(i64, i64)>,
    /// Smaller packs in place of the last whole one, where only a part of that is wanted, it
    /// costs more than they do, and nobody knows that the rest of it keeps.
    pub split: Option<SplitOffer>,
}

/// Smaller packs that would do in place of a whole one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SplitOffer {
    /// Position of the smaller pack.
    pub pack: u32,
    /// How many of it.
    pub packs: i64,
    /// What that saves with the surcharge for splitting, in minor units.
    pub saves_minor: i64,
}

/// What one cutoff's goods cost, and all from there to the end of the horizon.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Basket {
    /// Goods of this cutoff, in minor units.
    pub goods_minor: i64,
    /// Goods and carriage of this and all later cutoffs of the horizon.
    pub total_to_end_minor: i64,
}

/// What to order from one supplier by one cutoff.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SupplierOrderProposal {
    /// Position of the supplier.
    pub supplier: u32,
    /// Its cutoff and delivery.
    pub arrival: Arrival,
    /// What is done about the minimum.
    pub choice: Choice,
    /// As if each cutoff were ordered alone.
    pub alone: Basket,
    /// With later lines brought forward; none if the minimum is reached alone.
    pub filled: Option<Basket>,
    /// What was ordered, in listed order of items, then what was brought forward.
    pub lines: Vec<SupplierOrderLine>,
    /// Goods of these lines, in minor units.
    pub goods_minor: i64,
    /// What is missing up to the minimum if ordered alone.
    pub gap_minor: i64,
    /// Carriage that is paid.
    pub carriage_minor: i64,
}

/// Proposals for all suppliers, in listed order, each by cutoff from now on.
///
/// What nobody can price counts as nothing towards a minimum, and its line says so.
///
/// # Errors
/// [`ShortageError`]
pub fn supplier_orders(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    now: Timestamp,
) -> Result<Vec<SupplierOrderProposal>, ShortageError> {
    let mut found = Vec::new();
    for (position, supplier) in (0_u32..).zip(&bakery.lists().suppliers) {
        let mut desk = Desk::open(bakery, book, plan, (position, supplier), now)?;
        for cutoff in 0..desk.open.len() {
            found.extend(desk.propose(cutoff)?);
        }
    }
    Ok(found)
}

struct Desk<'a> {
    bakery: &'a Bakery,
    position: u32,
    supplier: &'a Supplier,
    goods: Vec<Goods<'a>>,
    /// Deliveries that can still be ordered within the horizon, by cutoff.
    open: Vec<Arrival>,
    /// The same and those after the horizon, by arrival: where the next one is looked up.
    coming: Vec<Arrival>,
}

impl<'a> Desk<'a> {
    fn open(
        bakery: &'a Bakery,
        book: &Book,
        plan: &Plan,
        (position, supplier): (u32, &'a Supplier),
        now: Timestamp,
    ) -> Result<Self, ShortageError> {
        let mut goods = Vec::new();
        for item in (0_u32..).take(bakery.lists().items.len()) {
            let Some(pack_at) = pack_of(bakery, item)? else { continue };
            let pack = &bakery.lists().packs[pack_at as usize];
            if pack.supplier == supplier.code {
                goods.extend(Goods::of(bakery, book, plan, item, (pack_at, pack), now)?);
            }
        }
        let end = plan.end().unwrap_or(now);
        let mut coming: Vec<Arrival> = arrivals(bakery.site(), supplier, now, end)?
            .into_iter()
            .filter(|arrival| arrival.cutoff >= now && !arrival.ask_supplier)
            .collect();
        let open = coming.iter().copied().filter(|arrival| arrival.arrives <= end).collect();
        coming.sort_by_key(|arrival| arrival.arrives);
        Ok(Self { bakery, position, supplier, goods, open, coming })
    }

    /// The proposal for one cutoff; what it orders is then on its way.
    fn propose(&mut self, at: usize) -> Result<Option<SupplierOrderProposal>, ShortageError> {
        let alone_lines = self.lines(at, &self.ordered())?;
        if alone_lines.is_empty() {
            return Ok(None);
        }
        let minimum = self.supplier.minimum_order.minor;
        let goods = sum(&alone_lines);
        let gap_minor = (minimum - goods).max(0);
        let alone = self.basket(at, &alone_lines)?;
        let mut proposal = SupplierOrderProposal {
            supplier: self.position,
            arrival: self.open[at],
            choice: Choice::AsIs,
            alone,
            filled: None,
            lines: alone_lines,
            goods_minor: goods,
            gap_minor,
            carriage_minor: 0,
        };
        if gap_minor > 0 {
            let filled_lines = self.fill(at, &proposal.lines)?;
            let filled = self.basket(at, &filled_lines)?;
            proposal.filled = Some(filled);
            let reaches = filled.goods_minor >= minimum;
            if reaches && filled.total_to_end_minor <= alone.total_to_end_minor {
                proposal.choice = Choice::Fill;
                proposal.goods_minor = filled.goods_minor;
                proposal.lines = filled_lines;
            } else if self.supplier.below_minimum == BelowMinimum::Carriage {
                proposal.choice = Choice::PayCarriage;
                proposal.carriage_minor = self.supplier.carriage.minor;
            } else {
                proposal.choice = Choice::Refused;
            }
        }
        if proposal.choice != Choice::Refused {
            let arrival = self.open[at];
            for line in &proposal.lines {
                self.receive(line, arrival)?;
            }
        }
        Ok(Some(proposal))
    }

    /// Lots of all goods as they stand.
    fn ordered(&self) -> Vec<Vec<NetLot>> {
        self.goods.iter().map(|goods| goods.lots.clone()).collect()
    }

    /// What must come with a delivery, item by item, given what is there and on its way.
    fn lines(
        &self,
        at: usize,
        lots: &[Vec<NetLot>],
    ) -> Result<Vec<SupplierOrderLine>, ShortageError> {
        let arrival = self.open[at];
        let mut lines = Vec::new();
        for (goods, lots) in self.goods.iter().zip(lots) {
            let next = self.coming.iter().find(|next| next.arrives > arrival.arrives);
            let ready = goods.ready_after_minutes;
            let quantity = order_quantity(OrderQuantityInput {
                stock: NetInput { needs: &goods.needs, lots, ..goods.stock },
                arrives: add_minutes(arrival.arrives, ready)?,
                next_arrives: match next {
                    Some(next) => add_minutes(next.arrives, ready)?,
                    None => Timestamp::MAX,
                },
                safety_micro: goods.safety_micro,
            })?;
            let packs = whole_packs(quantity.order_micro, goods.holds)?;
            let packs = in_multiples(packs, goods.pack.multiple)?;
            if packs > 0 {
                lines.push(Self::line(goods, quantity, packs)?);
            }
        }
        self.price(&mut lines, arrival)?;
        Ok(lines)
    }

    fn line(
        goods: &Goods<'_>,
        quantity: OrderQuantity,
        packs: i64,
    ) -> Result<SupplierOrderLine, Overflow> {
        Ok(SupplierOrderLine {
            item: goods.item,
            pack: goods.pack_at,
            quantity,
            safety_micro: goods.safety_micro,
            in_packs: Ratio::whole(quantity.order_micro.into()).over(goods.holds)?,
            packs,
            forward: 0,
            pack_price: None,
            minor: None,
            next_break: None,
            split: None,
        })
    }

    /// What lines that come with a delivery come to together.
    fn bill(&self, lines: &[SupplierOrderLine], arrival: Arrival) -> Result<Bill, Overflow> {
        bill(self.supplier, &self.ordered_packs(lines), self.delivered_on(arrival))
    }

    fn ordered_packs(&self, lines: &[SupplierOrderLine]) -> Vec<OrderedPacks<'a>> {
        let (bakery, packs) = (self.bakery, &self.bakery.lists().packs);
        let ordered = |line: &SupplierOrderLine| OrderedPacks {
            item: bakery.item(line.item),
            pack: &packs[line.pack as usize],
            packs: line.packs,
        };
        lines.iter().map(ordered).collect()
    }

    fn delivered_on(&self, arrival: Arrival) -> Date {
        self.bakery.site().time_zone.to_datetime(arrival.arrives).date()
    }

    /// Prices lines at their numbers of packs, counted together.
    fn price(&self, lines: &mut [SupplierOrderLine], arrival: Arrival) -> Result<(), Overflow> {
        let (ordered, on) = (self.ordered_packs(lines), self.delivered_on(arrival));
        let billed = bill(self.supplier, &ordered, on)?;
        for (line, billed) in lines.iter_mut().zip(billed.lines) {
            (line.pack_price, line.minor) = (billed.pack_price, billed.minor);
        }
        for (at, line) in lines.iter_mut().enumerate() {
            let goods = self.goods.iter().find(|goods| goods.item == line.item);
            let Some(goods) = goods else { continue };
            line.split = self.split(goods, line, on)?;
            if goods.short_life {
                continue;
            }
            line.next_break = match next_break(self.supplier, &ordered, at, on)? {
                Some((packs, saves)) if goods.keeps(packs - line.packs)? => Some((packs, saves)),
                _ => None,
            };
        }
        Ok(())
    }

    /// The cheapest smaller packs in place of the last whole one, if its rest may not keep.
    fn split(
        &self,
        goods: &Goods<'_>,
        line: &SupplierOrderLine,
        on: Date,
    ) -> Result<Option<SplitOffer>, Overflow> {
        let part = goods.part_of_last(line)?;
        if line.forward > 0 || goods.pack.multiple > 1 || (!goods.short_life && goods.keeps(1)?) {
            return Ok(None);
        }
        let item = self.bakery.item(line.item);
        let whole = OrderedPacks { item, pack: goods.pack, packs: line.packs };
        let mut best: Option<SplitOffer> = None;
        for (pack, smaller) in (0_u32..).zip(&self.bakery.lists().packs) {
            let fits = smaller.split_of.as_ref() == Some(&goods.pack.code) && smaller.orderable;
            if !fits || smaller.supplier != goods.pack.supplier {
                continue;
            }
            if let Some((packs, saves_minor)) = split((&whole, smaller), part, on)?
                && best.is_none_or(|best| saves_minor > best.saves_minor)
            {
                best = Some(SplitOffer { pack, packs, saves_minor });
            }
        }
        Ok(best)
    }

    /// Goods and carriage from a cutoff on, if every later one is ordered alone.
    fn basket(&self, at: usize, lines: &[SupplierOrderLine]) -> Result<Basket, ShortageError> {
        let own = self.bill(lines, self.open[at])?;
        let mut total = own.net_minor();
        for (later, arrival) in self.later(at, lines)?.iter().zip(&self.open[at + 1..]) {
            total += self.bill(later, *arrival)?.net_minor();
        }
        Ok(Basket { goods_minor: own.goods_minor, total_to_end_minor: total })
    }

    /// The lines of all later cutoffs, each ordered alone, after `lines` at this one.
    fn later(
        &self,
        at: usize,
        lines: &[SupplierOrderLine],
    ) -> Result<Vec<Vec<SupplierOrderLine>>, ShortageError> {
        let mut lots = self.ordered();
        self.add(&mut lots, lines, self.open[at])?;
        let mut later = Vec::new();
        for next in at + 1..self.open.len() {
            let lines = self.lines(next, &lots)?;
            self.add(&mut lots, &lines, self.open[next])?;
            later.push(lines);
        }
        Ok(later)
    }

    /// Brings whole lines of later cutoffs forward until the minimum is reached.
    fn fill(
        &self,
        at: usize,
        lines: &[SupplierOrderLine],
    ) -> Result<Vec<SupplierOrderLine>, ShortageError> {
        let mut filled = lines.to_vec();
        let place = |item: u32| self.goods.iter().position(|goods| goods.item == item);
        let mut candidates: Vec<(usize, usize, SupplierOrderLine)> = Vec::new();
        for (cutoff, lines) in self.later(at, lines)?.into_iter().enumerate() {
            for line in lines {
                if let Some(found) = place(line.item).filter(|&at| !self.goods[at].short_life) {
                    candidates.push((found, cutoff, line));
                }
            }
        }
        candidates.sort_by_key(|(goods, cutoff, _)| {
            (self.goods[*goods].runs_out.unwrap_or(Timestamp::MAX), *goods, *cutoff)
        });
        for (_, _, line) in candidates {
            if sum(&filled) >= self.supplier.minimum_order.minor {
                break;
            }
            match filled.iter_mut().find(|held| held.item == line.item) {
                Some(held) => {
                    held.packs += line.packs;
                    held.forward += line.packs;
                }
                None => filled.push(SupplierOrderLine { forward: line.packs, ..line }),
            }
            self.price(&mut filled, self.open[at])?;
        }
        Ok(filled)
    }

    fn add(
        &self,
        lots: &mut [Vec<NetLot>],
        lines: &[SupplierOrderLine],
        arrival: Arrival,
    ) -> Result<(), ShortageError> {
        for line in lines {
            if let Some(at) = self.goods.iter().position(|goods| goods.item == line.item) {
                lots[at].push(self.expected(&self.goods[at], line, arrival)?);
            }
        }
        Ok(())
    }

    fn receive(&mut self, line: &SupplierOrderLine, arrival: Arrival) -> Result<(), ShortageError> {
        if let Some(at) = self.goods.iter().position(|goods| goods.item == line.item) {
            let lot = self.expected(&self.goods[at], line, arrival)?;
            self.goods[at].lots.push(lot);
        }
        Ok(())
    }

    fn expected(
        &self,
        goods: &Goods<'_>,
        line: &SupplierOrderLine,
        arrival: Arrival,
    ) -> Result<NetLot, ShortageError> {
        expected(self.bakery, self.supplier, (goods.item, goods.pack, goods.holds), line, arrival)
    }
}

/// Goods of some lines as far as prices are known, in minor units.
fn sum(lines: &[SupplierOrderLine]) -> i64 {
    lines.iter().filter_map(|line| line.minor).sum()
}
