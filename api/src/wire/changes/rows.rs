//! What stands on a sheet, fact by fact, so that two prints can be compared.

use crate::{
    messages::Sentence,
    service::prints::{PrintAmount, PrintRow},
    wire::{
        amount::QuantityView,
        pick_list::{PickLineView, PickListView},
        weigh_out::{ToppingBlockView, WeighBlockView, WeighLineView, WeighOutView, WeighPageView},
    },
};
use domain::quantity::Quantity;
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
    group: Sentence,
}

impl Group<'_> {
    /// Adds a fact, unless nothing stands there.
    fn add(&mut self, key: &str, label: impl Into<Sentence>, value: impl Into<Sentence>) {
        let value = value.into();
        if !value.is_empty() {
            self.push(key, label.into(), value, None);
        }
    }

    fn amount(&mut self, key: &str, label: impl Into<Sentence>, said: String, of: &QuantityView) {
        let QuantityView { amount, unit } = of;
        let micro = Quantity::parse(amount, unit).ok().map(Quantity::micro);
        let amount = micro.map(|micro| PrintAmount { micro, unit: (*unit).to_owned() });
        self.push(key, label.into(), Sentence::amount(said), amount);
    }

    fn push(&mut self, key: &str, label: Sentence, value: Sentence, amount: Option<PrintAmount>) {
        let key = if key.is_empty() { self.key.clone() } else { format!("{}/{key}", self.key) };
        let given = self.sheet.given.entry(key.clone()).or_default();
        *given += 1;
        let key = if *given > 1 { format!("{key}#{given}") } else { key };
        let (group, label, value) = (self.group.kept(), label.kept(), value.kept());
        self.sheet.rows.push(PrintRow { key, group, label, value, amount });
    }
}

/// What a line says of an ingredient.
fn of(name: &str, what: &'static str) -> Sentence {
    Sentence::of("change-slip-of").with("name", name).with("what", Sentence::of(what))
}

/// Several remarks as one fact.
fn all(sentences: &[Sentence]) -> Sentence {
    Sentence::joined("; ", sentences)
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
fn notes(sheet: &mut Sheet, notes: &[Sentence]) {
    let whole = Sentence::of("change-slip-whole-sheet");
    let mut group = Group { sheet, key: "note".to_owned(), group: whole };
    for note in notes {
        group.add(&note.wired(), Sentence::of("change-slip-note"), note);
    }
}

fn of_block(sheet: &mut Sheet, block: &WeighBlockView) {
    let WeighBlockView { formula, name, service_date, .. } = block;
    let mut group = Group {
        sheet,
        key: format!("block/{service_date}/{formula}"),
        group: Sentence::of("change-slip-group-block")
            .with("name", name)
            .with("day", Sentence::day(service_date)),
    };
    let say = Sentence::of;
    let loads = if block.loads > 0 { block.loads.to_string() } else { String::new() };
    group.add("loads", say("change-slip-loads"), loads);
    let blocks = block.blocks.filter(|_| block.loads == 0).map(|count| count.to_string());
    group.add("blocks", say("change-slip-blocks"), blocks.unwrap_or_default());
    let options = if block.under_minimum { &block.options[..] } else { &[] };
    group.add("undecided", say("sheet-undecided"), all(options));
    let gone = Sentence::allergens(&block.clean_down);
    group.add("clean-down", say("change-slip-clean-down"), gone);
    group.add("by-hand", say("change-slip-by-hand"), all(&block.overrides));
    group.add("allergens", say("change-slip-allergens"), &block.allergens.statement);
}

fn of_page(sheet: &mut Sheet, block: &WeighBlockView, page: &WeighPageView) {
    let WeighBlockView { formula, name, service_date, .. } = block;
    let mut group = Group {
        sheet,
        key: format!("load/{service_date}/{formula}/{}", page.load),
        group: Sentence::of("change-slip-group-load")
            .with("name", name)
            .with("load", page.load.to_string())
            .with("day", Sentence::day(service_date)),
    };
    let say = Sentence::of;
    group.amount("", say("change-slip-this-load"), page.printed.said(), &page.weighed);
    group.add("starts", say("change-slip-starts"), &page.starts_at);
    let mixes = page.mixes_at.as_deref().unwrap_or_default();
    group.add("mixes", say("change-slip-into-mixer"), mixes);
    let mixer = page.mixer_name.as_ref().or(page.mixer.as_ref());
    group.add("mixer", say("sheet-mixer"), mixer.map(String::as_str).unwrap_or_default());
    let steps = page.units.map(|n| n.to_string()).unwrap_or_default();
    group.add("steps", say("change-slip-whole-steps"), steps);
    group.add("notes", say("change-slip-notes"), all(&page.notes));
    lines(&mut group, &page.lines);
}

fn of_topping(sheet: &mut Sheet, block: &ToppingBlockView) {
    let ToppingBlockView { product, name, service_date, .. } = block;
    let mut group = Group {
        sheet,
        key: format!("topping/{service_date}/{product}"),
        group: Sentence::of("change-slip-group-toppings")
            .with("name", name)
            .with("day", Sentence::day(service_date)),
    };
    group.add("pieces", Sentence::of("sheet-pieces"), block.pieces.to_string());
    group.add("by-hand", Sentence::of("change-slip-by-hand"), all(&block.overrides));
    group.add("starts", Sentence::of("change-slip-starts"), &block.at);
    lines(&mut group, &block.lines);
    lines(&mut group, &block.day_old);
}

fn lines(group: &mut Group<'_>, lines: &[WeighLineView]) {
    for line in lines {
        let (item, name) = (&line.item, &line.name);
        let key = |fact: &str| format!("line/{item}{fact}");
        group.amount(&key(""), name, line.printed.said(), &line.weigh);
        let lots = line.lots.iter().map(|lot| lot.lot.as_str());
        group.add(&key("/lots"), of(name, "sheet-lot"), Sentence::joined(" + ", lots));
        group.add(&key("/short"), of(name, "change-slip-short"), short(line.short.as_ref()));
        let scale = line.scale.as_deref().unwrap_or(line.state);
        let tub = Sentence::listed("tub-", line.tub);
        let scale = Sentence::joined(", ", [scale.into(), tub]);
        group.add(&key("/scale"), of(name, "change-slip-scale-tub"), scale);
        group.add(&key("/remarks"), of(name, "change-slip-remark"), all(&line.remarks));
        group.add(&key("/allergens"), of(name, "change-slip-allergens"), &line.allergens.statement);
    }
}

/// What no lot covers.
fn short(quantity: Option<&QuantityView>) -> Sentence {
    let said = |short: &QuantityView| Sentence::amount(format!("{} {}", short.amount, short.unit));
    quantity.map_or_else(|| Sentence::from(""), said)
}

/// What stands on a pick list.
#[must_use]
pub fn of_pick_list(view: &PickListView) -> Vec<PrintRow> {
    let mut sheet = Sheet::default();
    notes(&mut sheet, &view.notes);
    let parts = [
        ("pull", "change-slip-to-pull", &view.pull),
        ("stores", "change-slip-from-stores", &view.stores),
    ];
    for (part, title, lines) in parts {
        for line in lines {
            let place = line.place_name.as_ref();
            let place = place.map_or_else(|| Sentence::of("sheet-no-place-on-record"), Into::into);
            let mut group = Group {
                sheet: &mut sheet,
                key: part.to_owned(),
                group: Sentence::of(title).with("place", place),
            };
            of_pick(&mut group, line);
        }
    }
    sheet.rows
}

fn of_pick(group: &mut Group<'_>, line: &PickLineView) {
    let (item, name) = (&line.item, &line.name);
    group.amount(item, name, line.fetch.clone(), &line.amount);
    group.add(&format!("{item}/by"), of(name, "change-slip-by"), &line.by);
    let lots = line.lots.iter().map(|lot| lot.lot.as_str());
    group.add(&format!("{item}/lots"), of(name, "sheet-lot"), Sentence::joined(" + ", lots));
    group.add(&format!("{item}/unmet"), of(name, "change-slip-short"), short(line.unmet.as_ref()));
    group.add(&format!("{item}/stop"), of(name, "change-slip-stop"), all(&line.stop));
    let earlier = line.day_old.iter().map(|draw| &draw.words);
    let earlier = Sentence::joined("; ", earlier);
    group.add(&format!("{item}/day-old"), of(name, "change-slip-earlier-bake"), earlier);
}
