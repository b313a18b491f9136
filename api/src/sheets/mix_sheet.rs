//! The mix sheet on paper: the run of the day, then one card for each load.

mod words;

use super::{
    page::{Stamp, allergens, amount, document, foot, notes, stamp, widths},
    texts::{self, word},
};
use crate::wire::mix_sheet::{AdditionView, MixLoadView, MixSheetView, WaterView};
use maud::{Markup, html};

/// Draws the mix sheet of a work date.
#[must_use]
pub fn draw(view: &MixSheetView) -> Markup {
    let title = format!("{} {}", words::TITLE, view.work_date);
    let own = Stamp {
        bakery: &view.bakery,
        title: words::TITLE,
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet {
            (stamp(&own, None))
            (head(view))
            @if view.loads.is_empty() && view.by_hand.is_empty() { p { (words::NOTHING) } }
            (run(&own, view))
            (notes(&view.notes))
            @for load in view.loads.iter().filter(|load| !load.done) { (card(&view.work_date, load)) }
            @if !view.by_hand.is_empty() {
                h2 { (words::BY_HAND) }
                (by_hand(&own, view))
            }
            (foot(&[
                texts::check_the_label(),
                texts::guard_closed(),
                texts::flour_dust(),
                texts::no_tasting(),
            ]))
        }
    };
    document(&title, &body)
}

fn head(view: &MixSheetView) -> Markup {
    html! {
        header { h1 { (words::TITLE) } p.load { (texts::day(&view.work_date)) } }
        dl.facts {
            div { dt { "for" } dd { (texts::days(&view.service_dates)) } }
            (warmth("flour", view.temperatures.flour.as_deref()))
            (warmth("room", view.temperatures.room.as_deref()))
            (warmth("tap", view.temperatures.tap.as_deref()))
            (warmth("preferment", view.temperatures.preferment.as_deref()))
        }
        p.remark { (words::assumed(&view.temperatures.asked)) }
    }
}

fn warmth(name: &str, degrees: Option<&str>) -> Markup {
    html! { div { dt { (name) } dd { (degrees.map_or_else(|| words::NOT_ON_FILE.to_owned(), texts::celsius)) } } }
}

/// The order of the day on one look.
fn run(own: &Stamp<'_>, view: &MixSheetView) -> Markup {
    html! {
        @if !view.loads.is_empty() {
            table.lines.run {
                (widths(&["tick", "number", "by", "item", "mixer", "load-of", "mass"]))
                thead {
                    tr.again {
                        th colspan="7" {
                            (texts::again(&[words::TITLE], own.work_date, own.plan_revision))
                        }
                    }
                    tr {
                        th.tick {} th.number { "no." } th.by { (words::START) } th { (words::DOUGH) }
                        th.mixer { (words::MIXER) } th.load-of { (words::LOAD) }
                        th.mass { (words::MASS) }
                    }
                }
                tbody {
                    @for load in &view.loads {
                        tr {
                            td.tick { span.box {} }
                            td.number { (load.number) }
                            td.by { (start(&view.work_date, load)) }
                            td.item {
                                p.name { (load.name) }
                                @if load.under_minimum { p.loud { (word::UNDECIDED) } }
                                (state(load))
                            }
                            td.mixer { (mixer(load)) }
                            td.load-of { (load.load) " of " (load.loads) }
                            td.mass { (amount(&load.printed)) }
                        }
                    }
                }
            }
        }
    }
}

/// What needs no mixer: when, and boxes; its lines stand on the weigh-out.
fn by_hand(own: &Stamp<'_>, view: &MixSheetView) -> Markup {
    html! {
        table.lines.run {
            (widths(&["tick", "by", "item", "for", "mass", "box-column", "box-column"]))
            thead {
                tr.again {
                    th colspan="7" {
                        (texts::again(&[words::BY_HAND], own.work_date, own.plan_revision))
                    }
                }
                tr {
                    th.tick {} th.by { (words::START) } th { (words::WHAT) } th.for { "for" }
                    th.mass { (words::MASS) } th { "water °C" } th { "out °C" }
                }
            }
            tbody {
                @for load in &view.by_hand {
                    tr {
                        td.tick { span.box {} }
                        td.by { (start(&view.work_date, load)) }
                        td.item { p.name { (load.name) } (allergens(&load.allergens)) (hand_water(load)) }
                        td.for { (texts::day(&load.service_date)) }
                        td.mass { (amount(&load.printed)) }
                        td.blank {} td.blank {}
                    }
                }
            }
        }
    }
}

fn hand_water(load: &MixLoadView) -> Markup {
    html! {
        @if load.water.state == "poured" { (poured(&load.water)) }
        @if load.loads > 1 { p.remark { (texts::load_of(load.load, load.loads)) } }
    }
}

/// How far a load is, if that is anything but a draft; what is done is loud.
fn state(load: &MixLoadView) -> Markup {
    html! {
        @if load.done { p.loud { (words::done(load.state)) } }
        @else if load.state != "draft" { p.remark { (load.state) } }
    }
}

fn start(work_date: &str, load: &MixLoadView) -> String {
    load.start
        .as_deref()
        .map_or_else(|| words::NO_TIME.to_owned(), |at| texts::moment_on(work_date, at))
}

fn mixer(load: &MixLoadView) -> &str {
    load.mixer_name.as_deref().or(load.mixer.as_deref()).unwrap_or(words::NO_MIXER)
}

fn card(work_date: &str, load: &MixLoadView) -> Markup {
    html! {
        section.card {
            header {
                p.turn { (load.number) }
                h2 { (load.name) }
                p.load { (texts::load_of(load.load, load.loads)) }
            }
            dl.facts {
                div { dt { (words::START) } dd { (start(work_date, load)) } }
                div { dt { (words::MIXER) } dd { (mixer(load)) } }
                div { dt { (words::MASS) } dd { (load.printed.amount) " " (load.printed.unit) } }
                div { dt { "for" } dd { (texts::day(&load.service_date)) } }
            }
            (banners(load))
            div.halves {
                div { (order(load)) }
                div {
                    (times(load))
                    (water(&load.water))
                    (boxes(load.preferment))
                }
            }
            (out(work_date, load))
            (allergens(&load.allergens))
            (notes(&load.notes))
        }
    }
}

fn banners(load: &MixLoadView) -> Markup {
    html! {
        @if !load.clean_down.is_empty() { p.banner { (texts::clean_down(&load.clean_down)) } }
        @if load.under_minimum {
            p.banner { b { (word::UNDECIDED) } ": " (texts::undecided(&load.options)) }
        }
        @if load.two_people { p.banner { (texts::heavy(&load.printed.amount, load.printed.unit)) } }
    }
}

/// What goes in, in order.
fn order(load: &MixLoadView) -> Markup {
    html! {
        table.lines.order {
            (widths(&["minute", "item", "mass"]))
            thead { tr { th.minute { (words::MINUTE) } th { (words::GOES_IN) } th.mass { (word::AMOUNT) } } }
            tbody {
                @for line in &load.additions {
                    tr {
                        td.minute { (words::minutes(&line.minutes)) }
                        td.item {
                            (line.name) (goes(line))
                            @if line.undecided { p.loud { (texts::too_little(&[])) } }
                        }
                        td.mass { (amount(&line.printed)) }
                    }
                }
            }
        }
    }
}

fn goes(line: &AdditionView) -> Markup {
    html! {
        @if line.minutes.len() > 1 { span.remark { " " (words::goes(line.minutes.len())) } }
        @if line.water { span.remark { " " (words::SEE_WATER) } }
    }
}

fn times(load: &MixLoadView) -> Markup {
    html! {
        p.speeds {
            @match (load.slow_minutes, load.fast_minutes) {
                (Some(slow), Some(fast)) => { b { (words::speeds(slow, fast)) } }
                _ => { (words::NO_MINUTES) }
            }
        }
        p.speeds {
            (words::TARGET) " "
            @match &load.target { Some(target) => b { (texts::celsius(target)) }, None => (words::NOT_ON_FILE) }
        }
    }
}

fn water(water: &WaterView) -> Markup {
    html! {
        @match water.state {
            "none" => {}
            "poured" => { div.water { (poured(water)) } }
            "too-cold" => {
                div.water {
                    p { "water " (amount(&water.all)) " at ______ °C" }
                    p.loud { (words::TOO_COLD) }
                    @if let Some(sum) = &water.sum { p.remark { (sum) } }
                }
            }
            _ => {
                div.water {
                    p { "water " (amount(&water.all)) " at ______ °C" }
                    p { "ice ________" }
                    p.remark { (words::missing(&water.missing)) }
                }
            }
        }
    }
}

fn poured(water: &WaterView) -> Markup {
    let warm = texts::celsius(water.temperature.as_deref().unwrap_or_default());
    html! {
        @match &water.ice {
            Some(ice) => {
                p { "tap water " (amount_of(water.water.as_ref())) }
                p { "+ ice " (amount(ice)) }
                p { "= " (water.all.amount) " " (water.all.unit) ", " (words::together(&warm)) " " b.digits { (warm) } }
            }
            None => { p { "water " (amount_of(water.water.as_ref())) " at " b.digits { (warm) } } }
        }
        @if let Some(sum) = &water.sum { p.remark { (sum) } }
    }
}

fn amount_of(printed: Option<&crate::wire::printed::PrintedView>) -> Markup {
    html! { @if let Some(printed) = printed { (amount(printed)) } }
}

/// What the hand writes back.
fn boxes(preferment: bool) -> Markup {
    let names = words::MEASURED.into_iter().chain(preferment.then_some(words::PREFERMENT));
    html! {
        p.measured {
            @for name in names { span { (name) i.blank-box {} } }
        }
    }
}

fn out(work_date: &str, load: &MixLoadView) -> Markup {
    html! {
        p.out {
            span { "out: " b { (words::tubs(load.out.tubs, &load.out.each)) } }
            span {
                "next: "
                @match &load.next {
                    Some(next) => { b { (next.step) " " (texts::moment_on(work_date, &next.at)) } }
                    None => (words::NO_TIME)
                }
            }
        }
        @if !load.gives.is_empty() {
            p.gives {
                "must give: "
                @for (at, gives) in load.gives.iter().enumerate() {
                    @if at > 0 { ", " }
                    b { (gives.count) } @if gives.unit == "blocks" { " blocks" } " " (gives.name)
                }
            }
        }
    }
}
