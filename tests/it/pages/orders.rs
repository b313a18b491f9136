//! Orders entered, amended and called off on pages, without scripts.

use super::{demo_server, fields, key_of, led, page};
use anyhow::{Context, Result, ensure};

/// An order of Harbour Cafe for Saturday, as the form sends it.
fn sent(key: &str, version: &str, quantity: &str) -> String {
    fields(&[
        ("_key", key),
        ("order_ref", "desk-1"),
        ("version:number", version),
        ("customer", "harbour-cafe"),
        ("service_date", "2026-06-13"),
        ("drop", "07:00"),
        ("standing", ""),
        ("lines/0/line_ref:with", "sugar-bun"),
        ("lines/0/product:with", "sugar-bun"),
        ("lines/0/quantity:number", quantity),
        ("lines/1/line_ref:with", "fruit-bun"),
        ("lines/1/product:with", "fruit-bun"),
        ("lines/1/quantity:number", ""),
    ])
}

#[test]
fn an_order_is_entered_once_however_often_the_button_is_pressed() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let entry = page(client, "/orders/new?date=2026-06-13")?;
    let key = key_of(&entry)?;
    for _ in 0..2 {
        let reply = client.post_form("/orders", &sent(key, "1", "6"))?;
        ensure!(led(&reply) == Some("/orders/desk-1?done=order-taken"), "{}", reply.text());
    }
    let held = client.get("/v1/orders/desk-1")?.success()?;
    ensure!(held["history"].as_array().context("versions")?.len() == 1, "{held}");
    ensure!(held["lines"].as_array().context("lines")?.len() == 1, "empty rows are not sent");
    ensure!(held["lines"][0]["quantity_taken"] == 6, "{held}");
    let shown = page(client, "/orders/desk-1?done=order-taken")?;
    ensure!(shown.contains("The order is taken.") && shown.contains("6 pieces taken."), "{shown}");
    ensure!(page(client, "/orders?date=2026-06-13")?.contains("/orders/desk-1"), "it is listed");
    Ok(())
}

#[test]
fn what_is_not_right_is_said_at_its_field_and_what_was_typed_stays() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let wrong = sent("first", "1", "six").replace("service_date=2026-06-13", "service_date=");
    let reply = client.post_form("/orders", &wrong)?;
    ensure!(reply.status == 422, "{}", reply.status);
    let shown = reply.text();
    ensure!(shown.contains("role=\"alert\"") && shown.contains("2 things"), "{shown}");
    for field in ["service_date", "lines-0-quantity"] {
        ensure!(shown.contains(&format!("href=\"#field-{field}\"")), "a way to {field}: {shown}");
        ensure!(shown.contains(&format!("aria-describedby=\"field-{field}-fault\"")), "{field}");
    }
    ensure!(shown.contains("value=\"six\""), "what was typed stays: {shown}");
    // Once mended it goes under another key: the answer to the first one is kept, and was no.
    let key = key_of(&shown)?;
    ensure!(key != "first", "a new key");
    let mended = client.post_form("/orders", &sent(key, "1", "6"))?;
    ensure!(mended.status == 303, "{}", mended.text());
    Ok(())
}

#[test]
fn what_is_not_right_is_said_in_the_readers_language() -> Result<()> {
    let server = demo_server()?;
    let german = server.client().with("Accept-Language", "de");
    let wrong = sent("a", "1", "6").replace("customer=harbour-cafe", "customer=nobody");
    let shown = german.post_form("/orders", &wrong)?.text();
    let own = "Dieses Kürzel ist nicht bekannt. Bitte ein vorhandenes wählen.";
    ensure!(shown.contains(&format!("href=\"#field-customer\">{own}</a>")), "on top: {shown}");
    let (_, field) = shown.split_once("id=\"field-customer-fault\">").context("a fault")?;
    let (field, _) = field.split_once("</p>").context("its end")?;
    ensure!(field.starts_with(&format!("Stimmt nicht: {own}")), "at its field: {field}");
    ensure!(field.contains("<span lang=\"en\">there is no customer `nobody`"), "{field}");

    // Two people amend one order from the page of the same version.
    german.post_form("/orders", &sent("b", "1", "6"))?;
    german.post_form("/orders", &sent("c", "2", "12"))?;
    let late = german.post_form("/orders", &sent("d", "2", "18"))?;
    ensure!(late.status == 409, "{}", late.status);
    let shown = late.text();
    let own = "Diese Fassung der Bestellung liegt schon mit anderem Inhalt vor.";
    ensure!(shown.contains(own), "{shown}");
    ensure!(shown.contains("<span lang=\"en\">version 2 of order `desk-1`"), "{shown}");
    Ok(())
}

#[test]
fn an_amendment_is_the_next_version_and_the_page_says_what_changed() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    client.post_form("/orders", &sent("a", "1", "6"))?;
    let form = page(client, "/orders/desk-1/amend")?;
    ensure!(form.contains("name=\"version:number\" value=\"2\""), "{form}");
    ensure!(
        form.contains(
            "name=\"lines/0/quantity:number\" type=\"text\" inputmode=\"decimal\" value=\"6\""
        ),
        "{form}"
    );
    let reply = client.post_form("/orders", &sent(key_of(&form)?, "2", "12"))?;
    ensure!(reply.status == 303, "{}", reply.text());
    let shown = page(client, "/orders/desk-1")?;
    ensure!(shown.contains("was 6, now 12"), "{shown}");
    let off = fields(&[("_key", "off"), ("version:number", "3")]);
    let reply = client.post_form("/orders/desk-1/cancel", &off)?;
    ensure!(led(&reply) == Some("/orders/desk-1?done=order-cancelled"), "{}", reply.text());
    let shown = page(client, "/orders/desk-1")?;
    ensure!(shown.contains("was 12, now 0"), "{shown}");
    Ok(())
}

#[test]
fn a_booking_out_of_the_counter_par_is_said_and_amended_on_the_form() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let form = page(client, "/orders/new?date=2026-06-13")?;
    ensure!(form.contains("name=\"counter_par\""), "{form}");
    let out = sent(key_of(&form)?, "1", "6") + "&counter_par=out_of";
    ensure!(client.post_form("/orders", &out)?.status == 303);
    let held = client.get("/v1/orders/desk-1")?.success()?;
    ensure!(held["counter_par"] == "out_of", "{held}");
    let form = page(client, "/orders/desk-1/amend")?;
    ensure!(form.contains("value=\"out_of\" selected"), "what is held stands in the form: {form}");
    Ok(())
}

#[test]
fn a_question_changes_nothing_and_keeps_the_form() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let asked = sent("a", "1", "6") + "&_ask=ask";
    let reply = client.post_form("/orders", &asked)?;
    ensure!(reply.status == 200, "{}: {}", reply.status, reply.text());
    ensure!(reply.text().contains("Nothing was ordered yet"), "{}", reply.text());
    ensure!(reply.text().contains("value=\"6\""), "the form is kept");
    ensure!(client.get("/v1/orders/desk-1")?.status == 404, "nothing is held");
    Ok(())
}

#[test]
fn a_form_of_another_site_writes_nothing() -> Result<()> {
    let server = demo_server()?;
    let foreign = server.client().with("Origin", "https://example.org");
    let reply = foreign.post_form("/orders", &sent("a", "1", "6"))?;
    ensure!(reply.status == 403, "{}", reply.status);
    ensure!(server.client().get("/v1/orders/desk-1")?.status == 404, "nothing is held");
    Ok(())
}

#[test]
fn names_with_odd_letters_are_reached_and_never_run() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let odd = "a <b>\"&?#%";
    let form = sent("a", "1", "6").replace("order_ref=desk-1", &fields(&[("order_ref", odd)]));
    let reply = client.post_form("/orders", &form)?;
    let path = led(&reply).context("it leads on")?.to_owned();
    let shown = page(client, &path)?;
    ensure!(shown.contains("a &lt;b&gt;") && !shown.contains("<b>\"&"), "{shown}");
    Ok(())
}
