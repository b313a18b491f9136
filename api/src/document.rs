//! The bakery document: the shapes of reference data, and their reading into the domain.
//!
//! The same document is what `GET /v1/bakery` returns, what `demo-data/` holds, what the
//! command line loads, and, record by record, what the store keeps. Shapes are serde
//! structs that end in `Body`; [`Reader`] turns their texts into domain values and
//! collects every fault with its place instead of stopping at the first.

pub mod amount;
mod decode;
pub mod equipment;
pub mod formula;
pub mod item;
pub mod labelling;
pub mod made;
pub mod pack;
pub mod product;
mod reader;
pub mod regulation;
pub mod route;
pub mod site;
pub mod standing_order;
pub mod supplier;

pub use decode::{Undecodable, decode};
pub use reader::{Fault, Reader, parse_date, parse_time};

use domain::bakery::{Bakery, BakeryDraft};
use equipment::{MixerBody, OvenBody, PlaceBody, ScaleBody};
use formula::FormulaBody;
use item::ItemBody;
use pack::PackBody;
use product::ProductBody;
use regulation::RegulationBody;
use route::RouteBody;
use serde::{Deserialize, Serialize, de::DeserializeOwned};
use site::{CustomerBody, SiteBody};
use standing_order::{ParBody, StandingOrderBody};
use supplier::{OverheadBody, SubstituteBody, SupplierBody};
use utoipa::ToSchema;

/// A record of reference data that has a list of its own.
pub trait Record: Serialize + DeserializeOwned + Send + 'static {
    /// The name of its list in the document and in addresses.
    const NOUN: &'static str;

    /// Its name.
    fn code(&self) -> &str;

    /// First date for which it holds; empty if it is not dated.
    fn valid_from(&self) -> &str {
        ""
    }
}

/// All reference data of one bakery. The order of each list is the bakery's own.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BakeryBody {
    /// The house itself.
    pub site: SiteBody,
    /// Where things are kept.
    #[serde(default)]
    pub places: Vec<PlaceBody>,
    /// Scales.
    #[serde(default)]
    pub scales: Vec<ScaleBody>,
    /// Mixers, kettles and pans.
    #[serde(default)]
    pub mixers: Vec<MixerBody>,
    /// Ovens.
    #[serde(default)]
    pub ovens: Vec<OvenBody>,
    /// Who sells to us.
    #[serde(default)]
    pub suppliers: Vec<SupplierBody>,
    /// Anything with stock.
    #[serde(default)]
    pub items: Vec<ItemBody>,
    /// What can be ordered.
    #[serde(default)]
    pub packs: Vec<PackBody>,
    /// What may be used instead.
    #[serde(default)]
    pub substitutes: Vec<SubstituteBody>,
    /// Formulas and sub-formulas.
    #[serde(default)]
    pub formulas: Vec<FormulaBody>,
    /// Steps that lead to a drop.
    #[serde(default)]
    pub routes: Vec<RouteBody>,
    /// What is sold.
    #[serde(default)]
    pub products: Vec<ProductBody>,
    /// Dusting flour and the like.
    #[serde(default)]
    pub overheads: Vec<OverheadBody>,
    /// Who orders.
    #[serde(default)]
    pub customers: Vec<CustomerBody>,
    /// What is ordered on the same weekdays until further notice.
    #[serde(default)]
    pub standing_orders: Vec<StandingOrderBody>,
    /// What counters open with, though nobody ordered it.
    #[serde(default)]
    pub pars: Vec<ParBody>,
    /// Regulations about allergens and labels beside those that are known anyway (`eu`,
    /// `us`); one of the same code stands in the place of a known one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub regulations: Vec<RegulationBody>,
}

impl BakeryBody {
    /// Reads the document and compiles the bakery.
    ///
    /// # Errors
    /// Every fault with its place: of the texts first; if all can be read, of what they say.
    pub fn compile(&self) -> Result<Bakery, Vec<Fault>> {
        let mut reader = Reader::default();
        let draft = self.read(&mut reader);
        let faults = reader.into_faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        Bakery::new(draft).map_err(|faults| faults.into_iter().map(Fault::from).collect())
    }

    fn read(&self, reader: &mut Reader) -> BakeryDraft {
        let Self {
            site,
            places,
            scales,
            mixers,
            ovens,
            suppliers,
            items,
            packs,
            substitutes,
            formulas,
            routes,
            products,
            overheads,
            customers,
            standing_orders,
            pars,
            regulations,
        } = self;
        BakeryDraft {
            site: reader.at("site", |reader| site.read(reader)),
            places: reader.each("places", places, |reader, body| body.read(reader)),
            scales: reader
                .each("scales", scales, |reader, body| body.read(reader))
                .into_iter()
                .flatten()
                .collect(),
            mixers: reader.each("mixers", mixers, |reader, body| body.read(reader)),
            ovens: reader.each("ovens", ovens, |reader, body| body.read(reader)),
            suppliers: reader.each("suppliers", suppliers, |reader, body| body.read(reader)),
            items: reader.each("items", items, |reader, body| body.read(reader)),
            packs: reader.each("packs", packs, |reader, body| body.read(reader)),
            substitutes: reader.each("substitutes", substitutes, |reader, body| body.read(reader)),
            formulas: reader.each("formulas", formulas, |reader, body| body.read(reader)),
            routes: reader.each("routes", routes, |reader, body| body.read(reader)),
            products: reader.each("products", products, |reader, body| body.read(reader)),
            overheads: reader.each("overheads", overheads, |reader, body| body.read(reader)),
            customers: reader.each("customers", customers, |reader, body| body.read(reader)),
            standing_orders: reader
                .each("standing_orders", standing_orders, |reader, body| body.read(reader)),
            pars: reader.each("pars", pars, |reader, body| body.read(reader)),
            regulations: regulation::read_all(regulations, reader),
        }
    }
}
