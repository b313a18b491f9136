//! Formulas and products of a seeded bakery, level below level.

use super::{Seed, at, code, items::POWDERS, quantity, tenths};
use domain::{
    bakery::BakeryDraft,
    formula::{Base, Blocks, Formula, Keeping, Line, LineAmount, Loss, Made},
    id::Code,
    product::{Baked, MakeUp, MakeUpAmount, Overs, Per, Product, Tray},
    quantity::Quantity,
    ratio::Ratio,
};
use jiff::civil::Date;

/// Where formulas and products of a bakery are thought up.
pub(super) struct Kitchen<'a> {
    seed: &'a mut Seed,
    draft: &'a mut BakeryDraft,
    levels: Vec<Vec<Code>>,
}

/// A plain line of parts.
#[must_use]
pub fn parts_line(item: &str, parts: Ratio) -> Line {
    Line {
        item: code(item),
        amount: LineAmount::Parts(parts),
        flour: item.ends_with("flour"),
        previous_batch: false,
        precision_percent: None,
        in_bowl: true,
        old_dough: None,
    }
}

/// A formula by parts, without losses or mixer.
#[must_use]
pub fn formula(name: &str, lines: Vec<Line>) -> Formula {
    Formula {
        code: code(name),
        name: name.to_owned(),
        valid_from: Date::MIN,
        base: Base::Parts,
        dough_class: None,
        mixer: None,
        lines,
        losses: Vec::new(),
        made: Made::At { at: at(-1, 6, 0), until: None },
        keep_back_after_last: None,
        soaker: false,
        age_window_minutes: None,
        mixing: None,
        life_minutes: None,
        keeping: Keeping::default(),
        hydration_band: None,
    }
}

impl<'a> Kitchen<'a> {
    pub(super) const fn new(seed: &'a mut Seed, draft: &'a mut BakeryDraft) -> Self {
        Self { seed, draft, levels: Vec::new() }
    }

    pub(super) fn fill(&mut self) {
        let levels = self.seed.between(1, 8);
        // The deepest level first: its users come after it.
        for level in (1..=levels).rev() {
            let mut made = Vec::new();
            for number in 1..=self.seed.between(1, 2) {
                let name = format!("level-{level}-mix-{number}");
                let formula = self.mix(&name, level);
                made.push(formula.code.clone());
                self.draft.formulas.push(formula);
            }
            self.levels.push(made);
        }
        if self.seed.chance(60) {
            self.levain();
        }
        if self.seed.chance(50) {
            self.laminated();
        }
        let count = self.seed.between(2, 6);
        for number in 1..=count {
            let product = self.product(number);
            self.draft.products.push(product);
        }
        self.seed.shuffle(&mut self.draft.formulas);
    }

    fn losses(&mut self) -> Vec<Loss> {
        let count = self.seed.below(3);
        let stages = ["scrap", "ferment", "pot"];
        (0..count)
            .map(|at| Loss {
                stage: stages[usize::try_from(at).unwrap_or_default()].to_owned(),
                percent: tenths(self.seed.between(0, 60)),
            })
            .collect()
    }

    /// What a formula of this level takes: powders, liquids, eggs, what is made below.
    fn mix(&mut self, name: &str, level: i64) -> Formula {
        let mut names: Vec<String> =
            POWDERS.iter().filter(|_| self.seed.chance(60)).map(|&name| name.to_owned()).collect();
        names.insert(0, "white-flour".to_owned());
        names.extend(
            ["water", "milk", "egg", "zest", "juice"]
                .map(str::to_owned)
                .into_iter()
                .filter(|_| self.seed.chance(40)),
        );
        let below: Vec<Code> = self.levels.last().cloned().unwrap_or_default();
        for made in &below {
            if self.seed.chance(80) {
                names.push(made.to_string());
            }
        }
        if let Some(deeper) = self.levels.first().filter(|_| self.seed.chance(30)) {
            names.push(deeper[0].to_string());
        }
        names.sort_unstable();
        names.dedup();
        self.seed.shuffle(&mut names);
        let by_batch = self.seed.chance(30) && level > 1;
        let lines = names.iter().map(|name| self.line(name, by_batch)).collect();
        let mut found = Formula { losses: self.losses(), ..formula(name, lines) };
        let day = i32::try_from(self.seed.between(-2, 0)).unwrap_or(0);
        let (hour, minute) = (self.seed.pick(&[2, 6, 11]), self.seed.pick(&[0, 30]));
        found.made = Made::At { at: at(day, hour, minute), until: None };
        if by_batch {
            found.base = Base::PerBatch {
                makes: Some(quantity(&self.seed.between(700, 1_500).to_string(), "g")),
                step: self.seed.pick(&[Ratio::ONE, tenths(5)]),
            };
        }
        if self.seed.chance(70) {
            self.put_in_mixer(&mut found);
        }
        found
    }

    fn put_in_mixer(&mut self, formula: &mut Formula) {
        let mixer = self.seed.pick(&["large-mixer", "small-mixer", "kettle"]);
        formula.mixer = Some(code(mixer));
        let class = self.seed.pick(&["lean", "enriched", "stiff"]);
        formula.dough_class = Some(class.to_owned());
    }

    fn line(&mut self, item: &str, by_batch: bool) -> Line {
        let mut line = parts_line(item, tenths(self.seed.between(1, 900)));
        if by_batch {
            line.amount = LineAmount::Amount(match item {
                "milk" => quantity(&self.seed.between(10, 300).to_string(), "mL"),
                "egg" if self.seed.chance(50) => {
                    quantity(&self.seed.between(1, 6).to_string(), "each")
                }
                _ => self.grams(1, 2_000),
            });
            line.in_bowl = self.seed.chance(80) || !["seeds", "sugar", "butter"].contains(&item);
        }
        if self.seed.chance(15) {
            line.precision_percent = Some(tenths(5));
        }
        line
    }

    /// A mass between two numbers of tenths of a gram.
    fn grams(&mut self, least: i64, most: i64) -> Quantity {
        let value = self.seed.between(least, most);
        quantity(&format!("{}.{}", value / 10, value % 10), "g")
    }

    /// A levain with a seed of the batch before, in the top formula.
    fn levain(&mut self) {
        let seed_line = Line {
            previous_batch: true,
            ..parts_line("levain", tenths(self.seed.between(50, 400)))
        };
        let lines = vec![
            parts_line("white-flour", tenths(1_000)),
            parts_line("water", tenths(self.seed.between(500, 1_200))),
            seed_line,
        ];
        let levain = Formula {
            losses: self.losses(),
            keep_back_after_last: Some(self.grams(1_000, 9_000)),
            made: Made::At { at: at(-1, 2, 0), until: None },
            ..formula("levain", lines)
        };
        self.draft.formulas.push(levain);
        let top = self.levels.last().and_then(|level| level.first()).cloned();
        let used = self.draft.formulas.iter_mut().find(|found| Some(&found.code) == top.as_ref());
        if let Some(user) = used.filter(|user| matches!(user.base, Base::Parts)) {
            user.lines.push(parts_line("levain", tenths(200)));
        }
    }

    fn laminated(&mut self) {
        let lines = ["white-flour", "milk", "sugar", "yeast"]
            .map(|name| parts_line(name, tenths(self.seed.between(20, 1_000))));
        let mut base = formula("base-dough", lines.to_vec());
        base.mixer = Some(code("large-mixer"));
        base.dough_class = Some("stiff".to_owned());
        base.made = Made::At { at: at(-2, 10, 0), until: None };
        let blocks = Blocks {
            base: code("base-dough"),
            sheet: code("fat-sheet"),
            sheet_mass: quantity("1000", "g"),
            percent: tenths(self.seed.between(200, 350)),
            step: self.seed.between(1, 2),
        };
        let laminated = Formula {
            base: Base::Blocks(blocks),
            losses: self.losses(),
            made: Made::At { at: at(-1, 8, 0), until: None },
            ..formula("laminated", Vec::new())
        };
        self.draft.formulas.extend([base, laminated]);
    }

    fn product(&mut self, number: i64) -> Product {
        let dough = self.dough();
        let tray =
            self.seed.chance(60).then(|| Tray { pieces: self.seed.between(6, 24), group: None });
        let overs = match self.seed.below(4) {
            0 => Overs::Pack { multiple: self.seed.between(2, 12) },
            1 => Overs::Fixed { pieces: self.seed.between(0, 5) },
            2 if tray.is_some() => Overs::Tray,
            _ => Overs::None,
        };
        let mut make_up = vec![self.make_up(dough.as_str(), 500, 9_000)];
        for topping in ["seeds", "sugar", "milk", "zest", "juice", "egg", "paper"] {
            if self.seed.chance(20) {
                make_up.push(self.topping(topping, tray.is_some()));
            }
        }
        let below = self.levels.iter().flatten().next().cloned();
        if let Some(filling) = below.filter(|filling| *filling != dough && self.seed.chance(40)) {
            make_up.push(self.make_up(filling.as_str(), 20, 400));
        }
        if number > 1 && self.seed.chance(30) {
            make_up.push(MakeUp::Product {
                product: code(&format!("piece-{}", number - 1)),
                pieces: self.seed.between(1, 2),
                day_offset: i32::try_from(self.seed.between(-1, 0)).unwrap_or(0),
            });
        }
        let baked = self.seed.chance(20).then(|| Baked {
            dough: dough.clone(),
            mass: self.grams(500, 9_000),
            bake_loss_percent: tenths(self.seed.between(80, 220)),
            cool_loss_percent: tenths(self.seed.between(0, 20)),
        });
        Product {
            code: code(&format!("piece-{number}")),
            name: format!("Piece {number}"),
            dough: Some(dough),
            reject_percent: tenths(self.seed.between(0, 40)),
            test_pieces: if self.seed.chance(30) { 1 } else { 0 },
            overs,
            tray,
            route: None,
            baking: None,
            sale_pack: 1,
            thaw_minutes: 0,
            par_baked: None,
            cutoff: None,
            price: None,
            sale_life: None,
            made_ahead: None,
            baked,
            make_up,
            label: domain::labelling::ProductLabel::default(),
        }
    }

    fn dough(&mut self) -> Code {
        let blocks: Vec<Code> = self
            .draft
            .formulas
            .iter()
            .filter(|found| matches!(found.base, Base::Blocks(_)))
            .map(|found| found.code.clone())
            .collect();
        if !blocks.is_empty() && self.seed.chance(30) {
            return blocks[0].clone();
        }
        let top = self.levels.last().cloned().unwrap_or_default();
        self.seed.pick(&top)
    }

    fn make_up(&mut self, item: &str, least: i64, most: i64) -> MakeUp {
        MakeUp::Item {
            item: code(item),
            amount: MakeUpAmount::Amount(self.grams(least, most)),
            per: Per::Piece,
            included: false,
            at: None,
        }
    }

    fn topping(&mut self, item: &str, trays: bool) -> MakeUp {
        let amount = match item {
            "paper" => quantity("1", "each"),
            "milk" => quantity(&self.seed.between(1, 9).to_string(), "mL"),
            "egg" if self.seed.chance(50) => quantity(self.seed.pick(&["1", "0.5"]), "each"),
            _ => self.grams(1, 150),
        };
        let per = if trays && self.seed.chance(40) { Per::Tray } else { Per::Piece };
        MakeUp::Item {
            item: code(item),
            amount: MakeUpAmount::Amount(amount),
            per,
            included: item == "seeds" && per == Per::Piece && self.seed.chance(30),
            at: Some(at(0, self.seed.pick(&[3, 4, 5]), self.seed.pick(&[0, 17]))),
        }
    }
}
