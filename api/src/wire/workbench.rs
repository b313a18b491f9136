//! The formula workbench: what is asked, and versions beside each other.

use super::{
    allergens::AllergensView,
    amount::{QuantityView, instant},
    cost::{CostView, at_least, cost_view},
    formula_tree::FormulaTreeView,
    formula_views::SharePercentView,
    nutrition::{NutritionLineView, nutrition_line},
};
use crate::{
    document::{Fault, Reader, formula::FormulaBody},
    messages::Sentence,
    service::workbench::{Asked, Bench, Size, Version},
};
use domain::{
    bakery::Bakery,
    figure::Figure,
    item::YeastForm,
    plan::workbench::{Scaled, ScaledBatch, ScaledLoad, Warning, yeast_change},
    quantity::Unit,
    ratio::Ratio,
};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

/// When, and at what size; one size at most.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct BenchQuery {
    /// The service date; today if absent.
    #[param(example = "2026-06-12")]
    pub on: Option<String>,
    /// Grams in the bowl.
    #[param(example = "10000")]
    pub grams: Option<String>,
    /// Grams of flour overall.
    #[param(example = "5000")]
    pub flour_grams: Option<String>,
    /// Start pieces of `product`; losses and residue are put on top.
    #[param(example = 72)]
    pub pieces: Option<i64>,
    /// The product whose pieces are meant.
    #[param(example = "sugar-bun")]
    pub product: Option<String>,
    /// Whether the most that today's stock makes is meant.
    #[param(example = true)]
    pub largest: Option<bool>,
    /// Code of the regulation by which nutrition is stated; the site's own if absent.
    #[param(example = "eu")]
    pub regulation: Option<String>,
    /// The language of the sheet, which its format reads.
    #[param(ignore)]
    pub language: Option<String>,
}

/// A version that somebody thinks of; nothing of it is kept.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BenchBody {
    /// The whole formula as it would be put.
    pub draft: FormulaBody,
}

impl BenchQuery {
    /// What is asked, with a draft if there is one.
    ///
    /// # Errors
    /// Every fault with its place.
    pub fn read(&self, formula: String, draft: Option<FormulaBody>) -> Result<Asked, Vec<Fault>> {
        let Self { on, grams, flour_grams, pieces, product, largest, regulation, language: _ } =
            self;
        let mut reader = Reader::default();
        let on = on.as_deref().map(|text| reader.date("on", text));
        let mass = |reader: &mut Reader, field: &str, text: &Option<String>| {
            let grams = reader.decimal_option(field, text.as_deref())?;
            if !grams.is_positive() {
                reader.fault(field, "out-of-range", "write more than nothing");
            }
            grams.times(Ratio::whole(1_000_000)).ok()
        };
        let mut sizes = Vec::new();
        sizes.extend(mass(&mut reader, "grams", grams).map(Size::Mass));
        sizes.extend(mass(&mut reader, "flour_grams", flour_grams).map(Size::Flour));
        match (pieces, product) {
            (Some(pieces), Some(product)) if *pieces > 0 => {
                sizes.push(Size::Pieces { product: product.clone(), pieces: *pieces });
            }
            (None, None) => {}
            _ => reader.fault("pieces", "field-mismatch", "say pieces, more than 0, of a product"),
        }
        if *largest == Some(true) {
            sizes.push(Size::Largest);
        }
        if sizes.len() > 1 {
            reader.fault("grams", "field-mismatch", "say one size only");
        }
        if draft.as_ref().is_some_and(|draft| draft.code != formula) {
            reader.fault("draft/code", "field-mismatch", "write the code of the address");
        }
        let faults = reader.into_faults();
        if faults.is_empty() {
            let (size, regulation) = (sizes.pop(), regulation.clone());
            Ok(Asked { formula, on, size, regulation, draft })
        } else {
            Err(faults)
        }
    }
}

/// Versions of a formula beside each other.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BenchView {
    /// What people call the bakery.
    pub bakery: String,
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    pub made_at: String,
    /// The formula's code.
    #[schema(example = "country")]
    pub formula: String,
    /// The service date whose version and prices are in force.
    #[schema(example = "2026-06-12")]
    pub on: String,
    /// Three letters of ISO 4217.
    #[schema(example = "EUR")]
    pub currency: String,
    /// Versions as kept, oldest first, then the draft.
    pub versions: Vec<FormulaVersionView>,
    /// Code of the regulation by which their nutrition is stated.
    #[schema(example = "eu")]
    pub regulation: String,
    /// What the draft, or else the version in force, is made of, level by level.
    pub tree: Option<FormulaTreeView>,
    /// The draft, or else the version in force, at the wanted size.
    pub scaled: Option<ScaledView>,
}

/// One version of a formula.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FormulaVersionView {
    /// What people call it.
    pub name: String,
    /// First service date for which it holds; always if absent.
    pub valid_from: Option<String>,
    /// Whether it is in force on the date.
    pub in_force: bool,
    /// Whether it is a draft that nobody keeps.
    pub draft: bool,
    /// Sum of the parts in the bowl.
    #[schema(example = "177")]
    pub sum: String,
    /// Free water in percent of all flour; absent without flour.
    #[schema(example = "75")]
    pub hydration: Option<String>,
    /// The same with the water of wet ingredients, as far as their items say it.
    pub hydration_wet: Option<String>,
    /// Water bound in soakers, in percent of all flour.
    pub bound_water: Option<String>,
    /// Salt in percent of all flour: soakers, old dough and salted ingredients included.
    #[schema(example = "2")]
    pub salt: Option<String>,
    /// Flour fermented ahead, in percent of all flour.
    #[schema(example = "15")]
    pub prefermented: Option<String>,
    /// Yeast by form, in percent of all flour.
    pub yeast: Vec<SharePercentView>,
    /// Ingredients of a kilogram, or of a batch, with its losses; without residue.
    pub cost: CostView,
    /// `kg` or `batch`.
    #[schema(example = "kg")]
    pub cost_per: &'static str,
    /// Items without a price: the cost is at least so much.
    pub missing: Vec<String>,
    /// What is in it.
    pub allergens: AllergensView,
    /// What 100 g of it nourish as it is made: before any oven, and rounded as on a label.
    pub nutrition: Vec<NutritionLineView>,
    /// What goes into the bowl, in order, in parts as written.
    pub final_mix: Vec<SharePercentView>,
    /// The same with sub-formulas dissolved.
    pub overall: Vec<SharePercentView>,
    /// What a baker would look at twice, each with its source; nothing is stopped.
    pub warnings: Vec<WarningView>,
}

/// What a baker would look at twice.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WarningView {
    /// `salt`, `fresh-yeast`, `hydration` or `yeast-form`.
    #[schema(example = "salt")]
    pub kind: &'static str,
    /// In words.
    #[schema(value_type = String)]
    pub words: Sentence,
    /// Where the bound is from.
    #[schema(value_type = String, example = "common practice")]
    pub source: Sentence,
}

/// A formula at another size.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ScaledView {
    /// Itself first, then what it is made of.
    pub batches: Vec<ScaledBatchView>,
    /// What leaves stock, in base units.
    pub draws: Vec<ScaledDrawView>,
    /// For the largest: items of which a gram of it more would take too much.
    pub ends_first: Vec<String>,
}

/// One formula of a scaled one.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ScaledBatchView {
    /// Its code.
    pub formula: String,
    /// Its loads by size.
    pub loads: Vec<ScaledLoadView>,
}

/// Loads of one size.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ScaledLoadView {
    /// How many.
    pub loads: i64,
    /// What is in the bowl, exactly.
    pub mass: QuantityView,
    /// Sum of what is weighed.
    pub sum: QuantityView,
    /// Line by line, for one load.
    pub lines: Vec<ScaledLineView>,
}

/// One line of a load.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ScaledLineView {
    /// Which item.
    pub item: String,
    /// What is weighed or counted: whole divisions of its scale.
    pub weigh: QuantityView,
    /// Exactly.
    pub exact: QuantityView,
}

/// What leaves stock of an item.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ScaledDrawView {
    /// Which item.
    pub item: String,
    /// How much.
    pub quantity: QuantityView,
}

/// Without zeros that say nothing.
pub(super) fn short(figure: &Figure, places: u32) -> String {
    let text = figure.decimal(places);
    if !text.contains('.') {
        return text;
    }
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

const fn form(form: YeastForm) -> &'static str {
    match form {
        YeastForm::Fresh => "fresh",
        YeastForm::ActiveDry => "active-dry",
        YeastForm::Instant => "instant",
    }
}

/// A bench as it is sent.
#[must_use]
pub fn bench_view(formula: &str, bench: &Bench) -> BenchView {
    let Bench { versions, regulation, tree, scaled, on, now, plan_revision } = bench;
    let last = versions.last();
    let (bakery, currency, made_at) = last.map_or_else(Default::default, |version| {
        let site = version.bakery.site();
        (site.name.clone(), site.currency.to_string(), instant(&site.time_zone, *now))
    });
    let in_force = versions.iter().position(|version| version.in_force);
    let version = |(at, one): (usize, &Version)| {
        // A draft is seen against what is in force, a kept version against the one before.
        let before = if one.draft { in_force } else { at.checked_sub(1) };
        version_view(one, before.map(|at| &versions[at]))
    };
    BenchView {
        bakery,
        plan_revision: *plan_revision,
        made_at,
        formula: formula.to_owned(),
        on: on.to_string(),
        currency,
        versions: versions.iter().enumerate().map(version).collect(),
        regulation: regulation.clone(),
        tree: last.zip(tree.as_ref()).map(|(last, tree)| FormulaTreeView::new(&last.bakery, tree)),
        scaled: last.zip(scaled.as_ref()).map(|(last, scaled)| scaled_view(&last.bakery, scaled)),
    }
}

fn version_view(version: &Version, before: Option<&Version>) -> FormulaVersionView {
    let Version { bakery, valid_from, in_force, draft, profile, nutrition } = version;
    let formula = &bakery.lists().formulas[profile.formula as usize];
    let percent = |figure: &Option<Figure>| figure.as_ref().map(|figure| short(figure, 2));
    let shares = |list: &[(u32, Figure)]| {
        let share = |(item, parts): &(u32, Figure)| SharePercentView {
            item: bakery.item(*item).code.to_string(),
            percent: short(parts, 6),
        };
        list.iter().map(share).collect()
    };
    let change = before.and_then(|before| yeast_change(&before.profile, profile));
    let each = profile.cost_each();
    FormulaVersionView {
        name: formula.name.clone(),
        valid_from: valid_from.as_ref().map(Date::to_string),
        in_force: *in_force,
        draft: *draft,
        sum: short(&profile.sum, 6),
        hydration: percent(&profile.hydration),
        hydration_wet: percent(&profile.hydration_wet),
        bound_water: percent(&profile.bound_water),
        salt: percent(&profile.salt),
        prefermented: percent(&profile.prefermented),
        yeast: profile
            .yeast
            .iter()
            .map(|(kind, amount)| SharePercentView {
                item: form(*kind).to_owned(),
                percent: short(amount, 4),
            })
            .collect(),
        missing: each.missing.iter().map(|&item| bakery.item(item).code.to_string()).collect(),
        cost: cost_view(&each),
        cost_per: if profile.by_batch { "batch" } else { "kg" },
        allergens: AllergensView::new(bakery, &profile.allergens),
        nutrition: nutrition.iter().map(|one| nutrition_line(bakery, one)).collect(),
        final_mix: shares(&profile.final_mix),
        overall: shares(&profile.overall),
        warnings: profile.warnings.iter().chain(&change).map(warning).collect(),
    }
}

fn warning(warning: &Warning) -> WarningView {
    let two = |ratio: &Figure| Sentence::digits(short(ratio, 2));
    let form = |of| Sentence::listed("yeast-form-", form(of));
    let (kind, words, source) = match warning {
        Warning::Salt(salt) => (
            "salt",
            Sentence::of("warning-salt").with("percent", two(salt)),
            "warning-common-practice",
        ),
        Warning::Yeast(fresh) => (
            "fresh-yeast",
            Sentence::of("warning-yeast").with("percent", two(fresh)),
            "warning-common-practice",
        ),
        Warning::Hydration(water, (least, most)) => (
            "hydration",
            Sentence::of("warning-hydration")
                .with("percent", two(water))
                .with("least", Sentence::digits(least.to_decimal(2)))
                .with("most", Sentence::digits(most.to_decimal(2))),
            "warning-own-band",
        ),
        Warning::YeastForm { was, now, usual } => (
            "yeast-form",
            Sentence::of("warning-yeast-form")
                .with("was", two(&was.1))
                .with("before", form(was.0))
                .with("now", two(&now.1))
                .with("after", form(now.0))
                .with("least", two(&usual.0))
                .with("most", two(&usual.1)),
            "warning-yeast-forms",
        ),
    };
    WarningView { kind, words, source: Sentence::of(source) }
}

fn scaled_view(bakery: &Bakery, scaled: &Scaled) -> ScaledView {
    let Scaled { batches, draws, ends_first } = scaled;
    let code = |item: u32| bakery.item(item).code.to_string();
    let load = |load: &ScaledLoad| ScaledLoadView {
        loads: load.loads,
        mass: QuantityView::mass(load.mass),
        sum: QuantityView::whole(load.sum_ug, Unit::Gram),
        lines: load
            .lines
            .iter()
            .map(|(item, exact, weighed, counted)| {
                let unit = if *counted { Unit::Each } else { Unit::Gram };
                ScaledLineView {
                    item: code(*item),
                    weigh: QuantityView::whole(weighed.micro, unit),
                    exact: QuantityView::new(*exact, unit),
                }
            })
            .collect(),
    };
    let batch = |batch: &ScaledBatch| ScaledBatchView {
        formula: code(batch.item),
        loads: batch.loads.iter().map(load).collect(),
    };
    ScaledView {
        batches: batches.iter().map(batch).collect(),
        draws: draws
            .iter()
            .map(|(&item, &micro)| ScaledDrawView {
                item: code(item),
                quantity: QuantityView::whole(micro, bakery.item(item).base_unit),
            })
            .collect(),
        ends_first: ends_first.iter().map(|&item| code(item)).collect(),
    }
}

impl FormulaVersionView {
    /// The cost in words.
    #[must_use]
    pub fn cost_words(&self, currency: &str) -> Sentence {
        let sum = Sentence::amount(format!("{} {currency}", self.cost.printed));
        let sum = Sentence::joined(" / ", [sum, Sentence::listed("unit-", self.cost_per)]);
        at_least(sum, self.missing.len())
    }
}
