//! Positions of codes in the bakery's lists.

use super::BakeryDraft;
use crate::{
    fault::{FaultKind, Faults},
    id::Code,
    item::{AllergenRecord, Item, ItemKind, Supply},
    quantity::Unit,
    ratio::Ratio,
};
use std::collections::BTreeMap;

/// Positions of codes in the lists of a bakery.
///
/// Items, and the formulas that make them, share one space of codes with products.
#[derive(Debug, Clone, Default)]
pub struct Index {
    items: BTreeMap<Code, u32>,
    products: BTreeMap<Code, u32>,
    mixers: BTreeMap<Code, u32>,
    suppliers: BTreeMap<Code, u32>,
    customers: BTreeMap<Code, u32>,
    routes: BTreeMap<Code, u32>,
    places: BTreeMap<Code, u32>,
    teams: BTreeMap<Code, u32>,
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
        short_life: false,
        safety_stock: None,
        weighing_loss_percent: Ratio::ZERO,
        ready_after_minutes: 0,
        place: None,
        supply: Supply::Made,
        free: false,
        joint: None,
    }
}

fn positions<'a>(
    list: &'static str,
    codes: impl Iterator<Item = &'a Code>,
    faults: &mut Faults,
) -> BTreeMap<Code, u32> {
    let mut found = BTreeMap::new();
    for (position, code) in (0_u32..).zip(codes) {
        if let Some(first) = found.insert(code.clone(), position) {
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
        for (code, position) in &products {
            if items.contains_key(code) {
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
                if let Some(&position) = items.get(&output.item) {
                    fruits.insert(position, fruit);
                }
            }
        }
        // These lists are only looked up; their doubles are still faults.
        for (list, codes) in [
            ("scales", draft.scales.iter().map(|x| &x.code).collect::<Vec<_>>()),
            ("ovens", draft.ovens.iter().map(|x| &x.code).collect()),
            ("packs", draft.packs.iter().map(|x| &x.code).collect()),
            ("substitutes", draft.substitutes.iter().map(|x| &x.code).collect()),
            ("overheads", draft.overheads.iter().map(|x| &x.code).collect()),
        ] {
            positions(list, codes.into_iter(), faults);
        }
        formula_versions(draft, faults);
        Self {
            items,
            products,
            mixers: positions("mixers", draft.mixers.iter().map(|x| &x.code), faults),
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
        self.items.get(code).copied()
    }

    /// Position of a product.
    #[must_use]
    pub fn product(&self, code: &str) -> Option<u32> {
        self.products.get(code).copied()
    }

    /// Position of a mixer.
    #[must_use]
    pub fn mixer(&self, code: &str) -> Option<u32> {
        self.mixers.get(code).copied()
    }

    /// Position of a supplier.
    #[must_use]
    pub fn supplier(&self, code: &str) -> Option<u32> {
        self.suppliers.get(code).copied()
    }

    /// Position of a customer.
    #[must_use]
    pub fn customer(&self, code: &str) -> Option<u32> {
        self.customers.get(code).copied()
    }

    /// Position of a route.
    #[must_use]
    pub fn route(&self, code: &str) -> Option<u32> {
        self.routes.get(code).copied()
    }

    /// Position of a place.
    #[must_use]
    pub fn place(&self, code: &str) -> Option<u32> {
        self.places.get(code).copied()
    }

    /// Position of a team.
    #[must_use]
    pub fn team(&self, code: &str) -> Option<u32> {
        self.teams.get(code).copied()
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
