//! A list of ingredients, drafted from exact masses by a regulation's style.
//!
//! A draft: a competent person decides what stands on a label.

mod amounts;
mod emphasis;
mod entries;
mod quantities;

pub use amounts::Measured;
pub use emphasis::Segment;
pub use quantities::Quantified;

use crate::{
    bakery::Bakery,
    contents::Contents,
    regulation::{Regulation, WaterRule},
};
use emphasis::names_of;
use num_rational::BigRational;
use num_traits::Zero;
use std::collections::BTreeSet;

/// One ingredient of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its name, allergens set off; those that it does not speak of stand in brackets.
    pub name: Vec<Segment>,
    /// Grams in a piece at mixing; of added water what is left of it.
    pub grams: BigRational,
    /// Percent of the finished piece; none if nobody knows what that weighs.
    pub percent: Option<BigRational>,
    /// Whether it is so little that it may stand in any order after the others.
    pub any_order: bool,
    /// Its own ingredients, if they are listed.
    pub parts: Vec<Entry>,
    /// Whether its own list is left out because the law lets it.
    pub parts_left_out: bool,
    /// Whether nobody has read its pack.
    pub unknown: bool,
}

/// What became of the water.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AddedWater {
    /// None was added.
    None,
    /// It is listed by what is left of it.
    Left,
    /// So little is left that it is not listed.
    LeftOut,
    /// It is listed by what went in.
    AsAdded,
    /// It is listed by what went in, because nobody knows what a finished piece weighs.
    FinishedUnknown,
}

/// A drafted list of ingredients.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// Its ingredients, heaviest first.
    pub entries: Vec<Entry>,
    /// Stands before the entries of which there is little, if the style groups them.
    pub little_heading: Option<String>,
    /// The statement beside the list, if the style has one: its heading and the names.
    pub contains: Option<(String, Vec<String>)>,
    /// Quantities of what the product's name speaks of, by position of item.
    pub quantities: Vec<Quantified>,
    /// What became of the water.
    pub water: AddedWater,
    /// Aids of the process that are not listed, by position of item.
    pub aids: Vec<u32>,
    /// Items that are in it or touch it in no recorded mass, and are not listed for that.
    pub unweighed: BTreeSet<u32>,
    /// Allergens of aids and of what is not weighed that no listed ingredient has: they must
    /// be named all the same.
    pub beside: Vec<String>,
    /// Allergens that are declared only above a bound; those below it are not set off.
    pub amounts: Vec<Measured>,
}

/// Drafts the list of what is in a piece.
///
/// # Source
/// Regulation (EU) No 1169/2011, articles 18, 20 to 22, annexes VII and VIII; 21 CFR 101.4.
#[must_use]
pub fn label(
    bakery: &Bakery,
    regulation: &Regulation,
    contents: &Contents,
    quantities: &[u32],
) -> Label {
    let amounts = amounts::amounts(bakery, regulation, contents);
    let little = amounts.iter().filter(|one| !one.declared).map(|one| one.group.as_str());
    let without = {
        let little: BTreeSet<&str> = little.collect();
        (!little.is_empty()).then(|| regulation.without(&little))
    };
    let regulation = without.as_ref().unwrap_or(regulation);
    let mut list = entries::List::new(bakery, regulation, contents.finished.clone());
    list.take(&contents.parts);
    let water = settle_water(&mut list, contents, regulation);
    let (entries, aids, words) = list.finish();
    let mut beside: BTreeSet<String> = words;
    let untold: BTreeSet<u32> = contents.unweighed.union(&contents.dusted).copied().collect();
    for &item in untold.iter().chain(&aids) {
        beside.extend(entries::words(bakery, item));
    }
    let listed = contents.leaves().into_keys().filter(|item| !aids.contains(item));
    for item in listed {
        let said = entries::words(bakery, item);
        beside.retain(|word| !said.contains(word));
    }
    let contains = regulation.list.contains_heading.clone().map(|heading| {
        let all = contents.leaves().into_keys().chain(untold.iter().copied());
        let words: BTreeSet<String> = all.flat_map(|item| entries::words(bakery, item)).collect();
        (heading, names_of(regulation, &words))
    });
    Label {
        entries,
        little_heading: regulation.list.little_heading.clone(),
        contains,
        quantities: quantities::quantities(regulation, contents, quantities),
        water,
        aids,
        unweighed: untold,
        beside: names_of(regulation, &beside),
        amounts,
    }
}

/// Takes from the added water what the oven took.
fn settle_water(
    list: &mut entries::List<'_>,
    contents: &Contents,
    regulation: &Regulation,
) -> AddedWater {
    let added = list.water();
    if added.is_zero() {
        return AddedWater::None;
    }
    let Some(finished) = &contents.finished else { return AddedWater::FinishedUnknown };
    let others = list.grams() - &added;
    let left = (finished - others).max(BigRational::zero());
    match regulation.list.water {
        WaterRule::AsAdded if left.is_zero() => list.drop_water(),
        WaterRule::AsAdded => return AddedWater::AsAdded,
        WaterRule::Left { omit_up_to_percent } => {
            if left <= finished * omit_up_to_percent.to_big() / hundred() {
                list.drop_water();
            } else {
                list.set_water(left.min(added));
                return AddedWater::Left;
            }
        }
    }
    AddedWater::LeftOut
}

fn hundred() -> BigRational {
    BigRational::from_integer(100.into())
}

impl Label {
    /// The whole list as text in pieces, allergens set off.
    #[must_use]
    pub fn segments(&self) -> Vec<Segment> {
        let mut text = Text::default();
        match &self.little_heading {
            None => text.list(&self.entries.iter().collect::<Vec<_>>()),
            Some(heading) => {
                let (little, much): (Vec<&Entry>, Vec<&Entry>) =
                    self.entries.iter().partition(|entry| entry.any_order);
                text.list(&much);
                if !little.is_empty() {
                    text.plain(if much.is_empty() { "" } else { ". " });
                    text.plain(&format!("{heading} "));
                    text.list(&little);
                }
            }
        }
        text.0
    }
}

/// Text that grows piece by piece.
#[derive(Default)]
struct Text(Vec<Segment>);

impl Text {
    fn plain(&mut self, text: &str) {
        match self.0.last_mut() {
            _ if text.is_empty() => {}
            Some(last) if !last.allergen => last.text.push_str(text),
            _ => self.0.push(Segment { text: text.to_owned(), allergen: false }),
        }
    }

    fn list(&mut self, entries: &[&Entry]) {
        for (at, entry) in entries.iter().enumerate() {
            self.plain(if at == 0 { "" } else { ", " });
            for segment in &entry.name {
                if segment.allergen {
                    self.0.push(segment.clone());
                } else {
                    self.plain(&segment.text);
                }
            }
            if !entry.parts.is_empty() {
                self.plain(" (");
                self.list(&entry.parts.iter().collect::<Vec<_>>());
                self.plain(")");
            }
            self.plain(if entry.unknown { " [allergens not known]" } else { "" });
        }
    }
}
