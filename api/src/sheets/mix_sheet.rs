//! The mix sheet on paper: the run of the day, then one card for each load.

mod phrases;

use super::{
    page::{Stamp, allergens, amount, document, foot, notes, stamp, widths},
    texts,
};
use crate::messages::Words;
use crate::wire::mix_sheet::{AdditionView, MixLoadView, MixSheetView, WaterView};
use maud::{Markup, html};

/// Draws the mix sheet of a work date.
#[must_use]
pub fn draw(words: Words, view: &MixSheetView) -> Markup {
    let title = format!("{} {}", words.say("sheet-mix-sheet"), view.work_date);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("sheet-mix-sheet"),
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet {
            (stamp(&own, None))
            (head(words, view))
            @if view.loads.is_empty() && view.by_hand.is_empty() { p { (words.say("mix-sheet-nothing")) } }
            (run(words, &own, view))
            (notes(words, &view.notes))
            @for load in view.loads.iter().filter(|load| !load.done) { (card(words, &view.work_date, load)) }
            @if !view.by_hand.is_empty() {
                h2 { (words.say("mix-sheet-by-hand")) }
                (by_hand(words, &own, view))
            }
            (foot(words, &[
                words.say("caution-label"),
                words.say("caution-guard"),
                words.say("caution-dust"),
                words.say("caution-taste"),
            ]))
        }
    };
    document(words, &title, &body)
}

fn head(words: Words, view: &MixSheetView) -> Markup {
    html! {
        header { h1 { (words.say("sheet-mix-sheet")) } p.load { (words.day_of(&view.work_date)) } }
        dl.facts {
            div { dt { (words.say("sheet-for")) } dd { (words.days_of(&view.service_dates)) } }
            (warmth(words, &words.say("mix-sheet-flour"), view.temperatures.flour.as_deref()))
            (warmth(words, &words.say("mix-sheet-room"), view.temperatures.room.as_deref()))
            (warmth(words, &words.say("mix-sheet-tap"), view.temperatures.tap.as_deref()))
            (warmth(words, &words.say("mix-sheet-preferment"), view.temperatures.preferment.as_deref()))
        }
        p.remark { (phrases::assumed(words, &view.temperatures.asked)) }
    }
}

fn warmth(words: Words, name: &str, degrees: Option<&str>) -> Markup {
    html! { div { dt { (name) } dd { (degrees.map_or_else(|| words.say("mix-sheet-not-on-file"), |it| words.celsius(it))) } } }
}

/// The order of the day on one look.
fn run(words: Words, own: &Stamp<'_>, view: &MixSheetView) -> Markup {
    html! {
        @if !view.loads.is_empty() {
            table.lines.run {
                (widths(&["tick", "number", "by", "item", "mixer", "load-of", "mass"]))
                thead {
                    tr.again {
                        th colspan="7" {
                            (texts::again(words, &[&words.say("sheet-mix-sheet")], own.work_date, own.plan_revision))
                        }
                    }
                    tr {
                        th.tick {} th.number { (words.say("sheet-no")) } th.by { (words.say("mix-sheet-start")) } th { (words.say("mix-sheet-dough")) }
                        th.mixer { (words.say("sheet-mixer")) } th.load-of { (words.say("sheet-load")) }
                        th.mass { (words.say("mix-sheet-mass")) }
                    }
                }
                tbody {
                    @for load in &view.loads {
                        tr {
                            td.tick { span.box {} }
                            td.number { (load.number) }
                            td.by { (start(words, &view.work_date, load)) }
                            td.item {
                                p.name { (load.name) }
                                @if load.under_minimum { p.loud { (words.say("sheet-undecided")) } }
                                (state(words, load))
                            }
                            td.mixer { (mixer(words, load)) }
                            td.load-of { (phrases::of(words, load.load, load.loads)) }
                            td.mass { (amount(words, &load.printed)) }
                        }
                    }
                }
            }
        }
    }
}

/// What needs no mixer: when, and boxes; its lines stand on the weigh-out.
fn by_hand(words: Words, own: &Stamp<'_>, view: &MixSheetView) -> Markup {
    html! {
        table.lines.run {
            (widths(&["tick", "by", "item", "for", "mass", "box-column", "box-column"]))
            thead {
                tr.again {
                    th colspan="7" {
                        (texts::again(words, &[&words.say("mix-sheet-by-hand")], own.work_date, own.plan_revision))
                    }
                }
                tr {
                    th.tick {} th.by { (words.say("mix-sheet-start")) } th { (words.say("mix-sheet-what")) } th.for { (words.say("sheet-for")) }
                    th.mass { (words.say("mix-sheet-mass")) } th { (words.say("mix-sheet-water-celsius")) } th { (words.say("mix-sheet-out-celsius")) }
                }
            }
            tbody {
                @for load in &view.by_hand {
                    tr {
                        td.tick { span.box {} }
                        td.by { (start(words, &view.work_date, load)) }
                        td.item { p.name { (load.name) } (allergens(words, &load.allergens)) (hand_water(words, load)) }
                        td.for { (words.day_of(&load.service_date)) }
                        td.mass { (amount(words, &load.printed)) }
                        td.blank {} td.blank {}
                    }
                }
            }
        }
    }
}

fn hand_water(words: Words, load: &MixLoadView) -> Markup {
    html! {
        @if load.water.state == "poured" { (poured(words, &load.water)) }
        @if load.loads > 1 { p.remark { (texts::load_of(words, load.load, load.loads)) } }
    }
}

/// How far a load is, if that is anything but a draft; what is done is loud.
fn state(words: Words, load: &MixLoadView) -> Markup {
    html! {
        @if load.done { p.loud { (phrases::done(words, load.state)) } }
        @else if load.state != "draft" { p.remark { (words.state(load.state)) } }
    }
}

fn start(words: Words, work_date: &str, load: &MixLoadView) -> String {
    load.start
        .as_deref()
        .map_or_else(|| words.say("mix-sheet-no-time"), |at| words.moment_on(work_date, at))
}

fn mixer(words: Words, load: &MixLoadView) -> String {
    load.mixer_name
        .as_deref()
        .or(load.mixer.as_deref())
        .map_or_else(|| words.say("mix-sheet-no-mixer"), str::to_owned)
}

fn card(words: Words, work_date: &str, load: &MixLoadView) -> Markup {
    html! {
        section.card {
            header {
                p.turn { (load.number) }
                h2 { (load.name) }
                p.load { (texts::load_of(words, load.load, load.loads)) }
            }
            dl.facts {
                div { dt { (words.say("mix-sheet-start")) } dd { (start(words, work_date, load)) } }
                div { dt { (words.say("sheet-mixer")) } dd { (mixer(words, load)) } }
                div { dt { (words.say("mix-sheet-mass")) } dd { (words.amount(&load.printed.amount, load.printed.unit)) } }
                div { dt { (words.say("sheet-for")) } dd { (words.day_of(&load.service_date)) } }
            }
            (banners(words, load))
            div.halves {
                div { (order(words, load)) }
                div {
                    (times(words, load))
                    (water(words, &load.water))
                    (boxes(words, load.preferment))
                }
            }
            (out(words, work_date, load))
            (allergens(words, &load.allergens))
            (notes(words, &load.notes))
        }
    }
}

fn banners(words: Words, load: &MixLoadView) -> Markup {
    html! {
        @if !load.clean_down.is_empty() { p.banner { (texts::clean_down(words, &load.clean_down)) } }
        @if load.under_minimum {
            p.banner { b { (words.say("sheet-undecided")) } ": " (texts::undecided(words, &load.options)) }
        }
        @if load.two_people { p.banner { (texts::heavy(words, &load.printed.amount, load.printed.unit)) } }
    }
}

/// What goes in, in order.
fn order(words: Words, load: &MixLoadView) -> Markup {
    html! {
        table.lines.order {
            (widths(&["minute", "item", "mass"]))
            thead { tr { th.minute { (words.say("mix-sheet-minute")) } th { (words.say("mix-sheet-goes-in")) } th.mass { (words.say("sheet-amount")) } } }
            tbody {
                @for line in &load.additions {
                    tr {
                        td.minute { (phrases::minutes(&line.minutes)) }
                        td.item {
                            (line.name) (goes(words, line))
                            @if line.undecided { p.loud { (texts::too_little(words, &[])) } }
                        }
                        td.mass { (amount(words, &line.printed)) }
                    }
                }
            }
        }
    }
}

fn goes(words: Words, line: &AdditionView) -> Markup {
    html! {
        @if line.minutes.len() > 1 { span.remark { " " (phrases::goes(words, line.minutes.len())) } }
        @if line.water { span.remark { " " (words.say("mix-sheet-see-water")) } }
    }
}

fn times(words: Words, load: &MixLoadView) -> Markup {
    html! {
        p.speeds {
            @match (load.slow_minutes, load.fast_minutes) {
                (Some(slow), Some(fast)) => { b { (phrases::speeds(words, slow, fast)) } }
                _ => { (words.say("mix-sheet-no-minutes")) }
            }
        }
        p.speeds {
            (words.say("mix-sheet-target")) " "
            @match &load.target { Some(target) => b { (words.celsius(target)) }, None => (words.say("mix-sheet-not-on-file")) }
        }
    }
}

fn water(words: Words, water: &WaterView) -> Markup {
    html! {
        @match water.state {
            "none" => {}
            "poured" => { div.water { (poured(words, water)) } }
            "too-cold" => {
                div.water {
                    p { (words.say("mix-sheet-water")) " " (amount(words, &water.all)) " " (words.say("mix-sheet-at-blank")) }
                    p.loud { (words.say("mix-sheet-too-cold")) }
                    @if let Some(sum) = &water.sum { p.remark { (sum.told(words)) } }
                }
            }
            _ => {
                div.water {
                    p { (words.say("mix-sheet-water")) " " (amount(words, &water.all)) " " (words.say("mix-sheet-at-blank")) }
                    p { (words.say("mix-sheet-ice-blank")) }
                    p.remark { (phrases::missing(words, &water.missing)) }
                }
            }
        }
    }
}

fn poured(words: Words, water: &WaterView) -> Markup {
    let warm = words.celsius(water.temperature.as_deref().unwrap_or_default());
    html! {
        @match &water.ice {
            Some(ice) => {
                p { (words.say("mix-sheet-tap-water")) " " (amount_of(words, water.water.as_ref())) }
                p { "+ " (words.say("mix-sheet-ice")) " " (amount(words, ice)) }
                p { "= " (words.amount(&water.all.amount, water.all.unit)) ", " (phrases::together(words, &warm)) " " b.digits { (warm) } }
            }
            None => { p { (words.say("mix-sheet-water")) " " (amount_of(words, water.water.as_ref())) " " (words.say("mix-sheet-at")) " " b.digits { (warm) } } }
        }
        @if let Some(sum) = &water.sum { p.remark { (sum.told(words)) } }
    }
}

fn amount_of(words: Words, printed: Option<&crate::wire::printed::PrintedView>) -> Markup {
    html! { @if let Some(printed) = printed { (amount(words, printed)) } }
}

/// What the hand writes back.
const MEASURED: [&str; 5] = [
    "mix-sheet-flour-box",
    "mix-sheet-room-box",
    "mix-sheet-water-box",
    "mix-sheet-dough-box",
    "mix-sheet-added-box",
];

fn boxes(words: Words, preferment: bool) -> Markup {
    let names = MEASURED.into_iter().chain(preferment.then_some("mix-sheet-preferment-box"));
    html! {
        p.measured {
            @for name in names { span { (words.say(name)) i.blank-box {} } }
        }
    }
}

fn out(words: Words, work_date: &str, load: &MixLoadView) -> Markup {
    html! {
        p.out {
            span { (words.say("mix-sheet-out")) " " b { (phrases::tubs(words, load.out.tubs, &load.out.each)) } }
            span {
                (words.say("mix-sheet-next")) " "
                @match &load.next {
                    Some(next) => { b { (next.step) " " (words.moment_on(work_date, &next.at)) } }
                    None => (words.say("mix-sheet-no-time"))
                }
            }
        }
        @if !load.gives.is_empty() {
            p.gives {
                (words.say("mix-sheet-must-give")) " "
                @for (at, gives) in load.gives.iter().enumerate() {
                    @if at > 0 { ", " }
                    b { (gives.count) } @if gives.unit == "blocks" { " " (words.unit_of(&gives.count.to_string(), gives.unit)) } " " (gives.name)
                }
            }
        }
    }
}
