//! Released loads keep the lots that were proposed to them, as long as these can be used.

use super::{NeedUser, Plan, StockLine};
use crate::{
    bakery::Bakery,
    book::Book,
    load::HeldDraw,
    net::{NetLot, NetNeed, Netting},
};

/// What released loads keep of the lots that were proposed to them.
pub(super) struct Reserved {
    /// For each need, positions of lots and how much of each was proposed.
    wanted: Vec<Vec<(usize, i64)>>,
}

pub(super) fn reserved(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    (needs, lots): (&[u32], &[StockLine]),
) -> Reserved {
    let position = |id: &String| {
        lots.iter().position(|line| !id.is_empty() && book.lots[line.lot as usize].id == *id)
    };
    let of_need = |&at: &u32| -> Vec<(usize, i64)> {
        let need = &plan.needs[at as usize];
        let (Some(number), NeedUser::Formula(made)) = (need.load, need.user) else {
            return Vec::new();
        };
        let Some(batch) = plan.batch(need.service_date, made) else { return Vec::new() };
        let Some(part) = batch.held.iter().find(|part| part.number == number) else {
            return Vec::new();
        };
        let draws = &book.held[part.at as usize].draws;
        let code = &bakery.item(need.item).code;
        let of_item = |draw: &&HeldDraw| draw.item == *code && draw.counted == need.counted;
        let lots = draws.iter().filter(of_item).flat_map(|draw| &draw.lots);
        lots.filter_map(|(id, micro)| Some((position(id)?, *micro))).collect()
    };
    let needs = if book.held.is_empty() { &[] } else { needs };
    Reserved { wanted: needs.iter().map(of_need).collect() }
}

impl Reserved {
    /// Takes what is kept off the needs and the lots; says what each need keeps.
    ///
    /// A lot that is used up, out of date or not there yet keeps nothing for anybody.
    pub(super) fn reserve(
        self,
        needs: &mut [NetNeed],
        lots: &mut [NetLot],
    ) -> Vec<Vec<(usize, i64)>> {
        let mut kept = Vec::with_capacity(needs.len());
        for (wanted, need) in self.wanted.into_iter().zip(needs) {
            let mut from = Vec::new();
            for (at, micro) in wanted {
                let lot = &mut lots[at];
                let usable = lot.from.is_none_or(|from| from <= need.at)
                    && lot.until.is_none_or(|until| until >= need.at);
                let taken = micro.min(lot.micro).min(need.micro);
                if usable && taken > 0 {
                    lot.micro -= taken;
                    need.micro -= taken;
                    from.push((at, taken));
                }
            }
            kept.push(from);
        }
        kept
    }
}

/// Puts what needs keep before what netting found for the rest of them.
pub(super) fn restore(netting: &mut Netting, kept: Vec<Vec<(usize, i64)>>) {
    for (at, mut from) in kept.into_iter().enumerate().filter(|(_, kept)| !kept.is_empty()) {
        let mut allocation = netting.allocations[at].clone();
        for &(lot, micro) in &allocation.from {
            match from.iter_mut().find(|(kept, _)| *kept == lot) {
                Some((_, sum)) => *sum += micro,
                None => from.push((lot, micro)),
            }
        }
        allocation.from = from;
        netting.allocations.set(at, allocation);
    }
}
