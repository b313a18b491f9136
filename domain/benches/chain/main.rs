//! The plan of a large chain, as ratios to baselines of the same run.
//!
//! `cargo bench -p domain` prints them. Nothing is asserted: a busy machine must not
//! fail a build. The chain is seeded, so every run plans the same bakery.

mod bakery;
mod baseline;
mod changes;

use domain::{
    bakery::{Bakery, CompiledMakeUp},
    book::Book,
    demand::demand,
    expand::{expand, make_up},
    plan::{PlanInput, plan},
};
use std::{
    hint::black_box,
    time::{Duration, Instant},
};

/// Runs of each measurement; the fastest counts, as the one least disturbed.
const RUNS: usize = 7;

fn fastest<T>(mut work: impl FnMut() -> T) -> Duration {
    fastest_of(|| (), |()| work())
}

/// The same for work that uses up what is prepared for it; preparing is not measured.
fn fastest_of<P, T>(prepare: impl Fn() -> P, mut work: impl FnMut(P) -> T) -> Duration {
    (0..RUNS)
        .map(|_| {
            let prepared = prepare();
            let start = Instant::now();
            black_box(work(prepared));
            start.elapsed()
        })
        .min()
        .unwrap_or_default()
}

/// Reads every field of the compiled arrays and of the demand once.
fn read_arrays(bakery: &Bakery, book: &Book) -> i128 {
    let recipes = bakery.recipes(bakery::first_date());
    let mut sum = 0_i128;
    for line in &recipes.lines {
        sum += i128::from(line.parts) + i128::from(line.item) + i128::from(line.flags.flour());
    }
    for recipe in &recipes.recipes {
        sum += i128::from(recipe.parts_sum) + recipe.remaining.numerator();
    }
    for line in &recipes.make_up {
        if let CompiledMakeUp::Mass { item, ug, .. } = line {
            sum += i128::from(*item) + ug.numerator();
        }
    }
    for line in &book.orders {
        sum += i128::from(line.pieces) + i128::from(line.service_date.day());
    }
    sum
}

fn print(name: &str, time: Duration, unit: Duration) {
    let hundredths = time.as_nanos() * 100 / unit.as_nanos().max(1);
    let micros = time.as_micros();
    write(&format!("{name:<52} {micros:>9} us {:>7}.{:02} x", hundredths / 100, hundredths % 100));
}

#[expect(clippy::print_stdout, reason = "a benchmark's answer is what it prints")]
fn write(line: &str) {
    println!("{line}");
}

/// Most memory that the process ever held, in MB.
fn peak_memory_mb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kilobytes: u64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024)
}

/// Exact chains through eight levels grow long: a hundred products are enough to see.
fn exact_expansion(bakery: &Bakery, planned: &domain::plan::Plan) -> Duration {
    let recipes = bakery.recipes(bakery::first_date());
    let pieces = planned.demand.pieces.iter().take(100);
    let started: Vec<(u32, i64, Option<i64>)> =
        pieces.map(|line| (line.product, line.start, line.trays)).collect();
    let start = Instant::now();
    black_box(expand(bakery, recipes, make_up(bakery, recipes, &started)));
    start.elapsed()
}

/// One changed order, with nothing in stock and with a lot of each ingredient.
fn changes(bakery: &Bakery, book: &mut Book, input: PlanInput) {
    let mut seed = bakery::Seed::new(7);
    let mut random = |below| seed.next(below);
    changes::print("nothing in stock", bakery, book, input, &mut random);
    book.lots = bakery::lots();
    changes::print("a lot of each ingredient", bakery, book, input, &mut random);
}

fn main() {
    let (draft, mut book) = bakery::chain();
    let before = draft.clone();
    let compile = Instant::now();
    let Ok(bakery) = Bakery::new(draft) else {
        write("the seeded bakery is refused: the generator is wrong");
        return;
    };
    let compile = compile.elapsed();
    let dates = bakery::dates();
    let input = PlanInput { now: bakery::now(), until: bakery::last_date() };
    let recipes = bakery.recipes(bakery::first_date());
    write(&format!(
        "{} products, {} formulas, {} lines, {} order lines, {} dates",
        bakery.lists().products.len(),
        recipes.recipes.len(),
        recipes.lines.len(),
        book.orders.len(),
        dates.len()
    ));
    if std::env::args().any(|argument| argument == "changes") {
        return changes(&bakery, &mut book, input);
    }
    let read = fastest(|| read_arrays(&bakery, &book));
    let pieces = fastest(|| demand(&bakery, &book, &dates));
    let whole = fastest(|| plan(&bakery, &book, input));
    let Ok(planned) = plan(&bakery, &book, input) else {
        write("the seeded chain has no plan: the generator is wrong");
        return;
    };
    let sweep = fastest_of(
        || planned.demand.clone(),
        |demand| domain::plan::sweep(&bakery, demand, &dates),
    );
    let costs = fastest(|| domain::plan::cost::standard_costs(&bakery, &planned));
    let exact = exact_expansion(&bakery, &planned);
    let peak = peak_memory_mb();
    let script = baseline::Script::new(&before);
    let recursive_start = Instant::now();
    black_box(script.expand(&planned.demand, &before));
    let recursive = recursive_start.elapsed();

    write(&format!(
        "planned: {} batches, {} weighed lines, {} needs",
        planned.batches.len(),
        planned
            .batches
            .iter()
            .flat_map(|batch| &batch.groups)
            .map(|group| group.lines.len())
            .sum::<usize>(),
        planned.needs.len()
    ));
    print("reading the arrays once", read, read);
    print("demand: orders to start pieces", pieces, read);
    print("sweep: pieces to weighed loads, all dates", sweep, read);
    let each = u32::try_from(dates.len()).unwrap_or(1);
    print("the same for each date: the arrays are read so often", sweep / each, read);
    print("whole plan", whole, read);
    print("exact expansion of 100 products (big rationals)", exact, read);
    print("standard cost of all products, all dates", costs, read);
    print("standard cost over sweep", costs, sweep);
    print("compiling the bakery", compile, read);
    print("baseline: recursive script, one pass", recursive, read);
    print("baseline over sweep", recursive, sweep);
    if let Some(peak) = peak {
        write(&format!("peak memory up to the baseline: {peak} MB"));
    }
}
