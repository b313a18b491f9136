use super::*;
use crate::document::BakeryBody;

const DEMO: &str = include_str!("../../../../demo-data/bakery.json");

fn demo() -> Value {
    let body: BakeryBody = serde_json::from_str(DEMO).expect("the demo bakery");
    serde_json::to_value(body).expect("JSON")
}

fn normal(document: &Value) -> Value {
    let body: BakeryBody = serde_json::from_value(document.clone()).expect("a document");
    serde_json::to_value(body).expect("JSON")
}

#[test]
fn a_document_comes_back_from_its_tables_as_it_was() {
    let tables = grids(&demo());
    let made = assemble(&tables, None).expect("no fault");
    assert_eq!(normal(&made.document), demo());
}

#[test]
fn one_table_changes_what_it_holds_and_nothing_else() {
    let mut lines =
        grids(&demo()).into_iter().find(|one| one.name == "formulas.lines").expect("lines");
    let parts = lines.head.iter().position(|head| head == "parts").expect("a column");
    let row = lines.rows.iter().position(|row| row[0] == "bun").expect("bun");
    lines.rows[row][parts] = "99.5".to_owned();
    let made = assemble(&[lines], Some(&demo())).expect("no fault");
    let (now, before) = (normal(&made.document), demo());
    let bun = |document: &Value| {
        let list = document["formulas"].as_array().expect("a list");
        list.iter().position(|one| one["code"] == "bun").expect("bun")
    };
    assert_eq!(now["formulas"][bun(&now)]["lines"][0]["parts"], "99.5");
    let mut undone = now.clone();
    undone["formulas"][bun(&now)]["lines"][0]["parts"] =
        before["formulas"][bun(&before)]["lines"][0]["parts"].clone();
    assert_eq!(undone, before);
}

#[test]
fn lines_go_with_the_formula_that_is_gone() {
    let mut formulas = grids(&demo()).into_iter().find(|one| one.name == "formulas").expect("it");
    formulas.rows.retain(|row| row[0] != "bun");
    let made = assemble(&[formulas], Some(&demo())).expect("no fault");
    let mut rest = demo();
    rest["formulas"].as_array_mut().expect("a list").retain(|one| one["code"] != "bun");
    assert_eq!(normal(&made.document), rest);
}

#[test]
fn every_fault_names_its_cell_and_all_come_at_once() {
    let head = |names: &[&str]| names.iter().map(|&name| name.to_owned()).collect::<Vec<_>>();
    let row = head;
    let scales = Grid {
        name: "scales".to_owned(),
        head: head(&["code", "capacity", "division", "from"]),
        rows: vec![
            row(&["floor", "60 kg", "20 g", "2 kg"]),
            row(&[]),
            row(&["bench", "6kg", "2 g", "ten"]),
        ],
    };
    let lines = Grid {
        name: "formulas.lines".to_owned(),
        head: head(&["of", "itm", "parts"]),
        rows: vec![row(&["bun", "rye", "3"])],
    };
    let sheets = [scales, lines, Grid { name: "notes".to_owned(), head: vec![], rows: vec![] }];
    let faults = assemble(&sheets, Some(&demo())).expect_err("faults");
    let said: Vec<(&str, &str)> =
        faults.iter().map(|fault| (fault.pointer.as_str(), &fault.detail[..12])).collect();
    assert_eq!(
        said,
        [
            ("/notes", "there is no "),
            ("/formulas.lines/1/itm", "formulas.lin"),
            ("/formulas.lines/1/item", "formulas.lin"),
            ("/scales/4/capacity", "scales B4: `"),
            ("/scales/4/from", "scales D4: `"),
        ]
    );
}

#[test]
fn what_the_document_finds_wrong_is_said_of_the_cell_it_came_from() {
    let made = assemble(&grids(&demo()), None).expect("no fault");
    let lines = demo()["formulas"][0]["lines"].as_array().expect("lines").len();
    assert!(lines > 1);
    let at = |pointer: &str| {
        made.located(Fault {
            pointer: pointer.to_owned(),
            kind: "malformed",
            detail: "x".to_owned(),
        })
    };
    assert_eq!(at("/formulas/0/lines/1/parts").pointer, "/formulas.lines/3/parts");
    assert_eq!(at("/packs/2/price/minor_units").pointer, "/packs/4/price");
    assert_eq!(at("/site/currency").pointer, "/site/2/currency");
    assert_eq!(at("/nowhere/1").pointer, "/nowhere/1");
}

#[test]
fn columns_have_the_letters_of_a_spreadsheet() {
    for (column, name) in [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")] {
        assert_eq!(letters(column), name);
    }
}
