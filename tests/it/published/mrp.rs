//! Requirements in periods: the published tables, lot rule by lot rule.

use anyhow::Result;
use domain::net::{LotRule, PeriodInput, Periods, periods};

fn plan(input: PeriodInput<'_>) -> Result<Periods> {
    Ok(periods(input)?)
}

/// Periods from 1 with an amount above nothing.
fn named(amounts: &[i64]) -> Vec<(usize, i64)> {
    (1..).zip(amounts.iter().copied()).filter(|&(_, amount)| amount > 0).collect()
}

/// Rule, safety stock, on hand, receipts, releases, mean on hand in thousandths.
type Row = (LotRule, i64, [i64; 8], &'static [(usize, i64)], &'static [(usize, i64)], i64);

/// The published table, rule by rule.
fn rows() -> [Row; 6] {
    let at_least = |minimum, multiple| LotRule::AtLeast { minimum, multiple };
    [
        (
            LotRule::Fixed(230),
            0,
            [117, 117, 117, 227, 227, 77, 187, 187],
            &[(4, 230), (7, 230)],
            &[(2, 230), (5, 230)],
            157_000,
        ),
        (
            LotRule::Periods(3),
            0,
            [117, 117, 117, 150, 150, 0, 0, 0],
            &[(4, 153), (7, 120)],
            &[(2, 153), (5, 120)],
            81_375,
        ),
        (
            LotRule::LotForLot,
            0,
            [117, 117, 117, 0, 0, 0, 0, 0],
            &[(4, 3), (6, 150), (7, 120)],
            &[(2, 3), (4, 150), (5, 120)],
            43_875,
        ),
        (
            LotRule::LotForLot,
            80,
            [117, 117, 117, 80, 80, 80, 80, 80],
            &[(4, 83), (6, 150), (7, 120)],
            &[(2, 83), (4, 150), (5, 120)],
            93_875,
        ),
        (
            at_least(200, 1),
            0,
            [117, 117, 117, 197, 197, 47, 127, 127],
            &[(4, 200), (7, 200)],
            &[(2, 200), (5, 200)],
            130_750,
        ),
        (
            at_least(100, 50),
            0,
            [117, 117, 117, 97, 97, 47, 27, 27],
            &[(4, 100), (6, 100), (7, 100)],
            &[(2, 100), (4, 100), (5, 100)],
            80_750,
        ),
    ]
}

#[test]
fn every_lot_rule_gives_the_published_table() -> Result<()> {
    // Source: check-values section 5, MRP-K item C (the ladder-back chair).
    let chair = PeriodInput {
        gross: &[150, 0, 0, 120, 0, 150, 120, 0],
        scheduled: &[230],
        on_hand: 37,
        safety: 0,
        lead: 2,
        rule: LotRule::LotForLot,
    };
    for (rule, safety, on_hand, receipts, releases, mean_thousandths) in rows() {
        let found = plan(PeriodInput { rule, safety, ..chair })?;
        assert_eq!(found.on_hand, on_hand, "{rule:?}");
        assert_eq!(named(&found.receipts), receipts, "{rule:?}");
        assert_eq!(named(&found.releases), releases, "{rule:?}");
        assert_eq!(found.on_hand.iter().sum::<i64>() * 1000, mean_thousandths * 8, "{rule:?}");
        assert_eq!(found.past_due, [], "{rule:?}");
    }
    Ok(())
}

/// A plan lot for lot.
fn plain(gross: &[i64], scheduled: &[i64], on_hand: i64, lead: usize) -> Result<Periods> {
    let rule = LotRule::LotForLot;
    plan(PeriodInput { gross, scheduled, on_hand, safety: 0, lead, rule })
}

fn times(releases: &[i64], each: i64) -> Vec<i64> {
    releases.iter().map(|amount| amount * each).collect()
}

#[test]
fn releases_of_a_parent_are_the_needs_of_its_parts() -> Result<()> {
    // Source: check-values section 5, MRP-A (chair, seat, back, four legs).
    let chair = plain(&[150, 0, 70, 0, 175, 0, 90, 60], &[], 260, 2)?;
    assert_eq!(chair.on_hand, [110, 110, 40, 40, 0, 0, 0, 0]);
    assert_eq!(named(&chair.releases), [(3, 135), (5, 90), (6, 60)]);
    let seat = plain(&chair.releases, &[50], 60, 2)?;
    assert_eq!(seat.on_hand, [110, 110, 0, 0, 0, 0, 0, 0]);
    assert_eq!(named(&seat.releases), [(1, 25), (3, 90), (4, 60)]);
    let back = plain(&chair.releases, &[10], 40, 2)?;
    assert_eq!(named(&back.receipts), [(3, 85), (5, 90), (6, 60)]);
    assert_eq!(named(&back.releases), [(1, 85), (3, 90), (4, 60)]);
    let leg = plain(&times(&chair.releases, 4), &[], 80, 2)?;
    assert_eq!(named(&leg.releases), [(1, 460), (3, 360), (4, 240)]);
    Ok(())
}

#[test]
fn stock_receipts_and_minimums_are_used_at_every_level() -> Result<()> {
    // Source: check-values section 5, MRP-95.
    let end = plain(&[0, 0, 0, 0, 0, 0, 0, 95], &[], 15, 2)?;
    assert_eq!(named(&end.releases), [(6, 80)]);
    let a = plain(&times(&end.releases, 3), &[0, 0, 25], 10, 2)?;
    assert_eq!((named(&a.net), named(&a.releases)), (vec![(6, 205)], vec![(4, 205)]));
    let b = plain(&times(&end.releases, 2), &[0, 0, 0, 15], 20, 2)?;
    assert_eq!((named(&b.net), named(&b.releases)), (vec![(6, 125)], vec![(4, 125)]));
    let c = plan(PeriodInput {
        gross: &times(&a.releases, 4),
        scheduled: &[],
        on_hand: 100,
        safety: 0,
        lead: 1,
        rule: LotRule::AtLeast { minimum: 500, multiple: 1 },
    })?;
    assert_eq!((named(&c.receipts), named(&c.releases)), (vec![(4, 720)], vec![(3, 720)]));
    let both: Vec<i64> = a.releases.iter().zip(&b.releases).map(|(a, b)| 2 * a + 2 * b).collect();
    let d = plain(&both, &[], 20, 1)?;
    assert_eq!((named(&d.net), named(&d.releases)), (vec![(4, 640)], vec![(3, 640)]));
    Ok(())
}

#[test]
fn lead_times_add_up_from_the_last_part_to_the_first() -> Result<()> {
    // Source: check-values section 5, MRP-Z: Z = 2A + 3B, A = 4C + 4D, D = 2E.
    let z = plain(&[0, 0, 0, 0, 0, 0, 0, 0, 0, 59], &[], 0, 2)?;
    let a = plain(&times(&z.releases, 2), &[], 0, 1)?;
    let b = plain(&times(&z.releases, 3), &[], 0, 1)?;
    let c = plain(&times(&a.releases, 4), &[], 0, 1)?;
    let d = plain(&times(&a.releases, 4), &[], 0, 1)?;
    let e = plain(&times(&d.releases, 2), &[], 0, 3)?;
    for (found, released) in [
        (&z, (8, 59)),
        (&a, (7, 118)),
        (&b, (7, 177)),
        (&c, (6, 472)),
        (&d, (6, 472)),
        (&e, (3, 944)),
    ] {
        assert_eq!(named(&found.releases), [released]);
    }
    Ok(())
}

#[test]
fn lot_sizes_cost_what_the_published_problem_says() -> Result<()> {
    // Source: check-values MR-10 (setup 100, holding 1 per unit and week on what is left).
    let problem = PeriodInput {
        gross: &[35, 30, 40, 0, 10, 40, 30, 0, 30, 55],
        scheduled: &[],
        on_hand: 35,
        safety: 0,
        lead: 1,
        rule: LotRule::LotForLot,
    };
    let cost = |rule| -> Result<i64> {
        let found = plan(PeriodInput { rule, ..problem })?;
        let setups = i64::try_from(named(&found.receipts).len())?;
        Ok(100 * setups + found.on_hand.iter().sum::<i64>())
    };
    assert_eq!(cost(LotRule::LotForLot)?, 700);
    assert_eq!(cost(LotRule::Fixed(73))?, 775);
    assert_eq!(cost(LotRule::Periods(3))?, 495);
    assert_eq!(cost(LotRule::Cheapest { setup: 100, holding: 1 })?, 455);
    let three = plan(PeriodInput { rule: LotRule::Periods(3), ..problem })?;
    assert_eq!(named(&three.receipts), [(2, 70), (5, 80), (9, 85)]);
    // Source: MR-11: without what is left in the last week it is 718.
    let fixed = plan(PeriodInput { rule: LotRule::Fixed(73), ..problem })?;
    assert_eq!(cost(LotRule::Fixed(73))? - fixed.on_hand[9], 718);
    // Source: MR-13: several lots may come in one period.
    let one = PeriodInput { gross: &[450], on_hand: 75, rule: LotRule::Fixed(100), ..problem };
    assert_eq!(plan(one)?.receipts, [400]);
    Ok(())
}
