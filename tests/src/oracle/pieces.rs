//! From orders to start pieces, always in the order of the rules.

use super::{Oracle, amount, ceil, left_after, whole};
use domain::{
    lot::LotUse,
    product::{MakeUp, Overs, Product},
};
use jiff::civil::Date;

/// The pieces of one product for one service date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pieces {
    /// Good pieces that must come out.
    pub net: i64,
    /// Good pieces planned.
    pub good: i64,
    /// Pieces to begin with.
    pub start: i64,
    /// Trays begun.
    pub trays: Option<i64>,
}

fn round_up(value: i64, multiple: i64) -> i64 {
    (value + multiple - 1) / multiple * multiple
}

impl Oracle<'_> {
    pub(super) fn pieces_of(&mut self, date: Date, product: &Product) -> Pieces {
        let key = (date, product.code.to_string());
        if let Some(found) = self.pieces.get(&key) {
            return *found;
        }
        let asked = self.ordered(date, product) + self.taken(date, product)
            - self.covered_by_stock(date, product);
        let net = if asked > 0 { asked + product.test_pieces } else { 0 };
        let (good, start) = planned(product, net);
        let trays = product.tray.as_ref().map(|tray| round_up(start, tray.pieces) / tray.pieces);
        let found = Pieces { net, good, start, trays };
        self.pieces.insert(key, found);
        found
    }

    fn ordered(&self, date: Date, product: &Product) -> i64 {
        let mine = |line: &&domain::order::OrderLine| {
            line.service_date == date && line.product == product.code
        };
        self.world.book.orders.iter().filter(mine).map(|line| line.pieces).sum()
    }

    /// Pieces that other products of this or a later date take as an ingredient.
    fn taken(&mut self, date: Date, product: &Product) -> i64 {
        let mut taken = 0;
        for user in self.products() {
            for line in &user.make_up {
                let MakeUp::Product { product: used, pieces, day_offset } = line else { continue };
                let sold = date.saturating_add(jiff::Span::new().days(-day_offset));
                if *used == product.code && self.dates.contains(&sold) {
                    taken += pieces * self.pieces_of(sold, user).start;
                }
            }
        }
        taken
    }

    /// Finished stock is used for the earliest date it can be sold on, orders first.
    fn covered_by_stock(&self, date: Date, product: &Product) -> i64 {
        let mut lots: Vec<_> = self
            .world
            .book
            .lots
            .iter()
            .filter(|lot| lot.item == product.code)
            .filter(|lot| lot.usage == LotUse::Any && !lot.state.is_kept_back())
            .map(|lot| (lot, lot.balance_micro / 1_000_000))
            .collect();
        lots.sort_by_key(|(lot, _)| (lot.date.unwrap_or(Date::MAX), lot.received, &lot.name));
        for &day in &self.dates {
            let mut open = self.ordered(day, product);
            let mut used = 0;
            for (lot, left) in &mut lots {
                let sellable = lot.date.is_none_or(|last| last >= day)
                    && lot.baked.is_none_or(|baked| baked <= day);
                if sellable {
                    let taken = open.min(*left).max(0);
                    (open, used, *left) = (open - taken, used + taken, *left - taken);
                }
            }
            if day == date {
                return used;
            }
        }
        0
    }

    /// What one start piece takes of a formula or ingredient in grams or pieces, per line:
    /// the baked weight grossed, less what is included.
    pub(super) fn piece_mass(
        &self,
        product: &Product,
        item: &str,
        quantity: domain::quantity::Quantity,
    ) -> num_rational::BigRational {
        let dough = match &product.baked {
            Some(baked) => Some(&baked.dough),
            None => product.dough.as_ref(),
        };
        if dough.is_none_or(|dough| dough.as_str() != item) {
            return self.grams(item, quantity);
        }
        let mut mass = match &product.baked {
            None => self.grams(item, quantity),
            Some(baked) => {
                amount(baked.mass)
                    / left_after(baked.bake_loss_percent)
                    / left_after(baked.cool_loss_percent)
            }
        };
        for line in &product.make_up {
            if let MakeUp::Item {
                item,
                amount: domain::product::MakeUpAmount::Amount(inside),
                included: true,
                ..
            } = line
            {
                mass -= self.grams(item.as_str(), *inside);
            }
        }
        mass
    }
}

/// Good pieces planned and start pieces: overs, then rejects; trays round the start.
fn planned(product: &Product, net: i64) -> (i64, i64) {
    if net == 0 {
        return (0, 0);
    }
    let kept = left_after(product.reject_percent);
    let begin = |good: i64| ceil(&(whole(good) / &kept));
    match product.overs {
        Overs::None => (net, begin(net)),
        Overs::Fixed { pieces } => (net + pieces, begin(net + pieces)),
        Overs::Pack { multiple } => {
            let good = round_up(net, multiple);
            (good, begin(good))
        }
        Overs::Tray => {
            let tray = product.tray.as_ref().map_or(1, |tray| tray.pieces);
            let start = round_up(begin(net), tray);
            let good = (whole(start) * kept).floor().to_integer();
            (i64::try_from(good).unwrap_or(i64::MAX), start)
        }
    }
}
