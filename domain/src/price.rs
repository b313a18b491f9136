//! What packs cost: which price holds on a date for a number of packs, and what an order
//! comes to.
//!
//! A price stands for the stated amount and is never divided into a rounded unit price:
//! lines are rounded once, half up to minor units, and all else is summed from lines.

use crate::{
    id::Code,
    item::Item,
    money::Money,
    quantity::Quantity,
    ratio::{Overflow, Ratio},
    supplier::{BelowMinimum, Pack, PackPrice, Supplier},
};
use jiff::civil::Date;

/// The price of a pack that holds on a date of delivery; none before the first.
#[must_use]
pub fn in_force(pack: &Pack, on: Date) -> Option<&PackPrice> {
    pack.prices.iter().filter(|price| price.valid_from <= on).max_by_key(|price| price.valid_from)
}

/// The price as it is stated if so many packs are counted: the money, and for what.
#[must_use]
pub fn stated(pack: &Pack, on: Date, counted: i64) -> Option<(Money, Quantity)> {
    let held = in_force(pack, on)?;
    let reached = held.breaks.iter().filter(|one| one.from_packs <= counted);
    let price = reached.max_by_key(|one| one.from_packs).map_or(held.price, |one| one.price);
    Some((price, held.per.unwrap_or(pack.holds)))
}

/// The price of one pack if so many are counted for its breaks, exact, in minor units.
///
/// None if nothing holds on the date, or if the price is for an amount that nobody can
/// convert. A pack of uneven weight is priced at its nominal weight.
///
/// # Errors
/// [`Overflow`]
pub fn pack_price(
    item: &Item,
    pack: &Pack,
    on: Date,
    counted: i64,
) -> Result<Option<Ratio>, Overflow> {
    let Some((price, per)) = stated(pack, on, counted) else { return Ok(None) };
    let minor = Ratio::whole(price.minor.into());
    if per == pack.holds {
        return Ok(Some(minor));
    }
    match (item.in_base_unit(pack.holds)?, item.in_base_unit(per)?) {
        (Some(nominal), Some(per)) if per.is_positive() => {
            Ok(Some(minor.times(nominal.over(per)?)?))
        }
        _ => Ok(None),
    }
}

/// What an amount costs at a price, exact, in minor units; none if it cannot be converted.
///
/// The amount is in millionths of the item's base unit: a received weight, or a use.
///
/// # Errors
/// [`Overflow`]
pub fn amount_price(
    item: &Item,
    pack: &Pack,
    on: Date,
    micro: i64,
) -> Result<Option<Ratio>, Overflow> {
    let Some(held) = in_force(pack, on) else { return Ok(None) };
    let for_what = item.in_base_unit(held.per.unwrap_or(pack.holds))?;
    let Some(for_what) = for_what.filter(|amount| amount.is_positive()) else { return Ok(None) };
    let share = Ratio::whole(micro.into()).over(for_what)?;
    Ok(Some(share.times(Ratio::whole(held.price.minor.into()))?))
}

/// What a millionth of the base unit of received goods costs by the price list of their date,
/// exact, in minor units; none if no price holds then.
///
/// Of the packs of the supplier who sent them, if it sells any, else of all packs of the item,
/// that of the newest price counts, ties as listed. An amount reaches the breaks that so many
/// whole packs reach.
///
/// # Errors
/// [`Overflow`]
pub fn price_of_received(
    item: &Item,
    packs: &[Pack],
    supplier: Option<&Code>,
    (on, amount_micro): (Date, Option<i64>),
) -> Result<Option<Ratio>, Overflow> {
    let priced = |sender: Option<&Code>| {
        let of_item = packs.iter().rev().filter(|pack| pack.item == item.code);
        let sent = of_item.filter(|pack| sender.is_none_or(|sender| pack.supplier == *sender));
        sent.filter_map(|pack| Some((in_force(pack, on)?.valid_from, pack)))
            .max_by_key(|(from, _)| *from)
            .map(|(_, pack)| pack)
    };
    let Some(pack) = priced(supplier).or_else(|| priced(None)) else { return Ok(None) };
    let holds = item.in_base_unit(pack.holds)?.filter(|holds| holds.is_positive());
    let Some(holds) = holds else { return Ok(None) };
    let whole_packs = match amount_micro {
        Some(micro) => Ratio::whole(micro.into()).over(holds)?.floor().max(1),
        None => 1,
    };
    let counted = i64::try_from(whole_packs).map_err(|_| Overflow)?;
    pack_price(item, pack, on, counted)?.map(|price| price.over(holds)).transpose()
}

/// One line of an order: so many of a pack.
#[derive(Debug, Clone, Copy)]
pub struct OrderedPacks<'a> {
    /// What is in it.
    pub item: &'a Item,
    /// Which pack.
    pub pack: &'a Pack,
    /// How many.
    pub packs: i64,
}

/// What one line comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BillLine {
    /// Price of one pack with the break that the order reaches, exact; none if not known.
    pub pack_price: Option<Ratio>,
    /// What is asked for splitting a larger pack, in minor units.
    pub surcharge_minor: i64,
    /// All packs and the surcharge, rounded half up to minor units; none if not known.
    pub minor: Option<i64>,
    /// Packs that were counted for its breaks.
    pub counted: i64,
}

/// What an order comes to; all in minor units.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Bill {
    /// Its lines, in order.
    pub lines: Vec<BillLine>,
    /// Goods as far as prices are known: what a minimum is measured by.
    pub goods_minor: i64,
    /// What the value of the goods takes off them.
    pub off_minor: i64,
    /// Carriage, if the goods stay below the minimum.
    pub carriage_minor: i64,
    /// Deposits, which come back with the crates.
    pub deposit_minor: i64,
    /// Tax on goods by rate in percent, lowest rate first.
    pub tax: Vec<(Ratio, i64)>,
    /// Lines of which nobody wrote the tax.
    pub tax_unknown: usize,
}

impl Bill {
    /// Goods less what is off, and carriage: without deposits and tax.
    #[must_use]
    pub const fn net_minor(&self) -> i64 {
        self.goods_minor - self.off_minor + self.carriage_minor
    }

    /// Everything together.
    #[must_use]
    pub fn total_minor(&self) -> i64 {
        self.net_minor() + self.deposit_minor + self.tax.iter().map(|(_, minor)| minor).sum::<i64>()
    }
}

/// What an order to a supplier comes to, delivered on a date.
///
/// Breaks count all packs of one pack, or of one price group. Carriage is charged where the
/// goods stay below the minimum, before anything is taken off. Tax of carriage is the
/// supplier's to say and is in no sum here.
///
/// # Errors
/// [`Overflow`]
pub fn bill(supplier: &Supplier, lines: &[OrderedPacks<'_>], on: Date) -> Result<Bill, Overflow> {
    let mut bill = Bill::default();
    for line in lines {
        let counted = lines.iter().filter(|other| counts_with(line.pack, other.pack));
        let counted = counted.map(|other| other.packs).try_fold(0_i64, i64::checked_add);
        let one = bill_line(line, on, counted.ok_or(Overflow)?)?;
        bill.goods_minor = add(bill.goods_minor, one.minor.unwrap_or(0))?;
        let deposit = line.pack.deposit.map_or(0, |deposit| deposit.minor);
        let deposit = deposit.checked_mul(line.packs).ok_or(Overflow)?;
        bill.deposit_minor = add(bill.deposit_minor, deposit)?;
        bill.lines.push(one);
    }
    let reached = supplier.value_breaks.iter().filter(|one| one.from.minor <= bill.goods_minor);
    let off = reached.max_by_key(|one| one.from.minor).map_or(Ratio::ZERO, |one| one.percent_off);
    bill.off_minor = percent(bill.goods_minor, off)?;
    let below = bill.goods_minor > 0 && bill.goods_minor < supplier.minimum_order.minor;
    if below && supplier.below_minimum == BelowMinimum::Carriage {
        bill.carriage_minor = supplier.carriage.minor;
    }
    tax(&mut bill, lines, off)?;
    Ok(bill)
}

/// Whether packs of one line count for the breaks of another.
fn counts_with(pack: &Pack, other: &Pack) -> bool {
    match &pack.price_group {
        Some(group) => other.price_group.as_ref() == Some(group),
        None => other.code == pack.code,
    }
}

fn bill_line(line: &OrderedPacks<'_>, on: Date, counted: i64) -> Result<BillLine, Overflow> {
    let OrderedPacks { item, pack, packs } = *line;
    let split = pack.split_of.is_some() && packs > 0;
    let surcharge = pack.split_surcharge.filter(|_| split);
    let surcharge_minor = surcharge.map_or(0, |surcharge| surcharge.minor);
    let pack_price = pack_price(item, pack, on, counted)?;
    let minor = match pack_price {
        Some(price) => {
            let all = price.times(Ratio::whole(packs.into()))?.round_half_up()?;
            Some(add(i64::try_from(all).map_err(|_| Overflow)?, surcharge_minor)?)
        }
        None => None,
    };
    Ok(BillLine { pack_price, surcharge_minor, minor, counted })
}

/// Tax of each rate: its lines less what is off them, rounded once.
fn tax(bill: &mut Bill, lines: &[OrderedPacks<'_>], off: Ratio) -> Result<(), Overflow> {
    let mut bases: Vec<(Ratio, i64)> = Vec::new();
    for (line, billed) in lines.iter().zip(&bill.lines) {
        let Some(rate) = line.pack.tax_percent else {
            bill.tax_unknown += 1;
            continue;
        };
        let minor = billed.minor.unwrap_or(0);
        match bases.iter_mut().find(|(known, _)| *known == rate) {
            Some((_, base)) => *base = add(*base, minor)?,
            None => bases.push((rate, minor)),
        }
    }
    bases.sort_by_key(|&(rate, _)| rate);
    for (rate, base) in bases {
        let kept = Ratio::whole(100).minus(off)?.over(Ratio::whole(100))?;
        let taxed = Ratio::whole(base.into()).times(kept)?.times(rate)?.over(Ratio::whole(100))?;
        let minor = i64::try_from(taxed.round_half_up()?).map_err(|_| Overflow)?;
        bill.tax.push((rate, minor));
    }
    Ok(())
}

/// More packs of one line of an order that reach a break and make its goods cost less: how
/// many, and what they save.
///
/// None where the larger number costs as much or more. Packs of a price group are counted
/// together, and the saving is that of all lines. Whether the surplus is used in time is for
/// the caller to know.
///
/// # Errors
/// [`Overflow`]
pub fn next_break(
    supplier: &Supplier,
    lines: &[OrderedPacks<'_>],
    at: usize,
    on: Date,
) -> Result<Option<(i64, i64)>, Overflow> {
    let Some(held) = lines.get(at).and_then(|line| in_force(line.pack, on)) else {
        return Ok(None);
    };
    // Its own packs are among those counted: breaks up to their number are reached already.
    if held.breaks.iter().all(|level| level.from_packs <= lines[at].packs) {
        return Ok(None);
    }
    let goods = |bill: &Bill| bill.goods_minor - bill.off_minor;
    let now = bill(supplier, lines, on)?;
    let BillLine { minor: Some(_), counted, .. } = now.lines[at] else { return Ok(None) };
    let mut best: Option<(i64, i64)> = None;
    for level in held.breaks.iter().filter(|level| level.from_packs > counted) {
        let mut more = lines.to_vec();
        more[at].packs = add(lines[at].packs, level.from_packs - counted)?;
        let saves = goods(&now) - goods(&bill(supplier, &more, on)?);
        if saves > 0 && best.is_none_or(|(_, most)| saves > most) {
            best = Some((more[at].packs, saves));
        }
    }
    Ok(best)
}

/// Smaller packs that cover the part of the last whole pack that is wanted, and what they save
/// against it, their surcharge included; none if they cost as much or more.
///
/// # Errors
/// [`Overflow`]
///
/// # Source
/// trade.md 3, pack hierarchy: a surcharge for split cases is possible.
pub fn split(
    (whole, smaller): (&OrderedPacks<'_>, &Pack),
    part_micro: i64,
    on: Date,
) -> Result<Option<(i64, i64)>, Overflow> {
    let item = whole.item;
    let holds = holds_at_least(item, smaller)?.filter(|holds| holds.is_positive());
    let (Some(holds), true) = (holds, part_micro > 0 && whole.packs > 0) else { return Ok(None) };
    let packs = Ratio::whole(part_micro.into()).over(holds)?.ceil();
    let packs = i64::try_from(packs).map_err(|_| Overflow)?;
    let packs = in_multiples(packs, smaller.multiple)?;
    let of = |pack, packs| bill_line(&OrderedPacks { item, pack, packs }, on, packs);
    let all = of(whole.pack, whole.packs)?.minor;
    let fewer = of(whole.pack, whole.packs - 1)?.minor;
    let split = of(smaller, packs)?.minor;
    let (Some(all), Some(fewer), Some(split)) = (all, fewer, split) else { return Ok(None) };
    let saves = all - add(fewer, split)?;
    Ok((saves > 0).then_some((packs, saves)))
}

/// Packs rounded up to the supplier's order multiple.
///
/// # Errors
/// [`Overflow`]
pub fn in_multiples(packs: i64, multiple: i64) -> Result<i64, Overflow> {
    let multiple = multiple.max(1);
    let over = packs.rem_euclid(multiple);
    if over == 0 { Ok(packs) } else { add(packs, multiple - over) }
}

/// What whole packs hold at least, in millionths: packs of uneven weight at their low end.
///
/// # Errors
/// [`Overflow`]
pub fn holds_at_least(item: &Item, pack: &Pack) -> Result<Option<Ratio>, Overflow> {
    item.in_base_unit(pack.catch_weight.map_or(pack.holds, |(low, _)| low))
}

fn percent(minor: i64, percent: Ratio) -> Result<i64, Overflow> {
    let part = Ratio::whole(minor.into()).times(percent)?.over(Ratio::whole(100))?;
    i64::try_from(part.round_half_up()?).map_err(|_| Overflow)
}

fn add(a: i64, b: i64) -> Result<i64, Overflow> {
    a.checked_add(b).ok_or(Overflow)
}

#[cfg(test)]
mod tests;
