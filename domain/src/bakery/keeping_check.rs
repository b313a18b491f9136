//! Checks of what is kept: ages, divide times, seed and old dough.

use super::{BakeryDraft, Index, Recipes, check::Check};
use crate::{
    fault::{FaultKind, Faults},
    formula::{Base, Divide, Formula, Line, LineAmount, OldDough},
    quantity::Unit,
    ratio::Ratio,
};
use std::collections::BTreeSet;

/// A year: nothing that is made here is kept longer.
const MINUTES_MAX: i64 = 366 * 24 * 60;
/// A levain is fed once a day at most, so its seed must live a day.
const SEED_LIFE_MIN: i64 = 24 * 60;

impl Check<'_> {
    pub(super) fn keeping(&mut self, draft: &BakeryDraft, formula: &Formula) {
        if let Some(ages) = formula.age_window_minutes {
            self.ages("age_window", ages);
        }
        if let Some(minutes) = formula.life_minutes {
            self.whole("life", minutes, 1, MINUTES_MAX);
        }
        if let Some(minutes) = formula.keeping.best_age_minutes {
            self.whole("best_age", minutes, 0, MINUTES_MAX);
        }
        if let Some(minutes) = formula.keeping.seed_life_minutes {
            self.whole("keep_back/seed_life", minutes, SEED_LIFE_MIN, MINUTES_MAX);
        }
        if let Some(kept) = formula.keeping.keep_for_next {
            self.of_unit("keep_for_next", kept, Unit::Gram);
        }
        match &formula.keeping.divide {
            Some(Divide::At(at)) => self.whole("divide/day", at.day.into(), -31, 31),
            Some(Divide::Step { route, step, .. }) => {
                let found = self.index.route(route.as_str());
                self.known("divide/route", "route", found, route);
                let has = |position: u32| {
                    draft.routes[position as usize].steps.iter().any(|found| found.name == *step)
                };
                if found.is_some_and(|position| !has(position)) {
                    let detail = format!("route `{route}` has no step `{step}`");
                    self.fault("divide/step", FaultKind::UnknownCode, detail);
                }
            }
            None => {}
        }
        for (number, line) in formula.lines.iter().enumerate() {
            if let Some(old) = line.old_dough {
                self.old_dough(formula, (number, line), old);
            }
        }
    }

    fn ages(&mut self, field: &str, (least, most): (i64, i64)) {
        self.whole(&format!("{field}/least"), least, 0, MINUTES_MAX);
        self.whole(&format!("{field}/most"), most, 0, MINUTES_MAX);
        if least > most {
            let detail = format!("the least age of {least} min is above the most, {most} min");
            self.fault(field, FaultKind::OutOfRange, detail);
        }
    }

    fn old_dough(&mut self, formula: &Formula, (number, line): (usize, &Line), old: OldDough) {
        let at = |field: &str| format!("lines/{number}/{field}");
        self.ages(&at("old_dough/age"), old.age_minutes);
        if !line.previous_batch || line.item == formula.code {
            let detail = format!(
                "`{}`: old dough comes from a previous batch of another formula: mark the line so",
                line.item
            );
            self.fault(&at("old_dough"), FaultKind::FieldMismatch, detail);
        }
        let Some(most) = old.most_percent else { return };
        let (field, kind) = (at("old_dough/maximum"), FaultKind::OutOfRange);
        match percent_of_new_flour(formula, line) {
            None => {
                let detail = format!(
                    "`{}`: its percent of the new flour is not known: mark the lines that are flour",
                    line.item
                );
                self.fault(&field, FaultKind::FieldMismatch, detail);
            }
            Some(found) if found > most => {
                let detail = format!(
                    "{} % of the new flour is `{}`, at most {} % is allowed: take less of it",
                    found.to_decimal(2),
                    line.item,
                    most.to_decimal(2)
                );
                self.fault(&field, kind, detail);
            }
            Some(_) => {}
        }
    }
}

/// What a line takes in percent of the flour that is new in its formula.
fn percent_of_new_flour(formula: &Formula, line: &Line) -> Option<Ratio> {
    let LineAmount::Parts(parts) = line.amount else { return None };
    if matches!(formula.base, Base::PercentOfFlour(_)) {
        return Some(parts);
    }
    let mut flour = Ratio::ZERO;
    for other in formula.lines.iter().filter(|other| other.flour && !other.previous_batch) {
        let LineAmount::Parts(parts) = other.amount else { return None };
        flour = flour.plus(parts).ok()?;
    }
    if !flour.is_positive() {
        return None;
    }
    parts.times(Ratio::whole(100)).and_then(|parts| parts.over(flour)).ok()
}

/// Old dough goes only into a dough that holds all its allergens anyway.
///
/// # Source
/// The trade rules, part 2.7: only into doughs of an equal or wider allergen set.
pub(super) fn allergens(draft: &BakeryDraft, index: &Index, all: &Recipes, faults: &mut Faults) {
    for recipe in &all.recipes {
        let formula = &draft.formulas[recipe.formula as usize];
        for (number, line) in formula.lines.iter().enumerate() {
            if !line.previous_batch || line.item == formula.code {
                continue;
            }
            let Some(old) = index.item(line.item.as_str()) else { continue };
            let (mut without, mut brought) = (Contents::default(), Contents::default());
            without.seen.insert(old);
            without.add(draft, all, recipe.item);
            brought.add(draft, all, old);
            let new: Vec<&str> = brought
                .words
                .iter()
                .filter(|word| !without.words.contains(*word))
                .map(String::as_str)
                .collect();
            if !new.is_empty() {
                faults.add(
                    format_args!("/formulas/{}/lines/{number}/item", recipe.formula),
                    FaultKind::FieldMismatch,
                    format!(
                        "old dough `{}` would bring {} into `{}`: take it only into a dough that has that anyway",
                        line.item,
                        new.join(", "),
                        formula.code
                    ),
                );
            }
        }
    }
}

/// Allergens of a made thing; what nobody has read is one too.
#[derive(Default)]
struct Contents {
    seen: BTreeSet<u32>,
    words: BTreeSet<String>,
}

impl Contents {
    fn add(&mut self, draft: &BakeryDraft, all: &Recipes, item: u32) {
        if !self.seen.insert(item) {
            return;
        }
        let found = &draft.items[item as usize];
        self.words.extend(found.allergens.contains.iter().cloned());
        let Some(at) = all.of_item(item) else {
            let fruit = draft.items.iter().filter_map(|item| item.joint.as_ref());
            let output = fruit.flat_map(|joint| &joint.outputs).any(|out| out.item == found.code);
            if !found.allergens.known && !output {
                self.words.insert(format!("{} (allergens not known)", found.code));
            }
            return;
        };
        let recipe = &all.recipes[at];
        if let super::Driver::Blocks { base, sheet, .. } = recipe.driver {
            self.add(draft, all, base);
            self.add(draft, all, sheet);
        }
        for line in all.lines_of(recipe) {
            self.add(draft, all, line.item);
        }
    }
}
