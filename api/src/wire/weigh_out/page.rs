//! A block with its pages: each load, line by line.

use super::{
    Tub, WeighBlockView, WeighLineView, WeighPageView,
    blocks::{blocks_page, blocks_ug},
    first_start, held,
    lots::{Handout, Proposal},
    tub::tub,
};
use crate::{
    messages::Sentence,
    service::{loads::Draft, plan::Morning},
    wire::{
        allergens::AllergensView,
        amount::{QuantityView, instant},
        findings, overrides, printed,
        requirements::state_word,
        why::link,
    },
};
use domain::{
    allergens::{Allergens, item_allergens},
    bakery::RecipeLine,
    equipment::Mixer,
    plan::{AskedBy, Batch, BatchGroup, FromStock, Issue, NeedUser, why::WhyOf},
    quantity::{MICRO, Unit},
    ratio::{Overflow, Ratio},
    scale::WeighState,
    weigh::{WeighedLine, exact},
};
use jiff::{Timestamp, civil::Date};

/// A load heavier than this is lifted by two.
///
/// # Source
/// The trade rules, part 6: a load over 25 kg gets a lift warning.
pub(in crate::wire) const ONE_PERSON_UG: i64 = 25_000 * MICRO;

pub(super) fn block(
    morning: &Morning,
    batch: &Batch,
    work_date: Date,
    (found, clean_down): (&Allergens, Vec<String>),
) -> Result<WeighBlockView, Overflow> {
    let bakery = &morning.bakery;
    let zone = &bakery.site().time_zone;
    let (date, made) = (batch.service_date, batch.item);
    let item = bakery.item(made);
    let mixer = batch.mixer.map(|at| &bakery.lists().mixers[at as usize]);
    let recipe = &bakery.recipes(date).recipes[batch.recipe as usize];
    let name = &bakery.formula_of(recipe).name;
    let mut handout = Handout::new(morning, NeedUser::Formula(made), date);
    let (mut pages, mut sum_ug) = held::pages(morning, batch, work_date)?;
    let mut drafts = 0;
    for group in &batch.groups {
        for _ in 0..group.group.loads {
            let load = batch.number(drafts);
            drafts += 1;
            let (mut page, ug) = load_page(morning, batch, group, load, &mut handout)?;
            page.notes.extend(mix_note(morning, batch));
            if batch.made_at.is_some_and(|at| morning.local_date(at) == work_date) {
                sum_ug = sum_ug.checked_add(ug).ok_or(Overflow)?;
                pages.push(page);
            }
        }
    }
    pages.sort_by_key(|page| page.load);
    let nothing_new = batch.groups.is_empty() && batch.blocks.is_none_or(|blocks| blocks == 0);
    if nothing_new && !batch.from_stock.is_empty() && batch.held.is_empty() {
        pages.push(nothing_to_mix(morning, batch));
    } else if batch.blocks.is_some_and(|blocks| blocks > 0) {
        let mass_ug = blocks_ug(morning, batch)?;
        sum_ug = sum_ug.checked_add(mass_ug).ok_or(Overflow)?;
        pages.push(blocks_page(morning, batch, &mut handout, mass_ug)?);
    }
    Ok(WeighBlockView {
        formula: item.code.to_string(),
        name: if name.is_empty() { item.name.clone() } else { name.clone() },
        service_date: date.to_string(),
        feed: batch.feed,
        made_at: first_start(morning, batch, work_date)
            .map(|at| instant(zone, at))
            .unwrap_or_default(),
        mixer: mixer.map(|mixer| mixer.code.to_string()),
        mixer_name: mixer.map(|mixer| mixer.name.clone()),
        loads: batch.all_loads(),
        blocks: batch.all_blocks(),
        weighed: QuantityView::whole(sum_ug, Unit::Gram),
        printed: printed::sum(sum_ug),
        under_minimum: batch.split.under_minimum,
        options: batch.options.iter().map(|one| findings::option(bakery, one)).collect(),
        use_first: batch.from_stock.iter().map(|taken| use_first(morning, taken)).collect(),
        clean_down,
        overrides: overrides::of_batch(morning, batch),
        allergens: AllergensView::new(bakery, found),
        pages,
        why: link(bakery, WhyOf::Batch(date, made)),
    })
}

/// Which made lot goes first, in words.
fn use_first(morning: &Morning, taken: &FromStock) -> Sentence {
    let Morning { bakery, book, .. } = morning;
    let lot = &book.lots[taken.lot as usize];
    let of = match bakery.place_of(lot) {
        None => Sentence::of("weigh-out-use-first"),
        Some(place) => Sentence::of("weigh-out-use-first-from").with("place", &place.name),
    };
    let amount = printed::amount(taken.used_ug, Unit::Gram).said();
    of.with("amount", Sentence::amount(amount))
        .with("lot", &lot.name)
        .with("at", Sentence::moment(instant(&bakery.site().time_zone, taken.at)))
}

/// The page of a batch for which kept stock is enough.
fn nothing_to_mix(morning: &Morning, batch: &Batch) -> WeighPageView {
    let of = Of::new(morning, batch);
    WeighPageView {
        load: 1,
        id: String::new(),
        state: "draft",
        state_by: None,
        done: false,
        starts_at: of.starts_at(batch.made_at),
        mixes_at: None,
        mixer: None,
        mixer_name: None,
        mix_mass: QuantityView::mass(batch.split.mass),
        weighed: QuantityView::whole(0, Unit::Gram),
        printed: printed::sum(0),
        units: None,
        notes: vec![Sentence::of("weigh-out-nothing-new")],
        two_people: false,
        lines: Vec::new(),
    }
}

/// Which mix of several this is, and for what.
fn mix_note(morning: &Morning, batch: &Batch) -> Option<Sentence> {
    let mixes = morning.plan.mixes(batch.service_date, batch.item).count();
    let products = batch.asked.iter().filter_map(|ask| match ask.by {
        AskedBy::Product(product) => Some(morning.bakery.product(product).name.as_str()),
        AskedBy::Formula(_) => None,
    });
    (mixes > 1).then(|| {
        Sentence::of("weigh-out-mix-of")
            .with("mix", batch.mix.to_string())
            .with("mixes", mixes.to_string())
            .with("products", Sentence::joined(", ", products))
    })
}

fn load_page(
    morning: &Morning,
    batch: &Batch,
    group: &BatchGroup,
    load: i64,
    handout: &mut Handout<'_>,
) -> Result<(WeighPageView, i64), Overflow> {
    let (lines, sum_ug, [counted, apart]) = load_lines(morning, batch, group, load, handout)?;
    let mut lines: Vec<WeighLineView> = lines;
    lines.sort_by_key(|line| line.number);
    let of = Of::new(morning, batch);
    let page = WeighPageView {
        load,
        id: of.draft_id(load),
        state: "draft",
        state_by: None,
        done: false,
        starts_at: of.starts_at(batch.made_at),
        mixes_at: batch.mixes_at(load).map(|at| of.starts_at(Some(at))),
        mixer: of.mixer.map(|mixer| mixer.code.to_string()),
        mixer_name: of.mixer.map(|mixer| mixer.name.clone()),
        mix_mass: QuantityView::mass(group.group.mass),
        weighed: QuantityView::whole(sum_ug, Unit::Gram),
        printed: printed::sum(sum_ug),
        units: group.group.steps,
        notes: page_notes(group, counted, apart)?,
        two_people: sum_ug > ONE_PERSON_UG,
        lines,
    };
    Ok((page, sum_ug))
}

/// What pages say of the batch that they belong to.
pub(super) struct Of<'a> {
    morning: &'a Morning,
    batch: &'a Batch,
    mixer: Option<&'a Mixer>,
}

impl<'a> Of<'a> {
    pub(super) fn new(morning: &'a Morning, batch: &'a Batch) -> Self {
        let mixers = &morning.bakery.lists().mixers;
        Self { morning, batch, mixer: batch.mixer.map(|at| &mixers[at as usize]) }
    }

    pub(super) fn draft_id(&self, number: i64) -> String {
        let formula = self.morning.bakery.item(self.batch.item).code.to_string();
        Draft { service_date: self.batch.service_date, formula, number }.id()
    }

    pub(super) fn starts_at(&self, at: Option<Timestamp>) -> String {
        let zone = &self.morning.bakery.site().time_zone;
        at.map(|at| instant(zone, at)).unwrap_or_default()
    }
}

/// The lines of a draft load in the order of the formula, each with its number on the page;
/// their sum; how many are counted, and how many stay out of the bowl at first.
pub(crate) fn load_lines(
    morning: &Morning,
    batch: &Batch,
    group: &BatchGroup,
    load: i64,
    handout: &mut Handout<'_>,
) -> Result<(Vec<WeighLineView>, i64, [u32; 2]), Overflow> {
    let mut lines = Vec::new();
    let (mut sum_ug, mut counted, mut apart) = (0_i64, 0_u32, 0_u32);
    for (line, weighed) in morning.plan.lines_of(&morning.bakery, batch, group) {
        lines.push(load_line(morning, batch, (line, *weighed), (group, load), handout)?);
        if line.flags.counted() {
            counted += 1;
        } else {
            sum_ug = sum_ug.checked_add(weighed.micro).ok_or(Overflow)?;
            apart += u32::from(line.flags.out_of_bowl());
        }
    }
    // Tub by tub; within one, in the formula's order.
    let mut order: Vec<usize> = (0..lines.len()).collect();
    order.sort_by_key(|&at| lines[at].0);
    for (number, at) in (1..).zip(order) {
        lines[at].1.number = number;
    }
    let lines = lines.into_iter().map(|(_, line)| line).collect();
    Ok((lines, sum_ug, [counted, apart]))
}

pub(super) fn numbered(mut lines: Vec<WeighLineView>) -> Vec<WeighLineView> {
    for (number, line) in (1..).zip(&mut lines) {
        line.number = number;
    }
    lines
}

pub(crate) fn page_notes(
    group: &BatchGroup,
    counted: u32,
    apart: u32,
) -> Result<Vec<Sentence>, Overflow> {
    let mut notes = Vec::new();
    if !group.within_tolerance {
        let off = Ratio::whole(group.sum_ug.into()).minus(group.group.mass)?;
        let off = domain::quantity::micro_decimal(off);
        let target = domain::quantity::micro_decimal(group.group.mass);
        notes.push(
            Sentence::of("weigh-out-off")
                .with("off", Sentence::digits(off))
                .with("target", Sentence::digits(target)),
        );
    }
    if group.hydration_moved == Some(true) {
        notes.push(Sentence::of("weigh-out-hydration-moved"));
    }
    if group.nudges > 0 {
        notes.push(Sentence::of("weigh-out-nudged").with("times", group.nudges.to_string()));
    }
    if counted > 0 {
        notes.push(Sentence::of("weigh-out-counted-apart"));
    }
    if apart > 0 {
        let bowl = Sentence::amount(printed::sum(group.sum_ug).said());
        notes.push(Sentence::of("weigh-out-bowl-at-first").with("mass", bowl));
    }
    Ok(notes)
}

fn load_line(
    morning: &Morning,
    batch: &Batch,
    (line, weighed): (&RecipeLine, WeighedLine),
    (group, load): (&BatchGroup, i64),
    handout: &mut Handout<'_>,
) -> Result<(Tub, WeighLineView), Overflow> {
    let bakery = &morning.bakery;
    let recipes = bakery.recipes(batch.service_date);
    let made = recipes.of_item(line.item).is_some();
    let unit = if line.flags.counted() { Unit::Each } else { Unit::Gram };
    let proposal = handout.take(line.item, Ratio::whole(weighed.micro.into()))?;
    let mut remarks = source_words(morning, batch, line, made, &proposal);
    remarks.extend(state_remark(weighed.state));
    if line.flags.out_of_bowl() {
        remarks.push(Sentence::of("weigh-out-not-with-rest"));
    }
    if let Some(replaced) = line.instead_of {
        let name = &bakery.item(replaced).name;
        remarks.push(Sentence::of("weigh-out-instead-of").with("name", name));
    }
    let issue = batch.issues.iter().find(|issue| {
        issue.item == line.item && issue.previous_batch == line.flags.previous_batch()
    });
    remarks.extend(issue.and_then(|issue| count_remark(issue, batch.split.loads)));
    let tub = tub(bakery, line, made);
    let of = WhyOf::Line(batch.service_date, batch.item, load, line.item);
    let view = WeighLineView {
        number: 0,
        item: bakery.item(line.item).code.to_string(),
        name: bakery.item(line.item).name.clone(),
        exact: QuantityView::new(exact(line, group.factor)?, unit),
        weigh: QuantityView::whole(weighed.micro, unit),
        printed: printed::line(bakery.scales(), weighed),
        scale: scale_code(morning, weighed),
        state: state_word(weighed.state),
        tub: tub.word(),
        short: short(morning, line.item, &proposal),
        undecided: undecided(morning, line.item, &proposal),
        lots: proposal.lots,
        remarks,
        allergens: AllergensView::new(bakery, &item_allergens(bakery, recipes, line.item)),
        why: link(bakery, of),
    };
    Ok((tub, view))
}

pub(super) fn scale_code(morning: &Morning, weighed: WeighedLine) -> Option<String> {
    let scales = morning.bakery.scales().as_slice();
    weighed.weighing.map(|weighing| scales[weighing.scale].code.to_string())
}

pub(super) const fn state_remark(state: WeighState) -> Option<Sentence> {
    match state {
        WeighState::Premix => Some(Sentence::of("weigh-out-premix")),
        WeighState::Refused => Some(Sentence::of("weigh-out-refused")),
        WeighState::Ok | WeighState::Counted => None,
    }
}

fn count_remark(issue: &Issue, loads: i64) -> Option<Sentence> {
    let message = if loads > 1 { "weigh-out-crack-for-all" } else { "weigh-out-crack" };
    Some(Sentence::of(message).with("count", issue.count?.to_string()))
}

/// Whether what no lot covers can no longer be ordered. What cannot be told is not told.
pub(super) fn undecided(morning: &Morning, item: u32, found: &Proposal) -> bool {
    found.unmet_micro > 0 && crate::wire::undecided::of_item(morning, item)
}

pub(super) fn short(morning: &Morning, item: u32, found: &Proposal) -> Option<QuantityView> {
    let index = morning.bakery.index();
    let drawn = index.fruit_of(item).unwrap_or(item);
    let unit = morning.bakery.item(drawn).base_unit;
    (found.unmet_micro > 0).then(|| QuantityView::whole(found.unmet_micro, unit))
}

/// Where a line comes from if it is from no lot.
fn source_words(
    morning: &Morning,
    batch: &Batch,
    line: &RecipeLine,
    made: bool,
    proposal: &Proposal,
) -> Vec<Sentence> {
    let bakery = &morning.bakery;
    let drawn = !proposal.lots.is_empty() || proposal.unmet_micro > 0;
    if let Some(fruit) = bakery.index().fruit_of(line.item) {
        let fruit = &bakery.item(fruit).name;
        return vec![Sentence::of("weigh-out-fresh-from").with("fruit", fruit)];
    }
    let unless = |not: bool, message| if not { Vec::new() } else { vec![Sentence::of(message)] };
    if line.flags.previous_batch() {
        return unless(drawn, "weigh-out-kept-back");
    }
    if !made {
        return unless(bakery.item(line.item).stocked, "weigh-out-no-stock");
    }
    let sub = morning.plan.batch(batch.service_date, line.item);
    let here = |taken: &&FromStock| Some(taken.at) == batch.made_at;
    let kept = sub.into_iter().flat_map(|sub| &sub.from_stock).filter(here);
    let mut words: Vec<Sentence> = kept.map(|taken| use_first(morning, taken)).collect();
    if sub.is_some_and(|sub| sub.split.loads == 0) && !words.is_empty() {
        return words;
    }
    let local = |at| Sentence::moment(instant(&bakery.site().time_zone, at));
    words.push(sub.and_then(|of| of.made_at).map_or_else(
        || Sentence::of("weigh-out-made-here"),
        |at| Sentence::of("weigh-out-made-here-at").with("at", local(at)),
    ));
    words
}
