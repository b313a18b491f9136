//! A person with a calculator: every step of a chain computed again from its own inputs.

use anyhow::{Context, Result, bail, ensure};
use num_rational::BigRational;
use num_traits::Zero;
use serde_json::Value;
use std::collections::BTreeMap;
use weighhouse_tests::{
    client::Client,
    exact::{decimal, parse, whole},
};

/// Follows chains and computes their steps.
pub struct Calculator<'a> {
    client: &'a Client,
    /// Chains that were computed, with their last result.
    pub seen: BTreeMap<String, BigRational>,
    /// Steps that were computed.
    pub steps: usize,
}

/// The inputs of a step, exactly, by name.
struct Inputs {
    rule: String,
    values: Vec<(String, BigRational)>,
}

impl Inputs {
    fn read(step: &Value) -> Result<Self> {
        let rule = step["rule"].as_str().context("a step has a rule")?.to_owned();
        let mut values = Vec::new();
        for input in step["inputs"].as_array().context("a step has inputs")? {
            let name = input["name"].as_str().context("an input has a name")?;
            values.push((name.to_owned(), number(input, "value")?));
        }
        Ok(Self { rule, values })
    }

    /// The value whose name is, or starts with, a text.
    fn get(&self, name: &str) -> Result<&BigRational> {
        self.maybe(name).with_context(|| format!("`{}` has no input `{name}`", self.rule))
    }

    fn maybe(&self, name: &str) -> Option<&BigRational> {
        let named = |wanted: &dyn Fn(&str) -> bool| {
            self.values.iter().find(|(found, _)| wanted(found)).map(|(_, value)| value)
        };
        named(&|found| found == name).or_else(|| named(&|found| found.starts_with(name)))
    }

    fn sum(&self) -> BigRational {
        self.values.iter().map(|(_, value)| value.clone()).sum()
    }

    /// The only value beside those of some names.
    fn beside(&self, names: &[&str]) -> Result<&BigRational> {
        let mut others = self.values.iter().filter(|(name, _)| !names.contains(&name.as_str()));
        match (others.next(), others.next()) {
            (Some((_, value)), None) => Ok(value),
            _ => bail!("`{}` has not one input beside {names:?}", self.rule),
        }
    }
}

/// A number of a chain: its fraction if it does not end, else its decimal.
fn number(part: &Value, key: &str) -> Result<BigRational> {
    let text = part["fraction"].as_str().or_else(|| part[key].as_str());
    parse(text.with_context(|| format!("no number `{key}` in {part}"))?)
}

fn kept(percent: &BigRational) -> BigRational {
    whole(1) - percent / whole(100)
}

fn half_up(value: &BigRational) -> BigRational {
    (value + BigRational::new(1.into(), 2.into())).floor()
}

impl<'a> Calculator<'a> {
    /// A calculator that asks a server for its chains.
    pub const fn new(client: &'a Client) -> Self {
        Self { client, seen: BTreeMap::new(), steps: 0 }
    }

    /// Computes a chain and everything it leans on; gives its last result.
    ///
    /// # Errors
    /// A step comes out otherwise, or its rule cannot be computed from what it shows.
    pub fn follow(&mut self, link: &str) -> Result<BigRational> {
        if let Some(done) = self.seen.get(link) {
            return Ok(done.clone());
        }
        let chain = self.client.get(link)?.success().with_context(|| link.to_owned())?;
        ensure!(chain["of"] == link, "{link} answers for {}", chain["of"]);
        let mut last = None;
        for step in chain["steps"].as_array().context("a chain has steps")? {
            let inputs = Inputs::read(step)?;
            let shown = number(step, "result")?;
            let found = compute(&inputs).with_context(|| format!("{link}: {step}"))?;
            ensure!(
                found.as_ref().is_none_or(|found| *found == shown),
                "{link}: `{}` gives {:?}, the chain says {}",
                inputs.rule,
                found.map(|found| decimal(&found, 9)),
                decimal(&shown, 9)
            );
            self.steps += 1;
            last = Some(shown);
        }
        let last = last.with_context(|| format!("{link} has no steps"))?;
        ensure!(
            number(&chain["result"], "value")? == last,
            "{link}: its result is its last step's"
        );
        self.seen.insert(link.to_owned(), last.clone());
        for because in chain["because"].as_array().into_iter().flatten() {
            self.follow(because.as_str().context("a link")?)?;
        }
        Ok(last)
    }
}

/// Rules that only add up.
const SUMS: [&str; 9] = [
    "orders of",
    "net pieces",
    "asked",
    "seed of the next build",
    "good pieces: net plus",
    "whole fruits",
    "released loads give",
    "kept as it was released",
    "all that leaves stock",
];

/// What a rule makes of its inputs; none for a rule that only names a choice.
fn compute(inputs: &Inputs) -> Result<Option<BigRational>> {
    let get = |name: &str| inputs.get(name);
    let rule = inputs.rule.as_str();
    let starts = |text: &str| rule.starts_with(text);
    Ok(Some(if SUMS.iter().any(|sum| starts(sum)) {
        inputs.sum()
    } else if starts("good pieces rounded up") {
        let pack = get("pack")?;
        (get("net")? / pack).ceil() * pack
    } else if starts("start pieces: net / (1 - rejects), rounded up to whole trays") {
        let pieces = (get("net")? / kept(get("rejects")?)).ceil();
        let tray = get("tray")?;
        (pieces / tray).ceil() * tray
    } else if starts("start pieces: what was set by hand") {
        get("set by")?.clone()
    } else if starts("loads: what was set by hand") {
        get("set by")? - get("released")?
    } else if starts("left: to be made less released") {
        get("to be made")? - get("released")?
    } else if starts("no more loads") {
        whole(0)
    } else if starts("raised by a person") {
        (get("least in")? - get("residue")?) * get("loads")?
    } else if starts("start pieces: net") {
        (get("net")? / kept(get("rejects")?)).ceil()
    } else if starts("start pieces: good") {
        (get("good pieces")? / kept(get("rejects")?)).ceil()
    } else if starts("trays") {
        (get("start pieces")? / get("pieces on a tray")?).ceil()
    } else if starts("a loss divides") {
        get("before")? / kept(inputs.beside(&["before"])?)
    } else if starts("whole steps") {
        let step = get("smallest part")?;
        (get("batches")? / step).ceil() * step * get("one batch in the bowl")?
    } else if starts("whole blocks") {
        let ratio = get("fat over")?;
        let together = get("blocks made together")?;
        let fat = get("laminated dough")? * ratio / (whole(1) + ratio);
        (fat / (get("one sheet")? * together)).ceil() * together
    } else if starts("fewest loads") {
        return fewest(inputs);
    } else if starts("mass of one load") {
        match inputs.maybe("whole steps in this load") {
            // Whole steps differ from load to load: their own mass is a step before.
            Some(_) => return Ok(None),
            None => get("to mix")? / get("loads")? + get("residue")?,
        }
    } else if starts("its share of the load") {
        match inputs.maybe("in one batch") {
            Some(each) => each * get("batches")?,
            None => get("load")? * get("its parts")? / get("all parts")?,
        }
    } else if starts("to the nearest division") {
        return weighed(inputs);
    } else if starts("issued") {
        get("one load as weighed")? * get("loads of this size")?
    } else if starts("what leaves stock") {
        return drawn(inputs);
    } else if starts("still to take") {
        inputs.beside(&["spare of earlier fruits"])? - get("spare of earlier fruits")?
    } else if starts("fruits to cut") {
        let fruits = (get("still to take")? / get("in one fruit")?).ceil();
        (fruits - get("fruits cut before")?).max(whole(0))
    } else if starts("counted") || starts("its amount for each piece") {
        // The amount for one stands in the formula or product, not in the chain.
        return Ok(None);
    } else {
        bail!("a person cannot compute the rule `{rule}`")
    }))
}

/// The smallest number of loads that fit.
fn fewest(inputs: &Inputs) -> Result<Option<BigRational>> {
    let (mass, residue) = (inputs.get("to mix")?, inputs.get("residue")?);
    let Some(most) = inputs.maybe("most in") else {
        return Ok(Some(if mass.is_zero() { whole(0) } else { whole(1) }));
    };
    ensure!(most > residue, "nothing fits: {}", inputs.rule);
    let loads = (mass / (most - residue)).ceil();
    Ok(Some(loads))
}

/// The nearest division; a moved flour line is some divisions beside it.
fn weighed(inputs: &Inputs) -> Result<Option<BigRational>> {
    let exact = inputs.get("exact")?;
    let Some(division) = inputs.maybe("division of") else { return Ok(Some(exact.clone())) };
    if inputs.rule.contains("moved") {
        return Ok(None);
    }
    Ok(Some(half_up(&(exact / division)) * division))
}

/// What stock gives up for what was weighed.
fn drawn(inputs: &Inputs) -> Result<Option<BigRational>> {
    let Some(issue) = inputs.maybe("weighed or counted") else { return Ok(None) };
    let each = inputs.maybe("grams in one each");
    let litre = inputs.maybe("grams in one mL");
    let mass = match inputs.maybe("weighing loss") {
        // Rounded half up to a tenth of a gram.
        Some(loss) => half_up(&(issue / kept(loss) * whole(10))) / whole(10),
        None => issue.clone(),
    };
    Ok(match (each, litre) {
        (Some(grams), _) => Some((mass / grams).ceil()),
        (None, Some(_)) => None,
        (None, None) => Some(mass),
    })
}
