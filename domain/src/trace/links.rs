//! Passages as a walk needs them: who feeds whom, with what weight.

use super::{Part, Passage, TraceInput};
use crate::ratio::{Overflow, Ratio};

/// One side of a passage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Inputs,
    Outputs,
}

/// A lot at one end of a passage, weighed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Weighed {
    pub(super) lot: u32,
    /// Of an input, its part of all that went in; of an output, the part of all that ever
    /// came into the lot. None if it is not known.
    pub(super) weight: Option<Ratio>,
    pub(super) certain: bool,
}

/// All passages, walked from one side.
#[derive(Debug)]
pub(super) struct Links {
    inputs: Vec<Vec<Weighed>>,
    outputs: Vec<Vec<Weighed>>,
    out_of: Vec<Vec<u32>>,
    from: Side,
}

impl Links {
    pub(super) fn new(input: TraceInput<'_>) -> Result<Self, Overflow> {
        let TraceInput { passages, came_micro, direction, .. } = input;
        let inputs = passages.iter().map(weighed_inputs).collect::<Result<Vec<_>, _>>()?;
        let outputs = passages
            .iter()
            .map(|passage| weighed_outputs(passage, came_micro))
            .collect::<Result<Vec<_>, _>>()?;
        let mut out_of = vec![Vec::new(); came_micro.len()];
        let from = direction.from();
        let sides = if from == Side::Inputs { &inputs } else { &outputs };
        for (at, parts) in (0_u32..).zip(sides) {
            for part in parts {
                let list: &mut Vec<u32> = &mut out_of[part.lot as usize];
                if list.last() != Some(&at) {
                    list.push(at);
                }
            }
        }
        Ok(Self { inputs, outputs, out_of, from })
    }

    /// The lots that a walk comes from.
    pub(super) fn from(&self, passage: u32) -> impl Iterator<Item = &Weighed> {
        self.side(passage, self.from == Side::Inputs)
    }

    /// The lots that a walk goes to.
    pub(super) fn to(&self, passage: u32) -> impl Iterator<Item = &Weighed> {
        self.side(passage, self.from == Side::Outputs)
    }

    /// The passages that a walk takes from a lot.
    pub(super) fn out_of(&self, lot: u32) -> &[u32] {
        &self.out_of[lot as usize]
    }

    fn side(&self, passage: u32, inputs: bool) -> impl Iterator<Item = &Weighed> {
        let parts = if inputs { &self.inputs } else { &self.outputs };
        parts[passage as usize].iter()
    }
}

/// Each input once, with its part of the mass of all that went in and has a weight.
fn weighed_inputs(passage: &Passage) -> Result<Vec<Weighed>, Overflow> {
    let mut all = passage.untracked_ug;
    for part in &passage.inputs {
        all = all.plus(part.mass_ug.unwrap_or(Ratio::ZERO))?;
    }
    // A part that became a lot of its own is what it was, whatever it weighs.
    let whole = passage.inputs.len() == 1 && passage.untracked_ug.is_zero();
    let weight = |part: &Part| -> Result<Option<Ratio>, Overflow> {
        match part.mass_ug {
            _ if whole => Ok(Some(Ratio::ONE)),
            Some(mass) if all.is_positive() => Ok(Some(mass.over(all)?)),
            _ if !part.certain => Ok(Some(Ratio::ZERO)),
            _ => Ok(None),
        }
    };
    once(&passage.inputs, weight)
}

fn weighed_outputs(passage: &Passage, came_micro: &[i64]) -> Result<Vec<Weighed>, Overflow> {
    let weight = |part: &Part| -> Result<Option<Ratio>, Overflow> {
        let came = came_micro.get(part.lot as usize).copied().unwrap_or(0).max(part.micro);
        if came <= 0 {
            return Ok(Some(Ratio::ONE));
        }
        Ok(Some(Ratio::new(part.micro.into(), came.into())?))
    };
    once(&passage.outputs, weight)
}

/// Several entries of one lot are one part.
fn once(
    parts: &[Part],
    weight: impl Fn(&Part) -> Result<Option<Ratio>, Overflow>,
) -> Result<Vec<Weighed>, Overflow> {
    let mut found: Vec<Weighed> = Vec::with_capacity(parts.len());
    for part in parts {
        let weight = weight(part)?;
        match found.iter_mut().find(|one| one.lot == part.lot) {
            Some(one) => {
                one.weight = match (one.weight, weight) {
                    (Some(a), Some(b)) => Some(a.plus(b)?),
                    _ => None,
                };
                one.certain |= part.certain;
            }
            None => found.push(Weighed { lot: part.lot, weight, certain: part.certain }),
        }
    }
    Ok(found)
}
