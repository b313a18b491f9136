//! The day board on paper: exceptions, doughs, and the day station by station.

pub(crate) mod timeline;
mod words;

use super::{
    page::{Stamp, amount, document, foot, notes, stamp, widths},
    texts,
};
use crate::wire::day_board::{
    BoardLeverView, BoardLineView, BoardPiecesView, DayBoardView, ExceptionView,
};
use maud::{Markup, html};

/// Draws the board of a work date.
#[must_use]
pub fn draw(view: &DayBoardView) -> Markup {
    let title = format!("{} {}", words::TITLE, view.work_date);
    let own = Stamp {
        bakery: &view.bakery,
        title: words::TITLE,
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide.board {
            (stamp(&own, Some((1, 3))))
            header {
                h1 { (words::TITLE) }
                p.load { (texts::day(&view.work_date)) " · for " (texts::days(&view.service_dates)) }
            }
            (notes(&view.notes))
            (exceptions(&own, &view.exceptions))
            (foot(&[]))
        }
        main.sheet.wide.board {
            (stamp(&own, Some((2, 3))))
            header { h1 { (words::DOUGHS) } p.load { (texts::day(&view.work_date)) } }
            (lines(&own, &view.lines))
            (foot(&[]))
        }
        main.sheet.wide.board {
            (stamp(&own, Some((3, 3))))
            header { h1 { (words::STATIONS) } p.load { (texts::day(&view.work_date)) } }
            (stations(view))
            (foot(&[]))
        }
    };
    document(&title, &body)
}

fn stations(view: &DayBoardView) -> Markup {
    let key = words::KEY.map(|(kind, name)| (kind, name.to_owned()));
    let said = timeline::Said { key, moment: &texts::moment };
    html! {
        @if view.stations.is_empty() { p { (words::NO_STATION) } }
        @else { (timeline::draw(view, &said)) }
    }
}

fn exceptions(own: &Stamp<'_>, exceptions: &[ExceptionView]) -> Markup {
    html! {
        @if exceptions.is_empty() { p { (words::NOTHING) } } @else {
            table.lines {
                (widths(&["act-by", "item", "levers"]))
                thead {
                    tr.again { th colspan="3" { (texts::again(&[words::EXCEPTIONS], own.work_date, own.plan_revision)) } }
                    tr { th { (words::ACT_BY) } th { (words::WHAT) } th { (words::LEVERS) } }
                }
                tbody { @for one in exceptions { (exception(own.work_date, one)) } }
            }
        }
    }
}

fn exception(work_date: &str, one: &ExceptionView) -> Markup {
    html! {
        tr {
            td.act-by {
                @match &one.act_by {
                    Some(at) => { b { (texts::moment_on(work_date, at)) } }
                    None => { b { (words::AT_ONCE) } }
                }
                p.remark { (one.by) }
                @if one.order_gone { p.loud { (words::ORDER_GONE) } }
            }
            td.item {
                p { b { (one.what) } }
                @for hit in &one.hits { p.remark { (hit) } }
            }
            td.levers { ul { @for one in &one.levers { (lever(work_date, one)) } } }
        }
    }
}

fn lever(work_date: &str, lever: &BoardLeverView) -> Markup {
    html! {
        li {
            span.box.small {} " " (lever.what)
            @if let Some(until) = &lever.until { ", until " b { (texts::moment_on(work_date, until)) } }
            " · " i { (lever.cost.as_deref().unwrap_or(words::COST_UNKNOWN)) }
        }
    }
}

fn lines(own: &Stamp<'_>, lines: &[BoardLineView]) -> Markup {
    let columns = ["item", "sum", "few", "mixer", "at", "at", "few", "pieces", "held"];
    html! {
        @if lines.is_empty() { p { (words::NO_DOUGH) } } @else {
            table.lines {
                (widths(&columns))
                thead {
                    tr.again { th colspan="9" { (texts::again(&[words::DOUGHS], own.work_date, own.plan_revision)) } }
                    tr {
                        th { "dough" } th { "to mix" } th { "loads" } th { "mixer" } th { "start" }
                        th { "latest" } th { "slack min" } th { (words::PIECES) } th { "held up by" }
                    }
                }
                tbody { @for one in lines { (line(own.work_date, one)) } }
            }
        }
    }
}

fn line(work_date: &str, line: &BoardLineView) -> Markup {
    let time = |at: &Option<String>| {
        at.as_deref().map_or_else(|| "-".to_owned(), |at| texts::moment_on(work_date, at))
    };
    html! {
        tr {
            td.item {
                p.name { (line.name) }
                p.remark { "for " (texts::day(&line.service_date)) }
                @for one in &line.states {
                    p { "load " (one.load) " " b { (one.state) } " " (texts::moment_on(work_date, &one.at)) " " (one.who) }
                }
            }
            td.sum { @match &line.printed { Some(printed) => (amount(printed)), None => "-" } }
            td.few { @match line.blocks { Some(blocks) => (texts::blocks(blocks)), None => (line.loads) } }
            td.mixer { (line.mixer.as_deref().unwrap_or("-")) }
            td.at { b { (time(&line.start)) } }
            td.at { (time(&line.latest_start)) }
            td.few { @match line.slack_minutes { Some(minutes) => (minutes), None => "-" } }
            td.pieces { @for one in &line.pieces { (pieces(one)) } }
            td.held {
                @if line.held_up.is_empty() { "-" }
                @for one in &line.held_up { p.loud { (one.by) ": " (one.what) } }
            }
        }
    }
}

fn pieces(one: &BoardPiecesView) -> Markup {
    html! {
        p {
            b { (one.start) } " " (one.name)
            @if one.from_stock > 0 { ", " (one.from_stock) " from stock" }
            @if one.overs > 0 { ", " (one.overs) " over" }
        }
    }
}
