//! The formula workbench on paper: both views with their percent drawn, versions compared.

use super::{
    chart::{Bar, HALF, bars_within, hundredths, longest},
    page::{Stamp, document, foot, said, stamp},
    texts,
    tree::tree,
};
use crate::messages::Words;
use crate::wire::{
    formula_tree::FormulaTreeView,
    formula_views::SharePercentView,
    workbench::{BenchView, FormulaVersionView, ScaledLoadView, ScaledView},
};
use maud::{Markup, html};

/// Draws the bench.
#[must_use]
pub fn draw(words: Words, view: &BenchView) -> Markup {
    // The draft is what one looks at; without one, the version in force.
    let draft = view.versions.iter().rfind(|version| version.draft);
    let shown = draft.or_else(|| view.versions.iter().find(|version| version.in_force));
    let name = shown.map_or(view.formula.as_str(), |version| version.name.as_str());
    let page = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("formulas-title-sheet"),
        work_date: &view.on,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.cost.workbench {
            (stamp(&page, None))
            header { h1 { (name) } p.load { (words.day_of(&view.on)) } }
            @if let Some(version) = shown {
                @if version.draft { p.banner { (words.say("formulas-draft")) } }
                (warnings(version))
                (views(words, version))
            } @else {
                p { (words.say("formulas-not-in-force")) }
            }
            @if let Some(root) = &view.tree {
                section { h2 { (words.say("formulas-tree-sheet")) } (tree("tree", &words.say("formulas-tree-sheet"), root, &|branch| of_branch(words, branch))) }
            }
            (compared(words, view))
            (nutrition(words, view))
            @if let Some(scaled) = &view.scaled { (size(words, scaled)) }
            (foot(words, &[]))
        }
    };
    document(words, &format!("{} {}", words.say("formulas-title-sheet"), view.formula), &body)
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

fn views(words: Words, version: &FormulaVersionView) -> Markup {
    let (bowl, overall) = (shares(&version.final_mix), shares(&version.overall));
    // One scale for both, so that they can be compared.
    let scale = (HALF, longest(&bowl).max(longest(&overall)));
    html! {
        div.both {
            section { h2 { (words.say("formulas-bowl")) } (bars_within("final-mix", &words.say("formulas-bowl"), &bowl, scale)) }
            section { h2 { (words.say("formulas-overall-sheet")) } (bars_within("overall", &words.say("formulas-overall-sheet"), &overall, scale)) }
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

fn compared(words: Words, view: &BenchView) -> Markup {
    let percent = |figure: &Option<String>| {
        figure
            .as_ref()
            .map_or_else(|| "–".to_owned(), |figure| format!("{} %", words.digits(figure)))
    };
    let rows: Vec<(String, Vec<String>)> = vec![
        (
            words.say("formulas-cost-sheet"),
            view.versions.iter().map(|one| one.cost_words(&view.currency).told(words)).collect(),
        ),
        (
            words.say("formulas-hydration-sheet"),
            view.versions.iter().map(|one| percent(&one.hydration)).collect(),
        ),
        (
            words.say("formulas-hydration-wet-sheet"),
            view.versions.iter().map(|one| percent(&one.hydration_wet)).collect(),
        ),
        (
            words.say("formulas-bound-water"),
            view.versions.iter().map(|one| percent(&one.bound_water)).collect(),
        ),
        (
            words.say("formulas-salt-sheet"),
            view.versions.iter().map(|one| percent(&one.salt)).collect(),
        ),
        (
            words.say("formulas-prefermented-sheet"),
            view.versions.iter().map(|one| percent(&one.prefermented)).collect(),
        ),
        (words.say("formulas-yeast"), view.versions.iter().map(yeast).collect()),
        (
            words.say("formulas-sum-sheet"),
            view.versions.iter().map(|one| one.sum.clone()).collect(),
        ),
        (
            words.say("formulas-allergens-sheet"),
            view.versions.iter().map(|one| one.allergens.statement.told(words)).collect(),
        ),
        (words.say("formulas-look-at"), view.versions.iter().map(look_at).collect()),
    ];
    html! {
        section {
            h2 { (words.say("formulas-versions-sheet")) }
            table.lines.short {
                thead { tr { th {} @for version in &view.versions { th { b { (heading(words, version)) } } } } }
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
fn nutrition(words: Words, view: &BenchView) -> Markup {
    let Some(first) = view.versions.first() else { return html! {} };
    html! {
        section {
            h2 { (words.say("formulas-nutrition")) }
            table.lines.short {
                thead { tr { th.what {} @for version in &view.versions { th.figure { (heading(words, version)) } } } }
                tbody {
                    @for (at, line) in first.nutrition.iter().enumerate() {
                        tr {
                            td.what { (texts::statements::nutrient(words, line.nutrient)) }
                            @for version in &view.versions {
                                td.figure { @if let Some(line) = version.nutrition.get(at) { (line.words.told(words)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The parts of a branch and what it is, in words.
fn of_branch(words: Words, branch: &FormulaTreeView) -> String {
    let kind = match branch.kind {
        "previous-batch" => words.say("formulas-previous-batch"),
        "made-above" => words.say("formulas-made-above"),
        _ => String::new(),
    };
    let parts = branch.parts.as_deref().map(rounded).unwrap_or_default();
    [parts.as_str(), kind.as_str()].join(" ").trim().to_owned()
}

fn heading(words: Words, version: &FormulaVersionView) -> String {
    let from = version
        .valid_from
        .as_deref()
        .map_or(words.say("formulas-always-sheet"), |from| words.day_of(from));
    match (version.draft, version.in_force) {
        (true, _) => words.say("formulas-draft-short"),
        (false, true) => format!("{from} ({})", words.say("formulas-in-force")),
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

fn size(words: Words, scaled: &ScaledView) -> Markup {
    html! {
        section {
            h2 { (words.say("formulas-scaled-sheet")) }
            @if !scaled.ends_first.is_empty() { p { (words.say("formulas-ends-first-sheet")) " " b { (scaled.ends_first.join(", ")) } } }
            @for batch in &scaled.batches {
                @for load in &batch.loads { (load_table(words, &batch.formula, load)) }
            }
        }
    }
}

fn load_table(words: Words, formula: &str, load: &ScaledLoadView) -> Markup {
    html! {
        section.group {
            p { b { (formula) } ", " (words.tell("formulas-loads-each", &[("loads", load.loads.into())])) ", " (said(words, &load.mass)) }
            table.lines.short {
                thead { tr { th { (words.say("sheet-ingredient")) } th.figure { (words.say("formulas-weigh-sheet")) } th.figure { (words.say("formulas-exact-sheet")) } } }
                tbody {
                    @for line in &load.lines {
                        tr { td { (line.item) } td.figure { b { (said(words, &line.weigh)) } } td.figure { (line.exact.amount) } }
                    }
                    tr.total { td { b { (words.say("formulas-total")) } } td.figure { b { (said(words, &load.sum)) } } td.figure {} }
                }
            }
        }
    }
}
