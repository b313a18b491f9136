//! How warm the water of a dough must be, how much of it is ice, and what a mixer adds.

use crate::{
    quantity::MICRO,
    ratio::{Overflow, Ratio},
    temperature::{Celsius, Kelvin},
};

/// Heat that melts ice, in degrees that it would warm the same mass of water.
///
/// # Source
/// Check values, section 2: L/c = 80 °C, or 112 °F counted from 0 °F.
const MELTING_DEGREES: i128 = 80;
/// Water temperatures are printed to the half degree.
const PRINTED_THOUSANDTHS: i64 = 500;
/// Ice is printed and weighed to 100 g.
const ICE_STEP_UG: i64 = 100 * MICRO;
/// So many doughs must have been measured before their friction is suggested.
const OBSERVATIONS_LEAST: usize = 3;

/// What a dough is made of, by its temperatures, beside its water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Around {
    /// Of the flour.
    pub flour: Celsius,
    /// Of the room.
    pub room: Celsius,
    /// Of the preferment, if the dough takes one.
    pub preferment: Option<Celsius>,
}

impl Around {
    fn all(&self) -> Result<Vec<Ratio>, Overflow> {
        let known = [Some(self.flour), Some(self.room), self.preferment];
        known.into_iter().flatten().map(Celsius::ratio).collect()
    }
}

/// How warm all water of a load must be so that the dough leaves the mixer at `target`.
///
/// Below zero is right: it means ice.
///
/// # Errors
/// [`Overflow`]
///
/// # Source
/// Trade rules 2.8: `Tw = n*DDT - (flour + room [+ preferment] + friction)`, n = 3, or 4
/// with a preferment.
pub fn water_temperature(
    target: Celsius,
    around: Around,
    friction: Kelvin,
) -> Result<Celsius, Overflow> {
    celsius(wanted(target.ratio()?, &around.all()?, friction.ratio()?)?)
}

/// The rule on plain degrees of any one scale: one part more than what is known.
fn wanted(target: Ratio, known: &[Ratio], friction: Ratio) -> Result<Ratio, Overflow> {
    known.iter().try_fold(times_target(target, known.len())?.minus(friction)?, |left, &degrees| {
        left.minus(degrees)
    })
}

/// The target once for each temperature in the sum: all that is known, and the water.
fn times_target(target: Ratio, known: usize) -> Result<Ratio, Overflow> {
    let parts = i128::try_from(known).map_err(|_| Overflow)?.checked_add(1).ok_or(Overflow)?;
    target.times(Ratio::whole(parts))
}

/// Whole thousandths of a degree; sums of such temperatures are.
fn celsius(degrees: Ratio) -> Result<Celsius, Overflow> {
    let thousandths = degrees.times(Ratio::whole(1_000))?.round_half_up()?;
    Ok(Celsius::from_thousandths(i64::try_from(thousandths).map_err(|_| Overflow)?))
}

/// What to pour into one load.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pour {
    /// How warm the water and ice together must be, to the half degree.
    pub temperature: Celsius,
    /// Water, in micrograms.
    pub water_ug: i64,
    /// Ice that replaces the rest of the water, in micrograms, to 100 g.
    pub ice_ug: i64,
    /// Ice before rounding, in micrograms.
    pub exact_ice: Ratio,
}

/// Why no water makes the dough as cold as it is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PourError {
    /// More ice than the load has water.
    #[error("even all of the water as ice leaves the dough too warm")]
    TooCold {
        /// Ice that the sum asks for, in micrograms.
        ice: Ratio,
    },
    /// A number grew beyond exact arithmetic.
    #[error(transparent)]
    Overflow(#[from] Overflow),
}

/// Shares the water of a load between tap and ice.
///
/// Water and ice together are always the mass that is asked for.
///
/// # Errors
/// [`PourError`]
pub fn pour(mass_ug: i64, tap: Celsius, wanted: Celsius) -> Result<Pour, PourError> {
    let exact_ice =
        ice_share(tap.ratio()?, wanted.ratio()?)?.times(Ratio::whole(mass_ug.into()))?;
    if exact_ice > Ratio::whole(mass_ug.into()) {
        return Err(PourError::TooCold { ice: exact_ice });
    }
    let steps = exact_ice.over(Ratio::whole(ICE_STEP_UG.into()))?.round_half_up()?;
    // Rounding up must not ask for more ice than there is water.
    let steps = steps.min((mass_ug / ICE_STEP_UG).into());
    let ice_ug = i64::try_from(steps).map_err(|_| Overflow)? * ICE_STEP_UG;
    let temperature = to_half_degree(wanted)?;
    Ok(Pour { temperature, water_ug: mass_ug - ice_ug, ice_ug, exact_ice })
}

/// The share of the water that is ice, by the balance of heat; none if the tap is cold enough.
///
/// # Source
/// Trade rules 2.8: `ice = W*(Ttap - Tw)/(Ttap + 80)` °C, ice at 0 °C.
fn ice_share(tap: Ratio, wanted: Ratio) -> Result<Ratio, Overflow> {
    if wanted >= tap {
        return Ok(Ratio::ZERO);
    }
    tap.minus(wanted)?.over(tap.plus(Ratio::whole(MELTING_DEGREES))?)
}

fn to_half_degree(temperature: Celsius) -> Result<Celsius, Overflow> {
    let steps = Ratio::new(temperature.thousandths().into(), PRINTED_THOUSANDTHS.into())?;
    let steps = i64::try_from(steps.round_half_up()?).map_err(|_| Overflow)?;
    Ok(Celsius::from_thousandths(steps.checked_mul(PRINTED_THOUSANDTHS).ok_or(Overflow)?))
}

/// Temperatures of one dough, written back by the hand that mixed it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Observation {
    /// Of the dough as it left the mixer.
    pub dough: Celsius,
    /// Of all its water, ice melted.
    pub water: Celsius,
    /// Of what else went in.
    pub around: Around,
}

/// What one dough says of its mixer's friction.
///
/// # Errors
/// [`Overflow`]
///
/// # Source
/// Check values, section 2: `FF = n*T_actual - (sum of temps incl. water)`.
pub fn friction(observation: &Observation) -> Result<Kelvin, Overflow> {
    let Observation { dough, water, around } = observation;
    let degrees = wanted(dough.ratio()?, &around.all()?, water.ratio()?)?;
    Ok(Kelvin::from_thousandths(celsius(degrees)?.thousandths()))
}

/// What several doughs say of a mixer's friction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Learnt {
    /// How many doughs.
    pub count: usize,
    /// Their mean, to a thousandth of a degree.
    pub mean: Kelvin,
    /// The least of them.
    pub least: Kelvin,
    /// The most of them.
    pub most: Kelvin,
    /// The mean to the half degree, if there are enough doughs: a person may accept it.
    pub suggested: Option<Kelvin>,
}

/// Puts observations together; nothing from nothing.
///
/// # Errors
/// [`Overflow`]
pub fn learn(observations: &[Observation]) -> Result<Option<Learnt>, Overflow> {
    let found: Vec<Kelvin> = observations.iter().map(friction).collect::<Result<_, _>>()?;
    let (Some(&least), Some(&most)) = (found.iter().min(), found.iter().max()) else {
        return Ok(None);
    };
    let count = found.len();
    let sum = found.iter().try_fold(Ratio::ZERO, |sum, friction| sum.plus(friction.ratio()?))?;
    let mean = celsius(sum.over(Ratio::whole(i128::try_from(count).map_err(|_| Overflow)?))?)?;
    let suggested = to_half_degree(mean)?.thousandths();
    Ok(Some(Learnt {
        count,
        mean: Kelvin::from_thousandths(mean.thousandths()),
        least,
        most,
        suggested: (count >= OBSERVATIONS_LEAST).then(|| Kelvin::from_thousandths(suggested)),
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::temperature::{celsius_of_fahrenheit, kelvin_of_fahrenheit};

    fn ratio(text: &str) -> Ratio {
        Ratio::parse_decimal(text, 6).expect(text)
    }

    fn celsius(text: &str) -> Celsius {
        Celsius::parse(text).expect(text)
    }

    fn kelvin(text: &str) -> Kelvin {
        Kelvin::parse(text).expect(text)
    }

    fn around(flour: &str, room: &str, preferment: Option<&str>) -> Around {
        Around { flour: celsius(flour), room: celsius(room), preferment: preferment.map(celsius) }
    }

    fn fahrenheit(text: &str) -> Ratio {
        celsius_of_fahrenheit(ratio(text)).expect("in range")
    }

    #[test]
    fn published_rows_give_their_water_temperature() {
        // Source: check-values.md section 2, DT-01, DT-04 and DT-05: target, what is known,
        // friction, water; all in degrees Fahrenheit.
        for (id, target, known, friction, water) in [
            ("DT-01", "80", &["65", "75"][..], "35", "65"),
            ("DT-04", "78", &["60", "70"][..], "16", "88"),
            ("DT-05", "75", &["71", "71", "71"][..], "20", "67"),
        ] {
            let plain: Vec<Ratio> = known.iter().map(|text| ratio(text)).collect();
            assert_eq!(wanted(ratio(target), &plain, ratio(friction)), Ok(ratio(water)), "{id}");
            // DT-02 and its like: the same in Celsius, with friction as a difference.
            let known: Vec<Ratio> = known.iter().map(|text| fahrenheit(text)).collect();
            let friction = kelvin_of_fahrenheit(ratio(friction)).expect("in range");
            let found = wanted(fahrenheit(target), &known, friction);
            assert_eq!(found, Ok(fahrenheit(water)), "{id} in Celsius");
        }
    }

    #[test]
    fn the_first_row_in_celsius_is_eighteen_and_a_third() {
        // Source: check-values.md section 2, DT-02.
        let friction = kelvin_of_fahrenheit(ratio("35")).expect("in range");
        let found = wanted(fahrenheit("80"), &[fahrenheit("65"), fahrenheit("75")], friction);
        assert_eq!(found.map(|degrees| degrees.to_decimal(6)), Ok("18.333333".to_owned()));
        // Friction converted as if it were a temperature is the trap: it lies 17.8 °C off.
        let wrong =
            wanted(fahrenheit("80"), &[fahrenheit("65"), fahrenheit("75")], fahrenheit("35"));
        assert_eq!(wrong.map(|degrees| degrees.to_decimal(1)), Ok("36.1".to_owned()));
    }

    #[test]
    fn a_base_temperature_is_three_times_the_target_less_friction() {
        // Source: check-values.md section 2, DT-07: base 65, bakehouse 26, flour 18; DT-08:
        // base 48, room 21, flour 21. Any target and friction with that base will do.
        for (id, target, friction, room, flour, water) in
            [("DT-07", "25", "10", "26", "18", "21"), ("DT-08", "20", "12", "21", "21", "6")]
        {
            let found =
                water_temperature(celsius(target), around(flour, room, None), kelvin(friction));
            assert_eq!(found, Ok(celsius(water)), "{id}");
        }
    }

    #[test]
    fn a_preferment_is_a_fourth_part_of_the_sum() {
        let target = celsius("26");
        let without = water_temperature(target, around("18", "22", None), kelvin("12"));
        let with = water_temperature(target, around("18", "22", Some("22")), kelvin("12"));
        assert_eq!(without, Ok(celsius("26")));
        assert_eq!(with, Ok(celsius("30")));
    }

    #[test]
    fn ice_follows_from_the_balance_of_heat() {
        // Source: check-values.md section 2, DT-20 and DT-23: water, tap, wanted, exact ice.
        for (id, mass, tap, wanted, ice) in
            [("DT-20", 40_000, "20", "10", "4000"), ("DT-23", 30_000, "18", "13", "1530.612245")]
        {
            let found = pour(mass * MICRO, celsius(tap), celsius(wanted)).expect(id);
            let grams = found.exact_ice.over(Ratio::whole(MICRO.into())).expect("in range");
            assert_eq!(grams.to_decimal(6), ice, "{id}");
            assert_eq!(found.water_ug + found.ice_ug, mass * MICRO, "{id}");
        }
        // Source: DT-22: the shop rule over 80 gives 1.875 kg for DT-23 and cools too much.
        let shop_rule = ratio("30").times(ratio("5")).and_then(|heat| heat.over(ratio("80")));
        assert_eq!(shop_rule, Ok(ratio("1.875")));
        // Source: DT-20: the balance itself. 36 kg give up 360 units, 4 kg of ice take 360.
        let found = pour(40_000 * MICRO, celsius("20"), celsius("10")).expect("feasible");
        assert_eq!((found.water_ug, found.ice_ug), (36_000 * MICRO, 4_000 * MICRO));
    }

    #[test]
    fn the_published_table_of_ice_holds_within_its_own_rounding() {
        // Source: check-values.md section 2, DT-25, tolerance 0.004: pounds of ice to a pound
        // of water by tap and wanted in degrees Fahrenheit, as published and by the rule.
        for (tap, wanted, published, rule) in [
            ("80", "75", "0.026", "0.0260"),
            ("80", "40", "0.206", "0.2083"),
            ("80", "0", "0.416", "0.4167"),
            ("80", "-30", "0.573", "0.5729"),
            ("70", "60", "0.054", "0.0549"),
            ("60", "40", "0.115", "0.1163"),
            ("50", "20", "0.183", "0.1852"),
            ("40", "0", "0.260", "0.2632"),
            ("32", "0", "0.222", "0.2222"),
        ] {
            let share = ice_share(fahrenheit(tap), fahrenheit(wanted)).expect("in range");
            let off = share.minus(ratio(published)).expect("in range").abs();
            assert!(off <= ratio("0.004"), "{tap} {wanted}: {}", share.to_decimal(4));
            assert_eq!(share.to_decimal(4), rule.trim_end_matches('0'), "{tap} {wanted}");
        }
        // Source: DT-26, from memory: 16 lb, 65 to 58 °F.
        let share = ice_share(fahrenheit("65"), fahrenheit("58")).expect("in range");
        let pounds = share.times(ratio("16")).expect("in range");
        assert_eq!(pounds.to_decimal(3), "0.633");
    }

    #[test]
    fn a_tap_cold_enough_takes_no_ice() {
        // Source: check-values.md section 2, DT-28, first half.
        for wanted in ["14", "14.001", "30"] {
            let found = pour(10_000 * MICRO, celsius("14"), celsius(wanted)).expect("feasible");
            assert_eq!((found.ice_ug, found.water_ug), (0, 10_000 * MICRO), "{wanted}");
        }
    }

    #[test]
    fn more_ice_than_water_is_refused() {
        // Source: check-values.md section 2, DT-28, second half: m > W. By the rule of the
        // same section that begins below -80 °C, whatever the tap; the row's own example,
        // -75 °C from a tap of 10, is 0.944 of the water by it.
        let mass = 1_800 * MICRO;
        let tap = celsius("10");
        let all = pour(mass, tap, celsius("-80")).expect("all of it is ice");
        assert_eq!((all.ice_ug, all.water_ug), (mass, 0));
        let nearly = pour(mass, tap, celsius("-75")).expect("17 of 18 parts are ice");
        assert_eq!(nearly.exact_ice, Ratio::whole((1_700 * MICRO).into()));
        assert!(matches!(pour(mass, tap, celsius("-80.001")), Err(PourError::TooCold { .. })));
    }

    #[test]
    fn what_is_printed_is_a_half_degree_and_a_hundred_grams() {
        // Source: trade rules 1.4: water temperature 0.5 °C, ice to 100 g.
        let found = pour(20_000 * MICRO, celsius("20"), celsius("10.249")).expect("feasible");
        assert_eq!(found.temperature, celsius("10"));
        assert_eq!(found.ice_ug, 2_000 * MICRO);
        let found = pour(20_000 * MICRO, celsius("20"), celsius("10.25")).expect("feasible");
        assert_eq!(found.temperature, celsius("10.5"));
        assert_eq!(found.water_ug + found.ice_ug, 20_000 * MICRO);
        // 412 g of water at -75 °C are 389 g of ice: 400 g, and 12 g of water.
        let found = pour(412 * MICRO, celsius("10"), celsius("-75")).expect("feasible");
        assert_eq!((found.ice_ug, found.water_ug), (400 * MICRO, 12 * MICRO));
        // 60 g of ice round to 100 g, which the 60 g of water have not.
        let found = pour(60 * MICRO, celsius("10"), celsius("-80")).expect("feasible");
        assert_eq!((found.ice_ug, found.water_ug), (0, 60 * MICRO));
    }

    fn observed(dough: &str, water: &str) -> Observation {
        Observation {
            dough: celsius(dough),
            water: celsius(water),
            around: around("18", "22", None),
        }
    }

    #[test]
    fn friction_is_what_the_sum_lacks() {
        // Source: check-values.md section 2, rule: FF = n*T_actual - sum with water.
        assert_eq!(friction(&observed("26", "26")), Ok(kelvin("12")));
        // Water by the friction that was learnt brings the dough to its target.
        let found = friction(&observed("27", "26")).expect("in range");
        let water = water_temperature(celsius("27"), around("18", "22", None), found);
        assert_eq!(water, Ok(celsius("26")));
    }

    #[test]
    fn three_doughs_suggest_their_mean_and_fewer_suggest_nothing() {
        assert_eq!(learn(&[]), Ok(None));
        let two = [observed("26", "26"), observed("26.5", "26")];
        let found = learn(&two).expect("in range").expect("something");
        assert_eq!((found.count, found.suggested), (2, None));
        assert_eq!((found.least, found.most), (kelvin("12"), kelvin("13.5")));
        let three = [two[0], two[1], observed("26.2", "26")];
        let found = learn(&three).expect("in range").expect("something");
        // 12, 13.5 and 12.6: the mean is 12.7, the half degree next to it 12.5.
        assert_eq!((found.mean, found.suggested), (kelvin("12.7"), Some(kelvin("12.5"))));
    }
}
