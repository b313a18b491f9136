//! Products: what is in them, what a label would say, what they nourish and cost.

use super::{Page, Visit, frame::wide};
use crate::{
    messages::{Words, told},
    service::{
        Refusal,
        plan::{self, Horizon},
    },
    sheets::texts::statements::nutrient,
    state::State,
    wire::{
        allergens::{AllergensView, NamedAllergenView, ProductAllergensView, product_allergens},
        cost::{ProductCostView, cost},
        label::{LabelView, label},
        nutrition::NutritionView,
    },
};
use actix_web::{HttpResponse, get, web};
use domain::allergens::{Swaps, allergens};
use maud::{Markup, html};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_products_page).service(show_product);
}

/// Lists all products on a page, with what is in them.
///
/// By the records: contains, may contain, not known; never "free from".
#[utoipa::path(
    tag = "statements",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/products")]
async fn list_products_page(visit: Visit) -> HttpResponse {
    visit
        .show(|state, words| {
            let morning = plan::load_reference(state)?;
            let recipes = morning.bakery.recipes(morning.today());
            let products = (0_u32..).zip(&morning.bakery.lists().products);
            let lines = products.map(|(at, product)| {
                let found = allergens(&morning.bakery, recipes, at, &Swaps::new());
                (
                    product.code.to_string(),
                    product.name.clone(),
                    AllergensView::new(&morning.bakery, &found),
                )
            });
            let main = list(words, &lines.collect::<Vec<_>>());
            Ok(Page { title: words.say("products-title"), main })
        })
        .await
}

fn list(words: Words, lines: &[(String, String, AllergensView)]) -> Markup {
    let title = words.say("products-title");
    html! {
        (wide(&title, &html! {
            table {
                thead { tr { th { (words.say("products-name")) } th { (words.say("products-contains")) } th { (words.say("products-may-contain")) } th { (words.say("products-not-known")) } } }
                tbody {
                    @for (code, name, found) in lines {
                        tr {
                            td { a href={ "/products/" (code) } { (name) } }
                            td { b { (words.allergens(&found.contains)) } }
                            td { (words.allergens(&found.may_contain)) }
                            td { @if !found.unknown.is_empty() { b { (told(words, &found.unknown).join(", ")) } } }
                        }
                    }
                }
            }
        }))
        p.links {
            a href="/v1/allergen-matrix" { (words.say("products-matrix")) }
            a href="/v1/allergen-matrix.csv" { (words.say("products-matrix-csv")) }
        }
    }
}

/// What is shown of one product.
struct Product {
    allergens: ProductAllergensView,
    label: LabelView,
    /// The standard cost of the first planned date that makes it.
    cost: Option<ProductCostView>,
}

impl Product {
    fn of(state: &State, code: &str) -> Result<Self, Refusal> {
        let morning = plan::load(state, Horizon::Usual)?;
        let at = morning.product(code)?;
        let mut dates = morning.plan.dates.iter();
        let cost = dates.find_map(|&date| cost(&morning, at, date).transpose()).transpose()?;
        let allergens = product_allergens(&morning, code, None)?;
        Ok(Self { allergens, label: label(&morning, code, None)?, cost })
    }
}

/// Shows a product: allergens, the draft of its label, nutrition and cost.
///
/// By the same statements as the API, dated and versioned; a competent person decides.
#[utoipa::path(
    tag = "statements",
    params(("code" = String, Path, description = "Its code.", example = "sugar-bun")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/products/{code}")]
async fn show_product(visit: Visit, code: web::Path<String>) -> HttpResponse {
    let code = code.into_inner();
    visit
        .show(move |state, words| {
            let product = Product::of(state, &code)?;
            Ok(Page { title: product.allergens.name.clone(), main: draw(words, &product) })
        })
        .await
}

fn draw(words: Words, product: &Product) -> Markup {
    let Product { allergens, label, cost } = product;
    let version = [
        ("version", allergens.version.to_string().into()),
        ("day", words.day_of(&allergens.as_of).into()),
    ];
    let path = format!("/v1/products/{}", allergens.product);
    html! {
        p.hint { (words.tell("products-version", &version)) }
        p.loud { (words.say("statement-defer")) }
        (allergens_section(words, allergens))
        (label_section(words, label))
        (nutrition_section(words, &label.nutrition))
        @if let Some(cost) = cost { (cost_section(words, cost)) }
        p.links {
            a href={ (path) "/allergens" } { (words.say("products-print-allergens")) }
            a href={ (path) "/allergens.csv" } { (words.say("products-csv")) }
            a href={ (path) "/label" } { (words.say("products-print-label")) }
        }
    }
}

fn allergens_section(words: Words, view: &ProductAllergensView) -> Markup {
    html! {
        section {
            h2 { (words.say("products-allergens")) }
            @if !view.unknown.is_empty() {
                p.loud { (words.say("products-not-known")) ": " (told(words, &view.unknown).join(", ")) }
            }
            @for list in &view.by_regulation {
                h3 { (list.name) }
                p { (words.say("products-contains")) ": " b { (names(words, &list.contains)) } }
                p { (words.say("products-may-contain")) ": " (names(words, &list.may_contain)) }
                @if !list.unlisted.is_empty() {
                    p { (words.say("products-unlisted")) ": " (words.allergens(&list.unlisted)) }
                }
            }
            @for one in &view.amounts { p { (one.words.told(words)) } }
        }
    }
}

fn names(words: Words, names: &[NamedAllergenView]) -> String {
    let names: Vec<String> = names.iter().map(|name| words.allergen(&name.kind)).collect();
    if names.is_empty() { words.say("products-nothing-in-records") } else { names.join(", ") }
}

fn label_section(words: Words, view: &LabelView) -> Markup {
    html! {
        section {
            h2 { (words.say("products-label")) }
            p.loud { (words.say("statement-draft")) }
            p lang="en" {
                @for segment in &view.segments {
                    @if segment.allergen { b { (segment.text) } } @else { (segment.text) }
                }
                "."
            }
            @if let Some(contains) = &view.contains { p lang="en" { b { (contains) } } }
            @if !view.quantities.is_empty() { p lang="en" { (view.quantities.join("; ")) } }
            @if !view.notes.is_empty() {
                details {
                    summary { (words.say("products-look-at")) }
                    ul { @for note in &view.notes { li { (note.told(words)) } } }
                }
            }
        }
    }
}

fn nutrition_section(words: Words, view: &NutritionView) -> Markup {
    let (first, title) = match &view.per_100g {
        Some(lines) => (lines, "products-per-100g"),
        None => (&view.per_100g_before_baking, "products-per-100g-raw"),
    };
    let heading = words.say("products-nutrition");
    html! {
        section {
            h2 { (heading) }
            (wide(&heading, &html! {
                table {
                    thead { tr { td {} th.number { (words.say(title)) } th.number { (words.say("products-per-piece")) } } }
                    tbody {
                        @for (line, piece) in first.iter().zip(&view.per_piece) {
                            tr { th scope="row" { (nutrient(words, line.nutrient)) } td.number { (line.words.told(words)) } td.number { (piece.words.told(words)) } }
                        }
                    }
                }
            }))
        }
    }
}

fn cost_section(words: Words, view: &ProductCostView) -> Markup {
    let title = words.say("products-cost");
    html! {
        section {
            h2 { (title) }
            p {
                (words.tell("products-cost-of", &[("day", words.day_of(&view.service_date).into())])) ": "
                b { (view.printed.told(words)) }
            }
            (wide(&title, &html! {
                table {
                    thead { tr { th { (words.say("products-part")) } th.number { (words.say("products-of-a-piece")) } } }
                    tbody {
                        @for part in &view.parts {
                            tr {
                                td { (part.of) @if !part.missing.is_empty() { " " b { (words.say("products-no-price")) ": " (part.missing.join(", ")) } } }
                                td.number { (words.digits(&part.cost.printed)) }
                            }
                        }
                    }
                }
            }))
            @if let Some(labour) = &view.labour {
                p { (words.say("products-labour")) ": " b { (labour.printed.told(words)) } }
            }
        }
    }
}
