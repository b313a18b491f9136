//! Application identifiers: how long each is, and what its value may be.

use super::date::date_of;
use jiff::civil::Date;

/// What the characters of a value are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    /// Digits.
    Digits,
    /// Digits, the last of which checks the others.
    Checked,
    /// Six digits of a date.
    Date,
    /// Letters, digits and signs of the GS1 character set 82.
    Signs,
}

/// One application identifier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Identifier {
    /// The digits that it starts with.
    prefix: &'static str,
    /// How many digits it has.
    pub digits: usize,
    /// Whether its length is so well known that no separator follows it.
    pub predefined: bool,
    /// Least characters of its value.
    least: usize,
    /// Most characters of its value.
    pub most: usize,
    form: Form,
}

const fn fixed(prefix: &'static str, digits: usize, length: usize, form: Form) -> Identifier {
    Identifier { prefix, digits, predefined: true, least: length, most: length, form }
}

const fn open(
    prefix: &'static str,
    digits: usize,
    (least, most): (usize, usize),
    form: Form,
) -> Identifier {
    Identifier { prefix, digits, predefined: false, least, most, form }
}

/// Longest first where one starts like another.
const TABLE: &[Identifier] = &[
    fixed("00", 2, 18, Form::Checked),
    fixed("01", 2, 14, Form::Checked),
    fixed("02", 2, 14, Form::Checked),
    fixed("11", 2, 6, Form::Date),
    fixed("12", 2, 6, Form::Date),
    fixed("13", 2, 6, Form::Date),
    fixed("15", 2, 6, Form::Date),
    fixed("16", 2, 6, Form::Date),
    fixed("17", 2, 6, Form::Date),
    fixed("20", 2, 2, Form::Digits),
    open("10", 2, (1, 20), Form::Signs),
    open("21", 2, (1, 20), Form::Signs),
    open("22", 2, (1, 20), Form::Signs),
    open("235", 3, (1, 28), Form::Signs),
    open("240", 3, (1, 30), Form::Signs),
    open("241", 3, (1, 30), Form::Signs),
    open("242", 3, (1, 6), Form::Digits),
    open("243", 3, (1, 20), Form::Signs),
    open("250", 3, (1, 30), Form::Signs),
    open("251", 3, (1, 30), Form::Signs),
    open("253", 3, (13, 30), Form::Signs),
    open("254", 3, (1, 20), Form::Signs),
    open("255", 3, (13, 25), Form::Digits),
    open("30", 2, (1, 8), Form::Digits),
    fixed("31", 4, 6, Form::Digits),
    fixed("32", 4, 6, Form::Digits),
    fixed("33", 4, 6, Form::Digits),
    fixed("34", 4, 6, Form::Digits),
    fixed("35", 4, 6, Form::Digits),
    fixed("36", 4, 6, Form::Digits),
    open("37", 2, (1, 8), Form::Digits),
    open("39", 4, (1, 18), Form::Digits),
    open("400", 3, (1, 30), Form::Signs),
    open("401", 3, (1, 30), Form::Signs),
    open("402", 3, (17, 17), Form::Checked),
    open("403", 3, (1, 30), Form::Signs),
    fixed("41", 3, 13, Form::Checked),
    open("420", 3, (1, 20), Form::Signs),
    open("421", 3, (4, 12), Form::Signs),
    open("422", 3, (3, 3), Form::Digits),
    open("42", 3, (1, 30), Form::Signs),
    open("43", 4, (1, 90), Form::Signs),
    open("70", 4, (1, 90), Form::Signs),
    open("71", 3, (1, 20), Form::Signs),
    open("72", 4, (1, 90), Form::Signs),
    open("80", 4, (1, 90), Form::Signs),
    open("81", 4, (1, 90), Form::Signs),
    open("82", 4, (1, 90), Form::Signs),
    open("9", 2, (1, 90), Form::Signs),
];

/// Signs beside letters and digits of the GS1 character set 82.
const SIGNS: &str = "!\"%&'()*+,-./:;<=>?_";

impl Identifier {
    /// The identifier that a text starts with.
    #[must_use]
    pub fn starting(text: &str) -> Option<Self> {
        TABLE.iter().find(|known| text.starts_with(known.prefix)).copied()
    }

    /// An identifier by all of its digits.
    #[must_use]
    pub fn find(identifier: &str) -> Option<Self> {
        let digits = identifier.bytes().all(|byte| byte.is_ascii_digit());
        Self::starting(identifier).filter(|known| digits && known.digits == identifier.len())
    }

    /// Whether a value is of its form.
    ///
    /// # Errors
    /// In words, what is wrong.
    pub(super) fn check(self, value: &str) -> Result<(), String> {
        let length = value.chars().count();
        if length < self.least {
            let least = self.least;
            return Err(format!("has {length} characters and needs {least}: scan it again"));
        }
        if length > self.most {
            return Err(format!("has {length} characters, at most {} may be", self.most));
        }
        let fits = |c: char| match self.form {
            Form::Signs => c.is_ascii_alphanumeric() || SIGNS.contains(c),
            _ => c.is_ascii_digit(),
        };
        if let Some(wrong) = value.chars().find(|c| !fits(*c)) {
            return Err(format!("cannot hold `{}`", wrong.escape_default()));
        }
        match self.form {
            Form::Checked => {
                let (others, last) = value.split_at(value.len() - 1);
                match check_digit(others) {
                    Some(digit) if last != digit.to_string() => Err(format!(
                        "ends in {last}, and its check digit is {digit}: read the number again"
                    )),
                    _ => Ok(()),
                }
            }
            // Whether a day exists depends on no century but for 29 February.
            Form::Date => date_of(value, NEAR).map(|_| ()).map_err(|error| error.to_string()),
            Form::Digits | Form::Signs => Ok(()),
        }
    }
}

/// A day by which the form of a date is checked; a leap day of two digits is one in each
/// century that it can mean from here.
const NEAR: Date = Date::constant(2026, 1, 1);

/// The check digit of some digits; none if there is something else among them, or nothing.
///
/// # Source
/// GS1 General Specifications, check digit: from the right, weights 3 and 1 in turn.
#[must_use]
pub fn check_digit(others: &str) -> Option<u32> {
    let digits: Option<Vec<u32>> = others.chars().map(|c| c.to_digit(10)).collect();
    let digits = digits.filter(|digits| !digits.is_empty())?;
    let weights = [3, 1].into_iter().cycle();
    let sum: u32 = digits.iter().rev().zip(weights).map(|(digit, by)| digit * by).sum();
    Some((10 - sum % 10) % 10)
}
