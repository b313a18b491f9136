//! Every word that stands on paper.
//!
//! One function for each message, so that a translation changes one file.

pub mod bench;
pub mod cost;
pub mod drop;
pub mod expiring;
pub mod fridge;
pub mod label;
pub mod prep;
pub mod recall;
pub mod statements;

use jiff::civil::{Date, DateTime};

/// The words beside boxes and above columns.
pub mod word {
    /// Title of the weigh-out.
    pub const WEIGH_OUT: &str = "Weigh-out";
    /// Title of the list from the cold.
    pub const PULL: &str = "Pull list: from fridge and freezer";
    /// Title of the list from the stores.
    pub const STORES: &str = "Stores list";
    /// Title of the pick list.
    pub const PICK_LIST: &str = "Pick list";
    /// Title of the shortages.
    pub const SHORTAGES: &str = "Shortages";
    /// Title of the sheet to count by.
    pub const COUNT_SHEET: &str = "Count sheet";
    /// What to do first on the sheet to count by.
    pub const COUNTED_AT: &str = "write the time before the first shelf";
    /// Nothing to count.
    pub const NOTHING_TO_COUNT: &str = "The book has nothing here: write down what you find.";
    /// Must stand on the sheet to count by.
    pub const COUNT_WHAT_LIES_THERE: &str = "Count what lies there. What is already in tubs is not counted. A lot that is not listed \
         is written below.";
    /// Title of the ways to cut.
    pub const CUTS: &str = "Too late to order: who gets how much";
    /// What to do on the sheet of ways to cut.
    pub const CUTS_DECIDE: &str = "a person decides; nothing is picked by itself.";
    /// Title of what a substitute changes.
    pub const REPLACED: &str = "Substitute to sign for";
    /// Nothing happens by looking.
    pub const REPLACED_NOT_YET: &str =
        "NOT IN USE: it is used only after a named person signed for it.";
    /// Title of a table.
    pub const REPLACED_PRODUCTS: &str = "What it goes into";
    /// Labels.
    pub const REPLACED_LABELS: &str = "LABELS CHANGE: new labels before anything is packed.";
    /// Labels.
    pub const REPLACED_SAME_LABELS: &str = "No label changes by our records.";
    /// Title of a list.
    pub const REPLACED_EXCLUDED: &str = "Not sent to";
    /// An empty list.
    pub const REPLACED_NOBODY: &str =
        "No customer of that date is on record as avoiding what is new.";
    /// Title of a table.
    pub const REPLACED_STOCK: &str = "Stock up to the end of the plan";
    /// Title of a table.
    pub const CUTS_SCARCE: &str = "What is short";
    /// Title of a paragraph.
    pub const CUTS_WAYS: &str = "Two ways to cut";
    /// Title of a table.
    pub const CUTS_PRODUCTS: &str = "What is cut, and why";
    /// Title of a table.
    pub const CUTS_LINES: &str = "Order by order";
    /// Title of the waste report.
    pub const WASTE: &str = "Waste";
    /// Title of a chart.
    pub const WASTE_BY_REASON: &str = "By reason, in kilograms";
    /// Title of a chart.
    pub const WASTE_BY_WEEK: &str = "By week, in kilograms";
    /// Title of a table.
    pub const WASTE_BY_WEEK_AND_REASON: &str = "By week and reason";
    /// Title of a table.
    pub const WASTE_LINES: &str = "Line by line";
    /// Nothing thrown away.
    pub const NOTHING_WASTED: &str = "Nothing was thrown away in these days.";
    /// Title of a topping block.
    pub const TOPPINGS: &str = "Toppings and finish";
    /// Title of the change slip.
    pub const CHANGE_SLIP: &str = "Change slip";
    /// The sheet on the wall still holds.
    pub const NOTHING_CHANGED: &str = "Nothing on your sheet has changed.";
    /// What is no more.
    pub const GONE: &str = "GONE";
    /// A load that is no more.
    pub const DO_NOT_WEIGH: &str = "GONE: do not weigh it";
    /// What was not there.
    pub const NEW: &str = "NEW";
    /// A column.
    pub const WAS: &str = "was";
    /// A column.
    pub const NOW: &str = "now";
    /// A column.
    pub const DIFFERENCE: &str = "difference";
    /// Above loads that are done.
    pub const DONE: &str = "Done: do NOT weigh these again";
    /// Title of the feed and fridge sheet.
    pub const FRIDGE: &str = "Feed and fridge";
    /// Title of the feeds.
    pub const FEEDS: &str = "Feeds on days without a build";
    /// Frozen, par-baked and day-old pieces.
    pub const KEPT_PIECES: &str = "Frozen, par-baked and day-old pieces";
    /// Nothing in the house.
    pub const NOTHING_KEPT: &str = "No dough, levain, cream or kept piece is in the house.";
    /// Nothing to do.
    pub const NOTHING_TO_WEIGH: &str = "Nothing is weighed on this date.";
    /// Nothing to fetch from the cold.
    pub const NOTHING_TO_PULL: &str = "Nothing is pulled from the cold on this date.";
    /// Nothing to fetch from the stores.
    pub const NOTHING_IN_STORES: &str = "Nothing is fetched from the stores on this date.";
    /// Nothing short.
    pub const NOTHING_SHORT: &str = "Nothing runs short up to this date.";
    /// A column.
    pub const INGREDIENT: &str = "ingredient";
    /// A column.
    pub const AMOUNT: &str = "amount";
    /// A column.
    pub const SCALE_TUB: &str = "scale / tub";
    /// A column.
    pub const LOT: &str = "lot / last day";
    /// A column.
    pub const LOT_USED: &str = "lot used";
    /// A column.
    pub const INITIALS: &str = "init.";
    /// A column.
    pub const BY: &str = "by";
    /// A column.
    pub const FETCH: &str = "fetch";
    /// A column.
    pub const FROM_TO: &str = "from > to";
    /// Where to fetch what has no place.
    pub const NO_PLACE: &str = "No place on record: look for it";
    /// Counted by hand.
    pub const COUNT: &str = "count";
    /// Above all levers of a shortage.
    pub const STEPS: &str = "what can be done, in this order";
    /// Above substitutes alone.
    pub const SUBSTITUTE: &str = "substitute";
    /// Above those whom a shortage hits.
    pub const HITS: &str = "orders hit";
    /// Loud.
    pub const UNDECIDED: &str = "UNDECIDED";
    /// What hands must know before a load over the limit.
    pub const TWO_PEOPLE: &str = "two people / lift";
}

/// A formula with released loads.
#[must_use]
pub fn released_keep(formula: &str) -> String {
    format!("Released loads of {formula} keep what they were released with.")
}

/// What a change slip stands for.
#[must_use]
pub fn replaces(sheet: &str, revision: i64) -> String {
    format!(
        "Replaces lines of the {sheet} of revision {revision}. All other lines stay as printed."
    )
}

/// A load that was not on the sheet.
#[must_use]
pub fn new_load(revision: i64) -> String {
    format!("NEW: print its page, revision {revision}")
}

/// Which load is fixed or done, by whom and when.
#[must_use]
pub fn state_by(state: &str, who: &str, at: &str) -> String {
    format!("{} {} by {who}", state.to_uppercase(), moment(at))
}

/// Must stand on every sheet that names ingredients.
#[must_use]
pub const fn check_the_label() -> &'static str {
    "Check the label on the pack: this list comes from our records."
}

/// Must stand where a mixer is used.
#[must_use]
pub const fn guard_closed() -> &'static str {
    "Mixer: guard closed, hands out."
}

/// Must stand where flour is weighed.
#[must_use]
pub const fn flour_dust() -> &'static str {
    "Flour dust: do not breathe it in, keep it from flames and sparks."
}

/// Must stand where raw dough is made.
#[must_use]
pub const fn no_tasting() -> &'static str {
    "Do not taste raw dough or flour."
}

/// Must stand on the pull list.
#[must_use]
pub const fn no_second_freezing() -> &'static str {
    "No second freezing: what is thawed is not frozen again."
}

/// Above a build that nobody asks for.
#[must_use]
pub const fn feed() -> &'static str {
    "FEED: nobody bakes with it, it keeps the levain alive until the next build"
}

/// The foot of every sheet.
#[must_use]
pub const fn foot() -> &'static str {
    "Calculated from records. Not a food-safety plan; local law and your competent person decide."
}

/// Above the box for something used instead.
#[must_use]
pub const fn substitution() -> &'static str {
    "Used instead (read its allergens first)"
}

/// The blanks of the substitution box.
#[must_use]
pub const fn substitution_blanks() -> [&'static str; 4] {
    ["for", "used", "lot", "name"]
}

/// Before a block without an allergen of the block before.
#[must_use]
pub fn clean_down(gone: &[String]) -> String {
    format!("Clean-down before this load: the block before had {}", gone.join(", "))
}

/// A load under its mixer's minimum.
#[must_use]
pub fn undecided(options: &[String]) -> String {
    format!("under the mixer's minimum. Choose and write down: {}", options.join(" / "))
}

/// There is too little of some things, or of what the line names, and no cutoff is left.
#[must_use]
pub fn too_little(of: &[String]) -> String {
    let words = format!("{}: too little", word::UNDECIDED);
    if of.is_empty() { words } else { format!("{words} {}", of.join(", ")) }
}

/// Smaller packs in place of the last whole one.
#[must_use]
pub fn split_case(name: &str, packs: i64, holds: &str, saves: &str) -> String {
    format!("split the last case of {name}: {packs} × {holds} in its place cost {saves} less")
}

/// A load that one person should not lift.
#[must_use]
pub fn heavy(amount: &str, unit: &str) -> String {
    format!("{amount} {unit}: {}", word::TWO_PEOPLE)
}

/// Which load.
#[must_use]
pub fn load_of(load: i64, loads: i64) -> String {
    format!("load {load} of {loads}")
}

/// Whole blocks of laminated dough.
#[must_use]
pub fn blocks(count: i64) -> String {
    if count == 1 { "1 block".to_owned() } else { format!("{count} blocks") }
}

/// The sum of a page.
#[must_use]
pub fn page_sum(amount: &str, unit: &str) -> String {
    format!("Sum of this page {amount} {unit}")
}

/// The sum of all loads.
#[must_use]
pub fn all_loads(loads: i64, amount: &str, unit: &str) -> String {
    format!("all {loads} loads {amount} {unit}")
}

/// Which sheet of how many.
#[must_use]
pub fn sheet_of(sheet: usize, sheets: usize) -> String {
    format!("sheet {sheet} of {sheets}")
}

/// Which state of the plan.
#[must_use]
pub fn revision(revision: i64) -> String {
    format!("revision {revision}")
}

/// What the lines of a table belong to, said again on each paper page.
#[must_use]
pub fn again(of: &[&str], work_date: &str, revision_held: i64) -> String {
    format!("{} · {} · {}", of.join(" · "), full_day(work_date), revision(revision_held))
}

/// When it was printed.
#[must_use]
pub fn printed_at(instant: &str) -> String {
    format!("printed {}", moment(instant))
}

/// A line that no lot covers.
#[must_use]
pub fn short(amount: &str) -> String {
    format!("SHORT by {amount}")
}

/// The last date on a pack, with its year: `20 Aug 2026`.
#[must_use]
pub fn last_day(date: &str) -> String {
    let parsed = date.parse::<Date>().ok();
    parsed.map_or_else(|| date.to_owned(), |date| date.strftime("%-d %b %Y").to_string())
}

/// How a remark begins that keeps hands off something.
pub const STOP: &str = "STOP";

/// A lot that must not be used.
#[must_use]
pub fn stop_lot(name: &str, lot: &str, state: &str) -> String {
    if state == "STOP" {
        format!("{STOP}: {name}, lot {lot}, is over its age: do not use it as it was meant")
    } else {
        format!("{STOP}: {name}, lot {lot}, is on hold: leave it")
    }
}

/// A number of pieces.
#[must_use]
pub fn pieces(count: i64) -> String {
    if count == 1 { "1 piece".to_owned() } else { format!("{count} pieces") }
}

/// What a made lot goes into as seed or old dough: `Fri 12 Jun: into levain`.
#[must_use]
pub fn goes_into(date: &str, by: &[String]) -> String {
    format!("{}: into {}", day(date), by.join(", "))
}

/// How long something thaws.
#[must_use]
pub fn thaw(minutes: i64) -> String {
    format!("thaw {} h {:02} min", minutes / 60, minutes % 60)
}

/// How long something stands before it is used.
#[must_use]
pub fn temper(minutes: i64) -> String {
    format!("temper {} h {:02} min", minutes / 60, minutes % 60)
}

/// A local instant as people say it: `Thu 11 Jun 11:00`.
#[must_use]
pub fn moment(instant: &str) -> String {
    // The offset is the bakery's own: its clock is what stands before it.
    let local = instant.get(..19).and_then(|text| text.parse::<DateTime>().ok());
    local.map_or_else(|| instant.to_owned(), |at| at.strftime("%a %-d %b %H:%M").to_string())
}

/// A local instant on a sheet of one date: the time, and the day only if it is another.
#[must_use]
pub fn moment_on(date: &str, instant: &str) -> String {
    match (instant.strip_prefix(date), instant.get(11..16)) {
        (Some(_), Some(time)) => time.to_owned(),
        _ => moment(instant),
    }
}

/// A local date as people say it: `Thu 11 Jun`.
#[must_use]
pub fn day(date: &str) -> String {
    let parsed = date.parse::<Date>().ok();
    parsed.map_or_else(|| date.to_owned(), |date| date.strftime("%a %-d %b").to_string())
}

/// Several local dates: `Fri 12 Jun, Sat 13 Jun`.
#[must_use]
pub fn days(dates: &[String]) -> String {
    if dates.is_empty() {
        return "-".to_owned();
    }
    dates.iter().map(|date| day(date)).collect::<Vec<_>>().join(", ")
}

/// A temperature: `24.5 °C`, never parted.
#[must_use]
pub fn celsius(degrees: &str) -> String {
    format!("{degrees}\u{a0}°C")
}

/// A local date with its year: `Thu 11 Jun 2026`.
#[must_use]
pub fn full_day(date: &str) -> String {
    let parsed = date.parse::<Date>().ok();
    parsed.map_or_else(|| date.to_owned(), |date| date.strftime("%a %-d %b %Y").to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_instant_is_said_on_the_bakery_clock() {
        assert_eq!(moment("2026-06-11T11:00:00+02:00"), "Thu 11 Jun 11:00");
        assert_eq!(moment_on("2026-06-11", "2026-06-11T11:00:00+02:00"), "11:00");
        assert_eq!(moment_on("2026-06-12", "2026-06-11T11:00:00+02:00"), "Thu 11 Jun 11:00");
        assert_eq!(full_day("2026-06-11"), "Thu 11 Jun 2026");
        assert_eq!(moment("whenever"), "whenever");
    }

    #[test]
    fn one_is_a_piece_and_more_are_pieces() {
        assert_eq!([0, 1, 2].map(pieces), ["0 pieces", "1 piece", "2 pieces"]);
    }
}
