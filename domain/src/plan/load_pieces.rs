//! Which load gives how many pieces of each product.

use super::{AskedBy, Batch, LoadPieces, held};
use crate::{
    bakery::{Bakery, Recipe},
    load::HeldLoad,
    ratio::{Overflow, Ratio},
};

/// Pieces over draft loads, beside those of held ones: equal floors, spare pieces heaviest first to the lightest load.
pub(super) fn fill(
    bakery: &Bakery,
    recipe: &Recipe,
    batch: &Batch,
    start_of: &dyn Fn(u32) -> i64,
    held: &[(u32, &HeldLoad)],
) -> Result<Vec<LoadPieces>, Overflow> {
    // Pieces that are divided from kept dough are in no load.
    if batch.all_loads() < 2 || batch.split.loads < 1 || !batch.from_stock.is_empty() {
        return Ok(Vec::new());
    }
    let recipes = bakery.recipes(batch.service_date);
    let mut products = Vec::new();
    for ask in &batch.asked {
        let AskedBy::Product(product) = ask.by else { continue };
        if recipes.dough_of(product) != Some(recipe.item) {
            continue;
        }
        let start = start_of(product);
        if start > 0 {
            let each = ask.amount.over(Ratio::whole(start.into()))?;
            let open = start - held::pieces(bakery, product, held);
            products.push((product, open.max(0), each));
        }
    }
    if products.is_empty() {
        return Ok(Vec::new());
    }
    products.sort_by_key(|&(product, _, _)| product);
    let loads = batch.split.loads;
    let mut even = LoadPieces { pieces: Vec::new(), mass: Ratio::ZERO };
    for &(product, start, mass) in &products {
        let each = start / loads;
        even.pieces.push((product, each));
        even.mass = even.mass.plus(mass.times(Ratio::whole(each.into()))?)?;
    }
    let count = usize::try_from(loads).map_err(|_| Overflow)?;
    let mut over = vec![even; count];
    let mut heaviest_first: Vec<usize> = (0..products.len()).collect();
    // Stable: pieces of equal weight stay in listed order.
    heaviest_first.sort_by_key(|&at| std::cmp::Reverse(products[at].2));
    for at in heaviest_first {
        let (_, start, mass) = products[at];
        for _ in 0..start % loads {
            // A load takes one spare piece of a product at most.
            let open = over.iter_mut().filter(|load| load.pieces[at].1 == start / loads);
            if let Some(lightest) = open.min_by_key(|load| load.mass) {
                lightest.pieces[at].1 += 1;
                lightest.mass = lightest.mass.plus(mass)?;
            }
        }
    }
    Ok(over)
}
