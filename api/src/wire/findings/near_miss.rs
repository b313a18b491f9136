//! Doughs of which a little less would save a load.

use super::board::Exception;
use crate::{
    messages::Sentence,
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

fn cut((_, miss): &(&Batch, NearMiss)) -> Sentence {
    let message = if miss.of_overs { "finding-cut-overs" } else { "finding-cut-dough" };
    Sentence::of(message).with("mass", Sentence::amount(printed::sum(miss.cut_ug).said()))
}

fn words(morning: &Morning, one: &(&Batch, NearMiss)) -> Sentence {
    let (batch, miss) = one;
    Sentence::of("finding-near-miss")
        .with("made", &morning.bakery.item(batch.item).name)
        .with("date", Sentence::date(batch.service_date))
        .with("loads", (miss.loads + 1).to_string())
        .with("cut", cut(one))
}

/// Remarks on some service dates.
pub(super) fn notes(morning: &Morning, wanted: impl Fn(Date) -> bool) -> Vec<Sentence> {
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
                Some(Sentence::of(if one.1.of_overs {
                    "board-fewer-overs"
                } else {
                    "board-each-lighter"
                })),
            ),
            BoardLeverView::new(
                Sentence::of("board-leave-as-is"),
                Some(Sentence::of("board-one-load-more")),
            ),
        ],
    };
    found(morning, wanted).iter().map(exception).collect()
}
