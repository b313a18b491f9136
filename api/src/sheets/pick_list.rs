//! The pick list on paper: what to pull from the cold, what to fetch from the stores.

use super::{
    page::{Stamp, allergens, document, foot, lots, notes, parts, said, stamp, widths},
    texts::{self, word},
};
use crate::wire::pick_list::{PickLineView, PickListView};
use maud::{Markup, html};

/// Draws the pick list of a work date: two sheets.
#[must_use]
pub fn draw(view: &PickListView) -> Markup {
    let title = format!("{} {}", word::PICK_LIST, view.work_date);
    let own = Stamp {
        bakery: &view.bakery,
        title: word::PICK_LIST,
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet {
            (stamp(&own, Some((1, 2))))
            header { h1 { (word::PULL) } }
            @for line in &view.cannot {
                p.banner { b { (line.name) " " (line.printed.amount) " " (line.printed.unit) ": " (line.stop) } }
            }
            @if view.pull.is_empty() { p { (word::NOTHING_TO_PULL) } } @else { (pull(&own, &view.pull)) }
            (notes(&view.notes))
            (foot(&[texts::check_the_label(), texts::no_second_freezing()]))
        }
        main.sheet {
            (stamp(&own, Some((2, 2))))
            header { h1 { (word::STORES) } }
            @if view.stores.is_empty() { p { (word::NOTHING_IN_STORES) } }
            @for lines in view.stores.chunk_by(|a, b| a.place == b.place) {
                (stores(&own, lines))
            }
            (foot(&[texts::check_the_label(), texts::flour_dust()]))
        }
    };
    document(&title, &body)
}

fn pull(own: &Stamp<'_>, lines: &[PickLineView]) -> Markup {
    html! {
           table.lines.pick {
    (widths(&["tick", "by", "item", "fetch", "place", "lots", "used"]))
               thead {
                   tr.again {
                       th colspan="7" {
                           (texts::again(&[word::PULL], own.work_date, own.plan_revision))
                       }
                   }
                   tr {
                       th.tick {} th.by { (word::BY) } th { (word::INGREDIENT) }
                       th.fetch { (word::FETCH) } th.place { (word::FROM_TO) } th.lots { (word::LOT) }
                       th.used { (word::LOT_USED) }
                   }
               }
               tbody {
                   @for line in lines {
                       tr {
                           td.tick { span.box {} }
                           td.by { (texts::moment_on(own.work_date, &line.by)) }
                           td.item {
                               (item(line))
                               @if let Some(minutes) = line.thaw_minutes {
                                   p.remark { (texts::thaw(minutes)) }
                               }
                               @if let Some(minutes) = line.temper_minutes {
                                   p.remark { (texts::temper(minutes)) }
                               }
                           }
                           td.fetch { (parts(&line.fetch)) }
                           td.place {
                               p { (line.place_name.as_deref().unwrap_or("?")) }
                               @if let Some(to) = &line.to { p { "> " (to) } }
                           }
                           td.lots { (lot_cell(line)) }
                           td.blank {}
                       }
                   }
               }
           }
       }
}

fn stores(own: &Stamp<'_>, lines: &[PickLineView]) -> Markup {
    let place = lines.first().and_then(|line| line.place_name.as_deref());
    let name = place.unwrap_or(word::NO_PLACE);
    html! {
           section {
               h2 { (name) }
               table.lines.pick {
    (widths(&["tick", "item", "fetch", "lots", "used"]))
                   thead {
                       tr.again {
                           th colspan="5" {
                               (texts::again(&[word::STORES, name], own.work_date, own.plan_revision))
                           }
                       }
                       tr {
                           th.tick {} th { (word::INGREDIENT) } th.fetch { (word::FETCH) }
                           th.lots { (word::LOT) } th.used { (word::LOT_USED) }
                       }
                   }
                   tbody {
                       @for line in lines {
                           tr {
                               td.tick { span.box {} }
                               td.item { (item(line)) }
                               td.fetch {
                                   (parts(&line.fetch))
                                   @let all = format!("{} {}", line.printed.amount, line.printed.unit);
                                   @if all != line.fetch { p.remark { "all " (all) } }
                               }
                               td.lots { (lot_cell(line)) }
                               td.blank {}
                           }
                       }
                   }
               }
           }
       }
}

fn item(line: &PickLineView) -> Markup {
    html! {
        p.name { (line.name) }
        (allergens(&line.allergens))
        @for draw in &line.day_old { p.remark { (draw.words) } }
    }
}

fn lot_cell(line: &PickLineView) -> Markup {
    html! {
        (lots(&line.lots))
        @if let Some(unmet) = &line.unmet {
            p.loud { (texts::short(&said(unmet))) }
        }
        @for stop in &line.stop { p.loud { (stop) } }
    }
}
