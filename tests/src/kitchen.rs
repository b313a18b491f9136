//! One service date of a small bakery, planned by the domain and read in grams.

use crate::house::{House, code};
use anyhow::{Context, Result};
use domain::{
    bakery::Bakery,
    book::Book,
    order::{OrderLine, Wanted},
    plan::{Batch, Plan, PlanInput, plan},
    quantity::MICRO,
    ratio::Ratio,
    weigh,
};
use jiff::{Timestamp, civil::Date};
use num_bigint::BigInt;
use num_rational::BigRational;

/// The service date on which everything is ordered.
pub const SERVICE_DATE: Date = jiff::civil::date(2026, 11, 26);

/// A planned bakery.
#[derive(Debug)]
pub struct Kitchen {
    /// Its reference data.
    pub bakery: Bakery,
    /// What its orders need.
    pub plan: Plan,
}

/// Millionths as whole units, exactly.
fn base(micro: &BigRational) -> BigRational {
    micro / BigRational::from_integer(BigInt::from(MICRO))
}

impl Kitchen {
    /// Opens a house and plans pieces of its products.
    ///
    /// # Errors
    /// The house has faults, or the plan cannot be computed.
    pub fn order(house: House, pieces: &[(&str, i64)]) -> Result<Self> {
        let bakery = house.open()?;
        let mut orders = Vec::new();
        for (product, pieces) in pieces {
            orders.push(OrderLine {
                customer: code("till")?,
                service_date: SERVICE_DATE,
                product: code(product)?,
                pieces: *pieces,
                drop: None,
                taken_at: None,
                wanted: Wanted::Ordered,
            });
        }
        let book = Book { orders, service_dates: vec![SERVICE_DATE], ..Book::default() };
        let now: Timestamp = "2026-11-25T00:00:00Z".parse()?;
        let plan = plan(&bakery, &book, PlanInput { now, until: SERVICE_DATE })?;
        Ok(Self { bakery, plan })
    }

    /// Plans one mix of a formula, of a stated mass.
    ///
    /// # Errors
    /// The house has faults, or the plan cannot be computed.
    pub fn mix(house: House, formula: &str, mass: &str) -> Result<Self> {
        Self::order(house.product("all-of-it", &[(formula, mass)])?, &[("all-of-it", 1)])
    }

    /// The position of an item.
    ///
    /// # Errors
    /// There is none of that name.
    pub fn item(&self, name: &str) -> Result<u32> {
        self.bakery.index().item(name).with_context(|| format!("there is no item `{name}`"))
    }

    fn batch(&self, formula: &str) -> Result<&Batch> {
        let batch = self.plan.batch(SERVICE_DATE, self.item(formula)?);
        batch.with_context(|| format!("no batch of `{formula}`"))
    }

    /// Grams of a formula that must be made, its losses included.
    ///
    /// # Errors
    /// It is not made at all.
    pub fn gross(&self, formula: &str) -> Result<BigRational> {
        Ok(base(&self.batch(formula)?.gross.to_big()))
    }

    /// Exact grams (or pieces) of an item over all loads of a formula.
    ///
    /// # Errors
    /// The formula is not made, or does not take the item.
    pub fn exact(&self, formula: &str, item: &str) -> Result<BigRational> {
        let (batch, item_at) = (self.batch(formula)?, self.item(item)?);
        let mut sum = None;
        for group in &batch.groups {
            for (line, _) in self.plan.lines_of(&self.bakery, batch, group) {
                if line.item == item_at {
                    let one = weigh::exact(line, group.factor)?;
                    let all = one.times(Ratio::whole(group.group.loads.into()))?.to_big();
                    sum = Some(sum.unwrap_or_default() + all);
                }
            }
        }
        Ok(base(&sum.with_context(|| format!("`{formula}` takes no `{item}`"))?))
    }

    /// Grams of an item as weighed over all loads of a formula.
    ///
    /// # Errors
    /// The formula is not made, or does not take the item.
    pub fn weighed(&self, formula: &str, item: &str) -> Result<BigRational> {
        let (batch, item_at) = (self.batch(formula)?, self.item(item)?);
        let issue = batch.issues.iter().find(|issue| issue.item == item_at);
        let issue = issue.with_context(|| format!("`{formula}` takes no `{item}`"))?;
        Ok(base(&issue.micro.to_big()))
    }

    /// Percent of all flour that an item is, with sub-formulas dissolved.
    ///
    /// # Errors
    /// The formula is not made here, or nothing of the item is in it.
    pub fn overall_percent(&self, formula: &str, item: &str) -> Result<BigRational> {
        let (formula_at, item_at) = (self.item(formula)?, self.item(item)?);
        let recipes = self.bakery.recipes(SERVICE_DATE);
        let views = self.bakery.views(recipes, formula_at);
        let views = views.with_context(|| format!("`{formula}` has no views"))?;
        let found = views.overall.into_iter().find(|(item, _)| *item == item_at);
        let (_, parts) = found.with_context(|| format!("`{formula}` has no `{item}` in it"))?;
        Ok(parts * BigRational::from_integer(BigInt::from(100)) / views.flour_parts)
    }

    /// Percent of all flour that is fermented ahead.
    ///
    /// # Errors
    /// The formula is not made here.
    pub fn prefermented_percent(&self, formula: &str) -> Result<BigRational> {
        let recipes = self.bakery.recipes(SERVICE_DATE);
        let views = self.bakery.views(recipes, self.item(formula)?);
        let views = views.with_context(|| format!("`{formula}` has no views"))?;
        let hundred = BigRational::from_integer(BigInt::from(100));
        Ok(views.prefermented * hundred / views.flour_parts)
    }

    /// The formula sum, in parts as written.
    ///
    /// # Errors
    /// The formula is not made here.
    pub fn formula_sum(&self, formula: &str) -> Result<BigRational> {
        let recipes = self.bakery.recipes(SERVICE_DATE);
        let views = self.bakery.views(recipes, self.item(formula)?);
        let views = views.with_context(|| format!("`{formula}` has no views"))?;
        Ok(views.final_mix.into_iter().map(|(_, parts)| parts).sum())
    }
}
