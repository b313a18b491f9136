//! A seeded chain: 5,000 products, 800 formulas in 8 levels, 400 ingredients.

use domain::{
    bakery::{BakeryDraft, Site},
    book::Book,
    customer::Customer,
    equipment::Mixer,
    formula::{Base, Formula, Keeping, Line, LineAmount, Loss, Made},
    id::Code,
    item::{AllergenRecord, Item, ItemKind, Supply},
    lot::{Lot, LotState, LotUse},
    money::{Currency, Money},
    order::{OrderLine, Wanted},
    product::{At, MakeUp, MakeUpAmount, Overs, Per, Product},
    quantity::{Quantity, Unit},
    ratio::Ratio,
    scale::Scale,
    supplier::{BelowMinimum, HolidayRule, Pack, PackPrice, Supplier},
};
use jiff::{Timestamp, civil::Date, tz::TimeZone};

const PRODUCTS: u64 = 5_000;
const FORMULAS: u64 = 800;
const LEVELS: u64 = 8;
const INGREDIENTS: u64 = 400;
const LINES: u64 = 75;
const ORDER_LINES: u64 = 100_000;
const DATES: u64 = 7;

/// Sebastiano Vigna's splitmix64, which is enough to look like a bakery.
pub struct Seed(u64);

impl Seed {
    /// A stream that starts at a seed.
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number below a bound.
    pub const fn next(&mut self, below: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % below
    }
}

fn code(text: &str) -> Code {
    Code::parse(text).unwrap_or_else(|_| unreachable!("{text} is a code"))
}

fn grams(tenths: u64) -> Quantity {
    let micro = i64::try_from(tenths).unwrap_or(0) * 100_000;
    Quantity::from_micro(micro, Unit::Gram).unwrap_or_else(|_| unreachable!("small"))
}

fn hundredths(value: u64) -> Ratio {
    Ratio::new(value.into(), 100).unwrap_or(Ratio::ONE)
}

/// The first service date.
pub fn first_date() -> Date {
    jiff::civil::date(2026, 6, 15)
}

/// All service dates.
pub fn dates() -> Vec<Date> {
    first_date().series(jiff::Span::new().days(1)).take(DATES as usize).collect()
}

/// The last of them.
pub fn last_date() -> Date {
    dates().last().copied().unwrap_or_else(first_date)
}

/// The moment of planning: the day before the first date.
pub fn now() -> Timestamp {
    Timestamp::from_second(1_781_424_000).unwrap_or(Timestamp::UNIX_EPOCH)
}

/// One lot of each ingredient, of about half of what a week takes.
pub fn lots() -> Vec<Lot> {
    let lot = |number| Lot {
        id: format!("lot-{number}"),
        name: format!("L{number}"),
        item: code(&format!("ingredient-{number}")),
        balance_micro: 5_000_000_000_000,
        state: LotState::Released,
        usage: LotUse::Any,
        received: jiff::civil::date(2026, 6, 1),
        date: Some(jiff::civil::date(2026, 12, 1)),
        usable_until: None,
        arrives: None,
        baked: None,
        made_at: None,
        date_is_use_by: false,
        thaw_started: None,
        opened: None,
        place: None,
    };
    (0..INGREDIENTS).map(lot).collect()
}

fn item(number: u64) -> Item {
    Item {
        code: code(&format!("ingredient-{number}")),
        name: format!("Ingredient {number}"),
        kind: ItemKind::Bought,
        base_unit: Unit::Gram,
        density: None,
        each: None,
        stocked: true,
        water: number == 0,
        salt: number == 1,
        allergens: AllergenRecord::default(),
        opened_life_minutes: None,
        thawed_life_minutes: None,
        short_life: false,
        safety_stock: None,
        safety_days: None,
        weighing_loss_percent: Ratio::ZERO,
        ready_after_minutes: 0,
        place: None,
        supply: Supply::Bought,
        free: false,
        joint: None,
        label: domain::labelling::ItemLabel::default(),
        nutrients: domain::nutrients::Nutrients::default(),
        nature: domain::item::Nature::default(),
    }
}

fn pack(number: u64) -> Pack {
    let currency = Currency::parse("EUR").unwrap_or_else(|_| unreachable!("EUR has three letters"));
    let kilograms = [1, 5, 10, 12, 16, 25][(number % 6) as usize];
    Pack {
        code: code(&format!("pack-{number}")),
        item: code(&format!("ingredient-{number}")),
        supplier: code("mill"),
        holds: grams(kilograms * 10_000),
        inner: None,
        prices: vec![PackPrice {
            valid_from: Date::MIN,
            price: Money { minor: 700 + i64::try_from(number * 13).unwrap_or(0), currency },
            per: None,
            breaks: Vec::new(),
        }],
        price_group: None,
        minimum_life_minutes: None,
        catch_weight: None,
        gtin: None,
        orderable: true,
        multiple: 1,
        split_of: None,
        split_surcharge: None,
        deposit: None,
        tax_percent: None,
    }
}

fn mill() -> Supplier {
    let currency = Currency::parse("EUR").unwrap_or_else(|_| unreachable!("EUR has three letters"));
    let nothing = Money { minor: 0, currency };
    Supplier {
        code: code("mill"),
        name: "Mill".to_owned(),
        time_zone: TimeZone::UTC,
        holidays: Vec::new(),
        delivery_on_holiday: HolidayRule::Ask,
        working_days: Vec::new(),
        minimum_order: nothing,
        below_minimum: BelowMinimum::Carriage,
        carriage: nothing,
        deliveries: Vec::new(),
        value_breaks: Vec::new(),
        email: None,
    }
}

fn formula(number: u64, seed: &mut Seed) -> Formula {
    let level = number / (FORMULAS / LEVELS);
    let mut lines = Vec::with_capacity(LINES as usize);
    for at in 0..LINES {
        // One or two lines of each formula come from the level below.
        let below = level + 1 < LEVELS && at < 2;
        let item = if below {
            let first = (level + 1) * (FORMULAS / LEVELS);
            format!("formula-{}", first + seed.next(FORMULAS / LEVELS))
        } else {
            format!("ingredient-{}", (seed.next(INGREDIENTS / LINES) * LINES + at) % INGREDIENTS)
        };
        lines.push(Line {
            item: code(&item),
            amount: LineAmount::Parts(hundredths(100 + seed.next(10_000))),
            flour: at % 7 == 2,
            previous_batch: false,
            precision_percent: None,
            in_bowl: true,
            old_dough: None,
        });
    }
    let loss = |percent: u64| Loss { stage: "scrap".to_owned(), percent: hundredths(percent) };
    Formula {
        code: code(&format!("formula-{number}")),
        name: format!("Formula {number}"),
        valid_from: Date::MIN,
        base: Base::Parts,
        dough_class: Some("lean".to_owned()),
        mixer: Some(code(if number.is_multiple_of(2) { "large" } else { "small" })),
        lines,
        losses: vec![loss(seed.next(300)), loss(seed.next(100))],
        made: Made::At { at: At { day: -1, time: jiff::civil::time(6, 0, 0, 0) }, until: None },
        keep_back_after_last: None,
        soaker: false,
        age_window_minutes: None,
        mixing: None,
        life_minutes: None,
        keeping: Keeping::default(),
        hydration_band: None,
    }
}

fn product(number: u64, seed: &mut Seed) -> Product {
    let dough = code(&format!("formula-{}", seed.next(FORMULAS / LEVELS)));
    let make_up = |item: Code, tenths: u64| MakeUp::Item {
        item,
        amount: MakeUpAmount::Amount(grams(tenths)),
        per: Per::Piece,
        included: false,
        at: None,
    };
    let topping = code(&format!("ingredient-{}", seed.next(INGREDIENTS)));
    Product {
        code: code(&format!("product-{number}")),
        name: format!("Product {number}"),
        dough: Some(dough.clone()),
        reject_percent: hundredths(seed.next(400)),
        test_pieces: 0,
        overs: Overs::None,
        tray: None,
        route: None,
        baking: None,
        sale_pack: 1,
        thaw_minutes: 0,
        par_baked: None,
        cutoff: None,
        price: None,
        sale_life: None,
        made_ahead: None,
        baked: None,
        make_up: vec![
            make_up(dough, 500 + seed.next(5_000)),
            make_up(topping, 20 + seed.next(200)),
        ],
        label: domain::labelling::ProductLabel::default(),
    }
}

fn mixer(name: &str, kilograms: i64) -> Mixer {
    Mixer {
        code: code(name),
        name: name.to_owned(),
        minimum_ug: 0,
        residue_ug: 100_000_000,
        wash_minutes: 0,
        friction: None,
        maximum_ug: vec![("lean".to_owned(), kilograms * 1_000_000_000)],
    }
}

fn scale(name: &str, capacity: u64, division: u64, from: u64) -> Scale {
    Scale::new(code(name), grams(capacity), grams(division), grams(from))
        .unwrap_or_else(|_| unreachable!("its figures are in order"))
}

/// The chain and a week of its orders.
pub fn chain() -> (BakeryDraft, Book) {
    let mut seed = Seed(20_260_610);
    let currency = Currency::parse("EUR").unwrap_or_else(|_| unreachable!("EUR has three letters"));
    let draft = BakeryDraft {
        site: Site {
            code: code("chain"),
            name: "Chain".to_owned(),
            time_zone: TimeZone::UTC,
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
        pars: Vec::new(),
        places: Vec::new(),
        scales: vec![
            scale("floor", 600_000, 200, 20_000),
            scale("bench", 150_000, 20, 2_000),
            scale("micro", 6_000, 1, 100),
        ],
        mixers: vec![mixer("large", 240), mixer("small", 60)],
        ovens: Vec::new(),
        suppliers: vec![mill()],
        items: (0..INGREDIENTS).map(item).collect(),
        packs: (0..INGREDIENTS).map(pack).collect(),
        substitutes: Vec::new(),
        formulas: (0..FORMULAS).map(|number| formula(number, &mut seed)).collect(),
        routes: Vec::new(),
        products: (0..PRODUCTS).map(|number| product(number, &mut seed)).collect(),
        overheads: Vec::new(),
        standing_orders: Vec::new(),
        customers: (0..100)
            .map(|number| Customer {
                code: code(&format!("shop-{number}")),
                name: format!("Shop {number}"),
                tier: 2,
                cutoff: None,
                minimum_useful: 1,
                all_or_nothing: false,
                avoids: Vec::new(),
                books_out_of_par: false,
                run: None,
                stop: None,
            })
            .collect(),
        regulations: Vec::new(),
    };
    let dates = dates();
    let orders = (0..ORDER_LINES)
        .map(|_| OrderLine {
            customer: code(&format!("shop-{}", seed.next(100))),
            service_date: dates[seed.next(DATES) as usize],
            product: code(&format!("product-{}", seed.next(PRODUCTS))),
            pieces: 1 + i64::try_from(seed.next(20)).unwrap_or(0),
            drop: None,
            taken_at: None,
            wanted: Wanted::Ordered,
        })
        .collect();
    (draft, Book { orders, service_dates: dates, ..Book::default() })
}
