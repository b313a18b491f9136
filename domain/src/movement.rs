//! Movements: the kinds of entry that the stock ledger knows.

/// What happened to a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MovementKind {
    /// It came in.
    Receive,
    /// Some of it went from one place to another: two entries that sum to nothing.
    Move,
    /// Some of it was weighed into a tub.
    Weigh,
    /// It was made here.
    Make,
    /// Some of it went into something else.
    Use,
    /// The shelf was counted: the entry is what the book was wrong by.
    Count,
    /// Some of it was thrown away.
    Waste,
    /// It was put into the freezer.
    Freeze,
    /// It was taken out of the freezer.
    Thaw,
    /// Some of it went back to its supplier.
    Return,
    /// Some of it left the house for a customer.
    Send,
    /// Another entry was wrong: this one takes it back.
    Correct,
    /// It must not be used from here on.
    Hold,
    /// It may be used from here on.
    Release,
    /// A pack of it was opened.
    Open,
    /// A named person decided that it may be used past its best-before date.
    Accept,
    /// The bin that it lay in was emptied.
    Empty,
}

/// Which way an entry of a kind moves a balance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// Only up.
    In,
    /// Only down.
    Out,
    /// Either way.
    Either,
    /// Not at all: it tells what happened to the whole lot.
    Still,
}

impl MovementKind {
    /// All kinds.
    pub const ALL: [Self; 17] = [
        Self::Receive,
        Self::Move,
        Self::Weigh,
        Self::Make,
        Self::Use,
        Self::Count,
        Self::Waste,
        Self::Freeze,
        Self::Thaw,
        Self::Return,
        Self::Send,
        Self::Correct,
        Self::Hold,
        Self::Release,
        Self::Open,
        Self::Accept,
        Self::Empty,
    ];

    /// Its stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Receive => "receive",
            Self::Move => "move",
            Self::Weigh => "weigh",
            Self::Make => "make",
            Self::Use => "use",
            Self::Count => "count",
            Self::Waste => "waste",
            Self::Freeze => "freeze",
            Self::Thaw => "thaw",
            Self::Return => "return",
            Self::Send => "send",
            Self::Correct => "correct",
            Self::Hold => "hold",
            Self::Release => "release",
            Self::Open => "open",
            Self::Accept => "accept",
            Self::Empty => "empty",
        }
    }

    /// The kind of a word.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// Which way it moves a balance.
    #[must_use]
    pub const fn direction(self) -> Direction {
        match self {
            Self::Receive | Self::Make => Direction::In,
            Self::Weigh | Self::Use | Self::Waste | Self::Return | Self::Send => Direction::Out,
            Self::Move | Self::Count | Self::Correct => Direction::Either,
            Self::Freeze
            | Self::Thaw
            | Self::Hold
            | Self::Release
            | Self::Open
            | Self::Accept
            | Self::Empty => Direction::Still,
        }
    }

    /// Whether an entry of it may add this many millionths.
    #[must_use]
    pub const fn may_add(self, amount_micro: i64) -> bool {
        match self.direction() {
            Direction::In => amount_micro >= 0,
            Direction::Out => amount_micro <= 0,
            Direction::Either => true,
            Direction::Still => amount_micro == 0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_read_from_its_own_word() {
        for kind in MovementKind::ALL {
            assert_eq!(MovementKind::parse(kind.word()), Some(kind));
        }
        assert_eq!(MovementKind::parse("steal"), None);
    }

    #[test]
    fn what_comes_in_never_takes_away_and_a_hold_moves_nothing() {
        assert!(MovementKind::Receive.may_add(1) && !MovementKind::Receive.may_add(-1));
        assert!(MovementKind::Use.may_add(-1) && !MovementKind::Use.may_add(1));
        assert!(MovementKind::Hold.may_add(0) && !MovementKind::Hold.may_add(1));
        assert!(MovementKind::Count.may_add(1) && MovementKind::Count.may_add(-1));
    }
}
