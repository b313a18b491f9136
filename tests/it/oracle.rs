//! The fast plan against the slow model, over seeded random bakeries.

use domain::{
    bakery::{Bakery, Driver},
    plan::{Batch, BatchGroup, NeedUser, Plan, PlanInput, plan},
    quantity::MICRO,
    ratio::Ratio,
    weigh,
};
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::Zero;
use std::{collections::BTreeMap, fmt::Debug};
use weighhouse_tests::{
    builders::{World, world},
    oracle::{Answer, Load, Made, Need, Oracle},
};

/// Seeds that are compared; each is another bakery.
const SEEDS: std::ops::Range<u64> = 1..201;

/// Millionths of a base unit as an exact number of base units.
fn base(micro: Ratio) -> BigRational {
    BigRational::new(
        BigInt::from(micro.numerator()),
        BigInt::from(micro.denominator()) * BigInt::from(MICRO),
    )
}

fn base_micro(micro: i64) -> BigRational {
    BigRational::new(BigInt::from(micro), BigInt::from(MICRO))
}

/// What differs in one world, and how much was compared.
struct Comparison<'a> {
    world: &'a World,
    bakery: Bakery,
    plan: Plan,
    slow: Answer,
    figures: usize,
    differences: Vec<String>,
}

impl Comparison<'_> {
    fn same<T: PartialEq + Debug>(&mut self, what: &str, fast: &T, slow: &T) {
        self.figures += 1;
        if fast != slow {
            self.differences.push(format!("{what}: plan {fast:?}, model {slow:?}"));
        }
    }

    fn pieces(&mut self) {
        let mut fast: BTreeMap<_, _> = BTreeMap::new();
        for line in &self.plan.demand.pieces {
            let code = self.bakery.product(line.product).code.to_string();
            fast.insert(
                (line.service_date, code),
                (line.net, line.good_planned, line.start, line.trays.unwrap_or(0)),
            );
        }
        for (key, slow) in std::mem::take(&mut self.slow.pieces) {
            // Where nothing is asked, the plan may say nothing.
            let found = fast.remove(&key).unwrap_or_default();
            let slow = (slow.net, slow.good, slow.start, slow.trays.unwrap_or(0));
            self.same(&format!("pieces {key:?}"), &found, &slow);
        }
        self.same("pieces beyond the model", &fast, &BTreeMap::new());
    }

    fn batches(&mut self) {
        let batches = std::mem::take(&mut self.plan.batches);
        let mut slow = std::mem::take(&mut self.slow.made);
        for batch in &batches {
            let code = self.bakery.item(batch.item).code.to_string();
            let name = format!("{code} for {}", batch.service_date);
            match slow.remove(&(batch.service_date, code)) {
                Some(made) => self.batch(&name, batch, &made),
                None => self.differences.push(format!("{name}: not in the model")),
            }
        }
        let missing: Vec<_> = slow.into_keys().collect();
        self.same("batches missing in the plan", &Vec::new(), &missing);
    }

    fn batch(&mut self, name: &str, batch: &Batch, made: &Made) {
        let driver = self.bakery.recipes(batch.service_date).recipes[batch.recipe as usize].driver;
        let by_batch = matches!(driver, Driver::Batch { .. });
        let net =
            if by_batch { base(batch.net) * base_micro(MICRO * MICRO) } else { base(batch.net) };
        self.same(&format!("{name} net"), &net, &made.net);
        self.same(&format!("{name} gross"), &base(batch.gross), &made.gross);
        self.same(&format!("{name} keep-back"), &base(batch.keep_back), &made.keep_back);
        self.same(&format!("{name} blocks"), &batch.blocks, &made.blocks);
        self.same(&format!("{name} load sizes"), &batch.groups.len(), &made.loads.len());
        for (number, (group, load)) in batch.groups.iter().zip(&made.loads).enumerate() {
            self.load(&format!("{name} load size {number}"), batch, group, load);
        }
        let mut issues: BTreeMap<_, BigRational> = BTreeMap::new();
        for issue in &batch.issues {
            let item = self.bakery.item(issue.item).code.to_string();
            issues.insert((item, issue.counted, issue.previous_batch), base(issue.micro));
        }
        let slow: BTreeMap<_, _> = made
            .issued
            .iter()
            .map(|one| ((one.item.clone(), one.counted, one.previous_batch), one.amount.clone()))
            .collect();
        self.same(&format!("{name} issues"), &issues, &slow);
        let pieces: Vec<BTreeMap<String, i64>> = batch
            .pieces_per_load
            .iter()
            .map(|load| {
                let named = |&(product, pieces): &(u32, i64)| {
                    (self.bakery.product(product).code.to_string(), pieces)
                };
                load.pieces.iter().map(named).collect()
            })
            .collect();
        self.same(&format!("{name} pieces per load"), &pieces, &made.pieces_per_load);
    }

    fn load(&mut self, name: &str, batch: &Batch, group: &BatchGroup, load: &Load) {
        self.same(&format!("{name} count"), &group.group.loads, &load.count);
        self.same(&format!("{name} steps"), &group.group.steps, &load.steps);
        self.same(&format!("{name} mass"), &base(group.group.mass), &load.mass);
        self.same(&format!("{name} sum"), &base_micro(group.sum_ug), &load.sum);
        self.same(&format!("{name} tolerance"), &group.within_tolerance, &load.within_tolerance);
        self.same(&format!("{name} hydration"), &group.hydration_moved, &load.hydration_moved);
        let fast: Vec<_> = self
            .plan
            .lines_of(&self.bakery, batch, group)
            .map(|(line, weighed)| {
                let exact = weigh::exact(line, group.factor).expect("within i128");
                let item = self.bakery.item(line.item).code.to_string();
                (item, base(exact), base_micro(weighed.micro), weighed.state)
            })
            .collect();
        let slow: Vec<_> = load
            .lines
            .iter()
            .map(|line| (line.item.clone(), line.exact.clone(), line.weigh.clone(), line.state))
            .collect();
        self.same(&format!("{name} lines"), &fast, &slow);
        self.figures += slow.len();
    }

    fn needs(&mut self) {
        let mut fast: BTreeMap<Need, BigRational> = BTreeMap::new();
        for need in &self.plan.needs {
            let user = match need.user {
                NeedUser::Formula(item) => self.bakery.item(item).code.to_string(),
                NeedUser::Product(product) => self.bakery.product(product).code.to_string(),
            };
            let item = self.bakery.item(need.item).code.to_string();
            let key = Need { at: need.at, item, user, service_date: need.service_date };
            *fast.entry(key).or_insert_with(BigRational::zero) += base_micro(need.micro);
        }
        let slow = std::mem::take(&mut self.slow.needs);
        for (need, amount) in &slow {
            let found = fast.remove(need);
            self.same(&format!("{need:?}"), &found, &Some(amount.clone()));
        }
        self.same("needs beyond the model", &fast, &BTreeMap::new());
        let fast: BTreeMap<_, _> = self
            .plan
            .fruits
            .iter()
            .map(|line| {
                let code = self.bakery.item(line.fruit).code.to_string();
                ((code, line.service_date), line.fruits)
            })
            .collect();
        let slow = std::mem::take(&mut self.slow.fruits);
        self.same("fruits", &fast, &slow);
    }
}

/// Compares one world; returns the number of figures and what differs.
fn compare(world: &World) -> (usize, Vec<String>) {
    let bakery = match Bakery::new(world.draft.clone()) {
        Ok(bakery) => bakery,
        Err(faults) => {
            return (0, faults.iter().map(|fault| format!("refused: {fault}")).collect());
        }
    };
    let input = PlanInput { now: world.now, until: world.until };
    let plan = match plan(&bakery, &world.book, input) {
        Ok(plan) => plan,
        Err(error) => return (0, vec![format!("no plan: {error}")]),
    };
    let slow = Oracle::new(world).answer();
    let mut comparison =
        Comparison { world, bakery, plan, slow, figures: 0, differences: Vec::new() };
    let dates = comparison.world.book.service_dates.clone();
    let planned = comparison.plan.dates.clone();
    comparison.same("service dates", &planned, &dates);
    comparison.pieces();
    comparison.batches();
    comparison.needs();
    (comparison.figures, comparison.differences)
}

#[test]
fn the_plan_agrees_with_the_slow_model_in_every_seeded_bakery() {
    let mut failed = Vec::new();
    let mut figures = 0;
    for seed in SEEDS {
        let (compared, differences) = compare(&world(seed));
        figures += compared;
        if let Some(first) = differences.first() {
            let rest = differences.len() - 1;
            failed.push(format!("seed {seed}: {first}\n  and {rest} more in `world({seed})`"));
        }
    }
    assert!(
        failed.is_empty(),
        "{} of {} bakeries differ:\n{}",
        failed.len(),
        SEEDS.end - SEEDS.start,
        failed.join("\n")
    );
    assert!(figures > 50_000, "only {figures} figures were compared: the bakeries are too small");
}
