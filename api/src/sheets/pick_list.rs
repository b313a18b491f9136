//! The pick list on paper: what to pull from the cold, what to fetch from the stores.

use super::{
    page::{Stamp, allergens, document, foot, lots, notes, parts, said, stamp, widths},
    texts,
};
use crate::messages::Words;
use crate::wire::pick_list::{PickLineView, PickListView};
use maud::{Markup, html};

/// Draws the pick list of a work date: two sheets.
#[must_use]
pub fn draw(words: Words, view: &PickListView) -> Markup {
    let title = format!("{} {}", words.say("sheet-pick-list"), view.work_date);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("sheet-pick-list"),
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet {
            (stamp(&own, Some((1, 2))))
            header { h1 { (words.say("pick-list-pull")) } }
            @for line in &view.cannot {
                p.banner { b { (line.name) " " (words.amount(&line.printed.amount, line.printed.unit)) ": " (line.stop.told(words)) } }
            }
            @if view.pull.is_empty() { p { (words.say("pick-list-nothing-to-pull")) } } @else { (pull(words, &own, &view.pull)) }
            (notes(words, &view.notes))
            (foot(words, &[words.say("caution-label"), words.say("caution-freezing")]))
        }
        main.sheet {
            (stamp(&own, Some((2, 2))))
            header { h1 { (words.say("pick-list-stores")) } }
            @if view.stores.is_empty() { p { (words.say("pick-list-nothing-in-stores")) } }
            @for lines in view.stores.chunk_by(|a, b| a.place == b.place) {
                (stores(words, &own, lines))
            }
            (foot(words, &[words.say("caution-label"), words.say("caution-dust")]))
        }
    };
    document(words, &title, &body)
}

fn pull(words: Words, own: &Stamp<'_>, lines: &[PickLineView]) -> Markup {
    html! {
           table.lines.pick {
    (widths(&["tick", "by", "item", "fetch", "place", "lots", "used"]))
               thead {
                   tr.again {
                       th colspan="7" {
                           (texts::again(words, &[&words.say("pick-list-pull")], own.work_date, own.plan_revision))
                       }
                   }
                   tr {
                       th.tick {} th.by { (words.say("sheet-by")) } th { (words.say("sheet-ingredient")) }
                       th.fetch { (words.say("pick-list-fetch")) } th.place { (words.say("pick-list-from-to")) } th.lots { (words.say("sheet-lot-last-day")) }
                       th.used { (words.say("sheet-lot-used")) }
                   }
               }
               tbody {
                   @for line in lines {
                       tr {
                           td.tick { span.box {} }
                           td.by { (words.moment_on(own.work_date, &line.by)) }
                           td.item {
                               (item(words, line))
                               @if let Some(minutes) = line.thaw_minutes {
                                   p.remark { (texts::thaw(words, minutes)) }
                               }
                               @if let Some(minutes) = line.temper_minutes {
                                   p.remark { (texts::temper(words, minutes)) }
                               }
                           }
                           td.fetch { (parts(words, &line.fetch)) }
                           td.place {
                               p { (line.place_name.as_deref().unwrap_or("?")) }
                               @if let Some(to) = &line.to { p { "> " (to) } }
                           }
                           td.lots { (lot_cell(words, line)) }
                           td.blank {}
                       }
                   }
               }
           }
       }
}

fn stores(words: Words, own: &Stamp<'_>, lines: &[PickLineView]) -> Markup {
    let place = lines.first().and_then(|line| line.place_name.as_deref());
    let name = place.map_or_else(|| words.say("sheet-no-place"), str::to_owned);
    html! {
           section {
               h2 { (name) }
               table.lines.pick {
    (widths(&["tick", "item", "fetch", "lots", "used"]))
                   thead {
                       tr.again {
                           th colspan="5" {
                               (texts::again(words, &[&words.say("pick-list-stores"), &name], own.work_date, own.plan_revision))
                           }
                       }
                       tr {
                           th.tick {} th { (words.say("sheet-ingredient")) } th.fetch { (words.say("pick-list-fetch")) }
                           th.lots { (words.say("sheet-lot-last-day")) } th.used { (words.say("sheet-lot-used")) }
                       }
                   }
                   tbody {
                       @for line in lines {
                           tr {
                               td.tick { span.box {} }
                               td.item { (item(words, line)) }
                               td.fetch {
                                   (parts(words, &line.fetch))
                                   @let all = format!("{} {}", line.printed.amount, line.printed.unit);
                                   @if all != line.fetch { p.remark { (words.say("pick-list-all")) " " (all) } }
                               }
                               td.lots { (lot_cell(words, line)) }
                               td.blank {}
                           }
                       }
                   }
               }
           }
       }
}

fn item(words: Words, line: &PickLineView) -> Markup {
    html! {
        p.name { (line.name) }
        (allergens(words, &line.allergens))
        @for draw in &line.day_old { p.remark { (draw.words.told(words)) } }
    }
}

fn lot_cell(words: Words, line: &PickLineView) -> Markup {
    html! {
        (lots(words, &line.lots))
        @if let Some(unmet) = &line.unmet {
            p.loud { @if line.undecided { (words.say("sheet-undecided")) ": " } (texts::short(words, &said(words, unmet))) }
        }
        @for stop in &line.stop { p.loud { (stop.told(words)) } }
    }
}
