//! Routes: the ordered steps of a product, with times and people.

use crate::id::Code;
use jiff::civil::Time;

/// How long a step takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Length {
    /// Always the same, in minutes.
    Fixed {
        /// Minutes.
        minutes: i64,
    },
    /// So long for each load, with a pause between two.
    PerLoad {
        /// Minutes of one load.
        minutes: i64,
        /// Minutes between two loads.
        between_minutes: i64,
    },
    /// So long for each piece, rounded up to whole minutes for all of them.
    PerPiece {
        /// Seconds of one piece.
        seconds: i64,
    },
    /// Anything between a least and a most: slack falls into it.
    Window {
        /// Least minutes.
        least_minutes: i64,
        /// Most minutes.
        most_minutes: i64,
    },
}

impl Length {
    /// Least and most minutes for so many loads and pieces.
    #[must_use]
    pub fn minutes(&self, loads: i64, pieces: i64) -> (i64, i64) {
        match *self {
            Self::Fixed { minutes } => (minutes, minutes),
            Self::PerLoad { minutes, between_minutes } => {
                let loads = loads.max(1);
                let minutes = minutes * loads + between_minutes * (loads - 1);
                (minutes, minutes)
            }
            Self::PerPiece { seconds } => {
                let minutes = seconds.saturating_mul(pieces.max(0)).saturating_add(59) / 60;
                (minutes, minutes)
            }
            Self::Window { least_minutes, most_minutes } => (least_minutes, most_minutes),
        }
    }
}

/// What a step occupies while it runs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Station {
    /// The mixer of the formula that is made.
    Mixer,
    /// The oven of the product that is baked.
    Oven,
    /// Slots of a place: a bench, a prover, a retarder.
    Place(Code),
}

/// One step of a route.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// Its name.
    pub name: String,
    /// How long it takes.
    pub length: Length,
    /// Who must be there all the time.
    pub team: Option<Code>,
    /// Who must be there when it starts.
    pub start_team: Option<Code>,
    /// What it occupies.
    pub station: Option<Station>,
}

/// A bound over several windows together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RouteLimit {
    /// The steps it bounds.
    pub steps: Vec<String>,
    /// Most minutes of them together.
    pub most_minutes: i64,
}

/// The least and most age between two events of a route.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AgeLimit {
    /// The step whose end the age is counted from.
    pub after: String,
    /// The later step at whose start it is taken.
    pub before: String,
    /// Least elapsed minutes between the two.
    pub least_minutes: i64,
    /// Most elapsed minutes between the two.
    pub most_minutes: i64,
}

/// The steps that lead to a drop, in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Route {
    /// Its name.
    pub code: Code,
    /// Its steps, first to last.
    pub steps: Vec<Step>,
    /// Bounds over several steps.
    pub limits: Vec<RouteLimit>,
    /// Age windows between its events.
    pub ages: Vec<AgeLimit>,
}

/// Hours in which a team is in the house, on the local clock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Team {
    /// Its name.
    pub code: Code,
    /// When it starts.
    pub from: Time,
    /// When it stops.
    pub to: Time,
}
