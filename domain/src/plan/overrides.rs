//! What people set by hand, as a plan looks it up.

use super::{Finding, Plan};
use crate::{
    bakery::{Bakery, Recipe},
    book::Book,
    id::Code,
    overrides::{Decision, Override, OverrideKind, OverrideValue},
    split::SplitError,
};
use jiff::{Timestamp, civil::Date};

/// Why a value that was set by hand cannot be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CannotSet {
    /// Nothing has this name.
    #[error("there is no mixer `{0}`")]
    UnknownMixer(Code),
    /// The mixer is not for such dough.
    #[error("mixer `{mixer}` takes no dough of class `{class}`")]
    DoughClass {
        /// Which mixer.
        mixer: Code,
        /// The class of the dough, as typed.
        class: String,
    },
    /// All loads that it asks for are released, and more is to be mixed.
    #[error("{0} loads: as many are released already and do not cover the orders")]
    AllReleased(i64),
    /// What is to be mixed cannot be split so.
    #[error("{loads} loads: {why}")]
    Split {
        /// How many loads were asked for.
        loads: i64,
        /// Why not so many.
        why: SplitError,
    },
}

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
    ) -> (Option<(u32, i64)>, Option<CannotSet>) {
        let Some(code) = self.mixer else { return (recipe.mixer, None) };
        match mixer_of(bakery, recipe, code) {
            Ok(found) => (Some(found), None),
            Err(reason) => (recipe.mixer, Some(reason)),
        }
    }
}

/// A mixer by its code, with the most that it takes of a recipe's dough.
fn mixer_of(bakery: &Bakery, recipe: &Recipe, code: &Code) -> Result<(u32, i64), CannotSet> {
    let Some(position) = bakery.index().mixer(code.as_str()) else {
        return Err(CannotSet::UnknownMixer(code.clone()));
    };
    let mixer = &bakery.lists().mixers[position as usize];
    let class = bakery.formula_of(recipe).dough_class.as_deref().unwrap_or_default();
    let Some(most) = mixer.maximum_ug(class) else {
        return Err(CannotSet::DoughClass { mixer: code.clone(), class: class.to_owned() });
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
        reason: CannotSet,
    ) {
        self.overrides.retain(|one| {
            (one.service_date, one.value.kind(), &one.code) != (service_date, kind, code)
        });
        let code = code.clone();
        self.findings.push(Finding::OverrideImpossible { service_date, kind, code, reason });
    }
}
