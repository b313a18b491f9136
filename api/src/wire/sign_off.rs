//! Substitutes: what one changes, and who signed for it.

use super::{
    amount::{QuantityView, instant},
    decision::TakenBackView,
    named,
};
use crate::{
    document::{Fault, Reader},
    messages::Sentence,
    service::{
        plan::Morning,
        sign_offs::{Sign, SignOffHeld},
    },
};
use domain::{
    id::Code,
    plan::replaced::{Added, Moved, Replaced},
    ratio::Ratio,
    sign_off::SignOff,
};
use jiff::{civil::Date, tz::TimeZone};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use utoipa::ToSchema;

/// Formulas and products named by one sign-off.
const USED_IN_MAX: usize = 200;

/// Who signs for what.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SignOffBody {
    /// Which substitute.
    #[schema(example = "baking-fat-for-butter")]
    pub substitute: String,
    /// The formulas and products in which it is used; wherever it is allowed if absent.
    #[serde(default)]
    #[schema(example = json!(["bun"]))]
    pub used_in: Vec<String>,
    /// Share of each line that is replaced, percent; 100 if absent.
    #[schema(example = "100")]
    pub share: Option<String>,
    /// Allergens and labels that the signer read: exactly what it brings in.
    pub accepts: AcceptsBody,
    /// Customers that are not sent what it goes into: exactly those who avoid it.
    #[serde(default)]
    #[schema(example = json!(["hill-school"]))]
    pub excludes: Vec<String>,
    /// Who signs, 1 to 200 characters.
    #[schema(example = "Anna")]
    pub who: String,
    /// Why, 1 to 200 characters.
    #[schema(example = "the dairy cut our butter")]
    pub note: String,
}

/// What a substitute brings into products.
#[derive(Debug, Clone, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AcceptsBody {
    /// What they contain and did not before.
    #[serde(default)]
    #[schema(example = json!(["soya"]))]
    pub contains: Vec<String>,
    /// What they may contain and did not before.
    #[serde(default)]
    pub may_contain: Vec<String>,
    /// Items of it whose allergens nobody knows.
    #[serde(default)]
    pub not_known: Vec<String>,
}

/// What a substitute would change on a date; nothing is used by reading it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ReplacedView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed from the records.
    #[schema(example = "2026-06-10T12:10:00+02:00")]
    pub made_at: String,
    /// The bakery's name.
    pub bakery: String,
    /// The local date of the moment of asking.
    pub work_date: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Which substitute.
    #[schema(value_type = String, example = "baking-fat-for-butter")]
    pub substitute: Sentence,
    /// In which formulas and products.
    #[schema(value_type = Vec<String>)]
    pub used_in: Vec<Sentence>,
    /// Share of each line that is replaced, percent.
    #[schema(example = "100")]
    pub share: String,
    /// All that is new in any product: to be repeated by whoever signs.
    pub adds: AcceptsBody,
    /// Whether labels change.
    pub label_change: bool,
    /// Products that it goes into.
    pub products: Vec<AddedView>,
    /// Customers who avoid what is new: they are not sent these products.
    pub excluded: Vec<ExcludedView>,
    /// How stock stands before and after: what is replaced first.
    pub items: Vec<MovedView>,
    /// Formulas with released loads: these keep what they were released with.
    #[schema(value_type = Vec<String>)]
    pub released: Vec<Sentence>,
}

/// What is new in a product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AddedView {
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// What it contains and did not before.
    pub contains: Vec<String>,
    /// What it may contain and did not before.
    pub may_contain: Vec<String>,
    /// Items of it whose allergens nobody knows.
    #[schema(value_type = Vec<String>)]
    pub not_known: Vec<Sentence>,
}

/// A customer who is not sent a product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ExcludedView {
    /// Who.
    #[schema(example = "hill-school")]
    pub customer: String,
    /// What people call them.
    pub name: String,
    /// Which product.
    #[schema(value_type = String, example = "fruit-bun")]
    pub product: Sentence,
}

/// How an item stands before and after.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MovedView {
    /// Which item.
    #[schema(value_type = String, example = "butter")]
    pub item: Sentence,
    /// What the horizon needs of it now.
    pub needed: QuantityView,
    /// What it needs with the substitute.
    pub needed_then: QuantityView,
    /// What is short now.
    pub short: QuantityView,
    /// What is short with the substitute.
    pub short_then: QuantityView,
}

/// A substitute that somebody signed for.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SignOffView {
    /// Its id.
    pub id: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Which substitute.
    pub substitute: String,
    /// In which formulas and products.
    pub used_in: Vec<String>,
    /// Share of each line, percent.
    pub share: String,
    /// What it brought in by the records of that moment.
    pub adds: AcceptsBody,
    /// Customers that are not sent what it goes into, each with a product.
    pub excludes: Vec<(String, String)>,
    /// Who signed.
    pub who: String,
    /// Why.
    pub note: String,
    /// When it was written down.
    pub recorded_at: String,
    /// The plan revision that it made.
    pub plan_revision: i64,
    /// Who took it back and why; null while it holds.
    pub taken_back: Option<TakenBackView>,
}

/// Reads a question about a substitute.
///
/// # Errors
/// Every fault with its place.
pub fn question(
    service_date: Date,
    substitute: &str,
    used_in: &[String],
    share: Option<&str>,
) -> Result<SignOff, Vec<Fault>> {
    let mut reader = Reader::default();
    let asked = read(&mut reader, service_date, (substitute, used_in, share));
    reader.done(asked)
}

fn read(
    reader: &mut Reader,
    service_date: Date,
    (substitute, used_in, share): (&str, &[String], Option<&str>),
) -> SignOff {
    if used_in.len() > USED_IN_MAX {
        reader.fault("used_in", "too-many", format!("at most {USED_IN_MAX} formulas and products"));
    }
    let mut used_in: Vec<Code> = reader.codes("used_in", used_in);
    used_in.sort();
    used_in.dedup();
    SignOff {
        id: String::new(),
        service_date,
        substitute: reader.code("substitute", substitute),
        used_in,
        share_percent: share.map_or(Ratio::whole(100), |text| reader.decimal("share", text)),
        excludes: Vec::new(),
        who: String::new(),
        note: String::new(),
    }
}

impl SignOffBody {
    /// Reads what is signed for.
    ///
    /// # Errors
    /// Every fault with its place.
    pub fn read(&self, service_date: Date) -> Result<Sign, Vec<Fault>> {
        let Self { substitute, used_in, share, accepts, excludes, who, note } = self;
        let mut reader = Reader::default();
        let asked = read(&mut reader, service_date, (substitute, used_in, share.as_deref()));
        let (who, note) = (reader.words("who", who), reader.words("note", note));
        let faults = reader.into_faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        let set = |list: &Vec<String>| -> BTreeSet<String> { list.iter().cloned().collect() };
        let AcceptsBody { contains, may_contain, not_known } = accepts;
        Ok(Sign {
            sign_off: SignOff { who, note, ..asked },
            accepts: [set(contains), set(may_contain), set(not_known)],
            excludes: set(excludes),
        })
    }
}

fn codes(codes: &[Code]) -> Vec<String> {
    codes.iter().map(ToString::to_string).collect()
}

fn list(set: &BTreeSet<String>) -> Vec<String> {
    set.iter().cloned().collect()
}

/// What a substitute would change, as it is shown.
#[must_use]
pub fn replaced_view(morning: &Morning, (asked, found): (&SignOff, &Replaced)) -> ReplacedView {
    let Morning { bakery, .. } = morning;
    let customers = &bakery.lists().customers;
    let [contains, may_contain, not_known] = found.adds();
    let added = |one: &Added| AddedView {
        product: bakery.product(one.product).code.to_string(),
        name: bakery.product(one.product).name.clone(),
        contains: list(&one.contains),
        may_contain: list(&one.may_contain),
        not_known: one.unknown.iter().map(|code| named::made(bakery, code)).collect(),
    };
    let excluded = |&(customer, product): &(u32, u32)| ExcludedView {
        customer: customers[customer as usize].code.to_string(),
        name: customers[customer as usize].name.clone(),
        product: named::product(bakery, product),
    };
    let moved = |&Moved { item, needed_micro, short_micro }: &Moved| {
        let unit = bakery.item(item).base_unit;
        MovedView {
            item: named::item(bakery, item),
            needed: QuantityView::whole(needed_micro.0, unit),
            needed_then: QuantityView::whole(needed_micro.1, unit),
            short: QuantityView::whole(short_micro.0, unit),
            short_then: QuantityView::whole(short_micro.1, unit),
        }
    };
    ReplacedView {
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, morning.now),
        bakery: bakery.site().name.clone(),
        work_date: morning.today().to_string(),
        service_date: asked.service_date.to_string(),
        substitute: named::substitute(bakery, asked.substitute.as_str()),
        used_in: asked.used_in.iter().map(|code| named::made(bakery, code.as_str())).collect(),
        share: asked.share_percent.to_decimal(6),
        adds: AcceptsBody {
            contains: list(&contains),
            may_contain: list(&may_contain),
            not_known: list(&not_known),
        },
        label_change: found.label_change,
        products: found.products.iter().map(added).collect(),
        excluded: found.excluded.iter().map(excluded).collect(),
        items: found.items.iter().map(moved).collect(),
        released: found.released.iter().map(|&at| named::item(bakery, at)).collect(),
    }
}

impl SignOffView {
    /// A sign-off as it is held.
    #[must_use]
    pub fn new(zone: &TimeZone, held: &SignOffHeld) -> Self {
        let SignOffHeld { sign_off, adds, recorded_at, plan_revision, taken_back } = held;
        let SignOff { id, service_date, substitute, used_in, share_percent, excludes, who, note } =
            sign_off;
        let [contains, may_contain, not_known] = adds.clone();
        let pair = |(customer, product): &(Code, Code)| (customer.to_string(), product.to_string());
        Self {
            id: id.clone(),
            service_date: service_date.to_string(),
            substitute: substitute.to_string(),
            used_in: codes(used_in),
            share: share_percent.to_decimal(6),
            adds: AcceptsBody { contains, may_contain, not_known },
            excludes: excludes.iter().map(pair).collect(),
            who: who.clone(),
            note: note.clone(),
            recorded_at: instant(zone, *recorded_at),
            plan_revision: *plan_revision,
            taken_back: taken_back
                .as_ref()
                .map(|(who, note)| TakenBackView { who: who.clone(), note: note.clone() }),
        }
    }
}
