//! Amounts as they stand on paper: the digits that the scale shows, in the unit hands use.

use domain::{
    item::Item,
    quantity::{MICRO, Quantity, Unit, micro_decimal},
    ratio::Ratio,
    scale::{Scales, WeighState},
    supplier::Pack,
    weigh::WeighedLine,
};
use serde::Serialize;
use utoipa::ToSchema;

/// An amount as it stands on paper.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(example = json!({"amount": "2 × 34.20", "unit": "kg"}))]
pub struct PrintedView {
    /// The digits; several weighings are written one after another.
    #[schema(example = "2 × 34.20")]
    pub amount: String,
    /// `kg`, `g`, `L`, `mL` or `pieces`.
    #[schema(example = "kg")]
    pub unit: &'static str,
}

impl PrintedView {
    /// The amount with its unit: `34.20 kg`.
    #[must_use]
    pub fn said(&self) -> String {
        format!("{} {}", self.amount, self.unit)
    }
}

/// A scale of this division or more shows kilograms with two decimals.
const KILOGRAM_DIVISION_UG: i64 = 10 * MICRO;
/// A scale of this division or more shows whole grams.
const GRAM_DIVISION_UG: i64 = MICRO;

/// A unit on paper from its kept text.
#[must_use]
pub fn unit(text: &str) -> &'static str {
    let known = ["kg", "g", "L", "mL", "pieces", "blocks"];
    known.into_iter().find(|unit| *unit == text).unwrap_or("g")
}

/// A weighed or counted line as it stands on paper, with the digits of its scale.
#[must_use]
pub fn line(scales: &Scales, line: WeighedLine) -> PrintedView {
    if line.state == WeighState::Counted {
        return amount(line.micro, Unit::Each);
    }
    let Some(weighing) = line.weighing else { return amount(line.micro, Unit::Gram) };
    let division_ug = scales.as_slice()[weighing.scale].division_ug;
    let parts = scales.parts_ug(weighing);
    let (decimals, unit) = places(division_ug);
    // A scale with a strange division still shows every digit of it.
    let decimals = parts.iter().map(|&ug| needed(ug, unit)).max().unwrap_or(0).max(decimals);
    let mut texts: Vec<(String, usize)> = Vec::new();
    for ug in parts {
        let text = digits(ug, unit, decimals);
        match texts.last_mut() {
            Some((last, count)) if *last == text => *count += 1,
            _ => texts.push((text, 1)),
        }
    }
    let texts: Vec<String> = texts
        .into_iter()
        .map(|(text, count)| if count == 1 { text } else { format!("{count} × {text}") })
        .collect();
    PrintedView { amount: texts.join(" + "), unit: unit.symbol }
}

/// The sum of lines: with as many digits as it needs, so that lines add up to it.
#[must_use]
pub fn sum(ug: i64) -> PrintedView {
    let (decimals, unit) = if ug.abs() >= 1_000 * MICRO { (2, KILOGRAM) } else { (0, GRAM) };
    PrintedView { amount: digits(ug, unit, needed(ug, unit).max(decimals)), unit: unit.symbol }
}

/// An amount in the unit in which people say it; no digit is dropped.
#[must_use]
pub fn amount(micro: i64, unit: Unit) -> PrintedView {
    let thousand = micro.abs() >= 1_000 * MICRO;
    let shown = match unit {
        Unit::Gram if thousand => KILOGRAM,
        Unit::Gram => GRAM,
        Unit::Millilitre if thousand => Shown { symbol: "L", ..KILOGRAM },
        Unit::Millilitre => Shown { symbol: "mL", ..GRAM },
        Unit::Each => {
            let text = micro_decimal(Ratio::whole(micro.into()));
            return PrintedView { amount: text, unit: "pieces" };
        }
    };
    PrintedView { amount: digits(micro, shown, needed(micro, shown)), unit: shown.symbol }
}

/// A pack as it is bought: `25 kg`, or `12 × 1 L` if whole inner packs are in it.
#[must_use]
pub fn pack(pack: &Pack) -> String {
    let said = |quantity: Quantity| amount(quantity.micro(), quantity.unit()).said();
    let holds = pack.holds.micro();
    match pack.inner.filter(|inner| inner.unit() == pack.holds.unit() && inner.micro() > 0) {
        Some(inner) if holds > inner.micro() && holds % inner.micro() == 0 => {
            format!("{} × {}", holds / inner.micro(), said(inner))
        }
        _ => said(pack.holds),
    }
}

/// An amount of an item's base unit in the unit in which a pack of it is bought, rounded up to
/// a hundredth of a kilogram or litre; none if that is the base unit anyway.
#[must_use]
pub fn bought(micro: i64, item: &Item, pack: &Pack) -> Option<PrintedView> {
    let unit = pack.holds.unit();
    let holds = item.in_base_unit(pack.holds).ok()??;
    if unit == item.base_unit || !holds.is_positive() {
        return None;
    }
    let packs = Ratio::whole(micro.into()).over(holds).ok()?;
    let exact = packs.times(Ratio::whole(pack.holds.micro().into())).ok()?;
    let exact = i64::try_from(exact.ceil()).ok()?;
    Some(amount(domain::purchase::printed_micro(exact, unit), unit))
}

/// A unit on paper: its symbol, and the decimals of a millionth of a gram in it.
#[derive(Clone, Copy)]
struct Shown {
    symbol: &'static str,
    decimals_most: usize,
}

const KILOGRAM: Shown = Shown { symbol: "kg", decimals_most: 9 };
const GRAM: Shown = Shown { symbol: "g", decimals_most: 6 };

const fn places(division_ug: i64) -> (usize, Shown) {
    if division_ug >= KILOGRAM_DIVISION_UG {
        (2, KILOGRAM)
    } else if division_ug >= GRAM_DIVISION_UG {
        (0, GRAM)
    } else {
        (1, GRAM)
    }
}

/// Decimals that an amount cannot do without.
fn needed(micro: i64, shown: Shown) -> usize {
    let mut left = micro.unsigned_abs();
    let mut decimals = shown.decimals_most;
    while decimals > 0 && left.is_multiple_of(10) {
        left /= 10;
        decimals -= 1;
    }
    decimals
}

/// Millionths written with so many decimals; the digits beyond them are zero.
fn digits(micro: i64, shown: Shown, decimals: usize) -> String {
    let most = shown.decimals_most;
    let text = format!("{:0>width$}", micro.unsigned_abs(), width = most + 1);
    let (whole, part) = text.split_at(text.len() - most);
    let sign = if micro < 0 { "-" } else { "" };
    if decimals == 0 {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}.{}", &part[..decimals])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use domain::{id::Code, quantity::Quantity, scale::Scale};

    fn scales() -> Scales {
        let quantity = |text: &str| Quantity::parse(text, "g").expect("a quantity");
        let scale = |code: &str, capacity, division, from| {
            let code = Code::parse(code).expect("a code");
            Scale::new(code, quantity(capacity), quantity(division), quantity(from))
                .expect("a scale")
        };
        Scales::new(vec![
            scale("floor", "60000", "20", "2000"),
            scale("bench", "15000", "2", "200"),
            scale("micro", "600", "0.1", "10"),
        ])
    }

    fn printed(grams: &str) -> String {
        let exact = Quantity::parse(grams, "g").expect("a quantity").ratio();
        let scales = scales();
        let weighed = domain::weigh::weigh_amount(&scales, exact);
        let PrintedView { amount, unit } = line(&scales, weighed.expect("it is weighed"));
        format!("{amount} {unit}")
    }

    #[test]
    fn a_line_shows_the_digits_of_its_scale() {
        // Source: trade rules 1.3, and alder-yard.md 8.9 A for the amounts.
        for (exact, shown) in [
            ("5150.867139", "5.16 kg"),
            ("772.630071", "772 g"),
            ("154.526014", "154.5 g"),
            ("68400", "2 × 34.20 kg"),
            ("68420", "34.22 + 34.20 kg"),
            ("10", "10.0 g"),
        ] {
            assert_eq!(printed(exact), shown, "{exact}");
        }
    }

    #[test]
    fn a_sum_shows_every_digit_it_has() {
        let text = |view: PrintedView| format!("{} {}", view.amount, view.unit);
        assert_eq!(text(sum(10_207_500_000)), "10.2075 kg");
        assert_eq!(text(sum(12_000_000_000)), "12.00 kg");
        assert_eq!(text(sum(999_900_000)), "999.9 g");
        assert_eq!(text(amount(25_000_000_000, Unit::Gram)), "25 kg");
        assert_eq!(text(amount(5_000_000_000, Unit::Millilitre)), "5 L");
        assert_eq!(text(amount(2_000 * MICRO, Unit::Each)), "2000 pieces");
    }
}
