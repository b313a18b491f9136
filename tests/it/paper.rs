//! Sheets as PDF, read back: what stands on paper is what the JSON says.

use anyhow::{Context, Result, bail, ensure};
use serde_json::Value;
use std::{
    collections::BTreeMap,
    io::Write as _,
    process::{Command, Stdio},
};
use weighhouse_tests::{demo, server::Server};

const DATE: &str = "2026-06-11";

/// The words of a file, as another program reads them.
fn words(file: &[u8]) -> Result<String> {
    let mut child = Command::new("pdftotext")
        .args(["-layout", "-", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .context("pdftotext is missing: install poppler-utils")?;
    let mut stdin = child.stdin.take().context("a pipe")?;
    let bytes = file.to_vec();
    let writer = std::thread::spawn(move || stdin.write_all(&bytes));
    let output = child.wait_with_output()?;
    let written = writer.join();
    if !output.status.success() || !matches!(written, Ok(Ok(()))) {
        bail!("pdftotext cannot read the file");
    }
    Ok(String::from_utf8_lossy(&output.stdout).into_owned())
}

fn pdf(server: &Server, sheet: &str) -> Result<Vec<u8>> {
    let path = format!("/v1/work-dates/{DATE}/{sheet}");
    let reply = server.client().get_as(&path, "application/pdf")?;
    assert_eq!((reply.status, reply.media_type.as_str()), (200, "application/pdf"), "{path}");
    Ok(reply.body)
}

/// Printed amounts of the lines of a weigh-out, as they stand on paper.
fn printed(weigh_out: &Value) -> Vec<String> {
    let mut found = Vec::new();
    for block in weigh_out["blocks"].as_array().into_iter().flatten() {
        for page in block["pages"].as_array().into_iter().flatten() {
            for line in page["lines"].as_array().into_iter().flatten() {
                found.extend(line["printed"]["amount"].as_str().map(str::to_owned));
            }
        }
    }
    found
}

#[test]
fn every_amount_of_the_weigh_out_stands_on_its_paper() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let view = server.client().weigh_out(DATE)?;
    let amounts = printed(&view);
    assert!(amounts.len() > 20, "{amounts:?}");
    let text = words(&pdf(&server, "weigh-out")?)?;
    for amount in &amounts {
        let stands = text.split_whitespace().any(|word| word == amount);
        assert!(stands, "{amount} is not on paper");
    }
    // Source: trade rules, part 6: what must be printed on a weigh-out.
    assert!(text.contains("Not a food-safety plan"), "the cautions are printed");
    assert!(text.contains("1 / "), "pages are numbered");
    Ok(())
}

#[test]
fn every_sheet_comes_as_a_tagged_file_and_twice_the_same() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let sheets = [
        "weigh-out",
        "pick-list",
        "prep-sheet",
        "mix-sheet",
        "bench-sheet",
        "bake-sheet",
        "day-board",
        "fridge",
    ];
    for sheet in sheets {
        let once = pdf(&server, sheet)?;
        assert_eq!(once, pdf(&server, sheet)?, "{sheet}: the same plan gives the same bytes");
        let raw = String::from_utf8_lossy(&once);
        assert!(raw.contains("/StructTreeRoot"), "{sheet} has no tags");
        let day = "Thu 11 Jun";
        assert!(words(&once)?.contains(day), "{sheet} does not say {day}");
    }
    let shortages = server.client().get_as("/v1/shortages", "application/pdf")?;
    assert!(shortages.body.starts_with(b"%PDF-"));
    Ok(())
}

/// Clocks, numbers and amounts that begin a word, by how often each stands there.
fn figures(text: &str) -> BTreeMap<&str, usize> {
    let mut found = BTreeMap::new();
    // What reads files joins narrow blanks: `7 × 1 L` comes as `7×1L`.
    for word in text.split(|c: char| c.is_whitespace() || "()·×+".contains(c)) {
        let end = word.find(|c: char| !c.is_ascii_digit() && !":.,".contains(c));
        let figure = word[..end.unwrap_or(word.len())].trim_end_matches([':', '.', ',']);
        if figure.starts_with(|c: char| c.is_ascii_digit()) {
            *found.entry(figure).or_insert(0) += 1;
        }
    }
    found
}

/// The words of a page without its drawings; elements end a word as blanks do.
fn page_words(page: &str) -> String {
    let (mut words, mut rest) = (String::new(), page);
    while let Some((before, after)) = rest.split_once('<') {
        words.push_str(before);
        words.push(' ');
        let skipped = ["svg", "style", "title"].into_iter().find(|tag| after.starts_with(tag));
        let end = skipped.map_or(">".to_owned(), |tag| format!("</{tag}>"));
        rest = after.split_once(end.as_str()).map_or("", |(_, after)| after);
    }
    words
}

#[test]
fn no_figure_of_a_page_is_cut_on_its_paper_and_no_box_loses_its_name() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let mut seen = 0;
    let sheets = ["pick-list", "weigh-out", "prep-sheet", "mix-sheet", "bench-sheet", "bake-sheet"];
    // Words of other languages are longer: nothing may be pushed off its paper by them.
    let runs = [
        ("2026-06-10", "en", "dough °C"),
        (DATE, "en", "dough °C"),
        ("2026-06-12", "en", "dough °C"),
        (DATE, "de", "Teig °C"),
        (DATE, "fr", "pâte °C"),
    ];
    for (date, language, name) in runs {
        for sheet in sheets {
            let path = format!("/v1/work-dates/{date}/{sheet}?language={language}");
            let page = page_words(&server.client().get_as(&path, "text/html")?.text());
            let paper = words(&server.client().get_as(&path, "application/pdf")?.body)?;
            let stands = figures(&paper);
            for (figure, times) in figures(&page) {
                let there = stands.get(figure).copied().unwrap_or(0);
                ensure!(there >= times, "{path}: {figure} stands {there} times, not {times}");
                seen += times;
            }
            let named = |text: &str| text.matches(name).count();
            ensure!(named(&paper) == named(&page), "{path}: boxes without a name");
            seen += named(&page);
        }
    }
    ensure!(seen > 1_000, "only {seen} figures were compared");
    Ok(())
}
