//! The day board on paper: exceptions, doughs, and the day station by station.

pub(crate) mod timeline;

use super::{
    page::{Stamp, amount, document, foot, notes, stamp, widths},
    texts,
};
use crate::messages::Words;
use crate::wire::day_board::{
    BoardLeverView, BoardLineView, BoardPiecesView, DayBoardView, ExceptionView,
};
use maud::{Markup, html};

/// Draws the board of a work date.
#[must_use]
pub fn draw(words: Words, view: &DayBoardView) -> Markup {
    let title = format!("{} {}", words.say("sheet-day-board"), view.work_date);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("sheet-day-board"),
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide.board {
            (stamp(&own, Some((1, 3))))
            header {
                h1 { (words.say("sheet-day-board")) }
                p.load { (words.day_of(&view.work_date)) " · " (words.say("sheet-for")) " " (words.days_of(&view.service_dates)) }
            }
            (notes(words, &view.notes))
            (exceptions(words, &own, &view.exceptions))
            (foot(words, &[]))
        }
        main.sheet.wide.board {
            (stamp(&own, Some((2, 3))))
            header { h1 { (words.say("day-board-doughs")) } p.load { (words.day_of(&view.work_date)) } }
            (lines(words, &own, &view.lines))
            (foot(words, &[]))
        }
        main.sheet.wide.board {
            (stamp(&own, Some((3, 3))))
            header { h1 { (words.say("day-board-stations")) } p.load { (words.day_of(&view.work_date)) } }
            (stations(words, view))
            (foot(words, &[]))
        }
    };
    document(words, &title, &body)
}

/// The kinds of stations, each with its pattern.
const KEY: [&str; 3] = ["mixer", "place", "oven"];

fn stations(words: Words, view: &DayBoardView) -> Markup {
    let key = KEY.map(|kind| (kind, words.say(&format!("timeline-{kind}"))));
    let said = timeline::Said { key, moment: &|at| words.moment(at) };
    html! {
        @if view.stations.is_empty() { p { (words.say("day-board-no-station")) } }
        @else { (timeline::draw(view, &said)) }
    }
}

fn exceptions(words: Words, own: &Stamp<'_>, exceptions: &[ExceptionView]) -> Markup {
    html! {
        @if exceptions.is_empty() { p { (words.say("day-board-nothing")) } } @else {
            table.lines {
                (widths(&["act-by", "item", "levers"]))
                thead {
                    tr.again { th colspan="3" { (texts::again(words, &[&words.say("day-board-exceptions")], own.work_date, own.plan_revision)) } }
                    tr { th { (words.say("day-board-act-by")) } th { (words.say("day-board-what")) } th { (words.say("day-board-levers")) } }
                }
                tbody { @for one in exceptions { (exception(words, own.work_date, one)) } }
            }
        }
    }
}

fn exception(words: Words, work_date: &str, one: &ExceptionView) -> Markup {
    html! {
        tr {
            td.act-by {
                @match &one.act_by {
                    Some(at) => { b { (words.moment_on(work_date, at)) } }
                    None => { b { (words.say("day-board-at-once")) } }
                }
                p.remark { (words.listed("day-board-by-", one.by)) }
                @if one.order_gone { p.loud { (words.say("day-board-order-gone")) } }
            }
            td.item {
                p { b { (one.what.told(words)) } }
                @for hit in &one.hits { p.remark { (hit.told(words)) } }
            }
            td.levers { ul { @for one in &one.levers { (lever(words, work_date, one)) } } }
        }
    }
}

fn lever(words: Words, work_date: &str, lever: &BoardLeverView) -> Markup {
    html! {
        li {
            span.box.small {} " " (lever.what.told(words))
            @if let Some(until) = &lever.until { ", " (words.say("sheet-until")) " " b { (words.moment_on(work_date, until)) } }
            " · "
            @match &lever.cost {
                Some(cost) => { i { (cost.told(words)) } }
                None => { i { (words.say("day-board-cost-unknown")) } }
            }
        }
    }
}

fn lines(words: Words, own: &Stamp<'_>, lines: &[BoardLineView]) -> Markup {
    let columns = ["item", "sum", "few", "mixer", "at", "at", "few", "pieces", "held"];
    html! {
        @if lines.is_empty() { p { (words.say("day-board-no-dough")) } } @else {
            table.lines {
                (widths(&columns))
                thead {
                    tr.again { th colspan="9" { (texts::again(words, &[&words.say("day-board-doughs")], own.work_date, own.plan_revision)) } }
                    tr {
                        th { (words.say("day-board-dough")) } th { (words.say("day-board-to-mix")) } th { (words.say("day-board-loads")) } th { (words.say("sheet-mixer")) } th { (words.say("day-board-start")) }
                        th { (words.say("day-board-latest")) } th { (words.say("day-board-slack-min")) } th { (words.say("day-board-pieces")) } th { (words.say("day-board-held-up-by")) }
                    }
                }
                tbody { @for one in lines { (line(words, own.work_date, one)) } }
            }
        }
    }
}

fn line(words: Words, work_date: &str, line: &BoardLineView) -> Markup {
    let time = |at: &Option<String>| {
        at.as_deref().map_or_else(|| "-".to_owned(), |at| words.moment_on(work_date, at))
    };
    html! {
        tr {
            td.item {
                p.name { (line.name) }
                p.remark { (words.say("sheet-for")) " " (words.day_of(&line.service_date)) }
                @for one in &line.states {
                    p { (words.say("sheet-load")) " " (one.load) " " b { (words.state(one.state)) } " " (words.moment_on(work_date, &one.at)) " " (one.who) }
                }
            }
            td.sum { @match &line.printed { Some(printed) => (amount(words, printed)), None => "-" } }
            td.few { @match line.blocks { Some(blocks) => (texts::blocks(words, blocks)), None => (line.loads) } }
            td.mixer { (line.mixer.as_deref().unwrap_or("-")) }
            td.at { b { (time(&line.start)) } }
            td.at { (time(&line.latest_start)) }
            td.few { @match line.slack_minutes { Some(minutes) => (minutes), None => "-" } }
            td.pieces { @for one in &line.pieces { (pieces(words, one)) } }
            td.held {
                @if line.held_up.is_empty() { "-" }
                @for one in &line.held_up { p.loud { (words.listed("day-board-by-", one.by)) ": " (one.what.told(words)) } }
            }
        }
    }
}

fn pieces(words: Words, one: &BoardPiecesView) -> Markup {
    html! {
        p {
            b { (one.start) } " " (one.name)
            @if let Some(ahead) = texts::ahead(words, one.par, one.forecast) { ", " (ahead) }
            @if one.from_stock > 0 { ", " (one.from_stock) " " (words.say("day-board-from-stock")) }
            @if one.overs > 0 { ", " (one.overs) " " (words.say("day-board-over")) }
        }
    }
}
