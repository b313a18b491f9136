//! The index of all pages, by the job of who looks at it.

use crate::{access, caller::Caller, messages::Words};
use actix_web::http::Method;
use maud::{Markup, html};

/// A page of the index.
struct Place {
    /// The message that names its group; places of a group stand together.
    group: &'static str,
    /// The message that names it.
    name: &'static str,
    /// Its address; pages below it belong to it.
    path: &'static str,
    /// The tag of its operation: who may not read that is not shown it.
    tag: &'static str,
}

const fn place(
    group: &'static str,
    name: &'static str,
    path: &'static str,
    tag: &'static str,
) -> Place {
    Place { group, name, path, tag }
}

/// Every page, in the order in which a day meets them.
const PLACES: &[Place] = &[
    place("menu-day", "place-today", "/today", "sheets"),
    place("menu-day", "place-timeline", "/timeline", "sheets"),
    place("menu-day", "place-weigh-out", "/weigh-out", "sheets"),
    place("menu-orders", "place-orders", "/orders", "orders"),
    place("menu-purchase", "place-desk", "/desk", "purchase"),
    place("menu-purchase", "suppliers-title", "/suppliers", "purchase"),
    place("menu-stock", "place-stock", "/stock", "stock"),
    place("menu-stock", "place-counts", "/counts", "stock"),
    place("menu-stock", "place-receiving", "/receiving", "stock"),
    place("menu-recipes", "formulas-title", "/formulas", "statements"),
    place("menu-recipes", "products-title", "/products", "statements"),
    place("menu-recipes", "costs-title", "/costs", "statements"),
    place("menu-house", "settings-title", "/settings", "tokens"),
];

/// Draws the index; the page that is open is marked.
pub(super) fn draw(words: Words, caller: &Caller, path: &str) -> Markup {
    let open = |place: &&Place| access::allows(caller.job, &Method::GET, place.tag, place.name);
    let places: Vec<&Place> = PLACES.iter().filter(open).collect();
    html! {
        nav #menu aria-label=(words.say("menu-label")) {
            @for group in places.chunk_by(|one, next| one.group == next.group) {
                @if let Some(first) = group.first() { h2 { (words.say(first.group)) } }
                ul { @for place in group { li { (link(words, place, path)) } } }
            }
        }
    }
}

fn link(words: Words, place: &Place, path: &str) -> Markup {
    let below = path.strip_prefix(place.path);
    let current = below.is_some_and(|rest| rest.is_empty() || rest.starts_with('/'));
    html! {
        a href=(place.path) aria-current=[current.then_some("page")] { (words.say(place.name)) }
    }
}
