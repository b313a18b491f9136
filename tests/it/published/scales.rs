//! Rounding to scales, and rounding that keeps a sum.

use super::near;
use anyhow::{Context, Result};
use domain::{scale::WeighState, share::largest_remainder};
use weighhouse_tests::{exact, house::House, kitchen::Kitchen};

#[test]
fn a_little_salt_goes_to_the_finer_scale_with_a_warning() -> Result<()> {
    // Source: row WT-07 (constructed): 58.309 g are below the 100 g from which a scale of
    // 5 g should be used; on a scale of 1 g from 20 g they weigh 58 g, 0.53 % less.
    let house = House::new()?
        .scale("platform", "15 kg", "5 g", "100 g")?
        .scale("bench", "6 kg", "1 g", "20 g")?
        .parts("salt-bag", &["salt 100"])?;
    let kitchen = Kitchen::mix(house, "salt-bag", "58.309 g")?;
    let weighed = kitchen.weighed("salt-bag", "salt")?;
    near("WT-07", &weighed, "58", "0");
    let off = (weighed / exact::parse("58.309")? - exact::whole(1)) * exact::whole(100);
    near("WT-07 error", &off, "-0.53", "0.005");
    let group = kitchen.plan.batches.first().and_then(|batch| batch.groups.first());
    let line = group.and_then(|group| group.lines.first()).context("a weighed line")?;
    assert_eq!(line.state, WeighState::Premix, "WT-07 advises to weigh otherwise");
    Ok(())
}

#[test]
fn seats_and_grams_are_shared_by_largest_remainder() -> Result<()> {
    // Source: row LR-01, the usual example of the method.
    let votes = [47_000, 16_000, 15_900, 12_000, 6_000, 3_100];
    assert_eq!(largest_remainder(10, &votes)?, [5, 2, 1, 1, 1, 0], "LR-01");
    // Source: row LR-02, the paradox of the method: with one seat more two lose one, so a
    // sum is never shared again from what was shared before.
    let votes = [1_500, 1_500, 900, 500, 500, 200];
    assert_eq!(largest_remainder(25, &votes)?, [7, 7, 4, 3, 3, 1], "LR-02");
    assert_eq!(largest_remainder(26, &votes)?, [8, 8, 5, 2, 2, 1], "LR-02");
    // Source: row LR-04, the dough of row BP-01 in 280 units of 5 g.
    let lines = [500, 200, 300, 700, 15, 20];
    assert_eq!(largest_remainder(280, &lines)?, [81, 32, 48, 113, 3, 3], "LR-04");
    Ok(())
}
