//! The style sheet: which rules hold for an element.
//!
//! Selectors are few: elements, classes, `:not(.class)`, `:nth-child(number)`, what stands in
//! or right in something (` `, `>`), right after something (`+`), and `::before`.

use crate::style::{Style, apply, content};
use std::{collections::BTreeMap, rc::Rc};

/// An element as rules see it: its name and its classes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Seen<'a> {
    /// Its name in HTML.
    pub tag: &'a str,
    /// Its classes, as the page names them.
    pub classes: &'a str,
}

/// What a selector asks of name and classes.
#[derive(Debug, Default)]
struct Part {
    tag: Option<String>,
    classes: Vec<String>,
    /// Classes that it must not have.
    without: Vec<String>,
}

impl Part {
    fn fits(&self, seen: Seen<'_>) -> bool {
        let has = |class: &String| seen.classes.split_ascii_whitespace().any(|one| one == class);
        self.tag.as_ref().is_none_or(|tag| tag == seen.tag)
            && self.classes.iter().all(has)
            && !self.without.iter().any(has)
    }

    /// The class or element under which rules for it are found.
    fn key(&self) -> String {
        match (self.classes.first(), &self.tag) {
            (Some(class), _) => format!(".{class}"),
            (None, Some(tag)) => tag.clone(),
            (None, None) => "*".to_owned(),
        }
    }
}

/// A place among siblings that a selector asks for.
enum Spot {
    /// So-manieth, from one.
    Number(usize),
    /// Right after such a one.
    After(Part),
}

/// What a selector asks of one element.
enum Ask {
    Part(Part),
    /// One of [`Looks::spots`].
    Spot(usize),
}

/// One element of a selector.
struct Step {
    ask: Ask,
    /// The element before is right in it.
    parent: bool,
}

struct Rule {
    /// The element itself first, then what it stands in.
    steps: Vec<Step>,
    /// Classes, elements, place in the sheet: the more, the later it is applied.
    weight: (usize, usize, usize),
    before: bool,
    declarations: Vec<(String, String)>,
}

/// The style sheet of all pages, read once.
#[derive(Default)]
pub struct Looks {
    rules: Vec<Rule>,
    /// Rules by the class or element that they ask for.
    by_key: BTreeMap<String, Vec<usize>>,
    /// Elements in places among their siblings.
    spots: Vec<(Part, Spot)>,
}

impl Looks {
    /// Reads a style sheet; what this crate does not know is left out.
    #[must_use]
    pub fn read(text: &str) -> Self {
        let mut looks = Self::default();
        looks.add(&without_comments(text));
        looks
    }

    fn add(&mut self, text: &str) {
        let mut rest = text;
        while let Some((head, body, after)) = block(rest) {
            rest = after;
            match head.trim().strip_prefix('@') {
                Some(at) if at.starts_with("media print") => self.add(body),
                Some(_) => {}
                None => self.add_rule(head, body),
            }
        }
    }

    fn add_rule(&mut self, head: &str, body: &str) {
        let declarations: Vec<(String, String)> = body
            .split(';')
            .filter_map(|line| line.split_once(':'))
            .map(|(name, value)| (name.trim().to_owned(), value.trim().to_owned()))
            .collect();
        for text in head.split(',').map(str::trim) {
            let (subject, before) = match text.strip_suffix("::before") {
                Some(subject) => (subject, true),
                None => (text, false),
            };
            let Some(steps) = self.steps(subject) else { continue };
            let Some(Step { ask, .. }) = steps.first() else { continue };
            let key = match ask {
                Ask::Part(part) => part.key(),
                Ask::Spot(at) => self.spots[*at].0.key(),
            };
            let weight = weight(subject, self.rules.len());
            self.by_key.entry(key).or_default().push(self.rules.len());
            let declarations = declarations.clone();
            self.rules.push(Rule { steps, weight, before, declarations });
        }
    }

    /// The elements of a selector, the last first; `None` if it asks for what is not known here.
    fn steps(&mut self, text: &str) -> Option<Vec<Step>> {
        let mut steps: Vec<Step> = Vec::new();
        let mut left = None;
        for word in text.replace('>', " > ").replace('+', " + ").split_whitespace() {
            let ask = match word {
                ">" => {
                    steps.last_mut()?.parent = true;
                    continue;
                }
                "+" => {
                    left = Some(steps.pop()?.ask);
                    continue;
                }
                word => match (left.take(), part(word)?) {
                    (None, (part, None)) => Ask::Part(part),
                    (None, (part, Some(number))) => self.spot(part, Spot::Number(number)),
                    (Some(Ask::Part(left)), (part, None)) => self.spot(part, Spot::After(left)),
                    _ => return None,
                },
            };
            steps.push(Step { ask, parent: false });
        }
        steps.reverse();
        left.is_none().then_some(steps)
    }

    fn spot(&mut self, part: Part, spot: Spot) -> Ask {
        self.spots.push((part, spot));
        Ask::Spot(self.spots.len() - 1)
    }
}

/// What a word of a selector asks for, and at which place among its siblings.
fn part(word: &str) -> Option<(Part, Option<usize>)> {
    let (names, conditions) = word.split_at(word.find(':').unwrap_or(word.len()));
    if names.contains(['#', '[', '~']) {
        return None;
    }
    let mut names = names.split('.').map(str::to_owned);
    let tag = names.next().filter(|tag| !tag.is_empty() && tag != "*");
    let mut part = Part { tag, classes: names.collect(), without: Vec::new() };
    let mut number = None;
    for condition in conditions.split(':').skip(1) {
        let (name, value) = condition.strip_suffix(')')?.split_once('(')?;
        match name {
            "not" => part.without.push(value.strip_prefix('.')?.to_owned()),
            "nth-child" => number = Some(value.parse().ok()?),
            _ => return None,
        }
    }
    Some((part, number))
}

/// Elements that no rule can tell apart; what holds for one of them holds for all.
struct Kind<'a> {
    seen: Seen<'a>,
    spots: Vec<usize>,
    within: Option<usize>,
    /// Kinds that were found in it.
    inner: Vec<usize>,
    style: Rc<Style>,
    before: Option<String>,
}

/// The kinds of elements of a page: rules are looked up once for each.
pub struct Kinds<'a> {
    looks: &'a Looks,
    kinds: Vec<Kind<'a>>,
}

impl<'a> Kinds<'a> {
    /// None yet.
    pub const fn new(looks: &'a Looks) -> Self {
        Self { looks, kinds: Vec::new() }
    }

    /// The kind of an element: within another, so-manieth of its siblings, after one of them.
    pub fn of(
        &mut self,
        seen: Seen<'a>,
        within: Option<usize>,
        (number, previous): (usize, Option<Seen<'_>>),
    ) -> usize {
        let holds = |(part, spot): &(Part, Spot)| {
            let there = match spot {
                Spot::Number(asked) => *asked == number,
                Spot::After(left) => previous.is_some_and(|previous| left.fits(previous)),
            };
            there && part.fits(seen)
        };
        let spots = self.looks.spots.iter().enumerate().filter(|(_, spot)| holds(spot));
        let spots: Vec<usize> = spots.map(|(at, _)| at).collect();
        let siblings = within.map_or(&[][..], |within| &self.kinds[within].inner);
        let same = |kind: &&usize| {
            let kind = &self.kinds[**kind];
            kind.seen == seen && kind.spots == spots
        };
        siblings.iter().find(same).copied().unwrap_or_else(|| self.add(seen, spots, within))
    }

    fn add(&mut self, seen: Seen<'a>, spots: Vec<usize>, within: Option<usize>) -> usize {
        let around = within.map_or_else(|| Rc::new(Style::root()), |at| Rc::clone(self.style(at)));
        let kind = self.kinds.len();
        let (style, inner) = (Rc::clone(&around), Vec::new());
        self.kinds.push(Kind { seen, spots, within, inner, style, before: None });
        if let Some(within) = within {
            self.kinds[within].inner.push(kind);
        }
        let (style, before) = self.come_to(kind, &around);
        (self.kinds[kind].style, self.kinds[kind].before) = (Rc::new(style), before);
        kind
    }

    /// What the rules come to.
    fn come_to(&self, kind: usize, around: &Style) -> (Style, Option<String>) {
        let seen = self.kinds[kind].seen;
        let mut style = around.inherited(seen.tag);
        let mut before = None;
        let keys = seen.classes.split_ascii_whitespace().map(|class| format!(".{class}"));
        let keys = keys.chain([seen.tag.to_owned(), "*".to_owned()]);
        let rules = keys
            .filter_map(|key| self.looks.by_key.get(&key))
            .flatten()
            .map(|at| &self.looks.rules[*at]);
        let mut rules: Vec<&Rule> = rules.filter(|rule| self.fits(&rule.steps, kind)).collect();
        rules.sort_by_key(|rule| rule.weight);
        for rule in rules {
            for (name, value) in &rule.declarations {
                if !rule.before {
                    apply(&mut style, name, value, around.size);
                } else if name == "content" {
                    before = content(value);
                }
            }
        }
        (style, before)
    }

    /// Whether a kind is what a selector asks for, and stands in what it asks for.
    fn fits(&self, steps: &[Step], kind: usize) -> bool {
        let Some((step, around)) = steps.split_first() else { return true };
        let found = &self.kinds[kind];
        let itself = match &step.ask {
            Ask::Part(part) => part.fits(found.seen),
            Ask::Spot(at) => found.spots.contains(at),
        };
        let mut outer = std::iter::successors(found.within, |at| self.kinds[*at].within);
        itself
            && around.first().is_none_or(|next| match next.parent {
                true => outer.next().is_some_and(|parent| self.fits(around, parent)),
                false => outer.any(|one| self.fits(around, one)),
            })
    }

    /// The style of a kind.
    pub fn style(&self, kind: usize) -> &Rc<Style> {
        &self.kinds[kind].style
    }

    /// What stands before the words of a kind.
    pub fn before(&self, kind: usize) -> Option<&str> {
        self.kinds[kind].before.as_deref()
    }
}

fn without_comments(text: &str) -> String {
    let mut parts = text.split("/*");
    let mut kept = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        kept.push_str(part.split_once("*/").map_or("", |(_, after)| after));
    }
    kept
}

/// What stands before the next pair of braces, in them, and after them.
fn block(text: &str) -> Option<(&str, &str, &str)> {
    let open = text.find('{')?;
    let mut depth = 0_usize;
    for (at, letter) in text[open..].char_indices() {
        match letter {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => continue,
        }
        if depth == 0 {
            return Some((&text[..open], &text[open + 1..open + at], &text[open + at + 1..]));
        }
    }
    None
}

/// How much a selector weighs: its classes and its elements, then its place in the sheet.
fn weight(selector: &str, order: usize) -> (usize, usize, usize) {
    let classes = selector.matches(['.', ':']).count();
    let elements = selector
        .split([' ', '>', '+'])
        .filter(|part| part.trim().starts_with(|letter: char| letter.is_ascii_alphabetic()));
    (classes, elements.count(), order)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen<'a>(tag: &'a str, classes: &'a str) -> Seen<'a> {
        Seen { tag, classes }
    }

    /// Elements, each within the one before; so-manieth of their siblings, after one of them.
    type Path<'a> = &'a [(Seen<'a>, usize, Option<Seen<'a>>)];

    /// The width that rules give the last of them.
    fn width(looks: &Looks, path: Path<'_>) -> Option<i32> {
        let mut kinds = Kinds::new(looks);
        let mut within = None;
        for (seen, number, previous) in path {
            within = Some(kinds.of(*seen, within, (*number, *previous)));
        }
        kinds.style(within?).width
    }

    #[test]
    fn a_rule_holds_where_its_selector_says() {
        let (table, first) = (seen("table", "lines short"), |seen| (seen, 1, None));
        let cases: [(&str, Path<'_>, bool); 11] = [
            (".lines td", &[first(table), first(seen("tr", "")), first(seen("td", ""))], true),
            (".other td", &[first(table), first(seen("td", ""))], false),
            ("table > td", &[first(table), first(seen("tr", "")), first(seen("td", ""))], false),
            ("table > tr", &[first(table), first(seen("tr", ""))], true),
            ("tr:not(.below) td", &[first(seen("tr", "")), first(seen("td", ""))], true),
            ("tr:not(.below) td", &[first(seen("tr", "below")), first(seen("td", ""))], false),
            ("td:nth-child(4)", &[(seen("td", ""), 4, None)], true),
            ("td:nth-child(4)", &[(seen("td", ""), 3, None)], false),
            (
                ".again + tr th",
                &[(seen("tr", ""), 2, Some(seen("tr", "again"))), first(seen("th", ""))],
                true,
            ),
            (".again + tr th", &[first(seen("tr", "again")), first(seen("th", ""))], false),
            ("td:hover", &[first(seen("td", ""))], false),
        ];
        for (selector, path, holds) in cases {
            let looks = Looks::read(&format!("{selector} {{ width: 7pt }}"));
            assert_eq!(width(&looks, path), holds.then_some(700), "{selector}");
        }
    }

    #[test]
    fn what_weighs_more_is_applied_later() {
        let looks = Looks::read("td.by { width: 1pt } .by { width: 2pt } td { width: 3pt }");
        assert_eq!(width(&looks, &[(seen("td", "by"), 1, None)]), Some(100));
        assert_eq!(width(&looks, &[(seen("th", "by"), 1, None)]), Some(200));
    }

    #[test]
    fn elements_of_one_kind_share_their_style() {
        let looks = Looks::read("td + td { width: 1pt }");
        let mut kinds = Kinds::new(&looks);
        let row = kinds.of(seen("tr", ""), None, (1, None));
        let cell = seen("td", "by");
        let first = kinds.of(cell, Some(row), (1, None));
        let second = kinds.of(cell, Some(row), (2, Some(cell)));
        let third = kinds.of(cell, Some(row), (3, Some(cell)));
        assert_ne!(first, second, "a rule tells them apart");
        assert_eq!(second, third);
    }
}
