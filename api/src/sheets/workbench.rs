//! The formula workbench on paper: both views with their percent drawn, versions compared.

use super::{
    chart::{Bar, HALF, bars_within, hundredths, longest},
    page::{Stamp, document, foot, said, stamp},
    texts::{self, bench as word},
    tree::tree,
};
use crate::wire::{
    formula_tree::FormulaTreeView,
    formula_views::SharePercentView,
    workbench::{BenchView, FormulaVersionView, ScaledLoadView, ScaledView},
};
use maud::{Markup, html};

/// Draws the bench.
#[must_use]
pub fn draw(view: &BenchView) -> Markup {
    // The draft is what one looks at; without one, the version in force.
    let draft = view.versions.iter().rfind(|version| version.draft);
    let shown = draft.or_else(|| view.versions.iter().find(|version| version.in_force));
    let name = shown.map_or(view.formula.as_str(), |version| version.name.as_str());
    let page = Stamp {
        bakery: &view.bakery,
        title: word::TITLE,
        work_date: &view.on,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.cost.workbench {
            (stamp(&page, None))
            header { h1 { (name) } p.load { (texts::day(&view.on)) } }
            @if let Some(version) = shown {
                @if version.draft { p.banner { (word::DRAFT) } }
                (warnings(version))
                (views(version))
            } @else {
                p { (word::NOT_IN_FORCE) }
            }
            @if let Some(root) = &view.tree {
                section { h2 { (word::TREE) } (tree("tree", word::TREE, root, &of_branch)) }
            }
            (compared(view))
            (nutrition(view))
            @if let Some(scaled) = &view.scaled { (size(scaled)) }
            (foot(&[]))
        }
    };
    document(&format!("{} {}", word::TITLE, view.formula), &body)
}

fn warnings(version: &FormulaVersionView) -> Markup {
    html! {
        @if !version.warnings.is_empty() {
            ul.notes {
                @for warning in &version.warnings {
                    li { b { (warning.words) } " (" (warning.source) ")" }
                }
            }
        }
    }
}

fn views(version: &FormulaVersionView) -> Markup {
    let (bowl, overall) = (shares(&version.final_mix), shares(&version.overall));
    // One scale for both, so that they can be compared.
    let scale = (HALF, longest(&bowl).max(longest(&overall)));
    html! {
        div.both {
            section { h2 { (word::FINAL_MIX) } (bars_within("final-mix", word::FINAL_MIX, &bowl, scale)) }
            section { h2 { (word::OVERALL) } (bars_within("overall", word::OVERALL, &overall, scale)) }
        }
    }
}

fn shares(list: &[SharePercentView]) -> Vec<Bar> {
    let bar = |share: &SharePercentView| {
        let (length, words) = (hundredths(&share.percent), rounded(&share.percent));
        Bar { name: share.item.clone(), length, words }
    };
    list.iter().map(bar).collect()
}

/// Two places at most, as a baker reads them.
fn rounded(percent: &str) -> String {
    match percent.split_once('.') {
        Some((whole, part)) if part.len() > 3 => {
            format!("{whole}.{}…", part.get(..3).unwrap_or(part))
        }
        _ => percent.to_owned(),
    }
}

fn compared(view: &BenchView) -> Markup {
    let percent = |figure: &Option<String>| {
        figure.as_ref().map_or_else(|| "–".to_owned(), |figure| format!("{figure} %"))
    };
    let rows: Vec<(&str, Vec<String>)> = vec![
        (word::COST, view.versions.iter().map(|one| one.cost_words(&view.currency)).collect()),
        (word::HYDRATION, view.versions.iter().map(|one| percent(&one.hydration)).collect()),
        (
            word::HYDRATION_WET,
            view.versions.iter().map(|one| percent(&one.hydration_wet)).collect(),
        ),
        (word::BOUND_WATER, view.versions.iter().map(|one| percent(&one.bound_water)).collect()),
        (word::SALT, view.versions.iter().map(|one| percent(&one.salt)).collect()),
        (word::PREFERMENTED, view.versions.iter().map(|one| percent(&one.prefermented)).collect()),
        (word::YEAST, view.versions.iter().map(yeast).collect()),
        (word::SUM, view.versions.iter().map(|one| one.sum.clone()).collect()),
        (
            word::ALLERGENS,
            view.versions.iter().map(|one| one.allergens.statement.clone()).collect(),
        ),
        (word::LOOK_AT, view.versions.iter().map(look_at).collect()),
    ];
    html! {
        section {
            h2 { (word::VERSIONS) }
            table.lines.short {
                thead { tr { th {} @for version in &view.versions { th { b { (heading(version)) } } } } }
                tbody {
                    @for (name, cells) in &rows {
                        tr { td { (name) } @for cell in cells { td { (cell) } } }
                    }
                    @for item in items(view) {
                        tr {
                            td { (item) }
                            @for version in &view.versions { td { (part(version, &item)) } }
                        }
                    }
                }
            }
        }
    }
}

/// What 100 g nourish, versions beside each other.
fn nutrition(view: &BenchView) -> Markup {
    let Some(first) = view.versions.first() else { return html! {} };
    html! {
        section {
            h2 { (word::NUTRITION) }
            table.lines.short {
                thead { tr { th.what {} @for version in &view.versions { th.figure { (heading(version)) } } } }
                tbody {
                    @for (at, line) in first.nutrition.iter().enumerate() {
                        tr {
                            td.what { (texts::statements::nutrient(line.nutrient)) }
                            @for version in &view.versions {
                                td.figure { @if let Some(line) = version.nutrition.get(at) { (line.words) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The parts of a branch and what it is, in words.
fn of_branch(branch: &FormulaTreeView) -> String {
    let kind = match branch.kind {
        "previous-batch" => word::PREVIOUS_BATCH,
        "made-above" => word::MADE_ABOVE,
        _ => "",
    };
    let parts = branch.parts.as_deref().map(rounded).unwrap_or_default();
    [parts.as_str(), kind].join(" ").trim().to_owned()
}

fn heading(version: &FormulaVersionView) -> String {
    let from = version.valid_from.as_deref().map_or(word::ALWAYS.to_owned(), texts::day);
    match (version.draft, version.in_force) {
        (true, _) => word::DRAFT_SHORT.to_owned(),
        (false, true) => format!("{from} ({})", word::IN_FORCE),
        (false, false) => from,
    }
}

fn yeast(version: &FormulaVersionView) -> String {
    let all: Vec<_> =
        version.yeast.iter().map(|one| format!("{} % {}", one.percent, one.item)).collect();
    if all.is_empty() { "–".to_owned() } else { all.join(", ") }
}

fn look_at(version: &FormulaVersionView) -> String {
    let all: Vec<_> = version.warnings.iter().map(|warning| warning.words.clone()).collect();
    if all.is_empty() { "–".to_owned() } else { all.join("; ") }
}

/// All items of all bowls, in the order in which they first stand.
fn items(view: &BenchView) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for share in view.versions.iter().flat_map(|version| &version.final_mix) {
        if !found.contains(&share.item) {
            found.push(share.item.clone());
        }
    }
    found
}

fn part(version: &FormulaVersionView, item: &str) -> String {
    let found = version.final_mix.iter().find(|share| share.item == item);
    found.map_or_else(|| "–".to_owned(), |share| rounded(&share.percent))
}

fn size(scaled: &ScaledView) -> Markup {
    html! {
        section {
            h2 { (word::SCALED) }
            @if !scaled.ends_first.is_empty() { p { (word::ENDS_FIRST) " " b { (scaled.ends_first.join(", ")) } } }
            @for batch in &scaled.batches {
                @for load in &batch.loads { (load_table(&batch.formula, load)) }
            }
        }
    }
}

fn load_table(formula: &str, load: &ScaledLoadView) -> Markup {
    html! {
        section.group {
            p { b { (formula) } ", " (word::loads(load.loads)) ", " (said(&load.mass)) }
            table.lines.short {
                thead { tr { th { (word::ITEM) } th.figure { (word::WEIGH) } th.figure { (word::EXACT) } } }
                tbody {
                    @for line in &load.lines {
                        tr { td { (line.item) } td.figure { b { (said(&line.weigh)) } } td.figure { (line.exact.amount) } }
                    }
                    tr.total { td { b { (word::TOTAL) } } td.figure { b { (said(&load.sum)) } } td.figure {} }
                }
            }
        }
    }
}
