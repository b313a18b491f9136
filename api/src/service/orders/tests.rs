use super::{
    LineReason::{AllOrNothing, FractionalQuantity, NegativeQuantity, TooLarge, UnknownProduct},
    LineState::{Cancelled, Refused, Taken},
    *,
};
use crate::{
    document::{BakeryBody, decode},
    service::book::read,
    store::{Tx, orders, sites, tests::memory},
};
use std::sync::Arc;

pub(in crate::service) const SITE: &str = "main";
const UNTIL: Date = Date::constant(2026, 6, 24);

pub(in crate::service) fn bakery() -> Bakery {
    let text = include_bytes!("../../../../demo-data/bakery.json");
    let body: BakeryBody = decode(text).expect("a document");
    body.compile().expect("a bakery")
}

/// Before every cutoff of the orders below.
fn morning() -> Timestamp {
    "2026-06-10T09:30:00+02:00".parse().expect("an instant")
}

pub(in crate::service) fn order(version: i64, lines: &[(&str, &str)]) -> Asked {
    let line = |(number, (product, quantity)): (usize, &(&str, &str))| AskedLine {
        line_ref: (number + 1).to_string(),
        product: (*product).to_owned(),
        quantity: Quantity::judge(quantity).expect("a number"),
    };
    Asked {
        order_ref: "till-2-000481".to_owned(),
        version,
        customer: Code::parse("harbour-cafe").expect("a code"),
        service_date: Date::constant(2026, 6, 13),
        drop: Time::constant(7, 0, 0, 0),
        lines_rule: LinesRule::LineByLine,
        standing: None,
        counter_par: None,
        lines: lines.iter().enumerate().map(line).collect(),
    }
}

/// A bakery without a server.
pub(in crate::service) struct House {
    pub(in crate::service) tx: Tx,
    pub(in crate::service) bakery: Arc<Bakery>,
}

impl House {
    pub(in crate::service) fn new() -> Self {
        Self { tx: memory(), bakery: Arc::new(bakery()) }
    }

    pub(in crate::service) fn take(&mut self, asked: &Asked) -> (Order, Effect) {
        self.take_at(morning(), asked)
    }

    pub(in crate::service) fn take_at(&mut self, now: Timestamp, asked: &Asked) -> (Order, Effect) {
        let mut desk = Desk::new(Arc::clone(&self.bakery), now, Judging::AsAsked);
        take(&mut self.tx, SITE, &mut desk, asked).expect("an order")
    }

    fn refuse(&mut self, asked: &Asked) -> Refusal {
        let mut desk = Desk::new(Arc::clone(&self.bakery), morning(), Judging::AsAsked);
        take(&mut self.tx, SITE, &mut desk, asked).expect_err("a refusal")
    }

    fn cancel(&mut self, version: i64) -> Result<(Order, Effect), Refusal> {
        let mut desk = Desk::new(Arc::clone(&self.bakery), morning(), Judging::AsAsked);
        cancel(&mut self.tx, SITE, &mut desk, "till-2-000481", version)
    }

    /// Pieces by product that a plan would see.
    fn pieces(&mut self) -> Vec<(String, i64)> {
        let book = read(&mut self.tx, SITE, &self.bakery, (morning(), UNTIL)).expect("a book");
        book.orders.iter().map(|line| (line.product.to_string(), line.pieces)).collect()
    }

    pub(in crate::service) fn revision(&mut self) -> i64 {
        sites::find(&mut self.tx, SITE).expect("counters").plan_revision
    }
}

fn outcome(order: &Order) -> Vec<(i64, LineState, Option<LineReason>)> {
    let lines = order.held.lines.iter();
    lines.map(|line| (line.quantity_taken, line.state, line.reason)).collect()
}

#[test]
fn a_line_of_nothing_is_cancelled_and_kept_in_the_history() {
    // Source: trade.md 7, case 5.
    let mut house = House::new();
    house.take(&order(1, &[("sugar-bun", "6"), ("croissant", "12")]));
    let (held, _) = house.take(&order(2, &[("sugar-bun", "0"), ("croissant", "12")]));
    assert_eq!(held.held.state, OrderState::Taken);
    assert_eq!(outcome(&held), [(0, Cancelled, None), (12, Taken, None)]);
    assert_eq!(house.pieces(), [("croissant".to_owned(), 12)]);
    let zone = held.zone.clone();
    let (_, history) = find(&mut house.tx, SITE, &zone, "till-2-000481").expect("an order");
    let taken: Vec<_> = history.iter().map(|version| version.lines[0].quantity_taken).collect();
    assert_eq!(taken, [6, 0]);
}

#[test]
fn a_date_whose_lines_are_all_cancelled_still_has_its_order() {
    let mut house = House::new();
    house.take(&order(1, &[("sugar-bun", "0")]));
    let until = (morning(), UNTIL);
    let book = read(&mut house.tx, SITE, &house.bakery, until).expect("a book");
    assert_eq!(book.service_dates, [Date::constant(2026, 6, 13)]);
    house.cancel(2).expect("a cancellation");
    let book = read(&mut house.tx, SITE, &house.bakery, until).expect("a book");
    assert!(book.service_dates.is_empty());
}

#[test]
fn a_bad_quantity_refuses_its_line_only() {
    // Source: trade.md 7, case 6; readings R31.
    let mut house = House::new();
    let (held, effect) = house.take(&order(
        1,
        &[
            ("sugar-bun", "-3"),
            ("sugar-bun", "2.5"),
            ("sugar-bun", "1000001"),
            ("no-such-bun", "6"),
            ("sugar-bun", "6"),
        ],
    ));
    assert_eq!((held.held.state, effect), (OrderState::PartTaken, Effect::Created));
    assert_eq!(
        outcome(&held),
        [
            (0, Refused, Some(NegativeQuantity)),
            (0, Refused, Some(FractionalQuantity)),
            (0, Refused, Some(TooLarge)),
            (0, Refused, Some(UnknownProduct)),
            (6, Taken, None),
        ]
    );
    assert_eq!(house.pieces(), [("sugar-bun".to_owned(), 6)]);
}

#[test]
fn all_or_nothing_refuses_the_good_lines_too() {
    let mut house = House::new();
    let mut asked = order(1, &[("sugar-bun", "6"), ("no-such-bun", "6")]);
    asked.lines_rule = LinesRule::AllOrNothing;
    let (held, _) = house.take(&asked);
    assert_eq!(held.held.state, OrderState::Refused);
    assert_eq!(
        outcome(&held),
        [(0, Refused, Some(AllOrNothing)), (0, Refused, Some(UnknownProduct))]
    );
    assert!(house.pieces().is_empty());
}

#[test]
fn the_same_version_again_has_one_effect() {
    // Source: trade.md 7, case 7.
    let mut house = House::new();
    let (first, _) = house.take(&order(1, &[("sugar-bun", "6")]));
    let later = "2026-06-10T10:00:00+02:00".parse().expect("an instant");
    let (again, effect) = house.take_at(later, &order(1, &[("sugar-bun", "6")]));
    assert_eq!(effect, Effect::Repeated);
    assert_eq!(again.order_id, first.order_id);
    assert_eq!(again.held.received_at, first.held.received_at);
    assert_eq!(house.pieces(), [("sugar-bun".to_owned(), 6)]);
    assert_eq!(house.revision(), 1);
    let refusal = house.refuse(&order(1, &[("sugar-bun", "7")]));
    assert!(matches!(refusal, Refusal::Stated { slug: "version-reused", .. }), "{refusal:?}");
    assert_eq!(house.pieces(), [("sugar-bun".to_owned(), 6)]);
    assert_eq!(house.revision(), 1);
}

#[test]
fn version_3_before_version_2_stays() {
    // Source: trade.md 7, case 8.
    let mut house = House::new();
    house.take(&order(3, &[("sugar-bun", "30")]));
    let (held, effect) = house.take(&order(2, &[("sugar-bun", "20")]));
    assert_eq!((effect, held.held.version), (Effect::Stale, 3));
    assert_eq!(house.pieces(), [("sugar-bun".to_owned(), 30)]);
    assert_eq!(house.revision(), 1);
}

#[test]
fn what_comes_after_its_cancellation_stays_called_off() {
    // Source: trade.md 7, case 8.
    let mut house = House::new();
    let (tombstone, effect) = house.cancel(2).expect("a tombstone");
    assert_eq!((effect, tombstone.held.state), (Effect::Created, OrderState::Cancelled));
    for version in [1, 2] {
        let (held, effect) = house.take(&order(version, &[("sugar-bun", "6")]));
        assert_eq!((effect, held.held.state), (Effect::Stale, OrderState::Cancelled));
        assert!(house.pieces().is_empty());
    }
    assert_eq!(house.cancel(2).expect("the same again").1, Effect::Repeated);
    assert_eq!(house.revision(), 1);
    let (held, effect) = house.take(&order(3, &[("sugar-bun", "6")]));
    assert_eq!((effect, held.held.state), (Effect::Changed, OrderState::Taken));
    assert_eq!(held.order_id, tombstone.order_id);
    assert_eq!(house.pieces(), [("sugar-bun".to_owned(), 6)]);
}

#[test]
fn a_cancellation_takes_all_lines_back() {
    let mut house = House::new();
    house.take(&order(1, &[("sugar-bun", "6")]));
    let refusal = house.cancel(1).expect_err("version 1 is an order");
    assert!(matches!(refusal, Refusal::Stated { slug: "version-reused", .. }), "{refusal:?}");
    let (held, effect) = house.cancel(2).expect("a cancellation");
    assert_eq!((effect, held.held.state), (Effect::Changed, OrderState::Cancelled));
    assert_eq!(outcome(&held), [(0, Cancelled, None)]);
    assert!(house.pieces().is_empty());
}

#[test]
fn an_order_after_the_cutoff_asks_and_is_counted() {
    // Source: readings R22: exactly at the cutoff is in time. Saturday's country is begun
    // on Friday (alder-yard 8.7), after the customer's cutoff of Thursday 17:00.
    let mut house = House::new();
    let cutoff = house.take(&order(1, &[("country-large", "6")])).0.held.cutoff.expect("a cutoff");
    let (held, _) = house.take_at(cutoff, &order(2, &[("country-large", "7")]));
    assert_eq!(held.held.state, OrderState::Taken);
    let later = cutoff.checked_add(jiff::Span::new().seconds(1)).expect("an instant");
    let (held, _) = house.take_at(later, &order(3, &[("country-large", "8")]));
    assert_eq!(held.held.state, OrderState::TakenLateAsking);
    assert_eq!(house.pieces(), [("country-large".to_owned(), 8)]);
    let word = OrderState::TakenLateAsking.word();
    let late = orders::in_state(&mut house.tx, SITE, word, "2026-06-13").expect("late orders");
    assert_eq!(late, [("till-2-000481".to_owned(), Some("2026-06-13".to_owned()))]);
}

#[test]
fn an_unknown_customer_refuses_the_order_and_leaves_nothing() {
    let mut house = House::new();
    let mut asked = order(1, &[("sugar-bun", "6")]);
    asked.customer = Code::parse("nobody").expect("a code");
    let Refusal::Body(faults) = house.refuse(&asked) else { panic!("a fault of the body") };
    assert_eq!((faults[0].pointer.as_str(), faults[0].kind), ("/customer", "unknown-code"));
    assert_eq!(house.revision(), 0);
    let found = orders::find(&mut house.tx, SITE, "till-2-000481").expect("a look");
    assert!(found.is_none());
}

#[test]
fn orders_of_a_date_are_listed_by_name_in_pages() {
    let mut house = House::new();
    for name in ["b", "c", "a"] {
        let mut asked = order(1, &[("sugar-bun", "6")]);
        asked.order_ref = name.to_owned();
        house.take(&asked);
    }
    let zone = house.bakery.site().time_zone.clone();
    let mut page = |date, after| {
        let found = list(&mut house.tx, SITE, &zone, Some(date), after, 2).expect("a page");
        found.into_iter().map(|order| order.order_ref).collect::<Vec<_>>()
    };
    let date = Date::constant(2026, 6, 13);
    assert_eq!(page(date, ""), ["a", "b"]);
    assert_eq!(page(date, "b"), ["c"]);
    assert!(page(Date::constant(2026, 6, 14), "").is_empty());
}

#[test]
fn a_plan_reads_no_order_of_a_day_that_is_over() {
    let mut house = House::new();
    house.take(&order(1, &[("sugar-bun", "6")]));
    let mut on = |now: &str| {
        let now = now.parse().expect("an instant");
        let book = read(&mut house.tx, SITE, &house.bakery, (now, UNTIL)).expect("a book");
        (book.orders.len(), book.service_dates.len())
    };
    assert_eq!(on("2026-06-13T23:59:00+02:00"), (1, 1));
    assert_eq!(on("2026-06-14T00:00:00+02:00"), (0, 0));
}
