//! Twice the pieces need twice of everything that is exact.

use super::{for_each_world, whole};
use anyhow::{Result, ensure};
use domain::expand::{expand, make_up};
use num_traits::Zero;

#[test]
fn doubling_the_pieces_doubles_every_exact_line() -> Result<()> {
    let tried = for_each_world(|_, bakery, plan, tried| {
        for &date in &plan.dates {
            let recipes = bakery.recipes(date);
            let lines = plan.demand.pieces.iter().filter(|line| line.service_date == date);
            let once: Vec<_> = lines.map(|line| (line.product, line.start, line.trays)).collect();
            let twice: Vec<_> = once
                .iter()
                .map(|&(product, start, trays)| (product, 2 * start, trays.map(|trays| 2 * trays)))
                .collect();
            let once = expand(bakery, recipes, make_up(bakery, recipes, &once));
            let twice = expand(bakery, recipes, make_up(bakery, recipes, &twice));
            for (once, twice) in [(&once.net, &twice.net), (&once.gross, &twice.gross)] {
                for (item, (once, twice)) in (0_u32..).zip(once.iter().zip(twice)) {
                    let code = &bakery.item(item).code;
                    ensure!(once * whole(2) == *twice, "`{code}` for {date} is not doubled");
                    tried.checks += usize::from(!once.is_zero());
                }
            }
        }
        Ok(())
    })?;
    ensure!(tried.checks > 2_000, "only {} amounts were tried", tried.checks);
    Ok(())
}
