//! What stands on a sheet, fact by fact, so that two prints can be compared.

use crate::{
    service::prints::{PrintAmount, PrintRow},
    wire::{
        amount::QuantityView,
        pick_list::{PickLineView, PickListView},
        weigh_out::{ToppingBlockView, WeighBlockView, WeighLineView, WeighOutView, WeighPageView},
    },
};
use domain::quantity::Quantity;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Rows of a sheet while they are read off it.
#[derive(Default)]
struct Sheet {
    rows: Vec<PrintRow>,
    /// How often a key was given: an item may stand in two lines of one load.
    given: BTreeMap<String, usize>,
}

/// Rows of one group, under one beginning of their keys.
struct Group<'a> {
    sheet: &'a mut Sheet,
    key: String,
    group: String,
}

impl Group<'_> {
    /// Adds a fact, unless nothing stands there.
    fn add(&mut self, key: &str, label: &str, value: String) {
        if !value.is_empty() {
            self.push(key, label, value, None);
        }
    }

    fn amount(&mut self, key: &str, label: &str, value: String, amount: &QuantityView) {
        let QuantityView { amount, unit } = amount;
        let micro = Quantity::parse(amount, unit).ok().map(Quantity::micro);
        let amount = micro.map(|micro| PrintAmount { micro, unit: (*unit).to_owned() });
        self.push(key, label, value, amount);
    }

    fn push(&mut self, key: &str, label: &str, value: String, amount: Option<PrintAmount>) {
        let key = if key.is_empty() { self.key.clone() } else { format!("{}/{key}", self.key) };
        let given = self.sheet.given.entry(key.clone()).or_default();
        *given += 1;
        let key = if *given > 1 { format!("{key}#{given}") } else { key };
        let (group, label) = (self.group.clone(), label.to_owned());
        self.sheet.rows.push(PrintRow { key, group, label, value, amount });
    }
}

/// A local date as people say it: `Fri 12 Jun`.
fn day(date: &str) -> String {
    let parsed = date.parse::<Date>().ok();
    parsed.map_or_else(|| date.to_owned(), |date| date.strftime("%a %-d %b").to_string())
}

/// What stands on a weigh-out.
#[must_use]
pub fn of_weigh_out(view: &WeighOutView) -> Vec<PrintRow> {
    let mut sheet = Sheet::default();
    notes(&mut sheet, &view.notes);
    for block in &view.blocks {
        of_block(&mut sheet, block);
        for page in &block.pages {
            of_page(&mut sheet, block, page);
        }
    }
    for block in &view.toppings {
        of_topping(&mut sheet, block);
    }
    sheet.rows
}

/// What a person should know: a note is what it says.
fn notes(sheet: &mut Sheet, notes: &[String]) {
    let mut group = Group { sheet, key: "note".to_owned(), group: "the whole sheet".to_owned() };
    for note in notes {
        group.add(note, "note", note.clone());
    }
}

fn of_block(sheet: &mut Sheet, block: &WeighBlockView) {
    let WeighBlockView { formula, name, service_date, .. } = block;
    let mut group = Group {
        sheet,
        key: format!("block/{service_date}/{formula}"),
        group: format!("{name}, for {}", day(service_date)),
    };
    let loads = if block.loads > 0 { block.loads.to_string() } else { String::new() };
    group.add("loads", "loads in all", loads);
    let blocks = block.blocks.filter(|_| block.loads == 0).map(|count| count.to_string());
    group.add("blocks", "blocks", blocks.unwrap_or_default());
    let options = if block.under_minimum { block.options.join("; ") } else { String::new() };
    group.add("undecided", "UNDECIDED", options);
    group.add("clean-down", "clean-down before it", block.clean_down.join(", "));
    group.add("by-hand", "set by hand", block.overrides.join("; "));
    group.add("allergens", "allergens", block.allergens.statement.clone());
}

fn of_page(sheet: &mut Sheet, block: &WeighBlockView, page: &WeighPageView) {
    let WeighBlockView { formula, name, service_date, .. } = block;
    let mut group = Group {
        sheet,
        key: format!("load/{service_date}/{formula}/{}", page.load),
        group: format!("{name}, load {}, for {}", page.load, day(service_date)),
    };
    let all = format!("{} {}", page.printed.amount, page.printed.unit);
    group.amount("", "this load", all, &page.weighed);
    group.add("starts", "starts", page.starts_at.clone());
    group.add("mixes", "into the mixer", page.mixes_at.clone().unwrap_or_default());
    let mixer = page.mixer_name.clone().or_else(|| page.mixer.clone());
    group.add("mixer", "mixer", mixer.unwrap_or_default());
    group.add("steps", "whole steps", page.units.map(|n| n.to_string()).unwrap_or_default());
    group.add("notes", "notes", page.notes.join("; "));
    lines(&mut group, &page.lines);
}

fn of_topping(sheet: &mut Sheet, block: &ToppingBlockView) {
    let ToppingBlockView { product, name, service_date, .. } = block;
    let mut group = Group {
        sheet,
        key: format!("topping/{service_date}/{product}"),
        group: format!("{name}, toppings, for {}", day(service_date)),
    };
    group.add("pieces", "pieces", block.pieces.to_string());
    group.add("by-hand", "set by hand", block.overrides.join("; "));
    group.add("starts", "starts", block.at.clone());
    lines(&mut group, &block.lines);
    lines(&mut group, &block.day_old);
}

fn lines(group: &mut Group<'_>, lines: &[WeighLineView]) {
    for line in lines {
        let (item, name) = (&line.item, &line.name);
        let key = |fact: &str| format!("line/{item}{fact}");
        let weigh = format!("{} {}", line.printed.amount, line.printed.unit);
        group.amount(&key(""), name, weigh, &line.weigh);
        let lots: Vec<&str> = line.lots.iter().map(|lot| lot.lot.as_str()).collect();
        group.add(&key("/lots"), &format!("{name}: lot"), lots.join(" + "));
        let short = line.short.as_ref().map(|short| format!("{} {}", short.amount, short.unit));
        group.add(&key("/short"), &format!("{name}: SHORT"), short.unwrap_or_default());
        let scale = line.scale.as_deref().unwrap_or(line.state);
        group.add(&key("/scale"), &format!("{name}: scale, tub"), format!("{scale}, {}", line.tub));
        let remarks = line.remarks.join("; ");
        group.add(&key("/remarks"), &format!("{name}: remark"), remarks);
        let allergens = line.allergens.statement.clone();
        group.add(&key("/allergens"), &format!("{name}: allergens"), allergens);
    }
}

/// What stands on a pick list.
#[must_use]
pub fn of_pick_list(view: &PickListView) -> Vec<PrintRow> {
    let mut sheet = Sheet::default();
    notes(&mut sheet, &view.notes);
    for (part, title, lines) in
        [("pull", "to pull", &view.pull), ("stores", "from the stores", &view.stores)]
    {
        for line in lines {
            let place = line.place_name.as_deref().unwrap_or("no place on record");
            let mut group = Group {
                sheet: &mut sheet,
                key: part.to_owned(),
                group: format!("{title}: {place}"),
            };
            of_pick(&mut group, line);
        }
    }
    sheet.rows
}

fn of_pick(group: &mut Group<'_>, line: &PickLineView) {
    let (item, name) = (&line.item, &line.name);
    group.amount(item, name, line.fetch.clone(), &line.amount);
    group.add(&format!("{item}/by"), &format!("{name}: by"), line.by.clone());
    let lots: Vec<&str> = line.lots.iter().map(|lot| lot.lot.as_str()).collect();
    group.add(&format!("{item}/lots"), &format!("{name}: lot"), lots.join(" + "));
    let unmet = line.unmet.as_ref().map(|unmet| format!("{} {}", unmet.amount, unmet.unit));
    group.add(&format!("{item}/unmet"), &format!("{name}: SHORT"), unmet.unwrap_or_default());
    group.add(&format!("{item}/stop"), &format!("{name}: STOP"), line.stop.join("; "));
    let earlier: Vec<&str> = line.day_old.iter().map(|draw| draw.words.as_str()).collect();
    group.add(&format!("{item}/day-old"), &format!("{name}: earlier bake"), earlier.join("; "));
}
