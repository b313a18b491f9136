//! One load on a screen, for hands with flour on them: large type, large targets, one thing a
//! line.

use super::loads::{self, load_of};
use crate::{
    messages::{Sentence, Words, told},
    pages::{
        Draft, Page,
        field::{self, Field, hidden},
        visit::segment,
    },
    service::Refusal,
    wire::weigh_out::{
        LotProposalView, WeighBlockView, WeighLineView, WeighOutView, WeighPageView,
    },
};
use jiff::civil::Date;
use maud::{Markup, html};

pub(super) fn page(
    words: Words,
    date: Date,
    view: &WeighOutView,
    (id, draft): (&str, &Draft),
) -> Result<Page, Refusal> {
    let loads = loads::all(view);
    let at = loads.iter().position(|(_, load)| load.id == id);
    let at = at.ok_or_else(|| Refusal::Unknown { noun: "load", code: id.to_owned() })?;
    let (block, load) = loads[at];
    let near =
        |at: Option<usize>| at.and_then(|at| loads.get(at)).map(|(_, load)| load.id.as_str());
    let path = format!("/weigh-out/{date}");
    Ok(Page {
        title: format!("{} {}", block.name, load_of(words, block, load)),
        main: html! {
            (head(words, date, block, load))
            (work(words, &path, view, (load, draft)))
            p.links {
                @if let Some(before) = near(at.checked_sub(1)) {
                    a href={ (path) "/" (segment(before)) } rel="prev" { (words.say("weigh-out-before")) }
                }
                a href=(path) { (words.say("weigh-out-all")) }
                @if let Some(next) = near(at.checked_add(1)) {
                    a href={ (path) "/" (segment(next)) } rel="next" { (words.say("weigh-out-next")) }
                }
            }
            ul.cautions {
                @for caution in ["label", "guard", "dust", "taste"] {
                    @if caution != "guard" || load.mixer.is_some() {
                        li { (words.say(&format!("caution-{caution}"))) }
                    }
                }
            }
        },
    })
}

fn head(words: Words, date: Date, block: &WeighBlockView, load: &WeighPageView) -> Markup {
    html! {
        p.large {
            b { (words.moment_on(date, &load.starts_at)) } " · "
            (words.tell("today-for", &[("day", words.day_of(&block.service_date).into())]))
            @if let Some(mixer) = load.mixer_name.as_ref().or(load.mixer.as_ref()) { " · " (mixer) }
        }
        p.large {
            (words.say(&format!("load-state-{}", load.state)))
            @if let Some(by) = &load.state_by { " · " (by.who) " · " (words.moment(&by.at)) }
        }
        @if load.done { p.banner { (words.say("weigh-out-done")) } }
        @if !block.clean_down.is_empty() {
            p.banner {
                (words.tell("weigh-out-clean-down", &[("gone", words.allergens(&block.clean_down).into())]))
            }
        }
        @if block.under_minimum {
            p.banner { (words.say("weigh-out-undecided")) " " (told(words, &block.options).join(" / ")) }
        }
        @if load.two_people {
            p.banner {
                (words.tell("weigh-out-two-people", &[
                    ("mass", words.amount(&load.printed.amount, load.printed.unit).into()),
                ]))
            }
        }
        @let remarks: Vec<&Sentence> =
            block.use_first.iter().chain(&load.notes).chain(&block.overrides).collect();
        @if !remarks.is_empty() { ul { @for remark in remarks { li { (remark.told(words)) } } } }
        p { b { (words.say("weigh-out-allergens")) } " " (block.allergens.statement.told(words)) }
    }
}

/// What can be done with the load: release a draft, weigh a released one, or read the others.
fn work(
    words: Words,
    path: &str,
    view: &WeighOutView,
    (load, draft): (&WeighPageView, &Draft),
) -> Markup {
    let who = words.say("weigh-out-who");
    let who = Field::text("who", &who).needed();
    let to = |step: &str| format!("{path}/{}/{step}", segment(&load.id));
    html! {
        @match load.state {
            "draft" => {
                (lines(words, load, None))
                @let fields = html! {
                    (hidden("plan_revision:number", &view.plan_revision.to_string()))
                    (who.draw(words, draft))
                };
                (field::form(words, draft, (&to("release"), &words.say("weigh-out-release")), &fields))
            }
            "released" => {
                @let fields = html! {
                    (lines(words, load, Some(draft)))
                    (who.draw(words, draft))
                };
                (field::form(words, draft, (&to("weighed"), &words.say("weigh-out-weighed")), &fields))
            }
            _ => { (lines(words, load, None)) }
        }
        p.large {
            (words.tell("weigh-out-sum", &[
                ("sum", words.amount(&load.printed.amount, load.printed.unit).into()),
            ]))
        }
    }
}

/// The lines; with boxes and blanks if they are weighed now.
fn lines(words: Words, load: &WeighPageView, draft: Option<&Draft>) -> Markup {
    html! {
        ol.weighings {
            @for (at, line) in load.lines.iter().enumerate() {
                li { (row(words, line, draft.map(|draft| (at, draft)))) }
            }
        }
    }
}

fn row(words: Words, line: &WeighLineView, entry: Option<(usize, &Draft)>) -> Markup {
    let tick = |at: usize| format!("_tick/{at}");
    html! {
        div.weighing {
            @match entry {
                Some((at, draft)) => {
                    @let id = format!("tick-{at}");
                    input.tick id=(id) type="checkbox" name=(tick(at)) value="on"
                        checked[!draft.text(&tick(at)).is_empty()];
                    label.name for=(id) { (line.name) }
                }
                None => { span.number { (line.number) } span.name { (line.name) } }
            }
            a.much href=(line.why) { (words.amount(&line.printed.amount, line.printed.unit)) }
            p.from {
                (line.scale.as_deref().unwrap_or("–"))
                @if line.tub != "-" { " · " (line.tub) }
                @for lot in &line.lots { " · " (lot_of(words, lot, line.lots.len() > 1)) }
            }
            @if let Some(short) = &line.short {
                p.banner {
                    (words.tell("weigh-out-short", &[
                        ("amount", words.amount(&short.amount, short.unit).into()),
                    ]))
                }
            }
            @for remark in &line.remarks { p.hint { (remark.told(words)) } }
            @if !line.allergens.statement.is_empty() { p.hint { (line.allergens.statement.told(words)) } }
            @if let Some((at, draft)) = entry { (otherwise(words, line, at, draft)) }
        }
    }
}

fn lot_of(words: Words, lot: &LotProposalView, several: bool) -> Markup {
    html! {
        b { (lot.lot) }
        @if several { " " (words.amount(&lot.printed.amount, lot.printed.unit)) }
        @if let Some(until) = &lot.usable_until {
            " " (words.tell("weigh-out-until", &[("moment", words.moment(until).into())]))
        } @else if let Some(date) = &lot.best_before {
            " " (words.tell("weigh-out-until", &[("moment", words.day_of(date).into())]))
        }
    }
}

/// What the hand used or weighed instead.
fn otherwise(words: Words, line: &WeighLineView, at: usize, draft: &Draft) -> Markup {
    let name = |field: &str| format!("lines/{at}/{field}");
    let (lot, much) = (words.say("weigh-out-other-lot"), words.say("weigh-out-other-amount"));
    let (new, unit) = (words.say("weigh-out-new-lot"), line.weigh.unit);
    let much = format!("{much} ({unit})");
    let texts = ["lots/0/lot", "amount/amount"].map(name);
    let filled =
        texts.iter().any(|name| !draft.text(name).is_empty() || draft.fault(name).is_some());
    html! {
        (hidden(&name("line:with-number"), &line.number.to_string()))
        (hidden(&name("amount/unit:with"), unit))
        details open[filled] {
            summary { (words.say("weigh-out-otherwise")) }
            (Field::text(&name("lots/0/lot"), &lot).draw(words, draft))
            (Field::tick(&name("lots/0/new:flag"), &new).draw(words, draft))
            (Field::number(&name("amount/amount:decimal"), &much).draw(words, draft))
        }
    }
}
