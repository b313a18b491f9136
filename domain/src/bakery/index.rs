//! Positions of codes in the bakery's lists.

use super::BakeryDraft;
use crate::{
    fault::{FaultKind, Faults},
    id::Code,
    item::{AllergenRecord, Item, ItemKind, Supply},
    labelling::ItemLabel,
    nutrients::Nutrients,
    quantity::Unit,
    ratio::Ratio,
};
use std::collections::BTreeMap;

/// Positions of the codes of one list, found by a fixed hash of the text.
///
/// Nothing is ever listed from here, so the hash cannot decide an order.
#[derive(Debug, Clone, Default)]
struct Positions {
    codes: Vec<Code>,
    /// Position in `codes`, [`EMPTY`] where nothing is; a power of two of them.
    slots: Vec<u32>,
}

const EMPTY: u32 = u32::MAX;

/// FNV-1a, 64 bits.
///
/// # Source
/// RFC 9923.
fn hash(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

impl Positions {
    /// The slot of a code: its own, or the empty one where it belongs.
    fn slot(&self, code: &str) -> usize {
        let mask = self.slots.len() - 1;
        let mut slot = (hash(code) as usize) & mask;
        while self.slots[slot] != EMPTY && self.codes[self.slots[slot] as usize].as_str() != code {
            slot = (slot + 1) & mask;
        }
        slot
    }

    fn get(&self, code: &str) -> Option<u32> {
        if self.slots.is_empty() {
            return None;
        }
        Some(self.slots[self.slot(code)]).filter(|&position| position != EMPTY)
    }
}

/// Positions of codes in the lists of a bakery.
///
/// Items, and the formulas that make them, share one space of codes with products.
#[derive(Debug, Clone, Default)]
pub struct Index {
    items: Positions,
    products: Positions,
    mixers: Positions,
    ovens: Positions,
    suppliers: Positions,
    customers: Positions,
    routes: Positions,
    places: Positions,
    teams: Positions,
    /// Item of a joint output → item of its fruit.
    fruits: BTreeMap<u32, u32>,
}

/// Adds a plain made item for each formula whose item is not listed.
pub(super) fn add_made_items(draft: &mut BakeryDraft) {
    let mut listed: std::collections::BTreeSet<Code> =
        draft.items.iter().map(|item| item.code.clone()).collect();
    for formula in &draft.formulas {
        if listed.insert(formula.code.clone()) {
            draft.items.push(made_item(&formula.code, &formula.name));
        }
    }
    let outputs: Vec<Code> = draft
        .items
        .iter()
        .filter_map(|item| item.joint.as_ref())
        .flat_map(|joint| joint.outputs.iter().map(|output| output.item.clone()))
        .collect();
    for output in outputs {
        if listed.insert(output.clone()) {
            draft.items.push(made_item(&output, output.as_str()));
        }
    }
}

fn made_item(code: &Code, name: &str) -> Item {
    Item {
        code: code.clone(),
        name: name.to_owned(),
        kind: ItemKind::Made,
        base_unit: Unit::Gram,
        density: None,
        each: None,
        stocked: true,
        water: false,
        salt: false,
        allergens: AllergenRecord { known: true, ..AllergenRecord::default() },
        opened_life_minutes: None,
        thawed_life_minutes: None,
        short_life: false,
        safety_stock: None,
        safety_days: None,
        weighing_loss_percent: Ratio::ZERO,
        ready_after_minutes: 0,
        place: None,
        supply: Supply::Made,
        free: false,
        joint: None,
        label: ItemLabel::default(),
        nutrients: Nutrients::default(),
        nature: crate::item::Nature::default(),
    }
}

fn positions<'a>(
    list: &'static str,
    codes: impl Iterator<Item = &'a Code>,
    faults: &mut Faults,
) -> Positions {
    let codes: Vec<Code> = codes.cloned().collect();
    let size = (codes.len() * 2).next_power_of_two();
    let mut found = Positions { slots: vec![EMPTY; size], codes };
    for position in 0..u32::try_from(found.codes.len()).unwrap_or(EMPTY) {
        let code = &found.codes[position as usize];
        let slot = found.slot(code.as_str());
        let first = found.slots[slot];
        if first == EMPTY {
            found.slots[slot] = position;
        } else {
            faults.add(
                format_args!("/{list}/{position}/code"),
                FaultKind::DuplicateCode,
                format!(
                    "`{code}` is listed already, at /{list}/{first}: give one of them another code"
                ),
            );
        }
    }
    found
}

impl Index {
    pub(super) fn new(draft: &BakeryDraft, faults: &mut Faults) -> Self {
        let items = positions("items", draft.items.iter().map(|x| &x.code), faults);
        let products = positions("products", draft.products.iter().map(|x| &x.code), faults);
        for (position, code) in products.codes.iter().enumerate() {
            if items.get(code.as_str()).is_some() {
                faults.add(
                    format_args!("/products/{position}/code"),
                    FaultKind::DuplicateCode,
                    format!(
                        "`{code}` is an item or formula already: a product needs a code of its own"
                    ),
                );
            }
        }
        let mut fruits = BTreeMap::new();
        for (fruit, item) in (0_u32..).zip(&draft.items) {
            for output in item.joint.iter().flat_map(|joint| &joint.outputs) {
                if let Some(position) = items.get(output.item.as_str()) {
                    fruits.insert(position, fruit);
                }
            }
        }
        // These lists are only looked up; their doubles are still faults.
        for (list, codes) in [
            ("scales", draft.scales.iter().map(|x| &x.code).collect::<Vec<_>>()),
            ("packs", draft.packs.iter().map(|x| &x.code).collect()),
            ("substitutes", draft.substitutes.iter().map(|x| &x.code).collect()),
            ("overheads", draft.overheads.iter().map(|x| &x.code).collect()),
            ("standing_orders", draft.standing_orders.iter().map(|x| &x.code).collect()),
            ("pars", draft.pars.iter().map(|x| &x.code).collect()),
            ("regulations", draft.regulations.iter().map(|x| &x.code).collect()),
        ] {
            positions(list, codes.into_iter(), faults);
        }
        formula_versions(draft, faults);
        Self {
            items,
            products,
            mixers: positions("mixers", draft.mixers.iter().map(|x| &x.code), faults),
            ovens: positions("ovens", draft.ovens.iter().map(|x| &x.code), faults),
            suppliers: positions("suppliers", draft.suppliers.iter().map(|x| &x.code), faults),
            customers: positions("customers", draft.customers.iter().map(|x| &x.code), faults),
            routes: positions("routes", draft.routes.iter().map(|x| &x.code), faults),
            places: positions("places", draft.places.iter().map(|x| &x.code), faults),
            teams: positions("site/teams", draft.site.teams.iter().map(|x| &x.code), faults),
            fruits,
        }
    }

    /// Position of an item.
    #[must_use]
    pub fn item(&self, code: &str) -> Option<u32> {
        self.items.get(code)
    }

    /// Position of a product.
    #[must_use]
    pub fn product(&self, code: &str) -> Option<u32> {
        self.products.get(code)
    }

    /// Position of a mixer.
    #[must_use]
    pub fn mixer(&self, code: &str) -> Option<u32> {
        self.mixers.get(code)
    }

    /// Position of an oven.
    #[must_use]
    pub fn oven(&self, code: &str) -> Option<u32> {
        self.ovens.get(code)
    }

    /// Position of a supplier.
    #[must_use]
    pub fn supplier(&self, code: &str) -> Option<u32> {
        self.suppliers.get(code)
    }

    /// Position of a customer.
    #[must_use]
    pub fn customer(&self, code: &str) -> Option<u32> {
        self.customers.get(code)
    }

    /// Position of a route.
    #[must_use]
    pub fn route(&self, code: &str) -> Option<u32> {
        self.routes.get(code)
    }

    /// Position of a place.
    #[must_use]
    pub fn place(&self, code: &str) -> Option<u32> {
        self.places.get(code)
    }

    /// Position of a team.
    #[must_use]
    pub fn team(&self, code: &str) -> Option<u32> {
        self.teams.get(code)
    }

    /// The fruit that an item is an output of.
    #[must_use]
    pub fn fruit_of(&self, item: u32) -> Option<u32> {
        self.fruits.get(&item).copied()
    }
}

fn formula_versions(draft: &BakeryDraft, faults: &mut Faults) {
    let mut seen = BTreeMap::new();
    for (position, formula) in draft.formulas.iter().enumerate() {
        if let Some(first) = seen.insert((&formula.code, formula.valid_from), position) {
            faults.add(
                format_args!("/formulas/{position}/code"),
                FaultKind::DuplicateCode,
                format!(
                    "formula `{}` from {} is listed already, at /formulas/{first}: give the newer version a later valid_from",
                    formula.code, formula.valid_from
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_is_found_at_its_place_and_no_other_code_is() {
        let code = |number: u32| Code::parse(&format!("item-{number}")).expect("a code");
        let codes: Vec<Code> = (0..1_000).map(code).collect();
        let mut faults = Faults::default();
        let found = positions("items", codes.iter(), &mut faults);
        for (position, code) in (0..).zip(&codes) {
            assert_eq!(found.get(code.as_str()), Some(position));
        }
        assert_eq!((found.get("item-1000"), found.get("")), (None, None));
        assert_eq!(Positions::default().get("item-1"), None);
        assert_eq!(faults.into_distinct(), []);
    }

    #[test]
    fn the_second_of_two_equal_codes_is_a_fault_that_names_the_first() {
        let codes = ["rye", "salt", "rye"].map(|text| Code::parse(text).expect("a code"));
        let mut faults = Faults::default();
        positions("items", codes.iter(), &mut faults);
        let found = faults.into_distinct();
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].pointer, "/items/2/code");
        assert!(found[0].detail.contains("/items/0"));
    }
}
