//! A mass over the loads of a mixer.
//!
//! Residue stays in the bowl of each load, so the number of loads and the mass to
//! mix are found together.

use crate::{
    bakery::Steps,
    limits::LOADS_MAX,
    ratio::{Overflow, Ratio},
};

/// What one load of a mixer may weigh, in micrograms.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bowl {
    /// Below this the hook does not catch.
    pub minimum: Ratio,
    /// Most of the dough's class.
    pub maximum: Ratio,
    /// What stays behind after each load.
    pub residue: Ratio,
}

/// What is to be split.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SplitInput {
    /// All that must come out of the bowls, in micrograms.
    pub mass: Ratio,
    /// Whole steps, if a tool dictates them.
    pub steps: Option<Steps>,
    /// The bowl; without one everything is a single load.
    pub bowl: Option<Bowl>,
}

/// Loads of one size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LoadGroup {
    /// How many of them.
    pub loads: i64,
    /// Steps in each, if steps are dictated.
    pub steps: Option<i64>,
    /// What each weighs in the bowl, residue included, in micrograms.
    pub mass: Ratio,
}

/// A mass over loads, larger loads first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Split {
    /// The loads by size.
    pub groups: Vec<LoadGroup>,
    /// All loads.
    pub loads: i64,
    /// What stays behind after each.
    pub residue: Ratio,
    /// All that is mixed.
    pub mass: Ratio,
    /// Whether a load is smaller than the mixer's minimum: a person must decide.
    pub under_minimum: bool,
}

/// Why a mass cannot be split.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum SplitError {
    /// One step, or the residue alone, fills the bowl.
    #[error("one step and its residue weigh more than the mixer takes")]
    StepOverMaximum,
    /// So many loads leave one that the mixer does not take.
    #[error("a load would be {} kg and the mixer takes {} kg at most", kilograms(*.load), kilograms(*.most))]
    OverMaximum {
        /// What the largest load would weigh, in micrograms.
        load: Ratio,
        /// What the mixer takes, in micrograms.
        most: Ratio,
    },
    /// Steps cannot be shared over more loads than there are steps.
    #[error("only {0} whole steps are to be made: not more loads than that")]
    FewerSteps(i64),
    /// More loads than anybody mixes.
    #[error("more than {LOADS_MAX} loads: check the orders and the piece weights")]
    TooManyLoads,
    /// The numbers are too large.
    #[error(transparent)]
    Overflow(#[from] Overflow),
}

/// Splits a mass into as few equal loads as the bowl allows.
///
/// # Errors
/// [`SplitError`]
pub fn split(input: SplitInput) -> Result<Split, SplitError> {
    let residue = input.bowl.map_or(Ratio::ZERO, |bowl| bowl.residue);
    if input.mass.is_zero() {
        return Ok(Split {
            groups: Vec::new(),
            loads: 0,
            residue,
            mass: Ratio::ZERO,
            under_minimum: false,
        });
    }
    into_loads(input, number_of_loads(input)?)
}

/// Splits a mass into a stated number of loads.
///
/// # Errors
/// [`SplitError`] if the mixer does not take the largest of them.
pub fn split_into(input: SplitInput, loads: i64) -> Result<Split, SplitError> {
    if !(1..=LOADS_MAX).contains(&i128::from(loads)) {
        return Err(SplitError::TooManyLoads);
    }
    if let Some(steps) = input.steps.filter(|steps| steps.count < loads) {
        return Err(SplitError::FewerSteps(steps.count));
    }
    let found = into_loads(input, loads)?;
    let most = input.bowl.map(|bowl| bowl.maximum);
    match (found.groups.first(), most) {
        (Some(group), Some(most)) if group.mass > most => {
            Err(SplitError::OverMaximum { load: group.mass, most })
        }
        _ => Ok(found),
    }
}

/// Micrograms as kilograms with two decimals.
fn kilograms(ug: Ratio) -> String {
    let kilogram = Ratio::whole(1_000_000_000);
    ug.over(kilogram).map_or_else(|_| "too many".to_owned(), |kg| kg.to_decimal(2))
}

fn into_loads(input: SplitInput, loads: i64) -> Result<Split, SplitError> {
    let residue = input.bowl.map_or(Ratio::ZERO, |bowl| bowl.residue);
    let count = Ratio::whole(loads.into());
    let groups = match input.steps {
        None => {
            let mass = input.mass.over(count)?.plus(residue)?;
            vec![LoadGroup { loads, steps: None, mass }]
        }
        Some(Steps { count: steps, mass }) => {
            let group = |loads: i64, steps: i64| -> Result<LoadGroup, Overflow> {
                let mass = mass.times(Ratio::whole(steps.into()))?.plus(residue)?;
                Ok(LoadGroup { loads, steps: Some(steps), mass })
            };
            let larger = steps % loads;
            let mut groups = Vec::new();
            if larger > 0 {
                groups.push(group(larger, steps / loads + 1)?);
            }
            groups.push(group(loads - larger, steps / loads)?);
            groups
        }
    };
    let mut mass = Ratio::ZERO;
    for group in &groups {
        mass = mass.plus(group.mass.times(Ratio::whole(group.loads.into()))?)?;
    }
    let minimum = input.bowl.map_or(Ratio::ZERO, |bowl| bowl.minimum);
    let under_minimum = groups.iter().any(|group| group.mass < minimum);
    Ok(Split { groups, loads, residue, mass, under_minimum })
}

/// The fewest loads whose largest fits the bowl.
fn number_of_loads(input: SplitInput) -> Result<i64, SplitError> {
    let Some(bowl) = input.bowl else { return Ok(1) };
    let room = bowl.maximum.minus(bowl.residue)?;
    if !room.is_positive() {
        return Err(SplitError::StepOverMaximum);
    }
    let loads = match input.steps {
        None => input.mass.over(room)?.ceil(),
        Some(Steps { count, mass }) => {
            let most = room.over(mass)?.floor();
            if most < 1 {
                return Err(SplitError::StepOverMaximum);
            }
            let count = i128::from(count);
            (count + most - 1) / most
        }
    };
    if loads > LOADS_MAX {
        return Err(SplitError::TooManyLoads);
    }
    i64::try_from(loads).map_err(|_| SplitError::TooManyLoads)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kg(text: &str) -> Ratio {
        Ratio::parse_decimal(text, 9)
            .ok()
            .and_then(|kg| kg.times(Ratio::whole(1_000_000_000)).ok())
            .expect("a mass")
    }

    fn bowl(minimum: &str, maximum: &str, residue: &str) -> Option<Bowl> {
        let (minimum, maximum, residue) = (kg(minimum), kg(maximum), kg(residue));
        Some(Bowl { minimum, maximum, residue })
    }

    #[test]
    fn residue_is_solved_together_with_the_number_of_loads() {
        // Source: trade.md 7 case 15.
        let input = SplitInput { mass: kg("60.05"), steps: None, bowl: bowl("12", "60", "0") };
        let split = split(input).expect("splits");
        assert_eq!((split.loads, split.groups[0].mass), (2, kg("30.025")));
    }

    #[test]
    fn a_load_exactly_at_the_maximum_is_one_load() {
        let input = SplitInput { mass: kg("59.8"), steps: None, bowl: bowl("12", "60", "0.2") };
        assert_eq!(split(input).map(|found| found.loads), Ok(1));
        let more = SplitInput { mass: kg("59.800001"), ..input };
        assert_eq!(split(more).map(|found| found.loads), Ok(2));
    }

    #[test]
    fn steps_are_never_cut_and_larger_loads_come_first() {
        let steps = Some(Steps { count: 7, mass: kg("3.5") });
        let input = SplitInput { mass: kg("24.5"), steps, bowl: bowl("1", "12", "0") };
        let split = split(input).expect("splits");
        let sizes: Vec<_> = split.groups.iter().map(|g| (g.loads, g.steps)).collect();
        assert_eq!(sizes, [(1, Some(3)), (2, Some(2))]);
    }

    #[test]
    fn under_the_minimum_is_said_and_not_raised() {
        // Source: trade.md 7 case 14.
        let input = SplitInput { mass: kg("2.1"), steps: None, bowl: bowl("4", "16", "0.1") };
        let split = split(input).expect("splits");
        assert!(split.under_minimum);
        assert_eq!(split.mass, kg("2.2"));
    }

    #[test]
    fn nothing_to_mix_leaves_no_residue() {
        let input = SplitInput { mass: Ratio::ZERO, steps: None, bowl: bowl("4", "16", "0.1") };
        assert_eq!(split(input).map(|found| (found.loads, found.mass)), Ok((0, Ratio::ZERO)));
    }
}
