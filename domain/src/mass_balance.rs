//! Where the mass of a lot went.

use crate::{
    movement::MovementKind,
    ratio::{Overflow, Ratio},
};

/// Where the mass of a lot went, in millionths of its base unit; corrections are in the
/// figure that they correct.
///
/// # Source
/// The trade rules, part 4: received = used + waste + left + variance; a part
/// that was carried out to thaw is a lot of its own.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct MassBalance {
    /// Came in or was made.
    pub came_micro: i64,
    /// Moved in as a part of another lot, less what moved out to become one.
    pub moved_micro: i64,
    /// Was weighed or used.
    pub used_micro: i64,
    /// Was thrown away.
    pub wasted_micro: i64,
    /// Went back to the supplier.
    pub returned_micro: i64,
    /// Left the house.
    pub sent_micro: i64,
    /// What counts found, more than the book if above nothing.
    pub variance_micro: i64,
    /// Is left by the book.
    pub left_micro: i64,
}

impl MassBalance {
    /// Adds an entry to its figure; what is left is not touched.
    pub const fn enter(&mut self, kind: MovementKind, amount_micro: i64) {
        let (figure, sign) = match kind {
            MovementKind::Move => (&mut self.moved_micro, 1),
            MovementKind::Receive | MovementKind::Make => (&mut self.came_micro, 1),
            MovementKind::Weigh | MovementKind::Use => (&mut self.used_micro, -1),
            MovementKind::Waste => (&mut self.wasted_micro, -1),
            MovementKind::Return => (&mut self.returned_micro, -1),
            MovementKind::Send => (&mut self.sent_micro, -1),
            MovementKind::Count => (&mut self.variance_micro, 1),
            _ => return,
        };
        *figure = figure.saturating_add(amount_micro.saturating_mul(sign));
    }

    /// Adds another balance, such as that of a part that is a lot of its own.
    pub const fn add(&mut self, other: &Self) {
        self.came_micro = self.came_micro.saturating_add(other.came_micro);
        self.moved_micro = self.moved_micro.saturating_add(other.moved_micro);
        self.used_micro = self.used_micro.saturating_add(other.used_micro);
        self.wasted_micro = self.wasted_micro.saturating_add(other.wasted_micro);
        self.returned_micro = self.returned_micro.saturating_add(other.returned_micro);
        self.sent_micro = self.sent_micro.saturating_add(other.sent_micro);
        self.variance_micro = self.variance_micro.saturating_add(other.variance_micro);
        self.left_micro = self.left_micro.saturating_add(other.left_micro);
    }

    /// What the book cannot account for; nothing if it is whole.
    #[must_use]
    pub fn gap_micro(&self) -> i128 {
        let came = [self.came_micro, self.moved_micro, self.variance_micro];
        came.into_iter().map(i128::from).sum::<i128>() - self.found() - i128::from(self.left_micro)
    }

    /// How much of what came is known to have gone somewhere or to be left, in percent.
    ///
    /// Below 100 some is missing; above, more went than came. None if nothing came.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn accounted_percent(&self) -> Result<Option<Ratio>, Overflow> {
        let came = i128::from(self.came_micro) + i128::from(self.moved_micro);
        if came <= 0 {
            return Ok(None);
        }
        // Less than nothing on the shelf is not stock.
        let known = self.found() + i128::from(self.left_micro.max(0));
        Ratio::new(known.checked_mul(100).ok_or(Overflow)?, came).map(Some)
    }

    fn found(&self) -> i128 {
        let out = [self.used_micro, self.wasted_micro, self.returned_micro, self.sent_micro];
        out.into_iter().map(i128::from).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_lowers_what_is_accounted_for() {
        // Source: trade.md 4, mass balance, by hand: 100 came, 60 used, 5 thrown away, counts
        // found 3 less than the book, 32 are left.
        let mut mass = MassBalance { left_micro: 32, ..MassBalance::default() };
        for (kind, amount) in [
            (MovementKind::Receive, 100),
            (MovementKind::Weigh, -60),
            (MovementKind::Waste, -5),
            (MovementKind::Count, -3),
        ] {
            mass.enter(kind, amount);
        }
        assert_eq!(mass.gap_micro(), 0);
        assert_eq!(mass.accounted_percent(), Ok(Some(Ratio::whole(97))));
        assert_eq!(MassBalance::default().accounted_percent(), Ok(None));
    }
}
