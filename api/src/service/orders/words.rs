//! What is said of a line of an order: a stable word and a plain sentence.

use super::{Line, LineReason};
use crate::messages::Sentence;
use domain::{
    bakery::Bakery,
    equipment::Mixer,
    plan::check::{Bound, FirstStep, LineAnswer, LoadOf, Sources},
    quantity::{MICRO, Unit},
    ratio::Ratio,
};
use jiff::{Timestamp, civil::Date};

/// Micrograms of a kilogram, and the same step for litres.
const KILO: i128 = 1_000_000_000;

/// Whether a line may still be changed by its sender.
#[must_use]
pub fn is_in_time(answer: &LineAnswer, now: Timestamp) -> bool {
    answer.cutoff.is_none_or(|cutoff| cutoff >= now)
}

/// The word for what stands in the way of a line, or where it comes from.
#[must_use]
pub fn reason(answer: &LineAnswer) -> Option<LineReason> {
    let Sources { stock, overs, load, load_of, .. } = answer.sources;
    if answer.at_most < answer.asked {
        return answer.bound.as_ref().map(word);
    }
    if load > 0 && load_of == Some(LoadOf::Extra) {
        return Some(LineReason::ExtraLoad);
    }
    if answer.late {
        return Some(LineReason::Cutoff);
    }
    match (load, overs, stock) {
        (0, 1.., _) => Some(LineReason::FromOvers),
        (0, 0, 1..) => Some(LineReason::FromStock),
        _ if answer.surplus > 0 => Some(LineReason::Surplus),
        _ => None,
    }
}

/// The word for what stands in the way.
const fn word(bound: &Bound) -> LineReason {
    match bound {
        Bound::TooLate(_) | Bound::DropPast { .. } => LineReason::TooLate,
        Bound::Cutoff { .. } => LineReason::Cutoff,
        Bound::Staff { .. } => LineReason::Staff,
        Bound::AgeWindow { .. } => LineReason::AgeWindow,
        Bound::Capacity { .. } => LineReason::Capacity,
        Bound::Mixer { .. } => LineReason::Mixer,
        Bound::Ingredient { .. } | Bound::EarlierGoods { .. } => LineReason::Ingredient,
    }
}

/// What is said of a line that was taken, in part or whole.
#[must_use]
pub fn taken(bakery: &Bakery, line: &Line, answer: &LineAnswer) -> Sentence {
    let (taken, asked) = (line.quantity_taken, answer.asked);
    let head = match (taken, asked) {
        (_, 0) => Sentence::of("order-said-cancelled"),
        (0, _) => Sentence::of("order-said-none-taken").with("asked", pieces(asked)),
        _ if taken < asked => {
            Sentence::of("order-said-some-taken").with("taken", taken).with("asked", pieces(asked))
        }
        _ => Sentence::of("order-said-taken").with("pieces", pieces(taken)),
    };
    said(bakery, head, answer)
}

/// What is said of a line that is only asked about.
#[must_use]
pub fn asked(bakery: &Bakery, answer: &LineAnswer) -> Sentence {
    let (most, asked) = (answer.at_most, answer.asked);
    let head = match (most, asked) {
        (_, 0) => Sentence::of("order-said-none-wanted"),
        (0, _) => Sentence::of("order-said-none-possible").with("asked", pieces(asked)),
        _ if most < asked => {
            Sentence::of("order-said-at-most").with("most", most).with("asked", pieces(asked))
        }
        _ => Sentence::of("order-said-possible").with("pieces", pieces(most)),
    };
    said(bakery, head, answer)
}

/// A number of pieces: `1 piece`.
fn pieces(count: i64) -> Sentence {
    Sentence::of("order-said-pieces").with("pieces", count)
}

fn said(bakery: &Bakery, head: Sentence, answer: &LineAnswer) -> Sentence {
    let mut parts = vec![match from(bakery, answer) {
        Some(from) => Sentence::of("order-said-from").with("what", head).with("from", from),
        None => Sentence::of("order-said").with("what", head),
    }];
    if answer.surplus > 0 {
        let surplus = match &answer.first_step {
            Some(step) => {
                Sentence::of("order-said-surplus-begun").with("begun", began(bakery, step))
            }
            None => Sentence::of("order-said-surplus"),
        };
        parts.push(surplus.with("pieces", answer.surplus));
    }
    parts.extend(answer.bound.as_ref().map(|bound| sentence(bakery, bound)));
    parts.extend(answer.no_extra.as_ref().and_then(|bound| no_extra(bakery, bound, answer)));
    if let Some(earliest) = answer.earliest {
        parts.push(Sentence::of("order-said-earliest").with("at", clock(bakery, earliest)));
    }
    Sentence::joined(" ", parts)
}

/// Why no extra load makes the rest, unless that is said already.
fn no_extra(bakery: &Bakery, bound: &Bound, answer: &LineAnswer) -> Option<Sentence> {
    let first_at = answer.first_step.as_ref().map(|step| step.at);
    Some(match bound {
        Bound::TooLate(step) if Some(step.at) == first_at => return None,
        Bound::TooLate(step) => {
            Sentence::of("order-said-extra-by").with("at", clock(bakery, step.at))
        }
        bound => Sentence::of("order-said-no-extra").with("why", sentence(bakery, bound).inside()),
    })
}

/// Where pieces beyond those held come from, if that is worth a word.
fn from(bakery: &Bakery, answer: &LineAnswer) -> Option<Sentence> {
    let Sources { stock, overs, load, load_of, .. } = answer.sources;
    let mut parts = Vec::new();
    if stock > 0 {
        parts.push(Sentence::of("order-said-from-stock").with("pieces", stock));
    }
    if overs > 0 {
        parts.push(Sentence::of("order-said-from-overs").with("pieces", overs));
    }
    if load > 0 && load_of == Some(LoadOf::Extra) {
        let extra = match &answer.extra_step {
            Some(step) => Sentence::of("order-said-from-extra-by")
                .with("at", clock(bakery, step.at))
                .with("step", &step.step),
            None => Sentence::of("order-said-from-extra"),
        };
        parts.push(extra.with("pieces", load));
    } else if load > 0 && !parts.is_empty() {
        parts.push(Sentence::of("order-said-to-make").with("pieces", load));
    }
    (!parts.is_empty()).then(|| Sentence::joined(", ", parts))
}

/// What stands in the way, as a sentence.
fn sentence(bakery: &Bakery, bound: &Bound) -> Sentence {
    let of_item =
        |message, item: &u32| Sentence::of(message).with("item", &bakery.item(*item).name);
    match bound {
        Bound::TooLate(step) => {
            Sentence::of("order-said-too-late").with("begun", began(bakery, step))
        }
        Bound::DropPast { at } => {
            Sentence::of("order-said-drop-past").with("at", clock(bakery, *at))
        }
        Bound::Cutoff { at } => {
            Sentence::of("order-said-after-cutoff").with("at", clock(bakery, *at))
        }
        Bound::Staff { item, step } => of_item("order-said-staff", item).with("step", step),
        Bound::AgeWindow { item, step, minutes } => match minutes {
            Some(minutes) => of_item("order-said-age-window-by", item).with("minutes", *minutes),
            None => of_item("order-said-age-window", item),
        }
        .with("step", step),
        Bound::Capacity { item, spot } => {
            of_item("order-said-capacity", item).with("spot", spot.called(bakery).1)
        }
        Bound::Mixer { item, service_date, under } => {
            match under.zip(mixer_of(bakery, *item, *service_date)) {
                Some((mass, mixer)) => of_item("order-said-under-minimum", item)
                    .with("mass", Sentence::amount(format!("{} kg", kilo(mass))))
                    .with("mixer", &mixer.name)
                    .with(
                        "least",
                        Sentence::amount(format!(
                            "{} kg",
                            kilo(Ratio::whole(mixer.minimum_ug.into()))
                        )),
                    ),
                None => of_item("order-said-too-many-loads", item),
            }
        }
        Bound::Ingredient { item, at, short_micro, cutoff } => match cutoff {
            Some(cutoff) => {
                of_item("order-said-missing-closed", item).with("cutoff", clock(bakery, *cutoff))
            }
            None => of_item("order-said-missing", item),
        }
        .with("amount", amount(*short_micro, bakery.item(*item).base_unit))
        .with("at", clock(bakery, *at)),
        Bound::EarlierGoods { product, baked, short } => Sentence::of("order-said-missing-earlier")
            .with("product", &bakery.product(*product).name)
            .with("pieces", pieces(*short))
            .with("day", Sentence::day(baked)),
    }
}

/// The mixer of what is made by a formula on a date.
fn mixer_of(bakery: &Bakery, item: u32, service_date: Date) -> Option<&Mixer> {
    let recipes = bakery.recipes(service_date);
    let (mixer, _) = recipes.recipes[recipes.of_item(item)?].mixer?;
    Some(&bakery.lists().mixers[mixer as usize])
}

/// A first step as something that happened, or that would have had to.
fn began(bakery: &Bakery, step: &FirstStep) -> Sentence {
    let FirstStep { at, item, step, planned } = step;
    let of = |was, had_to_be| Sentence::of(if *planned { was } else { had_to_be });
    let began = match step.as_str() {
        "weigh" => of("order-said-weighed", "order-said-had-to-be-weighed"),
        "mix" => of("order-said-mixed", "order-said-had-to-be-mixed"),
        "make" => of("order-said-made", "order-said-had-to-be-made"),
        "feed" => of("order-said-fed", "order-said-had-to-be-fed"),
        other => of("order-said-begun", "order-said-had-to-be-begun").with("step", other),
    };
    began.with("item", &bakery.item(*item).name).with("at", clock(bakery, *at))
}

/// An instant on the bakery's clock.
fn clock(bakery: &Bakery, at: Timestamp) -> Sentence {
    Sentence::moment(bakery.site().time_zone.to_datetime(at).to_string())
}

fn kilo(micro: Ratio) -> String {
    micro.over(Ratio::whole(KILO)).map_or_else(|_| "many".to_owned(), |kilo| kilo.to_decimal(2))
}

/// Grams or millilitres below a kilogram or litre, and those above.
fn amount(micro: i64, unit: Unit) -> Sentence {
    let exact = Ratio::whole(micro.into());
    let small = i128::from(micro) < KILO;
    let base = exact.over(Ratio::whole(MICRO.into())).unwrap_or(exact);
    Sentence::amount(match unit {
        Unit::Each => return pieces(i64::try_from(base.ceil()).unwrap_or(i64::MAX)),
        Unit::Millilitre if small => format!("{} mL", base.to_decimal(1)),
        Unit::Millilitre => format!("{} L", kilo(exact)),
        Unit::Gram if small => format!("{} g", base.to_decimal(1)),
        Unit::Gram => format!("{} kg", kilo(exact)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        messages::{Language, Words},
        service::orders::tests::bakery,
    };
    use domain::plan::Spot;

    /// Thursday 11 June 2026, 06:04 on the clock of the demo bakery.
    const AT: Timestamp = Timestamp::constant(1_781_150_645, 0);

    fn step(step: &str, planned: bool) -> FirstStep {
        FirstStep { at: AT, item: 3, step: step.to_owned(), planned }
    }

    /// What is said of a line of six pieces of which five can be made.
    fn answer(bakery: &Bakery, alter: impl FnOnce(&mut LineAnswer)) -> Sentence {
        let mut answer = LineAnswer {
            asked: 6,
            at_most: 5,
            sources: Sources::default(),
            surplus: 0,
            cutoff: None,
            first_step: None,
            extra_step: None,
            late: false,
            bound: None,
            no_extra: None,
            earliest: None,
        };
        alter(&mut answer);
        asked(bakery, &answer)
    }

    #[test]
    fn what_stands_in_the_way_is_said_in_the_words_that_clients_know() {
        let (bakery, item) = (bakery(), 3);
        let service_date = Date::constant(2026, 6, 12);
        let span = |minutes| Bound::AgeWindow { item, step: "prove".to_owned(), minutes };
        let missing = |short_micro, cutoff| Bound::Ingredient { item, at: AT, short_micro, cutoff };
        for (bound, english) in [
            (Bound::TooLate(step("mix", true)), "Too late: Rye flour mixed Thu 11 Jun 06:04."),
            (
                Bound::TooLate(step("bake", false)),
                "Too late: Rye flour had to be begun with step bake Thu 11 Jun 06:04.",
            ),
            (Bound::DropPast { at: AT }, "Too late: the drop was Thu 11 Jun 06:04."),
            (
                Bound::Staff { item, step: "prove".to_owned() },
                "Rye flour fits no staffed hours before the drop: step `prove` finds nobody there.",
            ),
            (
                span(None),
                "Rye flour finds no times before the drop: step `prove` lies outside its age window.",
            ),
            (
                span(Some(1)),
                "Rye flour finds no times before the drop: step `prove` lies outside its age window \
                 by 1 minute.",
            ),
            (
                Bound::Mixer { item, service_date, under: None },
                "Rye flour would take more loads than can be mixed.",
            ),
            (
                missing(2_345_678_901, None),
                "Rye flour is missing: 2.35 kg too little from Thu 11 Jun 06:04, and nobody \
                 delivers it before then.",
            ),
            (
                missing(345_678_901, Some(AT)),
                "Rye flour is missing: 345.7 g too little from Thu 11 Jun 06:04, and the last \
                 order for it closed Thu 11 Jun 06:04.",
            ),
        ] {
            let said = answer(&bakery, |answer| answer.bound = Some(bound)).to_string();
            assert_eq!(said, format!("At most 5 of 6 pieces can be made. {english}"));
        }
    }

    #[test]
    fn a_whole_answer_is_said_in_every_language() {
        let bakery = bakery();
        let said = answer(&bakery, |answer| {
            answer.at_most = 6;
            answer.sources = Sources { overs: 2, load: 3, ..Sources::default() };
            answer.surplus = 1;
            answer.first_step = Some(step("weigh", true));
            answer.no_extra = Some(Bound::Capacity { item: 3, spot: Spot::Oven(0) });
            answer.earliest = Some(AT);
        });
        let oven = &bakery.lists().ovens[0].name;
        let told = Language::ALL.map(|language| said.told(Words { language }));
        assert_eq!(
            told,
            [
                format!(
                    "6 pieces can be made, 2 from overs, 3 still to be made. 1 piece is begun \
                     already (Rye flour weighed Thu 11 Jun 06:04): surplus for the counter, the \
                     freezer or old dough. No extra load: Rye flour finds no room: {oven} is taken \
                     at all its times. Earliest for this drop time: Thu 11 Jun 06:04."
                ),
                format!(
                    "6 Stück möglich, 2 aus Überzähligem, 3 noch herzustellen. 1 Stück schon \
                     begonnen (Rye flour abgewogen am Do 11. Juni, 06:04): übrig für die Theke, zum \
                     Einfrieren oder als Altteig. Keine zusätzliche Charge: Rye flour findet keinen \
                     Platz: {oven} ist zu allen möglichen Zeiten belegt. Frühestens zu dieser \
                     Uhrzeit: Do 11. Juni, 06:04."
                ),
                format!(
                    "Possible : 6 pièces, 2 des surplus, 3 encore à faire. 1 pièce déjà commencée \
                     (Rye flour : pesée le jeu. 11 juin, 06:04) : en trop, pour le comptoir, la \
                     congélation ou la vieille pâte. Pas de charge de plus : Rye flour ne trouve pas \
                     de place : {oven} est pris à toutes les heures possibles. Au plus tôt à cette \
                     heure de remise : le jeu. 11 juin, 06:04."
                ),
            ]
        );
    }
}
