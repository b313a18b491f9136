//! What is said of a line of an order: a stable word and a plain sentence.

use super::{Line, LineReason};
use domain::{
    bakery::Bakery,
    plan::{
        Spot,
        check::{Bound, FirstStep, LineAnswer, LoadOf, Sources},
    },
    quantity::{MICRO, Unit},
    ratio::Ratio,
};
use jiff::Timestamp;

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
pub fn taken(bakery: &Bakery, line: &Line, answer: &LineAnswer) -> String {
    let taken = line.quantity_taken;
    let head = match (taken, answer.asked) {
        (_, 0) => "No pieces wanted: the line is cancelled".to_owned(),
        (0, asked) => format!("None of {} taken", pieces(asked)),
        (taken, asked) if taken < asked => format!("{taken} of {} taken", pieces(asked)),
        (taken, _) => format!("{} taken", pieces(taken)),
    };
    said(bakery, head, answer)
}

/// What is said of a line that is only asked about.
#[must_use]
pub fn asked(bakery: &Bakery, answer: &LineAnswer) -> String {
    let head = match (answer.at_most, answer.asked) {
        (_, 0) => "No pieces wanted".to_owned(),
        (0, asked) => format!("None of {} can be made", pieces(asked)),
        (most, asked) if most < asked => format!("At most {most} of {} can be made", pieces(asked)),
        (most, _) => format!("{} can be made", pieces(most)),
    };
    said(bakery, head, answer)
}

fn pieces(count: i64) -> String {
    if count == 1 { "1 piece".to_owned() } else { format!("{count} pieces") }
}

fn said(bakery: &Bakery, head: String, answer: &LineAnswer) -> String {
    let mut text = head;
    if let Some(from) = from(bakery, answer) {
        text.push_str(&format!(", {from}"));
    }
    text.push('.');
    if answer.surplus > 0 {
        let begun = answer.first_step.as_ref().map(|step| began(bakery, step));
        let begun = begun.map_or_else(String::new, |begun| format!(" ({begun})"));
        text.push_str(&format!(
            " {} begun already{begun}: surplus for the counter, the freezer or old dough.",
            match answer.surplus {
                1 => "1 piece is".to_owned(),
                many => format!("{many} pieces are"),
            }
        ));
    }
    if let Some(bound) = &answer.bound {
        text.push_str(&format!(" {}", sentence(bakery, bound)));
    }
    match &answer.no_extra {
        Some(Bound::TooLate(step)) if Some(step.at) == first_at(answer) => {}
        Some(Bound::TooLate(step)) => {
            text.push_str(&format!(" An extra load had to be begun by {}.", clock(bakery, step.at)))
        }
        Some(bound) => {
            text.push_str(&format!(" No extra load: {}", lower(&sentence(bakery, bound))));
        }
        None => {}
    }
    if let Some(earliest) = answer.earliest {
        text.push_str(&format!(" Earliest for this drop time: {}.", clock(bakery, earliest)));
    }
    text
}

fn first_at(answer: &LineAnswer) -> Option<Timestamp> {
    answer.first_step.as_ref().map(|step| step.at)
}

/// Where pieces beyond those held come from, if that is worth a word.
fn from(bakery: &Bakery, answer: &LineAnswer) -> Option<String> {
    let Sources { stock, overs, load, load_of, .. } = answer.sources;
    let extra = load_of == Some(LoadOf::Extra);
    let mut parts = Vec::new();
    if stock > 0 {
        parts.push(format!("{stock} from finished stock"));
    }
    if overs > 0 {
        parts.push(format!("{overs} from overs"));
    }
    if load > 0 && extra {
        let by = answer.extra_step.as_ref();
        let by = by.map_or_else(String::new, |step| {
            format!(" to be begun by {} (step {})", clock(bakery, step.at), step.step)
        });
        parts.push(format!("{load} from an extra load{by}"));
    } else if load > 0 && !parts.is_empty() {
        parts.push(format!("{load} still to be made"));
    }
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// What stands in the way, as a sentence.
fn sentence(bakery: &Bakery, bound: &Bound) -> String {
    let name = |item: &u32| &bakery.item(*item).name;
    match bound {
        Bound::TooLate(step) => format!("Too late: {}.", began(bakery, step)),
        Bound::DropPast { at } => format!("Too late: the drop was {}.", clock(bakery, *at)),
        Bound::Cutoff { at } => format!(
            "The cutoff was {}: it is counted, and a person says whether it is made.",
            clock(bakery, *at)
        ),
        Bound::Staff { item, step } => format!(
            "{} fits no staffed hours before the drop: step `{step}` finds nobody there.",
            name(item)
        ),
        Bound::AgeWindow { item, step, minutes } => {
            let by = minutes.map_or_else(String::new, |minutes| {
                let unit = if minutes == 1 { "minute" } else { "minutes" };
                format!(" by {minutes} {unit}")
            });
            format!(
                "{} finds no times before the drop: step `{step}` lies outside its age window{by}.",
                name(item)
            )
        }
        Bound::Capacity { item, spot } => format!(
            "{} finds no room: {} is taken at all its times.",
            name(item),
            spot_name(bakery, *spot)
        ),
        Bound::Mixer { item, service_date, under } => {
            let mixer = bakery.recipes(*service_date).of_item(*item).and_then(|recipe| {
                let (mixer, _) = bakery.recipes(*service_date).recipes[recipe].mixer?;
                Some(&bakery.lists().mixers[mixer as usize])
            });
            match (under, mixer) {
                (Some(mass), Some(mixer)) => format!(
                    "{} would be a load of {} kg, and {} needs {} kg: a person decides what to \
                     do with it.",
                    name(item),
                    kilo(*mass),
                    mixer.name,
                    kilo(Ratio::whole(mixer.minimum_ug.into()))
                ),
                _ => format!("{} would take more loads than can be mixed.", name(item)),
            }
        }
        Bound::Ingredient { item, at, short_micro, cutoff } => {
            let found = bakery.item(*item);
            let order = cutoff.map_or_else(
                || "nobody delivers it before then".to_owned(),
                |cutoff| format!("the last order for it closed {}", clock(bakery, cutoff)),
            );
            format!(
                "{} is missing: {} too little from {}, and {order}.",
                found.name,
                amount(*short_micro, found.base_unit),
                clock(bakery, *at)
            )
        }
        Bound::EarlierGoods { product, baked, short } => format!(
            "{} is missing: {} baked {} too few.",
            bakery.product(*product).name,
            pieces(*short),
            baked.strftime("%a %-d %b")
        ),
    }
}

fn lower(sentence: &str) -> String {
    let mut letters = sentence.chars();
    let first = letters.next().into_iter().flat_map(char::to_lowercase);
    first.chain(letters).collect()
}

/// A first step as something that happened, or that would have had to.
fn began(bakery: &Bakery, step: &FirstStep) -> String {
    let FirstStep { at, item, step, planned } = step;
    let (name, at) = (&bakery.item(*item).name, clock(bakery, *at));
    let verb = match step.as_str() {
        "weigh" => "weighed",
        "mix" => "mixed",
        "make" => "made",
        "feed" => "fed",
        other => &format!("begun with step {other}"),
    };
    if *planned { format!("{name} {verb} {at}") } else { format!("{name} had to be {verb} {at}") }
}

/// An instant on the bakery's clock.
fn clock(bakery: &Bakery, at: Timestamp) -> String {
    bakery.site().time_zone.to_datetime(at).strftime("%a %-d %b %H:%M").to_string()
}

fn kilo(micro: Ratio) -> String {
    micro.over(Ratio::whole(KILO)).map_or_else(|_| "many".to_owned(), |kilo| kilo.to_decimal(2))
}

/// Grams or millilitres below a kilogram or litre, and those above.
fn amount(micro: i64, unit: Unit) -> String {
    let exact = Ratio::whole(micro.into());
    let small = i128::from(micro) < KILO;
    let base = exact.over(Ratio::whole(MICRO.into())).unwrap_or(exact);
    match unit {
        Unit::Each => pieces(i64::try_from(base.ceil()).unwrap_or(i64::MAX)),
        Unit::Millilitre if small => format!("{} mL", base.to_decimal(1)),
        Unit::Millilitre => format!("{} L", kilo(exact)),
        Unit::Gram if small => format!("{} g", base.to_decimal(1)),
        Unit::Gram => format!("{} kg", kilo(exact)),
    }
}

/// What people call a mixer, an oven or a place.
fn spot_name(bakery: &Bakery, spot: Spot) -> &str {
    let lists = bakery.lists();
    match spot {
        Spot::Mixer(at) => &lists.mixers[at as usize].name,
        Spot::Oven(at) => &lists.ovens[at as usize].name,
        Spot::Place(at) => &lists.places[at as usize].name,
    }
}
