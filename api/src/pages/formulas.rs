//! Formulas: both views side by side, other sizes, versions beside each other, the tree.

use super::{Page, Visit, frame::wide, refusal};
use crate::{
    document::Fault,
    messages::Words,
    service::{Refusal, plan, workbench::bench},
    sheets::{
        chart::{Bar, HALF, bars_within, hundredths, longest},
        texts::statements::nutrient,
        tree::tree,
    },
    state::State,
    wire::{
        amount::QuantityView,
        formula_tree::FormulaTreeView,
        formula_views::SharePercentView,
        workbench::{BenchQuery, BenchView, FormulaVersionView, ScaledView, bench_view},
    },
};
use actix_web::{HttpResponse, get, web};
use maud::{Markup, html};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_formulas_page).service(show_formula);
}

/// At what size a formula is looked at, as a form sends it: empty fields say nothing.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(default)]
struct SizeQuery {
    /// The service date; today if empty.
    #[param(example = "2026-06-12")]
    on: String,
    /// `grams`, `flour`, `pieces` or `largest`; empty for no size.
    #[param(example = "grams")]
    to: String,
    /// How much or how many of it.
    #[param(example = "10000")]
    amount: String,
    /// The product whose pieces are meant.
    product: String,
}

impl SizeQuery {
    fn bench(&self) -> BenchQuery {
        let said = |text: &str| (!text.trim().is_empty()).then(|| text.trim().to_owned());
        let amount = said(&self.amount.replace(',', "."));
        let of = |word: &str| amount.clone().filter(|_| self.to == word);
        BenchQuery {
            on: said(&self.on),
            grams: of("grams"),
            flour_grams: of("flour"),
            pieces: of("pieces").map(|text| text.parse().unwrap_or(0)),
            product: said(&self.product).filter(|_| self.to == "pieces"),
            largest: (self.to == "largest").then_some(true),
            regulation: None,
            language: None,
        }
    }
}

/// Lists all formulas on a page.
///
/// Each leads to its workbench.
#[utoipa::path(
    tag = "statements",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/formulas")]
async fn list_formulas_page(visit: Visit) -> HttpResponse {
    visit
        .show(|state, words| {
            let morning = plan::load_reference(state)?;
            let mut names: Vec<(String, String, usize)> = Vec::new();
            for formula in &morning.bakery.lists().formulas {
                let (code, name) = (formula.code.to_string(), formula.name.clone());
                match names.iter_mut().find(|(known, ..)| *known == code) {
                    Some((.., versions)) => *versions += 1,
                    None => names.push((code, name, 1)),
                }
            }
            Ok(Page { title: words.say("formulas-title"), main: list(words, &names) })
        })
        .await
}

fn list(words: Words, names: &[(String, String, usize)]) -> Markup {
    html! {
        (wide(&words.say("formulas-title"), &html! {
            table {
                thead { tr { th { (words.say("formulas-name")) } th { (words.say("formulas-code")) } th.number { (words.say("formulas-versions")) } } }
                tbody {
                    @for (code, name, versions) in names {
                        tr {
                            td { a href={ "/formulas/" (code) } { (name) } }
                            td { (code) }
                            td.number { (versions) }
                        }
                    }
                }
            }
        }))
    }
}

/// Shows a formula: in the bowl and overall, at another size, its versions, its tree.
///
/// By the same workbench as the API; what a size asks for that cannot be is said on the page.
#[utoipa::path(
    tag = "statements",
    params(("code" = String, Path, description = "Its code.", example = "country"), SizeQuery),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/formulas/{code}")]
async fn show_formula(
    visit: Visit,
    code: web::Path<String>,
    query: web::Query<SizeQuery>,
) -> HttpResponse {
    let (code, query) = (code.into_inner(), query.into_inner());
    visit
        .show(move |state, words| {
            let (view, faults) = laid(state, &code, &query)?;
            let products = products_of(state, &code)?;
            let title = shown(&view).map_or_else(|| code.clone(), |version| version.name.clone());
            let main = draw(words, (&view, &query), (&products, &faults));
            Ok(Page { title, main })
        })
        .await
}

/// The bench at the wanted size, or without it and with what is not right in it.
fn laid(state: &State, code: &str, query: &SizeQuery) -> Result<(BenchView, Vec<Fault>), Refusal> {
    let view = |query: &BenchQuery| {
        let asked = query.read(code.to_owned(), None).map_err(Refusal::Body)?;
        Ok::<_, Refusal>(bench_view(&asked.formula, &bench(state, &asked)?))
    };
    let full = query.bench();
    let plain = BenchQuery::default();
    match view(&full) {
        Ok(found) => Ok((found, Vec::new())),
        Err(Refusal::Body(faults)) => Ok((view(&plain)?, faults)),
        Err(Refusal::Stated { slug: kind @ "not-found", detail }) => {
            let whole = Fault { pointer: String::new(), kind, detail };
            Ok((view(&plain)?, vec![whole]))
        }
        Err(other) => Err(other),
    }
}

/// Products that a gram of the formula goes into: code and name.
fn products_of(state: &State, code: &str) -> Result<Vec<(String, String)>, Refusal> {
    let morning = plan::load_reference(state)?;
    let bakery = &morning.bakery;
    let recipes = bakery.recipes(morning.today());
    let item = bakery.index().item(code);
    let products = (0_u32..).zip(&bakery.lists().products);
    let of = products.filter(|(at, _)| item.is_some() && recipes.dough_of(*at) == item);
    Ok(of.map(|(_, product)| (product.code.to_string(), product.name.clone())).collect())
}

/// The version that one looks at: the one in force.
fn shown(view: &BenchView) -> Option<&FormulaVersionView> {
    view.versions.iter().find(|version| version.in_force).or(view.versions.last())
}

fn draw(
    words: Words,
    (view, query): (&BenchView, &SizeQuery),
    (products, faults): (&[(String, String)], &[Fault]),
) -> Markup {
    let sheet = format!("/v1/formulas/{}/workbench?on={}", view.formula, view.on);
    html! {
        p.hint { (words.tell("formulas-on", &[("day", words.day_of(&view.on).into())])) }
        @if let Some(version) = shown(view) {
            @if !version.warnings.is_empty() {
                ul { @for one in &version.warnings { li { b { (one.words.told(words)) } " (" (one.source.told(words)) ")" } } }
            }
            (views(words, version, view.tree.as_ref()))
        }
        (size_form(words, query, products, faults))
        @if let Some(scaled) = &view.scaled { (scaled_section(words, scaled)) }
        @if let Some(root) = &view.tree { (tree_section(words, root)) }
        (versions(words, view))
        p.links { a href=(sheet) { (words.say("formulas-print")) } }
    }
}

fn views(words: Words, version: &FormulaVersionView, tree: Option<&FormulaTreeView>) -> Markup {
    let drawn = |list| shares(words, list, tree);
    let (bowl, overall) = (drawn(&version.final_mix), drawn(&version.overall));
    let scale = (HALF, longest(&bowl).max(longest(&overall)));
    let (bowl_title, overall_title) = (words.say("formulas-bowl"), words.say("formulas-overall"));
    html! {
        div.beside {
            section { h2 { (bowl_title) } (bars_within("bowl", &bowl_title, &bowl, scale)) }
            section { h2 { (overall_title) } (bars_within("overall", &overall_title, &overall, scale)) }
        }
    }
}

/// What people call an item that is somewhere in a formula; its code if it is not.
fn called<'a>(item: &'a str, tree: Option<&'a FormulaTreeView>) -> &'a str {
    fn find<'a>(item: &str, branch: &'a FormulaTreeView) -> Option<&'a str> {
        let own = (branch.item == item).then_some(branch.name.as_str());
        own.or_else(|| branch.branches.iter().find_map(|branch| find(item, branch)))
    }
    tree.and_then(|tree| find(item, tree)).unwrap_or(item)
}

fn shares(words: Words, list: &[SharePercentView], tree: Option<&FormulaTreeView>) -> Vec<Bar> {
    let bar = |share: &SharePercentView| {
        let name = called(&share.item, tree).to_owned();
        Bar { name, length: hundredths(&share.percent), words: words.digits(&share.percent) }
    };
    list.iter().map(bar).collect()
}

/// Ways to say a size.
const SIZES: [&str; 4] = ["grams", "flour", "pieces", "largest"];

fn size_form(
    words: Words,
    query: &SizeQuery,
    products: &[(String, String)],
    faults: &[Fault],
) -> Markup {
    let name = |word: &str| words.say(&format!("formulas-size-{word}"));
    html! {
        section #size {
            h2 { (words.say("formulas-size")) }
            @for Fault { kind, detail, .. } in faults {
                p.fault role="alert" { (refusal::said(words, kind, detail)) }
            }
            form method="get" action="#size" {
                div.field {
                    label for="to" { (words.say("formulas-size-to")) }
                    select #to name="to" {
                        @for word in SIZES { option value=(word) selected[query.to == word] { (name(word)) } }
                    }
                }
                div.field {
                    label for="amount" { (words.say("formulas-amount")) }
                    p.hint #amount-hint { (words.say("formulas-amount-hint")) }
                    input #amount name="amount" inputmode="decimal" value=(query.amount) aria-describedby="amount-hint";
                }
                @if !products.is_empty() {
                    div.field {
                        label for="product" { (words.say("formulas-pieces-of")) }
                        select #product name="product" {
                            @for (code, name) in products { option value=(code) selected[query.product == *code] { (name) } }
                        }
                    }
                }
                input type="hidden" name="on" value=(query.on);
                button type="submit" { (words.say("formulas-scale")) }
            }
        }
    }
}

fn scaled_section(words: Words, scaled: &ScaledView) -> Markup {
    html! {
        section {
            h2 { (words.say("formulas-scaled")) }
            @if !scaled.ends_first.is_empty() {
                p { (words.say("formulas-ends-first")) " " b { (scaled.ends_first.join(", ")) } }
            }
            @for batch in &scaled.batches {
                @for load in &batch.loads {
                    (wide(&batch.formula, &html! {
                        table {
                            caption {
                                (batch.formula) ", "
                                (words.tell("formulas-loads", &[("count", load.loads.into())])) ", "
                                (amount(words, &load.mass))
                            }
                            thead { tr { th { (words.say("formulas-item")) } th.number { (words.say("formulas-weigh")) } th.number { (words.say("formulas-exact")) } } }
                            tbody {
                                @for line in &load.lines {
                                    tr { td { (line.item) } td.number { b { (amount(words, &line.weigh)) } } td.number { (words.digits(&line.exact.amount)) } }
                                }
                            }
                        }
                    }))
                }
            }
        }
    }
}

fn amount(words: Words, quantity: &QuantityView) -> String {
    words.amount(&quantity.amount, quantity.unit)
}

fn tree_section(words: Words, root: &FormulaTreeView) -> Markup {
    let title = words.say("formulas-tree");
    let said = |branch: &FormulaTreeView| {
        let kind = words.find(&format!("formulas-tree-{}", branch.kind), &[]).unwrap_or_default();
        let parts = branch.parts.as_deref().map(|parts| words.digits(parts)).unwrap_or_default();
        [parts, kind].join(" ").trim().to_owned()
    };
    html! {
        section {
            h2 { (title) }
            div.wide.drawing tabindex="0" role="region" aria-label=(title) { (tree("tree", &title, root, &said)) }
        }
    }
}

/// A row of the comparison: its message, and what stands in it for a version.
type Row<'a> = (&'a str, &'a dyn Fn(&FormulaVersionView) -> String);

fn versions(words: Words, view: &BenchView) -> Markup {
    let percent = |figure: &Option<String>| {
        figure
            .as_ref()
            .map_or_else(|| "–".to_owned(), |figure| format!("{} %", words.digits(figure)))
    };
    let cost = |one: &FormulaVersionView| one.cost_words(&view.currency).told(words);
    let rows: [Row<'_>; 7] = [
        ("formulas-cost", &cost),
        ("formulas-hydration", &|one| percent(&one.hydration)),
        ("formulas-hydration-wet", &|one| percent(&one.hydration_wet)),
        ("formulas-salt", &|one| percent(&one.salt)),
        ("formulas-prefermented", &|one| percent(&one.prefermented)),
        ("formulas-sum", &|one| words.digits(&one.sum)),
        ("formulas-allergens", &|one| one.allergens.statement.told(words)),
    ];
    let from = |version: &FormulaVersionView| {
        let day = version.valid_from.as_deref().map(|day| words.day_of(day));
        let day = day.unwrap_or_else(|| words.say("formulas-always"));
        if version.in_force { format!("{day} · {}", words.say("formulas-in-force")) } else { day }
    };
    let title = words.say("formulas-compared");
    html! {
        section {
            h2 { (title) }
            (wide(&title, &html! {
                table {
                    thead { tr { td {} @for version in &view.versions { th scope="col" { (from(version)) } } } }
                    tbody {
                        @for (name, cell) in rows {
                            tr { th scope="row" { (words.say(name)) } @for version in &view.versions { td { (cell(version)) } } }
                        }
                        tr { th scope="row" colspan=(view.versions.len() + 1) { (words.say("formulas-nutrition")) } }
                        @for (at, line) in view.versions.first().map(|one| &one.nutrition).into_iter().flatten().enumerate() {
                            tr {
                                th scope="row" { (nutrient(words, line.nutrient)) }
                                @for version in &view.versions {
                                    td { @if let Some(line) = version.nutrition.get(at) { (line.words.told(words)) } }
                                }
                            }
                        }
                    }
                }
            }))
        }
    }
}
