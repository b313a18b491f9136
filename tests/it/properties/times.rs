//! Times of seeded bakeries: no station holds more than it can, no step leaves its window
//! or its hours, and whatever has no place is said.

use super::{Tried, open, planned};
use anyhow::{Context, Result, ensure};
use domain::{
    allergens::item_allergens,
    bakery::{Bakery, BakeryDraft},
    equipment::{Oven, Place, PlaceKind},
    formula::{Made, Mixing},
    plan::{Finding, NeedUser, Plan, Run, Spot},
    product::{Baking, Tray},
    route::{AgeLimit, Length, Route, RouteLimit, Station, Step, Team},
    temperature::Celsius,
};
use jiff::{Timestamp, civil::time, tz::TimeZone};
use std::collections::BTreeSet;
use weighhouse_tests::builders::{Seed, World, code, world};

/// Random bakeries that are tried.
const TIMED_WORLDS: u64 = 150;

fn step(name: &str, length: Length, team: Option<&str>, station: Option<Station>) -> Step {
    let team = team.map(code);
    Step { name: name.to_owned(), length, team, start_team: None, station }
}

fn window(seed: &mut Seed, least: (i64, i64), more: (i64, i64)) -> Length {
    let least_minutes = seed.between(least.0, least.1);
    let most_minutes = least_minutes + seed.between(more.0, more.1);
    Length::Window { least_minutes, most_minutes }
}

fn place(name: &str) -> Option<Station> {
    Some(Station::Place(code(name)))
}

fn route(seed: &mut Seed, name: &str) -> Route {
    let fixed = |minutes| Length::Fixed { minutes };
    let shape = if seed.chance(50) {
        fixed(seed.between(5, 60))
    } else {
        Length::PerPiece { seconds: seed.between(1, 40) }
    };
    let mixing =
        Length::PerLoad { minutes: seed.between(5, 20), between_minutes: seed.between(0, 6) };
    let bake = fixed(seed.between(10, 50));
    let mut steps = vec![
        step("mix", mixing, Some("day"), Some(Station::Mixer)),
        step("bulk", fixed(seed.between(0, 90)), None, None),
        step("cold", window(seed, (60, 700), (60, 1_500)), None, place("fridge")),
        step("shape", shape, Some("day"), place("bench")),
        step("retard", window(seed, (0, 400), (60, 700)), None, place("retarder")),
        step("prove", fixed(seed.between(0, 90)), None, place("prover")),
        step("bake", bake, Some("night"), Some(Station::Oven)),
        step("cool", fixed(seed.between(5, 60)), None, None),
        step("drive", fixed(seed.between(0, 40)), None, None),
    ];
    if seed.chance(50) {
        steps[2].start_team = Some(code("day"));
    }
    let limits = if seed.chance(60) {
        let steps = vec!["cold".to_owned(), "retard".to_owned()];
        vec![RouteLimit { steps, most_minutes: seed.between(900, 2_000) }]
    } else {
        Vec::new()
    };
    let ages = if seed.chance(40) {
        let least_minutes = seed.between(100, 900);
        vec![AgeLimit {
            after: "mix".to_owned(),
            before: "shape".to_owned(),
            least_minutes,
            most_minutes: least_minutes + seed.between(100, 1_200),
        }]
    } else {
        Vec::new()
    };
    Route { code: code(name), steps, limits, ages }
}

/// Gives a bakery one oven, and places whose slots are counted.
fn equip(seed: &mut Seed, draft: &mut BakeryDraft) {
    draft.ovens = vec![Oven {
        code: code("oven"),
        name: "Oven".to_owned(),
        decks: seed.between(1, 3),
        trays: seed.between(2, 8),
        loading_minutes: seed.between(0, 5),
        heat_seconds_per_degree: seed.between(0, 30),
        cool_seconds_per_degree: seed.between(0, 60),
    }];
    for (name, kind, slots) in [
        ("bench", PlaceKind::Bench, seed.between(1, 3)),
        ("retarder", PlaceKind::Retarder, seed.between(10, 60)),
        ("prover", PlaceKind::Prover, seed.between(10, 60)),
        ("fridge", PlaceKind::Chiller, seed.between(1, 6)),
    ] {
        draft.places.retain(|place| place.code.as_str() != name);
        let (code, name) = (code(name), name.to_owned());
        let (slots, temperature) = (Some(slots), None);
        draft.places.push(Place { code, name, kind, slots, temperature });
    }
}

/// A seeded bakery with stations, and a route for each product that has a dough.
fn timed_world(number: u64) -> World {
    let mut world = world(number);
    let mut seed = Seed::new(number ^ 0x7133);
    let draft = &mut world.draft;
    let team = |name: &str, from, to| Team { code: code(name), from, to };
    draft.site.teams = vec![
        team("day", time(4, 0, 0, 0), time(16, 0, 0, 0)),
        team("night", time(21, 0, 0, 0), time(11, 0, 0, 0)),
    ];
    for mixer in &mut draft.mixers {
        mixer.wash_minutes = seed.between(0, 15);
    }
    equip(&mut seed, draft);
    for (number, product) in draft.products.iter_mut().enumerate() {
        if product.dough.is_none() {
            continue;
        }
        let name = format!("route-{number}");
        draft.routes.push(route(&mut seed, &name));
        product.route = Some(code(&name));
        product.tray = Some(Tray { pieces: seed.between(4, 30), group: None });
        let heat = Celsius::from_thousandths(seed.between(17, 26) * 10_000);
        product.baking = Some(Baking {
            oven: code("oven"),
            top: heat,
            bottom: heat,
            steam: None,
            minutes: 20,
            cool_minutes: 20,
            core: None,
            finish: None,
        });
    }
    mix_doughs(&mut seed, draft);
    let drops = [time(6, 0, 0, 0), time(7, 30, 0, 0), time(11, 0, 0, 0), time(17, 0, 0, 0)];
    for line in &mut world.book.orders {
        line.drop = seed.chance(95).then(|| seed.pick(&drops));
    }
    world
}

/// Days from the spring dates of the builders to the weekend on which summer time ends.
const TO_AUTUMN: i64 = 210;

/// The same world around the night of 24 to 25 October 2026.
fn in_autumn(mut world: World) -> Result<World> {
    let later = jiff::Span::new().days(TO_AUTUMN);
    for line in &mut world.book.orders {
        line.service_date = line.service_date.checked_add(later)?;
    }
    for date in &mut world.book.service_dates {
        *date = date.checked_add(later)?;
    }
    world.until = world.until.checked_add(later)?;
    world.now = world.now.checked_add(jiff::SignedDuration::from_hours(24 * TO_AUTUMN))?;
    Ok(world)
}

/// Whether the clock changes between the first step of a run and its drop.
fn crosses_a_change(zone: &TimeZone, run: &Run) -> bool {
    run.steps.first().is_some_and(|step| zone.to_offset(step.start) != zone.to_offset(run.drop))
}

/// How long doughs mix, and by what they are timed.
fn mix_doughs(seed: &mut Seed, draft: &mut BakeryDraft) {
    let doughs: BTreeSet<_> =
        draft.products.iter().filter_map(|product| product.dough.clone()).collect();
    for formula in draft.formulas.iter_mut().filter(|formula| doughs.contains(&formula.code)) {
        formula.mixing = Some(Mixing {
            slow_minutes: seed.between(2, 8),
            fast_minutes: seed.between(0, 10),
            between_minutes: seed.between(0, 5),
            target: None,
            additions: Vec::new(),
        });
        match (&mut formula.made, seed.below(3)) {
            (Made::At { at, until }, 0) => {
                *at = domain::product::At { day: -1, time: time(8, 0, 0, 0) };
                *until = seed.chance(70).then(|| time(14, 0, 0, 0));
            }
            (made, _) => *made = Made::Products { step: "mix".to_owned() },
        }
    }
}

fn minutes(from: Timestamp, to: Timestamp) -> i64 {
    (to.as_second() - from.as_second()) / 60
}

/// Whether all of a stretch of time lies in one stay of a team.
fn staffed(zone: &TimeZone, team: &Team, from: Timestamp, to: Timestamp) -> Result<bool> {
    let around = zone.to_datetime(from).date();
    let at = |date: jiff::civil::Date, time| -> Result<Timestamp> {
        Ok(zone.to_ambiguous_timestamp(date.to_datetime(time)).compatible()?)
    };
    for date in [around.yesterday()?, around] {
        let last = if team.to <= team.from { date.tomorrow()? } else { date };
        if at(date, team.from)? <= from && to <= at(last, team.to)? {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Each step of a run has its length, its people and its place after the one before.
fn run_keeps_its_route(bakery: &Bakery, plan: &Plan, run: &Run) -> Result<()> {
    let route = &bakery.lists().routes[run.route as usize];
    let site = bakery.site();
    let dough = bakery.recipes(run.service_date).dough_of(run.product).context("a dough")?;
    let batch = plan.mixes(run.service_date, dough).find(|batch| batch.mix == run.mix);
    let loads = batch.map_or(1, |batch| batch.split.loads.max(1));
    ensure!(run.steps.len() == route.steps.len(), "steps are missing");
    for (timed, step) in run.steps.iter().zip(&route.steps) {
        let name = &step.name;
        let length = minutes(timed.start, timed.end);
        let right = match step.length {
            Length::Fixed { minutes } => length == minutes,
            Length::PerLoad { minutes, between_minutes } => {
                length == minutes * loads + between_minutes * (loads - 1)
            }
            // Seconds of all pieces fit into the minutes, and into none fewer.
            Length::PerPiece { seconds } => {
                let seconds = seconds * run.pieces;
                length * 60 >= seconds && (length - 1) * 60 < seconds
            }
            Length::Window { least_minutes, most_minutes } => {
                (least_minutes..=most_minutes).contains(&length)
            }
        };
        ensure!(right, "step `{name}` takes {length} minutes");
        for (team, until) in [(&step.team, timed.end), (&step.start_team, timed.start)] {
            let Some(team) = team else { continue };
            let team = site.teams.iter().find(|found| found.code == *team).context("a team")?;
            let there = staffed(&site.time_zone, team, timed.start, until)?;
            ensure!(there, "step `{name}` starts {} without `{}`", timed.start, team.code);
        }
    }
    ensure!(run.steps.windows(2).all(|pair| pair[0].end == pair[1].start), "a gap");
    let last = run.steps.last().context("steps")?;
    ensure!(minutes(last.end, run.drop) == run.waits_minutes && run.waits_minutes >= 0, "late");
    let of = |name: &str| route.steps.iter().position(|step| step.name == name);
    for limit in &route.limits {
        let sum: i64 = limit
            .steps
            .iter()
            .filter_map(|name| run.steps.get(of(name)?))
            .map(|step| minutes(step.start, step.end))
            .sum();
        ensure!(sum <= limit.most_minutes, "{sum} minutes over a limit");
    }
    for age in &route.ages {
        let (after, before) = (of(&age.after).context("after")?, of(&age.before).context("to")?);
        let old = minutes(run.steps[after].end, run.steps[before].start);
        ensure!((age.least_minutes..=age.most_minutes).contains(&old), "an age of {old}");
    }
    if let Some(made_at) = batch.and_then(|batch| batch.made_at) {
        ensure!(run.steps[0].start == made_at, "its dough is mixed at another time");
    }
    Ok(())
}

/// No two loads in one mixer at once, and a wash where an allergen would stay behind.
fn mixers_take_one_load(bakery: &Bakery, plan: &Plan, tried: &mut Tried) -> Result<()> {
    let mut loads = Vec::new();
    for batch in &plan.batches {
        let found = item_allergens(bakery, bakery.recipes(batch.service_date), batch.item);
        let mut kinds: BTreeSet<String> = found.contains;
        kinds.extend(found.unknown.iter().map(|code| format!("? {code}")));
        for load in &batch.load_times {
            loads.push((load.mixer, load.start, load.end, kinds.clone(), batch.item));
        }
    }
    loads.sort();
    for pair in loads.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
        let mixer = &bakery.lists().mixers[pair[0].0 as usize];
        let wash = if pair[0].3.is_subset(&pair[1].3) { 0 } else { mixer.wash_minutes };
        let apart = minutes(pair[0].2, pair[1].1);
        ensure!(apart >= wash, "`{}`: {apart} minutes between loads, {wash} to wash", mixer.code);
        tried.checks += 1;
    }
    Ok(())
}

/// A deck has one program at a time, changes over in between, and is not overfilled.
fn decks_bake_one_program(bakery: &Bakery, plan: &Plan, tried: &mut Tried) -> Result<()> {
    let mut bakes = Vec::new();
    for run in &plan.runs {
        let heat = bakery.product(run.product).baking.as_ref().context("baking")?.top;
        for bake in &run.bakes {
            let oven = &bakery.lists().ovens[bake.oven as usize];
            let loading = jiff::SignedDuration::from_mins(oven.loading_minutes);
            bakes.push((bake.oven, bake.deck, bake.start - loading, bake.end, heat, bake.trays));
        }
    }
    bakes.sort();
    for (at, a) in bakes.iter().enumerate() {
        let oven = &bakery.lists().ovens[a.0 as usize];
        let together = |b: &&_| {
            let b: &(u32, u32, Timestamp, Timestamp, Celsius, i64) = b;
            (a.0, a.1, a.2, a.3, a.4) == (b.0, b.1, b.2, b.3, b.4)
        };
        let trays: i64 = bakes.iter().filter(together).map(|b| b.5).sum();
        ensure!(trays <= oven.trays, "{trays} trays on a deck for {}", oven.trays);
        for b in bakes[at + 1..].iter().filter(|b| (b.0, b.1) == (a.0, a.1) && !together(b)) {
            let change = b.4.thousandths() - a.4.thousandths();
            let seconds = if change > 0 {
                oven.heat_seconds_per_degree
            } else {
                oven.cool_seconds_per_degree
            };
            let needed = change.abs() * seconds;
            let apart = minutes(a.3, b.2) * 60_000;
            ensure!(apart >= needed, "{apart} ms between programs, {needed} needed");
            tried.checks += 1;
        }
    }
    Ok(())
}

/// Slots of benches and cabinets, counted at every moment at which one is taken.
fn slots_are_enough(
    bakery: &Bakery,
    plan: &Plan,
    clashed: &BTreeSet<(u32, jiff::civil::Date)>,
    tried: &mut Tried,
) -> Result<()> {
    for (position, place) in (0_u32..).zip(&bakery.lists().places) {
        let Some(slots) = place.slots else { continue };
        let mut taken = Vec::new();
        for run in &plan.runs {
            if clashed.contains(&(run.product, run.service_date)) {
                continue;
            }
            // Benches take one pair of hands, the fridge a tub of dough, cabinets trays.
            let amount = match place.kind {
                PlaceKind::Bench | PlaceKind::Chiller => 1,
                _ => run.trays.context("trays")?,
            };
            for step in run.steps.iter().filter(|step| step.spot == Some(Spot::Place(position))) {
                taken.push((step.start, step.end, amount));
            }
        }
        for &(moment, _, _) in &taken {
            let inside = taken.iter().filter(|(from, to, _)| *from <= moment && moment < *to);
            let sum: i64 = inside.map(|(_, _, amount)| amount).sum();
            ensure!(sum <= slots, "`{}` holds {sum} of {slots} at {moment}", place.code);
            tried.checks += 1;
        }
    }
    Ok(())
}

#[test]
fn nothing_overlaps_leaves_a_window_or_starts_unstaffed() -> Result<()> {
    let (mut mixers, mut decks, mut slots) = (Tried::default(), Tried::default(), Tried::default());
    let (mut runs, mut clashes, mut splits, mut without_time, mut moved) = (0, 0, 0, 0, 0);
    let mut nights = [0, 0];
    for number in 0..TIMED_WORLDS {
        let place = || format!("seed {number}");
        let autumn = number % 2 == 1;
        let world = timed_world(number);
        let world = if autumn { in_autumn(world)? } else { world };
        let bakery = open(&world).with_context(place)?;
        let plan = planned(&bakery, &world).with_context(place)?;
        let mut clashed = BTreeSet::new();
        for finding in &plan.findings {
            match finding {
                Finding::Clash { of, service_date, levers, .. } => {
                    clashes += 1;
                    if let NeedUser::Product(product) = *of {
                        clashed.insert((product, *service_date));
                    }
                    ensure!(!levers.is_empty() || matches!(of, NeedUser::Product(_)), "no way out");
                }
                Finding::Split { mixes, .. } => {
                    splits += 1;
                    ensure!(mixes.len() > 1, "one mix is no split");
                }
                Finding::NoTime { .. } => without_time += 1,
                _ => {}
            }
        }
        for run in &plan.runs {
            runs += 1;
            moved += i32::from(run.waits_minutes > 0);
            let crosses = crosses_a_change(&bakery.site().time_zone, run);
            nights[usize::from(autumn)] += i32::from(crosses);
            run_keeps_its_route(&bakery, &plan, run)
                .with_context(|| format!("seed {number}, {}", bakery.product(run.product).code))?;
        }
        mixers_take_one_load(&bakery, &plan, &mut mixers).with_context(place)?;
        decks_bake_one_program(&bakery, &plan, &mut decks).with_context(place)?;
        slots_are_enough(&bakery, &plan, &clashed, &mut slots).with_context(place)?;
        every_drop_is_answered(&plan).with_context(place)?;
    }
    ensure!(nights.iter().all(|runs| *runs > 20), "too few nights of a change: {nights:?}");
    let tried = [mixers.checks, decks.checks, slots.checks];
    ensure!(tried.iter().all(|checks| *checks > 200), "checked too little: {tried:?}");
    ensure!(
        runs > 500 && clashes > 20 && splits > 0 && without_time > 20 && moved > 20,
        "{runs} runs, {clashes} clashes, {splits} splits, {without_time} without time, {moved} moved"
    );
    Ok(())
}

/// All pieces of a drop are on their way, or it is said that they have no time.
fn every_drop_is_answered(plan: &Plan) -> Result<()> {
    for line in &plan.drops {
        let runs = plan.runs.iter().filter(|run| {
            (run.product, run.service_date, run.drop) == (line.product, line.service_date, line.at)
        });
        let pieces: i64 = runs.map(|run| run.pieces).sum();
        let said = plan.findings.iter().any(|finding| {
            matches!(finding, Finding::NoTime { of: NeedUser::Product(product), drop, .. }
                if *product == line.product && *drop == Some(line.at))
        });
        ensure!(pieces == line.pieces || said, "{pieces} of {} pieces", line.pieces);
    }
    Ok(())
}
