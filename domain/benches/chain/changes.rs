//! One order changed: what the plan of that costs beside a whole plan.

use crate::write;
use domain::{
    bakery::Bakery,
    book::Book,
    order::{OrderChange, OrderLine},
    plan::{
        Plan, PlanInput, plan,
        replan::{WholeBecause, replan},
    },
};
use rustix::time::{ClockId, clock_gettime};
use std::{collections::BTreeMap, hint::black_box, time::Duration};

/// Orders that are changed, one after another.
const ORDERS: u64 = 300;
/// Every so many changes the plan is compared with a whole one, field by field.
const COMPARED: u64 = 30;
/// Whole plans; the one in the middle counts.
const WHOLE: usize = 5;

/// Processor time that this thread has used: other work of the machine is not in it.
fn cpu() -> Duration {
    let time = clock_gettime(ClockId::ThreadCPUTime);
    let seconds = u64::try_from(time.tv_sec).unwrap_or(0);
    Duration::new(seconds, u32::try_from(time.tv_nsec).unwrap_or(0))
}

fn timed<T>(work: impl FnOnce() -> T) -> (Duration, T) {
    let start = cpu();
    let done = work();
    (cpu().saturating_sub(start), done)
}

fn middle(times: &mut [Duration]) -> Duration {
    times.sort_unstable();
    times.get(times.len() / 2).copied().unwrap_or_default()
}

/// An order that is put, amended or called off, in turn.
fn change(book: &Book, number: u64, random: &mut impl FnMut(u64) -> u64) -> OrderChange {
    let mut draw = |below: usize| {
        usize::try_from(random(u64::try_from(below).unwrap_or(1).max(1))).unwrap_or(0)
    };
    let held = book.orders[draw(book.orders.len())].clone();
    let pieces = 1 + i64::try_from(draw(20)).unwrap_or(0);
    let other = OrderLine { pieces, ..held.clone() };
    match number % 3 {
        0 => {
            let product = book.orders[draw(book.orders.len())].product.clone();
            OrderChange { gone: Vec::new(), come: vec![OrderLine { product, ..other }] }
        }
        1 => OrderChange { gone: vec![held], come: vec![other] },
        _ => OrderChange { gone: vec![held], come: Vec::new() },
    }
}

/// What changes cost beside whole plans.
struct Costs {
    in_place: Vec<Duration>,
    beside: Vec<Duration>,
    whole: BTreeMap<WholeBecause, u64>,
    different: u64,
}

fn measure(
    bakery: &Bakery,
    book: &mut Book,
    mut standing: Plan,
    input: PlanInput,
    random: &mut impl FnMut(u64) -> u64,
) -> Option<Costs> {
    let (in_place, beside, whole) = (Vec::new(), Vec::new(), BTreeMap::new());
    let mut costs = Costs { in_place, beside, whole, different: 0 };
    for number in 0..ORDERS {
        let change = change(book, number, random);
        book.change(&change);
        let (time, other) = timed(|| replan(bakery, (book, standing.clone()), &change, input));
        let other = other.ok()?;
        costs.beside.push(time);
        drop(other);
        let (time, replanned) = timed(|| replan(bakery, (book, standing), &change, input));
        let replanned = replanned.ok()?;
        costs.in_place.push(time);
        if let Some(because) = replanned.whole {
            *costs.whole.entry(because).or_default() += 1;
        }
        standing = replanned.plan;
        if number % COMPARED == 0 {
            costs.different += u64::from(plan(bakery, book, input).ok()? != standing);
        }
    }
    Some(costs)
}

/// Prints what changes of one order cost.
pub fn print(
    name: &str,
    bakery: &Bakery,
    book: &mut Book,
    input: PlanInput,
    random: &mut impl FnMut(u64) -> u64,
) {
    let mut whole: Vec<Duration> =
        (0..WHOLE).map(|_| timed(|| black_box(plan(bakery, book, input))).0).collect();
    let whole = middle(&mut whole);
    let Some(mut costs) = plan(bakery, book, input)
        .ok()
        .and_then(|standing| measure(bakery, book, standing, input, random))
    else {
        return write("the seeded chain has no plan: the generator is wrong");
    };
    write(&format!("one changed order, {name}: whole plan {} us of processor", whole.as_micros()));
    for (way, times) in
        [("in place", &mut costs.in_place), ("beside the one before", &mut costs.beside)]
    {
        let half = middle(times);
        let worst = times.last().copied().unwrap_or_default();
        let ratio = |time: Duration| whole.as_nanos() / time.as_nanos().max(1);
        write(&format!(
            "  {way:<22} median {:>6} us, 1/{:<5} worst {:>6} us, 1/{}",
            half.as_micros(),
            ratio(half),
            worst.as_micros(),
            ratio(worst)
        ));
    }
    write(&format!(
        "  {} changes, planned whole {:?}, compared {} and different {}",
        ORDERS,
        costs.whole,
        ORDERS.div_ceil(COMPARED),
        costs.different
    ));
}
