//! Which language a reader wants.

/// A language of the pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Language {
    /// English, for whoever asks for none of ours.
    English,
    /// German.
    German,
    /// French.
    French,
}

impl Language {
    /// Every language, in the order of its message files.
    pub const ALL: [Self; 3] = [Self::English, Self::German, Self::French];

    /// Its tag.
    ///
    /// # Source
    /// RFC 5646.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
            Self::French => "fr",
        }
    }

    /// What its speakers call it.
    #[must_use]
    pub const fn own_name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::German => "Deutsch",
            Self::French => "Français",
        }
    }

    /// The language of a tag, whatever its region.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        let main = code.trim().split('-').next().unwrap_or_default();
        Self::ALL.into_iter().find(|language| language.code().eq_ignore_ascii_case(main))
    }

    /// The first of ours among those wanted most.
    ///
    /// # Source
    /// RFC 9110, section 12.5.4.
    #[must_use]
    pub fn accepted(header: &str) -> Option<Self> {
        let mut best: Option<(u32, Self)> = None;
        for range in header.split(',') {
            let (tag, weight) = range.split_once(';').unwrap_or((range, "q=1"));
            let weight = thousandths(weight.trim().strip_prefix("q=").unwrap_or("1"));
            let Some(language) = Self::from_code(tag) else { continue };
            if weight > best.map_or(0, |(weight, _)| weight) {
                best = Some((weight, language));
            }
        }
        best.map(|(_, language)| language)
    }
}

/// `0.8` as 800.
fn thousandths(text: &str) -> u32 {
    let (whole, part) = text.trim().split_once('.').unwrap_or((text.trim(), ""));
    let part = format!("{part:0<3}");
    let part = part.get(..3).and_then(|part| part.parse().ok()).unwrap_or(0);
    whole.parse::<u32>().map_or(0, |whole| whole.min(1) * 1000 + part)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_language_wanted_most_is_taken() {
        for (header, language) in [
            ("de-CH,fr;q=0.9", Some(Language::German)),
            ("it, fr;q=0.5, en;q=0.4", Some(Language::French)),
            ("en;q=0.2, de;q=0.25", Some(Language::German)),
            ("fr;q=0", None),
            ("*", None),
            ("", None),
        ] {
            assert_eq!(Language::accepted(header), language, "{header}");
        }
    }
}
