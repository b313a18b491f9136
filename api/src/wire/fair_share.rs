//! Too little of a product among those who ordered it.

use crate::{
    document::{Fault, Reader},
    service::plan::Morning,
};
use domain::{
    id::Code,
    limits::PIECES_MAX,
    ratio::Overflow,
    share::{Wish, share},
};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What there is of a product for a date.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FairShareBody {
    /// Which product.
    #[schema(example = "croissant")]
    pub product: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Pieces that can be sold.
    #[schema(example = 152)]
    pub available: i64,
}

/// A share for each customer; nothing is decided by it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FairShareView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// Which product.
    #[schema(example = "croissant")]
    pub product: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Pieces that there are.
    pub available: i64,
    /// Pieces that were ordered.
    pub ordered: i64,
    /// Pieces that nobody gets: less than a pack, or of use to nobody.
    pub left: i64,
    /// Customers as listed.
    pub shares: Vec<ShareView>,
}

/// What one customer gets.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ShareView {
    /// Who.
    #[schema(example = "harbour-cafe")]
    pub customer: String,
    /// Its tier: 1 is served first.
    pub tier: i64,
    /// Pieces that it ordered.
    #[schema(example = 40)]
    pub ordered: i64,
    /// Pieces that it gets.
    #[schema(example = 31)]
    pub share: i64,
}

/// A question that is well formed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FairShare {
    /// Which product.
    pub product: Code,
    /// For which service date.
    pub service_date: Date,
    /// Pieces that there are.
    pub available: i64,
}

impl FairShareBody {
    /// Reads the question.
    ///
    /// # Errors
    /// Every fault with its place.
    pub fn read(&self) -> Result<FairShare, Vec<Fault>> {
        let Self { product, service_date, available } = self;
        let mut reader = Reader::default();
        let asked = FairShare {
            product: reader.code("product", product),
            service_date: reader.date("service_date", service_date),
            available: *available,
        };
        if !(0..=PIECES_MAX).contains(available) {
            let detail = format!("{available} pieces: say 0 to {PIECES_MAX}");
            reader.fault("available", "out-of-range", detail);
        }
        reader.done(asked)
    }
}

/// Shares what there is of a product, tier by tier.
///
/// Wishes stand in the order in which the orders were first taken; ties in one order of
/// customers as they are listed.
///
/// # Errors
/// [`Overflow`]
pub fn fair_share(
    morning: &Morning,
    product: u32,
    asked: &FairShare,
) -> Result<FairShareView, Overflow> {
    let bakery = &morning.bakery;
    let found = bakery.product(product);
    let mut wishes: Vec<(usize, i64, Option<jiff::Timestamp>)> = Vec::new();
    for (at, customer) in bakery.lists().customers.iter().enumerate() {
        let mine = morning.book.orders.iter().filter(|line| {
            line.customer == customer.code
                && line.product == found.code
                && line.service_date == asked.service_date
        });
        let (mut pieces, mut since) = (0_i64, None);
        for line in mine {
            pieces = pieces.checked_add(line.pieces).ok_or(Overflow)?;
            since = match (since, line.taken_at) {
                (Some(a), Some(b)) => Some(std::cmp::min(a, b)),
                (a, b) => a.or(b),
            };
        }
        wishes.push((at, pieces, since));
    }
    wishes.sort_by_key(|&(at, _, since)| (since.is_none(), since, at));
    let ordered = wishes.iter().map(|&(_, pieces, _)| pieces).sum();
    let customers = &bakery.lists().customers;
    let asks: Vec<Wish> = wishes
        .iter()
        .map(|&(at, pieces, _)| Wish {
            tier: customers[at].tier,
            pieces,
            minimum_useful: customers[at].minimum_useful,
            all_or_nothing: customers[at].all_or_nothing,
        })
        .collect();
    let given = share(asked.available, found.sale_pack, &asks)?;
    let mut shares: Vec<(usize, ShareView)> = wishes
        .iter()
        .zip(&given)
        .map(|(&(at, pieces, _), &share)| {
            let customer = customers[at].code.to_string();
            (at, ShareView { customer, tier: customers[at].tier, ordered: pieces, share })
        })
        .collect();
    shares.sort_by_key(|&(at, _)| at);
    Ok(FairShareView {
        plan_revision: morning.plan_revision,
        product: found.code.to_string(),
        service_date: asked.service_date.to_string(),
        available: asked.available,
        ordered,
        left: asked.available - given.iter().sum::<i64>(),
        shares: shares.into_iter().map(|(_, view)| view).collect(),
    })
}
