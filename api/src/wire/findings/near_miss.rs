//! Doughs of which a little less would save a load.

use super::board::Exception;
use crate::{
    service::plan::Morning,
    wire::{day_board::BoardLeverView, printed},
};
use domain::plan::{Batch, NearMiss, near_miss};
use jiff::civil::Date;

/// Near misses of some service dates.
fn found(morning: &Morning, wanted: impl Fn(Date) -> bool) -> Vec<(&Batch, NearMiss)> {
    let batches = morning.plan.batches.iter().map(|batch| &**batch);
    let batches = batches.filter(|batch| wanted(batch.service_date));
    let miss = |batch| near_miss(&morning.bakery, &morning.plan, batch).unwrap_or(None);
    batches.filter_map(|batch| Some((batch, miss(batch)?))).collect()
}

fn cut((_, miss): &(&Batch, NearMiss)) -> String {
    let of = if miss.of_overs { "overs" } else { "dough" };
    format!("cut {} of {of} to save a load", printed::sum(miss.cut_ug).said())
}

fn words(morning: &Morning, one: &(&Batch, NearMiss)) -> String {
    let (batch, miss) = one;
    format!(
        "{} for {}: {} loads, the last for a little; {}",
        morning.bakery.item(batch.item).name,
        batch.service_date,
        miss.loads + 1,
        cut(one)
    )
}

/// Remarks on some service dates.
pub(super) fn notes(morning: &Morning, wanted: impl Fn(Date) -> bool) -> Vec<String> {
    found(morning, wanted).iter().map(|one| words(morning, one)).collect()
}

/// The same as things that a person may decide.
pub(super) fn exceptions(morning: &Morning, wanted: impl Fn(Date) -> bool) -> Vec<Exception> {
    let exception = |one: &(&Batch, NearMiss)| Exception {
        by: "capacity",
        what: words(morning, one),
        act_by: one.0.made_at,
        levers: vec![
            BoardLeverView::new(
                cut(one),
                Some(
                    if one.1.of_overs {
                        "fewer overs, no order"
                    } else {
                        "each piece lighter by as much"
                    }
                    .to_owned(),
                ),
            ),
            BoardLeverView::new("leave it as it is", Some("one load more".to_owned())),
        ],
    };
    found(morning, wanted).iter().map(exception).collect()
}
