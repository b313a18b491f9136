//! A mixer's friction: as it is set, and as its doughs teach it.

use crate::{
    document::{Fault, Reader},
    service::friction::{Accepted, Friction, Lesson},
};
use domain::temperature::Kelvin;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What is known of a mixer's friction, in degrees Celsius of difference.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FrictionView {
    /// Which mixer.
    #[schema(example = "floor-spiral")]
    pub mixer: String,
    /// As it is set; none if nobody set it.
    #[schema(example = "12")]
    pub friction: Option<String>,
    /// The first service date whose doughs are looked at.
    #[schema(example = "2026-03-12")]
    pub since: String,
    /// What all doughs of the mixer say together.
    pub all: LessonView,
    /// What the doughs of each formula say.
    pub formulas: Vec<FormulaLessonView>,
}

/// What the doughs of one formula say.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FormulaLessonView {
    /// Which formula.
    #[schema(example = "country")]
    pub formula: String,
    /// What its doughs say.
    #[serde(flatten)]
    pub lesson: LessonView,
}

/// What some doughs say.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LessonView {
    /// Doughs with all their temperatures written back.
    #[schema(example = 4)]
    pub doughs: usize,
    /// Doughs that lack a temperature, and teach nothing.
    #[schema(example = 1)]
    pub incomplete: usize,
    /// Their mean.
    #[schema(example = "12.7")]
    pub mean: Option<String>,
    /// The least of them.
    #[schema(example = "12")]
    pub least: Option<String>,
    /// The most of them.
    #[schema(example = "13.5")]
    pub most: Option<String>,
    /// The mean to the half degree, from three doughs on. Nothing changes until a person
    /// accepts it.
    #[schema(example = "12.5")]
    pub suggested: Option<String>,
}

/// A friction that a person accepts.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FrictionBody {
    /// In degrees Celsius of difference.
    #[schema(example = "12.5")]
    pub friction: String,
    /// Who accepts it, 1 to 200 characters.
    #[schema(example = "Cem")]
    pub who: String,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "four country doughs of this week")]
    pub note: Option<String>,
}

impl FrictionView {
    /// What is known as it is sent.
    #[must_use]
    pub fn new(found: &Friction) -> Self {
        let Friction { mixer, set, all, formulas, since } = found;
        let of = |(formula, lesson): (&String, &Lesson)| FormulaLessonView {
            formula: formula.clone(),
            lesson: lesson_view(lesson),
        };
        Self {
            mixer: mixer.clone(),
            friction: set.map(Kelvin::decimal),
            since: since.to_string(),
            all: lesson_view(all),
            formulas: formulas.iter().map(of).collect(),
        }
    }
}

fn lesson_view(lesson: &Lesson) -> LessonView {
    let learnt = lesson.learnt;
    LessonView {
        doughs: learnt.map_or(0, |learnt| learnt.count),
        incomplete: lesson.incomplete,
        mean: learnt.map(|learnt| learnt.mean.decimal()),
        least: learnt.map(|learnt| learnt.least.decimal()),
        most: learnt.map(|learnt| learnt.most.decimal()),
        suggested: learnt.and_then(|learnt| learnt.suggested).map(Kelvin::decimal),
    }
}

impl FrictionBody {
    /// What is accepted.
    ///
    /// # Errors
    /// Every fault of the body.
    pub fn read(&self) -> Result<Accepted, Vec<Fault>> {
        let Self { friction, who, note } = self;
        let mut reader = Reader::default();
        let accepted = Accepted {
            friction: reader.kelvin("friction", friction),
            who: reader.words("who", who),
            note: note.as_ref().map(|note| reader.words("note", note)),
        };
        reader.done(accepted)
    }
}
