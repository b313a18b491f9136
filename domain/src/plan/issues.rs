//! What a batch takes over all its loads: one load rounded, then multiplied.

use super::Batch;
use crate::{
    bakery::{Bakery, Driver, Recipe, RecipeLine},
    quantity::{MICRO, Unit},
    ratio::{Overflow, Ratio},
};

/// What a batch takes of one item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Issue {
    /// Position of the item.
    pub item: u32,
    /// Micrograms, or millionths of a piece if it is counted.
    pub micro: Ratio,
    /// Whether it is counted and not weighed.
    pub counted: bool,
    /// Whether it is drawn from a batch made before.
    pub previous_batch: bool,
    /// Whole pieces to crack or cut for it, if its stock is counted.
    pub count: Option<i64>,
}

pub(super) fn issues(
    bakery: &Bakery,
    recipe: &Recipe,
    lines: &[RecipeLine],
    batch: &Batch,
) -> Result<Vec<Issue>, Overflow> {
    if let (Driver::Blocks { base, sheet, sheet_ug, ratio, .. }, Some(blocks)) =
        (recipe.driver, batch.blocks)
    {
        if blocks == 0 {
            return Ok(Vec::new());
        }
        let blocks = Ratio::whole(blocks.into());
        let plain = |item, micro, counted| Issue {
            item,
            micro,
            counted,
            previous_batch: false,
            count: None,
        };
        let counted = bakery.item(sheet).base_unit == Unit::Each;
        let sheets = if counted {
            blocks.times(Ratio::whole(MICRO.into()))?
        } else {
            blocks.times(sheet_ug)?
        };
        return Ok(vec![
            plain(base, sheet_ug.over(ratio)?.times(blocks)?, false),
            plain(sheet, sheets, counted),
        ]);
    }
    let mut issues: Vec<Issue> = Vec::with_capacity(lines.len());
    for (number, group) in batch.groups.iter().enumerate() {
        let new_items = number == 0 && recipe.distinct_items;
        for (line, weighed) in lines.iter().zip(&group.lines) {
            let micro = weighed.micro.checked_mul(group.group.loads).ok_or(Overflow)?;
            let micro = Ratio::whole(micro.into());
            let counted = line.flags.counted();
            let previous_batch = line.flags.previous_batch();
            let same = |issue: &&mut Issue| {
                issue.item == line.item
                    && issue.counted == counted
                    && issue.previous_batch == previous_batch
            };
            let held = if new_items { None } else { issues.iter_mut().find(same) };
            match held {
                Some(issue) => issue.micro = issue.micro.plus(micro)?,
                None => issues.push(Issue {
                    item: line.item,
                    micro,
                    counted,
                    previous_batch,
                    count: None,
                }),
            }
        }
    }
    for issue in &mut issues {
        let item = bakery.item(issue.item);
        if item.base_unit == Unit::Each && !issue.counted {
            issue.count =
                item.grams_per_base_unit().map(|grams| pieces(issue.micro, grams)).transpose()?;
        }
    }
    Ok(issues)
}

/// Whole pieces for a mass in micrograms, one giving so many grams.
pub(super) fn pieces(ug: Ratio, grams_each: Ratio) -> Result<i64, Overflow> {
    let each = grams_each.times(Ratio::whole(MICRO.into()))?;
    i64::try_from(ug.over(each)?.ceil()).map_err(|_| Overflow)
}
