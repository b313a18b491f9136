//! Cases 3, 4, 7 and 8: orders that change after their dough is begun.

use super::{SERVICE_DATE, equal, house, order, serve};
use anyhow::{Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::server::Server;

/// Two loads for twenty loaves: weighed Thursday 17:30 for a drop at 07:00 on Friday, and
/// one load alone at 18:30, for the mixer takes an hour for each.
fn slow(change: impl FnOnce(&mut Value)) -> Value {
    house(|bakery| {
        bakery["mixers"][0]["maximum"][0]["mass"]["amount"] = json!("10");
        bakery["routes"] = json!([{"code": "way", "limits": [], "steps": [
            {"step": "weigh", "minutes": 30},
            {"step": "mix", "per_load": 60, "between": 0},
            {"step": "prove", "minutes": 600},
            {"step": "bake", "minutes": 60},
        ]}]);
        bakery["formulas"][0]["made"] = json!({"route": "way", "step": "weigh", "drop": "07:00"});
        change(bakery);
    })
}

/// The house with an order of twenty loaves that came in time, at another moment.
fn ordered(bakery: &Value, now: &str) -> Result<Server> {
    let server = serve(bakery, super::NOW)?;
    server.client().post_order(&order(1, SERVICE_DATE, "loaf", 20))?.success()?;
    server.at(now)
}

/// The answer to version 2 of it, and its line.
fn amended(server: &Server, loaves: i64) -> Result<(Value, Value)> {
    let reply = server.client().post_order(&order(2, SERVICE_DATE, "loaf", loaves))?;
    let answer = reply.success()?;
    let line = answer["lines"][0].clone();
    Ok((answer, line))
}

fn says(line: &Value, words: &[&str]) -> Result<()> {
    let sentence = line["sentence"].as_str().unwrap_or_default();
    for word in words {
        ensure!(sentence.contains(word), "`{word}` is not said: {sentence}");
    }
    Ok(())
}

#[test]
fn case_3_before_the_first_step_the_mix_grows() -> Result<()> {
    let server = ordered(&slow(|_| ()), "2026-06-11T17:30:00+02:00")?;
    let (answer, line) = amended(&server, 32)?;
    equal(&answer["state"], &json!("taken"))?;
    equal(&line["quantity_taken"], &json!(32))?;
    // Exactly at the first step is in time (readings R22).
    equal(&line["cutoff"], &json!("2026-06-11T17:30:00+02:00"))
}

#[test]
fn case_3_an_extra_load_makes_it_if_it_is_large_enough_and_in_time() -> Result<()> {
    // Source: trade.md 2.10, "up -> stock, overs, then extra load if >= min and in time".
    let server = ordered(&slow(|_| ()), "2026-06-11T18:00:00+02:00")?;
    let (answer, line) = amended(&server, 25)?;
    equal(&answer["state"], &json!("taken-late-asking"))?;
    equal(&line["quantity_taken"], &json!(25))?;
    equal(&line["reason"], &json!("extra-load"))?;
    says(&line, &["5 from an extra load", "Thu 11 Jun 18:30"])
}

#[test]
fn case_3_an_extra_load_under_the_minimum_is_not_made() -> Result<()> {
    let server = ordered(&slow(|_| ()), "2026-06-11T18:00:00+02:00")?;
    let (answer, line) = amended(&server, 22)?;
    equal(&answer["state"], &json!("part-taken"))?;
    equal(&line["state"], &json!("part-taken"))?;
    equal(&line["quantity_taken"], &json!(20))?;
    equal(&line["reason"], &json!("too-late"))?;
    says(&line, &["20 of 22", "weighed Thu 11 Jun 17:30", "2 kg", "needs 4 kg"])?;
    equal(&line["earliest"], &json!("2026-06-13T07:00:00+02:00"))
}

#[test]
fn what_was_said_of_a_line_is_read_in_the_readers_language_wherever_it_is_shown() -> Result<()> {
    let server = ordered(&slow(|_| ()), "2026-06-11T18:00:00+02:00")?;
    let (answer, line) = amended(&server, 22)?;
    let english = "20 of 22 pieces taken. Too late: dough weighed Thu 11 Jun 17:30. No extra load: \
                   dough would be a load of 2 kg, and spiral needs 4 kg: a person decides what to do \
                   with it. Earliest for this drop time: Sat 13 Jun 07:00.";
    equal(&line["sentence"], &json!(english))?;
    // Another server reads what this one wrote, and a retry is answered alike.
    let server = server.at("2026-06-11T18:05:00+02:00")?;
    equal(&amended(&server, 22)?.0["lines"], &answer["lines"])?;
    let reads = |language: &str, path: &str| -> Result<String> {
        let reader = server.client().with("Accept-Language", language);
        let page = reader.get_as(path, "text/html")?.text();
        Ok(page.split_whitespace().collect::<Vec<_>>().join(" "))
    };
    for (language, sentence) in [
        ("en", english),
        (
            "de",
            "20 von 22 Stück angenommen. Zu spät: dough abgewogen am Do 11. Juni, 17:30. Keine \
             zusätzliche Charge: dough gäbe eine Charge von 2 kg, und spiral braucht 4 kg: jemand \
             entscheidet, was damit geschieht. Frühestens zu dieser Uhrzeit: Sa 13. Juni, 07:00.",
        ),
        (
            "fr",
            "Accepté : 20 sur 22 pièces. Trop tard. dough : pesée le jeu. 11 juin, 17:30. Pas de \
             charge de plus : dough ferait une charge de 2 kg, et spiral demande 4 kg : une personne \
             décide quoi en faire. Au plus tôt à cette heure de remise : le sam. 13 juin, 07:00.",
        ),
    ] {
        for path in ["/orders/bar-1", "/v1/service-dates/2026-06-12/drop-sheet"] {
            let page = reads(language, path)?;
            ensure!(page.contains(sentence), "{language} {path}: {page}");
        }
    }
    Ok(())
}

#[test]
fn case_3_after_the_last_extra_load_it_is_too_late() -> Result<()> {
    let server = ordered(&slow(|_| ()), "2026-06-11T18:31:00+02:00")?;
    let (answer, line) = amended(&server, 28)?;
    equal(&answer["state"], &json!("part-taken"))?;
    equal(&line["quantity_taken"], &json!(20))?;
    equal(&line["reason"], &json!("too-late"))?;
    says(&line, &["weighed Thu 11 Jun 17:30", "begun by Thu 11 Jun 18:30"])
}

#[test]
fn case_3_overs_go_first() -> Result<()> {
    let bakery = slow(|bakery| {
        bakery["products"][0]["overs"] = json!({"policy": "fixed", "pieces": 3});
    });
    let server = ordered(&bakery, "2026-06-11T20:00:00+02:00")?;
    let (answer, line) = amended(&server, 32)?;
    equal(&answer["state"], &json!("part-taken"))?;
    equal(&line["quantity_taken"], &json!(23))?;
    says(&line, &["3 from overs", "Too late"])?;
    let server = ordered(&bakery, "2026-06-11T20:00:00+02:00")?;
    let (answer, line) = amended(&server, 22)?;
    equal(&answer["state"], &json!("taken"))?;
    equal(&line["reason"], &json!("from-overs"))?;
    says(&line, &["2 from overs"])
}

#[test]
fn case_3_finished_stock_goes_before_overs() -> Result<()> {
    let server = serve(&slow(|_| ()), super::NOW)?;
    server.client().post_order(&order(1, SERVICE_DATE, "loaf", 20))?.success()?;
    let server = server.at("2026-06-11T20:00:00+02:00")?;
    let loaves = json!({
        "item": "loaf", "lot": "B-1", "quantity": {"amount": "24", "unit": "each"},
        "received": "2026-06-11", "baked": "2026-06-11", "use_by": "2026-06-12",
    });
    server.client().post_receipt(&loaves)?.success()?;
    let (answer, line) = amended(&server, 24)?;
    equal(&answer["state"], &json!("taken"))?;
    equal(&line["quantity_taken"], &json!(24))?;
    equal(&line["reason"], &json!("from-stock"))
}

#[test]
fn case_4_fewer_after_mixing_leave_a_surplus() -> Result<()> {
    let server = ordered(&slow(|_| ()), "2026-06-11T20:00:00+02:00")?;
    let (answer, line) = amended(&server, 12)?;
    equal(&answer["state"], &json!("taken"))?;
    equal(&line["quantity_taken"], &json!(12))?;
    equal(&line["surplus"], &json!(8))?;
    equal(&line["reason"], &json!("surplus"))?;
    says(&line, &["8 pieces", "weighed Thu 11 Jun 17:30", "counter, the freezer or old dough"])?;
    // It reads the same whenever it is asked again.
    let held = server.client().get("/v1/orders/bar-1")?.success()?;
    equal(&held["lines"][0], &line)
}

#[test]
fn case_4_a_cancellation_after_mixing_leaves_all_of_it() -> Result<()> {
    let server = ordered(&slow(|_| ()), "2026-06-11T20:00:00+02:00")?;
    let body = json!({"version": 2});
    let answer = server.client().post("/v1/orders/bar-1/cancel", &body)?.success()?;
    equal(&answer["state"], &json!("cancelled"))?;
    equal(&answer["lines"][0]["surplus"], &json!(20))?;
    let server = ordered(&slow(|_| ()), "2026-06-11T17:00:00+02:00")?;
    let answer = server.client().post("/v1/orders/bar-1/cancel", &body)?.success()?;
    equal(&answer["lines"][0]["surplus"], &json!(0))
}

#[test]
fn case_7_a_late_order_sent_again_is_answered_the_same() -> Result<()> {
    let server = ordered(&slow(|_| ()), "2026-06-11T18:00:00+02:00")?;
    let late = order(2, SERVICE_DATE, "loaf", 22);
    let first = server.client().post_under("/v1/orders", &late, "one")?;
    let server = server.at("2026-06-11T23:00:00+02:00")?;
    let again = server.client().post_under("/v1/orders", &late, "one")?;
    ensure!(again.replayed && again.body == first.body, "{}", again.text());
    // Under another key it is still the same version with the same content.
    let other = server.client().post_under("/v1/orders", &late, "two")?;
    ensure!(other.body == first.body, "{}", other.text());
    Ok(())
}

#[test]
fn a_late_order_of_all_or_nothing_changes_nothing() -> Result<()> {
    let server = ordered(&slow(|_| ()), "2026-06-11T18:00:00+02:00")?;
    let mut late = order(2, SERVICE_DATE, "loaf", 22);
    late["lines_rule"] = json!("all_or_nothing");
    let answer = server.client().post_order(&late)?.success()?;
    equal(&answer["lines"][0]["quantity_taken"], &json!(20))
}

#[test]
fn an_order_that_comes_after_its_drop_is_refused() -> Result<()> {
    let server = serve(&slow(|_| ()), "2026-06-12T07:01:00+02:00")?;
    let answer = server.client().post_order(&order(1, SERVICE_DATE, "loaf", 20))?.success()?;
    equal(&answer["state"], &json!("refused"))?;
    equal(&answer["lines"][0]["reason"], &json!("too-late"))?;
    says(&answer["lines"][0], &["the drop was Fri 12 Jun 07:00"])
}
