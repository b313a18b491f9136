//! Kept dough, poolish, levain and custard: which age counts, and what it spares.

use super::{BEFORE, FRIDAY, Yard, bakery};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};

fn made(at: &str) -> Value {
    json!({"made_at": at, "place": "chiller"})
}

/// # Source
/// Reading R8: the first service date at whose divide the age fits; both ends in.
#[test]
fn dough_that_is_too_young_for_friday_is_used_on_saturday() -> Result<()> {
    let yard = Yard::open("2026-06-11T09:30:00+02:00", &bakery())?;
    yard.order("roll", 20)?;
    yard.order_for("2026-06-13", "07:00", "roll", 20)?;
    // One second too young on Thursday 13:00, and 36 h old less a second on Friday 13:00.
    yard.lot("dough", "young", "1000", &made("2026-06-11T01:00:01+02:00"))?;
    ensure!(yard.kept(FRIDAY, "young")?["state"] == "not ready");
    Yard::is(&yard.batch(FRIDAY_DOUGH)?["aged_dough_credit"], "0")?;
    let row = yard.kept("2026-06-13", "young")?;
    ensure!(row["state"] == "ready" && row["at"] == "2026-06-12T13:00:00+02:00", "{row}");
    let saturday = yard.batch_for("2026-06-13", "dough")?;
    Yard::is(&saturday["aged_dough_credit"], "950")?;
    // 20 x 500 g asked, 950 g spared, then the scrap of what is new: 9 050 / 0.95.
    Yard::is(&saturday["net"], "9050")?;
    Yard::is(&saturday["gross"], "9526.315789")
}

const FRIDAY_DOUGH: &str = "dough";

/// # Source
/// Reading R8, trade.md 2.7: above the most age STOP, with its levers.
#[test]
fn over_age_is_stop_in_words_everywhere_and_nothing_is_taken() -> Result<()> {
    let mut bakery = bakery();
    let formulas = bakery["formulas"].as_array_mut().context("formulas")?;
    formulas.push(json!({"code": "rustic", "base": "parts", "made": {"day": -1, "time": "12:00"},
        "lines": [{"item": "white", "parts": "100", "flour": true}, {"item": "water", "parts": "60"},
            {"item": "dough", "parts": "20", "previous_batch": true, "old_dough":
                {"age": {"least": "PT8H", "most": "PT72H"}, "maximum": "30"}}]}));
    let yard = Yard::open("2026-06-11T13:00:01+02:00", &bakery)?;
    yard.order_for("2026-06-13", "07:00", "roll", 20)?;
    yard.lot("dough", "old", "1000", &made("2026-06-09T13:00:00+02:00"))?;
    Yard::is(&yard.batch_for("2026-06-13", "dough")?["aged_dough_credit"], "0")?;
    let row = yard.kept("2026-06-13", "old")?;
    ensure!(row["state"] == "STOP", "{row}");
    let levers = json!([
        "old dough for rustic until Fri 12 Jun 13:00: at most 30 % of its new flour; \
         no mix of it is planned by then",
        "write it off as waste; what it cost is not known: no price"
    ]);
    ensure!(row["levers"] == levers, "{row}");
    let fridge = yard.sheet("2026-06-11", "fridge")?;
    ensure!(fridge["lots"][0]["state"] == "STOP", "{fridge}");
    ensure!(fridge["lots"][0]["last"] == "2026-06-11T13:00:00+02:00", "both ends are in");
    let page = yard.page("2026-06-11", "fridge")?;
    ensure!(page.contains("STOP: dough, lot old, is over its age"), "{page}");
    ensure!(page.contains("old dough for rustic until Fri 12 Jun 13:00"), "{page}");
    Ok(())
}

/// The last instant at which it may be used is still good on the fridge sheet.
#[test]
fn the_fridge_sheet_says_ready_best_and_last_to_the_second() -> Result<()> {
    for (now, state) in [
        ("2026-06-10T00:59:59+02:00", "not ready"),
        ("2026-06-10T01:00:00+02:00", "ready"),
        ("2026-06-11T13:00:00+02:00", "ready"),
        ("2026-06-11T13:00:01+02:00", "STOP"),
    ] {
        let yard = Yard::open(now, &bakery())?;
        yard.lot("dough", "tub", "1000", &made("2026-06-09T13:00:00+02:00"))?;
        let fridge = yard.sheet(&now[..10], "fridge")?;
        let lot = &fridge["lots"][0];
        ensure!(lot["state"] == state, "{now}: {lot}");
        ensure!(lot["ready_from"] == "2026-06-10T01:00:00+02:00", "{lot}");
        ensure!(lot["best_from"] == "2026-06-10T09:00:00+02:00", "{lot}");
        ensure!(lot["last"] == "2026-06-11T13:00:00+02:00", "{lot}");
    }
    Ok(())
}

/// # Source
/// Trade.md 2.7: levain, poolish and the like are taken by their users at the users' instant.
#[test]
fn poolish_counts_at_the_instant_its_dough_takes_it_both_ends_in() -> Result<()> {
    // 10 sticks of 1 kg, half of it poolish: 5 000 g at Thursday 11:00.
    for (made_at, credit) in [
        ("2026-06-11T01:00:00+02:00", "980"),
        ("2026-06-11T01:00:01+02:00", "0"),
        ("2026-06-10T19:00:00+02:00", "980"),
        ("2026-06-10T18:59:59+02:00", "0"),
    ] {
        let yard = Yard::open(BEFORE, &bakery())?;
        yard.order("stick", 10)?;
        let yard = yard.at("2026-06-11T01:30:00+02:00")?;
        yard.lot("poolish", "P", "1000", &made(made_at))?;
        let batch = yard.batch("poolish")?;
        // What stays in the pot when it is taken is lost of kept poolish as well: 2 %.
        Yard::is(&batch["aged_dough_credit"], credit).with_context(|| made_at.to_owned())?;
    }
    Ok(())
}

/// # Source
/// Part 4 of trade.md: usable until the earliest of the lot's own end and its age.
#[test]
fn a_life_bounds_it_too_and_the_lots_own_end_wins_if_it_is_earlier() -> Result<()> {
    // 10 tarts of 90 g at Friday 05:00; of kept custard only the deposit is still lost.
    for (more, credit) in [
        (json!({"made_at": "2026-06-10T05:00:00+02:00"}), "450"),
        (json!({"made_at": "2026-06-10T04:59:59+02:00"}), "0"),
        (
            json!({"made_at": "2026-06-10T06:00:00+02:00",
                "usable_until": "2026-06-12T04:59:59+02:00"}),
            "0",
        ),
        (
            json!({"made_at": "2026-06-10T06:00:00+02:00",
                "usable_until": "2026-06-12T05:00:00+02:00"}),
            "450",
        ),
        (json!({}), "0"),
    ] {
        let yard = Yard::open("2026-06-10T09:30:00+02:00", &bakery())?;
        yard.order("tart", 10)?;
        yard.lot("custard", "C", "500", &more)?;
        let batch = yard.batch("custard")?;
        Yard::is(&batch["aged_dough_credit"], credit).with_context(|| more.to_string())?;
    }
    Ok(())
}

/// Unknown is never good: without its making a lot is named, asked for, and not counted on.
#[test]
fn a_lot_that_says_not_when_it_was_made_is_asked_for() -> Result<()> {
    let yard = Yard::open("2026-06-11T09:30:00+02:00", &bakery())?;
    yard.order("roll", 20)?;
    yard.lot("dough", "who-knows", "1000", &json!({}))?;
    Yard::is(&yard.batch("dough")?["aged_dough_credit"], "0")?;
    let row = yard.kept(FRIDAY, "who-knows")?;
    ensure!(row["state"] == "unknown", "{row}");
    ensure!(row["levers"][0].as_str().is_some_and(|lever| lever.contains("write down when")));
    Ok(())
}

/// The levain in the house seeds its next build first; bread takes what is left.
///
/// 10 loaves of 1 kg take 40/200 = 2 000 g of levain at Thursday 11:00. Without stock its
/// build would be 2 000 / 0.98 + 500 = 2 540.816 g, its seed 20/220 of that: 231.0 g on the
/// scale. Of 1 500 g that leaves 1 269 g, less 2 % in the pot: 1 243.62 g off the 2 000 g.
///
/// # Source
/// Trade.md 2.7 for build, keep-back and window; readings R8 and R9.
#[test]
fn seed_goes_before_bread() -> Result<()> {
    let yard = Yard::open("2026-06-11T01:30:00+02:00", &bakery())?;
    yard.order("loaf", 10)?;
    yard.lot("levain", "LV", "1500", &made("2026-06-11T01:00:00+02:00"))?;
    let batch = yard.batch("levain")?;
    Yard::is(&batch["aged_dough_credit"], "1243.62")?;
    Yard::is(&batch["net"], "756.38")?;
    // 756.38 / 0.98 + 500 g for the next build.
    Yard::is(&batch["mix_mass"], "1271.816327")?;
    let answer = yard.client().requirements(FRIDAY)?;
    let needs = answer["needs"].as_array().context("needs")?;
    let seed = needs.iter().find(|need| need["item"] == "levain").context("the seed is drawn")?;
    // 1 271.816 x 20/220 = 115.62 g.
    Yard::is(&seed["amount"], "115.6")?;
    ensure!(seed["at"] == "2026-06-11T02:00:00+02:00");
    let lot = &yard.sheet("2026-06-11", "fridge")?["lots"][0];
    ensure!(lot["goes_into"] == json!([{"service_date": FRIDAY, "by": ["levain"]}]), "{lot}");
    ensure!(lot["used_for"] == json!([{"service_date": FRIDAY, "by": ["country"]}]), "{lot}");
    Ok(())
}

/// What is printed and explained: which lot goes first, and why less is made.
#[test]
fn the_weigh_out_and_the_chain_name_the_lot() -> Result<()> {
    let yard = Yard::open("2026-06-11T09:30:00+02:00", &bakery())?;
    yard.order("roll", 20)?;
    yard.lot("dough", "tub-3", "3200", &made("2026-06-10T11:00:00+02:00"))?;
    let batch = yard.batch("dough")?;
    ensure!(batch["from_stock"][0]["lot"] == "tub-3", "{batch}");
    ensure!(batch["pieces_per_load"] == json!([]), "reading R4: not printed with aged dough");
    let why = yard.client().get(batch["why"].as_str().context("a link")?)?.success()?;
    ensure!(why.to_string().contains("still to be made"), "{why}");
    let sheet = yard.sheet("2026-06-11", "weigh-out")?;
    let first = "use 3.2 kg of lot tub-3 from Chiller first, at Thu 11 Jun 13:00";
    ensure!(sheet["blocks"][0]["use_first"][0] == first, "{sheet}");
    let page = yard.page("2026-06-11", "weigh-out")?;
    ensure!(page.contains(first), "{page}");
    // It is fetched from the chiller for the bench.
    let pick = yard.sheet("2026-06-11", "pick-list")?;
    let pull = &pick["pull"][0];
    ensure!(pull["item"] == "dough" && pull["to"] == "Bench", "{pick}");
    ensure!(pull["by"] == "2026-06-11T13:00:00+02:00", "{pull}");
    Ok(())
}

/// Kept dough that is enough for all of it leaves nothing to weigh, and the sheet says so.
#[test]
fn enough_kept_dough_leaves_nothing_to_mix() -> Result<()> {
    let yard = Yard::open("2026-06-11T09:30:00+02:00", &bakery())?;
    yard.order("roll", 19)?;
    yard.lot("dough", "tub", "20000", &made("2026-06-10T11:00:00+02:00"))?;
    let batch = yard.batch("dough")?;
    // 19 x 500 g = 9 500 g at the divide: 10 000 g of the tub with its scrap.
    Yard::is(&batch["from_stock"][0]["used"], "10000")?;
    Yard::is(&batch["aged_dough_credit"], "9500")?;
    ensure!(batch["loads"] == 0, "{batch}");
    let page = yard.page("2026-06-11", "weigh-out")?;
    ensure!(page.contains("nothing new is made"), "{page}");
    let needs = yard.client().requirements(FRIDAY)?;
    ensure!(needs["needs"] == json!([]), "{needs}");
    Ok(())
}
