//! What a substitute changes, on paper, with a line to sign.

use super::{
    page::{Stamp, document, foot, said, stamp},
    texts::{self, word},
};
use crate::wire::sign_off::{AddedView, ReplacedView};
use maud::{Markup, html};

/// Draws what a substitute changes.
#[must_use]
pub fn draw(view: &ReplacedView) -> Markup {
    let title = format!("{} {}", word::REPLACED, view.substitute);
    let own = Stamp {
        bakery: &view.bakery,
        title: word::REPLACED,
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide {
            (stamp(&own, None))
            header {
                h1 { (view.substitute) }
                p.load { "in " (view.used_in.join(", ")) ", " (view.share) " % of each line, for " (texts::day(&view.service_date)) }
            }
            p { b { (word::REPLACED_NOT_YET) } }
            (brings(view))
            section {
                h2 { (word::REPLACED_PRODUCTS) }
                table.lines.short {
                    thead { tr { th { "product" } th { "contains also" } th { "may contain also" } th { "not known" } } }
                    tbody { @for one in &view.products { (product(one)) } }
                }
                @if view.label_change { p.loud { (word::REPLACED_LABELS) } }
                @else { p { (word::REPLACED_SAME_LABELS) } }
            }
            section {
                h2 { (word::REPLACED_EXCLUDED) }
                @if view.excluded.is_empty() { p { (word::REPLACED_NOBODY) } }
                ul.notes { @for one in &view.excluded { li { b { (one.name) } ": no " (one.product) } } }
            }
            section {
                h2 { (word::REPLACED_STOCK) }
                table.lines.short {
                    thead { tr { th { (word::INGREDIENT) } th.sum { "needed" } th.sum { "then" } th.sum { "short" } th.sum { "then" } } }
                    tbody {
                        @for one in &view.items {
                            tr {
                                td { b { (one.item) } }
                                td { (said(&one.needed)) } td { (said(&one.needed_then)) }
                                td { (said(&one.short)) } td { (said(&one.short_then)) }
                            }
                        }
                    }
                }
                @for code in &view.released { p.loud { (texts::released_keep(code)) } }
            }
            p.sums { span { "signed by ______________________" } span { "at __________" } span { "why ______________________________" } }
            (foot(&[texts::check_the_label()]))
        }
    };
    document(&title, &body)
}

fn brings(view: &ReplacedView) -> Markup {
    let adds = &view.adds;
    html! {
        @if !adds.contains.is_empty() { p.loud { "BRINGS IN " (adds.contains.join(", ")) } }
        @if !adds.may_contain.is_empty() { p.loud { "MAY BRING IN " (adds.may_contain.join(", ")) } }
        @if !adds.not_known.is_empty() {
            p.loud { "ALLERGENS NOT KNOWN: " (adds.not_known.join(", ")) ". Do not sell as free from." }
        }
    }
}

fn product(one: &AddedView) -> Markup {
    let words = |list: &[String]| if list.is_empty() { "-".to_owned() } else { list.join(", ") };
    html! {
        tr {
            td { b { (one.name) } }
            td { (words(&one.contains)) }
            td { (words(&one.may_contain)) }
            td { (words(&one.not_known)) }
        }
    }
}
