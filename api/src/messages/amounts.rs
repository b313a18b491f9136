//! Amounts, and words of short lists, as each language writes them.

use super::{Language, Value, Words};

/// Units that are words; all others are signs.
const WORDS: [&str; 5] = ["pieces", "blocks", "each", "loads", "batch"];
/// Units that end an amount of a view.
const UNITS: [&str; 7] = ["kg", "g", "L", "mL", "pieces", "blocks", "each"];

impl Words {
    /// An amount with its unit, with the decimal mark of the language.
    #[must_use]
    pub fn amount(self, digits: &str, unit: &str) -> String {
        format!("{} {}", self.digits(digits), self.unit_of(digits, unit))
    }

    /// A unit as it stands behind digits: `1 piece`, `2 pieces`.
    #[must_use]
    pub fn unit_of(self, digits: &str, unit: &str) -> String {
        if !WORDS.contains(&unit) {
            return unit.to_owned();
        }
        self.tell(&format!("unit-{unit}"), &[("count", Value::try_number(digits))])
    }

    /// Digits with a point, with the decimal mark of the language.
    #[must_use]
    pub fn digits(self, amount: &str) -> String {
        match self.language {
            Language::English => amount.to_owned(),
            Language::German | Language::French => amount.replace('.', ","),
        }
    }

    /// An amount that a view says with its unit, such as `2 × 34.20 kg` or `25.20 EUR`; all else
    /// as it is.
    #[must_use]
    pub fn said(self, text: &str) -> String {
        let is_mark = |c: char| c.is_ascii_digit() || " .×+-".contains(c);
        match text.rsplit_once(' ') {
            Some((digits, unit)) if is_unit(unit) && digits.chars().all(is_mark) => {
                self.amount(digits, unit)
            }
            _ => text.to_owned(),
        }
    }

    /// A temperature: `24.5 °C`, never parted.
    #[must_use]
    pub fn celsius(self, degrees: &str) -> String {
        format!("{}\u{a0}°C", self.digits(degrees))
    }

    /// How far a load is; a word that is not known as it is.
    #[must_use]
    pub fn state(self, state: &str) -> String {
        self.listed("load-state-", state)
    }

    /// An allergen of a record by its name in the language, as the regulation on food
    /// information says it; other words as somebody wrote them.
    #[must_use]
    pub fn allergen(self, word: &str) -> String {
        match word.strip_suffix(" (allergens not known)") {
            Some(item) => self.tell("allergens-of-item-not-known", &[("item", item.into())]),
            None => self.listed("allergen-", word),
        }
    }

    /// Several allergens.
    #[must_use]
    pub fn allergens(self, list: &[String]) -> String {
        list.iter().map(|word| self.allergen(word)).collect::<Vec<_>>().join(", ")
    }

    /// A word of a list that others may lengthen.
    #[must_use]
    pub fn listed(self, list: &str, word: &str) -> String {
        // English stays as it was written: lists are English.
        if self == Self::ENGLISH {
            return word.to_owned();
        }
        let name = word.to_ascii_lowercase().replace(' ', "-");
        self.find(&format!("{list}{name}"), &[]).unwrap_or_else(|| word.to_owned())
    }
}

/// Whether a word ends an amount: a unit of ours, or the code of a currency.
///
/// # Source
/// ISO 4217: three capital letters.
fn is_unit(word: &str) -> bool {
    UNITS.contains(&word) || word.len() == 3 && word.bytes().all(|b| b.is_ascii_uppercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_amounts_get_another_decimal_mark() {
        let words = Words { language: Language::German };
        let said = ["2 × 34.20 kg", "5.1", "lot 5.1 kg", "6 pieces", "25.20 EUR"];
        let said = said.map(|text| words.said(text));
        assert_eq!(said, ["2 × 34,20 kg", "5.1", "lot 5.1 kg", "6 Stück", "25,20 EUR"]);
    }

    #[test]
    fn words_for_units_decline_with_their_count() {
        // Plural rules of the Unicode CLDR: French says one up to, and without, two.
        let said = |language| {
            let words = Words { language };
            [("1", "loads"), ("2", "batch"), ("1.5", "batch"), ("2 × 6", "blocks"), ("1", "kg")]
                .map(|(digits, unit)| words.amount(digits, unit))
        };
        assert_eq!(
            said(Language::English),
            ["1 load", "2 batches", "1.5 batches", "2 × 6 blocks", "1 kg"]
        );
        assert_eq!(
            said(Language::German),
            ["1 Charge", "2 Ansätze", "1,5 Ansätze", "2 × 6 Blöcke", "1 kg"]
        );
        assert_eq!(
            said(Language::French),
            ["1 charge", "2 fournées", "1,5 fournée", "2 × 6 blocs", "1 kg"]
        );
    }

    #[test]
    fn an_allergen_that_no_list_has_stays_as_it_was_written() {
        let words = Words { language: Language::German };
        assert_eq!(words.allergen("wheat"), "Weizen");
        assert_eq!(words.allergen("lime pollen"), "lime pollen");
        assert_eq!(
            words.allergen("spread (allergens not known)"),
            "spread (Allergene nicht bekannt)"
        );
    }
}
