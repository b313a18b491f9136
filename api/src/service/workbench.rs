//! The formula workbench: versions of a formula beside each other and beside a draft that is
//! kept nowhere.

use super::{
    Refusal, bakery, book,
    plan::{self, refused},
    reference,
};
use crate::{document::formula::FormulaBody, state::State, store::sites};
use domain::{
    bakery::{Bakery, CompiledMakeUp},
    book::Book,
    nutrition::Declared,
    plan::{
        statement::formula_nutrition,
        workbench::{Branch, Profile, ScaleTo, Scaled, profile, scaled, tree},
    },
    ratio::Ratio,
    regulation::NutritionStyle,
};
use jiff::{Timestamp, civil::Date};
use std::sync::Arc;

/// What is laid on the bench.
#[derive(Debug, Clone)]
pub struct Asked {
    /// Code of the formula.
    pub formula: String,
    /// For which service date; today if not said.
    pub on: Option<Date>,
    /// At what size, if at any.
    pub size: Option<Size>,
    /// Code of the regulation by which nutrition is stated; the site's own if not said.
    pub regulation: Option<String>,
    /// A version that somebody thinks of.
    pub draft: Option<FormulaBody>,
}

/// At what size a formula is wanted.
#[derive(Debug, Clone)]
pub enum Size {
    /// Micrograms in the bowl.
    Mass(Ratio),
    /// Micrograms of flour overall.
    Flour(Ratio),
    /// Start pieces of a product.
    Pieces {
        /// Its code.
        product: String,
        /// How many.
        pieces: i64,
    },
    /// The most that today's stock makes.
    Largest,
}

/// One version on the bench.
#[derive(Debug)]
pub struct Version {
    /// The bakery that it stands in, for names and prices.
    pub bakery: Arc<Bakery>,
    /// First date for which it holds; none if always.
    pub valid_from: Option<Date>,
    /// Whether it is the one in force on the date.
    pub in_force: bool,
    /// Whether nobody keeps it.
    pub draft: bool,
    /// What it is.
    pub profile: Profile,
    /// What 100 g of it as made nourish.
    pub nutrition: Vec<Declared>,
}

/// Versions of one formula, and one of them at another size.
#[derive(Debug)]
pub struct Bench {
    /// Versions as kept, oldest first, then the draft.
    pub versions: Vec<Version>,
    /// Code of the regulation by which their nutrition is stated.
    pub regulation: String,
    /// What the draft, or else the version in force, is made of, level by level.
    pub tree: Option<Branch>,
    /// The draft at the wanted size, or else the version in force.
    pub scaled: Option<Scaled>,
    /// For which service date.
    pub on: Date,
    /// The moment of asking.
    pub now: Timestamp,
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
}

/// Lays versions of a formula beside each other; nothing of a draft is kept.
///
/// # Errors
/// [`Refusal::Unknown`] if there is no such formula or product; [`Refusal::Body`] with every
/// fault that the draft would make; `not-found` if the size cannot be made.
pub fn bench(state: &State, asked: &Asked) -> Result<Bench, Refusal> {
    let now = state.now();
    let (bakery, book, plan_revision, drafted) = state.store.read(|tx| -> Result<_, Refusal> {
        let bakery = bakery::load(state, tx)?;
        let today = bakery.site().time_zone.to_datetime(now).date();
        let book = book::read(tx, &state.site, &bakery, (now, today))?;
        let revision = sites::find(tx, &state.site)?.plan_revision;
        let drafted = match &asked.draft {
            Some(draft) => {
                let document = bakery::document(tx, &state.site)?;
                Some(Arc::new(reference::with_record(&document, draft)?))
            }
            None => None,
        };
        Ok((bakery, book, revision, drafted))
    })?;
    let on = asked.on.unwrap_or_else(|| bakery.site().time_zone.to_datetime(now).date());
    let regulation = plan::regulation(&bakery, asked.regulation.as_deref())?.0;
    let (style, regulation) = (regulation.nutrition, regulation.code.to_string());
    let mut versions = kept(&bakery, &asked.formula, (on, style))?;
    if let (Some(drafted), Some(draft)) = (&drafted, &asked.draft) {
        versions.push(drafted_version(drafted, draft, (on, style))?);
    }
    let of = drafted.as_ref().unwrap_or(&bakery);
    let scaled = match &asked.size {
        Some(size) => Some(at_size(of, &book, (asked, on, now), size)?),
        None => None,
    };
    let tree = of.index().item(&asked.formula).and_then(|item| tree(of.recipes(on), item));
    Ok(Bench { versions, regulation, tree, scaled, on, now, plan_revision })
}

fn unknown(noun: &'static str, code: &str) -> Refusal {
    Refusal::Unknown { noun, code: code.to_owned() }
}

/// The versions that are kept, each on the first date on which it holds.
fn kept(
    bakery: &Arc<Bakery>,
    code: &str,
    (on, style): (Date, NutritionStyle),
) -> Result<Vec<Version>, Refusal> {
    let item = bakery.index().item(code).ok_or_else(|| unknown("formula", code))?;
    let formulas = bakery.lists().formulas.iter().filter(|one| one.code.as_str() == code);
    let mut from: Vec<Date> = formulas.map(|one| one.valid_from).collect();
    from.sort_unstable();
    if from.is_empty() {
        return Err(unknown("formula", code));
    }
    let in_force = from.iter().rev().find(|from| **from <= on).copied();
    let version = |from: Date| {
        // The version in force is looked at with the prices of the date that is asked about.
        let in_force = in_force == Some(from);
        let on = if in_force { on } else { from };
        let profile = profile(bakery, on, item)?;
        let valid_from = (from > Date::MIN).then_some(from);
        let nutrition = formula_nutrition(bakery, bakery.recipes(on), item, style);
        let bakery = Arc::clone(bakery);
        Some(Version { bakery, valid_from, in_force, draft: false, profile, nutrition })
    };
    Ok(from.into_iter().filter_map(version).collect())
}

fn drafted_version(
    drafted: &Arc<Bakery>,
    draft: &FormulaBody,
    (on, style): (Date, NutritionStyle),
) -> Result<Version, Refusal> {
    let item = drafted.index().item(&draft.code).ok_or_else(|| unknown("formula", &draft.code))?;
    let valid_from = draft.valid_from.as_deref().and_then(crate::document::parse_date);
    let held = valid_from.map_or(on, |from| from.max(on));
    let profile = profile(drafted, held, item).ok_or_else(|| unknown("formula", &draft.code))?;
    let nutrition = formula_nutrition(drafted, drafted.recipes(held), item, style);
    let bakery = Arc::clone(drafted);
    Ok(Version { bakery, valid_from, in_force: false, draft: true, profile, nutrition })
}

fn at_size(
    bakery: &Bakery,
    book: &Book,
    (asked, on, now): (&Asked, Date, Timestamp),
    size: &Size,
) -> Result<Scaled, Refusal> {
    let item = bakery.index().item(&asked.formula);
    let item = item.ok_or_else(|| unknown("formula", &asked.formula))?;
    let to = match size {
        Size::Mass(mass) => ScaleTo::Mass(*mass),
        Size::Flour(flour) => ScaleTo::Flour(*flour),
        Size::Largest => ScaleTo::Largest,
        Size::Pieces { product, pieces } => {
            let found = bakery.index().product(product);
            let found = found.ok_or_else(|| unknown("product", product))?;
            let each = bakery.recipes(on).make_up_of(found).iter().find_map(|line| match *line {
                CompiledMakeUp::Mass { item: taken, ug, .. } if taken == item => Some(ug),
                _ => None,
            });
            let each = each.ok_or_else(|| {
                let formula = &asked.formula;
                let detail =
                    format!("no gram of `{formula}` goes into `{product}`: ask for a mass");
                Refusal::stated("not-found", detail)
            })?;
            ScaleTo::Pieces { pieces: *pieces, each }
        }
    };
    let found = scaled(bakery, book, (on, item, now), to).map_err(refused)?;
    found.ok_or_else(|| {
        let detail = format!(
            "`{}` cannot be made at that size: it has no version then, no flour, or no stock",
            asked.formula
        );
        Refusal::stated("not-found", detail)
    })
}
