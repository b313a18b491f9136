//! A change that somebody thinks of.

use crate::{
    document::{Fault, Reader, amount::QuantityBody},
    service::what_if::{DroppedLoads, Incoming, MixerMost, Outage, Proposed},
    wire::order::{batch::BATCH_ORDERS_MAX, check::CheckBody},
};
use domain::{
    id::Code,
    quantity::{Quantity, Unit},
    route::Team,
};
use serde::Deserialize;
use utoipa::ToSchema;

/// A change of orders, stock, equipment or time; what is absent stays as it is.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WhatIfBody {
    /// Another moment of asking; needs between now and then still count.
    #[schema(example = "2026-06-10T13:00:00+02:00")]
    pub now: Option<String>,
    /// Last service date looked at; 14 days from today if absent.
    #[schema(example = "2026-06-13")]
    pub until: Option<String>,
    /// Whole orders, at most 1,000, each in place of what is held under its name.
    #[serde(default)]
    pub orders: Vec<CheckBody>,
    /// Names of orders that are called off.
    #[schema(example = json!(["pier-hotel-2026-06-12"]))]
    #[serde(default)]
    pub cancellations: Vec<String>,
    /// Lots that are not there.
    #[serde(default)]
    pub lots_gone: Vec<LotGoneBody>,
    /// What would come in.
    #[serde(default)]
    pub receipts: Vec<IncomingBody>,
    /// What is there of an item in all, as if it had been counted.
    #[serde(default)]
    pub balances: Vec<BalanceBody>,
    /// Mixers that take another most.
    #[serde(default)]
    pub mixers: Vec<MixerMostBody>,
    /// Mixers that stand still for a time.
    #[serde(default)]
    pub outages: Vec<OutageBody>,
    /// Teams with other hours.
    #[serde(default)]
    pub teams: Vec<TeamHoursBody>,
    /// Loads that are lost: what is left is shared by tier, and a new mix is looked for.
    #[serde(default)]
    pub dropped: Vec<DroppedBody>,
}

/// A lot that is not there.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LotGoneBody {
    /// Of which item.
    #[schema(example = "rye")]
    pub item: String,
    /// The name on the pack.
    #[schema(example = "RY-1")]
    pub lot: String,
}

/// Something that would come in.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct IncomingBody {
    /// Of which item.
    #[schema(example = "rye")]
    pub item: String,
    /// How much.
    pub quantity: QuantityBody,
    /// When it can be used; at once if absent.
    #[schema(example = "2026-06-12T10:00:00+02:00")]
    pub arrives: Option<String>,
    /// Never used after this local date; it keeps if absent.
    #[schema(example = "2026-09-01")]
    pub use_by: Option<String>,
}

/// What is there of an item in all.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BalanceBody {
    /// Of which item.
    #[schema(example = "butter")]
    pub item: String,
    /// How much is there; what is missing has gone from what expires first.
    pub quantity: QuantityBody,
}

/// A mixer that takes another most.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MixerMostBody {
    /// Which mixer.
    #[schema(example = "bun-spiral")]
    pub mixer: String,
    /// For which class of dough.
    #[schema(example = "enriched")]
    pub dough_class: String,
    /// The most in one load.
    pub maximum: QuantityBody,
}

/// A mixer that stands still for a time.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OutageBody {
    /// Which mixer.
    #[schema(example = "bun-spiral")]
    pub mixer: String,
    /// From when.
    #[schema(example = "2026-06-10T12:00:00+02:00")]
    pub from: String,
    /// Until when; later than `from`.
    #[schema(example = "2026-06-10T15:00:00+02:00")]
    pub to: String,
}

/// A team with other hours.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TeamHoursBody {
    /// Which team.
    #[schema(example = "bench")]
    pub team: String,
    /// When it starts.
    #[schema(example = "06:00")]
    pub from: String,
    /// When it stops.
    #[schema(example = "13:00")]
    pub to: String,
}

/// Loads that are lost.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DroppedBody {
    /// The formula that they make.
    #[schema(example = "bun")]
    pub formula: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// How many, counted from the last; all if absent.
    #[schema(example = 1)]
    pub loads: Option<i64>,
}

impl WhatIfBody {
    /// The change as far as it can be read, and every fault of the body with its place.
    #[must_use]
    pub fn read(&self) -> (Proposed, Vec<Fault>) {
        let Self {
            now,
            until,
            orders,
            cancellations,
            lots_gone,
            receipts,
            balances,
            mixers,
            outages,
            teams,
            dropped,
        } = self;
        let mut reader = Reader::default();
        if orders.len() > BATCH_ORDERS_MAX {
            let detail =
                format!("{} orders: send at most {BATCH_ORDERS_MAX} at a time", orders.len());
            reader.fault("orders", "too-many", detail);
        }
        let proposed = Proposed {
            now: now.as_deref().map(|text| reader.instant("now", text)),
            until: until.as_deref().map(|text| reader.date("until", text)),
            orders: reader.each("orders", orders, |reader, order| order.read_with(reader)),
            cancellations: reader
                .each("cancellations", cancellations, |reader, name| reader.words("", name)),
            lots_gone: reader.each("lots_gone", lots_gone, |reader, LotGoneBody { item, lot }| {
                (reader.code("item", item), reader.words("lot", lot))
            }),
            receipts: reader.each("receipts", receipts, |reader, incoming| incoming.read(reader)),
            balances: reader.each("balances", balances, |reader, balance| balance.read(reader)),
            mixers: reader.each("mixers", mixers, |reader, mixer| mixer.read(reader)),
            outages: reader.each("outages", outages, |reader, outage| outage.read(reader)),
            teams: reader.each("teams", teams, |reader, TeamHoursBody { team, from, to }| Team {
                code: reader.code("team", team),
                from: reader.time("from", from),
                to: reader.time("to", to),
            }),
            dropped: reader.each("dropped", dropped, |reader, dropped| dropped.read(reader)),
        };
        (proposed, reader.into_faults())
    }
}

impl IncomingBody {
    fn read(&self, reader: &mut Reader) -> Incoming {
        let Self { item, quantity, arrives, use_by } = self;
        Incoming {
            item: reader.code("item", item),
            quantity: reader.quantity("quantity", quantity),
            arrives: arrives.as_deref().map(|text| reader.instant("arrives", text)),
            use_by: use_by.as_deref().map(|text| reader.date("use_by", text)),
        }
    }
}

impl BalanceBody {
    fn read(&self, reader: &mut Reader) -> (Code, Quantity) {
        let Self { item, quantity } = self;
        let amount = reader.quantity("quantity", quantity);
        if amount.micro() < 0 {
            reader.fault("quantity", "out-of-range", "there cannot be less than nothing");
        }
        (reader.code("item", item), amount)
    }
}

impl MixerMostBody {
    fn read(&self, reader: &mut Reader) -> MixerMost {
        let Self { mixer, dough_class, maximum } = self;
        let most = reader.quantity("maximum", maximum);
        let QuantityBody { amount, unit } = maximum;
        let no_mass = |read: Quantity| read.unit() != Unit::Gram || read.micro() <= 0;
        if Quantity::parse(amount, unit).is_ok_and(no_mass) {
            reader.fault("maximum", "out-of-range", "write a mass above nothing, such as 12 kg");
        }
        MixerMost {
            mixer: reader.code("mixer", mixer),
            dough_class: reader.words("dough_class", dough_class),
            maximum: most,
        }
    }
}

impl OutageBody {
    fn read(&self, reader: &mut Reader) -> Outage {
        let Self { mixer, from, to } = self;
        let faults = reader.count();
        let outage = Outage {
            mixer: reader.code("mixer", mixer),
            from: reader.instant("from", from),
            to: reader.instant("to", to),
        };
        if reader.count() == faults && outage.to <= outage.from {
            reader.fault("to", "out-of-range", "the end must be later than the beginning");
        }
        outage
    }
}

impl DroppedBody {
    fn read(&self, reader: &mut Reader) -> DroppedLoads {
        let Self { formula, service_date, loads } = self;
        if loads.is_some_and(|loads| loads < 1) {
            reader.fault("loads", "out-of-range", "write 1 or more lost loads, or leave it out");
        }
        DroppedLoads {
            formula: reader.code("formula", formula),
            service_date: reader.date("service_date", service_date),
            loads: *loads,
        }
    }
}
