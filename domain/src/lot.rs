//! Lots: received or made quantities that share origin and date.

use crate::id::Code;
use jiff::{Timestamp, civil::Date};

/// What may be done with a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LotState {
    /// On its way, or not made yet.
    Expected,
    /// Must not be used.
    Hold,
    /// May be used.
    Released,
    /// May be used, and a pack of it is open.
    Open,
    /// In the freezer: it is thawed before it is used.
    Frozen,
    /// Out of the freezer, and not thawed yet.
    Thawing,
    /// Was frozen, and may be used.
    Thawed,
    /// Must not be used, by the house's own decision.
    Blocked,
    /// Must not be used: it is called back.
    Recalled,
    /// Went back to its supplier.
    Returned,
    /// Was thrown away.
    Wasted,
    /// Nothing of it is left.
    UsedUp,
}

impl LotState {
    /// All states.
    pub const ALL: [Self; 12] = [
        Self::Expected,
        Self::Hold,
        Self::Released,
        Self::Open,
        Self::Frozen,
        Self::Thawing,
        Self::Thawed,
        Self::Blocked,
        Self::Recalled,
        Self::Returned,
        Self::Wasted,
        Self::UsedUp,
    ];

    /// Its stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Expected => "expected",
            Self::Hold => "hold",
            Self::Released => "released",
            Self::Open => "open",
            Self::Frozen => "frozen",
            Self::Thawing => "thawing",
            Self::Thawed => "thawed",
            Self::Blocked => "blocked",
            Self::Recalled => "recalled",
            Self::Returned => "returned",
            Self::Wasted => "wasted",
            Self::UsedUp => "used-up",
        }
    }

    /// The state of a word.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.word() == word)
    }

    /// Whether it may be used as it stands.
    ///
    /// # Source
    /// The trade rules, part 4: only released, open and thawed are usable.
    #[must_use]
    pub const fn is_usable(self) -> bool {
        matches!(self, Self::Released | Self::Open | Self::Thawed)
    }

    /// Whether no plan may count on it, now or later.
    #[must_use]
    pub const fn is_kept_back(self) -> bool {
        matches!(
            self,
            Self::Hold
                | Self::Blocked
                | Self::Recalled
                | Self::Returned
                | Self::Wasted
                | Self::UsedUp
        )
    }

    /// Which states may follow it.
    ///
    /// What was frozen once is never frozen again; what was called back leaves only as waste
    /// or to its supplier. A used-up lot comes back by a count that finds some of it.
    ///
    /// # Source
    /// The trade rules, part 4, states.
    #[must_use]
    pub const fn next(self) -> &'static [Self] {
        use LotState::{
            Blocked, Expected, Frozen, Hold, Open, Recalled, Released, Returned, Thawed, Thawing,
            UsedUp, Wasted,
        };
        match self {
            Expected => &[Hold, Released, Frozen, Blocked, Recalled, Returned],
            Hold => &[
                Expected, Released, Open, Frozen, Thawing, Thawed, Blocked, Recalled, Returned,
                Wasted,
            ],
            Released => &[Hold, Open, Frozen, Blocked, Recalled, Returned, Wasted, UsedUp],
            Open => &[Hold, Frozen, Blocked, Recalled, Returned, Wasted, UsedUp],
            Frozen => &[Hold, Thawing, Blocked, Recalled, Returned, Wasted, UsedUp],
            Thawing => &[Hold, Thawed, Blocked, Recalled, Wasted, UsedUp],
            Thawed => &[Hold, Blocked, Recalled, Returned, Wasted, UsedUp],
            Blocked => &[Hold, Recalled, Returned, Wasted],
            Recalled => &[Returned, Wasted],
            Returned | Wasted => &[],
            UsedUp => &[Hold, Released, Open, Thawed, Blocked, Recalled],
        }
    }

    /// Whether a state may follow it.
    #[must_use]
    pub fn may_become(self, next: Self) -> bool {
        self.next().contains(&next)
    }
}

/// What a finished piece in stock may be used for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LotUse {
    /// Anything.
    Any,
    /// Only as an ingredient of another product.
    Ingredient,
    /// It is baked in part: it covers orders once it went through its finish route.
    ParBaked,
}

/// A quantity of one item or product that shares origin and date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lot {
    /// Its id in the ledger; empty outside one.
    pub id: String,
    /// The name on the pack.
    pub name: String,
    /// What it is: an item, a formula's item or a product.
    pub item: Code,
    /// What is left by the book, in millionths of the base unit; may be negative.
    pub balance_micro: i64,
    /// What may be done with it.
    pub state: LotState,
    /// What a finished piece may be used for.
    pub usage: LotUse,
    /// When it came in.
    pub received: Date,
    /// Last local date of use, from the pack.
    pub date: Option<Date>,
    /// Whether that date is a use-by: never used after it, whatever anybody decides.
    pub date_is_use_by: bool,
    /// Last instant of use where hours count.
    pub usable_until: Option<Timestamp>,
    /// When it is put away or thawed, if it is still expected, thawing or frozen.
    pub arrives: Option<Timestamp>,
    /// Its bake date, for finished goods.
    pub baked: Option<Date>,
    /// When it was mixed or built, if it was made here: its age counts from here.
    pub made_at: Option<Timestamp>,
    /// When it was taken out of the freezer to thaw.
    pub thaw_started: Option<Timestamp>,
    /// When its open pack was opened.
    pub opened: Option<Timestamp>,
    /// Where it lies.
    pub place: Option<Code>,
}

impl Lot {
    /// What decides between two lots of one last day: oldest receipt, then name, then all
    /// else that tells them apart, so that the order of rows never changes an answer.
    #[must_use]
    pub fn rank(&self) -> impl Ord + use<> {
        let printed = (self.received, self.name.clone(), self.date, self.usable_until);
        let kept = (self.arrives, self.opened, self.baked, self.state, self.place.clone());
        let made = (self.made_at, self.thaw_started, self.date_is_use_by);
        (printed, self.balance_micro, kept, made)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_state_is_read_from_its_own_word_and_never_follows_itself() {
        for state in LotState::ALL {
            assert_eq!(LotState::parse(state.word()), Some(state));
            assert!(!state.may_become(state), "{state:?}");
        }
    }

    #[test]
    fn only_released_open_and_thawed_are_usable() {
        // Source: trade.md 4, states.
        let usable: Vec<_> = LotState::ALL.into_iter().filter(|state| state.is_usable()).collect();
        assert_eq!(usable, [LotState::Released, LotState::Open, LotState::Thawed]);
    }

    #[test]
    fn nothing_is_frozen_twice_and_a_recall_never_goes_back_to_the_shelf() {
        // Source: trade.md 4: a second freeze is refused.
        for state in [LotState::Thawing, LotState::Thawed] {
            assert!(!state.may_become(LotState::Frozen), "{state:?}");
        }
        assert!(LotState::Recalled.next().iter().all(|next| !next.is_usable()));
    }
}
