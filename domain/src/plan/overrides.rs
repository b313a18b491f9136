//! What people set by hand, as a plan looks it up.

use super::{Finding, Plan};
use crate::{
    bakery::{Bakery, Recipe},
    book::Book,
    id::Code,
    overrides::{Decision, Override, OverrideKind, OverrideValue},
};
use jiff::{Timestamp, civil::Date};

/// What was set by hand for one batch.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct ByHand<'a> {
    pub(super) loads: Option<i64>,
    pub(super) mixer: Option<&'a Code>,
    pub(super) time: Option<Timestamp>,
    pub(super) decision: Option<Decision>,
    pub(super) new_formula_seen: bool,
}

impl<'a> ByHand<'a> {
    pub(super) fn of(book: &'a Book, date: Date, code: &Code) -> Self {
        let mut found = Self::default();
        let own = |one: &&Override| one.service_date == date && one.code == *code;
        for one in book.overrides.iter().filter(own) {
            match &one.value {
                OverrideValue::Loads(loads) => found.loads = Some(*loads),
                OverrideValue::Mixer(mixer) => found.mixer = Some(mixer),
                OverrideValue::Time(at) => found.time = Some(*at),
                OverrideValue::UnderMinimum(decision) => found.decision = Some(*decision),
                OverrideValue::NewFormulaSeen => found.new_formula_seen = true,
                OverrideValue::StartPieces(_) => {}
            }
        }
        found
    }

    /// The mixer of a batch with the most that it takes of the dough, in micrograms.
    ///
    /// # Errors
    /// Why the one that was set cannot be; then the formula's own holds.
    pub(super) fn mixer(
        &self,
        bakery: &Bakery,
        recipe: &Recipe,
    ) -> (Option<(u32, i64)>, Option<String>) {
        let Some(code) = self.mixer else { return (recipe.mixer, None) };
        match mixer_of(bakery, recipe, code) {
            Ok(found) => (Some(found), None),
            Err(reason) => (recipe.mixer, Some(reason)),
        }
    }
}

/// A mixer by its code, with the most that it takes of a recipe's dough.
fn mixer_of(bakery: &Bakery, recipe: &Recipe, code: &Code) -> Result<(u32, i64), String> {
    let Some(position) = bakery.index().mixer(code.as_str()) else {
        return Err(format!("there is no mixer `{code}`"));
    };
    let mixer = &bakery.lists().mixers[position as usize];
    let class = bakery.formula_of(recipe).dough_class.as_deref().unwrap_or_default();
    let Some(most) = mixer.maximum_ug(class) else {
        return Err(format!("mixer `{code}` takes no dough of class `{class}`"));
    };
    Ok((position, most))
}

impl Plan {
    /// What was set by hand for a product or formula, if it holds.
    #[must_use]
    pub fn override_of(&self, date: Date, kind: OverrideKind, code: &Code) -> Option<&Override> {
        self.overrides
            .iter()
            .find(|one| one.service_date == date && one.code == *code && one.value.kind() == kind)
    }

    /// Notes that an override cannot be; the plan goes on without it.
    pub(super) fn impossible(
        &mut self,
        service_date: Date,
        kind: OverrideKind,
        code: &Code,
        reason: String,
    ) {
        self.overrides.retain(|one| {
            (one.service_date, one.value.kind(), &one.code) != (service_date, kind, code)
        });
        let code = code.clone();
        self.findings.push(Finding::OverrideImpossible { service_date, kind, code, reason });
    }
}
