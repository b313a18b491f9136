//! What the feed of changes tells of: one word for each kind.

use crate::link::segment;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What kind of thing happened.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    ToSchema,
    clap::ValueEnum,
)]
#[serde(rename_all = "kebab-case")]
pub enum NoticeKind {
    /// Something that plans are made from changed: each plan revision is one.
    Revision,
    /// An order came after its cutoff: it is counted, and a person says whether it is made.
    LateOrder,
    /// A lot was put on hold or blocked.
    LotHeld,
    /// A lot that was on hold may be used.
    LotReleased,
    /// A load was released: from here on it does not move.
    LoadReleased,
    /// The plan lacks an item that it did not lack before.
    ShortageAppeared,
    /// The plan lacks more or less of an item than before, or by another moment.
    ShortageChanged,
    /// The plan lacks an item no more.
    ShortageGone,
}

impl NoticeKind {
    /// Every kind.
    pub const ALL: [Self; 8] = [
        Self::Revision,
        Self::LateOrder,
        Self::LotHeld,
        Self::LotReleased,
        Self::LoadReleased,
        Self::ShortageAppeared,
        Self::ShortageChanged,
        Self::ShortageGone,
    ];

    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Revision => "revision",
            Self::LateOrder => "late-order",
            Self::LotHeld => "lot-held",
            Self::LotReleased => "lot-released",
            Self::LoadReleased => "load-released",
            Self::ShortageAppeared => "shortage-appeared",
            Self::ShortageChanged => "shortage-changed",
            Self::ShortageGone => "shortage-gone",
        }
    }

    /// The kind of a word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// Where to read what a notice of this kind is about, by the name that it gives.
    #[must_use]
    pub fn link(self, about: &str) -> String {
        match self {
            Self::Revision => "/v1/revisions".to_owned(),
            Self::LateOrder => format!("/v1/orders/{}", segment(about)),
            Self::LotHeld | Self::LotReleased => format!("/v1/lots/{}", segment(about)),
            Self::LoadReleased => format!("/v1/loads/{}", segment(about)),
            Self::ShortageAppeared | Self::ShortageChanged | Self::ShortageGone => {
                "/v1/shortages".to_owned()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_leads_back_to_its_kind() {
        for kind in NoticeKind::ALL {
            assert_eq!(NoticeKind::from_word(kind.word()), Some(kind));
            assert_eq!(serde_json::json!(kind), kind.word());
        }
        assert_eq!(NoticeKind::from_word("x"), None);
    }

    #[test]
    fn a_name_is_one_segment_of_its_link() {
        assert_eq!(NoticeKind::LateOrder.link("a/b ü"), "/v1/orders/a%2Fb%20%C3%BC");
    }
}
