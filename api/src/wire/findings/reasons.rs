//! Why what a person set or signed for cannot be, in words.

use super::kilograms;
use crate::{messages::Sentence, wire::named};
use domain::{
    bakery::{Bakery, SwapError},
    limits::LOADS_MAX,
    plan::CannotSet,
    split::SplitError,
};

/// Why a value that was set by hand cannot be.
pub(super) fn cannot_set(bakery: &Bakery, why: &CannotSet) -> Sentence {
    match why {
        CannotSet::UnknownMixer(mixer) => {
            Sentence::of("cannot-set-unknown-mixer").with("mixer", mixer.as_str())
        }
        CannotSet::DoughClass { mixer, class } => Sentence::of("cannot-set-dough-class")
            .with("mixer", named::mixer(bakery, mixer.as_str()).marked())
            .with("class", class),
        CannotSet::AllReleased(loads) => {
            Sentence::of("cannot-set-all-released").with("loads", *loads)
        }
        CannotSet::Split { loads, why } => {
            Sentence::of("cannot-set-split").with("loads", *loads).with("why", cannot_split(why))
        }
    }
}

/// Why a mass cannot be split over loads.
fn cannot_split(why: &SplitError) -> Sentence {
    match why {
        SplitError::StepOverMaximum => Sentence::of("cannot-split-step"),
        SplitError::OverMaximum { load, most } => Sentence::of("cannot-split-load")
            .with("load", kilograms(*load))
            .with("most", kilograms(*most)),
        SplitError::FewerSteps(steps) => Sentence::of("cannot-split-steps").with("steps", *steps),
        SplitError::TooManyLoads => {
            Sentence::of("cannot-split-many").with("most", LOADS_MAX.to_string())
        }
        SplitError::Overflow(_) => Sentence::of("cannot-too-large"),
    }
}

/// Why a substitute that was signed for cannot be used any more.
pub(super) fn cannot_swap(bakery: &Bakery, why: &SwapError) -> Sentence {
    let made = |code: &str| named::made(bakery, code).marked();
    let substitute = |code: &str| named::substitute(bakery, code).marked();
    match why {
        SwapError::Unknown(code) => {
            Sentence::of("cannot-swap-unknown").with("substitute", substitute(code))
        }
        SwapError::NotApproved(code) => {
            Sentence::of("cannot-swap-not-approved").with("substitute", substitute(code))
        }
        SwapError::NoWeight(item) => Sentence::of("cannot-swap-weight").with("item", made(item)),
        SwapError::NotAllowed { substitute: code, used_in } => {
            Sentence::of("cannot-swap-not-allowed")
                .with("substitute", substitute(code))
                .with("used", made(used_in))
        }
        SwapError::OverShare(percent) => {
            Sentence::of("cannot-swap-share").with("percent", Sentence::digits(percent))
        }
        SwapError::NotTaken { used_in, item } => Sentence::of("cannot-swap-not-taken")
            .with("used", made(used_in))
            .with("item", made(item)),
        SwapError::Overflow(_) => Sentence::of("cannot-too-large"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::BakeryBody;
    use domain::{
        id::Code,
        ratio::{Overflow, Ratio},
    };

    fn demo() -> Bakery {
        let text = include_str!("../../../../demo-data/bakery.json");
        let body: BakeryBody = serde_json::from_str(text).expect("a document");
        body.compile().expect("a bakery")
    }

    #[test]
    fn json_says_what_the_plan_says_of_itself() {
        let bakery = demo();
        let code = |text: &str| Code::parse(text).expect("a code");
        let kg = |kg: i128| Ratio::whole(kg * 1_000_000_000);
        let splits = [
            SplitError::StepOverMaximum,
            SplitError::OverMaximum { load: kg(21), most: kg(16) },
            SplitError::FewerSteps(4),
            SplitError::TooManyLoads,
            SplitError::Overflow(Overflow),
        ];
        let splits = splits.map(|why| CannotSet::Split { loads: 1, why });
        let others = [
            CannotSet::UnknownMixer(code("planetary")),
            CannotSet::DoughClass { mixer: code("spiral"), class: "stiff".to_owned() },
            CannotSet::AllReleased(2),
        ];
        for why in splits.iter().chain(&others) {
            assert_eq!(cannot_set(&bakery, why).wired(), why.to_string());
        }
        let named = || "rye".to_owned();
        for why in [
            SwapError::Unknown(named()),
            SwapError::NotApproved(named()),
            SwapError::NoWeight(named()),
            SwapError::NotAllowed { substitute: named(), used_in: "country".to_owned() },
            SwapError::OverShare("12.5".to_owned()),
            SwapError::NotTaken { used_in: "country".to_owned(), item: named() },
            SwapError::Overflow(Overflow),
        ] {
            assert_eq!(cannot_swap(&bakery, &why).wired(), why.to_string());
        }
    }
}
