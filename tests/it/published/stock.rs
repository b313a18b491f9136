//! First expired, first out, and what must hold of every allocation.

use anyhow::Result;
use domain::{
    calendar,
    net::{NetInput, NetLot, NetNeed, Netting, net},
};
use jiff::{Timestamp, civil::Date, tz::TimeZone};

/// Millionths of a gram.
const GRAM: i64 = 1_000_000;

fn zone() -> Result<TimeZone> {
    Ok(TimeZone::get("Europe/Amsterdam")?)
}

fn at(date: &str, hour: i8) -> Result<Timestamp> {
    let date: Date = date.parse()?;
    Ok(calendar::instant(&zone()?, date, jiff::civil::time(hour, 0, 0, 0))?)
}

/// A lot that may be used until the end of a date.
fn lot(name: &str, grams: i64, date: &str, received: &str) -> Result<NetLot> {
    Ok(NetLot {
        name: name.to_owned(),
        received: received.parse()?,
        micro: grams * GRAM,
        from: None,
        until: Some(calendar::last_second(&zone()?, date.parse()?)?),
        opened: None,
    })
}

/// Butter lots of the published rows.
fn butter() -> Result<[NetLot; 3]> {
    Ok([
        lot("L1", 1250, "2026-12-05", "2026-11-20")?,
        lot("L2", 500, "2026-11-28", "2026-11-22")?,
        lot("L3", 2000, "2026-11-24", "2026-11-10")?,
    ])
}

fn netted(needs: &[NetNeed], lots: &[NetLot], opened_life_minutes: Option<i64>) -> Result<Netting> {
    let as_of = at("2026-11-25", 9)?;
    Ok(net(NetInput { needs, lots, as_of, end: None, opened_life_minutes, inner_micro: None })?)
}

/// Draws as names of lots and grams.
fn drawn<'a>(netting: &Netting, lots: &'a [NetLot]) -> Vec<(&'a str, i64)> {
    let from = netting.allocations.iter().flat_map(|allocation| &allocation.from);
    from.map(|&(lot, micro)| (lots[lot].name.as_str(), micro / GRAM)).collect()
}

#[test]
fn the_lot_that_expires_first_is_used_first() -> Result<()> {
    // Source: row FE-01 (constructed): production on 26 November, 1500 g of butter. L3 is
    // past its use-by and reported so. Row FE-02: first in, first out would give
    // L1 1250 and L2 250, which is another answer.
    let lots = butter()?;
    let need = NetNeed { at: at("2026-11-26", 5)?, micro: 1500 * GRAM };
    let netting = netted(&[need], &lots, None)?;
    assert_eq!(drawn(&netting, &lots), [("L2", 500), ("L1", 1000)], "FE-01");
    assert_eq!(netting.short_micro, 0, "FE-01");
    let spoiled: Vec<_> = netting.spoiled.iter().map(|one| lots[one.lot].name.as_str()).collect();
    assert_eq!(spoiled, ["L3"], "FE-01 reports the expired lot");
    Ok(())
}

#[test]
fn lots_of_one_date_go_by_receipt_and_then_by_name() -> Result<()> {
    // Source: row FE-05 (constructed): the earlier receipt first, then the lot's name,
    // whatever the order in which the lots are listed.
    let one = lot("B", 100, "2026-12-05", "2026-11-20")?;
    let two = lot("A", 100, "2026-12-05", "2026-11-20")?;
    let three = lot("C", 100, "2026-12-05", "2026-11-19")?;
    let need = NetNeed { at: at("2026-11-26", 5)?, micro: 300 * GRAM };
    for lots in [
        [one.clone(), two.clone(), three.clone()],
        [three.clone(), two.clone(), one.clone()],
        [two, three, one],
    ] {
        let netting = netted(&[need], &lots, None)?;
        assert_eq!(drawn(&netting, &lots), [("C", 100), ("A", 100), ("B", 100)], "FE-05");
    }
    Ok(())
}

#[test]
fn a_use_by_day_is_usable_to_its_local_end() -> Result<()> {
    // Source: row FE-08 (constructed; Regulation (EU) 1169/2011, article 24): usable
    // through the day in the site's time zone, not from the next local midnight on.
    let lots = [lot("D", 100, "2026-11-26", "2026-11-20")?];
    for (moment, short) in [
        ("2026-11-26T23:59:00+01:00", 0),
        ("2026-11-26T23:59:59+01:00", 0),
        ("2026-11-27T00:00:00+01:00", 100),
    ] {
        let need = NetNeed { at: moment.parse()?, micro: 100 * GRAM };
        assert_eq!(netted(&[need], &lots, None)?.short_micro, short * GRAM, "FE-08 {moment}");
    }
    Ok(())
}

#[test]
fn an_opened_pack_lives_its_opened_life_and_no_longer() -> Result<()> {
    // Source: row FE-10 (constructed): opened on 24 November with three days, best before
    // 5 December. Of the two conventions, opened + 3 days holds here (trade rules, part 4).
    let mut open = lot("M", 100, "2026-12-05", "2026-11-20")?;
    open.opened = Some(at("2026-11-24", 10)?);
    let life = Some(3 * 24 * 60);
    for (hour, short) in [(10, 0), (11, 100)] {
        let need = NetNeed { at: at("2026-11-27", hour)?, micro: 100 * GRAM };
        let netting = netted(&[need], &[open.clone()], life)?;
        assert_eq!(netting.short_micro, short * GRAM, "FE-10 at {hour}:00");
    }
    Ok(())
}

#[test]
fn what_is_allocated_and_what_is_short_are_the_need_exactly() -> Result<()> {
    // Source: section 6, ledger invariants 1 (nothing below zero), 5 (what leaves a lot,
    // spoils or stays is what was there) and 6 (allocations + shortage = requirement),
    // over a thousand needs and lots from a fixed sequence.
    let mut seed = 20_261_125_u64;
    let mut next = |below: u64| {
        // Numerical Recipes' constants for a linear congruential generator.
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223) % (1 << 32);
        i64::try_from(seed % below).unwrap_or(0)
    };
    for _ in 0..200 {
        let mut lots = Vec::new();
        for number in 0..next(6) {
            let day = 24 + next(7);
            let date = format!("2026-11-{day:02}");
            lots.push(lot(&format!("lot-{number}"), next(900), &date, "2026-11-20")?);
        }
        let mut needs = Vec::new();
        for _ in 0..=next(8) {
            let moment = at(&format!("2026-11-{:02}", 25 + next(5)), i8::try_from(next(24))?)?;
            needs.push(NetNeed { at: moment, micro: next(500) * GRAM + next(1000) });
        }
        needs.sort_by_key(|need| need.at);
        let netting = netted(&needs, &lots, None)?;
        let mut left: Vec<i64> = lots.iter().map(|lot| lot.micro).collect();
        for (need, allocation) in needs.iter().zip(&netting.allocations) {
            let drawn: i64 = allocation.from.iter().map(|(_, micro)| micro).sum();
            let covered = if need.at < at("2026-11-25", 9)? { 0 } else { need.micro };
            assert_eq!(drawn + allocation.unmet_micro, covered, "invariant 6");
            for (lot, micro) in &allocation.from {
                left[*lot] -= micro;
            }
        }
        for spoiled in &netting.spoiled {
            left[spoiled.lot] -= spoiled.micro;
        }
        assert!(left.iter().all(|left| *left >= 0), "invariants 1 and 5: {left:?}");
    }
    Ok(())
}
