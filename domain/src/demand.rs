//! From orders and finished stock to start pieces.
//!
//! Always in this order: what is ordered, what counters open with and what a forecast
//! says beyond, what other products need of it, what is still sellable in stock, test pieces, rejects, overs.

mod ahead;
mod change;
mod finished;
mod placed;
mod standing;

pub use ahead::{make_ahead, pars};
pub(crate) use change::{OrderedBy, changed};
pub use finished::FinishedDraw;
pub(crate) use placed::{Placed, PlacedLine};
pub use standing::{Slot, Standing, standing};

use crate::{
    bakery::{Bakery, CompiledMakeUp},
    book::Book,
    order::Wanted,
    overrides::{Override, OverrideValue},
    product::{Overs, Product},
    ratio::{Overflow, Ratio},
    rows::Rows,
};
use jiff::{Timestamp, civil::Date};

/// The pieces of one product for one service date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PieceLine {
    /// Position of the product.
    pub product: u32,
    /// When they are sold.
    pub service_date: Date,
    /// Pieces that customers hold orders for.
    pub ordered: i64,
    /// The same by position of customer.
    pub by_customer: Vec<(u32, i64)>,
    /// Pieces that counters open with, beyond what is ordered out of them.
    pub par: i64,
    /// Pieces that nobody ordered yet and a forecast expects.
    pub forecast: i64,
    /// Pieces that other products take as an ingredient, by user and its date.
    pub taken_by: Vec<(u32, Date, i64)>,
    /// Pieces to be cut or probed.
    pub test_pieces: i64,
    /// Pieces for customers that finished stock covers.
    pub from_stock: i64,
    /// Good pieces that must come out.
    pub net: i64,
    /// Good pieces planned, overs included.
    pub good_planned: i64,
    /// Pieces to begin with.
    pub start: i64,
    /// Trays begun, if the product has trays.
    pub trays: Option<i64>,
    /// Pieces that would be begun, if a person set another number.
    pub computed: Option<i64>,
}

impl PieceLine {
    /// Pieces that are made though nobody ordered them.
    #[must_use]
    pub const fn ahead(&self) -> i64 {
        self.par + self.forecast
    }

    /// Pieces for customers, ordered or not.
    #[must_use]
    pub const fn asked(&self) -> i64 {
        self.ordered + self.ahead()
    }

    /// Pieces that other products take.
    #[must_use]
    pub fn taken(&self) -> i64 {
        self.taken_by.iter().map(|&(_, _, pieces)| pieces).sum()
    }

    /// Good pieces beyond what was asked; below zero if a person begins too few.
    #[must_use]
    pub const fn overs(&self) -> i64 {
        self.good_planned - self.net
    }
}

/// Finished pieces of a date outside the plan that a product takes from stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockDraw {
    /// Position of the product that is taken.
    pub product: u32,
    /// When it was baked.
    pub baked: Date,
    /// How many pieces.
    pub pieces: i64,
    /// Position of the product that takes them.
    pub taken_by: u32,
    /// For which service date.
    pub service_date: Date,
}

/// All pieces of a plan.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Demand {
    /// By service date, then position of product.
    pub pieces: Rows<PieceLine>,
    /// Draws on finished stock, by date and product.
    pub stock_draws: Vec<StockDraw>,
    /// Finished pieces that cover orders, by service date, first expired first.
    pub finished: Vec<FinishedDraw>,
}

impl Demand {
    /// The pieces of a product for a service date, if any are asked.
    #[must_use]
    pub fn of(&self, service_date: Date, product: u32) -> Option<&PieceLine> {
        let key = |line: &PieceLine| (line.service_date, line.product);
        let at = self.pieces.binary_search_by_key(&(service_date, product), key).ok()?;
        Some(&self.pieces[at])
    }
}

#[derive(Default, Clone)]
struct Asked {
    ordered: i64,
    par: i64,
    forecast: i64,
    by_customer: Vec<(u32, i64)>,
    taken_by: Vec<(u32, Date, i64)>,
    from_stock: i64,
    from_frozen: i64,
}

impl Asked {
    /// Pieces for customers, ordered or not.
    const fn all(&self) -> i64 {
        self.ordered + self.par + self.forecast
    }

    fn add(&mut self, line: &PlacedLine) -> Result<(), Overflow> {
        let sum = match line.wanted {
            Wanted::Ordered | Wanted::OutOfPar => &mut self.ordered,
            Wanted::Par => &mut self.par,
            Wanted::Forecast => &mut self.forecast,
        };
        *sum = sum.checked_add(line.pieces).filter(|sum| *sum <= PIECES_ALL_MAX).ok_or(Overflow)?;
        if !line.wanted.is_ahead() {
            self.by_customer.push((line.customer, line.pieces));
        }
        Ok(())
    }
}

/// Pieces of a product and date beyond which nothing is summed: sums of four stay in `i64`.
const PIECES_ALL_MAX: i64 = i64::MAX / 8;

/// Start pieces of all products for the plan's service dates, which are in order.
///
/// Frozen pieces are there in time if they can be.
///
/// # Errors
/// [`Overflow`] if a number of pieces is beyond all bounds.
pub fn demand(bakery: &Bakery, book: &Book, dates: &[Date]) -> Result<Demand, Overflow> {
    let placed = Placed::new(bakery, book, dates);
    demand_at(bakery, (book, &placed.lines), dates, Timestamp::MIN)
}

/// The same, seen from an instant: what is frozen then still has to thaw.
///
/// # Errors
/// [`Overflow`] if a number of pieces is beyond all bounds.
pub(crate) fn demand_at(
    bakery: &Bakery,
    (book, lines): (&Book, &[PlacedLine]),
    dates: &[Date],
    as_of: Timestamp,
) -> Result<Demand, Overflow> {
    let products = bakery.lists().products.len();
    let mut asked = vec![Asked::default(); dates.len() * products];
    for line in lines {
        asked[line.day * products + line.product as usize].add(line)?;
    }
    let finished = finished::draw(bakery, book, dates, as_of, &mut asked);
    let mut demand = Demand { finished, ..Demand::default() };
    let mut pieces = Vec::new();
    // Later dates first: what they take of earlier ones must be known by then.
    for day in (0..dates.len()).rev() {
        for &product in &bakery.recipes(dates[day]).product_order {
            let here = std::mem::take(&mut asked[day * products + product as usize]);
            let for_customers = here.all();
            let by_hand = by_hand(book, dates[day], bakery.product(product));
            // A line of nothing cancels; it asks for no tray and no row.
            if for_customers == 0 && here.taken_by.is_empty() && by_hand.is_none() {
                continue;
            }
            let mut line = piece_line(bakery.product(product), product, dates[day], here)?;
            if let Some(start) = by_hand {
                set_by_hand(bakery.product(product), &mut line, start)?;
            }
            take_products(bakery, dates, &line, &mut asked, &mut demand.stock_draws)?;
            pieces.push(line);
        }
    }
    pieces.sort_by_key(|line| (line.service_date, line.product));
    demand.pieces = pieces.into();
    demand.stock_draws.sort_by_key(|draw| (draw.service_date, draw.product, draw.taken_by));
    Ok(demand)
}

/// Pieces to begin with that a person set.
fn by_hand(book: &Book, date: Date, product: &Product) -> Option<i64> {
    let own = |one: &&Override| one.service_date == date && one.code == product.code;
    book.overrides.iter().filter(own).find_map(|one| match one.value {
        OverrideValue::StartPieces(pieces) => Some(pieces),
        _ => None,
    })
}

fn set_by_hand(product: &Product, line: &mut PieceLine, start: i64) -> Result<(), Overflow> {
    let good = Ratio::whole(start.into()).times(product.reject_percent.left_after_percent()?)?;
    line.computed = Some(line.start);
    line.start = start;
    line.good_planned = i64::try_from(good.floor()).map_err(|_| Overflow)?;
    line.trays = product.tray.as_ref().map(|tray| tray.holding(start));
    Ok(())
}

fn piece_line(
    product: &Product,
    position: u32,
    service_date: Date,
    asked: Asked,
) -> Result<PieceLine, Overflow> {
    let for_customers = asked.all();
    let mut by_customer = asked.by_customer;
    by_customer.sort_unstable();
    by_customer.dedup_by(|later, held| {
        let same = later.0 == held.0;
        if same {
            held.1 += later.1;
        }
        same
    });
    by_customer.retain(|&(_, pieces)| pieces != 0);
    let taken: i64 = asked.taken_by.iter().map(|&(_, _, pieces)| pieces).sum();
    let before_test = for_customers + taken - asked.from_stock;
    let test_pieces = if before_test > 0 { product.test_pieces } else { 0 };
    let net = before_test + test_pieces;
    let (good_planned, start) = start_pieces(product, net)?;
    let trays = product.tray.as_ref().map(|tray| tray.holding(start));
    Ok(PieceLine {
        product: position,
        service_date,
        ordered: asked.ordered,
        by_customer,
        par: asked.par,
        forecast: asked.forecast,
        taken_by: asked.taken_by,
        test_pieces,
        from_stock: asked.from_stock,
        net,
        good_planned,
        start,
        trays,
        computed: None,
    })
}

/// Good pieces planned and pieces begun for a net need.
///
/// Pack and fixed overs are good pieces, added before the division by rejects;
/// tray overs are start pieces.
///
/// # Errors
/// [`Overflow`]
pub fn start_pieces(product: &Product, net: i64) -> Result<(i64, i64), Overflow> {
    if net <= 0 {
        return Ok((0, 0));
    }
    let remaining = product.reject_percent.left_after_percent()?;
    let begin = |good: i64| -> Result<i64, Overflow> {
        let start = Ratio::whole(good.into()).over(remaining)?.ceil();
        i64::try_from(start).map_err(|_| Overflow)
    };
    Ok(match (product.overs, &product.tray) {
        (Overs::Pack { multiple }, _) => {
            let good = (net + multiple - 1) / multiple * multiple;
            (good, begin(good)?)
        }
        (Overs::Fixed { pieces }, _) => (net + pieces, begin(net + pieces)?),
        (Overs::Tray, Some(tray)) => {
            let start = tray.holding(begin(net)?) * tray.pieces;
            let good = Ratio::whole(start.into()).times(remaining)?.floor();
            (i64::try_from(good).map_err(|_| Overflow)?, start)
        }
        (Overs::None | Overs::Tray, _) => (net, begin(net)?),
    })
}

/// Asks for the products that a product takes, or draws them from stock.
fn take_products(
    bakery: &Bakery,
    dates: &[Date],
    line: &PieceLine,
    asked: &mut [Asked],
    draws: &mut Vec<StockDraw>,
) -> Result<(), Overflow> {
    let products = bakery.lists().products.len();
    let recipes = bakery.recipes(line.service_date);
    for make_up in recipes.make_up_of(line.product) {
        let &CompiledMakeUp::Product { product, pieces, day_offset } = make_up else { continue };
        let pieces = pieces.checked_mul(line.start).ok_or(Overflow)?;
        let baked = crate::calendar::add_days(line.service_date, day_offset.into())
            .map_err(|_| Overflow)?;
        if pieces == 0 {
            continue;
        }
        match dates.binary_search(&baked) {
            Ok(day) => asked[day * products + product as usize].taken_by.push((
                line.product,
                line.service_date,
                pieces,
            )),
            Err(_) => draws.push(StockDraw {
                product,
                baked,
                pieces,
                taken_by: line.product,
                service_date: line.service_date,
            }),
        }
    }
    Ok(())
}
