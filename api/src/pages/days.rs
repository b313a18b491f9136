//! Dates to choose from, on pages that show one date at a time.

use crate::messages::Words;
use jiff::civil::Date;
use maud::{Markup, html};

/// Links to dates, each below `path`; the one that is shown is marked.
pub(super) fn links(
    words: Words,
    (path, shown): (&str, Date),
    dates: impl IntoIterator<Item = Date>,
) -> Markup {
    html! {
        ul.links {
            @for date in dates {
                li {
                    a href={ (path) (date) }
                        aria-current=[(date == shown).then_some("date")] { (words.day(date)) }
                }
            }
        }
    }
}
