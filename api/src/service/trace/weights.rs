//! What a millionth of a lot's base unit weighs.

use crate::{service::Refusal, service::plan::refused, store::lots::LotRow};
use domain::{
    bakery::Bakery,
    product::{MakeUp, MakeUpAmount, Per},
    quantity::{MICRO, Quantity, Unit},
    ratio::{Overflow, Ratio},
};
use std::collections::BTreeMap;

/// Pieces in pieces, at most this deep.
const DEPTH_MAX: usize = 8;

/// Weights of items and products, found once each.
#[derive(Debug, Default)]
pub struct Weights {
    known: BTreeMap<String, Option<Ratio>>,
}

impl Weights {
    /// Micrograms in a millionth of the lot's base unit; none if nobody wrote it down.
    ///
    /// # Errors
    /// [`Refusal`] if a make-up is beyond exact arithmetic.
    pub fn of(&mut self, bakery: &Bakery, row: &LotRow) -> Result<Option<Ratio>, Refusal> {
        if row.unit == Unit::Gram.symbol() {
            return Ok(Some(Ratio::ONE));
        }
        if let Some(known) = self.known.get(&row.item) {
            return Ok(*known);
        }
        let found = weight(bakery, &row.item).map_err(refused)?;
        self.known.insert(row.item.clone(), found);
        Ok(found)
    }
}

fn weight(bakery: &Bakery, code: &str) -> Result<Option<Ratio>, Overflow> {
    if let Some(item) = bakery.index().item(code) {
        return Ok(bakery.item(item).grams_per_base_unit());
    }
    let piece = piece_ug(bakery, code, DEPTH_MAX)?;
    piece.map(|piece| piece.over(Ratio::whole(MICRO.into()))).transpose()
}

/// What one piece of a product is made of, in micrograms; what has no weight is left out.
fn piece_ug(bakery: &Bakery, product: &str, depth: usize) -> Result<Option<Ratio>, Overflow> {
    let Some(product) = bakery.index().product(product).filter(|_| depth > 0) else {
        return Ok(None);
    };
    let mut sum = Ratio::ZERO;
    for line in &bakery.product(product).make_up {
        let part = match line {
            MakeUp::Item { item, amount, per: Per::Piece, included: false, .. } => {
                item_ug(bakery, item.as_str(), amount)?
            }
            MakeUp::Item { .. } => None,
            MakeUp::Product { product, pieces, .. } => {
                let one = piece_ug(bakery, product.as_str(), depth - 1)?;
                one.map(|one| one.times(Ratio::whole((*pieces).into()))).transpose()?
            }
        };
        sum = sum.plus(part.unwrap_or(Ratio::ZERO))?;
    }
    Ok(Some(sum).filter(|sum| sum.is_positive()))
}

fn item_ug(bakery: &Bakery, item: &str, amount: &MakeUpAmount) -> Result<Option<Ratio>, Overflow> {
    let (Some(item), MakeUpAmount::Amount(quantity)) = (bakery.index().item(item), amount) else {
        return Ok(None);
    };
    bakery.item(item).mass_ug(*quantity)
}

/// What one piece of a product takes of an item, in micrograms; none if nobody says.
///
/// # Errors
/// [`Overflow`]
pub fn taken_ug(bakery: &Bakery, product: &str, item: &str) -> Result<Option<Ratio>, Overflow> {
    let Some(product) = bakery.index().product(product) else { return Ok(None) };
    for line in &bakery.product(product).make_up {
        match line {
            MakeUp::Item { item: taken, amount, per: Per::Piece, .. } if taken.as_str() == item => {
                return item_ug(bakery, item, amount);
            }
            _ => {}
        }
    }
    Ok(None)
}

/// The mass of millionths of an item's base unit, in micrograms.
///
/// # Errors
/// [`Overflow`]
pub fn mass_ug(
    bakery: &Bakery,
    code: &str,
    (micro, unit): (i64, Unit),
) -> Result<Option<Ratio>, Overflow> {
    let Some(item) = bakery.index().item(code) else { return Ok(None) };
    match Quantity::from_micro(micro, unit) {
        Ok(quantity) => bakery.item(item).mass_ug(quantity),
        Err(_) => Err(Overflow),
    }
}
