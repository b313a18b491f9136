//! When it is too late to order: two ways to cut, side by side.

use super::{
    amount::{MoneyView, QuantityView, instant},
    decision::DecisionView,
    named,
};
use crate::{
    messages::Sentence,
    service::{decisions::DecisionHeld, plan::Morning},
};
use domain::{
    order::Wanted,
    plan::cuts::{Cuts, ScarceItem, Stop, Way},
    ratio::Ratio,
    share::Proof,
};
use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;

/// Two ways to cut the orders of some service dates; nothing is picked by them.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CutsView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed.
    #[schema(example = "2026-06-10T12:10:00+02:00")]
    pub made_at: String,
    /// The bakery's name.
    pub bakery: String,
    /// The local date of the moment of asking.
    #[schema(example = "2026-06-10")]
    pub work_date: String,
    /// First service date whose orders may be cut.
    #[schema(example = "2026-06-12")]
    pub from: String,
    /// Last such date.
    #[schema(example = "2026-06-12")]
    pub to: String,
    /// `UNDECIDED` while something is short, else null.
    pub state: Option<&'static str>,
    /// What is scarce, with what there is of it.
    pub scarce: Vec<ScarceView>,
    /// Lines of orders that take something scarce.
    pub lines: Vec<CutLineView>,
    /// Products that a way cuts, with the reason.
    pub products: Vec<CutProductView>,
    /// The same part for everybody inside a tier.
    pub fair: Option<WayView>,
    /// The most worth, tier before tier.
    pub best: Option<WayView>,
    /// What fairness costs, in words.
    #[schema(value_type = String)]
    pub cost_of_fairness: Sentence,
    /// In what worth is counted: `money` in minor units, or `pieces`.
    #[schema(example = "money")]
    pub counted_in: &'static str,
    /// Products without a price; if there are any, each piece counts as one.
    #[schema(value_type = Vec<String>)]
    pub without_price: Vec<Sentence>,
    /// What was decided for the first date.
    pub decisions: Vec<DecisionView>,
}

/// Something scarce.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ScarceView {
    /// Which item.
    #[schema(example = "butter-sheet")]
    pub item: String,
    /// What people call it.
    pub name: String,
    /// Up to this step there is too little.
    #[schema(example = "2026-06-12T08:00:00+02:00")]
    pub at: String,
    /// What these orders can have of it up to then.
    pub there: QuantityView,
    /// What they take of it up to then.
    pub wanted: QuantityView,
}

/// What orders of one customer, product and drop would get.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CutLineView {
    /// Who ordered.
    #[schema(example = "harbour-cafe")]
    pub customer: String,
    /// What people call them.
    pub customer_name: String,
    /// Its tier: 1 is served first, and what nobody ordered after all.
    pub tier: i64,
    /// What was ordered.
    #[schema(example = "croissant")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// For which drop, if the order names one.
    #[schema(example = "07:00")]
    pub drop: Option<String>,
    /// `ordered`, `par` (the counter opens with them) or `forecast`: what nobody ordered is
    /// cut before any order.
    #[schema(example = "ordered")]
    pub wanted: &'static str,
    /// Pieces that are asked.
    #[schema(example = 40)]
    pub asked: i64,
    /// Pieces by the fair way.
    #[schema(example = 31)]
    pub fair: i64,
    /// Pieces by the best way.
    #[schema(example = 40)]
    pub best: i64,
}

/// What a product loses, and why.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CutProductView {
    /// Which product.
    #[schema(example = "croissant")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Pieces that are asked.
    pub asked: i64,
    /// Pieces by the fair way.
    pub fair: i64,
    /// Why it is no more, in a plain sentence.
    #[schema(value_type = Option<String>)]
    pub fair_because: Option<Sentence>,
    /// Pieces by the best way.
    pub best: i64,
    /// Why it is no more, in a plain sentence.
    #[schema(value_type = Option<String>)]
    pub best_because: Option<Sentence>,
}

/// One way to cut as a whole.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WayView {
    /// Its worth, in minor units or pieces.
    pub worth: i64,
    /// Pieces that are made of what is asked.
    pub pieces: i64,
    /// How good it is known to be, in words.
    #[schema(value_type = String)]
    pub statement: Sentence,
    /// Whether no way can keep more; only of the best way.
    pub proven: Option<bool>,
    /// Tier by tier, what could be kept at most; only of the best way.
    pub tiers: Vec<TierView>,
    /// Doughs left out whole because a load would be under its mixer's minimum.
    pub left_out: Vec<String>,
    /// What its plan leaves short all the same.
    pub still_short: Vec<StillShortView>,
}

/// What is kept of a tier.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TierView {
    /// The tier.
    pub tier: i64,
    /// What is kept.
    pub worth: i64,
    /// No way keeps more than this, tiers before it given.
    pub at_most: i64,
    /// `bound` (an exact bound equals it), `search` (all ways were searched) or `none`.
    #[schema(example = "bound")]
    pub proof: &'static str,
}

/// What is short after a cut.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StillShortView {
    /// Which item.
    #[schema(value_type = String)]
    pub item: Sentence,
    /// How much.
    pub short: QuantityView,
}

/// Two ways to cut as they are shown.
#[must_use]
pub fn cuts_view(
    morning: &Morning,
    (from, to): (Date, Date),
    found: Option<&Cuts>,
    decisions: &[DecisionHeld],
) -> CutsView {
    let bakery = &morning.bakery;
    let zone = &bakery.site().time_zone;
    let nothing = Cuts::default();
    let cuts = found.unwrap_or(&nothing);
    let money = cuts.without_price.is_empty();
    let product = |product: &u32| named::product(bakery, *product);
    let mut fair = found.map(|cuts| way(morning, &cuts.fair));
    if let Some(fair) = &mut fair {
        let names = cuts.left_out.iter().map(|(item, _)| bakery.item(*item).name.clone());
        fair.left_out = names.collect();
        fair.statement = fair_words(&fair.left_out);
    }
    let mut best = found.map(|cuts| way(morning, &cuts.best));
    if let Some(best) = &mut best {
        best.tiers = cuts.proof.tiers.iter().map(tier).collect();
        best.proven = Some(cuts.proof.is_proven());
        best.statement = best_words(&best.tiers, cuts.proof.is_proven(), money, morning);
    }
    CutsView {
        plan_revision: morning.plan_revision,
        made_at: instant(zone, morning.now),
        bakery: bakery.site().name.clone(),
        work_date: morning.today().to_string(),
        from: from.to_string(),
        to: to.to_string(),
        state: found.map(|_| "UNDECIDED"),
        scarce: cuts.scarce.iter().map(|scarce| scarce_view(morning, scarce)).collect(),
        lines: lines(morning, cuts),
        products: products(morning, cuts),
        cost_of_fairness: cost_words(morning, cuts, money),
        fair,
        best,
        counted_in: if money { "money" } else { "pieces" },
        without_price: cuts.without_price.iter().map(product).collect(),
        decisions: decisions.iter().map(|held| DecisionView::new(bakery, held)).collect(),
    }
}

fn whole(worth: i128) -> i64 {
    i64::try_from(worth).unwrap_or(i64::MAX)
}

fn way(morning: &Morning, way: &Way) -> WayView {
    let still = |&(item, micro): &(u32, i64)| {
        let short = QuantityView::whole(micro, morning.bakery.item(item).base_unit);
        StillShortView { item: named::item(&morning.bakery, item), short }
    };
    WayView {
        worth: whole(way.worth),
        pieces: way.kept.iter().sum(),
        statement: Sentence::from(""),
        proven: None,
        tiers: Vec::new(),
        left_out: Vec::new(),
        still_short: way.still_short.iter().map(still).collect(),
    }
}

fn tier(found: &domain::share::TierWorth) -> TierView {
    TierView {
        tier: found.tier,
        worth: whole(found.worth),
        at_most: whole(found.bound),
        proof: match found.proof {
            Proof::Bound => "bound",
            Proof::Search => "search",
            Proof::None => "none",
        },
    }
}

fn scarce_view(morning: &Morning, scarce: &ScarceItem) -> ScarceView {
    let item = morning.bakery.item(scarce.item);
    ScarceView {
        item: item.code.to_string(),
        name: item.name.clone(),
        at: instant(&morning.bakery.site().time_zone, scarce.at),
        there: QuantityView::whole(scarce.there_micro, item.base_unit),
        wanted: QuantityView::whole(scarce.wanted_micro, item.base_unit),
    }
}

fn lines(morning: &Morning, cuts: &Cuts) -> Vec<CutLineView> {
    let lists = morning.bakery.lists();
    let mut order: Vec<usize> = (0..cuts.lines.len()).collect();
    order.sort_by_key(|&at| {
        let line = &cuts.lines[at];
        let tier = lists.customers[line.customer as usize].tier_of(line.wanted);
        (line.service_date, line.product, tier, line.customer, line.drop)
    });
    let view = |at: usize| {
        let line = &cuts.lines[at];
        let customer = &lists.customers[line.customer as usize];
        CutLineView {
            customer: customer.code.to_string(),
            customer_name: customer.name.clone(),
            tier: customer.tier_of(line.wanted),
            product: lists.products[line.product as usize].code.to_string(),
            name: lists.products[line.product as usize].name.clone(),
            service_date: line.service_date.to_string(),
            drop: line.drop.map(|drop| drop.strftime("%H:%M").to_string()),
            wanted: wanted_word(line.wanted),
            asked: line.asked,
            fair: cuts.fair.kept[at],
            best: cuts.best.kept[at],
        }
    };
    order.into_iter().map(view).collect()
}

/// The stable word for why pieces are wanted.
const fn wanted_word(wanted: Wanted) -> &'static str {
    match wanted {
        Wanted::Ordered | Wanted::OutOfPar => "ordered",
        Wanted::Par => "par",
        Wanted::Forecast => "forecast",
    }
}

fn products(morning: &Morning, cuts: &Cuts) -> Vec<CutProductView> {
    let mut keys: Vec<(Date, u32)> =
        cuts.lines.iter().map(|line| (line.service_date, line.product)).collect();
    keys.sort_unstable();
    keys.dedup();
    let mut found = Vec::new();
    for (date, product) in keys {
        let own: Vec<usize> = (0..cuts.lines.len())
            .filter(|&at| (cuts.lines[at].service_date, cuts.lines[at].product) == (date, product))
            .collect();
        let sum = |of: &[i64]| -> i64 { own.iter().map(|&at| of[at]).sum() };
        let asked: i64 = own.iter().map(|&at| cuts.lines[at].asked).sum();
        let (fair, best) = (sum(&cuts.fair.kept), sum(&cuts.best.kept));
        if fair == asked && best == asked {
            continue;
        }
        let because = |way: &Way, kept: i64| {
            let stop = own.iter().find_map(|&at| way.stops.get(at).copied().flatten());
            stop.filter(|_| kept < asked).map(|stop| because(morning, cuts, stop, asked - kept))
        };
        found.push(CutProductView {
            product: morning.bakery.product(product).code.to_string(),
            name: morning.bakery.product(product).name.clone(),
            service_date: date.to_string(),
            asked,
            fair,
            fair_because: because(&cuts.fair, fair),
            best,
            best_because: because(&cuts.best, best),
        });
    }
    found
}

/// Why no more of a product is made, in a plain sentence.
fn because(morning: &Morning, cuts: &Cuts, stop: Stop, cut: i64) -> Sentence {
    let of = match stop {
        Stop::Scarce { at, left_micro, next_micro, pieces } => {
            let item = morning.bakery.item(cuts.scarce[at as usize].item);
            let say = |micro: i128| {
                let QuantityView { amount, unit } =
                    QuantityView::new(Ratio::whole(micro.max(0) / 1_000 * 1_000), item.base_unit);
                Sentence::amount(format!("{amount} {unit}"))
            };
            let (message, next) = match pieces {
                1 => ("cut-because-short", Sentence::of("cut-piece-next")),
                more => (
                    "cut-because-shorts",
                    Sentence::of("cut-pieces-next").with("pieces", more.to_string()),
                ),
            };
            Sentence::of(message)
                .with("item", &item.name)
                .with("next", next)
                .with("takes", say(next_micro))
                .with("left", say(left_micro))
        }
        Stop::Dough(item) => {
            Sentence::of("cut-because-dough").with("item", &morning.bakery.item(item).name)
        }
        Stop::Pieces => Sentence::of("cut-because-pieces"),
    };
    of.with("cut", cut.to_string())
}

fn amount(morning: &Morning, worth: i64, money: bool) -> Sentence {
    Sentence::amount(match money {
        true => MoneyView::new(worth, morning.bakery.site().currency).said(),
        false => format!("{worth} pieces"),
    })
}

fn fair_words(left_out: &[String]) -> Sentence {
    match left_out {
        [] => Sentence::of("cut-fair-is"),
        names => Sentence::of("cut-fair-is-left-out").with("names", Sentence::joined(", ", names)),
    }
}

fn best_words(tiers: &[TierView], proven: bool, money: bool, morning: &Morning) -> Sentence {
    if proven {
        return Sentence::of("cut-best-proven");
    }
    let open = tiers.iter().filter(|tier| tier.proof == "none").map(|tier| {
        let more = amount(morning, tier.at_most - tier.worth, money);
        Sentence::of("cut-tier-could").with("tier", tier.tier.to_string()).with("more", more)
    });
    Sentence::of("cut-best-open").with("tiers", Sentence::joined("; ", open))
}

fn cost_words(morning: &Morning, cuts: &Cuts, money: bool) -> Sentence {
    if cuts.lines.is_empty() {
        return Sentence::of("cut-nothing-short");
    }
    let (fair, best) = (whole(cuts.fair.worth), whole(cuts.best.worth));
    let say = |worth: i64| amount(morning, worth, money);
    let of = if best >= fair {
        Sentence::of("cut-fairness-costs").with("cost", say(best - fair))
    } else {
        // An earlier tier keeps more, which comes before what later ones are worth.
        Sentence::of("cut-earlier-tier")
    };
    of.with("fair", say(fair)).with("best", say(best))
}
