//! Codes on packs: read whatever they are, written and read again, and taken in as receipts.

use anyhow::{Context, Result, ensure};
use domain::scan::{Element, Scan, check_digit};
use serde_json::json;
use weighhouse_tests::{builders::Seed, exact::parse, server::Server, stockroom};

/// Random texts, and random scans.
const TEXTS: u64 = 20_000;
const SCANS: u64 = 2_000;
/// A number of a pack whose last digit fits (check-values GS-07).
const GTIN: &str = "09506000134352";

/// Pieces of which a wild text is put together: parts of codes, and what no code has.
const PIECES: [&str; 24] = [
    "01",
    "09506000134352",
    "10",
    "LOT7",
    "\u{1d}",
    "^",
    "]C1",
    "]E0",
    "(01)",
    "(10)",
    "(",
    ")",
    "\\(",
    "17",
    "261130",
    "3103",
    "001250",
    "https://",
    "id.gs1.org/",
    "/01/",
    "?",
    "%2",
    "é",
    "0",
];

#[test]
fn no_text_breaks_the_reader_and_each_fault_lies_in_the_text() {
    let mut seed = Seed::new(7);
    for number in 0..TEXTS {
        let count = seed.below(12);
        let text: String = (0..count).map(|_| seed.pick(&PIECES)).collect();
        if let Err(faults) = Scan::read(&text) {
            let length = text.chars().count();
            for fault in faults {
                assert!(fault.position <= length, "{number}: {text:?}: {fault:?}");
                assert!(!fault.detail.is_empty(), "{number}: {text:?}");
            }
        }
    }
}

fn digits(seed: &mut Seed, count: u64) -> String {
    (0..count).map(|_| char::from(b'0' + u8::try_from(seed.below(10)).unwrap_or(0))).collect()
}

fn checked(seed: &mut Seed, count: u64) -> String {
    let others = digits(seed, count - 1);
    let last = check_digit(&others).unwrap_or(0);
    format!("{others}{last}")
}

fn signs(seed: &mut Seed, most: u64) -> String {
    const SIGNS: &[u8] = b"AZaz09!\"%&'()*+,-./:;<=>?_";
    let count = 1 + seed.below(most);
    (0..count).map(|_| char::from(seed.pick(SIGNS))).collect()
}

/// Elements that a code can hold together, each at most once.
fn elements(seed: &mut Seed) -> Vec<Element> {
    let date = |seed: &mut Seed| {
        format!("{:02}{:02}{:02}", seed.below(100), 1 + seed.below(12), seed.below(29))
    };
    let mut all = vec![("01", checked(seed, 14))];
    if seed.chance(60) {
        all.push(("17", date(seed)));
    }
    if seed.chance(40) {
        all.push(("15", date(seed)));
    }
    if seed.chance(70) {
        all.push(("10", signs(seed, 20)));
    }
    if seed.chance(40) {
        all.push(("3103", digits(seed, 6)));
    }
    if seed.chance(30) {
        all.push(("30", digits(seed, 1 + seed.clone().below(8))));
    }
    if seed.chance(30) {
        all.push(("21", signs(seed, 20)));
    }
    let mut all: Vec<Element> = all
        .into_iter()
        .map(|(identifier, value)| Element { identifier: identifier.to_owned(), value })
        .collect();
    seed.shuffle(&mut all);
    all
}

#[test]
fn what_is_written_is_read_again_in_each_form() -> Result<()> {
    for number in 0..SCANS {
        let mut seed = Seed::new(number);
        let scan = Scan::new(elements(&mut seed));
        let scan = scan.map_err(|faults| anyhow::anyhow!("seed {number}: {faults:?}"))?;
        for text in [scan.element_string(), format!("]d2{}", scan.element_string())] {
            let again = Scan::read(&text);
            ensure!(again.as_ref() == Ok(&scan), "seed {number}: {text:?}: {again:?}");
        }
        let brackets = Scan::read(&scan.bracketed());
        ensure!(brackets.as_ref() == Ok(&scan), "seed {number}: {}", scan.bracketed());
        // A link has an order of its own.
        let link = scan.digital_link("https://id.gs1.org").context("a link")?;
        let again = Scan::read(&link).map_err(|faults| anyhow::anyhow!("{link}: {faults:?}"))?;
        let sorted = |scan: &Scan| {
            let mut all = scan.elements().to_vec();
            all.sort();
            all
        };
        ensure!(sorted(&again) == sorted(&scan), "seed {number}: {link}");
    }
    Ok(())
}

/// The demo bakery whose case of milk has a number.
fn served() -> Result<Server> {
    let mut bakery = stockroom::bakery()?;
    let packs = bakery["packs"].as_array_mut().context("packs")?;
    let milk = packs.iter_mut().find(|pack| pack["item"] == "whole-milk").context("milk")?;
    milk["gtin"] = json!(GTIN);
    let server = Server::start(weighhouse_tests::demo::NOW)?;
    server.client().put_bakery(&bakery)?.success()?;
    Ok(server)
}

#[test]
fn a_scan_is_read_as_a_receipt_and_taken_in_with_what_the_hand_adds() -> Result<()> {
    let server = served()?;
    let client = server.client();
    // Source: GS-20, without its weight: two cases of 12 x 1 L.
    let text = format!("]C101{GTIN}1726113010LOT7");
    let draft = client.post("/v1/receipts/scan", &json!({"scan": text, "packs": 2}))?.success()?;
    ensure!(draft["item"] == "whole-milk" && draft["supplier"] == "dairy", "{draft}");
    ensure!(draft["lot"] == "LOT7" && draft["use_by"] == "2026-11-30", "{draft}");
    let litres = parse(draft["quantity"]["amount"].as_str().context("an amount")?)?;
    ensure!(litres == parse("24000")? && draft["quantity"]["unit"] == "mL", "{draft}");
    let receipt = json!({"scan": text, "packs": 2, "received": "2026-06-10", "place": "chiller"});
    let lot = client.post("/v1/receipts", &receipt)?.success()?;
    ensure!(lot["lot"] == "LOT7" && lot["use_by"] == "2026-11-30", "{lot}");
    // The hand wins over the code; the house names a lot that has no name.
    let receipt = json!({"scan": GTIN, "received": "2026-06-10", "place": "chiller",
        "best_before": "2026-06-20", "quantity": {"amount": "6", "unit": "L"}});
    let lot = client.post("/v1/receipts", &receipt)?.success()?;
    ensure!(lot["lot"] == "dairy-260610-1" && lot["best_before"] == "2026-06-20", "{lot}");
    let milk = parse(lot["quantity"]["amount"].as_str().context("an amount")?)?;
    ensure!(milk == parse("6000")? || milk == parse("6180")?, "{lot}");
    // A code that cannot be names the character; an unknown pack is no guess.
    let wrong = client.post("/v1/receipts/scan", &json!({"scan": "(01)95012345678902"}))?;
    ensure!(wrong.status == 422 && wrong.text().contains("character 1"), "{}", wrong.text());
    let unknown = json!({"scan": "(01)95012345678903(3103)000123"});
    let draft = client.post("/v1/receipts/scan", &unknown)?.success()?;
    ensure!(draft["item"].is_null() && draft["notes"].to_string().contains("no pack"), "{draft}");
    let refused = json!({"scan": "(01)95012345678903", "received": "2026-06-10"});
    let refused = client.post("/v1/receipts", &refused)?;
    ensure!(refused.status == 422, "{}", refused.text());
    let errors = refused.json()?["errors"].as_array().map(Vec::len);
    ensure!(errors == Some(2), "item and quantity are missing: {}", refused.text());
    Ok(())
}
