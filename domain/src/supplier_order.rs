//! Orders to suppliers: how far one is, and what of it is still to come.

/// How far an order to a supplier is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SupplierOrderState {
    /// Being written; nobody outside knows of it.
    Draft,
    /// The supplier has it and has not answered.
    Sent,
    /// The supplier said what it will bring.
    Acknowledged,
    /// Part of it came.
    PartReceived,
    /// All of it came, or what did not was given up line by line.
    Received,
    /// Done with; what did not come will not.
    Closed,
    /// Given up before it was sent.
    Cancelled,
}

/// What can be done with an order to a supplier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SupplierOrderStep {
    /// Other lines.
    Edit,
    /// It goes out.
    Send,
    /// The supplier answers.
    Acknowledge,
    /// Goods come.
    Receive,
    /// Nothing more is waited for.
    Close,
    /// It is not sent after all.
    Cancel,
}

impl SupplierOrderState {
    /// All states, in the order of an order's life.
    pub const ALL: [Self; 7] = [
        Self::Draft,
        Self::Sent,
        Self::Acknowledged,
        Self::PartReceived,
        Self::Received,
        Self::Closed,
        Self::Cancelled,
    ];

    /// Its stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Draft => "draft",
            Self::Sent => "sent",
            Self::Acknowledged => "acknowledged",
            Self::PartReceived => "part-received",
            Self::Received => "received",
            Self::Closed => "closed",
            Self::Cancelled => "cancelled",
        }
    }

    /// The state of a word.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.word() == word)
    }

    /// Whether it is being written or its goods are on their way.
    #[must_use]
    pub const fn is_open(self) -> bool {
        matches!(self, Self::Draft) || self.is_expected()
    }

    /// Whether goods of it are on their way.
    #[must_use]
    pub const fn is_expected(self) -> bool {
        matches!(self, Self::Sent | Self::Acknowledged | Self::PartReceived)
    }

    /// Whether a step is possible now.
    ///
    /// An answer may come after the first goods of it did; a sent order is not cancelled here,
    /// for the supplier has it: it is closed once the supplier agrees.
    #[must_use]
    pub const fn takes(self, step: SupplierOrderStep) -> bool {
        use SupplierOrderStep::{Acknowledge, Cancel, Close, Edit, Receive, Send};
        match step {
            Edit | Send | Cancel => matches!(self, Self::Draft),
            Acknowledge | Receive => self.is_expected(),
            Close => self.is_expected() || matches!(self, Self::Received),
        }
    }
}

impl SupplierOrderStep {
    /// All steps.
    pub const ALL: [Self; 6] =
        [Self::Edit, Self::Send, Self::Acknowledge, Self::Receive, Self::Close, Self::Cancel];

    /// Its stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Edit => "edit",
            Self::Send => "send",
            Self::Acknowledge => "acknowledge",
            Self::Receive => "receive",
            Self::Close => "close",
            Self::Cancel => "cancel",
        }
    }
}

/// Packs of one line of an order.
///
/// Invariant: no number is below 0.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct OrderedLine {
    /// What was ordered.
    pub packs: i64,
    /// What the supplier said that it brings, once it said so.
    pub agreed: Option<i64>,
    /// What came and was taken in.
    pub received: i64,
    /// Whether nothing more of it is waited for.
    pub settled: bool,
}

impl OrderedLine {
    /// What the supplier is expected to bring in all.
    #[must_use]
    pub const fn promised(self) -> i64 {
        match self.agreed {
            Some(agreed) => agreed,
            None => self.packs,
        }
    }

    /// What is still on its way: the plan counts on it.
    #[must_use]
    pub const fn to_come(self) -> i64 {
        let left = self.promised() - self.received;
        if self.settled || left < 0 { 0 } else { left }
    }

    /// The line after packs came in; a line of which all came waits for nothing.
    #[must_use]
    pub const fn after(self, received: i64, settled: bool) -> Self {
        let received = self.received + received;
        let settled = self.settled || settled || received >= self.promised();
        Self { received, settled, ..self }
    }
}

/// The state of an order after goods came.
#[must_use]
pub fn state_after(lines: &[OrderedLine]) -> SupplierOrderState {
    if lines.iter().all(|line| line.to_come() == 0) {
        SupplierOrderState::Received
    } else {
        SupplierOrderState::PartReceived
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_cut_or_came_is_no_longer_on_its_way() {
        let line = OrderedLine { packs: 5, ..OrderedLine::default() };
        assert_eq!(line.to_come(), 5);
        let cut = OrderedLine { agreed: Some(3), ..line };
        assert_eq!(cut.to_come(), 3);
        assert_eq!(cut.after(2, false).to_come(), 1);
        assert_eq!(cut.after(2, true).to_come(), 0, "the rest was given up");
        assert_eq!(cut.after(4, false).to_come(), 0, "more came than was promised");
        assert_eq!(OrderedLine { agreed: Some(0), ..line }.to_come(), 0);
        assert_eq!(
            state_after(&[line.after(5, false), cut.after(3, false)]),
            SupplierOrderState::Received
        );
        assert_eq!(state_after(&[line.after(5, false), cut]), SupplierOrderState::PartReceived);
    }

    #[test]
    fn a_sent_order_is_not_edited_and_a_closed_one_takes_nothing() {
        use SupplierOrderState as State;
        use SupplierOrderStep as Step;
        assert!(State::Draft.takes(Step::Edit) && !State::Sent.takes(Step::Edit));
        assert!(State::Sent.takes(Step::Receive), "goods may come without an answer");
        assert!(State::Received.takes(Step::Close) && !State::Received.takes(Step::Receive));
        for step in Step::ALL {
            assert!(!State::Closed.takes(step) && !State::Cancelled.takes(step), "{step:?}");
        }
        for state in State::ALL {
            assert_eq!(State::parse(state.word()), Some(state));
        }
    }
}
