//! Checks of what says when something happens: routes, made times, mixing, baking.

use super::{BakeryDraft, check::Check};
use crate::{
    fault::FaultKind,
    formula::{Formula, Made},
    id::Code,
    product::Product,
    route::{Length, Route, Station},
};

impl Check<'_> {
    pub(super) fn made(&mut self, draft: &BakeryDraft, formula: &Formula) {
        match &formula.made {
            Made::At { at, until } => {
                self.whole("made/day", at.day.into(), -31, 31);
                if until.is_some_and(|until| until < at.time) {
                    self.fault(
                        "made/until",
                        FaultKind::OutOfRange,
                        "until must not be before time".to_owned(),
                    );
                }
            }
            Made::Products { step } => {
                let has = |code: &Code| {
                    let position = self.index.route(code.as_str());
                    position.is_some_and(|position| {
                        let steps = &draft.routes[position as usize].steps;
                        steps.iter().any(|found| found.name == *step)
                    })
                };
                let mut users = draft
                    .products
                    .iter()
                    .filter(|product| product.dough.as_ref() == Some(&formula.code));
                let without = users.find(|product| !product.route.as_ref().is_some_and(has));
                if let Some(product) = without {
                    self.fault(
                        "made/by_products",
                        FaultKind::UnknownCode,
                        format!("the route of product `{}` has no step `{step}`", product.code),
                    );
                }
            }
            Made::Step { route, step, .. } => {
                let found = self.index.route(route.as_str());
                self.known("made/route", "route", found, route);
                let has = |position: u32| {
                    draft.routes[position as usize].steps.iter().any(|found| found.name == *step)
                };
                if found.is_some_and(|position| !has(position)) {
                    self.fault(
                        "made/step",
                        FaultKind::UnknownCode,
                        format!("route `{route}` has no step `{step}`"),
                    );
                }
            }
        }
    }

    pub(super) fn mixing(&mut self, formula: &Formula) {
        let Some(mixing) = &formula.mixing else { return };
        self.whole("mixing/slow_minutes", mixing.slow_minutes, 0, 1_000);
        self.whole("mixing/fast_minutes", mixing.fast_minutes, 0, 1_000);
        self.whole("mixing/between_minutes", mixing.between_minutes, 0, 1_000);
        for (row, addition) in mixing.additions.iter().enumerate() {
            let field = format!("mixing/additions/{row}");
            self.whole(&format!("{field}/minute"), addition.minute, 0, mixing.minutes());
            if !formula.lines.iter().any(|line| line.item == addition.item) {
                self.fault(
                    &format!("{field}/item"),
                    FaultKind::UnknownCode,
                    format!("formula `{}` has no line `{}`", formula.code, addition.item),
                );
            }
        }
    }

    pub(super) fn baking(&mut self, product: &Product) {
        let Some(baking) = &product.baking else { return };
        self.whole("baking/minutes", baking.minutes, 1, 10_000);
        self.whole("baking/cool_minutes", baking.cool_minutes, 0, 10_000);
        let found = self.index.oven(baking.oven.as_str());
        self.known("baking/oven", "oven", found, &baking.oven);
    }

    pub(super) fn par_baked(&mut self, product: &Product) {
        let Some(par_baked) = &product.par_baked else { return };
        let found = self.index.route(par_baked.route.as_str());
        self.known("par_baked/route", "route", found, &par_baked.route);
        if let Some((least, most)) = par_baked.age {
            self.whole("par_baked/age_window/least", least, 0, 1_000_000);
            self.whole("par_baked/age_window/most", most, least.max(0), 1_000_000);
        }
    }

    pub(super) fn route(&mut self, route: &Route) {
        for (row, step) in route.steps.iter().enumerate() {
            let field = format!("steps/{row}");
            if let Some(Station::Place(place)) = &step.station {
                let found = self.index.place(place.as_str());
                self.known(&format!("{field}/station/place"), "place", found, place);
            }
            match step.length {
                Length::Fixed { minutes } => {
                    self.whole(&format!("{field}/minutes"), minutes, 0, 100_000)
                }
                Length::PerLoad { minutes, between_minutes } => {
                    self.whole(&format!("{field}/per_load"), minutes, 0, 10_000);
                    self.whole(&format!("{field}/between"), between_minutes, 0, 10_000);
                }
                Length::PerPiece { seconds } => {
                    self.whole(&format!("{field}/per_piece_seconds"), seconds, 0, 100_000);
                }
                Length::Window { least_minutes, most_minutes } => {
                    self.whole(&format!("{field}/window/least"), least_minutes, 0, 100_000);
                    self.whole(
                        &format!("{field}/window/most"),
                        most_minutes,
                        least_minutes.max(0),
                        100_000,
                    );
                }
            }
            for (name, team) in [("team", &step.team), ("start_team", &step.start_team)] {
                if let Some(team) = team {
                    let found = self.index.team(team.as_str());
                    self.known(&format!("{field}/{name}"), "team", found, team);
                }
            }
        }
        for (row, limit) in route.limits.iter().enumerate() {
            for name in &limit.steps {
                self.step_known(&format!("limits/{row}/steps"), route, name);
            }
        }
        for (row, age) in route.ages.iter().enumerate() {
            let field = format!("ages/{row}");
            let after = self.step_known(&format!("{field}/after"), route, &age.after);
            let before = self.step_known(&format!("{field}/before"), route, &age.before);
            if let (Some(after), Some(before)) = (after, before)
                && after >= before
            {
                let detail = format!("step `{}` does not come after `{}`", age.before, age.after);
                self.fault(&format!("{field}/before"), FaultKind::OutOfRange, detail);
            }
            self.whole(&format!("{field}/least"), age.least_minutes, 0, 100_000);
            self.whole(
                &format!("{field}/most"),
                age.most_minutes,
                age.least_minutes.max(0),
                100_000,
            );
        }
    }

    /// The place of a step in its route.
    fn step_known(&mut self, field: &str, route: &Route, name: &str) -> Option<usize> {
        let found = route.steps.iter().position(|step| step.name == *name);
        if found.is_none() {
            let detail = format!("route `{}` has no step `{name}`", route.code);
            self.fault(field, FaultKind::UnknownCode, detail);
        }
        found
    }
}
