//! Orders as they are held, and their words in the store and on the wire.

use super::{
    CounterPar, Line, LineReason, LineState, LinesRule, Order, OrderState, Refusal, Version,
    standing::read_word,
};
use crate::{
    document::parse_time,
    messages::{Kept, Sentence},
    service::book::{date, instant_option},
    store::{
        StoreError, Tx, instant,
        orders::{self, OrderLineRow, OrderRow, OrderVersionRow},
    },
};
use domain::{book::Book, demand::make_ahead};
use jiff::{
    civil::{Date, Time},
    tz::TimeZone,
};

impl OrderState {
    const ALL: [Self; 6] = [
        Self::Taken,
        Self::TakenLateAsking,
        Self::PartTaken,
        Self::Refused,
        Self::HeldDuplicate,
        Self::Cancelled,
    ];

    /// The stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Taken => "taken",
            Self::TakenLateAsking => "taken-late-asking",
            Self::PartTaken => "part-taken",
            Self::Refused => "refused",
            Self::HeldDuplicate => "held-duplicate",
            Self::Cancelled => "cancelled",
        }
    }
}

impl LineState {
    const ALL: [Self; 5] =
        [Self::Taken, Self::PartTaken, Self::Refused, Self::Held, Self::Cancelled];

    /// The stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Taken => "taken",
            Self::PartTaken => "part-taken",
            Self::Refused => "refused",
            Self::Held => "held",
            Self::Cancelled => "cancelled",
        }
    }
}

impl LineReason {
    const ALL: [Self; 17] = [
        Self::UnknownProduct,
        Self::NegativeQuantity,
        Self::FractionalQuantity,
        Self::TooLarge,
        Self::AllOrNothing,
        Self::FromStock,
        Self::FromOvers,
        Self::ExtraLoad,
        Self::Surplus,
        Self::TooLate,
        Self::Cutoff,
        Self::Staff,
        Self::AgeWindow,
        Self::Capacity,
        Self::Mixer,
        Self::Ingredient,
        Self::StandingOrder,
    ];

    /// The stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::UnknownProduct => "unknown-product",
            Self::NegativeQuantity => "negative-quantity",
            Self::FractionalQuantity => "fractional-quantity",
            Self::TooLarge => "too-large",
            Self::AllOrNothing => "all-or-nothing",
            Self::FromStock => "from-stock",
            Self::FromOvers => "from-overs",
            Self::ExtraLoad => "extra-load",
            Self::Surplus => "surplus",
            Self::TooLate => "too-late",
            Self::Cutoff => "cutoff",
            Self::Staff => "staff",
            Self::AgeWindow => "age-window",
            Self::Capacity => "capacity",
            Self::Mixer => "mixer",
            Self::Ingredient => "ingredient",
            Self::StandingOrder => "standing-order",
        }
    }
}

/// The word of a rule.
pub(super) const fn rule_word(rule: LinesRule) -> &'static str {
    match rule {
        LinesRule::LineByLine => "line_by_line",
        LinesRule::AllOrNothing => "all_or_nothing",
    }
}

/// A drop time as it is kept and shown.
pub(super) fn drop_text(drop: Time) -> String {
    drop.strftime("%H:%M").to_string()
}

/// Takes the lines of a version out of a book.
pub fn take_out(book: &mut Book, version: &Version) {
    for line in &version.lines {
        let mut left = line.quantity_taken;
        for held in &mut book.orders {
            let same = !held.wanted.is_ahead()
                && Some(held.service_date) == version.service_date
                && Some(held.customer.as_str()) == version.customer.as_deref()
                && held.product.as_str() == line.product;
            if same && left > 0 {
                let less = left.min(held.pieces);
                held.pieces -= less;
                left -= less;
            }
        }
    }
    make_ahead(book);
}

/// An order with its history, oldest version first.
///
/// # Errors
/// [`Refusal::Unknown`] if nobody ever sent or cancelled it.
pub fn find(
    tx: &mut Tx,
    site: &str,
    zone: &TimeZone,
    order_ref: &str,
) -> Result<(Order, Vec<Version>), Refusal> {
    let row = orders::find(tx, site, order_ref)?
        .ok_or_else(|| Refusal::Unknown { noun: "order", code: order_ref.to_owned() })?;
    let mut lines = orders::lines(tx, site, order_ref)?;
    let mut history = Vec::new();
    for version in orders::versions(tx, site, order_ref)? {
        let of_version = lines.extract_if(.., |line| line.version == version.version).collect();
        history.push(read_version(version, of_version)?);
    }
    Ok((held_order(tx, site, &row, zone)?, history))
}

/// Orders of a service date, or all, by name after a name; at most `limit`.
///
/// # Errors
/// [`Refusal::Store`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    zone: &TimeZone,
    service_date: Option<Date>,
    after: &str,
    limit: i64,
) -> Result<Vec<Order>, Refusal> {
    let service_date = service_date.map(|date| date.to_string());
    let rows = orders::list(tx, site, service_date.as_deref(), after, limit)?;
    let mut found = Vec::with_capacity(rows.len());
    for row in &rows {
        found.push(held_order(tx, site, row, zone)?);
    }
    Ok(found)
}

/// The version that is held of an order, if it ever came.
///
/// # Errors
/// [`StoreError`]
pub fn held_version(
    tx: &mut Tx,
    site: &str,
    zone: &TimeZone,
    order_ref: &str,
) -> Result<Option<Version>, StoreError> {
    let row = orders::find(tx, site, order_ref)?;
    let order = row.map(|row| held_order(tx, site, &row, zone)).transpose()?;
    Ok(order.map(|order| order.held))
}

/// The version row that is held.
pub(super) fn asked_version(
    tx: &mut Tx,
    site: &str,
    row: &OrderRow,
) -> Result<OrderVersionRow, StoreError> {
    orders::version(tx, site, &row.order_ref, row.version)?.ok_or(StoreError::Corrupt("order"))
}

/// An order from its row.
pub(super) fn held_order(
    tx: &mut Tx,
    site: &str,
    row: &OrderRow,
    zone: &TimeZone,
) -> Result<Order, StoreError> {
    let version = asked_version(tx, site, row)?;
    let lines = orders::lines_of(tx, site, &row.order_ref, row.version)?;
    Ok(Order {
        order_ref: row.order_ref.clone(),
        order_id: row.order_id.clone(),
        held: read_version(version, lines)?,
        refused: None,
        zone: zone.clone(),
    })
}

/// A version from its row, with its lines.
pub(super) fn version_of(
    tx: &mut Tx,
    site: &str,
    row: OrderVersionRow,
) -> Result<Version, StoreError> {
    let lines = orders::lines_of(tx, site, &row.order_ref, row.version)?;
    read_version(row, lines)
}

/// A stored state.
pub(super) fn order_state(text: &str) -> Result<OrderState, StoreError> {
    by_word(OrderState::ALL, OrderState::word, text, "order state")
}

fn read_version(row: OrderVersionRow, lines: Vec<OrderLineRow>) -> Result<Version, StoreError> {
    let OrderVersionRow {
        site: _,
        order_ref: _,
        version,
        customer,
        service_date,
        drop_time,
        lines_rule,
        state,
        cutoff,
        received_at,
        fingerprint: _,
        plan_revision,
        standing,
        counter_par,
    } = row;
    let drop = |text: &str| parse_time(text).ok_or(StoreError::Corrupt("drop"));
    Ok(Version {
        version,
        state: order_state(&state)?,
        customer,
        service_date: service_date.as_deref().map(date).transpose()?,
        drop: drop_time.as_deref().map(drop).transpose()?,
        lines_rule: by_word(
            [LinesRule::LineByLine, LinesRule::AllOrNothing],
            rule_word,
            &lines_rule,
            "lines rule",
        )?,
        standing: read_word(standing.as_deref())?,
        counter_par: CounterPar::read(counter_par.as_deref())?,
        cutoff: instant_option(cutoff.as_deref())?,
        received_at: instant::read(&received_at)?,
        plan_revision,
        lines: lines.into_iter().map(read_line).collect::<Result<_, _>>()?,
    })
}

fn read_line(row: OrderLineRow) -> Result<Line, StoreError> {
    let OrderLineRow {
        site: _,
        order_ref: _,
        version: _,
        position: _,
        line_ref,
        product,
        quantity_asked,
        quantity_taken,
        state,
        reason,
        surplus,
        cutoff,
        earliest,
        sentence,
    } = row;
    let reason_of = |text: &str| by_word(LineReason::ALL, LineReason::word, text, "line reason");
    Ok(Line {
        line_ref,
        product,
        quantity_asked,
        quantity_taken,
        state: by_word(LineState::ALL, LineState::word, &state, "line state")?,
        reason: reason.as_deref().map(reason_of).transpose()?,
        surplus,
        cutoff: instant_option(cutoff.as_deref())?,
        earliest: instant_option(earliest.as_deref())?,
        sentence: sentence.map(|text| Kept::read(text).into()),
    })
}

fn by_word<T: Copy, const N: usize>(
    all: [T; N],
    word: impl Fn(T) -> &'static str,
    text: &str,
    what: &'static str,
) -> Result<T, StoreError> {
    all.into_iter().find(|&value| word(value) == text).ok_or(StoreError::Corrupt(what))
}

/// The row of a line.
pub(super) fn line_row(
    site: &str,
    order_ref: &str,
    version: i64,
    position: i64,
    line: &Line,
) -> Result<OrderLineRow, StoreError> {
    let Line {
        line_ref,
        product,
        quantity_asked,
        quantity_taken,
        state,
        reason,
        surplus,
        cutoff,
        earliest,
        sentence,
    } = line;
    let written = |sentence: &Sentence| sentence.kept().written();
    Ok(OrderLineRow {
        site: site.to_owned(),
        order_ref: order_ref.to_owned(),
        version,
        position,
        line_ref: line_ref.clone(),
        product: product.clone(),
        quantity_asked: quantity_asked.clone(),
        quantity_taken: *quantity_taken,
        state: state.word().to_owned(),
        reason: reason.map(|reason| reason.word().to_owned()),
        surplus: *surplus,
        cutoff: cutoff.map(instant::text),
        earliest: earliest.map(instant::text),
        sentence: sentence
            .as_ref()
            .map(written)
            .transpose()
            .map_err(|_| StoreError::Corrupt("sentence"))?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_said_of_a_line_before_there_were_messages_reads_on() {
        let line = Line {
            line_ref: "1".to_owned(),
            product: "loaf".to_owned(),
            quantity_asked: "6".to_owned(),
            quantity_taken: 3,
            state: LineState::PartTaken,
            reason: Some(LineReason::TooLate),
            surplus: 0,
            cutoff: None,
            earliest: None,
            sentence: Some(Sentence::of("order-said-all-or-nothing")),
        };
        let row = line_row("main", "till-2-000481", 1, 0, &line).expect("a row");
        let written = read_line(row.clone()).expect("a line").sentence;
        assert_eq!(written, line.sentence);
        let before = "3 of 6 pieces taken. Too late: Bun dough weighed Thu 11 Jun 04:00.";
        let row = OrderLineRow { sentence: Some(before.to_owned()), ..row };
        let read = read_line(row).expect("a line").sentence;
        assert_eq!(read, Some(Sentence::from(before)));
    }
}
