//! Labels of lots: what stands on them, and that their code is read back.

use anyhow::{Context, Result, ensure};
use serde_json::json;
use weighhouse_tests::{
    demo,
    server::Server,
    stockroom::{bakery, id, receive},
};

/// Pixels of one module of a code.
const PIXELS: usize = 8;

/// Reads a drawn code with a reader that shares nothing with what drew it.
fn read_back(svg: &str) -> Result<String> {
    let side = svg.split("viewBox=\"0 0 ").nth(1).context("a view box")?;
    let side: usize = side.split(' ').next().context("a side")?.parse()?;
    let path = svg.split("<path d=\"").nth(1).context("a path")?;
    let path = path.split('"').next().context("a path")?;
    let mut dark = vec![false; side * side];
    for module in path.split('M').filter(|part| !part.is_empty()) {
        let place = module.split('h').next().context("a place")?;
        let (x, y) = place.split_once(' ').context("two numbers")?;
        dark[y.parse::<usize>()? * side + x.parse::<usize>()?] = true;
    }
    let pixels = side * PIXELS;
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(pixels, pixels, |x, y| {
        if dark[y / PIXELS * side + x / PIXELS] { 0 } else { 255 }
    });
    let grids = image.detect_grids();
    let grid = grids.first().context("no code is found in the drawing")?;
    let (_, text) = grid.decode().map_err(|error| anyhow::anyhow!("not readable: {error}"))?;
    Ok(text)
}

fn served() -> Result<Server> {
    let mut bakery = bakery()?;
    let packs = bakery["packs"].as_array_mut().context("packs")?;
    let milk = packs.iter_mut().find(|pack| pack["item"] == "whole-milk").context("milk")?;
    milk["gtin"] = json!("09506000134352");
    let server = Server::start(demo::NOW)?;
    server.client().put_bakery(&bakery)?.success()?;
    Ok(server)
}

#[test]
fn the_code_of_a_label_is_read_back() -> Result<()> {
    let server = served()?;
    let client = server.client();
    let milk = json!({"item": "whole-milk", "lot": "M/7", "supplier": "dairy", "use_by": "2026-06-14",
        "quantity": {"amount": "5", "unit": "L"}, "place": "chiller"});
    let milk = id(&receive(client, &milk)?)?;
    let code = client.get(&format!("/v1/lots/{milk}/code"))?.text();
    let link = "https://id.gs1.org/01/09506000134352/10/M%2F7?17=260614";
    ensure!(read_back(&code)? == link, "{code}");
    // What has no number of a pack has its own id.
    let rye = id(&receive(client, &json!({}))?)?;
    let code = client.get(&format!("/v1/lots/{rye}/code"))?.text();
    ensure!(read_back(&code)? == format!("lot:{rye}"), "{code}");
    Ok(())
}

#[test]
fn a_label_says_what_it_is_until_when_and_what_is_in_it() -> Result<()> {
    let server = served()?;
    let client = server.client();
    let milk = json!({"item": "whole-milk", "lot": "M-7", "use_by": "2026-06-14",
        "quantity": {"amount": "5", "unit": "L"}, "place": "chiller"});
    let milk = id(&receive(client, &milk)?)?;
    let path = format!("/v1/lots/{milk}/label");
    let label = client.get(&path)?.success()?;
    ensure!(label["use_by"] == "2026-06-14" && label["opened_life"] == "3 days", "{label}");
    ensure!(
        label["allergens"]["contains"] == json!(["milk"]) && label["stop"].is_null(),
        "{label}"
    );
    let paper = client.get_as(&format!("{path}?size=a4&copies=3"), "text/html")?.text();
    ensure!(paper.matches("<section class=\"label\">").count() == 3, "{paper}");
    for words in ["USE BY", "Sun 14 Jun", "contains milk", "Once opened use within", "<svg"] {
        ensure!(paper.contains(words), "{words}: {paper}");
    }
    ensure!(!paper.to_lowercase().contains("safe to"), "never says that");
    // On hold it says STOP; a custard made here says when.
    client.post(&format!("/v1/lots/{milk}/hold"), &json!({"reason": "smells"}))?.success()?;
    let paper = client.get_as(&path, "text/html")?.text();
    ensure!(paper.contains("STOP:") && paper.contains("smells"), "{paper}");
    let custard = json!({"item": "custard", "lot": "C-1", "made_at": "2026-06-10T06:00:00+02:00",
        "received": "2026-06-10", "quantity": {"amount": "2", "unit": "kg"}, "place": "chiller"});
    let custard = id(&receive(client, &custard)?)?;
    let paper = client.get_as(&format!("/v1/lots/{custard}/label"), "text/html")?.text();
    ensure!(paper.contains("Made <b>Wed 10 Jun 06:00</b>"), "{paper}");
    // 48 h from the pan (8.3): Friday 12 June 06:00.
    ensure!(paper.contains("Usable until") && paper.contains("Fri 12 Jun 06:00"), "{paper}");
    let many = client.get(&format!("/v1/lots/{custard}/label?copies=65"))?;
    ensure!(many.is_problem("invalid-query")?, "{}", many.text());
    Ok(())
}
