//! Questions about a morning, by the names that people use.

use super::{Morning, refused};
use crate::service::Refusal;
use domain::{
    allergens::{Allergens, Swaps, allergens},
    bakery::{Bakery, Views},
    calendar,
    id::Code,
    plan::{
        NeedUser, Trial,
        statement::{Statement, statement},
        trial,
        why::{Why, WhyOf, why},
    },
    regulation::Regulation,
    supplier::Supplier,
};
use jiff::{Timestamp, civil::Date};

/// A number of a plan by its names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NumberOf {
    /// The start pieces of a product.
    Pieces {
        /// Its code.
        product: String,
    },
    /// The batch of a formula.
    Batch {
        /// Its code.
        formula: String,
    },
    /// A line of a load.
    Line {
        /// The formula's code.
        formula: String,
        /// Which load, counted from 1.
        load: i64,
        /// The code of what is taken.
        item: String,
    },
    /// A topping of a product.
    Topping {
        /// The product's code.
        product: String,
        /// The code of what is taken.
        item: String,
    },
    /// A draw on stock.
    Need {
        /// The code of the formula or product that takes it.
        user: String,
        /// The code of what is taken.
        item: String,
    },
}

/// One product and drop that were asked about.
#[derive(Debug)]
pub struct Asked {
    /// Position of the product.
    pub product: u32,
    /// The drop.
    pub drop: Timestamp,
    /// Its times, or why it has none.
    pub trial: Trial,
}

/// The regulation that is asked for, else the one that the site follows; else the first known
/// one, and whether that is only so because nobody set one.
///
/// # Errors
/// [`Refusal::Unknown`]
pub(in crate::service) fn regulation<'b>(
    bakery: &'b Bakery,
    asked: Option<&str>,
) -> Result<(&'b Regulation, bool), Refusal> {
    let set = bakery.site().regulation.as_ref().map(Code::as_str);
    let all = &bakery.lists().regulations;
    let found = match asked.or(set) {
        Some(code) => all.iter().find(|one| one.code.as_str() == code),
        None => all.first(),
    };
    let unknown = || {
        let code = asked.or(set).unwrap_or_default().to_owned();
        Refusal::Unknown { noun: "regulation", code }
    };
    Ok((found.ok_or_else(unknown)?, asked.or(set).is_none()))
}

impl Morning {
    /// The chain behind a number for a service date.
    ///
    /// # Errors
    /// [`Refusal::Unknown`] if a code is unknown or the plan has no such number.
    pub fn why(&self, date: Date, of: &NumberOf) -> Result<Why, Refusal> {
        let found = match of {
            NumberOf::Pieces { product } => WhyOf::Pieces(date, self.product(product)?),
            NumberOf::Batch { formula } => WhyOf::Batch(date, self.item("formula", formula)?),
            NumberOf::Line { formula, load, item } => {
                let (made, taken) = (self.item("formula", formula)?, self.item("item", item)?);
                WhyOf::Line(date, made, *load, taken)
            }
            NumberOf::Topping { product, item } => {
                WhyOf::Topping(date, self.product(product)?, self.item("item", item)?)
            }
            NumberOf::Need { user, item } => {
                // Products and formulas share one space of codes.
                let by = match self.bakery.index().product(user) {
                    Some(product) => NeedUser::Product(product),
                    None => NeedUser::Formula(self.item("formula or product", user)?),
                };
                WhyOf::Need(date, by, self.item("item", item)?)
            }
        };
        let chain = why(&self.bakery, &self.plan, found).map_err(refused)?;
        chain.ok_or_else(|| Refusal::Stated {
            slug: "not-found",
            detail: format!("the plan for {date} has no such number: look at its requirements"),
        })
    }

    /// The allergens of a product today, with some items used instead of others.
    ///
    /// # Errors
    /// [`Refusal`] names what is unknown.
    pub fn allergens(&self, product: &str, swap: &str) -> Result<Allergens, Refusal> {
        let product = self.product(product)?;
        let recipes = self.bakery.recipes(self.today());
        Ok(allergens(&self.bakery, recipes, product, &self.swaps(swap)?))
    }

    /// Items used instead of others, from `from:to` pairs joined by commas.
    ///
    /// # Errors
    /// [`Refusal`] names what is unknown.
    pub fn swaps(&self, swap: &str) -> Result<Swaps, Refusal> {
        let mut swaps = Swaps::new();
        for pair in swap.split(',').filter(|pair| !pair.is_empty()) {
            let Some((from, to)) = pair.split_once(':') else {
                return Err(Refusal::Stated {
                    slug: "invalid-query",
                    detail: format!("swap takes `from:to` pairs joined by commas, not `{pair}`"),
                });
            };
            swaps.entry(self.item("item", from)?).or_default().push(self.item("item", to)?);
        }
        Ok(swaps)
    }

    /// The regulation that is asked for, else the one that the site follows; else the first
    /// known one, and whether that is only so because nobody set one.
    ///
    /// # Errors
    /// [`Refusal::Unknown`]
    pub fn regulation(&self, asked: Option<&str>) -> Result<(&Regulation, bool), Refusal> {
        regulation(&self.bakery, asked)
    }

    /// What a product says of itself today, by a regulation.
    ///
    /// # Errors
    /// [`Refusal::Unknown`]
    pub fn statement(&self, product: &str, regulation: &Regulation) -> Result<Statement, Refusal> {
        let product = self.product(product)?;
        let recipes = self.bakery.recipes(self.today());
        Ok(statement(&self.bakery, recipes, product, regulation))
    }

    /// A supplier by its code.
    ///
    /// # Errors
    /// [`Refusal::Unknown`]
    pub fn supplier(&self, code: &str) -> Result<&Supplier, Refusal> {
        let found = self.bakery.index().supplier(code);
        found
            .map(|at| &self.bakery.lists().suppliers[at as usize])
            .ok_or_else(|| Refusal::Unknown { noun: "supplier", code: code.to_owned() })
    }

    /// The views of the formula version that holds today.
    ///
    /// # Errors
    /// [`Refusal::Unknown`] if no formula has the code.
    pub fn views(&self, formula: &str) -> Result<Views, Refusal> {
        let item = self.item("formula", formula)?;
        let views = self.bakery.views(self.bakery.recipes(self.today()), item);
        views.ok_or_else(|| Refusal::Unknown { noun: "formula", code: formula.to_owned() })
    }

    /// The times of one product for a drop that is asked about; none if nothing is asked.
    ///
    /// # Errors
    /// [`Refusal`] names what is unknown or not said.
    pub fn schedule_of(
        &self,
        date: Date,
        product: Option<&str>,
        drop: Option<&str>,
    ) -> Result<Option<Asked>, Refusal> {
        let invalid = |detail: String| Refusal::Stated { slug: "invalid-query", detail };
        let (product, drop) = match (product, drop) {
            (None, None) => return Ok(None),
            (Some(product), Some(drop)) => (self.product(product)?, drop),
            _ => return Err(invalid("product and drop are asked for together".to_owned())),
        };
        let time = drop
            .parse()
            .map_err(|_| invalid(format!("drop takes a local time such as 07:00, not `{drop}`")))?;
        let zone = &self.bakery.site().time_zone;
        let drop = calendar::instant(zone, date, time).map_err(refused)?;
        let trial = trial(&self.bakery, &self.plan, (product, date), drop, self.now);
        let trial = trial.map_err(refused)?.ok_or_else(|| {
            let code = &self.bakery.product(product).code;
            invalid(format!("product `{code}` has no route: give it one to ask for its times"))
        })?;
        Ok(Some(Asked { product, drop, trial }))
    }

    /// The position of a product.
    ///
    /// # Errors
    /// [`Refusal::Unknown`]
    pub fn product(&self, code: &str) -> Result<u32, Refusal> {
        let found = self.bakery.index().product(code);
        found.ok_or_else(|| Refusal::Unknown { noun: "product", code: code.to_owned() })
    }

    /// The position of an item, called by the noun that was asked for.
    ///
    /// # Errors
    /// [`Refusal::Unknown`]
    pub fn item(&self, noun: &'static str, code: &str) -> Result<u32, Refusal> {
        let found = self.bakery.index().item(code);
        found.ok_or_else(|| Refusal::Unknown { noun, code: code.to_owned() })
    }
}
