//! The settings of the house, as its bakery document states them.

use super::ways;
use crate::{
    messages::Words,
    pages::{Page, Shown},
    service::{Refusal, bakery},
    state::State,
    wire::amount::MoneyView,
};
use domain::bakery::Site;
use jiff::civil::{Time, Weekday};
use maud::{Markup, html};

pub(super) fn page(state: &State, words: Words) -> Shown {
    let bakery = match state.store.read(|tx| bakery::load(state, tx)) {
        Ok(bakery) => Some(bakery),
        // Tokens are made before a bakery is loaded.
        Err(Refusal::NoBakery) => None,
        Err(other) => return Err(other),
    };
    Ok(Page {
        title: words.say("settings-title"),
        main: html! {
            (ways(words))
            section {
                h2 { (words.say("settings-house")) }
                @match &bakery {
                    Some(bakery) => (facts(words, bakery.site())),
                    None => p { (words.say("problem-no-bakery")) },
                }
                p.hint { (words.say("settings-written")) }
                p.links {
                    a href="/v1/bakery/workbook" { (words.say("settings-workbook")) }
                    a href="/v1/bakery" { (words.say("settings-document")) }
                }
            }
        },
    })
}

fn facts(words: Words, site: &Site) -> Markup {
    let yes = |yes: bool| words.say(if yes { "settings-yes" } else { "settings-no" });
    let open: Vec<String> = site.open_weekdays.iter().map(|day| weekday(words, *day)).collect();
    let closed: Vec<String> = site.closed_dates.iter().map(|date| words.full_day(*date)).collect();
    let reasons: Vec<&str> = site.waste_reasons.iter().map(|code| code.as_str()).collect();
    let rows = [
        ("settings-name", site.name.clone()),
        ("settings-code", site.code.to_string()),
        ("settings-zone", site.time_zone.iana_name().unwrap_or("–").to_owned()),
        ("settings-currency", site.currency.to_string()),
        ("settings-open", listed(&open)),
        ("settings-closed", listed(&closed)),
        ("settings-strict", yes(site.use_by_strict)),
        ("settings-weeks", site.count_weeks.to_string()),
        ("settings-reasons", reasons.join(", ")),
        ("settings-regulation", unsaid(words, site.regulation.as_ref().map(ToString::to_string))),
        ("settings-wage", unsaid(words, wage(words, site))),
        ("settings-temperatures", unsaid(words, temperatures(words, site))),
    ];
    let clock = |time: Time| time.strftime("%H:%M").to_string();
    html! {
        dl {
            @for (name, text) in rows { dt { (words.say(name)) } dd { (text) } }
            @for team in &site.teams {
                dt { (words.tell("settings-team", &[("team", team.code.to_string().into())])) }
                dd { (clock(team.from)) " – " (clock(team.to)) }
            }
        }
    }
}

fn weekday(words: Words, day: Weekday) -> String {
    words.say(&format!("weekday-long-{}", day.to_monday_one_offset()))
}

fn listed(texts: &[String]) -> String {
    if texts.is_empty() { "–".to_owned() } else { texts.join(", ") }
}

fn unsaid(words: Words, text: Option<String>) -> String {
    text.unwrap_or_else(|| words.say("settings-unsaid"))
}

fn wage(words: Words, site: &Site) -> Option<String> {
    let money = site.labour.as_ref()?.per_hour?;
    Some(words.digits(&MoneyView::new(money.minor, money.currency).said()))
}

fn temperatures(words: Words, site: &Site) -> Option<String> {
    let usual = site.temperatures.as_ref()?;
    let named = [
        ("settings-flour", Some(usual.flour)),
        ("settings-room", Some(usual.room)),
        ("settings-tap", Some(usual.tap)),
        ("settings-preferment", usual.preferment),
    ];
    let said = named.into_iter().filter_map(|(name, degrees)| {
        Some(format!("{} {}", words.say(name), words.amount(&degrees?.decimal(), "°C")))
    });
    Some(said.collect::<Vec<_>>().join(", "))
}
