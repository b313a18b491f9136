//! The label of a lot or tub: for a roll of labels, or several on a sheet of A4.

use super::{page::document, symbol};
use crate::messages::Words;
use crate::wire::lot_label::LotLabelView;
use maud::{Markup, html};

/// How labels are cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LabelSize {
    /// One below the other on a roll, 100 mm by 62 mm.
    Roll,
    /// Eight on a sheet of A4.
    Sheet,
}

/// Draws so many copies of a label.
#[must_use]
pub fn draw(words: Words, view: &LotLabelView, size: LabelSize, copies: usize) -> Markup {
    let class = match size {
        LabelSize::Roll => "labels roll",
        LabelSize::Sheet => "labels",
    };
    let body = html! {
        main class=(class) { @for _ in 0..copies { (one(words, view)) } }
    };
    document(words, &format!("{} {}", words.say("lot-label-title"), view.lot), &body)
}

fn one(words: Words, view: &LotLabelView) -> Markup {
    html! {
        section.label {
            @if let Some(symbol) = symbol::draw(&view.code) { (symbol) }
            h1 { (view.name) }
            p.lot { (words.say("lot-label-lot")) " " b { (view.lot) } }
            @if let Some(stop) = &view.stop { p.loud { (words.say("lot-label-stop")) " " (stop.told(words)) } }
            p {
                @match &view.made_at {
                    Some(at) => { (words.say("lot-label-made")) " " b { (words.moment(at)) } }
                    None => { (words.say("lot-label-received")) " " b { (words.year_day(&view.received)) } }
                }
            }
            p.until {
                @if let Some(date) = &view.use_by {
                    (words.say("lot-label-use-by")) " " b { (words.year_day(date)) }
                } @else if let Some(date) = &view.best_before {
                    (words.say("lot-label-best-before")) " " b { (words.year_day(date)) }
                } @else if view.use_until.is_none() {
                    (words.say("lot-label-no-date"))
                }
                @if let Some(end) = &view.use_until {
                    " " span { (words.say("lot-label-usable-until")) " " b { (words.moment(&end.until)) } }
                }
            }
            @if let Some(life) = &view.opened_life {
                p.opened {
                    (words.say("lot-label-once-opened")) " " b { (life.told(words)) } " · " (words.say("lot-label-opened-on")) " "
                    @match &view.opened_at {
                        Some(at) => b { (words.moment(at)) },
                        None => span.write {},
                    }
                }
            }
            p.allergens { b { (view.allergens.statement.told(words)) } }
            @for caution in &view.caution_messages { p.caution { (words.say(caution)) } }
        }
    }
}
