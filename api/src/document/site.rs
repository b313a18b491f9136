//! The house and its customers.

use super::{
    Reader, Record,
    amount::{AtBody, MoneyBody},
};
use domain::{
    bakery::{COUNT_WEEKS_USUAL, Labour, Site, UsualTemperatures, WASTE_REASONS_USUAL},
    customer::Customer,
    route::Team,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The house itself.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SiteBody {
    /// Its code.
    #[schema(example = "alder-yard")]
    pub code: String,
    /// What people call it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// IANA name of its time zone.
    #[schema(example = "Europe/Amsterdam")]
    pub time_zone: String,
    /// Its currency.
    #[schema(example = "EUR")]
    pub currency: String,
    /// Weekdays on which it sells.
    pub open_weekdays: Vec<String>,
    /// Dates on which it neither sells nor receives.
    #[serde(default)]
    pub closed_dates: Vec<String>,
    /// Who is in the house when.
    #[serde(default)]
    pub teams: Vec<TeamBody>,
    /// What flour, room and tap water usually measure here.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperatures: Option<TemperaturesBody>,
    /// Whether a use-by date binds the dough it went into as well: nothing is baked after it.
    /// False if not said: then the last day of use is enough, with a warning.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = false)]
    pub use_by_strict: Option<bool>,
    /// Why things are thrown away here; a usual short list if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub waste_reasons: Option<Vec<String>>,
    /// Weeks after which every item is counted again, 1 to 53; 4 if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 4)]
    pub count_weeks: Option<i64>,
    /// The regulation that labels follow; none until somebody sets it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "eu")]
    pub regulation: Option<String>,
    /// What an hour of work costs; costs count no labour as long as it is not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub labour: Option<LabourBody>,
}

/// What an hour of work costs: attended steps of routes are counted by it, on a line of their
/// own.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LabourBody {
    /// Of every team without a wage of its own; not known, and never 0, if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_hour: Option<MoneyBody>,
    /// Of single teams.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub teams: Vec<WageBody>,
}

/// What an hour of a team costs.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WageBody {
    /// Which team.
    #[schema(example = "oven")]
    pub team: String,
    /// The wage of one person for an hour, with all that comes on top of it.
    pub per_hour: MoneyBody,
}

/// Usual temperatures, in degrees Celsius.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TemperaturesBody {
    /// Of the flour.
    #[schema(example = "18")]
    pub flour: String,
    /// Of the room.
    #[schema(example = "22")]
    pub room: String,
    /// Of the tap water.
    #[schema(example = "14")]
    pub tap: String,
    /// Of preferments and old dough as they go into a mix.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "22")]
    pub preferment: Option<String>,
}

/// Hours of a team on the local clock.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TeamBody {
    /// Its code.
    #[schema(example = "oven")]
    pub code: String,
    /// When it starts, `HH:MM`.
    #[schema(example = "02:00")]
    pub from: String,
    /// When it stops, `HH:MM`.
    #[schema(example = "10:00")]
    pub to: String,
}

impl SiteBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Site {
        let Self {
            code,
            name,
            time_zone,
            currency,
            open_weekdays,
            closed_dates,
            teams,
            temperatures,
            use_by_strict,
            waste_reasons,
            count_weeks,
            regulation,
            labour,
        } = self;
        let count_weeks = count_weeks.unwrap_or(COUNT_WEEKS_USUAL);
        if !(1..=53).contains(&count_weeks) {
            let detail = format!("count_weeks is {count_weeks}: write 1 to 53");
            reader.fault("count_weeks", "out-of-range", detail);
        }
        Site {
            code: reader.code("code", code),
            name: reader.name(name.as_deref(), code),
            time_zone: reader.time_zone("time_zone", time_zone),
            currency: reader.currency("currency", currency),
            open_weekdays: reader.weekdays("open_weekdays", open_weekdays),
            closed_dates: reader.dates("closed_dates", closed_dates),
            teams: reader.each("teams", teams, |reader, TeamBody { code, from, to }| Team {
                code: reader.code("code", code),
                from: reader.time("from", from),
                to: reader.time("to", to),
            }),
            temperatures: temperatures
                .as_ref()
                .map(|usual| reader.at("temperatures", |reader| usual.read(reader))),
            use_by_strict: use_by_strict.unwrap_or(false),
            waste_reasons: match waste_reasons {
                Some(reasons) => reader.codes("waste_reasons", reasons),
                None => WASTE_REASONS_USUAL.iter().map(|code| reader.code("", code)).collect(),
            },
            count_weeks,
            regulation: reader.code_option("regulation", regulation.as_deref()),
            labour: labour
                .as_ref()
                .map(|labour| reader.at("labour", |reader| labour.read(reader, (teams, currency)))),
        }
    }
}

impl LabourBody {
    fn read(&self, reader: &mut Reader, (known, currency): (&[TeamBody], &str)) -> Labour {
        let Self { per_hour, teams } = self;
        let money = |reader: &mut Reader, body: &MoneyBody| {
            if body.currency != currency || body.minor_units < 0 {
                let detail = format!("a wage is not below nothing, and in {currency}");
                reader.fault("per_hour", "unit-mismatch", detail);
            }
            reader.money("per_hour", body)
        };
        Labour {
            per_hour: per_hour.as_ref().map(|body| money(reader, body)),
            teams: reader.each("teams", teams, |reader, WageBody { team, per_hour }| {
                if known.iter().all(|other| other.code != *team) {
                    let detail = format!("there is no team `{team}`: name one of site.teams");
                    reader.fault("team", "unknown-code", detail);
                }
                (reader.code("team", team), money(reader, per_hour))
            }),
        }
    }
}

impl TemperaturesBody {
    fn read(&self, reader: &mut Reader) -> UsualTemperatures {
        let Self { flour, room, tap, preferment } = self;
        UsualTemperatures {
            flour: reader.celsius("flour", flour),
            room: reader.celsius("room", room),
            tap: reader.celsius("tap", tap),
            preferment: preferment.as_ref().map(|text| reader.celsius("preferment", text)),
        }
    }
}

/// Who orders.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CustomerBody {
    /// Its code.
    #[schema(example = "harbour-cafe")]
    pub code: String,
    /// What people call it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// 1 is served first when there is too little.
    #[schema(example = 2)]
    pub tier: i64,
    /// Last moment for changes, against the service date.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cutoff: Option<AtBody>,
    /// Fewer pieces of a product than this are of no use to it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minimum_useful: Option<i64>,
    /// Whether it takes all or nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub all_or_nothing: Option<bool>,
    /// Allergens that it must not be sent, in the words of the items' records.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(example = json!(["soya"]))]
    pub avoids: Vec<String>,
    /// The van run that brings its goods: a code of your own. Absent if it fetches them.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "north")]
    pub run: Option<String>,
    /// Its place among the stops of that run: smaller is earlier.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 2)]
    pub stop: Option<i64>,
}

impl Record for CustomerBody {
    const NOUN: &'static str = "customers";

    fn code(&self) -> &str {
        &self.code
    }
}

impl CustomerBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Customer {
        let Self { code, name, tier, cutoff, minimum_useful, all_or_nothing, avoids, run, stop } =
            self;
        Customer {
            code: reader.code("code", code),
            name: reader.name(name.as_deref(), code),
            tier: *tier,
            cutoff: cutoff.as_ref().map(|cutoff| cutoff.read("cutoff", reader)),
            minimum_useful: minimum_useful.unwrap_or(1),
            all_or_nothing: all_or_nothing.unwrap_or(false),
            avoids: avoids.clone(),
            run: run.as_ref().map(|run| reader.code("run", run)),
            stop: *stop,
        }
    }
}
