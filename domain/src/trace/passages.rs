//! One document of the ledger as passages: what went in, and what came out of it.

use super::{Part, Passage, PassageKind};
use crate::{
    movement::MovementKind,
    ratio::{Overflow, Ratio},
};
use jiff::Timestamp;
use std::collections::BTreeSet;

/// One entry of the ledger as a trace reads it; entries that were taken back are left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Posting {
    /// The lot, by its number in the trace.
    pub lot: u32,
    /// What happened.
    pub kind: MovementKind,
    /// What it adds to the lot, in millionths of its base unit.
    pub micro: i64,
    /// Micrograms in a millionth of its base unit; none without a weight on record.
    pub weight: Option<Ratio>,
    /// When it happened.
    pub at: Timestamp,
    /// Whether the book says so; else it is only possible.
    pub certain: bool,
}

impl Posting {
    /// Whether it goes into something else.
    #[must_use]
    pub const fn goes_in(&self) -> bool {
        match self.kind {
            MovementKind::Weigh | MovementKind::Use => self.micro <= 0,
            MovementKind::Move => self.micro < 0,
            _ => false,
        }
    }

    /// Whether it comes out of something else.
    #[must_use]
    pub const fn comes_out(&self) -> bool {
        self.micro > 0 && matches!(self.kind, MovementKind::Make | MovementKind::Move)
    }

    fn part(&self) -> Result<Part, Overflow> {
        let micro = self.micro.checked_abs().ok_or(Overflow)?;
        let mass_ug =
            self.weight.map(|weight| weight.times(Ratio::whole(micro.into()))).transpose()?;
        Ok(Part { lot: self.lot, micro, mass_ug, certain: self.certain && micro > 0 })
    }
}

/// One document of the ledger.
#[derive(Debug, Clone, Default)]
pub struct Document {
    /// Its entries: for a load, those of the load itself.
    pub own: Vec<Posting>,
    /// What went in besides and is in no lot, such as water: micrograms.
    pub untracked_ug: Ratio,
    /// Pieces that were made out of a load, product by product.
    pub makings: Vec<Making>,
}

/// Pieces of one product out of a load.
#[derive(Debug, Clone)]
pub struct Making {
    /// What was put on or into them, and the lot that they are.
    pub postings: Vec<Posting>,
    /// Which part of the load's dough is in them.
    pub part: Ratio,
}

/// The passages of one document.
///
/// A load's dough stands between two of them: it is mixed out of what was weighed, and pieces
/// are made out of it and of what is put on them. A dough that is in no lot is looked through.
///
/// # Errors
/// [`Overflow`]
pub fn passages(document: &Document) -> Result<Vec<Passage>, Overflow> {
    let Document { own, untracked_ug, makings } = document;
    let (carried, rest): (Vec<Posting>, Vec<Posting>) =
        own.iter().partition(|posting| posting.kind == MovementKind::Move);
    let mut found: Vec<Passage> = splits(&carried)?.into_iter().collect();
    let lots = |side: fn(&Posting) -> bool| -> BTreeSet<u32> {
        rest.iter().filter(|one| side(one)).map(|one| one.lot).collect()
    };
    let (went, made) = (lots(Posting::goes_in), lots(Posting::comes_out));
    let again = |one: &Posting| one.goes_in() && made.contains(&one.lot);
    if makings.is_empty() && went.is_disjoint(&made) {
        found.extend(made_of(&rest, *untracked_ug)?);
        return Ok(found);
    }
    let looked_through = made.is_empty();
    let mixed = |one: &Posting| match one.goes_in() {
        true => !again(one) && (one.kind != MovementKind::Use || looked_through),
        false => !makings.is_empty() || went.contains(&one.lot),
    };
    let (mixed, after): (Vec<Posting>, Vec<Posting>) = rest.iter().partition(|one| mixed(one));
    if !looked_through {
        found.extend(made_of(&mixed, *untracked_ug)?);
    }
    if makings.is_empty() {
        found.extend(made_of(&after, Ratio::ZERO)?);
        return Ok(found);
    }
    let (base, water) = if looked_through {
        (mixed.into_iter().filter(Posting::goes_in).collect(), *untracked_ug)
    } else if after.iter().any(again) {
        (after.into_iter().filter(Posting::goes_in).collect::<Vec<_>>(), Ratio::ZERO)
    } else {
        // Nobody wrote down that the dough was used up; it is in the pieces all the same.
        let used = |one: &Posting| Posting { kind: MovementKind::Use, micro: -one.micro, ..*one };
        (mixed.iter().filter(|one| one.comes_out()).map(used).collect(), Ratio::ZERO)
    };
    for making in makings {
        let whole = base.iter().chain(&making.postings);
        let outputs = making.postings.iter().filter(|one| one.comes_out());
        let Some(mut one) = passage(
            PassageKind::Made,
            (whole.filter(|one| one.goes_in()), outputs),
            water.times(making.part)?,
        )?
        else {
            continue;
        };
        for part in one.inputs.iter_mut().take(base.len()) {
            part.mass_ug = part.mass_ug.map(|mass| mass.times(making.part)).transpose()?;
        }
        found.push(one);
    }
    Ok(found)
}

/// Parts that were carried away and are lots of their own since.
fn splits(moves: &[Posting]) -> Result<Option<Passage>, Overflow> {
    let left: BTreeSet<u32> = moves.iter().filter(|one| one.goes_in()).map(|one| one.lot).collect();
    let came = |one: &&Posting| one.comes_out() && !left.contains(&one.lot);
    if !moves.iter().any(|one| came(&one)) {
        return Ok(None);
    }
    let inputs = moves.iter().filter(|one| one.goes_in());
    passage(PassageKind::Split, (inputs, moves.iter().filter(came)), Ratio::ZERO)
}

fn made_of(postings: &[Posting], untracked_ug: Ratio) -> Result<Option<Passage>, Overflow> {
    let inputs = postings.iter().filter(|one| one.goes_in());
    let outputs = postings.iter().filter(|one| one.comes_out());
    passage(PassageKind::Made, (inputs, outputs), untracked_ug)
}

fn passage<'a>(
    kind: PassageKind,
    (inputs, outputs): (
        impl Iterator<Item = &'a Posting> + Clone,
        impl Iterator<Item = &'a Posting> + Clone,
    ),
    untracked_ug: Ratio,
) -> Result<Option<Passage>, Overflow> {
    let at = outputs.clone().map(|one| one.at).max();
    let Some(at) = at.or_else(|| inputs.clone().map(|one| one.at).max()) else { return Ok(None) };
    let inputs = inputs.map(Posting::part).collect::<Result<_, _>>()?;
    let outputs = outputs.map(Posting::part).collect::<Result<_, _>>()?;
    Ok(Some(Passage { kind, at, inputs, outputs, untracked_ug }))
}
