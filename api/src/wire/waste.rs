//! Waste as it comes in, and the report of it.

use super::{
    amount::{MoneyView, QuantityView, instant, money_text},
    cost::at_least,
    csv,
    lot::LotView,
    named,
};
use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    messages::Sentence,
    service::stock::{Waste, WasteRoute, Wasted, WastedLine},
};
use domain::{
    bakery::Bakery,
    money::Currency,
    quantity::{Quantity, Unit},
    ratio::Ratio,
};
use jiff::{Timestamp, civil::Date};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// Something was thrown away.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WasteBody {
    /// Id of the lot that it came out of; leave it out for what was in no lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub lot: Option<String>,
    /// Code of the item or product, if it was in no lot: burnt pieces, dough from the floor.
    #[schema(example = json!(null))]
    pub item: Option<String>,
    /// How much, by weight or by pieces.
    pub quantity: QuantityBody,
    /// Why: one of the house's `waste_reasons`.
    #[schema(example = "spilled")]
    pub reason: String,
    /// Where it was.
    #[schema(example = "weigh-room")]
    pub place: Option<String>,
    /// The batch or load that it came from.
    #[schema(example = json!(null))]
    pub batch: Option<String>,
    /// Where it went; `bin` if absent.
    pub route: Option<WasteRouteBody>,
    /// When; now if absent, and never in the future.
    #[schema(example = "2026-06-10T06:20:00+02:00")]
    pub wasted_at: Option<String>,
    /// Who threw it away.
    #[schema(example = "Imre")]
    pub who: Option<String>,
    /// In own words.
    #[schema(example = "bag split on the trolley")]
    pub note: Option<String>,
}

/// Where waste goes.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum WasteRouteBody {
    /// Into the bin.
    Bin,
    /// To animals.
    Feed,
    /// Given away.
    Donation,
}

impl WasteRouteBody {
    /// The route as the ledger takes it.
    pub(super) const fn read(self) -> WasteRoute {
        match self {
            Self::Bin => WasteRoute::Bin,
            Self::Feed => WasteRoute::Feed,
            Self::Donation => WasteRoute::Donation,
        }
    }
}

impl WasteBody {
    /// The waste as the ledger takes it.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self) -> Result<Waste, Vec<Fault>> {
        let Self { lot, item, quantity, reason, place, batch, route, wasted_at, who, note } = self;
        let mut reader = Reader::default();
        let waste = Waste {
            lot: reader.words_option("lot", lot.as_deref()),
            item: reader.code_option("item", item.as_deref()),
            quantity: reader.quantity("quantity", quantity),
            reason: reader.code("reason", reason),
            place: reader.code_option("place", place.as_deref()),
            batch: reader.words_option("batch", batch.as_deref()),
            route: route.map_or(WasteRoute::Bin, WasteRouteBody::read),
            wasted_at: reader.instant_option("wasted_at", wasted_at.as_deref()),
            who: reader.words_option("who", who.as_deref()),
            note: reader.words_option("note", note.as_deref()),
        };
        reader.done(waste)
    }
}

/// What became of it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WasteView {
    /// UUID of version 7 of the record.
    #[schema(example = "01975a30-1c00-7000-8000-000000000006")]
    pub id: String,
    /// Id of the ledger entry; null for what was in no lot.
    #[schema(example = "01975a30-1c00-7000-8000-000000000007")]
    pub movement: Option<String>,
    /// The line as the report shows it.
    pub line: WasteLineView,
    /// The lot after it.
    pub lot: Option<LotView>,
}

/// One line of what was thrown away.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WasteLineView {
    /// When.
    #[schema(example = "2026-06-10T06:20:00+02:00")]
    pub at: String,
    /// Code of the item or product.
    #[schema(value_type = String, example = "rye")]
    pub item: Sentence,
    /// The name of the lot, if it came out of one.
    #[schema(example = "R-14")]
    pub lot: Option<String>,
    /// How much.
    pub quantity: QuantityView,
    /// Why; null if nobody said.
    #[schema(example = "spilled")]
    pub reason: Option<String>,
    /// `bin`, `feed` or `donation`; null if nobody said.
    #[schema(example = "bin")]
    pub route: Option<String>,
    /// The batch or load.
    #[schema(example = json!(null))]
    pub batch: Option<String>,
    /// What it had cost at the price of its receipt; null if that is not known.
    pub money: Option<MoneyView>,
}

impl WasteView {
    /// What became of it.
    #[must_use]
    pub fn new(bakery: &Bakery, wasted: &Wasted) -> Self {
        let Wasted { id, movement, lot, line } = wasted;
        Self {
            id: id.clone(),
            movement: movement.clone(),
            line: line_view(bakery, line),
            lot: lot.as_ref().map(LotView::new),
        }
    }
}

/// What was thrown away in some days.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WasteReportView {
    /// What the bakery is called.
    #[schema(example = "Alder Yard")]
    pub bakery: String,
    /// First local date.
    #[schema(example = "2026-06-01")]
    pub from: String,
    /// Last local date.
    #[schema(example = "2026-06-10")]
    pub to: String,
    /// When the report was made.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// All of it.
    pub total: WasteSumView,
    /// By reason, heaviest first.
    pub by_reason: Vec<WasteSumView>,
    /// By week of ISO 8601, oldest first.
    pub by_week: Vec<WasteSumView>,
    /// By week and reason, oldest week first, heaviest reason first in it.
    pub by_week_and_reason: Vec<WasteCellView>,
    /// Every line, oldest first.
    pub lines: Vec<WasteLineView>,
}

/// A sum of waste; what has no weight and no price is counted beside.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WasteSumView {
    /// What is summed: the reason or the week.
    #[schema(example = "spilled")]
    pub name: String,
    /// All that has a weight.
    pub mass: QuantityView,
    /// Pieces that have no weight on record.
    #[schema(example = "12")]
    pub pieces: String,
    /// Millilitres that have no density on record.
    #[schema(example = "0")]
    pub millilitres: String,
    /// The money that is known: the sum of its lines.
    pub money: MoneyView,
    /// Lines of which nobody knows what they had cost.
    #[schema(example = 1)]
    pub unpriced: i64,
    /// The same in words.
    #[schema(example = "3.2 kg + 12 pieces, at least 4.10 EUR, 1 price missing")]
    #[schema(value_type = String)]
    pub statement: Sentence,
}

/// A sum of one reason in one week.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WasteCellView {
    /// The week.
    #[schema(example = "2026-W24")]
    pub week: String,
    /// The sum; its name is the reason.
    pub sum: WasteSumView,
}

/// A sum while it grows, in millionths and minor units.
#[derive(Debug, Clone, Default)]
struct Sum {
    mass_ug: i128,
    pieces_micro: i128,
    volume_micro: i128,
    money_minor: i128,
    unpriced: i64,
    lines: i64,
}

/// The words for a line without a reason.
const NO_REASON: &str = "no reason given";

/// The report of some lines.
#[must_use]
pub fn waste_report(
    bakery: &Bakery,
    lines: &[WastedLine],
    (from, to): (Date, Date),
    now: Timestamp,
) -> WasteReportView {
    let site = bakery.site();
    let mut total = Sum::default();
    let mut reasons: BTreeMap<String, Sum> = BTreeMap::new();
    let mut weeks: BTreeMap<String, Sum> = BTreeMap::new();
    let mut cells: BTreeMap<String, BTreeMap<String, Sum>> = BTreeMap::new();
    for line in lines {
        let date = site.time_zone.to_datetime(line.at).date().iso_week_date();
        let week = format!("{:04}-W{:02}", date.year(), date.week());
        let reason = line.reason.clone().unwrap_or_else(|| NO_REASON.to_owned());
        let cell = cells.entry(week.clone()).or_default().entry(reason.clone()).or_default();
        let sums =
            [&mut total, reasons.entry(reason).or_default(), weeks.entry(week).or_default(), cell];
        for sum in sums {
            sum.add(bakery, line);
        }
    }
    let currency = site.currency;
    let by_week_and_reason = cells.into_iter().flat_map(|(week, reasons)| {
        let cell = move |sum| WasteCellView { week: week.clone(), sum };
        heaviest(reasons, currency).into_iter().map(cell)
    });
    WasteReportView {
        bakery: site.name.clone(),
        from: from.to_string(),
        to: to.to_string(),
        made_at: instant(&site.time_zone, now),
        total: total.view("all", currency),
        by_week_and_reason: by_week_and_reason.collect(),
        by_reason: heaviest(reasons, currency),
        by_week: weeks.iter().map(|(week, sum)| sum.view(week, currency)).collect(),
        lines: lines.iter().map(|line| line_view(bakery, line)).collect(),
    }
}

fn heaviest(sums: BTreeMap<String, Sum>, currency: Currency) -> Vec<WasteSumView> {
    let mut sums: Vec<_> = sums.into_iter().collect();
    sums.sort_by(|a, b| {
        let key = |sum: &Sum| (sum.mass_ug, sum.pieces_micro, sum.volume_micro);
        key(&b.1).cmp(&key(&a.1)).then_with(|| a.0.cmp(&b.0))
    });
    sums.iter().map(|(name, sum)| sum.view(name, currency)).collect()
}

impl Sum {
    fn add(&mut self, bakery: &Bakery, line: &WastedLine) {
        match mass(bakery, line) {
            Some(ug) => self.mass_ug += ug,
            None if line.unit == Unit::Millilitre => {
                self.volume_micro += i128::from(line.amount_micro);
            }
            None => self.pieces_micro += i128::from(line.amount_micro),
        }
        match line.money_minor {
            Some(minor) => self.money_minor += i128::from(minor),
            None => self.unpriced += 1,
        }
        self.lines += 1;
    }

    fn view(&self, name: &str, currency: Currency) -> WasteSumView {
        let narrow = |wide: i128| i64::try_from(wide).unwrap_or(i64::MAX);
        let minor = narrow(self.money_minor);
        let text = |micro: i128| domain::quantity::micro_decimal(Ratio::whole(micro));
        let mut parts = Vec::new();
        if self.mass_ug != 0 || (self.pieces_micro == 0 && self.volume_micro == 0) {
            let kilograms = Ratio::new(self.mass_ug, 1_000_000_000);
            let kilograms = kilograms.map_or_else(|_| "?".to_owned(), |mass| mass.to_decimal(3));
            parts.push(Sentence::amount(kilograms + " kg"));
        }
        if self.pieces_micro != 0 {
            parts.push(Sentence::amount(format!("{} pieces", text(self.pieces_micro))));
        }
        if self.volume_micro != 0 {
            parts.push(Sentence::amount(format!("{} mL", text(self.volume_micro))));
        }
        let money = match self.unpriced {
            missing if missing > 0 && missing == self.lines => Sentence::of("cost-price-not-known"),
            missing => {
                let money = format!("{} {currency}", money_text(minor));
                at_least(Sentence::amount(money), missing)
            }
        };
        WasteSumView {
            name: name.to_owned(),
            mass: QuantityView::mass(Ratio::whole(self.mass_ug)),
            pieces: text(self.pieces_micro),
            millilitres: text(self.volume_micro),
            money: MoneyView { minor_units: minor, currency: currency.to_string() },
            unpriced: self.unpriced,
            statement: Sentence::joined(", ", [Sentence::joined(" + ", parts), money]),
        }
    }
}

/// The mass of a line in micrograms, half up; none if its item has no weight on record.
fn mass(bakery: &Bakery, line: &WastedLine) -> Option<i128> {
    if line.unit == Unit::Gram {
        return Some(line.amount_micro.into());
    }
    let item = bakery.item(bakery.index().item(&line.item)?);
    let quantity = Quantity::from_micro(line.amount_micro, line.unit).ok()?;
    item.mass_ug(quantity).ok()??.round_half_up().ok()
}

fn line_view(bakery: &Bakery, line: &WastedLine) -> WasteLineView {
    let site = bakery.site();
    let WastedLine { at, item, lot, amount_micro, unit, reason, route, batch, money_minor } = line;
    let currency = site.currency.to_string();
    WasteLineView {
        at: instant(&site.time_zone, *at),
        item: named::made(bakery, item),
        lot: lot.clone(),
        quantity: QuantityView::whole(*amount_micro, *unit),
        reason: reason.clone(),
        route: route.clone(),
        batch: batch.clone(),
        money: money_minor.map(|minor_units| MoneyView { minor_units, currency }),
    }
}

/// The lines of a report as comma-separated values.
///
/// # Source
/// RFC 4180.
#[must_use]
pub fn waste_csv(report: &WasteReportView) -> String {
    let row = |line: &WasteLineView| {
        let WasteLineView { at, item, lot, quantity, reason, route, batch, money } = line;
        let minor = money.as_ref().map(|money| money.minor_units.to_string());
        let currency = money.as_ref().map(|money| money.currency.clone());
        let cells = [
            Some(at.clone()),
            Some(item.wired()),
            lot.clone(),
            Some(quantity.amount.clone()),
            Some(quantity.unit.to_owned()),
            reason.clone(),
            route.clone(),
            batch.clone(),
            minor,
            currency,
        ];
        cells.into_iter().map(Option::unwrap_or_default).collect()
    };
    let head = [
        "at",
        "item",
        "lot",
        "amount",
        "unit",
        "reason",
        "route",
        "batch",
        "minor_units",
        "currency",
    ];
    csv::table(&head, report.lines.iter().map(row))
}
