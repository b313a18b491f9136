//! One load on the scales: exact lines become what hands weigh.

use crate::{
    bakery::RecipeLine,
    limits::NUDGES_MAX,
    ratio::{Overflow, Ratio},
    scale::{ExactMass, PRECISION_USUAL, PartMass, Scales, WeighState, Weighing},
};

/// What the sum of a load may differ from its mass: a quarter percent.
///
/// # Source
/// Common practice.
const SUM_TOLERANCE: (i128, i128) = (1, 400);

/// Points of hydration that rounding may move without saying so: 0.3.
///
/// # Source
/// Common practice.
const HYDRATION_POINTS: (i128, i128) = (3, 10);

/// One line as weighed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WeighedLine {
    /// On which scale, and how much of its divisions; none where nothing is weighed.
    pub weighing: Option<Weighing>,
    /// What is weighed in micrograms, or counted in millionths of a piece.
    pub micro: i64,
    /// How the weighing came out.
    pub state: WeighState,
}

/// One load as weighed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeighedLoad {
    /// Sum of what is weighed into the bowl, in micrograms.
    pub sum_ug: i64,
    /// How often the largest flour line was moved.
    pub nudges: u32,
    /// Whether the sum is within a quarter percent of the load.
    pub within_tolerance: bool,
    /// Whether rounding moved the hydration; none without flour.
    pub hydration_moved: Option<bool>,
}

/// The exact amount of a line in a load: millionths of a gram or of a piece.
///
/// # Errors
/// [`Overflow`]
pub fn exact(line: &RecipeLine, factor: Ratio) -> Result<Ratio, Overflow> {
    factor.times(Ratio::whole(line.parts.into()))
}

/// Weighs one load, appending its lines: each is `factor` times its parts.
///
/// If the sum is off by more than a quarter percent, the largest flour line is
/// moved by single divisions for as long as each brings the sum closer.
///
/// # Errors
/// [`Overflow`]
pub fn weigh(
    scales: &Scales,
    lines: &[RecipeLine],
    factor: Ratio,
    into: &mut Vec<WeighedLine>,
) -> Result<WeighedLoad, Overflow> {
    let start = into.len();
    into.reserve(lines.len());
    let part = PartMass::new(factor);
    let mut parts_in_bowl = 0_i128;
    let mut sum_ug = 0_i64;
    for line in lines {
        let amount = part.times(line.parts)?;
        if line.flags.counted() {
            into.push(count(amount.ratio()?)?);
            continue;
        }
        let found = weigh_exact(scales, amount, line.precision_micro_percent)?;
        if !line.flags.out_of_bowl() {
            parts_in_bowl += i128::from(line.parts);
            sum_ug = sum_ug.checked_add(found.micro).ok_or(Overflow)?;
        }
        into.push(found);
    }
    let weighed = &mut into[start..];
    let target = factor.times(Ratio::whole(parts_in_bowl))?;
    // How far a sum is off, in fractions of a microgram that all have one denominator.
    let off = |sum: i64| {
        let sum = i128::from(sum).checked_mul(target.denominator()).ok_or(Overflow)?;
        Ok::<_, Overflow>(sum.abs_diff(target.numerator()))
    };
    let tolerated = |off: u128| {
        let off = off.checked_mul(SUM_TOLERANCE.1.unsigned_abs()).ok_or(Overflow)?;
        let most = target.numerator().checked_mul(SUM_TOLERANCE.0).ok_or(Overflow)?;
        Ok::<_, Overflow>(off <= most.unsigned_abs())
    };
    let mut nudges = 0;
    if let Some(flour) = largest_flour(lines, weighed) {
        while !tolerated(off(sum_ug)?)? && nudges < NUDGES_MAX {
            let up = Ratio::whole(sum_ug.into()) < target;
            let Some(moved) = nudge(scales, weighed[flour], up)? else { break };
            let sum = sum_ug - weighed[flour].micro + moved.micro;
            if off(sum)? >= off(sum_ug)? {
                break;
            }
            (weighed[flour], sum_ug) = (moved, sum);
            nudges += 1;
        }
    }
    Ok(WeighedLoad {
        within_tolerance: tolerated(off(sum_ug)?)?,
        hydration_moved: hydration_moved(lines, weighed)?,
        sum_ug,
        nudges,
    })
}

/// Counted things are exact: whole pieces, rounded up where a half was asked.
fn count(exact: Ratio) -> Result<WeighedLine, Overflow> {
    let micro = i64::try_from(exact.round_half_up()?).map_err(|_| Overflow)?;
    Ok(WeighedLine { weighing: None, micro, state: WeighState::Counted })
}

/// Weighs an exact mass in micrograms with the usual precision, as a topping for a
/// day's pieces.
///
/// Without any scale the exact mass is kept, to the nearest microgram.
///
/// # Errors
/// [`Overflow`]
pub fn weigh_amount(scales: &Scales, exact: Ratio) -> Result<WeighedLine, Overflow> {
    weigh_exact(scales, ExactMass::new(exact), PRECISION_USUAL)
}

fn weigh_exact(
    scales: &Scales,
    exact: ExactMass,
    precision_micro_percent: u32,
) -> Result<WeighedLine, Overflow> {
    Ok(match scales.weigh(exact, precision_micro_percent)? {
        Some(weighing) => WeighedLine {
            weighing: Some(weighing),
            micro: scales.mass_ug(weighing)?,
            state: weighing.state,
        },
        None => WeighedLine {
            weighing: None,
            micro: i64::try_from(exact.ratio()?.round_half_up()?).map_err(|_| Overflow)?,
            state: WeighState::Ok,
        },
    })
}

/// The flour line that weighs most; the first of equals.
fn largest_flour(lines: &[RecipeLine], weighed: &[WeighedLine]) -> Option<usize> {
    let mut largest: Option<usize> = None;
    for (at, line) in lines.iter().enumerate() {
        let flour = line.flags.flour() && !line.flags.counted() && !line.flags.out_of_bowl();
        if flour && largest.is_none_or(|held| lines[held].parts < line.parts) {
            largest = Some(at);
        }
    }
    largest.filter(|&at| weighed[at].weighing.is_some())
}

fn nudge(scales: &Scales, line: WeighedLine, up: bool) -> Result<Option<WeighedLine>, Overflow> {
    let Some(weighing) = line.weighing else { return Ok(None) };
    let divisions = weighing.divisions + if up { 1 } else { -1 };
    if divisions <= 0 {
        return Ok(None);
    }
    let weighing = Weighing { divisions, ..weighing };
    Ok(Some(WeighedLine {
        weighing: Some(weighing),
        micro: scales.mass_ug(weighing)?,
        state: line.state,
    }))
}

/// Whether rounding moved water against flour by more than 0.3 points.
fn hydration_moved(
    lines: &[RecipeLine],
    weighed: &[WeighedLine],
) -> Result<Option<bool>, Overflow> {
    let (mut parts, mut masses) = ((0_i128, 0_i128), (0_i128, 0_i128));
    for (line, weighed) in lines.iter().zip(weighed) {
        if line.flags.counted() {
            continue;
        }
        if line.flags.flour() {
            parts.0 += i128::from(line.parts);
            masses.0 += i128::from(weighed.micro);
        }
        if line.flags.water() {
            parts.1 += i128::from(line.parts);
            masses.1 += i128::from(weighed.micro);
        }
    }
    if parts.0 == 0 || masses.0 == 0 {
        return Ok(None);
    }
    // |water/flour before - after| > points, multiplied out.
    let times = |a: i128, b: i128| a.checked_mul(b).ok_or(Overflow);
    let moved = times(parts.1, masses.0)?.abs_diff(times(masses.1, parts.0)?);
    let moved = moved.checked_mul(HYDRATION_POINTS.1.unsigned_abs() * 100).ok_or(Overflow)?;
    let allowed = times(times(parts.0, masses.0)?, HYDRATION_POINTS.0)?;
    Ok(Some(moved > allowed.unsigned_abs()))
}
