//! What a version of a formula is: its figures in percent of all flour, what it costs and
//! contains, and what a baker would look at twice.

use crate::{
    allergens::{Allergens, item_allergens},
    bakery::{Bakery, Driver, Views},
    figure::Figure,
    item::YeastForm,
    plan::cost::{Cost, plain_cost},
    quantity::MICRO,
    ratio::Ratio,
};
use jiff::civil::Date;
use num_rational::BigRational;

/// Least and most salt in percent of all flour, soakers, old dough and salted butter included.
///
/// # Source
/// Common practice: trade rules 2.1.
pub const SALT_BAND: (i128, i128) = (16, 24);

/// Most fresh yeast in percent of all flour.
///
/// # Source
/// Common practice: trade rules 2.1.
pub const FRESH_YEAST_MAX: i128 = 6;

/// What a baker would look at twice; it never stops anything.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Warning {
    /// Salt is outside the usual band: percent of all flour.
    Salt(Figure),
    /// More fresh yeast than usual, dry forms as what they stand for: percent of all flour.
    Yeast(Figure),
    /// Water is outside the dough's own band: percent, and the band.
    Hydration(Figure, (Ratio, Ratio)),
    /// The yeast came in another form before, in an amount that does not stand for this one.
    YeastForm {
        /// The form it had, and how much of it.
        was: (YeastForm, Figure),
        /// The form it has, and how much of it.
        now: (YeastForm, Figure),
        /// What would stand for what it had: least and most.
        usual: (Figure, Figure),
    },
}

/// One version of a formula on the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Profile {
    /// Its position in the bakery's list of formulas.
    pub formula: u32,
    /// Position of the item that it makes.
    pub item: u32,
    /// What goes into the bowl, in parts as written.
    pub final_mix: Vec<(u32, Figure)>,
    /// The same with sub-formulas dissolved.
    pub overall: Vec<(u32, Figure)>,
    /// Sum of the parts in the bowl.
    pub sum: Figure,
    /// Free water, in percent of all flour; none without flour.
    pub hydration: Option<Figure>,
    /// The same with the water of wet ingredients, as far as their items say it.
    pub hydration_wet: Option<Figure>,
    /// Water bound in soakers, in percent of all flour.
    pub bound_water: Option<Figure>,
    /// Salt, in percent of all flour.
    pub salt: Option<Figure>,
    /// Flour that is fermented ahead, in percent of all flour.
    pub prefermented: Option<Figure>,
    /// Yeast by form, in percent of all flour.
    pub yeast: Vec<(YeastForm, Figure)>,
    /// Of a gram by its lines and losses, without residue and forced whole steps.
    pub cost: Cost,
    /// Whether the cost is that of a batch, for what is made by the batch.
    pub by_batch: bool,
    /// What is in it.
    pub allergens: Allergens,
    /// What a baker would look at twice.
    pub warnings: Vec<Warning>,
}

/// The profile of what makes an item on a date; none if nothing makes it then.
#[must_use]
pub fn profile(bakery: &Bakery, on: Date, item: u32) -> Option<Profile> {
    let recipes = bakery.recipes(on);
    let recipe = &recipes.recipes[recipes.of_item(item)?];
    let views = bakery.views(recipes, item)?;
    let flour = Figure::from(views.flour_parts.clone());
    let percent =
        |parts: &Figure| (!flour.is_zero()).then(|| parts.over(&flour).times(&Figure::whole(100)));
    let of = |parts: &BigRational| Figure::from(parts.clone());
    let share = |wanted: &dyn Fn(u32) -> Option<Ratio>| {
        let parts = views.overall.iter().filter_map(|(item, parts)| {
            Some(of(parts).times(&wanted(*item)?.into()).over(&Figure::whole(100)))
        });
        parts.fold(Figure::zero(), |sum, part| sum.plus(&part))
    };
    let nature = |item: u32| &bakery.item(item).nature;
    let wet = share(&|item| nature(item).water_percent.filter(|_| !bakery.item(item).water));
    let salted = share(&|item| nature(item).salt_percent.filter(|_| !bakery.item(item).salt));
    let yeast = yeasts(bakery, &views, &flour);
    let salt = percent(&of(&views.salt).plus(&salted));
    let hydration = percent(&of(&views.water));
    let mut warnings = Vec::new();
    if recipes.is_dough(item) {
        warn(&mut warnings, salt.as_ref(), &yeast);
    }
    let band = bakery.formula_of(recipe).hydration_band;
    if let (Some(band), Some(water)) = (band, &hydration)
        && (*water < Figure::from(band.0) || *water > Figure::from(band.1))
    {
        warnings.push(Warning::Hydration(water.clone(), band));
    }
    let all = |list: &[(u32, BigRational)]| -> Vec<(u32, Figure)> {
        list.iter().map(|(item, parts)| (*item, of(parts))).collect()
    };
    let final_mix = all(&views.final_mix);
    Some(Profile {
        formula: recipe.formula,
        item,
        sum: final_mix.iter().map(|(_, parts)| parts).sum(),
        hydration_wet: percent(&of(&views.water).plus(&wet)),
        hydration,
        bound_water: percent(&of(&views.bound_water)),
        salt,
        prefermented: percent(&of(&views.prefermented)),
        yeast,
        cost: plain_cost(bakery, on, item).unwrap_or_default(),
        by_batch: matches!(recipe.driver, Driver::Batch { .. }),
        allergens: item_allergens(bakery, recipes, item),
        warnings,
        final_mix,
        overall: all(&views.overall),
    })
}

fn yeasts(bakery: &Bakery, views: &Views, flour: &Figure) -> Vec<(YeastForm, Figure)> {
    let mut found: Vec<(YeastForm, Figure)> = Vec::new();
    if flour.is_zero() {
        return found;
    }
    for (item, parts) in &views.overall {
        let Some(form) = bakery.item(*item).nature.yeast else { continue };
        let part = Figure::from(parts.clone()).over(flour).times(&Figure::whole(100));
        match found.iter_mut().find(|(known, _)| *known == form) {
            Some((_, sum)) => *sum = sum.plus(&part),
            None => found.push((form, part)),
        }
    }
    found
}

fn warn(warnings: &mut Vec<Warning>, salt: Option<&Figure>, yeast: &[(YeastForm, Figure)]) {
    let tenths = |value: i128| Figure::from(Ratio::whole(value)).over(&Figure::whole(10));
    if let Some(salt) = salt
        && (*salt < tenths(SALT_BAND.0) || *salt > tenths(SALT_BAND.1))
    {
        warnings.push(Warning::Salt(salt.clone()));
    }
    // A dry form stands for at least so much fresh yeast.
    let fresh = yeast.iter().fold(Figure::zero(), |sum, (form, amount)| {
        sum.plus(&amount.over(&form.of_fresh().1.into()))
    });
    if fresh > Figure::from(Ratio::whole(FRESH_YEAST_MAX)) {
        warnings.push(Warning::Yeast(fresh));
    }
}

/// What to look at where yeast changes its form between two versions.
#[must_use]
pub fn yeast_change(was: &Profile, now: &Profile) -> Option<Warning> {
    let ([old], [new]) = (was.yeast.as_slice(), now.yeast.as_slice()) else { return None };
    if old.0 == new.0 {
        return None;
    }
    // The old amount as fresh yeast at its least and most, and that in the new form.
    let ((old_least, old_most), (new_least, new_most)) = (old.0.of_fresh(), new.0.of_fresh());
    let turned = |times: Ratio, over: Ratio| old.1.times(&times.into()).over(&over.into());
    let usual = (turned(new_least, old_most), turned(new_most, old_least));
    let fits = usual.0 <= new.1 && new.1 <= usual.1;
    (!fits).then(|| Warning::YeastForm { was: old.clone(), now: new.clone(), usual })
}

impl Profile {
    /// What a kilogram costs, or a batch of what is made by the batch.
    #[must_use]
    pub fn cost_each(&self) -> Cost {
        let size = if self.by_batch { 1 } else { 1_000 * MICRO };
        self.cost.times(&Figure::whole(size))
    }
}
