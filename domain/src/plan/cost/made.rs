//! What made things cost: their lines, losses and residue, shared by what users take.

use super::{
    Cost, Costing,
    masses::{Made, Making, in_net_unit, remaining},
};
use crate::{
    bakery::Driver,
    figure::Figure,
    quantity::{MICRO, Unit},
};

impl Costing<'_> {
    /// Cost of what users take of a made thing: of a microgram, or of a batch.
    pub(super) fn made(&mut self, day: usize, at: usize) -> Cost {
        if let Some(found) = &self.days[day].made[at] {
            return found.clone();
        }
        // A thing that costs itself through old dough is worth what it was made of.
        self.days[day].made[at] = Some(Cost::default());
        let mut cost = self.batch(day, at);
        self.add_overheads(day, at, &mut cost);
        self.days[day].made[at] = Some(cost.clone());
        cost
    }

    fn batch(&mut self, day: usize, at: usize) -> Cost {
        let recipe = &self.recipes(day).recipes[at];
        let of_date = self.days[day].masses[at].clone();
        let left = remaining(self.terms.yields(self.bakery, self.days[day].date), recipe);
        let one = Figure::whole(1);
        if let Driver::Blocks { base, sheet, sheet_ug, ratio, .. } = recipe.driver {
            let (net, dough, sheets) = match of_date {
                Some(Made { net, making: Making::Blocks(dough, sheets) }) => (net, dough, sheets),
                // Not made for this date: by its shares alone.
                _ => {
                    let counted = self.bakery.item(sheet).base_unit == Unit::Each;
                    let fat = Figure::from(ratio);
                    let net = one.plus(&fat).times(&left.into());
                    let sheets = if counted {
                        fat.times(&Figure::whole(MICRO)).over(&sheet_ug.into())
                    } else {
                        fat
                    };
                    (net, one, sheets)
                }
            };
            let counted = self.bakery.item(sheet).base_unit == Unit::Each;
            let mut all = self.input(day, base, (&dough, false));
            all.add(&self.input(day, sheet, (&sheets, counted)), &Figure::whole(1));
            return all.times(&Figure::whole(1).over(&net));
        }
        let (lines, fresh) = self.lines(day, at);
        let per_net = match of_date {
            Some(Made { net, making: Making::Mixed(charged) }) => charged.over(&net).over(&fresh),
            Some(Made { net, making: Making::Counted(batches) }) => batches.over(&net),
            _ => match recipe.driver {
                Driver::Batch { bowl_ug, .. } if bowl_ug.is_zero() => one.over(&left.into()),
                Driver::Batch { bowl_ug, .. } => {
                    Figure::from(bowl_ug).over(&left.into()).over(&fresh)
                }
                _ => one.over(&left.into()).over(&fresh),
            },
        };
        lines.times(&per_net)
    }

    /// All lines of a recipe at their parts, own seed left out; and the parts of what is
    /// mixed without that seed, which is valued like the levain it came from.
    fn lines(&mut self, day: usize, at: usize) -> (Cost, Figure) {
        let recipes = self.recipes(day);
        let recipe = &recipes.recipes[at];
        let state = self.days[day].state;
        let mut all = self.states[state].bought_lines(at);
        let mut seed = 0;
        for line in recipes.lines_of(recipe) {
            if line.flags.previous_batch() && line.item == recipe.item {
                seed += line.parts;
            } else if recipes.of_item(line.item).is_some() {
                let parts = Figure::whole(line.parts);
                let input = self.input(day, line.item, (&parts, line.flags.counted()));
                all.add(&input, &Figure::whole(1));
            }
        }
        let mixed = match recipe.driver {
            Driver::Batch { bowl_ug, .. } => Figure::from(bowl_ug),
            _ => Figure::whole(recipe.parts_sum),
        };
        (all, mixed.minus(&Figure::whole(seed)))
    }

    /// So many micrograms or millionths of an item, made or bought.
    fn input(&mut self, day: usize, item: u32, (micro, counted): (&Figure, bool)) -> Cost {
        let recipes = self.recipes(day);
        match recipes.of_item(item) {
            Some(at) => {
                let amount = in_net_unit(&recipes.recipes[at], micro, counted);
                self.made(day, at).times(&amount)
            }
            None => self.states[self.days[day].state].of(item, counted).times(micro),
        }
    }

    /// Dusting flour and the like, where a rate is agreed: by the kilogram of dough.
    fn add_overheads(&self, day: usize, at: usize, cost: &mut Cost) {
        let recipe = &self.recipes(day).recipes[at];
        if matches!(recipe.driver, Driver::Batch { .. }) {
            return;
        }
        let code = &self.bakery.item(recipe.item).code;
        let touching = self.bakery.lists().overheads.iter().filter(|one| one.doughs.contains(code));
        for overhead in touching {
            let item = self.bakery.index().item(overhead.item.as_str());
            let (Some(item), Some(per_kg)) = (item, overhead.per_kg) else { continue };
            let Ok(Some(amount)) = self.bakery.item(item).in_base_unit(per_kg) else {
                cost.missing.insert(item);
                continue;
            };
            let each = self.states[self.days[day].state].of(item, true);
            cost.add(&each, &Figure::from(amount).over(&Figure::whole(1_000 * MICRO)));
        }
    }
}
