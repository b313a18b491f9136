//! What one piece of each product is made of, compiled.

use super::{
    Driver, Recipes,
    compile::{mass_of, needs_mass_of_one},
    usual_at,
};
use crate::{
    bakery::{BakeryDraft, Index},
    fault::{FaultKind, Faults, Faulty},
    product::{At, MakeUp, MakeUpAmount, Per, Product},
    quantity::{Quantity, Unit},
    ratio::{Overflow, Ratio},
};
use std::collections::BTreeSet;

/// One compiled make-up line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CompiledMakeUp {
    /// A weighed amount, in micrograms.
    Mass {
        /// Of which item.
        item: u32,
        /// How much for one piece or tray.
        ug: Ratio,
        /// For what.
        per: Per,
        /// When it is used.
        at: At,
    },
    /// A counted amount, in millionths.
    Count {
        /// Of which item.
        item: u32,
        /// How many for one piece or tray.
        micro: Ratio,
        /// For what.
        per: Per,
        /// When it is used.
        at: At,
    },
    /// Parts of a batch.
    Batches {
        /// Of which item.
        item: u32,
        /// How many for one piece or tray.
        batches: Ratio,
        /// For what.
        per: Per,
    },
    /// Pieces of another product.
    Product {
        /// Which.
        product: u32,
        /// How many for one piece.
        pieces: i64,
        /// Its bake date against the service date.
        day_offset: i32,
    },
}

/// Compiles the make-up of all products into the arrays.
pub(super) fn compile(
    draft: &BakeryDraft,
    index: &Index,
    recipes: &mut Recipes,
    broken: &BTreeSet<u32>,
    faulty: &Faulty,
    faults: &mut Faults,
) {
    for (position, product) in (0_u32..).zip(&draft.products) {
        recipes.make_up_offsets.push(u32::try_from(recipes.make_up.len()).unwrap_or(u32::MAX));
        if faulty.product(position) {
            continue;
        }
        let compiler = Compiler { draft, index, recipes, broken, position, product };
        let compiled = compiler.lines(faults);
        recipes.make_up.extend(compiled);
    }
    recipes.make_up_offsets.push(u32::try_from(recipes.make_up.len()).unwrap_or(u32::MAX));
    recipes.product_order = product_order(draft, index, faults);
}

struct Compiler<'a> {
    draft: &'a BakeryDraft,
    index: &'a Index,
    recipes: &'a Recipes,
    broken: &'a BTreeSet<u32>,
    position: u32,
    product: &'a Product,
}

impl Compiler<'_> {
    fn lines(&self, faults: &mut Faults) -> Vec<CompiledMakeUp> {
        let mut compiled = Vec::with_capacity(self.product.make_up.len());
        for (number, make_up) in self.product.make_up.iter().enumerate() {
            let pointer = format!("/products/{}/make_up/{number}", self.position);
            match self.line(make_up, &pointer, faults) {
                Ok(Some(line)) => compiled.push(line),
                Ok(None) => {}
                Err(Overflow) => faults.add(
                    pointer,
                    FaultKind::OutOfRange,
                    "the amount is too fine or too large to compute with".to_owned(),
                ),
            }
        }
        compiled
    }

    fn line(
        &self,
        make_up: &MakeUp,
        pointer: &str,
        faults: &mut Faults,
    ) -> Result<Option<CompiledMakeUp>, Overflow> {
        let (item, amount, per, at) = match make_up {
            MakeUp::Product { product, pieces, day_offset } => {
                let product = self.index.product(product.as_str());
                return Ok(product.map(|product| CompiledMakeUp::Product {
                    product,
                    pieces: *pieces,
                    day_offset: *day_offset,
                }));
            }
            MakeUp::Item { item, amount, per, at, .. } => {
                (item, amount, *per, at.unwrap_or_else(usual_at))
            }
        };
        let Some(position) = self.index.item(item.as_str()) else { return Ok(None) };
        if self.broken.contains(&position) {
            // How it is made is not known, so nothing can be said of an amount of it.
            return Ok(None);
        }
        let driver = self.recipes.of_item(position).map(|at| self.recipes.recipes[at].driver);
        let quantity = match (amount, driver) {
            (MakeUpAmount::Batches(batches), Some(Driver::Batch { .. })) => {
                return Ok(Some(CompiledMakeUp::Batches {
                    item: position,
                    batches: *batches,
                    per,
                }));
            }
            (MakeUpAmount::Batches(_), _) => {
                faults.add(
                    pointer,
                    FaultKind::UnitMismatch,
                    format!("`{item}` is not made by the batch: state a mass"),
                );
                return Ok(None);
            }
            (MakeUpAmount::Amount(quantity), _) => *quantity,
        };
        self.amount(position, quantity, driver, (per, at), pointer, faults)
    }

    /// A plain amount: counted, by the batch, or weighed.
    fn amount(
        &self,
        position: u32,
        quantity: Quantity,
        driver: Option<Driver>,
        (per, at): (Per, At),
        pointer: &str,
        faults: &mut Faults,
    ) -> Result<Option<CompiledMakeUp>, Overflow> {
        let found = &self.draft.items[position as usize];
        if quantity.unit() == Unit::Each {
            match driver {
                None if found.base_unit == Unit::Each => {
                    let micro = quantity.ratio();
                    return Ok(Some(CompiledMakeUp::Count { item: position, micro, per, at }));
                }
                Some(Driver::Batch { pieces_micro: Some(pieces), .. }) => {
                    let batches = quantity.ratio().over(pieces)?;
                    return Ok(Some(CompiledMakeUp::Batches { item: position, batches, per }));
                }
                _ => {}
            }
        }
        let Ok(mut ug) = mass_of(found, quantity, pointer, faults) else { return Ok(None) };
        if self.is_dough(found.code.as_str()) {
            ug = self.dough_mass(ug)?;
            if !ug.is_positive() {
                let detail = format!(
                    "nothing is left of `{}` when what it includes is taken off: state a heavier piece",
                    found.code
                );
                faults.add(pointer, FaultKind::OutOfRange, detail);
                return Ok(None);
            }
        }
        if let Some(Driver::Batch { mass_ug, .. }) = driver {
            let Some(mass) = mass_ug else {
                let detail = format!(
                    "`{}` is made by the batch and {quantity} of it are asked here: say what a batch makes, or ask for batches",
                    found.code
                );
                faults.add(pointer, FaultKind::NoBatchMass, detail);
                return Ok(None);
            };
            return Ok(Some(CompiledMakeUp::Batches {
                item: position,
                batches: ug.over(mass)?,
                per,
            }));
        }
        if driver.is_none() && needs_mass_of_one(found, pointer, faults).is_err() {
            return Ok(None);
        }
        Ok(Some(CompiledMakeUp::Mass { item: position, ug, per, at }))
    }

    fn is_dough(&self, item: &str) -> bool {
        match &self.product.baked {
            Some(baked) => baked.dough.as_str() == item,
            None => self.product.dough.as_ref().is_some_and(|dough| dough.as_str() == item),
        }
    }

    /// The dough of a piece: grossed from its baked mass if that is what is stated,
    /// less what is included in it.
    fn dough_mass(&self, stated: Ratio) -> Result<Ratio, Overflow> {
        let mut mass = stated;
        if let Some(baked) = &self.product.baked {
            mass = baked.mass.ratio();
            for loss in [baked.bake_loss_percent, baked.cool_loss_percent] {
                mass = mass.over(loss.left_after_percent()?)?;
            }
        }
        for make_up in &self.product.make_up {
            if let MakeUp::Item {
                item,
                amount: MakeUpAmount::Amount(quantity),
                included: true,
                per: Per::Piece,
                ..
            } = make_up
                && let Some(position) = self.index.item(item.as_str())
                && let Some(inside) = self.draft.items[position as usize].mass_ug(*quantity)?
            {
                mass = mass.minus(inside)?;
            }
        }
        Ok(mass)
    }
}

/// Products so ordered that each comes before those it takes of the same day.
fn product_order(draft: &BakeryDraft, index: &Index, faults: &mut Faults) -> Vec<u32> {
    let takes = |product: u32| {
        draft.products[product as usize].make_up.iter().filter_map(|make_up| match make_up {
            MakeUp::Product { product, day_offset: 0, .. } => index.product(product.as_str()),
            _ => None,
        })
    };
    let count = u32::try_from(draft.products.len()).unwrap_or(u32::MAX);
    let mut users = vec![0_u32; draft.products.len()];
    for product in 0..count {
        for taken in takes(product) {
            users[taken as usize] += 1;
        }
    }
    let mut order: Vec<u32> = (0..count).filter(|&product| users[product as usize] == 0).collect();
    let mut next = 0;
    while next < order.len() {
        for taken in takes(order[next]) {
            users[taken as usize] -= 1;
            if users[taken as usize] == 0 {
                order.push(taken);
            }
        }
        next += 1;
    }
    if let Some(stuck) = users.iter().position(|&left| left > 0) {
        faults.add(
            format_args!("/products/{stuck}/make_up"),
            FaultKind::FormulaCycle,
            format!(
                "product `{}` contains itself on the same day: take it out, or take it from a day before",
                draft.products[stuck].code
            ),
        );
    }
    order
}
