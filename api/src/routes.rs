//! The one list of routes. It makes both the router and the OpenAPI document.

pub mod actual_costs;
pub mod allergens;
pub mod bake_sheet;
pub mod bakery;
pub mod bench_sheet;
pub mod bins;
pub mod changes;
pub mod cost;
pub mod cost_changes;
pub mod counts;
pub mod customers;
pub mod day_board;
pub mod decisions;
pub mod deliveries;
pub mod drop_sheet;
pub mod fair_share;
pub mod forecasts;
pub mod formula_views;
pub mod formulas;
pub mod friction;
pub mod fridge;
pub mod health;
pub mod holidays;
pub mod items;
pub mod labels;
pub mod ledger;
pub mod load_sheets;
pub mod loads;
pub mod lot_labels;
pub mod lots;
pub mod metrics;
pub mod mix_sheet;
pub mod mixers;
pub mod money_flow;
pub mod movements;
pub mod moves;
pub mod notices;
pub mod orders;
pub mod ovens;
pub mod overheads;
pub mod overrides;
pub mod pack_readings;
pub mod packs;
pub mod pars;
pub mod past_loads;
pub mod pick_list;
pub mod places;
pub mod prep_sheet;
pub mod product_lots;
pub mod products;
pub mod projection;
pub mod proposals;
pub mod receipts;
pub mod regulations;
pub mod requirements;
pub mod revisions;
pub mod routes_of_work;
pub mod scales;
pub mod schedule;
pub mod shortages;
pub mod sign_in;
pub mod sign_offs;
pub mod standing_orders;
pub mod stock;
pub mod style;
pub mod substitutes;
pub mod supplier_orders;
pub mod suppliers;
pub mod tokens;
pub mod trace;
pub mod waste;
pub mod webhooks;
pub mod weigh_out;
pub mod what_if;
pub mod why;
pub mod workbench;
pub mod workbook;
pub mod yields;

use crate::pages;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds every route.
///
/// A path is held against one after the other: what is asked most stands first.
pub fn configure(config: &mut ServiceConfig<'_>) {
    orders::routes(config);
    work_sheets(config);
    running(config);
    reference(config);
    work(config);
    pages::routes(config);
}

/// Adds the routes of what the bakery is.
fn reference(config: &mut ServiceConfig<'_>) {
    bakery::routes(config);
    items::routes(config);
    formulas::routes(config);
    products::routes(config);
    customers::routes(config);
    suppliers::routes(config);
    packs::routes(config);
    substitutes::routes(config);
    mixers::routes(config);
    friction::routes(config);
    ovens::routes(config);
    scales::routes(config);
    places::routes(config);
    routes_of_work::routes(config);
    overheads::routes(config);
    pars::routes(config);
    standing_orders::routes(config);
}

/// Adds the routes of what happens in it.
fn work(config: &mut ServiceConfig<'_>) {
    forecasts::routes(config);
    receipts::routes(config);
    counts::routes(config);
    moves::routes(config);
    stock::routes(config);
    lots::routes(config);
    pack_readings::routes(config);
    trace::routes(config);
    past_loads::routes(config);
    lot_labels::routes(config);
    movements::routes(config);
    loads::routes(config);
    load_sheets::routes(config);
    product_lots::routes(config);
    overrides::routes(config);
    changes::routes(config);
    revisions::routes(config);
    notices::routes(config);
    bins::routes(config);
    waste::routes(config);
    ledger::routes(config);
    yields::routes(config);
    statements(config);
    style::routes(config);
    requirements::routes(config);
    schedule::routes(config);
    shortages::routes(config);
    proposals::routes(config);
    supplier_orders::routes(config);
    projection::routes(config);
    deliveries::routes(config);
    holidays::routes(config);
    fair_share::routes(config);
    decisions::routes(config);
    sign_offs::routes(config);
    what_if::routes(config);
    why::routes(config);
}

/// What is said of products and formulas: what is in them and what they cost.
fn statements(config: &mut ServiceConfig<'_>) {
    allergens::routes(config);
    labels::routes(config);
    regulations::routes(config);
    formula_views::routes(config);
    cost::routes(config);
    cost_changes::routes(config);
    money_flow::routes(config);
    actual_costs::routes(config);
    workbench::routes(config);
    workbook::routes(config);
}

/// Adds the routes of the sheets that hands work by.
fn work_sheets(config: &mut ServiceConfig<'_>) {
    weigh_out::routes(config);
    pick_list::routes(config);
    fridge::routes(config);
    bake_sheet::routes(config);
    bench_sheet::routes(config);
    day_board::routes(config);
    drop_sheet::routes(config);
    mix_sheet::routes(config);
    prep_sheet::routes(config);
}

/// Routes for whoever runs it, and of who may come in.
fn running(config: &mut ServiceConfig<'_>) {
    health::routes(config);
    metrics::routes(config);
    tokens::routes(config);
    webhooks::routes(config);
    sign_in::routes(config);
}
