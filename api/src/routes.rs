//! The one list of routes. It makes both the router and the OpenAPI document.

pub mod allergens;
pub mod bakery;
pub mod counts;
pub mod customers;
pub mod deliveries;
pub mod fair_share;
pub mod formula_views;
pub mod formulas;
pub mod health;
pub mod home;
pub mod items;
pub mod lots;
pub mod mixers;
pub mod movements;
pub mod orders;
pub mod ovens;
pub mod overheads;
pub mod packs;
pub mod pick_list;
pub mod places;
pub mod products;
pub mod projection;
pub mod proposals;
pub mod receipts;
pub mod requirements;
pub mod routes_of_work;
pub mod scales;
pub mod shortages;
pub mod stock;
pub mod substitutes;
pub mod suppliers;
pub mod weigh_out;
pub mod what_if;
pub mod why;

use utoipa_actix_web::service_config::ServiceConfig;

/// Adds every route.
pub fn configure(config: &mut ServiceConfig<'_>) {
    health::routes(config);
    bakery::routes(config);
    items::routes(config);
    formulas::routes(config);
    products::routes(config);
    customers::routes(config);
    suppliers::routes(config);
    packs::routes(config);
    substitutes::routes(config);
    mixers::routes(config);
    ovens::routes(config);
    scales::routes(config);
    places::routes(config);
    routes_of_work::routes(config);
    overheads::routes(config);
    orders::routes(config);
    receipts::routes(config);
    counts::routes(config);
    stock::routes(config);
    lots::routes(config);
    movements::routes(config);
    allergens::routes(config);
    formula_views::routes(config);
    home::routes(config);
    pick_list::routes(config);
    requirements::routes(config);
    shortages::routes(config);
    proposals::routes(config);
    projection::routes(config);
    deliveries::routes(config);
    fair_share::routes(config);
    weigh_out::routes(config);
    what_if::routes(config);
    why::routes(config);
}
