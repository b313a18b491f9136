//! The label of a lot or tub: what it is, until when, and a code that a scanner reads.

use super::{LotHeld, find_lot, pack_record, thing};
use crate::{service::Refusal, store::Tx};
use domain::{
    allergens::{Allergens, Swaps, allergens, item_allergens},
    bakery::Bakery,
    id::Code,
    item::AllergenRecord,
    lot::LotState,
    scan::{Element, Scan},
    shelf_life::LifeEnd,
};
use jiff::Timestamp;

/// Under which address a Digital Link is written.
///
/// # Source
/// GS1 Digital Link standard: the resolver that GS1 keeps for everybody.
const RESOLVER: &str = "https://id.gs1.org";

/// What stands on a label.
#[derive(Debug, Clone)]
pub struct LotLabel {
    /// The lot.
    pub lot: LotHeld,
    /// What people call what is in it.
    pub name: String,
    /// What is in it: by its own pack if somebody read it, else by the record of its item;
    /// made lots by what was planned.
    pub allergens: Allergens,
    /// How long an opened pack is used, in minutes; not known if nobody said.
    pub opened_life_minutes: Option<i64>,
    /// Whether it is made here: dough, cream, pieces.
    pub is_made: bool,
    /// What the code holds.
    pub code: String,
    /// Why nobody may use it as it stands; none if it may be used.
    pub stop: Option<LotStop>,
}

/// Why nobody may use a lot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LotStop {
    /// Somebody stopped it, and may have said why.
    Held(Option<String>),
    /// It is past what bounds its use.
    Past(LifeEnd),
}

/// The label of a lot.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn lot_label(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    id: &str,
) -> Result<LotLabel, Refusal> {
    let lot = find_lot(tx, site, bakery, id)?;
    let today = bakery.site().time_zone.to_datetime(now).date();
    let recipes = bakery.recipes(today);
    let index = bakery.index();
    let (item, product) = (index.item(&lot.item), index.product(&lot.item));
    let found = match (item, product) {
        (Some(item), _) => match pack_record(tx, site, id)? {
            Some(AllergenRecord { contains, may_contain, .. }) => {
                Allergens { contains, may_contain, ..Allergens::default() }
            }
            None => item_allergens(bakery, recipes, item),
        },
        (None, Some(product)) => allergens(bakery, recipes, product, &Swaps::new()),
        // What is no longer in the bakery's book is known to nobody.
        (None, None) => Allergens {
            unknown: Code::parse(&lot.item).into_iter().collect(),
            ..Allergens::default()
        },
    };
    let name = match (item, product) {
        (Some(item), _) => bakery.item(item).name.clone(),
        (None, Some(product)) => bakery.product(product).name.clone(),
        (None, None) => lot.item.clone(),
    };
    let known = Code::parse(&lot.item).ok().and_then(|code| thing(bakery, &code));
    let made = item.is_some_and(|item| recipes.of_item(item).is_some());
    Ok(LotLabel {
        name,
        allergens: found,
        opened_life_minutes: item.and_then(|item| bakery.item(item).opened_life_minutes),
        is_made: made || (known.is_some() && product.is_some()),
        code: code(bakery, &lot),
        stop: stop(&lot, now),
        lot,
    })
}

/// A Digital Link if a pack of the item has a number and the lot can be written in one, else
/// the plain id of the lot.
fn code(bakery: &Bakery, lot: &LotHeld) -> String {
    let supplier = |code: &Code| lot.supplier.as_deref().is_none_or(|own| own == code.as_str());
    let packs = bakery.lists().packs.iter();
    let own = packs.filter(|pack| pack.item.as_str() == lot.item && supplier(&pack.supplier));
    let gtin = own.filter_map(|pack| pack.gtin.as_ref()).next();
    let element =
        |identifier: &str, value: String| Element { identifier: identifier.to_owned(), value };
    let link = gtin.and_then(|gtin| {
        let mut elements =
            vec![element("01", format!("{:0>14}", gtin.as_str())), element("10", lot.name.clone())];
        let date = |date: jiff::civil::Date| date.strftime("%y%m%d").to_string();
        elements.extend(lot.use_by.map(|day| element("17", date(day))));
        elements.extend(lot.best_before.map(|day| element("15", date(day))));
        Scan::new(elements).ok()?.digital_link(RESOLVER)
    });
    link.unwrap_or_else(|| format!("lot:{}", lot.id))
}

fn stop(lot: &LotHeld, now: Timestamp) -> Option<LotStop> {
    match lot.state {
        LotState::Hold | LotState::Blocked | LotState::Recalled => {
            Some(LotStop::Held(lot.hold_reason.clone()))
        }
        _ => lot.until.filter(|(until, _)| *until < now).map(|(_, by)| LotStop::Past(by)),
    }
}
