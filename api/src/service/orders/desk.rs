//! The desk at which orders are taken one after another: the book and its plan as they
//! stand, read when they are needed and again when an order has changed them.

use super::{
    Asked, AskedLine, Line, LineReason, LineState, LinesRule, OrderState, Refusal, Version, beyond,
    held::take_out,
    standing::{self, Base, held_duplicate},
    words,
};
use crate::{
    service::plan::{self, Horizon, KeptMornings, Morning, refused},
    store::Tx,
};
use domain::{
    bakery::Bakery,
    book::Book,
    calendar,
    id::Code,
    plan::{
        Plan, PlanInput,
        check::{
            CheckInput, Checked, LineAnswer, Proposal, ProposedLine, ToOrder, check, first_step,
        },
    },
};
use jiff::{Timestamp, civil::Date};
use std::sync::Arc;

/// Whether orders are judged by what can still be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Judging {
    /// They are: a till or a person asks for them now.
    AsAsked,
    /// They are not: the bakery's own record of what was agreed before.
    AsRecorded,
}

/// Where orders are taken.
#[derive(Debug)]
pub struct Desk {
    pub(super) bakery: Arc<Bakery>,
    pub(super) now: Timestamp,
    judging: Judging,
    /// Plans that are shared with other requests.
    shared: Option<KeptMornings>,
    kept: Option<Arc<Morning>>,
    /// Whether an order was taken since that plan was made, here or in the same commit.
    changed: bool,
    /// Whether an order was taken here at all.
    taken: bool,
}

/// What an order is judged against.
#[derive(Debug, Clone, Copy)]
pub struct Standing<'a> {
    /// Reference data.
    pub bakery: &'a Bakery,
    /// Orders and lots.
    pub book: &'a Book,
    /// The plan of both.
    pub plan: &'a Plan,
    /// Last service date of the plan.
    pub until: Date,
    /// The moment of asking.
    pub now: Timestamp,
}

/// What becomes of an order.
#[derive(Debug)]
pub struct Settled {
    /// What becomes of its lines, as they would be held.
    pub lines: Vec<Line>,
    /// What becomes of it.
    pub state: OrderState,
    /// The last moment for changes that applied.
    pub cutoff: Option<Timestamp>,
    /// What was found out of each line; none of one that is refused or not wanted.
    pub answers: Vec<Option<LineAnswer>>,
    /// What has to be bought for it.
    pub to_order: Vec<ToOrder>,
}

impl Desk {
    /// A desk with nothing on it yet.
    #[must_use]
    pub const fn new(bakery: Arc<Bakery>, now: Timestamp, judging: Judging) -> Self {
        let (shared, kept) = (None, None);
        Self { bakery, now, judging, shared, kept, changed: false, taken: false }
    }

    /// The same desk, which looks at plans that were made before.
    #[must_use]
    pub fn sharing(self, shared: &KeptMornings) -> Self {
        Self { shared: Some(shared.clone()), ..self }
    }

    /// Notes that an order was taken.
    pub(super) const fn note_change(&mut self) {
        self.changed = true;
        self.taken = true;
    }

    /// The book and plan up to a date; none if the orders that are held cannot be planned.
    fn look(
        &mut self,
        tx: &mut Tx,
        site: &str,
        date: Date,
        fresh: bool,
    ) -> Result<Option<Standing<'_>>, Refusal> {
        let (now, bakery) = (self.now, &self.bakery);
        let until = Horizon::ServiceDate(date).until(bakery, now)?;
        let stale = fresh && self.changed;
        let usable = |kept: &Arc<Morning>| kept.until >= until.min(date) && !stale;
        if !self.kept.as_ref().is_some_and(usable) {
            let planned = self.planned((tx, site), Horizon::ServiceDate(date), fresh)?;
            self.changed = planned.as_ref().is_some_and(|(_, behind)| *behind);
            self.kept = planned.map(|(morning, _)| morning);
        }
        Ok(self.kept.as_ref().map(|kept| Standing {
            bakery: &kept.bakery,
            book: &kept.book,
            plan: &kept.plan,
            until: kept.until,
            now,
        }))
    }

    /// A plan of what the transaction sees, and whether it is that of before orders in the same
    /// commit; none if the orders that are held have none.
    fn planned(
        &self,
        (tx, site): (&mut Tx, &str),
        horizon: Horizon,
        fresh: bool,
    ) -> Result<Option<(Arc<Morning>, bool)>, Refusal> {
        let (bakery, now) = (&self.bakery, self.now);
        let of_now = |morning| (morning, false);
        let found = match &self.shared {
            // What is written here and not committed yet is nothing for others.
            Some(shared) if !self.taken && fresh => {
                shared.morning((tx, site), bakery, now, horizon).map(of_now)
            }
            Some(shared) if !self.taken => shared.to_judge_by((tx, site), bakery, now, horizon),
            _ => plan::read((tx, site), bakery, now, horizon).map(Arc::new).map(of_now),
        };
        match found {
            Ok(found) => Ok(Some(found)),
            Err(refusal @ Refusal::Store(_)) => Err(refusal),
            // Orders that cannot be planned must not keep others from being taken.
            Err(_) => Ok(None),
        }
    }

    /// The lines of a held version when the order is called off: what is begun is surplus.
    pub(super) fn call_off(
        &mut self,
        tx: &mut Tx,
        site: &str,
        order_ref: &str,
        held: &Version,
    ) -> Result<Vec<Line>, Refusal> {
        let none = |line: &Line| Line {
            quantity_taken: 0,
            state: LineState::Cancelled,
            reason: None,
            surplus: 0,
            earliest: None,
            sentence: None,
            ..line.clone()
        };
        let mut lines: Vec<Line> = held.lines.iter().map(none).collect();
        let customer = held.customer.as_deref().and_then(|code| Code::parse(code).ok());
        let known = |code: &Code| self.bakery.index().customer(code.as_str()).is_some();
        let (Some(customer), Some(service_date), Some(drop)) =
            (customer.filter(known), held.service_date, held.drop)
        else {
            return Ok(lines);
        };
        let asked = Asked {
            order_ref: order_ref.to_owned(),
            version: held.version,
            customer,
            service_date,
            drop,
            lines_rule: LinesRule::LineByLine,
            standing: held.standing,
            counter_par: held.counter_par,
            lines: held.lines.iter().map(AskedLine::none_of).collect(),
        };
        let settled = self.settle(tx, site, &asked, Some(held))?;
        for (line, settled) in lines.iter_mut().zip(settled.lines) {
            line.surplus = settled.surplus;
            line.reason = settled.reason.filter(|_| settled.surplus > 0);
            line.sentence = settled.sentence.filter(|_| settled.surplus > 0);
        }
        Ok(lines)
    }

    /// What becomes of an order whose lines were read, in place of what is held of it.
    pub(super) fn settle(
        &mut self,
        tx: &mut Tx,
        site: &str,
        asked: &Asked,
        held: Option<&Version>,
    ) -> Result<Settled, Refusal> {
        let customer = super::customer(&self.bakery, &asked.customer)?;
        let of_customer = super::cutoff(&self.bakery, customer, asked.service_date)?;
        let lines = super::judge(&self.bakery, asked);
        let now = self.now;
        let base = match standing::base(tx, site, &self.bakery, asked, held)? {
            Base::Duplicate => return Ok(held_duplicate(lines)),
            Base::Held(base) => base,
        };
        if self.judging == Judging::AsRecorded {
            return Ok(unjudged(lines, of_customer, now));
        }
        let Some(standing) = self.look(tx, site, asked.service_date, false)? else {
            return Ok(unjudged(lines, of_customer, now));
        };
        let held = Held::of(base.as_ref(), asked);
        if let Some(settled) = in_time(standing, asked, &lines, &held, of_customer)? {
            return Ok(settled);
        }
        match self.look(tx, site, asked.service_date, true)? {
            Some(standing) => settle(standing, asked, lines, held),
            None => Ok(unjudged(lines, of_customer, now)),
        }
    }
}

/// Judges an order by what can still be made, line by line.
///
/// A line that comes in time is taken whole, whatever is short: a person settles that.
/// A late one is taken as far as it takes nothing from others.
///
/// # Errors
/// [`Refusal`] for a customer whom nobody knows, or a date beyond all calendars.
pub fn settle(
    standing: Standing<'_>,
    asked: &Asked,
    mut lines: Vec<Line>,
    held: Held<'_>,
) -> Result<Settled, Refusal> {
    let Standing { bakery, book, plan: base, until, now } = standing;
    let customer = super::customer(bakery, &asked.customer)?;
    let position = bakery.index().customer(asked.customer.as_str()).unwrap_or_default();
    let (mut proposed, mut at_line) = (Vec::new(), Vec::new());
    let mut pieces = held.pieces.clone();
    for (at, line) in lines.iter().enumerate().filter(|(_, line)| is_wanted(line)) {
        let Some(product) = bakery.index().product(&line.product) else { continue };
        let held = take_held(&mut pieces, &line.product, line.quantity_taken);
        proposed.push(ProposedLine { product, pieces: line.quantity_taken, held });
        at_line.push(at);
    }
    // What is left of the held version is wanted no more.
    give_back(bakery, &pieces, &mut proposed);
    let freed = held.elsewhere.map(|version| {
        let mut book = book.clone();
        take_out(&mut book, version);
        book
    });
    let input = PlanInput { now, until };
    let replanned = freed.as_ref().map(|book| domain::plan::plan(bakery, book, input)).transpose();
    let replanned = replanned.map_err(refused)?;
    let proposal = Proposal {
        customer: position,
        service_date: asked.service_date,
        drop: asked.drop,
        wanted: super::wanted_of(customer, asked),
        lines: proposed,
    };
    let checked = check(&CheckInput {
        bakery,
        book: freed.as_ref().unwrap_or(book),
        base: replanned.as_ref().unwrap_or(base),
        now,
        until,
        proposal: &proposal,
    })
    .map_err(refused)?;
    let Checked { lines: found, to_order } = checked;
    let mut answers: Vec<Option<LineAnswer>> = vec![None; lines.len()];
    for (&at, answer) in at_line.iter().zip(&found) {
        apply(bakery, &mut lines[at], answer, now);
        answers[at] = Some(answer.clone());
    }
    all_or_nothing(asked, &mut lines, &answers);
    for (line, answer) in proposal.lines.iter().zip(&found).skip(at_line.len()) {
        if let Some(line) = dropped(bakery, &held, line, answer) {
            lines.push(line);
            answers.push(Some(answer.clone()));
        }
    }
    let of_customer = super::cutoff(bakery, customer, asked.service_date)?;
    let late = answers.iter().flatten().any(|answer| answer.late);
    let late = late && lines.iter().any(|line| line.quantity_taken > 0);
    Ok(Settled {
        state: super::state_of(&lines, late),
        cutoff: lines.iter().filter_map(|line| line.cutoff).chain(of_customer).min(),
        lines,
        answers,
        to_order,
    })
}

/// What an order holds before its next version.
#[derive(Debug, Default)]
pub struct Held<'a> {
    /// Pieces by product that the next version keeps, lowers or raises.
    pieces: Vec<(String, i64)>,
    /// The version, if it is for another date or customer: its pieces become free.
    elsewhere: Option<&'a Version>,
    lines: &'a [Line],
}

impl<'a> Held<'a> {
    /// What a held version means for the next.
    #[must_use]
    pub fn of(held: Option<&'a Version>, asked: &Asked) -> Self {
        let Some(held) = held else { return Self::default() };
        let same = held.service_date == Some(asked.service_date)
            && held.customer.as_deref() == Some(asked.customer.as_str());
        if !same {
            return Self { elsewhere: Some(held), ..Self::default() };
        }
        let mut pieces: Vec<(String, i64)> = Vec::new();
        for line in held.lines.iter().filter(|line| line.quantity_taken > 0) {
            match pieces.iter_mut().find(|(product, _)| *product == line.product) {
                Some((_, sum)) => *sum += line.quantity_taken,
                None => pieces.push((line.product.clone(), line.quantity_taken)),
            }
        }
        Self { pieces, elsewhere: None, lines: &held.lines }
    }
}

fn is_wanted(line: &Line) -> bool {
    matches!(line.state, LineState::Taken | LineState::Cancelled)
}

/// The share of a line in what is held of its product; the last line gets no rest.
fn take_held(held: &mut [(String, i64)], product: &str, wanted: i64) -> i64 {
    let found = held.iter_mut().find(|(code, _)| code == product);
    found.map_or(0, |(_, left)| {
        let taken = wanted.min(*left);
        *left -= taken;
        taken
    })
}

/// What no line took up lowers the first line of its product, or is dropped.
fn give_back(bakery: &Bakery, left: &[(String, i64)], proposed: &mut Vec<ProposedLine>) {
    for (code, pieces) in left.iter().filter(|(_, pieces)| *pieces > 0) {
        let Some(product) = bakery.index().product(code) else { continue };
        match proposed.iter_mut().find(|line| line.product == product) {
            Some(line) => line.held += pieces,
            None => proposed.push(ProposedLine { product, pieces: 0, held: *pieces }),
        }
    }
}

/// What is said of a line and how much of it is taken.
fn apply(bakery: &Bakery, line: &mut Line, answer: &LineAnswer, now: Timestamp) {
    line.cutoff = answer.cutoff;
    line.surplus = answer.surplus;
    if line.state == LineState::Taken && !words::is_in_time(answer, now) {
        line.quantity_taken = answer.at_most;
        line.earliest = answer.earliest;
        line.reason = words::reason(answer);
        if answer.at_most == 0 {
            line.state = LineState::Refused;
        } else if answer.at_most < answer.asked {
            line.state = LineState::PartTaken;
        }
    } else if answer.surplus > 0 {
        line.reason = Some(LineReason::Surplus);
    }
    if line.reason.is_some() {
        line.sentence = Some(words::taken(bakery, line, answer));
    }
}

/// Nothing of an order that is all or nothing is changed if a part of it is too late.
fn all_or_nothing(asked: &Asked, lines: &mut [Line], answers: &[Option<LineAnswer>]) {
    let cut = |line: &Line| matches!(line.state, LineState::Refused | LineState::PartTaken);
    if asked.lines_rule != LinesRule::AllOrNothing || !lines.iter().any(cut) {
        return;
    }
    for (line, answer) in lines.iter_mut().zip(answers) {
        let Some(answer) = answer else { continue };
        let held = answer.sources.held;
        if line.state == LineState::Taken && line.quantity_taken > held {
            line.reason = Some(LineReason::AllOrNothing);
            line.sentence = None;
        }
        line.quantity_taken = line.quantity_taken.min(held);
        line.state = match line.state {
            LineState::Cancelled => LineState::Cancelled,
            _ if line.quantity_taken == 0 => LineState::Refused,
            _ if line.quantity_taken < answer.asked => LineState::PartTaken,
            _ => LineState::Taken,
        };
    }
}

/// A line of the held version that the next one leaves out, if its pieces are begun.
fn dropped(
    bakery: &Bakery,
    held: &Held<'_>,
    line: &ProposedLine,
    answer: &LineAnswer,
) -> Option<Line> {
    let code = &bakery.product(line.product).code;
    let was = held.lines.iter().find(|held| held.product == code.as_str())?;
    if answer.surplus == 0 {
        return None;
    }
    let mut left = Line {
        quantity_asked: "0".to_owned(),
        quantity_taken: 0,
        state: LineState::Cancelled,
        reason: Some(LineReason::Surplus),
        surplus: answer.surplus,
        cutoff: answer.cutoff,
        earliest: None,
        sentence: None,
        ..was.clone()
    };
    left.sentence = Some(words::taken(bakery, &left, answer));
    Some(left)
}

/// The order as it is if all of it comes in time; none if a line of it does not.
fn in_time(
    standing: Standing<'_>,
    asked: &Asked,
    lines: &[Line],
    held: &Held<'_>,
    of_customer: Option<Timestamp>,
) -> Result<Option<Settled>, Refusal> {
    let Standing { bakery, plan, now, .. } = standing;
    let zone = &bakery.site().time_zone;
    if now > calendar::instant(zone, asked.service_date, asked.drop).map_err(beyond)? {
        return Ok(None);
    }
    let begins = |product: &str| -> Result<Option<Timestamp>, Refusal> {
        let Some(product) = bakery.index().product(product) else { return Ok(None) };
        let step = first_step(bakery, plan, product, asked.service_date, asked.drop);
        Ok(step.map_err(refused)?.map(|step| step.at))
    };
    for (product, _) in &held.pieces {
        if begins(product)?.is_some_and(|at| at < now) {
            return Ok(None);
        }
    }
    let mut lines = lines.to_vec();
    for line in lines.iter_mut().filter(|line| line.state == LineState::Taken) {
        let of_product = super::product_cutoff(bakery, &line.product, asked.service_date)?;
        line.cutoff = begins(&line.product)?.into_iter().chain(of_product).chain(of_customer).min();
        if line.cutoff.is_some_and(|cutoff| cutoff < now) {
            return Ok(None);
        }
    }
    Ok(Some(Settled {
        state: super::state_of(&lines, false),
        cutoff: lines.iter().filter_map(|line| line.cutoff).chain(of_customer).min(),
        answers: vec![None; lines.len()],
        lines,
        to_order: Vec::new(),
    }))
}

/// An order that is judged by its customer's cutoff alone.
fn unjudged(lines: Vec<Line>, of_customer: Option<Timestamp>, now: Timestamp) -> Settled {
    let late = of_customer.is_some_and(|cutoff| cutoff < now);
    Settled {
        state: super::state_of(&lines, late),
        cutoff: of_customer,
        answers: vec![None; lines.len()],
        lines,
        to_order: Vec::new(),
    }
}
