//! Routes, mixing and baking that contradict the rest of the bakery.

use super::{check, formula, loaf};
use anyhow::Result;
use domain::{
    fault::FaultKind,
    formula::{Addition, Made, Mixing},
    product::Baking,
    route::{AgeLimit, Length, Route, Station, Step},
    temperature::Celsius,
};
use jiff::civil::Time;
use weighhouse_tests::house::code;

fn step(name: &str, station: Option<Station>) -> Step {
    let length = Length::Fixed { minutes: 10 };
    Step { name: name.to_owned(), length, team: None, start_team: None, station }
}

fn route(steps: Vec<Step>, ages: Vec<AgeLimit>) -> Result<Route> {
    Ok(Route { code: code("way")?, steps, limits: Vec::new(), ages })
}

#[test]
fn an_age_counts_from_one_step_to_a_later_one() -> Result<()> {
    let age = |after: &str, before: &str| AgeLimit {
        after: after.to_owned(),
        before: before.to_owned(),
        least_minutes: 60,
        most_minutes: 30,
    };
    check(
        |draft| {
            let steps = vec![step("bulk", None), step("divide", None)];
            draft.routes.push(route(steps, vec![age("divide", "bulk"), age("rise", "divide")])?);
            Ok(())
        },
        &[
            ("/routes/0/ages/0/before", FaultKind::OutOfRange, &["`bulk`", "`divide`"]),
            ("/routes/0/ages/0/most", FaultKind::OutOfRange, &["60"]),
            ("/routes/0/ages/1/after", FaultKind::UnknownCode, &["`rise`"]),
            ("/routes/0/ages/1/most", FaultKind::OutOfRange, &["60"]),
        ],
    )
}

#[test]
fn a_station_or_oven_that_is_not_there_is_named() -> Result<()> {
    check(
        |draft| {
            let steps = vec![step("prove", Some(Station::Place(code("cellar")?)))];
            draft.routes.push(route(steps, Vec::new())?);
            Ok(())
        },
        &[("/routes/0/steps/0/station/place", FaultKind::UnknownCode, &["`cellar`"])],
    )?;
    check(
        |draft| {
            loaf(draft)?.baking = Some(Baking {
                oven: code("hearth")?,
                top: Celsius::from_thousandths(230_000),
                bottom: Celsius::from_thousandths(230_000),
                steam: None,
                minutes: 0,
                cool_minutes: 0,
                core: None,
                finish: None,
            });
            Ok(())
        },
        &[
            ("/products/0/baking/minutes", FaultKind::OutOfRange, &["1"]),
            ("/products/0/baking/oven", FaultKind::UnknownCode, &["`hearth`"]),
        ],
    )
}

#[test]
fn what_is_added_to_a_mix_is_a_line_of_it_and_goes_in_while_it_runs() -> Result<()> {
    check(
        |draft| {
            formula(draft, "dough")?.mixing = Some(Mixing {
                slow_minutes: 4,
                fast_minutes: 6,
                between_minutes: 0,
                target: None,
                additions: vec![Addition { item: code("raisins")?, minute: 11 }],
            });
            Ok(())
        },
        &[
            ("/formulas/1/mixing/additions/0/minute", FaultKind::OutOfRange, &["10"]),
            ("/formulas/1/mixing/additions/0/item", FaultKind::UnknownCode, &["`raisins`"]),
        ],
    )
}

#[test]
fn a_dough_that_goes_by_its_products_needs_the_step_in_each_route() -> Result<()> {
    check(
        |draft| {
            loaf(draft)?.dough = Some(code("dough")?);
            formula(draft, "dough")?.made = Made::Products { step: "mix".to_owned() };
            Ok(())
        },
        &[("/formulas/1/made/by_products", FaultKind::UnknownCode, &["`loaf`", "`mix`"])],
    )
}

#[test]
fn a_latest_start_is_not_before_the_start() -> Result<()> {
    check(
        |draft| {
            let made = &mut formula(draft, "dough")?.made;
            if let Made::At { at, until } = made {
                at.time = Time::constant(11, 0, 0, 0);
                *until = Some(Time::constant(10, 59, 0, 0));
            }
            Ok(())
        },
        &[("/formulas/1/made/until", FaultKind::OutOfRange, &["until"])],
    )
}
