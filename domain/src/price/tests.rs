use super::*;
use crate::{
    id::Code,
    item::{AllergenRecord, ItemKind, Supply},
    money::Currency,
    quantity::Unit,
    supplier::{Break, HolidayRule, ValueBreak},
};
use jiff::{civil::date, tz::TimeZone};

fn code(text: &str) -> Code {
    Code::parse(text).expect("a code")
}

fn money(minor: i64) -> Money {
    Money { minor, currency: Currency::parse("EUR").expect("a currency") }
}

fn quantity(amount: &str, unit: &str) -> Quantity {
    Quantity::parse(amount, unit).expect("a quantity")
}

fn item() -> Item {
    Item {
        code: code("flour"),
        name: "Flour".to_owned(),
        kind: ItemKind::Bought,
        base_unit: Unit::Gram,
        density: None,
        each: None,
        stocked: true,
        water: false,
        salt: false,
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
        label: crate::labelling::ItemLabel::default(),
        nutrients: crate::nutrients::Nutrients::default(),
        nature: crate::item::Nature::default(),
    }
}

fn price(minor: i64, breaks: &[(i64, i64)]) -> PackPrice {
    let one = |&(from_packs, minor): &(i64, i64)| Break { from_packs, price: money(minor) };
    let breaks = breaks.iter().map(one).collect();
    PackPrice { valid_from: Date::MIN, price: money(minor), per: None, breaks }
}

fn pack(name: &str, kilograms: &str, price: PackPrice) -> Pack {
    Pack {
        code: code(name),
        item: code("flour"),
        supplier: code("mill"),
        holds: quantity(kilograms, "kg"),
        inner: None,
        prices: vec![price],
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

fn supplier(below_minimum: BelowMinimum) -> Supplier {
    Supplier {
        code: code("mill"),
        name: "The mill".to_owned(),
        time_zone: TimeZone::UTC,
        holidays: Vec::new(),
        delivery_on_holiday: HolidayRule::Ask,
        working_days: Vec::new(),
        minimum_order: money(20_000),
        below_minimum,
        carriage: money(2_500),
        deliveries: Vec::new(),
        value_breaks: Vec::new(),
        email: None,
    }
}

const ON: Date = date(2026, 6, 12);

#[test]
fn a_use_costs_its_share_of_the_stated_price_and_is_never_rounded_early() {
    // Source: trade rules, nasty case 23: 3125 cents per 12.5 kg.
    let pack = pack("bag", "12.5", price(3_125, &[]));
    let seven_grams = amount_price(&item(), &pack, ON, 7_000_000).expect("in bounds");
    assert_eq!(seven_grams, Some(Ratio::new(175, 100).expect("a ratio")));
    let thousand = seven_grams.expect("a price").times(Ratio::whole(1_000));
    assert_eq!(thousand, Ok(Ratio::whole(1_750)));
}

#[test]
fn the_price_is_the_one_of_the_day_and_of_the_break_that_is_reached() {
    // Source: alder-yard.md 8.6, strong-white from 20 bags 20.75; the later price is invented.
    let mut bag = pack("bag", "25", price(2_125, &[(20, 2_075)]));
    bag.prices.push(PackPrice { valid_from: date(2026, 7, 1), ..price(2_200, &[]) });
    let at = |on, packs| pack_price(&item(), &bag, on, packs).expect("in bounds");
    assert_eq!(at(ON, 19), Some(Ratio::whole(2_125)));
    assert_eq!(at(ON, 20), Some(Ratio::whole(2_075)));
    assert_eq!(at(date(2026, 6, 30), 1), Some(Ratio::whole(2_125)));
    assert_eq!(at(date(2026, 7, 1), 20), Some(Ratio::whole(2_200)));
    bag.prices.remove(0);
    assert_eq!(at_first(&bag), None, "no price holds yet: not known, never 0");
}

fn at_first(pack: &Pack) -> Option<Ratio> {
    pack_price(&item(), pack, ON, 1).expect("in bounds")
}

#[test]
fn uneven_packs_are_priced_at_nominal_and_planned_at_their_least() {
    // Source: alder-yard.md 8.5 (lemons 2.40 a kg, box of about 10 kg); reading R33.
    let mut boxed = pack("box", "10", price(240, &[]));
    boxed.prices[0].per = Some(quantity("1", "kg"));
    boxed.catch_weight = Some((quantity("9.5", "kg"), quantity("10.5", "kg")));
    assert_eq!(at_first(&boxed), Some(Ratio::whole(2_400)));
    assert_eq!(holds_at_least(&item(), &boxed), Ok(Some(Ratio::whole(9_500_000_000))));
    let paid = amount_price(&item(), &boxed, ON, 10_200_000_000);
    assert_eq!(paid, Ok(Some(Ratio::whole(2_448))), "paid by the weight that came");
}

#[test]
fn packs_of_one_price_group_reach_a_break_together() {
    // Constructed: 12 and 8 bags make 20 together.
    let (mut white, mut brown) =
        (pack("white", "25", price(2_125, &[(20, 2_075)])), pack("brown", "16", price(1_520, &[])));
    let ordered = |white: &Pack, brown: &Pack| {
        let item = item();
        let lines = [
            OrderedPacks { item: &item, pack: white, packs: 12 },
            OrderedPacks { item: &item, pack: brown, packs: 8 },
        ];
        bill(&supplier(BelowMinimum::Carriage), &lines, ON).expect("in bounds")
    };
    assert_eq!(ordered(&white, &brown).goods_minor, 12 * 2_125 + 8 * 1_520);
    (white.price_group, brown.price_group) = (Some(code("flour-bags")), Some(code("flour-bags")));
    assert_eq!(ordered(&white, &brown).goods_minor, 12 * 2_075 + 8 * 1_520);
}

#[test]
fn value_carriage_deposit_and_tax_stand_apart() {
    // Constructed; the minimum and carriage are those of alder-yard.md 8.6.
    let mut bag = pack("bag", "25", price(1_999, &[]));
    bag.deposit = Some(money(350));
    bag.tax_percent = Some(Ratio::whole(9));
    let item = item();
    let of = |packs, supplier: &Supplier| {
        bill(supplier, &[OrderedPacks { item: &item, pack: &bag, packs }], ON).expect("in bounds")
    };
    let mill = supplier(BelowMinimum::Carriage);
    let small = of(10, &mill);
    assert_eq!(
        (small.goods_minor, small.carriage_minor, small.deposit_minor),
        (19_990, 2_500, 3_500)
    );
    assert_eq!(small.tax, [(Ratio::whole(9), 1_799)], "9 % of 199.90 is 17.991");
    assert_eq!((small.net_minor(), small.total_minor()), (22_490, 27_789));
    assert_eq!(of(10, &supplier(BelowMinimum::Refused)).carriage_minor, 0);
    let half = Ratio::new(5, 2).expect("a ratio");
    let from = |minor, percent_off| ValueBreak { from: money(minor), percent_off };
    let generous =
        Supplier { value_breaks: vec![from(20_000, half), from(90_000, Ratio::whole(5))], ..mill };
    let large = of(11, &generous);
    // 2.5 % of 219.89 is 5.49725, and 9 % of what that leaves (214.39275) is 19.2953.
    assert_eq!((large.goods_minor, large.off_minor, large.carriage_minor), (21_989, 550, 0));
    assert_eq!(large.tax, [(Ratio::whole(9), 1_930)]);
}

#[test]
fn a_larger_order_is_offered_only_where_it_costs_less() {
    // Source: alder-yard.md 8.6: 19 bags at 21.25 cost less than 20 at 20.75.
    let item = item();
    let mill = supplier(BelowMinimum::Carriage);
    let saves = |breaks: &[(i64, i64)], packs| {
        let bag = pack("bag", "25", price(2_125, breaks));
        let lines = [OrderedPacks { item: &item, pack: &bag, packs }];
        next_break(&mill, &lines, 0, ON).expect("in bounds")
    };
    assert_eq!(saves(&[(20, 2_075)], 19), None);
    // Constructed: 20 at 20.00 are 400.00, 19 at 21.25 are 403.75.
    assert_eq!(saves(&[(20, 2_000)], 19), Some((20, 375)));
    assert_eq!(saves(&[(20, 2_000)], 18), None);
}

#[test]
fn a_break_that_a_price_group_has_reached_is_not_offered_again() {
    // Constructed: 12 white and 8 brown bags are 20 together, so that 20 white save nothing.
    let (item, mill) = (item(), supplier(BelowMinimum::Carriage));
    let group = Some(code("flour-bags"));
    let mut white = pack("white", "25", price(2_125, &[(20, 1_000)]));
    let mut brown = pack("brown", "16", price(1_520, &[(20, 1_500)]));
    (white.price_group, brown.price_group) = (group.clone(), group);
    let offered = |packs, others| {
        let lines = [
            OrderedPacks { item: &item, pack: &white, packs },
            OrderedPacks { item: &item, pack: &brown, packs: others },
        ];
        next_break(&mill, &lines, 0, ON).expect("in bounds")
    };
    assert_eq!(offered(12, 8), None);
    // One bag more brings 11 and 8 to 20: 11 x 21.25 + 8 x 15.20 = 355.35 become
    // 12 x 10.00 + 8 x 15.00 = 240.00.
    assert_eq!(offered(11, 8), Some((12, 11_535)));
}

#[test]
fn a_case_is_split_only_where_that_costs_less() {
    // Constructed: a case of 12 kg at 12.60; bottles of 1 kg at 1.15, once 0.50 for splitting.
    let (item, case) = (item(), pack("case", "12", price(1_260, &[])));
    let mut bottle = pack("bottle", "1", price(115, &[]));
    (bottle.split_of, bottle.split_surcharge) = (Some(code("case")), Some(money(50)));
    let of = |kilograms: i64, packs| {
        let whole = OrderedPacks { item: &item, pack: &case, packs };
        split((&whole, &bottle), kilograms * 1_000_000_000, ON).expect("in bounds")
    };
    // 2 bottles are 2.80, a case 12.60; 11 bottles are 13.15.
    assert_eq!(of(2, 3), Some((2, 980)));
    assert_eq!(of(11, 1), None);
    assert_eq!(of(0, 1), None);
}

#[test]
fn split_packs_pay_once_and_pallet_layers_are_whole() {
    // Constructed.
    let mut bottle = pack("bottle", "1", price(115, &[]));
    bottle.split_of = Some(code("case"));
    bottle.split_surcharge = Some(money(50));
    let item = item();
    let lines = [OrderedPacks { item: &item, pack: &bottle, packs: 3 }];
    let found = bill(&supplier(BelowMinimum::Refused), &lines, ON).expect("in bounds");
    assert_eq!((found.lines[0].surcharge_minor, found.lines[0].minor), (50, Some(395)));
    for (packs, multiple, whole) in [(1, 8, 8), (8, 8, 8), (9, 8, 16), (0, 8, 0), (5, 1, 5)] {
        assert_eq!(in_multiples(packs, multiple), Ok(whole));
    }
}
