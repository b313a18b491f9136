use super::*;
use crate::{
    document::{BakeryBody, decode},
    service::{
        book::read,
        ledger::{Entry, enter, movements},
    },
    store::{Tx, movements as ledger, sites, tests::memory},
};
use domain::{
    lot::{LotState, LotUse},
    movement::MovementKind,
};
use jiff::civil::Date;

const SITE: &str = "main";
/// The moment at which the book is read, and the last service date looked at.
fn morning() -> (Timestamp, Date) {
    (at("2026-06-10T09:30:00+02:00"), Date::constant(2026, 6, 24))
}

fn bakery() -> Bakery {
    let text = include_bytes!("../../../../demo-data/bakery.json");
    let body: BakeryBody = decode(text).expect("a document");
    body.compile().expect("a bakery")
}

fn at(text: &str) -> Timestamp {
    text.parse().expect("an instant")
}

fn quantity(amount: &str, unit: &str) -> Quantity {
    Quantity::parse(amount, unit).expect("a quantity")
}

fn receipt(item: &str, amount: &str, unit: &str) -> Receipt {
    Receipt {
        item: Code::parse(item).expect("a code"),
        lot: Some("L-1".to_owned()),
        quantity: quantity(amount, unit),
        received: Date::constant(2026, 6, 10),
        use_by: None,
        best_before: None,
        usable_until: None,
        place: None,
        supplier: None,
        state: LotState::Released,
        usage: LotUse::Any,
        baked: None,
        arrives: None,
        made_at: None,
        allergens: None,
        price: None,
        who: None,
        document: None,
    }
}

fn taken(counted_at: &str, lot: &str, quantity: Quantity) -> Count {
    Count {
        counted_at: at(counted_at),
        lot: lot.to_owned(),
        quantity,
        who: None,
        reason: None,
        document: None,
        place: None,
    }
}

fn because(reason: &str) -> Act {
    Act { who: Some("Imre".to_owned()), at: None, reason: Some(reason.to_owned()) }
}

struct House {
    tx: Tx,
    bakery: Bakery,
}

impl House {
    fn new() -> Self {
        Self { tx: memory(), bakery: bakery() }
    }

    fn receive(&mut self, receipt: &Receipt) -> LotHeld {
        self.try_receive(receipt).expect("a lot")
    }

    fn try_receive(&mut self, receipt: &Receipt) -> Result<LotHeld, Refusal> {
        let now = at("2026-06-10T09:30:00+02:00");
        receive(&mut self.tx, SITE, now, &self.bakery, receipt)
    }

    fn count(&mut self, now: &str, counted_at: &str, lot: &str, amount: Quantity) -> Counted {
        let taken = taken(counted_at, lot, amount);
        count(&mut self.tx, SITE, at(now), &self.bakery, &taken).expect("a count")
    }

    fn judge(&mut self, now: &str, lot: &str, verdict: Verdict) -> LotHeld {
        let act = because("a test");
        judge(&mut self.tx, SITE, at(now), &self.bakery, lot, (verdict, &act)).expect("a lot")
    }

    fn faults(&mut self, receipt: &Receipt) -> Vec<(String, &'static str)> {
        let Err(Refusal::Body(faults)) = self.try_receive(receipt) else {
            panic!("faults of the body")
        };
        faults.into_iter().map(|fault| (fault.pointer, fault.kind)).collect()
    }
}

#[test]
fn nine_litres_of_milk_become_what_the_book_keeps() {
    // Source: alder-yard.md 8.9 D: 9 L are 9.27 kg at 1.03 kg per litre.
    let mut house = House::new();
    let lot = house.receive(&receipt("whole-milk", "9", "L"));
    let kilograms = house.receive(&receipt("whole-milk", "9.27", "kg"));
    assert_eq!(lot.balance_micro, kilograms.balance_micro);
    assert_eq!(lot.unit, kilograms.unit);
}

#[test]
fn what_cannot_be_converted_is_named() {
    let mut house = House::new();
    let place = |kind| vec![("/quantity".to_owned(), kind)];
    assert_eq!(house.faults(&receipt("rye", "2", "L")), place("no-density"));
    assert_eq!(house.faults(&receipt("rye", "2", "each")), place("no-weight-each"));
    assert_eq!(house.faults(&receipt("tray-paper", "2", "kg")), place("no-weight-each"));
    assert_eq!(house.faults(&receipt("croissant", "2", "kg")), place("unit-mismatch"));
}

#[test]
fn all_faults_of_a_receipt_come_at_once_and_nothing_is_kept() {
    let mut house = House::new();
    let mut bad = receipt("no-such-flour", "2", "kg");
    bad.place = Code::parse("no-such-place").ok();
    bad.supplier = Code::parse("no-such-supplier").ok();
    let places: Vec<_> = house.faults(&bad).into_iter().map(|(pointer, _)| pointer).collect();
    assert_eq!(places, ["/item", "/place", "/supplier"]);
    assert_eq!(ledger::sums(&mut house.tx, SITE).expect("sums").len(), 0);
    assert_eq!(sites::find(&mut house.tx, SITE).expect("counters").plan_revision, 0);
}

#[test]
fn a_count_is_held_against_the_book_at_the_moment_counted() {
    // Source: trade.md 7, case 12: counted 09:10, entered 11:30, three draws between stand.
    let mut house = House::new();
    let lot = house.receive(&receipt("strong-white", "100", "kg"));
    for happened_at in ["09:20", "10:00", "11:00"] {
        let moment = at(&format!("2026-06-10T{happened_at}:00+02:00"));
        let amount_micro = -quantity("5", "kg").micro();
        let entry = Entry::new(&lot.id, MovementKind::Weigh, amount_micro, moment);
        enter(&mut house.tx, SITE, at("2026-06-10T11:00:00+02:00"), entry).expect("an entry");
    }
    let counted = house.count(
        "2026-06-10T11:30:00+02:00",
        "2026-06-10T09:10:00+02:00",
        &lot.id,
        quantity("99", "kg"),
    );
    assert_eq!(counted.book_micro, quantity("100", "kg").micro());
    assert_eq!(counted.variance_micro, quantity("-1", "kg").micro());
    assert_eq!(counted.lot.balance_micro, quantity("84", "kg").micro());
}

#[test]
fn a_count_that_is_still_to_come_is_refused() {
    let mut house = House::new();
    let lot = house.receive(&receipt("rye", "2.5", "kg"));
    let taken = taken("2026-06-10T09:30:01+02:00", &lot.id, quantity("1", "kg"));
    let now = at("2026-06-10T09:30:00+02:00");
    let refusal = count(&mut house.tx, SITE, now, &house.bakery, &taken).expect_err("a refusal");
    assert!(matches!(refusal, Refusal::Body(faults) if faults[0].pointer == "/counted_at"));
}

#[test]
fn what_is_held_or_on_its_way_is_not_on_hand() {
    let mut house = House::new();
    let milk = house.receive(&receipt("whole-milk", "9", "L"));
    let mut coming = receipt("whole-milk", "5", "L");
    coming.state = LotState::Expected;
    coming.arrives = Some(at("2026-06-12T06:00:00+02:00"));
    let coming = house.receive(&coming);
    house.judge("2026-06-10T10:00:00+02:00", &milk.id, Verdict::Hold);
    let rows = stock(&mut house.tx, SITE, "", 10).expect("stock");
    let (nine, five) = (milk.balance_micro, coming.balance_micro);
    assert_eq!(rows.len(), 1);
    assert_eq!(
        (rows[0].on_hand_micro, rows[0].held_micro, rows[0].expected_micro),
        (0, nine, five)
    );
    let book = read(&mut house.tx, SITE, &house.bakery, morning()).expect("a book");
    let states: Vec<_> = book.lots.iter().map(|lot| (lot.state, lot.arrives.is_some())).collect();
    assert!(states.contains(&(LotState::Hold, false)), "{states:?}");
    assert!(states.contains(&(LotState::Expected, true)), "{states:?}");
}

#[test]
fn what_was_held_on_its_way_is_still_on_its_way_when_released() {
    let mut house = House::new();
    let mut coming = receipt("whole-milk", "5", "L");
    coming.state = LotState::Expected;
    coming.arrives = Some(at("2026-06-12T06:00:00+02:00"));
    let lot = house.receive(&coming);
    let held = house.judge("2026-06-10T10:00:00+02:00", &lot.id, Verdict::Hold);
    assert_eq!((held.state, held.hold_reason.as_deref()), (LotState::Hold, Some("a test")));
    let released = house.judge("2026-06-10T11:00:00+02:00", &lot.id, Verdict::Release);
    assert_eq!((released.state, released.hold_reason), (LotState::Expected, None));
    let here = house.judge("2026-06-12T05:40:00+02:00", &lot.id, Verdict::Release);
    assert_eq!(here.state, LotState::Released);
    let zone = house.bakery.site().time_zone.clone();
    let entries = movements(&mut house.tx, SITE, &zone, Some(&lot.id), ("", 10)).expect("entries");
    let mut kinds: Vec<_> = entries.iter().map(|entry| entry.kind.as_str()).collect();
    kinds.sort_unstable();
    assert_eq!(kinds, ["hold", "receive", "release", "release"]);
}

#[test]
fn a_balance_is_the_sum_of_the_ledger() {
    let mut house = House::new();
    let lot = house.receive(&receipt("rye", "2.5", "kg"));
    let now = "2026-06-10T12:00:00+02:00";
    house.count(now, now, &lot.id, quantity("2.4", "kg"));
    house.count(now, now, &lot.id, quantity("0", "kg"));
    let zone = house.bakery.site().time_zone.clone();
    let held = find_lot(&mut house.tx, SITE, &house.bakery, &lot.id).expect("a lot");
    let entries = movements(&mut house.tx, SITE, &zone, Some(&lot.id), ("", 10)).expect("entries");
    assert_eq!(entries.iter().map(|entry| entry.amount_micro).sum::<i64>(), held.balance_micro);
    assert_eq!(held.balance_micro, 0);
    // What is used up is no lot for a plan.
    assert!(read(&mut house.tx, SITE, &house.bakery, morning()).expect("a book").lots.is_empty());
}
