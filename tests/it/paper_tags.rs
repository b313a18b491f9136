//! What a PDF says to those who have it read to them, as another program reads its objects.
//!
//! # Source
//! ISO 14289-1 (PDF/UA-1), part 7; ISO 32000-1 (PDF 1.7), 14.7 and 14.8.

use anyhow::{Context, Result, bail, ensure};
use base64::{Engine as _, engine::general_purpose::STANDARD};
use serde_json::{Map, Value};
use std::{
    collections::{BTreeMap, BTreeSet},
    env, fs,
    process::{self, Command},
};
use weighhouse_tests::{demo, server::Server};

/// The objects of a file.
struct Objects {
    all: Map<String, Value>,
    pages: Vec<String>,
}

impl Objects {
    /// Reads a file with `qpdf`, which also says whether anything in it is crooked.
    fn read(file: &[u8]) -> Result<Self> {
        let path = env::temp_dir().join(format!("weighhouse-tags-{}.pdf", process::id()));
        fs::write(&path, file)?;
        let run = |arguments: &[&str]| {
            let run = Command::new("qpdf").args(arguments).arg(&path).output();
            run.context("qpdf is missing: install qpdf")
        };
        let checked = run(&["--check"])?;
        ensure!(checked.status.success(), "{}", String::from_utf8_lossy(&checked.stderr));
        let json = run(&["--json=2", "--json-stream-data=inline", "--decode-level=generalized"])?;
        fs::remove_file(&path)?;
        let mut json: Value = serde_json::from_slice(&json.stdout)?;
        let pages = json["pages"].as_array().context("pages")?;
        let pages = pages.iter().filter_map(|page| page["object"].as_str().map(str::to_owned));
        let pages = pages.collect();
        let Value::Object(all) = json["qpdf"][1].take() else { bail!("no objects") };
        Ok(Self { all, pages })
    }

    fn at<'a>(&'a self, reference: &'a Value) -> &'a Value {
        let Some(name) = reference.as_str().filter(|name| name.ends_with(" R")) else {
            return reference;
        };
        let object = &self.all[&format!("obj:{name}")];
        if object["stream"].is_object() { &object["stream"]["dict"] } else { &object["value"] }
    }

    fn catalog(&self) -> &Value {
        self.at(&self.all["trailer"]["value"]["/Root"])
    }

    /// Numbers of the marks in what is written on a page.
    fn marks(&self, page: &Value) -> Result<BTreeSet<i64>> {
        let mut numbers = BTreeSet::new();
        for content in page["/Contents"].as_array().context("contents")? {
            let name = content.as_str().context("a reference")?;
            let data = self.all[&format!("obj:{name}")]["stream"]["data"].as_str();
            let data = STANDARD.decode(data.context("a stream")?)?;
            let text = String::from_utf8_lossy(&data);
            for rest in text.split("/MCID ").skip(1) {
                let end = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
                ensure!(numbers.insert(rest[..end].parse()?), "a mark stands twice");
            }
            let marked = text.matches("BDC").count();
            ensure!(marked == text.matches("EMC").count(), "a mark has no end");
        }
        Ok(numbers)
    }
}

/// What the tree of elements says: of which element each mark is, in which order they are told,
/// and how often each role is.
#[derive(Default)]
struct Told {
    marks: BTreeMap<(String, i64), String>,
    order: Vec<(String, i64)>,
    roles: BTreeMap<String, usize>,
}

/// Columns of a row of a table.
fn columns(objects: &Objects, row: &Value) -> i64 {
    let cells = children(row);
    let spans = cells.iter().map(|cell| &objects.at(cell)["/A"][0]["/ColSpan"]);
    spans.map(|span| span.as_i64().unwrap_or(1)).sum()
}

/// What is in an element.
fn children(element: &Value) -> Vec<Value> {
    match &element["/K"] {
        Value::Array(children) => children.clone(),
        Value::Null => Vec::new(),
        only => vec![only.clone()],
    }
}

/// Checks what elements of a role may hold.
fn holds(objects: &Objects, element: &Value, role: &str) -> Result<()> {
    let roles = |of: &Value| -> Vec<String> {
        let found = children(of).into_iter().map(|child| objects.at(&child)["/S"].clone());
        found.map(|role| role.as_str().unwrap_or("words").to_owned()).collect()
    };
    let may: &[&str] = match role {
        "/L" => &["/LI"],
        "/LI" => &["/Lbl", "/LBody"],
        "/Table" => &["/THead", "/TBody", "/TFoot", "/TR"],
        "/THead" | "/TBody" | "/TFoot" => &["/TR"],
        "/TR" => &["/TH", "/TD"],
        _ => return Ok(()),
    };
    let found = roles(element);
    ensure!(found.iter().all(|role| may.contains(&role.as_str())), "{role} holds {found:?}");
    if role == "/Table" {
        let parts = children(element).into_iter().map(|part| objects.at(&part).clone());
        let rows = parts.flat_map(|part| {
            if part["/S"] == "/TR" {
                vec![part]
            } else {
                children(&part).iter().map(|row| objects.at(row).clone()).collect()
            }
        });
        let widths: BTreeSet<i64> = rows.map(|row| columns(objects, &row)).collect();
        ensure!(widths.len() <= 1, "rows of one table are {widths:?} columns wide");
    }
    Ok(())
}

impl Told {
    /// Reads an element and what is in it; `around` is what it must say it is in.
    fn element(&mut self, objects: &Objects, name: &Value, around: &Value) -> Result<()> {
        let element = objects.at(name);
        ensure!(element["/P"] == *around, "{element} is not in {around}");
        let role = element["/S"].as_str().context("a role")?;
        *self.roles.entry(role.to_owned()).or_default() += 1;
        let said = |key: &str| element[key].as_str().is_some_and(|text| text.len() > "u:".len());
        match role {
            "/H1" | "/H2" | "/H3" => ensure!(said("/T"), "a heading has no title: {element}"),
            "/Figure" => ensure!(said("/Alt"), "a drawing is not told in words: {element}"),
            "/TH" => {
                let scope = &element["/A"][0]["/Scope"];
                ensure!(scope == "/Column" || scope == "/Row", "a head of what: {element}");
            }
            _ => {}
        }
        holds(objects, element, role)?;
        for child in &children(element) {
            let mark = match child {
                Value::Number(number) => Some((&element["/Pg"], number.as_i64())),
                Value::Object(mark) => Some((&mark["/Pg"], mark["/MCID"].as_i64())),
                _ => None,
            };
            match mark {
                Some((page, number)) => {
                    let page = page.as_str().context("the page of a mark")?.to_owned();
                    let key = (page, number.context("a number")?);
                    let of = name.as_str().context("a reference")?.to_owned();
                    self.order.push(key.clone());
                    ensure!(self.marks.insert(key, of).is_none(), "a mark is told twice");
                }
                None => self.element(objects, child, name)?,
            }
        }
        Ok(())
    }
}

/// Checks a file; says how often each role is in it.
fn checked(file: &[u8], language: &str) -> Result<BTreeMap<String, usize>> {
    let objects = Objects::read(file)?;
    let catalog = objects.catalog();
    ensure!(catalog["/Lang"] == format!("u:{language}"), "its language is {}", catalog["/Lang"]);
    ensure!(catalog["/MarkInfo"]["/Marked"] == true, "it is not said to be tagged");
    ensure!(catalog["/ViewerPreferences"]["/DisplayDocTitle"] == true, "its title is not shown");
    ensure!(objects.at(&catalog["/Metadata"])["/Type"] == "/Metadata", "no metadata");
    ensure!(objects.at(&catalog["/Outlines"])["/Count"].as_i64() > Some(0), "no outline");
    let root = objects.at(&catalog["/StructTreeRoot"]);
    let mut told = Told::default();
    told.element(&objects, &root["/K"], &catalog["/StructTreeRoot"])?;
    let of_pages = root["/ParentTree"]["/Nums"].as_array().context("from marks to elements")?;
    for (at, name) in objects.pages.iter().enumerate() {
        let page = objects.at(&Value::from(name.as_str())).clone();
        ensure!(page["/Tabs"] == "/S" && page["/StructParents"] == at, "page {at}: {page}");
        let marks = objects.marks(&page)?;
        let elements = objects.at(&of_pages[2 * at + 1]).as_array().context("elements")?;
        ensure!(
            marks.iter().copied().eq(0..i64::try_from(elements.len())?),
            "page {at}: {marks:?}"
        );
        for (number, element) in marks.iter().zip(elements) {
            let found = told.marks.remove(&(name.clone(), *number));
            ensure!(found.as_deref() == element.as_str(), "page {at}, mark {number}: {element}");
        }
        let fonts = objects.at(&page["/Resources"])["/Font"].as_object().context("fonts")?;
        for font in fonts.values() {
            let font = objects.at(font);
            ensure!(font["/ToUnicode"].is_string(), "letters do not say what they are: {font}");
            let letters = objects.at(&font["/DescendantFonts"][0]);
            let descriptor = objects.at(&letters["/FontDescriptor"]);
            ensure!(descriptor["/FontFile2"].is_string(), "a font is not in the file: {font}");
        }
    }
    ensure!(told.marks.is_empty(), "told and not written: {:?}", told.marks);
    // Words are written as they are read: down the page, and row by row.
    let at = |page: &String| objects.pages.iter().position(|name| name == page);
    let order = told.order.iter().map(|(page, number)| (at(page), *number));
    ensure!(order.is_sorted(), "words are told in another order than they stand");
    Ok(told.roles)
}

fn sheet(server: &Server, path: &str) -> Result<Vec<u8>> {
    Ok(server.client().get_as(path, "application/pdf")?.body)
}

#[test]
fn whatever_is_written_is_told_once_and_in_its_place() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let mut roles: BTreeMap<String, usize> = BTreeMap::new();
    let sheets = [
        "/v1/work-dates/2026-06-11/weigh-out",
        "/v1/work-dates/2026-06-11/day-board",
        "/v1/work-dates/2026-06-11/bake-sheet",
        "/v1/work-dates/2026-06-11/pick-list",
        "/v1/service-dates/2026-06-12/cuts",
        "/v1/shortages",
        "/v1/allergen-matrix",
        "/v1/count-sheets",
    ];
    for (at, path) in sheets.into_iter().enumerate() {
        let language = ["en", "de", "fr"][at % 3];
        let path = format!("{path}?language={language}");
        let found = checked(&sheet(&server, &path)?, language).context(path)?;
        for (role, count) in found {
            *roles.entry(role).or_default() += count;
        }
    }
    for role in
        ["/H1", "/H2", "/P", "/Table", "/TH", "/TD", "/TR", "/L", "/LBody", "/Figure", "/Sect"]
    {
        ensure!(roles.contains_key(role), "no {role} among {roles:?}");
    }
    Ok(())
}
