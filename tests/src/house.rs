//! Small invented bakeries, written in a few lines, for checks of single rules.

use anyhow::{Context, Result, bail};
use domain::{
    bakery::{Bakery, BakeryDraft, Site},
    customer::Customer,
    formula::{Base, Formula, Keeping, Line, LineAmount, Loss, Made, View},
    id::Code,
    item::{AllergenRecord, Item, ItemKind, Joint, JointOutput, Supply},
    money::Currency,
    product::{At, MakeUp, MakeUpAmount, Overs, Per, Product},
    quantity::{Quantity, Unit},
    ratio::Ratio,
    scale::Scale,
};
use jiff::{
    civil::{Date, Time},
    tz::TimeZone,
};

/// Decimals of a percentage or part.
const PARTS_DECIMALS: u32 = 6;

/// A bakery document in the making; opened, it is checked and compiled.
#[derive(Debug, Clone)]
pub struct House {
    draft: BakeryDraft,
}

/// A code that must be one.
///
/// # Errors
/// The text is none.
pub fn code(text: &str) -> Result<Code> {
    Ok(Code::parse(text)?)
}

/// A decimal that must be one.
///
/// # Errors
/// The text is none.
pub fn ratio(text: &str) -> Result<Ratio> {
    Ok(Ratio::parse_decimal(text, PARTS_DECIMALS)?)
}

/// A quantity such as `60 g`.
///
/// # Errors
/// The text is none.
pub fn quantity(text: &str) -> Result<Quantity> {
    let (amount, unit) = text.rsplit_once(' ').with_context(|| format!("`{text}` has no unit"))?;
    Ok(Quantity::parse(amount, unit)?)
}

impl House {
    /// An empty bakery with no scale: what is exact stays exact.
    ///
    /// # Errors
    /// Never; the parts it starts from are well formed.
    pub fn new() -> Result<Self> {
        let site = Site {
            code: code("house")?,
            name: "House".to_owned(),
            time_zone: TimeZone::UTC,
            currency: Currency::parse("EUR")?,
            open_weekdays: Vec::new(),
            closed_dates: Vec::new(),
            teams: Vec::new(),
            temperatures: None,
            use_by_strict: false,
            waste_reasons: Vec::new(),
            count_weeks: 4,
            regulation: None,
            labour: None,
        };
        let draft = BakeryDraft {
            site,
            places: Vec::new(),
            scales: Vec::new(),
            mixers: Vec::new(),
            ovens: Vec::new(),
            suppliers: Vec::new(),
            items: Vec::new(),
            packs: Vec::new(),
            substitutes: Vec::new(),
            formulas: Vec::new(),
            routes: Vec::new(),
            products: Vec::new(),
            overheads: Vec::new(),
            standing_orders: Vec::new(),
            customers: vec![Customer {
                code: code("till")?,
                name: "Till".to_owned(),
                tier: 1,
                cutoff: None,
                minimum_useful: 1,
                all_or_nothing: false,
                avoids: Vec::new(),
                run: None,
                stop: None,
            }],
            regulations: Vec::new(),
        };
        Ok(Self { draft })
    }

    /// Adds a scale: capacity, division, least load.
    ///
    /// # Errors
    /// A text is no quantity, or the figures contradict each other.
    pub fn scale(mut self, name: &str, capacity: &str, division: &str, from: &str) -> Result<Self> {
        let (capacity, division) = (quantity(capacity)?, quantity(division)?);
        self.draft.scales.push(Scale::new(code(name)?, capacity, division, quantity(from)?)?);
        Ok(self)
    }

    /// Adds an item that is weighed, and lets `change` say more of it.
    ///
    /// # Errors
    /// The name is no code.
    pub fn item(mut self, name: &str, change: impl FnOnce(&mut Item)) -> Result<Self> {
        let mut item = Item {
            code: code(name)?,
            name: name.to_owned(),
            kind: ItemKind::Bought,
            base_unit: Unit::Gram,
            density: None,
            each: None,
            stocked: true,
            water: name == "water",
            salt: name == "salt",
            allergens: AllergenRecord { known: true, ..AllergenRecord::default() },
            opened_life_minutes: None,
            thawed_life_minutes: None,
            short_life: false,
            safety_stock: None,
            weighing_loss_percent: Ratio::ZERO,
            ready_after_minutes: 0,
            place: None,
            supply: Supply::Made,
            free: false,
            joint: None,
            label: domain::labelling::ItemLabel::default(),
            nutrients: domain::nutrients::Nutrients::default(),
            nature: domain::item::Nature::default(),
        };
        change(&mut item);
        self.draft.items.push(item);
        Ok(self)
    }

    /// Adds an item with what it contains.
    ///
    /// # Errors
    /// The name is no code.
    pub fn containing(self, name: &str, contains: &[&str]) -> Result<Self> {
        let words = contains.iter().map(|&word| word.to_owned()).collect();
        self.item(name, |item| item.allergens.contains = words)
    }

    /// Adds a fruit, counted, and what one gives.
    ///
    /// # Errors
    /// A name is no code, or a text no quantity.
    pub fn fruit(self, name: &str, each: &str, outputs: &[(&str, &str)]) -> Result<Self> {
        let mut gives = Vec::new();
        let mut house = self;
        for (output, yields) in outputs {
            let share = Ratio::new(100, i128::try_from(outputs.len())?)?;
            gives.push(JointOutput {
                item: code(output)?,
                yields: quantity(yields)?,
                cost_share_percent: share,
            });
            house = house.item(output, |item| item.kind = ItemKind::Made)?;
        }
        let first = gives.first().context("a fruit gives something")?.item.clone();
        let each = quantity(each)?;
        house.item(name, |item| {
            item.base_unit = Unit::Each;
            item.each = Some(each);
            item.joint =
                Some(Joint { first, keep_minutes: 0, surplus_keeps: true, outputs: gives });
        })
    }

    /// Adds a formula. A line reads `white 50 flour`, `levain 20`, `biga 30 prefermented`
    /// or `seed 20 previous`; a name that nothing defines becomes a bought item.
    ///
    /// # Errors
    /// A line cannot be read.
    pub fn formula(mut self, name: &str, base: Base, lines: &[&str]) -> Result<Self> {
        let mut read = Vec::new();
        for text in lines {
            let line = line(text).with_context(|| format!("the line `{text}`"))?;
            let known = self.draft.items.iter().any(|item| item.code == line.item)
                || self.draft.formulas.iter().any(|formula| formula.code == line.item)
                || line.item.as_str() == name;
            if !known {
                self = self.item(line.item.as_str(), |_| ())?;
            }
            read.push(line);
        }
        self.draft.formulas.push(Formula {
            code: code(name)?,
            name: name.to_owned(),
            valid_from: Date::MIN,
            base,
            dough_class: None,
            mixer: None,
            lines: read,
            losses: Vec::new(),
            made: Made::At { at: At { day: 0, time: Time::midnight() }, until: None },
            keep_back_after_last: None,
            soaker: false,
            age_window_minutes: None,
            mixing: None,
            life_minutes: None,
            keeping: Keeping::default(),
            hydration_band: None,
        });
        Ok(self)
    }

    /// Adds a formula in parts by weight.
    ///
    /// # Errors
    /// A line cannot be read.
    pub fn parts(self, name: &str, lines: &[&str]) -> Result<Self> {
        self.formula(name, Base::Parts, lines)
    }

    /// Adds a bread formula whose flours are 100 in what goes into the bowl.
    ///
    /// # Errors
    /// A line cannot be read.
    pub fn bread(self, name: &str, lines: &[&str]) -> Result<Self> {
        self.formula(name, Base::PercentOfFlour(View::FinalMix), lines)
    }

    /// Adds a bread formula with its preferments dissolved; they are derived.
    ///
    /// # Errors
    /// A line cannot be read.
    pub fn overall(self, name: &str, lines: &[&str]) -> Result<Self> {
        self.formula(name, Base::PercentOfFlour(View::Overall), lines)
    }

    /// Adds losses, in percent, to the formula that was added last.
    ///
    /// # Errors
    /// There is no formula, or a text is no percentage.
    pub fn losing(mut self, losses: &[(&str, &str)]) -> Result<Self> {
        let formula = self.draft.formulas.last_mut().context("no formula to lose anything")?;
        for (stage, percent) in losses {
            formula.losses.push(Loss { stage: (*stage).to_owned(), percent: ratio(percent)? });
        }
        Ok(self)
    }

    /// Adds a product without rejects: what goes into one piece.
    ///
    /// # Errors
    /// A text cannot be read.
    pub fn product(mut self, name: &str, make_up: &[(&str, &str)]) -> Result<Self> {
        let mut lines = Vec::new();
        for (item, amount) in make_up {
            lines.push(MakeUp::Item {
                item: code(item)?,
                amount: MakeUpAmount::Amount(quantity(amount)?),
                per: Per::Piece,
                included: false,
                at: None,
            });
        }
        let formulas = &self.draft.formulas;
        let is_dough = |item: &&str| formulas.iter().any(|made| made.code.as_str() == *item);
        let first = make_up.first().map(|(item, _)| *item);
        let dough = first.filter(is_dough).map(code).transpose()?;
        self.draft.products.push(Product {
            code: code(name)?,
            name: name.to_owned(),
            dough,
            reject_percent: Ratio::ZERO,
            test_pieces: 0,
            overs: Overs::None,
            tray: None,
            route: None,
            baking: None,
            sale_pack: 1,
            thaw_minutes: 0,
            par_baked: None,
            cutoff: None,
            price: None,
            sale_life: None,
            baked: None,
            make_up: lines,
            label: domain::labelling::ProductLabel::default(),
        });
        Ok(self)
    }

    /// Lets `change` say more of the product that was added last.
    ///
    /// # Errors
    /// There is no product.
    pub fn whose(mut self, change: impl FnOnce(&mut Product)) -> Result<Self> {
        change(self.draft.products.last_mut().context("no product to change")?);
        Ok(self)
    }

    /// The document as it stands, unchecked.
    #[must_use]
    pub fn into_draft(self) -> BakeryDraft {
        self.draft
    }

    /// Checks and compiles the bakery.
    ///
    /// # Errors
    /// Every fault found in it.
    pub fn open(self) -> Result<Bakery> {
        Bakery::new(self.draft).map_err(|faults| {
            let texts: Vec<_> = faults
                .iter()
                .map(|fault| format!("{}: {}", fault.kind.slug(), fault.detail))
                .collect();
            anyhow::anyhow!("{}", texts.join("; "))
        })
    }
}

fn line(text: &str) -> Result<Line> {
    let mut words = text.split_whitespace();
    let item = code(words.next().context("no item")?)?;
    let parts = ratio(words.next().context("no parts")?)?;
    let mut line = Line {
        item,
        amount: LineAmount::Parts(parts),
        flour: false,
        previous_batch: false,
        precision_percent: None,
        in_bowl: true,
        old_dough: None,
    };
    for word in words {
        match word {
            "flour" => line.flour = true,
            "previous" => line.previous_batch = true,
            "prefermented" => line.amount = LineAmount::PrefermentedFlour(parts),
            other => bail!("the unknown word `{other}`"),
        }
    }
    Ok(line)
}
