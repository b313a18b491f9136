//! What is made of each formula: asked, grossed, split, weighed.

use super::{
    Load, Oracle, amount, big, ceil, left_after,
    load::{Asked, precision},
    whole,
};
use domain::{
    formula::{Base, Formula, LineAmount},
    product::{MakeUp, MakeUpAmount, Per},
};
use jiff::civil::Date;
use num_rational::BigRational;
use num_traits::{Signed, Zero};
use std::{collections::BTreeMap, rc::Rc};

/// What is taken of one thing over all loads, in grams or pieces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Issued {
    /// What.
    pub item: String,
    /// How much.
    pub amount: BigRational,
    /// Whether it is counted.
    pub counted: bool,
    /// Whether it is drawn from a batch made before.
    pub previous_batch: bool,
}

/// One formula made for one service date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    /// What is asked: grams, or batches.
    pub net: BigRational,
    /// What must come out of the bowls, in grams.
    pub gross: BigRational,
    /// Seed kept for the next build, in grams.
    pub keep_back: BigRational,
    /// Whole blocks.
    pub blocks: Option<i64>,
    /// Its loads, larger first.
    pub loads: Vec<Load>,
    /// What it takes.
    pub issued: Vec<Issued>,
    /// Pieces of each product in each load, if there are several loads.
    pub pieces_per_load: Vec<BTreeMap<String, i64>>,
}

/// A formula in the bowl, before it is split.
struct Mix {
    net: BigRational,
    gross: BigRational,
    keep_back: BigRational,
    steps: Option<(i64, BigRational)>,
}

impl<'a> Oracle<'a> {
    pub(super) fn made_for(&mut self, date: Date, formula: &'a Formula) -> Option<Rc<Made>> {
        let key = (date, formula.code.to_string());
        if let Some(found) = self.made.get(&key) {
            return found.clone();
        }
        let made = self.make(date, formula).map(Rc::new);
        self.made.insert(key, made.clone());
        made
    }

    fn make(&mut self, date: Date, formula: &'a Formula) -> Option<Made> {
        let (net, blocks_step) = self.asked(date, formula);
        if net.is_zero() {
            return None;
        }
        let mut ready = net.clone();
        for loss in &formula.losses {
            ready /= left_after(loss.percent);
        }
        if let Base::Blocks(blocks) = &formula.base {
            let ratio = big(blocks.percent) / whole(100);
            let sheet = amount(blocks.sheet_mass);
            let fat = &ready * &ratio / (whole(1) + &ratio);
            let count = ceil(&(fat / (&sheet * whole(blocks.step)))) * blocks.step;
            let issue = |item: &str, amount, counted| Issued {
                item: item.to_owned(),
                amount,
                counted,
                previous_batch: false,
            };
            let issued = vec![
                issue(blocks.base.as_str(), whole(count) * sheet / ratio, false),
                issue(blocks.sheet.as_str(), whole(count), true),
            ];
            return Some(Made {
                net,
                gross: ready,
                keep_back: whole(0),
                blocks: Some(count),
                loads: Vec::new(),
                issued,
                pieces_per_load: Vec::new(),
            });
        }
        let mix = match &formula.base {
            Base::PerBatch { step, .. } => {
                let count = ceil(&(ready / big(*step)));
                let one = self.bowl_of_batch(formula) * big(*step);
                let gross = &one * whole(count);
                Mix { net, gross, keep_back: whole(0), steps: Some((count, one)) }
            }
            _ => {
                let steps = blocks_step.map(|count| (count, &ready / whole(count)));
                Mix { net, gross: ready, keep_back: self.keep_back(date, formula), steps }
            }
        };
        Some(self.mixed(date, formula, mix))
    }

    fn mixed(&mut self, date: Date, formula: &'a Formula, mix: Mix) -> Made {
        let mut loads = Vec::new();
        for (count, steps, mass) in self.split(formula, &mix) {
            let asked = self.lines(formula, steps, &mass);
            loads.push(self.weigh(count, steps, mass, &asked));
        }
        let mut issued: Vec<Issued> = Vec::new();
        for load in &loads {
            for (line, weighed) in formula.lines.iter().zip(&load.lines) {
                let counted = weighed.division.is_none();
                let more = &weighed.weigh * whole(load.count);
                match issued.iter_mut().find(|one| {
                    one.item == weighed.item
                        && one.counted == counted
                        && one.previous_batch == line.previous_batch
                }) {
                    Some(one) => one.amount += more,
                    None => issued.push(Issued {
                        item: weighed.item.clone(),
                        amount: more,
                        counted,
                        previous_batch: line.previous_batch,
                    }),
                }
            }
        }
        let pieces_per_load = self.pieces_per_load(date, formula, &loads);
        let Mix { net, gross, keep_back, .. } = mix;
        Made { net, gross, keep_back, blocks: None, loads, issued, pieces_per_load }
    }

    /// What pieces and other formulas ask for; and the steps, if blocks ask for them.
    fn asked(&mut self, date: Date, formula: &'a Formula) -> (BigRational, Option<i64>) {
        let name = formula.code.as_str();
        let mut asked = whole(0);
        let makes = match &formula.base {
            Base::PerBatch { makes: Some(makes), .. } => amount(*makes),
            _ => whole(1),
        };
        for product in self.products() {
            let pieces = self.pieces_of(date, product);
            for line in &product.make_up {
                let MakeUp::Item { item, amount: MakeUpAmount::Amount(each), per, .. } = line
                else {
                    continue;
                };
                if item.as_str() == name {
                    let times = match per {
                        Per::Piece => pieces.start,
                        Per::Tray => pieces.trays.unwrap_or(0),
                    };
                    asked += self.piece_mass(product, name, *each) * whole(times) / &makes;
                }
            }
        }
        let mut steps = None;
        for user in &self.world.draft.formulas {
            let takes = match &user.base {
                Base::Blocks(blocks) => blocks.base == formula.code,
                _ => {
                    user.lines.iter().any(|line| line.item == formula.code && !line.previous_batch)
                }
            };
            if !takes {
                continue;
            }
            let Some(made) = self.made_for(date, user) else { continue };
            for issue in made.issued.iter().filter(|one| one.item == name && !one.previous_batch) {
                asked += &issue.amount / &makes;
            }
            if let (Base::Blocks(blocks), Some(count)) = (&user.base, made.blocks) {
                steps = Some(count / blocks.step);
            }
        }
        (asked, steps)
    }

    /// Mass of one batch in the bowl, in grams.
    fn bowl_of_batch(&self, formula: &Formula) -> BigRational {
        let in_bowl = formula.lines.iter().filter(|line| line.in_bowl);
        in_bowl
            .map(|line| match line.amount {
                LineAmount::Amount(quantity) => self.grams(line.item.as_str(), quantity),
                _ => whole(0),
            })
            .sum()
    }

    /// The exact seed of the next build, or what the last build keeps.
    fn keep_back(&mut self, date: Date, formula: &'a Formula) -> BigRational {
        let Some(after_last) = formula.keep_back_after_last else { return whole(0) };
        let later: Vec<Date> = self.dates.iter().copied().filter(|&day| day > date).collect();
        for day in later {
            if let Some(next) = self.made_for(day, formula) {
                let mass: BigRational =
                    next.loads.iter().map(|load| &load.mass * whole(load.count)).sum();
                let (seed, sum) = seed_parts(formula);
                return mass * seed / sum;
            }
        }
        amount(after_last)
    }

    /// The fewest loads whose largest fits: count, steps in each, mass of each.
    fn split(&self, formula: &Formula, mix: &Mix) -> Vec<(i64, Option<i64>, BigRational)> {
        let grams = |micrograms: i64| whole(micrograms) / whole(1_000_000);
        let mixer = formula
            .mixer
            .as_ref()
            .and_then(|code| self.world.draft.mixers.iter().find(|mixer| mixer.code == *code));
        let class = formula.dough_class.as_deref().unwrap_or_default();
        let residue = match (&formula.base, mixer) {
            (Base::PerBatch { .. }, _) | (_, None) => whole(0),
            (_, Some(mixer)) => grams(mixer.residue_ug),
        };
        let most = mixer.and_then(|mixer| mixer.maximum_ug(class)).map(grams);
        let fits = |mass: &BigRational| most.as_ref().is_none_or(|most| mass <= most);
        for n in 1_i64.. {
            match &mix.steps {
                None => {
                    let mass = (&mix.gross + &mix.keep_back) / whole(n) + &residue;
                    if fits(&mass) {
                        return vec![(n, None, mass)];
                    }
                }
                Some((steps, one)) => {
                    let (least, larger) = (steps / n, steps % n);
                    let mass = |steps: i64| one * whole(steps) + &residue;
                    if !fits(&mass(least + i64::from(larger > 0))) {
                        continue;
                    }
                    let mut groups = Vec::new();
                    if larger > 0 {
                        groups.push((larger, Some(least + 1), mass(least + 1)));
                    }
                    groups.push((n - larger, Some(least), mass(least)));
                    return groups;
                }
            }
        }
        Vec::new()
    }

    /// Exact lines of one load.
    fn lines(&self, formula: &Formula, steps: Option<i64>, mass: &BigRational) -> Vec<Asked> {
        let (_, sum) = seed_parts(formula);
        let exact = |line: &domain::formula::Line| match (line.amount, &formula.base) {
            (LineAmount::Amount(quantity), Base::PerBatch { step, .. }) => {
                let (one, counted) = self.per_batch(line.item.as_str(), quantity);
                (one * big(*step) * whole(steps.unwrap_or(0)), counted)
            }
            (LineAmount::Parts(parts), _) => (mass * big(parts) / &sum, false),
            _ => unreachable!("seeded formulas are by parts or by the batch"),
        };
        formula
            .lines
            .iter()
            .map(|line| {
                let (exact, counted) = exact(line);
                Asked {
                    item: line.item.to_string(),
                    exact,
                    precision_percent: precision(line),
                    counted,
                    flour: line.flour,
                    in_bowl: line.in_bowl,
                }
            })
            .collect()
    }

    /// Pieces over loads: floors first, then spare pieces, heaviest to the lightest load.
    fn pieces_per_load(
        &mut self,
        date: Date,
        formula: &Formula,
        loads: &[Load],
    ) -> Vec<BTreeMap<String, i64>> {
        let count: i64 = loads.iter().map(|load| load.count).sum();
        let mut products = Vec::new();
        for product in self.products() {
            let pieces = self.pieces_of(date, product).start;
            let mut mass = whole(0);
            for line in &product.make_up {
                if let MakeUp::Item { item, amount: MakeUpAmount::Amount(each), .. } = line
                    && *item == formula.code
                {
                    mass += self.piece_mass(product, item.as_str(), *each);
                }
            }
            let divided = product.dough.as_ref() == Some(&formula.code);
            if divided && pieces > 0 && mass.is_positive() {
                products.push((product.code.to_string(), pieces, mass));
            }
        }
        if count < 2 || products.is_empty() {
            return Vec::new();
        }
        let mut over = vec![(BTreeMap::new(), whole(0)); usize::try_from(count).unwrap_or(0)];
        for (code, pieces, mass) in &products {
            for (held, weight) in &mut over {
                held.insert(code.clone(), pieces / count);
                *weight += mass * whole(pieces / count);
            }
        }
        // Stable: equal weights stay in listed order.
        products.sort_by(|a, b| b.2.cmp(&a.2));
        for (code, pieces, mass) in &products {
            for _ in 0..pieces % count {
                let mut lightest: Option<usize> = None;
                for at in 0..over.len() {
                    let open = over[at].0[code] == pieces / count;
                    if open && lightest.is_none_or(|held| over[at].1 < over[held].1) {
                        lightest = Some(at);
                    }
                }
                if let Some((held, weight)) = lightest.map(|at| &mut over[at]) {
                    *held.entry(code.clone()).or_default() += 1;
                    *weight += mass;
                }
            }
        }
        over.into_iter().map(|(held, _)| held).collect()
    }
}

/// Parts of the seed from the batch before, and of all lines.
fn seed_parts(formula: &Formula) -> (BigRational, BigRational) {
    let (mut seed, mut sum) = (whole(0), whole(0));
    for line in &formula.lines {
        if let LineAmount::Parts(parts) = line.amount {
            sum += big(parts);
            if line.previous_batch {
                seed += big(parts);
            }
        }
    }
    (seed, sum)
}
