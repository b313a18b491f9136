//! The label of a lot or tub: for a roll of labels, or several on a sheet of A4.

use super::{
    page::document,
    symbol,
    texts::{self, label as word},
};
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
pub fn draw(view: &LotLabelView, size: LabelSize, copies: usize) -> Markup {
    let class = match size {
        LabelSize::Roll => "labels roll",
        LabelSize::Sheet => "labels",
    };
    let body = html! {
        main class=(class) { @for _ in 0..copies { (one(view)) } }
    };
    document(&format!("{} {}", word::TITLE, view.lot), &body)
}

fn one(view: &LotLabelView) -> Markup {
    html! {
        section.label {
            @if let Some(symbol) = symbol::draw(&view.code) { (symbol) }
            h1 { (view.name) }
            p.lot { (word::LOT) " " b { (view.lot) } }
            @if let Some(stop) = &view.stop { p.loud { (word::STOP) " " (stop) } }
            p {
                @match &view.made_at {
                    Some(at) => { (word::MADE) " " b { (texts::moment(at)) } }
                    None => { (word::RECEIVED) " " b { (texts::full_day(&view.received)) } }
                }
            }
            p.until {
                @if let Some(date) = &view.use_by {
                    (word::USE_BY) " " b { (texts::full_day(date)) }
                } @else if let Some(date) = &view.best_before {
                    (word::BEST_BEFORE) " " b { (texts::full_day(date)) }
                } @else if view.use_until.is_none() {
                    (word::NO_DATE)
                }
                @if let Some(end) = &view.use_until {
                    " " span { (word::USABLE_UNTIL) " " b { (texts::moment(&end.until)) } }
                }
            }
            @if let Some(life) = &view.opened_life {
                p.opened {
                    (word::ONCE_OPENED) " " b { (life) } " · " (word::OPENED_ON) " "
                    @match &view.opened_at {
                        Some(at) => b { (texts::moment(at)) },
                        None => span.write {},
                    }
                }
            }
            p.allergens { b { (view.allergens.statement) } }
            @for caution in &view.cautions { p.caution { (caution) } }
        }
    }
}
