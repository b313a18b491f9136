//! The shortage sheet as a table for spreadsheets.

use super::{ShortageLineView, ShortagesView, SupplierGroupView};
use crate::wire::amount::money_text;
use crate::wire::{amount::QuantityView, csv};

/// The columns, in the order of the sheet.
const HEADER: [&str; 24] = [
    "cutoff",
    "minutes_left",
    "supplier",
    "ingredient",
    "name",
    "state",
    "unit",
    "on_hand",
    "on_order",
    "due",
    "needed",
    "safety_stock",
    "short_by",
    "runs_out_at",
    "runs_out_for",
    "days_of_cover",
    "pack",
    "packs",
    "line_cost",
    "currency",
    "arrives",
    "least_life_days",
    "orders_hit",
    "substitutes",
];

impl ShortagesView {
    /// One row for each ingredient, as on the sheet; what is covered last.
    #[must_use]
    pub fn csv(&self) -> String {
        let groups = self.groups.iter();
        let short =
            groups.flat_map(|group| group.lines.iter().map(move |line| (Some(group), line)));
        let covered = self.covered.iter().map(|line| (None, line));
        csv::table(&HEADER, short.chain(covered).map(|(group, line)| row(group, line)))
    }
}

fn row(group: Option<&SupplierGroupView>, line: &ShortageLineView) -> Vec<String> {
    let text = |value: &Option<String>| value.clone().unwrap_or_default();
    let number = |value: Option<i64>| value.map_or_else(String::new, |value| value.to_string());
    let amount = |quantity: &QuantityView| quantity.amount.clone();
    let runs_out = line.runs_out.as_ref();
    let cost = line.line_cost.as_ref();
    let hit = |hit: &super::HitView| {
        format!("{} {}: {}", hit.service_date, hit.product, hit.names().join(", "))
    };
    let due: Vec<String> =
        line.due.iter().map(|due| format!("{} {}", due.at, due.quantity.amount)).collect();
    let hits: Vec<String> = line.hits.iter().map(hit).collect();
    let levers: Vec<String> = line.levers.iter().map(|one| one.words().wired()).collect();
    vec![
        group.map_or_else(String::new, |group| text(&group.cutoff)),
        number(group.and_then(|group| group.minutes_left)),
        text(&line.supplier),
        line.item.clone(),
        line.name.clone(),
        line.pressing.to_owned(),
        line.on_hand.unit.to_owned(),
        amount(&line.on_hand),
        amount(&line.on_order),
        due.join("; "),
        amount(&line.needed),
        amount(&line.safety_stock),
        amount(&line.short_by),
        runs_out.map_or_else(String::new, |out| out.at.clone()),
        runs_out.map_or_else(String::new, |out| out.used_in.wired()),
        number(line.days_of_cover),
        text(&line.pack),
        line.packs.to_string(),
        cost.map_or_else(String::new, |cost| money_text(cost.minor_units)),
        cost.map_or_else(String::new, |cost| cost.currency.clone()),
        text(&line.arrives),
        number(line.least_life_days),
        hits.join("; "),
        levers.join("; "),
    ]
}
