//! Low-level-code order of formulas, and the cycles that make one impossible.

use crate::{
    bakery::{BakeryDraft, Index},
    fault::{FaultKind, Faults},
    formula::{Base, Formula},
    id::Code,
    limits::NESTING_MAX,
};
use std::collections::BTreeSet;

/// The sub-formulas that a formula takes today: not those from a previous batch.
fn uses(formula: &Formula) -> Vec<(String, &Code)> {
    match &formula.base {
        Base::Blocks(blocks) => {
            vec![
                ("blocks/base".to_owned(), &blocks.base),
                ("blocks/sheet".to_owned(), &blocks.sheet),
            ]
        }
        _ => formula
            .lines
            .iter()
            .enumerate()
            .filter(|(_, line)| !line.previous_batch)
            .map(|(number, line)| (format!("lines/{number}/item"), &line.item))
            .collect(),
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Visit {
    No,
    Open,
    Done,
}

struct Walk<'a> {
    draft: &'a BakeryDraft,
    formula_of_item: Vec<Option<u32>>,
    index: &'a Index,
    visits: Vec<Visit>,
    path: Vec<u32>,
    /// Formulas in the order they are finished: sub-formulas first.
    finished: Vec<u32>,
    depth: Vec<usize>,
    endless: BTreeSet<u32>,
}

/// The chosen formulas with their levels, users before what they use, ties as listed.
pub(super) struct Order {
    /// Position and level of each.
    pub(super) formulas: Vec<(u32, u32)>,
    /// Those in a cycle, or nested too deep to be followed.
    pub(super) endless: BTreeSet<u32>,
}

/// Orders the chosen formulas; notes cycles and what is nested too deep.
pub(super) fn low_level_order(
    draft: &BakeryDraft,
    index: &Index,
    chosen: &[u32],
    faults: &mut Faults,
) -> Order {
    let mut formula_of_item = vec![None; draft.items.len()];
    for &position in chosen {
        if let Some(item) = index.item(draft.formulas[position as usize].code.as_str()) {
            formula_of_item[item as usize] = Some(position);
        }
    }
    let mut walk = Walk {
        draft,
        formula_of_item,
        index,
        visits: vec![Visit::No; draft.formulas.len()],
        path: Vec::new(),
        finished: Vec::new(),
        depth: vec![0; draft.formulas.len()],
        endless: BTreeSet::new(),
    };
    for &position in chosen {
        walk.visit(position, faults);
    }
    let mut levels = vec![0_u32; draft.formulas.len()];
    for &user in walk.finished.iter().rev() {
        for (_, code) in uses(&draft.formulas[user as usize]) {
            if let Some(used) = walk.formula_of(code) {
                let below = levels[user as usize] + 1;
                levels[used as usize] = levels[used as usize].max(below);
            }
        }
    }
    let mut order: Vec<(u32, u32)> =
        chosen.iter().map(|&position| (position, levels[position as usize])).collect();
    order.sort_by_key(|&(position, level)| (level, position));
    Order { formulas: order, endless: walk.endless }
}

impl Walk<'_> {
    fn formula_of(&self, code: &Code) -> Option<u32> {
        self.index.item(code.as_str()).and_then(|item| self.formula_of_item[item as usize])
    }

    fn visit(&mut self, position: u32, faults: &mut Faults) {
        if self.visits[position as usize] != Visit::No {
            return;
        }
        self.visits[position as usize] = Visit::Open;
        self.path.push(position);
        let formula = &self.draft.formulas[position as usize];
        let mut deepest = 0;
        for (field, code) in uses(formula) {
            let Some(used) = self.formula_of(code) else { continue };
            let pointer = format!("/formulas/{position}/{field}");
            match self.visits[used as usize] {
                Visit::Open => self.cycle(used, &pointer, faults),
                // A chain far beyond the limit is not followed: the stack is finite too.
                Visit::No if self.path.len() > NESTING_MAX => {}
                Visit::No | Visit::Done => self.visit(used, faults),
            }
            deepest = deepest.max(self.depth[used as usize]);
            if self.path.len() > NESTING_MAX {
                deepest = deepest.max(NESTING_MAX);
            }
        }
        self.depth[position as usize] = deepest + 1;
        if deepest + 1 > NESTING_MAX {
            self.endless.insert(position);
        }
        if deepest + 1 == NESTING_MAX + 1 {
            faults.add(
                format_args!("/formulas/{position}"),
                FaultKind::NestingTooDeep,
                format!(
                    "formula `{}` nests deeper than {NESTING_MAX} levels: take some of them out",
                    formula.code
                ),
            );
        }
        self.path.pop();
        self.visits[position as usize] = Visit::Done;
        self.finished.push(position);
    }

    fn cycle(&mut self, back_to: u32, pointer: &str, faults: &mut Faults) {
        let from = self.path.iter().position(|&step| step == back_to).unwrap_or(0);
        self.endless.extend(&self.path[from..]);
        let name = |&step: &u32| self.draft.formulas[step as usize].code.as_str();
        let mut path: Vec<&str> = self.path[from..].iter().map(name).collect();
        path.push(name(&back_to));
        faults.add(
            pointer,
            FaultKind::FormulaCycle,
            format!(
                "a formula contains itself: {}. Take one line out, or mark it as from a previous batch",
                path.join(" → ")
            ),
        );
    }
}
