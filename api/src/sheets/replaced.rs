//! What a substitute changes, on paper, with a line to sign.

use super::{
    page::{Stamp, document, foot, said, stamp},
    texts,
};
use crate::messages::{Words, told};
use crate::wire::sign_off::{AddedView, ReplacedView};
use maud::{Markup, html};
use std::collections::BTreeSet;

/// Draws what a substitute changes.
#[must_use]
pub fn draw(words: Words, view: &ReplacedView) -> Markup {
    let substitute = view.substitute.told(words);
    let title = format!("{} {substitute}", words.say("replaced-title"));
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("replaced-title"),
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide {
            (stamp(&own, None))
            header {
                h1 { (substitute) }
                p.load { (words.say("replaced-in")) " " (told(words, &view.used_in).join(", ")) ", " (words.digits(&view.share)) " % " (words.say("replaced-of-each-line-for")) " " (words.day_of(&view.service_date)) }
            }
            p { b { (words.say("replaced-not-yet")) } }
            (brings(words, view))
            section {
                h2 { (words.say("replaced-products")) }
                table.lines.short {
                    thead { tr { th { (words.say("sheet-product")) } th { (words.say("replaced-contains-also")) } th { (words.say("replaced-may-contain-also")) } th { (words.say("sheet-not-known")) } } }
                    tbody { @for one in &view.products { (product(words, one)) } }
                }
                @if view.label_change { p.loud { (words.say("replaced-labels")) } }
                @else { p { (words.say("replaced-same-labels")) } }
            }
            section {
                h2 { (words.say("replaced-excluded")) }
                @if view.excluded.is_empty() { p { (words.say("replaced-nobody")) } }
                ul.notes { @for one in &view.excluded { li { b { (one.name) } ": " (words.say("replaced-no")) " " (one.product.told(words)) } } }
            }
            section {
                h2 { (words.say("replaced-stock")) }
                table.lines.short {
                    thead { tr { th { (words.say("sheet-ingredient")) } th.sum { (words.say("replaced-needed")) } th.sum { (words.say("replaced-then")) } th.sum { (words.say("replaced-short")) } th.sum { (words.say("replaced-then")) } } }
                    tbody {
                        @for one in &view.items {
                            tr {
                                td { b { (one.item.told(words)) } }
                                td { (said(words, &one.needed)) } td { (said(words, &one.needed_then)) }
                                td { (said(words, &one.short)) } td { (said(words, &one.short_then)) }
                            }
                        }
                    }
                }
                @for made in &view.released { p.loud { (texts::released_keep(words, &made.told(words))) } }
            }
            p.sums { span { (words.say("replaced-signed-blank")) } span { (words.say("sheet-at-blank")) } span { (words.say("sheet-why-blank")) } }
            (foot(words, &[words.say("caution-label")]))
        }
    };
    document(words, &title, &body)
}

fn brings(words: Words, view: &ReplacedView) -> Markup {
    let adds = &view.adds;
    let not_known = view.products.iter().flat_map(|one| told(words, &one.not_known));
    let not_known: BTreeSet<String> = not_known.collect();
    let not_known: Vec<String> = not_known.into_iter().collect();
    html! {
        @if !adds.contains.is_empty() { p.loud { (words.say("replaced-brings-in")) " " (words.allergens(&adds.contains)) } }
        @if !adds.may_contain.is_empty() { p.loud { (words.say("replaced-may-bring-in")) " " (words.allergens(&adds.may_contain)) } }
        @if !not_known.is_empty() {
            p.loud { (words.say("replaced-allergens-not-known")) " " (not_known.join(", ")) ". " (words.say("replaced-do-not-sell-as-free-from")) }
        }
    }
}

fn product(words: Words, one: &AddedView) -> Markup {
    // What nobody has read may hold anything: unknown is never none.
    let none = if one.not_known.is_empty() { "-" } else { "?" };
    let or_none = |said: String| if said.is_empty() { none.to_owned() } else { said };
    html! {
        tr {
            td { b { (one.name) } }
            td { (or_none(words.allergens(&one.contains))) }
            td { (or_none(words.allergens(&one.may_contain))) }
            td { (or_none(told(words, &one.not_known).join(", "))) }
        }
    }
}
