//! Things of the records as sentences say them: JSON hears their codes, a reader their names.

use super::printed;
use crate::messages::Sentence;
use domain::{
    bakery::Bakery,
    plan::{NeedUser, Spot},
    supplier::Pack,
};

/// An item, by its position.
pub(super) fn item(bakery: &Bakery, position: u32) -> Sentence {
    let item = bakery.item(position);
    Sentence::named(&item.code, &item.name)
}

/// A product, by its position.
pub(super) fn product(bakery: &Bakery, position: u32) -> Sentence {
    let product = bakery.product(position);
    Sentence::named(&product.code, &product.name)
}

/// A formula or product that takes or makes something.
pub(super) fn user(bakery: &Bakery, user: NeedUser) -> Sentence {
    match user {
        NeedUser::Formula(at) => item(bakery, at),
        NeedUser::Product(at) => product(bakery, at),
    }
}

/// A mixer, an oven or a place.
pub(super) fn station(bakery: &Bakery, spot: Spot) -> Sentence {
    let (code, name) = spot.called(bakery);
    Sentence::named(code, name)
}

/// A pack, by what is in it and how it is bought.
pub(super) fn pack(bakery: &Bakery, pack: &Pack) -> Sentence {
    let name = Sentence::of("shortages-pack-of")
        .with("name", bakery.name_of(pack.item.as_str()))
        .with("holds", Sentence::amount(printed::pack(pack)));
    Sentence::named(&pack.code, name)
}

/// An item, formula or product; what nobody knows any more stays a code.
pub(super) fn made(bakery: &Bakery, code: &str) -> Sentence {
    Sentence::named(code, bakery.name_of(code))
}

/// A mixer; what nobody knows any more stays a code.
pub(super) fn mixer(bakery: &Bakery, code: &str) -> Sentence {
    let found = bakery.index().mixer(code).map(|at| &bakery.lists().mixers[at as usize]);
    Sentence::named(code, found.map_or(code, |mixer| &mixer.name))
}

/// A customer; who is not known any more stays a code.
pub(super) fn customer(bakery: &Bakery, code: &str) -> Sentence {
    let found = bakery.index().customer(code).map(|at| &bakery.lists().customers[at as usize]);
    Sentence::named(code, found.map_or(code, |customer| &customer.name))
}

/// A supplier; who is not known any more stays a code.
pub(super) fn supplier(bakery: &Bakery, code: &str) -> Sentence {
    let found = bakery.lists().suppliers.iter().find(|supplier| supplier.code.as_str() == code);
    Sentence::named(code, found.map_or(code, |supplier| &supplier.name))
}

/// A place; what is not known any more stays a code.
pub(super) fn place(bakery: &Bakery, code: &str) -> Sentence {
    Sentence::named(code, bakery.place_name(code))
}

/// A substitute, by what is used in the place of what.
pub(super) fn substitute(bakery: &Bakery, code: &str) -> Sentence {
    let Some(found) = bakery.lists().substitutes.iter().find(|one| one.code.as_str() == code)
    else {
        return Sentence::named(code, code);
    };
    let uses = found.uses.iter().map(|(item, _)| bakery.name_of(item.as_str()));
    let name = Sentence::of("finding-substitute")
        .with("uses", Sentence::joined(" + ", uses))
        .with("item", bakery.name_of(found.item.as_str()));
    Sentence::named(code, name)
}
