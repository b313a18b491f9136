//! Money is never lost: what came in is somewhere, to the last millionth of a cent.

use anyhow::{Context, Result, ensure};
use domain::{
    figure::Figure,
    money::whole_minor,
    ratio::Ratio,
    valuation::{Flow, LotPrice, Valuation, ValuedEntry, ValuedLot, WORTH, Worth, value},
};
use num_rational::BigRational;
use num_traits::Zero;
use weighhouse_tests::builders::Seed;

/// Random weeks that are tried.
const WEEKS: u64 = 300;

/// A random week: receipts, works that take and make, waste, counts, sales.
fn week(seed: &mut Seed) -> Result<(Vec<ValuedLot>, usize, Vec<ValuedEntry>)> {
    let mut lots: Vec<ValuedLot> = Vec::new();
    let mut left: Vec<i64> = Vec::new();
    let mut entries: Vec<ValuedEntry> = Vec::new();
    let entry = |lot: usize, flow, amount_micro: i64, work| ValuedEntry {
        lot: u32::try_from(lot).unwrap_or(0),
        flow,
        amount_micro,
        work,
        part_of: None,
        weight: amount_micro.abs(),
        // What is made of one work is written at once.
        written: work.unwrap_or(u32::MAX),
    };
    for item in 0..(3 + seed.below(6)) {
        let price =
            Ratio::new((1 + seed.below(9_000)).into(), (1 + seed.below(25_000_000)).into())?;
        let price = if seed.below(8) == 0 { LotPrice::Unknown } else { LotPrice::Paid(price) };
        lots.push(ValuedLot { item: u32::try_from(item)?, price });
        left.push(i64::try_from(1 + seed.below(40_000_000))?);
        entries.push(entry(lots.len() - 1, Flow::Received, left[lots.len() - 1], None));
    }
    let works = 2 + usize::try_from(seed.below(12))?;
    for work in 0..works {
        let work = Some(u32::try_from(work)?);
        for _ in 0..=seed.below(6) {
            let lot = usize::try_from(seed.below(lots.len() as u64))?;
            // Bought stock may go below nothing; what was made is only used as far as it is there.
            let most = if lots[lot].price == LotPrice::Made { left[lot].max(0) } else { 5_000_000 };
            let taken = i64::try_from(seed.below(u64::try_from(most)? + 1))?;
            left[lot] -= taken;
            entries.push(entry(lot, Flow::Used, -taken, work));
        }
        for _ in 0..=seed.below(3) {
            let made = i64::try_from(1 + seed.below(3_000_000))?;
            lots.push(ValuedLot { item: 100 + u32::try_from(lots.len())?, price: LotPrice::Made });
            left.push(made);
            entries.push(entry(lots.len() - 1, Flow::Made, made, work));
        }
        for _ in 0..seed.below(4) {
            let lot = usize::try_from(seed.below(lots.len() as u64))?;
            let part = i64::try_from(seed.below(u64::try_from(left[lot].max(0))? + 1))?;
            let flow = [Flow::Wasted, Flow::Sent, Flow::Counted, Flow::Returned]
                [usize::try_from(seed.below(4))?];
            left[lot] -= part;
            entries.push(entry(lot, flow, -part, None));
        }
    }
    Ok((lots, works, entries))
}

/// What came in by price and amount alone, without any valuation.
fn received(lots: &[ValuedLot], entries: &[ValuedEntry]) -> BigRational {
    let paid = |entry: &&ValuedEntry| entry.flow == Flow::Received;
    let worth = |entry: &ValuedEntry| match lots[entry.lot as usize].price {
        LotPrice::Paid(price) => price.to_big() * super::whole(entry.amount_micro),
        _ => BigRational::zero(),
    };
    entries.iter().filter(paid).map(worth).sum()
}

fn out(entries: &[ValuedEntry], found: &Valuation, flow: Flow) -> Worth {
    let of_flow = entries.iter().zip(&found.entries).filter(|(entry, _)| entry.flow == flow);
    -of_flow.map(|(_, worth)| *worth).sum::<Worth>()
}

#[test]
fn all_that_came_in_was_used_thrown_away_or_is_left() -> Result<()> {
    let mut seed = Seed::new(20_261_129);
    let mut unknown = 0;
    for number in 0..WEEKS {
        let (lots, works, entries) = week(&mut seed)?;
        let found = value(&lots, works, &entries, &[]).with_context(|| format!("week {number}"))?;
        let lots_left: Worth = found.lots.iter().map(|lot| lot.worth).sum();
        let in_work: Worth = found.works.iter().map(|work| work.worth).sum();
        let gone = [Flow::Wasted, Flow::Sent, Flow::Counted, Flow::Returned]
            .map(|flow| out(&entries, &found, flow));
        let accounted = lots_left + in_work + gone.iter().sum::<Worth>();
        let came = received(&lots, &entries);
        // One rounding of a lot's receipt each, to a millionth.
        let off =
            came.clone() * super::whole(1_000_000) - BigRational::from_integer(accounted.into());
        let most = super::whole(i64::try_from(lots.len())?);
        ensure!(off <= most && off >= -most.clone(), "week {number}: {off} millionths are lost");
        // As printed, to the minor unit: the lines sum to what came in.
        let figure = |worth: Worth| {
            Figure::from(Ratio::whole(worth)).over(&Figure::from(Ratio::whole(WORTH)))
        };
        let lines: Vec<Figure> =
            gone.iter().chain([&lots_left, &in_work]).map(|worth| figure(*worth)).collect();
        let printed: i64 = whole_minor(&lines)?.iter().sum();
        ensure!(figure(accounted).rounded(0) == printed.into(), "week {number}");
        ensure!(found.works.iter().all(|work| work.worth >= 0), "week {number}: work owes money");
        unknown += usize::from(found.lots.iter().any(|lot| !lot.missing.is_empty()));
        // What was valued once never moves: each beginning of the week is valued as it was.
        let half = entries.len() / 2;
        let begun = value(&lots, works, &entries[..half], &[])?;
        let made_together = entries[..half].last().is_some_and(|entry| entry.flow == Flow::Made);
        ensure!(
            made_together || begun.entries == found.entries[..half],
            "week {number}: an earlier entry moved"
        );
    }
    ensure!(unknown > 50, "only {unknown} weeks had a lot without a price");
    Ok(())
}
