//! Seeded random bakeries, small enough to be worked through by the slow model.
//!
//! The same seed gives the same bakery on every machine: no clock, no operating
//! system's randomness. Each bakery is valid; faults have tests of their own.

mod items;
mod recipes;

use domain::{
    bakery::{BakeryDraft, Site},
    book::Book,
    customer::Customer,
    equipment::Mixer,
    id::Code,
    lot::{Lot, LotState, LotUse},
    money::Currency,
    order::OrderLine,
    product::{At, Product},
    quantity::{MICRO, Quantity},
    ratio::Ratio,
    scale::Scale,
};
use jiff::{
    Timestamp,
    civil::{Date, date},
    tz::TimeZone,
};

/// A stream of numbers that a seed decides.
///
/// # Source
/// Steele, Lea and Flood, "Fast splittable pseudorandom number generators" (2014):
/// the mixing function of `SplitMix64`.
#[derive(Debug, Clone)]
pub struct Seed(u64);

impl Seed {
    /// A stream that starts at a seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number from 0 up to but not including `end`, which is above 0.
    pub const fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) % end
    }

    /// The next number from `least` to `most`, both included.
    pub fn between(&mut self, least: i64, most: i64) -> i64 {
        least + self.below(most.abs_diff(least) + 1).cast_signed()
    }

    /// Whether an event of this many percent happens.
    pub const fn chance(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }

    /// One of some things; there is at least one.
    pub fn pick<T: Clone>(&mut self, things: &[T]) -> T {
        let at = self.below(things.len() as u64);
        things[usize::try_from(at).unwrap_or_default()].clone()
    }

    /// Puts things into another order.
    pub fn shuffle<T>(&mut self, things: &mut [T]) {
        for last in (1..things.len()).rev() {
            let other = self.below(last as u64 + 1);
            things.swap(last, usize::try_from(other).unwrap_or_default());
        }
    }
}

/// A code that is well formed by how it was written.
///
/// # Panics
/// If it is not.
#[must_use]
pub fn code(text: &str) -> Code {
    Code::parse(text).unwrap_or_else(|error| unreachable!("{error}"))
}

/// A quantity that is well formed by how it was written, such as `12.5` and `g`.
///
/// # Panics
/// If it is not.
#[must_use]
pub fn quantity(amount: &str, unit: &str) -> Quantity {
    Quantity::parse(amount, unit).unwrap_or_else(|error| unreachable!("{amount} {unit}: {error}"))
}

/// A plain decimal as a ratio.
///
/// # Panics
/// If it is none.
#[must_use]
pub fn ratio(text: &str) -> Ratio {
    Ratio::parse_decimal(text, 6).unwrap_or_else(|error| unreachable!("{text}: {error}"))
}

/// A number of tenths as a ratio.
pub(crate) fn tenths(value: i64) -> Ratio {
    ratio(&format!("{}.{}", value / 10, value % 10))
}

/// A local time some days before or on the service date.
pub(crate) fn at(day: i32, hour: i8, minute: i8) -> At {
    At { day, time: jiff::civil::time(hour, minute, 0, 0) }
}

/// A bakery with its orders and stock.
#[derive(Debug, Clone)]
pub struct World {
    /// Its reference data.
    pub draft: BakeryDraft,
    /// What happened.
    pub book: Book,
    /// The moment of planning.
    pub now: Timestamp,
    /// The last service date.
    pub until: Date,
}

/// The world of a seed: 1 to 8 levels of formulas, 1 to 4 service dates.
#[must_use]
pub fn world(seed: u64) -> World {
    let mut seed = Seed::new(seed);
    let mut draft = bakery(&mut seed);
    let mut recipes = recipes::Kitchen::new(&mut seed, &mut draft);
    recipes.fill();
    let first = date(2026, 3, 27);
    let dates: Vec<Date> = first
        .series(jiff::Span::new().days(1))
        .take(usize::try_from(seed.between(1, 4)).unwrap_or(1))
        .collect();
    let book = book(&mut seed, &draft, &dates);
    let now = Timestamp::from_second(1_774_300_000).unwrap_or(Timestamp::UNIX_EPOCH);
    World { draft, book, now, until: dates.last().copied().unwrap_or(first) }
}

fn bakery(seed: &mut Seed) -> BakeryDraft {
    let currency = Currency::parse("EUR").unwrap_or_else(|error| unreachable!("{error}"));
    // Clocks change on 29 March 2026 there, inside most horizons.
    let zone = TimeZone::get("Europe/Amsterdam").unwrap_or(TimeZone::UTC);
    let customers = (1..=3)
        .map(|number| Customer {
            code: code(&format!("customer-{number}")),
            name: format!("Customer {number}"),
            tier: number,
            cutoff: None,
            minimum_useful: 1,
            all_or_nothing: false,
            avoids: Vec::new(),
            run: None,
            stop: None,
        })
        .collect();
    BakeryDraft {
        site: Site {
            code: code("seeded"),
            name: "Seeded Bakehouse".to_owned(),
            time_zone: zone,
            currency,
            open_weekdays: Vec::new(),
            closed_dates: Vec::new(),
            teams: Vec::new(),
            temperatures: None,
            use_by_strict: false,
            waste_reasons: Vec::new(),
            count_weeks: 4,
            regulation: None,
            labour: None,
        },
        places: Vec::new(),
        scales: scales(seed),
        mixers: mixers(seed),
        ovens: Vec::new(),
        suppliers: Vec::new(),
        items: items::all(seed),
        packs: Vec::new(),
        substitutes: Vec::new(),
        formulas: Vec::new(),
        routes: Vec::new(),
        products: Vec::new(),
        overheads: Vec::new(),
        standing_orders: Vec::new(),
        customers,
        regulations: Vec::new(),
    }
}

fn scales(seed: &mut Seed) -> Vec<Scale> {
    let scale = |name: &str, capacity: &str, division: &str, from: &str| {
        let grams = |text: &str| quantity(text, "g");
        Scale::new(code(name), grams(capacity), grams(division), grams(from))
            .unwrap_or_else(|error| unreachable!("{error}"))
    };
    let floor = seed.pick(&["20", "10", "50"]);
    let mut all = vec![
        scale("micro", "600", "0.1", "10"),
        scale("floor", "60000", floor, "2000"),
        scale("bench", "15000", seed.pick(&["2", "1", "5"]), "200"),
    ];
    if seed.chance(20) {
        all.remove(0);
    }
    seed.shuffle(&mut all);
    all
}

fn mixers(seed: &mut Seed) -> Vec<Mixer> {
    let mut mixer = |name: &str, kilograms: i64| {
        let most = kilograms * 1_000 * MICRO;
        Mixer {
            code: code(name),
            name: name.to_owned(),
            minimum_ug: most / 10,
            residue_ug: seed.pick(&[0, 50, 100, 200]) * MICRO,
            wash_minutes: 0,
            friction: None,
            maximum_ug: vec![
                ("lean".to_owned(), most),
                ("enriched".to_owned(), most / 10 * 7),
                ("stiff".to_owned(), most / 100 * 65),
            ],
        }
    };
    vec![mixer("large-mixer", 60), mixer("small-mixer", 20), mixer("kettle", 12)]
}

fn book(seed: &mut Seed, draft: &BakeryDraft, dates: &[Date]) -> Book {
    let mut orders = Vec::new();
    for &service_date in dates {
        for product in &draft.products {
            for customer in &draft.customers {
                if seed.chance(60) {
                    orders.push(OrderLine {
                        customer: customer.code.clone(),
                        service_date,
                        product: product.code.clone(),
                        pieces: seed.between(0, 40),
                        drop: None,
                        taken_at: None,
                    });
                }
            }
        }
    }
    // A day without any order at all would have no plan to compare.
    orders.extend(dates.iter().map(|&service_date| OrderLine {
        customer: draft.customers[0].code.clone(),
        service_date,
        product: draft.products[0].code.clone(),
        pieces: 12,
        drop: None,
        taken_at: None,
    }));
    let mut lots: Vec<Lot> =
        draft.products.iter().filter_map(|product| finished(seed, product, dates)).collect();
    for item in &draft.items {
        for number in 0..seed.between(0, 3) {
            lots.push(ingredient(seed, &item.code, number, dates[0]));
        }
    }
    seed.shuffle(&mut orders);
    Book { orders, service_dates: dates.to_vec(), lots, ..Book::default() }
}

fn finished(seed: &mut Seed, product: &Product, dates: &[Date]) -> Option<Lot> {
    seed.chance(15).then(|| Lot {
        id: String::new(),
        name: format!("{}-shelf", product.code),
        item: product.code.clone(),
        balance_micro: seed.between(1, 30) * MICRO,
        state: LotState::Released,
        usage: if seed.chance(20) { LotUse::Ingredient } else { LotUse::Any },
        received: dates[0],
        date: seed.chance(50).then(|| seed.pick(dates)),
        usable_until: None,
        arrives: None,
        baked: seed.chance(50).then(|| seed.pick(dates)),
        made_at: None,
        date_is_use_by: false,
        thaw_started: None,
        opened: None,
        place: None,
    })
}

fn ingredient(seed: &mut Seed, item: &Code, number: i64, today: Date) -> Lot {
    let day = |days: i64| today.saturating_add(jiff::Span::new().days(days));
    Lot {
        id: String::new(),
        name: format!("lot-{number}"),
        item: item.clone(),
        balance_micro: seed.between(-2, 30) * 1_000 * MICRO,
        state: seed.pick(&[LotState::Released, LotState::Open, LotState::Hold]),
        usage: LotUse::Any,
        received: day(-seed.between(0, 9)),
        date: seed.chance(60).then(|| day(seed.between(-1, 20))),
        usable_until: None,
        arrives: None,
        baked: None,
        made_at: None,
        date_is_use_by: false,
        thaw_started: None,
        opened: None,
        place: None,
    }
}
