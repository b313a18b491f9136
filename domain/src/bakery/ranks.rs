//! The order of codes, sorted once.

use super::BakeryDraft;

/// Places in the order of all codes of items and products, which share one space.
#[derive(Debug, Clone, Default)]
pub struct Ranks {
    items: Vec<u32>,
    products: Vec<u32>,
}

impl Ranks {
    pub(super) fn new(draft: &BakeryDraft) -> Self {
        let products = draft.products.iter().map(|product| &product.code);
        let codes: Vec<_> = draft.items.iter().map(|item| &item.code).chain(products).collect();
        let mut order: Vec<usize> = (0..codes.len()).collect();
        order.sort_by_key(|&at| codes[at]);
        let mut items = vec![0; codes.len()];
        for (rank, at) in (0_u32..).zip(order) {
            items[at] = rank;
        }
        let products = items.split_off(draft.items.len());
        Self { items, products }
    }

    /// Of an item, by its position.
    #[must_use]
    pub fn item(&self, item: u32) -> u32 {
        self.items[item as usize]
    }

    /// Of a product, by its position.
    #[must_use]
    pub fn product(&self, product: u32) -> u32 {
        self.products[product as usize]
    }
}
