//! From a bread formula as written to the lines that go into the bowl.

use super::{
    RecipeLine,
    compile::{Compiler, Stop, needs_mass_of_one},
};
use crate::{
    bakery::composition,
    fault::{FaultKind, Faults},
    formula::{Formula, Line, LineAmount},
    ratio::{Overflow, Ratio},
};
use num_rational::BigRational;
use num_traits::ToPrimitive;

/// The final mix in whole parts, and how many of them one part as written has.
pub(super) fn lines(
    compiler: &Compiler<'_>,
    position: u32,
    formula: &Formula,
    faults: &mut Faults,
) -> Result<(i64, Vec<RecipeLine>), Stop> {
    let mut parts = as_parts(compiler, position, formula, faults)?;
    take_out_preferments(compiler, position, formula, &mut parts, faults)?;
    let taken: Vec<(&Line, u32, Ratio)> = formula
        .lines
        .iter()
        .zip(parts)
        .filter(|(_, (_, parts))| parts.is_positive())
        .map(|(line, (item, parts))| (line, item, parts))
        .collect();
    let mut scale = 1_i128;
    for (_, _, parts) in &taken {
        let next = Ratio::new(scale, parts.denominator())?;
        scale = scale.checked_mul(next.denominator()).ok_or(Overflow)?;
    }
    let mut lines = Vec::with_capacity(taken.len());
    let mut sum = 0_i64;
    for (line, item, parts) in taken {
        let whole = parts.times(Ratio::whole(scale))?.numerator();
        let whole = i64::try_from(whole).map_err(|_| Overflow)?;
        sum = sum.checked_add(whole).ok_or(Overflow)?;
        lines.push(compiler.line(line, item, whole, false)?);
    }
    Ok((i64::try_from(scale).map_err(|_| Overflow)?, lines))
}

/// Each line's item and parts as written, inclusions turned into parts.
fn as_parts(
    compiler: &Compiler<'_>,
    position: u32,
    formula: &Formula,
    faults: &mut Faults,
) -> Result<Vec<(u32, Ratio)>, Stop> {
    let mut parts = Vec::with_capacity(formula.lines.len());
    let mut base_dough = Ratio::ZERO;
    for (number, line) in formula.lines.iter().enumerate() {
        let pointer = format!("/formulas/{position}/lines/{number}");
        let item = compiler.index.item(line.item.as_str()).ok_or(Stop::Noted)?;
        let found = &compiler.draft.items[item as usize];
        needs_mass_of_one(found, &pointer, faults)?;
        compiler.check_sub_formula(item, line, &pointer, faults);
        let amount = match line.amount {
            LineAmount::Parts(parts) => parts,
            LineAmount::PrefermentedFlour(share) => {
                share.over(flour_share(compiler, item, line, &pointer, faults)?)?
            }
            LineAmount::OfBaseDough(_) => Ratio::ZERO,
            LineAmount::Amount(_) => return Err(Stop::Noted),
        };
        // A preferment is inside the overall lines already.
        if matches!(line.amount, LineAmount::Parts(_)) {
            base_dough = base_dough.plus(amount)?;
        }
        parts.push((item, amount));
    }
    for (line, (_, amount)) in formula.lines.iter().zip(&mut parts) {
        if let LineAmount::OfBaseDough(percent) = line.amount {
            *amount = base_dough.times(percent)?.over(Ratio::whole(100))?;
        }
    }
    Ok(parts)
}

/// Flour in a gram of a preferment, its seed read as of its own composition.
fn flour_share(
    compiler: &Compiler<'_>,
    item: u32,
    line: &Line,
    pointer: &str,
    faults: &mut Faults,
) -> Result<Ratio, Stop> {
    if compiler.is_broken(item) {
        return Err(Stop::Noted);
    }
    let composed = composition::compose(compiler.draft, item, &|item| compiler.compiled(item));
    let flour = composed.map(|found| found.flour()).unwrap_or_default();
    let share = small(&flour)?;
    if share.is_positive() {
        return Ok(share);
    }
    faults.add(
        pointer,
        FaultKind::FlourSum,
        format!("`{}` ferments flour here but none of its lines is marked as flour", line.item),
    );
    Err(Stop::Noted)
}

fn small(big: &BigRational) -> Result<Ratio, Overflow> {
    let numerator = big.numer().to_i128().ok_or(Overflow)?;
    Ratio::new(numerator, big.denom().to_i128().ok_or(Overflow)?)
}

/// Overall view: what a preferment brings is not added again.
fn take_out_preferments(
    compiler: &Compiler<'_>,
    position: u32,
    formula: &Formula,
    parts: &mut [(u32, Ratio)],
    faults: &mut Faults,
) -> Result<(), Stop> {
    let before = parts.to_vec();
    let mut negative = false;
    for (number, line) in formula.lines.iter().enumerate() {
        if !matches!(line.amount, LineAmount::PrefermentedFlour(_)) {
            continue;
        }
        let (preferment, mass) = before[number];
        let composed =
            composition::compose(compiler.draft, preferment, &|item| compiler.compiled(item));
        for (leaf, share) in composed.iter().flat_map(|found| &found.leaves) {
            let brought = small(share)?.times(mass)?;
            let at = formula.lines.iter().zip(&*parts).position(|(other, (item, _))| {
                item == leaf && matches!(other.amount, LineAmount::Parts(_))
            });
            let left = match at {
                Some(at) => parts[at].1.minus(brought)?,
                None => Ratio::ZERO.minus(brought)?,
            };
            if left < Ratio::ZERO {
                negative = true;
                let leaf = &compiler.draft.items[*leaf as usize].code;
                faults.add(
                    format_args!("/formulas/{position}/lines/{number}"),
                    FaultKind::NegativeFinalMix,
                    format!(
                        "`{}` brings more {leaf} than `{}` has overall: its final mix would need {} parts. Ferment less flour, or add {leaf}",
                        line.item, formula.code, left.to_decimal(3)
                    ),
                );
            } else if let Some(at) = at {
                parts[at].1 = left;
            }
        }
    }
    if negative { Err(Stop::Noted) } else { Ok(()) }
}
