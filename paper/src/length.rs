//! Lengths: hundredths of a point, whole numbers, so that the same page gives the same bytes.

/// A length in hundredths of a point.
pub type Length = i32;

/// Hundredths of a point in a point.
pub const POINT: Length = 100;

/// Which paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// ISO 216 A4, 210 mm by 297 mm.
    A4,
    /// US Letter, 8.5 in by 11 in.
    Letter,
    /// A label of a thermal roll, 100 mm wide and 62 mm high.
    Label,
}

/// Paper and the part of it that is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Area {
    /// Width of the paper.
    pub width: Length,
    /// Height of the paper.
    pub height: Length,
    /// Left and right, and on top, of what is printed.
    pub margin: Length,
    /// Below what is printed.
    pub foot: Length,
    /// Whether pages are numbered.
    pub numbered: bool,
}

impl Area {
    /// Width of what is printed.
    pub const fn inner_width(&self) -> Length {
        self.width - 2 * self.margin
    }

    /// Height of what is printed.
    pub const fn inner_height(&self) -> Length {
        self.height - self.margin - self.foot
    }
}

impl Size {
    /// The area of a sheet; `wide` ones lie across.
    #[must_use]
    pub(crate) const fn area(self, wide: bool) -> Area {
        let (width, height, margin, foot, numbered) = match self {
            Self::A4 => (59528, 84189, 2551, 3402, true),
            Self::Letter => (61200, 79200, 2551, 3402, true),
            Self::Label => (28346, 17575, 0, 0, false),
        };
        let (width, height) = if wide { (height, width) } else { (width, height) };
        Area { width, height, margin, foot, numbered }
    }
}

/// Reads a CSS length; `em` is the size of the letters around it.
///
/// # Source
/// CSS Values and Units: 1in = 72pt = 25.4mm = 96px.
pub fn parse(text: &str, em: Length) -> Option<Length> {
    let digits = text.find(|c: char| c.is_ascii_alphabetic() || c == '%').unwrap_or(text.len());
    let (number, unit) = text.split_at(digits);
    let thousandths = thousandths(number)?;
    let hundredths = match unit {
        "" if thousandths == 0 => 0,
        "pt" => thousandths / 10,
        "px" => thousandths * 3 / 40,
        "mm" => thousandths * 7200 / 25400,
        "cm" => thousandths * 72000 / 25400,
        "in" => thousandths * 72 / 10,
        "em" | "rem" => thousandths * i64::from(em) / 1000,
        _ => return None,
    };
    Length::try_from(hundredths).ok()
}

/// A decimal number in thousandths.
pub fn thousandths(text: &str) -> Option<i64> {
    let (sign, text) = text.strip_prefix('-').map_or((1, text), |rest| (-1, rest));
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    if whole.is_empty() && part.is_empty() {
        return None;
    }
    let whole: i64 = if whole.is_empty() { 0 } else { whole.parse().ok()? };
    let part: String = part.chars().chain("000".chars()).take(3).collect();
    Some(sign * (whole.checked_mul(1000)? + part.parse::<i64>().ok()?))
}
