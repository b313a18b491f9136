//! Faults of a bakery document: each names its place and what to do.

use std::{collections::BTreeSet, fmt};

/// What is wrong, as a stable word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaultKind {
    /// A formula contains itself.
    FormulaCycle,
    /// Flours of a bread formula do not make 100.
    FlourSum,
    /// The final mix would need less than nothing of something.
    NegativeFinalMix,
    /// Grams are asked of a thing that is counted, and one is not weighed.
    NoWeightEach,
    /// A volume of a thing without density.
    NoDensity,
    /// Grams are asked of a formula that is made by the batch, and a batch is not weighed.
    NoBatchMass,
    /// A code that nothing has.
    UnknownCode,
    /// Two things of one code.
    DuplicateCode,
    /// A number beyond its bounds.
    OutOfRange,
    /// Two units that do not fit each other.
    UnitMismatch,
    /// A load cannot fit its mixer.
    OverMixerMaximum,
    /// Formulas inside formulas, too deep.
    NestingTooDeep,
    /// A field that is needed is not there, or two that exclude each other are.
    FieldMismatch,
    /// Too many elements.
    TooMany,
}

impl FaultKind {
    /// The stable word of the kind, as in a problem's type.
    #[must_use]
    pub const fn slug(self) -> &'static str {
        match self {
            Self::FormulaCycle => "formula-cycle",
            Self::FlourSum => "flour-sum",
            Self::NegativeFinalMix => "negative-final-mix",
            Self::NoWeightEach => "no-weight-each",
            Self::NoDensity => "no-density",
            Self::NoBatchMass => "no-batch-mass",
            Self::UnknownCode => "unknown-code",
            Self::DuplicateCode => "duplicate-code",
            Self::OutOfRange => "out-of-range",
            Self::UnitMismatch => "unit-mismatch",
            Self::OverMixerMaximum => "over-mixer-maximum",
            Self::NestingTooDeep => "nesting-too-deep",
            Self::FieldMismatch => "field-mismatch",
            Self::TooMany => "too-many",
        }
    }
}

/// One fault of a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Where: a JSON Pointer (RFC 6901) into the bakery document.
    pub pointer: String,
    /// What is wrong.
    pub kind: FaultKind,
    /// The same in plain words that name the line.
    pub detail: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.pointer, self.detail)
    }
}

/// Collects faults in the order they are found.
#[derive(Debug, Default)]
pub(crate) struct Faults(Vec<Fault>);

impl Faults {
    pub(crate) fn add(&mut self, pointer: impl fmt::Display, kind: FaultKind, detail: String) {
        self.0.push(Fault { pointer: pointer.to_string(), kind, detail });
    }

    /// All faults, each once: several versions of a formula repeat those of what they use.
    pub(crate) fn into_distinct(self) -> Vec<Fault> {
        let mut distinct: Vec<Fault> = Vec::with_capacity(self.0.len());
        for fault in self.0 {
            if !distinct.contains(&fault) {
                distinct.push(fault);
            }
        }
        distinct
    }
}

/// Positions of formulas and products that are wrong in themselves.
#[derive(Debug, Default)]
pub(crate) struct Faulty {
    formulas: BTreeSet<u32>,
    products: BTreeSet<u32>,
}

impl Faulty {
    pub(crate) fn new(faults: &Faults) -> Self {
        let mut faulty = Self::default();
        for fault in &faults.0 {
            let mut parts = fault.pointer.split('/').skip(1);
            let list = match parts.next() {
                Some("formulas") => &mut faulty.formulas,
                Some("products") => &mut faulty.products,
                _ => continue,
            };
            list.extend(parts.next().and_then(|position| position.parse::<u32>().ok()));
        }
        faulty
    }

    pub(crate) fn formula(&self, position: u32) -> bool {
        self.formulas.contains(&position)
    }

    pub(crate) fn product(&self, position: u32) -> bool {
        self.products.contains(&position)
    }
}
