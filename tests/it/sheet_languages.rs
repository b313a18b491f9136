//! Sheets in every language: the same figures, no message without words, nothing left over of
//! another language but what a record or a person wrote.

use anyhow::{Context, Result, ensure};
use std::collections::{BTreeMap, BTreeSet};
use weighhouse_tests::{client::Client, demo, server::Server, source};

const SHEETS: [&str; 20] = [
    "/v1/work-dates/2026-06-11/weigh-out",
    "/v1/work-dates/2026-06-11/pick-list",
    "/v1/work-dates/2026-06-11/prep-sheet",
    "/v1/work-dates/2026-06-11/mix-sheet",
    "/v1/work-dates/2026-06-11/bench-sheet",
    "/v1/work-dates/2026-06-11/bake-sheet",
    "/v1/work-dates/2026-06-11/day-board",
    "/v1/work-dates/2026-06-11/fridge",
    "/v1/service-dates/2026-06-12/drop-sheet",
    "/v1/service-dates/2026-06-12/schedule",
    "/v1/service-dates/2026-06-12/costs",
    "/v1/shortages",
    "/v1/count-sheets",
    "/v1/service-dates/2026-06-12/cuts",
    "/v1/service-dates/2026-06-12/substitutes/wholemeal-for-rye",
    "/v1/stock/expiring",
    "/v1/waste",
    "/v1/allergen-matrix",
    "/v1/products/fruit-bun/allergens",
    "/v1/products/fruit-bun/label",
];

/// English words of the messages that no item, product or customer of the demo has in its name.
const ENGLISH: [&str; 14] = [
    "amount",
    "because",
    "caution",
    "contains",
    "counted",
    "ingredient",
    "ingredients",
    "loads",
    "pieces",
    "printed",
    "revision",
    "trays",
    "until",
    "where",
];

fn page(client: &Client, path: &str, language: &str) -> Result<String> {
    let mark = if path.contains('?') { '&' } else { '?' };
    let path = format!("{path}{mark}language={language}");
    let reply = client.get_as(&path, "text/html")?;
    ensure!(reply.status == 200, "{path}: {}", reply.text());
    Ok(reply.text())
}

/// A page without its drawings and without what stands there in English on purpose.
fn own_words(page: &str) -> String {
    let (mut words, mut rest) = (String::new(), page);
    while let Some((before, after)) = rest.split_once('<') {
        words.push_str(before);
        words.push(' ');
        let (tag, inside) = after.split_once('>').unwrap_or((after, ""));
        let name = tag.split(' ').next().unwrap_or_default();
        let skipped = ["svg", "title", "style"].contains(&name) || tag.contains("lang=\"en\"");
        rest = if skipped { behind(name, inside) } else { inside };
    }
    words + rest
}

/// What follows the end of an element; others of its name may stand in it.
fn behind<'a>(name: &str, mut inside: &'a str) -> &'a str {
    let mut depth = 1;
    while let Some((_, after)) = inside.split_once('<') {
        let (tag, more) = after.split_once('>').unwrap_or((after, ""));
        inside = more;
        match tag.split(' ').next().unwrap_or_default() {
            found if found == name => depth += 1,
            found if found.strip_prefix('/') == Some(name) => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            break;
        }
    }
    inside
}

/// Numbers and clocks, by how often each stands there; a decimal comma counts as a point, and
/// of a date as English sentences write it only the day.
fn figures(words: &str) -> BTreeMap<String, usize> {
    let mut found = BTreeMap::new();
    for word in
        words.replace("2026-06-", "").split(|c: char| !c.is_ascii_digit() && !".,:".contains(c))
    {
        let figure = word.trim_matches(['.', ',', ':']).replace(',', ".");
        if !figure.is_empty() {
            *found.entry(figure).or_insert(0) += 1;
        }
    }
    found
}

fn messages() -> Result<BTreeSet<String>> {
    let mut names = BTreeSet::new();
    for source in source::texts()? {
        if source.path.starts_with("api/src/messages/en/") {
            let lines = source.text.lines().filter_map(|line| line.split_once(" = "));
            names.extend(lines.map(|(name, _)| name.to_owned()).filter(|name| name.contains('-')));
        }
    }
    ensure!(names.len() > 300, "only {} messages were found", names.len());
    Ok(names)
}

#[test]
fn every_sheet_says_the_same_in_every_language() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let names = messages()?;
    let mut seen = 0;
    for path in SHEETS {
        let english = page(server.client(), path, "en")?;
        ensure!(english.contains("<html lang=\"en\">"), "{path}");
        let first = figures(&own_words(&english.replace(" lang=\"en\"", "")));
        for language in ["de", "fr"] {
            let page = page(server.client(), path, language)?;
            ensure!(page.contains(&format!("<html lang=\"{language}\">")), "{path} {language}");
            let words = own_words(&page);
            for word in words.split(|c: char| !c.is_alphanumeric() && c != '-') {
                ensure!(!names.contains(word), "{path} {language}: `{word}` has no words");
                ensure!(!ENGLISH.contains(&word), "{path} {language}: `{word}` is English");
            }
            let other = figures(&own_words(&page.replace(" lang=\"en\"", "")));
            for figure in first.keys().chain(other.keys()) {
                let times = (first.get(figure), other.get(figure));
                ensure!(times.0 == times.1, "{path} {language}: {figure} stands {times:?}");
            }
            seen += other.len();
        }
    }
    ensure!(seen > 500, "only {seen} figures were compared");
    Ok(())
}

#[test]
fn allergens_and_cautions_are_said_in_the_language_of_the_sheet() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    // Source: Regulation (EU) 1169/2011, Annex II, in German and in French, from memory.
    for (language, allergen, caution) in [
        ("de", "enthält Weizen", "Rohen Teig und Mehl nicht probieren."),
        ("fr", "contient blé", "Ne goûtez ni pâte crue ni farine."),
    ] {
        let page = page(server.client(), SHEETS[0], language)?;
        ensure!(page.contains(allergen), "{language}: {allergen}");
        let sheets = page.matches("<main").count();
        ensure!(page.matches(caution).count() == sheets, "{language}: {caution}");
    }
    Ok(())
}

#[test]
fn address_cookie_and_browser_choose_the_language_in_this_order() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let speaks = |client: &Client, path: &str| -> Result<String> {
        let text = client.get_as(path, "text/html")?.text();
        let (_, rest) = text.split_once("<html lang=\"").context("a language")?;
        Ok(rest.chars().take(2).collect())
    };
    let german = client.with("Accept-Language", "de-AT, en;q=0.5");
    let french = german.with("Cookie", "weighhouse-language=fr");
    ensure!(speaks(client, SHEETS[1])? == "en");
    ensure!(speaks(&german, SHEETS[1])? == "de");
    ensure!(speaks(&french, SHEETS[1])? == "fr");
    ensure!(speaks(&french, &format!("{}?language=en", SHEETS[1]))? == "en");
    let unknown = client.get_as(&format!("{}?language=xx", SHEETS[1]), "text/html")?;
    ensure!(unknown.status == 400 && unknown.text().contains("en, de, fr"), "{}", unknown.text());
    let json = |client: &Client| client.get_as(SHEETS[1], "application/json");
    ensure!(json(client)?.body == json(&german)?.body, "JSON speaks one language");
    Ok(())
}

#[test]
fn a_sheet_is_kept_by_its_language_and_its_file_says_which() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let file = |server: &Server, language: &str| -> Result<Vec<u8>> {
        let path = format!("{}?language={language}", SHEETS[0]);
        Ok(server.client().get_as(&path, "application/pdf")?.body)
    };
    let (german, french) = (file(&server, "de")?, file(&server, "fr")?);
    ensure!(german != french && german == file(&server, "de")?, "one file for each language");
    for (language, file) in [("de", german), ("fr", french)] {
        // Source: ISO 32000-1, 14.9.2: the natural language of a document.
        let said = String::from_utf8_lossy(&file).contains(&format!("/Lang({language})"));
        ensure!(said, "{language} is not the language of its file");
    }
    Ok(())
}

/// Sheets on which words of the records or of a label stay as they are typed; on all others
/// nothing stays in another language.
const AS_TYPED: [&str; 2] = ["/v1/allergen-matrix", "/v1/products/fruit-bun/label"];

/// What a plan says of the demo day, as whole sentences.
const SENTENCES: [(&str, &str, &str); 8] = [
    (
        "de",
        "day-board",
        "Whole milk: es fehlen 10,77 kg, zuerst für Detrempe am Do 11. Juni, 10:00",
    ),
    (
        "fr",
        "day-board",
        "Whole milk : il manque 10,77 kg, d’abord pour Detrempe le jeu. 11 juin, 10:00",
    ),
    (
        "de",
        "day-board",
        "Whole milk, Los M-0611: sein Verbrauchsdatum endet, bevor Custard vom Do 11. Juni für \
         Fr 12. Juni gebacken wird; erlaubt, wenn es vor Mitternacht dieses Tages hineinkommt und \
         der Teig das richtige Alter hat",
    ),
    (
        "fr",
        "day-board",
        "Whole milk, lot M-0611 : sa date limite est passée avant que Custard du jeu. 11 juin soit \
         cuit pour le ven. 12 juin ; permis s’il entre avant minuit de ce jour et si la pâte a le \
         bon âge",
    ),
    ("de", "day-board", "2 × Whole milk (12 × 1 L) bei The dairy bestellen"),
    ("fr", "day-board", "commander 2 × Whole milk (12 × 1 L) chez The dairy"),
    (
        "de",
        "weigh-out",
        "kam nach dem Annahmeschluss für Fr 12. Juni und ist hier mitgezählt: \
         harbour-cafe-2026-06-12; fragen, ob es gemacht wird",
    ),
    (
        "fr",
        "weigh-out",
        "arrivé après l’heure limite pour le ven. 12 juin et compté ici : harbour-cafe-2026-06-12 ; \
         demander si on le fait",
    ),
];

/// What a page says, without its marks of lines and with single spaces.
fn said(page: &str) -> String {
    own_words(page).split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn what_a_plan_says_is_said_in_the_language_of_the_sheet() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    for language in ["de", "fr"] {
        for path in SHEETS.into_iter().filter(|path| !AS_TYPED.contains(path)) {
            let page = page(client, path, language)?;
            ensure!(!page.contains("lang=\"en\""), "{path} {language} speaks English");
        }
    }
    for (language, sheet, sentence) in SENTENCES {
        let page = said(&page(client, &format!("/v1/work-dates/2026-06-11/{sheet}"), language)?);
        ensure!(page.contains(sentence), "{sheet} {language}: `{sentence}` is not in\n{page}");
    }
    Ok(())
}
