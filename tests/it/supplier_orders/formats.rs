use super::*;
use weighhouse_tests::ubl::{against_schema, texts};

fn find(client: &Client, order: &Value, media_type: &str) -> Result<String> {
    let path = format!("/v1/supplier-orders/{}", order["id"].as_str().context("an id")?);
    let reply = client.get_as(&path, media_type)?;
    ensure!(reply.status == 200 && reply.media_type.starts_with(media_type), "{}", reply.text());
    Ok(reply.text())
}

/// A decimal of major units in minor ones.
fn minor(text: &str) -> Result<i64> {
    Ok(text.replace('.', "").parse()?)
}

#[test]
fn an_order_is_a_valid_ubl_order_and_its_sums_are_those_of_its_lines() -> Result<()> {
    let mut bakery = demo::document("bakery")?;
    for pack in bakery["packs"].as_array_mut().context("packs")? {
        if pack["code"] == "whole-milk-12-l" {
            // Source: check-values GS-07 for the number; tax and deposit are invented.
            pack["gtin"] = json!("09506000134352");
            pack["tax"] = json!("9");
            pack["deposit"] = json!({"minor_units": 390, "currency": "EUR"});
        }
    }
    let milk = bakery["items"].as_array_mut().context("items")?;
    let milk = milk.iter_mut().find(|item| item["code"] == "whole-milk").context("milk")?;
    milk["name"] = json!("Milk <whole> & fresh");
    let server = demo::serve(&bakery)?;
    let client = server.client();
    let order = draft(client)?;
    step(client, &order, "send", &json!({"who": "Imre"}))?;
    let xml = find(client, &order, "application/xml")?;
    ensure!(against_schema("order", &xml)?.is_empty(), "{}\n{xml}", against_schema("order", &xml)?);
    ensure!(texts(&xml, "cbc:IssueDate") == ["2026-06-10"], "{xml}");
    ensure!(texts(&xml, "cbc:EndDate") == ["2026-06-11"], "{xml}");
    ensure!(xml.contains("Milk &lt;whole&gt; &amp; fresh"), "{xml}");
    ensure!(xml.contains("09506000134352") && xml.contains("unitCode=\"LTR\""), "{xml}");
    let lines =
        xml.split("<cac:OrderLine>").skip(1).map(|line| texts(line, "cbc:LineExtensionAmount"));
    let lines: Vec<i64> = lines.flatten().map(minor).collect::<Result<_>>()?;
    ensure!(lines == [2_520, 17_200], "{xml}");
    // Deposits 2 x 3.90, tax 9 % of 25.20.
    let total = xml.split("<cac:AnticipatedMonetaryTotal>").nth(1).context("sums")?;
    for (name, expected) in [
        ("cbc:LineExtensionAmount", 19_720),
        ("cbc:ChargeTotalAmount", 780),
        ("cbc:TaxExclusiveAmount", 20_500),
        ("cbc:PayableAmount", 20_727),
    ] {
        ensure!(minor(texts(total, name)[0])? == expected, "{name}: {total}");
    }
    ensure!(xml.matches("currencyID=\"EUR\"").count() == xml.matches("currencyID=").count());
    Ok(())
}

#[test]
fn the_schema_refuses_what_the_published_cases_say() -> Result<()> {
    // Source: check-values UB-01 and UB-02: without a line, a date of another shape, no date,
    // the seller before the buyer.
    let server = demo_server()?;
    let xml = find(server.client(), &draft(server.client())?, "application/xml")?;
    ensure!(against_schema("draft", &xml)?.is_empty(), "{}", against_schema("draft", &xml)?);
    let (head, _) = xml.split_once("<cac:OrderLine>").context("a line")?;
    let without_line = format!("{head}</Order>");
    let date = "<cbc:IssueDate>2026-06-10</cbc:IssueDate>";
    let other_date = xml.replace(date, "<cbc:IssueDate>10/06/2026</cbc:IssueDate>");
    let without_date = xml.replace(date, "");
    let (before, rest) = xml.split_once("<cac:BuyerCustomerParty>").context("a buyer")?;
    let (buyer, rest) = rest.split_once("<cac:SellerSupplierParty>").context("a seller")?;
    let (seller, after) = rest.split_once("</cac:SellerSupplierParty>").context("a seller")?;
    let turned = format!(
        "{before}<cac:SellerSupplierParty>{seller}</cac:SellerSupplierParty>\
         <cac:BuyerCustomerParty>{buyer}{after}"
    );
    for (name, document) in [
        ("without-line", without_line),
        ("other-date", other_date),
        ("without-date", without_date),
        ("turned", turned),
    ] {
        ensure!(document != xml, "{name} changes nothing");
        ensure!(!against_schema(name, &document)?.is_empty(), "{name} is let pass");
    }
    Ok(())
}

#[test]
fn an_order_is_a_table_a_page_and_a_mail() -> Result<()> {
    let mut bakery = demo::document("bakery")?;
    bakery["suppliers"][1]["email"] = json!("orders@dairy.example");
    let items = bakery["items"].as_array_mut().context("items")?;
    let milk = items.iter_mut().find(|item| item["code"] == "whole-milk").context("milk")?;
    milk["name"] = json!("=HYPERLINK(\"x\")");
    let server = demo::serve(&bakery)?;
    let client = server.client();
    let order = draft(client)?;
    let csv = find(client, &order, "text/csv")?;
    let rows: Vec<&str> = csv.split("\r\n").collect();
    ensure!(rows.len() == 4 && rows[3].is_empty(), "{csv}");
    ensure!(rows[1].contains("\"'=HYPERLINK(\"\"x\"\")\",2,12,L,12.60,25.20,EUR"), "{csv}");
    let page = find(client, &order, "text/html")?;
    for words in ["Order dairy-1", "The dairy", "order by", "197.20 EUR", "DRAFT"] {
        ensure!(page.contains(words), "{words}: {page}");
    }
    ensure!(!page.contains("<script") && page.contains("=HYPERLINK(&quot;x&quot;)"), "{page}");
    let mail = order["mailto"].as_str().context("a link")?;
    ensure!(
        mail.starts_with("mailto:orders@dairy.example?subject=Order%20dairy-1%20of%20"),
        "{mail}"
    );
    ensure!(mail.contains("2%20x%20") && !mail.contains(' ') && mail.contains("%0D%0A"), "{mail}");
    let sheet = client.get_as(&path(&order, "receiving-sheet")?, "text/html")?.text();
    for words in ["Receiving dairy-1", "at least 7 days of life", "put it on hold"] {
        ensure!(sheet.contains(words), "{words}: {sheet}");
    }
    Ok(())
}
