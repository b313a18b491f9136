//! What a chain is about, its rules and its inputs, as sentences.

use crate::{messages::Sentence, wire::named};
use domain::{
    bakery::Bakery,
    plan::why::{WhyInput, WhyOf, WhyRule},
};

/// What a number is about, in the names that people use.
pub(super) fn about(bakery: &Bakery, of: WhyOf) -> Sentence {
    let item = |position| &bakery.item(position).name;
    let product = |position| &bakery.product(position).name;
    let (said, date) = match of {
        WhyOf::Pieces(date, made) => {
            (Sentence::of("why-of-pieces").with("product", product(made)), date)
        }
        WhyOf::Batch(date, made) => (Sentence::of("why-of-batch").with("made", item(made)), date),
        WhyOf::Line(date, made, load, taken) => {
            let line = Sentence::of("why-of-line").with("item", item(taken));
            (line.with("made", item(made)).with("load", load.to_string()), date)
        }
        WhyOf::Topping(date, made, taken) => {
            let topping = Sentence::of("why-of-topping").with("item", item(taken));
            (topping.with("product", product(made)), date)
        }
        WhyOf::Need(date, user, taken) => {
            let need = Sentence::of("why-of-need").with("item", item(taken));
            (need.with("user", named::user(bakery, user)), date)
        }
    };
    said.with("date", Sentence::day(date))
}

/// What a step does with its inputs.
pub(super) fn rule(rule: WhyRule) -> Sentence {
    Sentence::one_of("why-rule-", rule.word())
}

/// What an input is.
pub(super) fn input(bakery: &Bakery, input: &WhyInput) -> Sentence {
    let lists = bakery.lists();
    let of_mixer = |message, position: u32| {
        let code = &lists.mixers[position as usize].code;
        Sentence::of(message).with("mixer", named::mixer(bakery, code.as_str()))
    };
    let of_load = |message, number: &i64| Sentence::of(message).with("load", number.to_string());
    match input {
        WhyInput::Word(word) => Sentence::one_of("why-input-", word.word()),
        WhyInput::Customer(position) => {
            named::customer(bakery, lists.customers[*position as usize].code.as_str())
        }
        WhyInput::Product(position) => named::product(bakery, *position),
        WhyInput::Item(position) => named::item(bakery, *position),
        WhyInput::TakenBy(taker, on) => Sentence::of("why-input-taken-by")
            .with("product", named::product(bakery, *taker))
            .with("date", Sentence::date(on)),
        WhyInput::SetBy { who, note } => {
            Sentence::of("why-input-set-by").with("who", who).with("note", note)
        }
        WhyInput::Loss(stage) => stage.into(),
        WhyInput::Load(number) => of_load("why-input-load-number", number),
        WhyInput::LoadAsReleased(number) => of_load("why-input-load-as-released", number),
        WhyInput::MostIn(mixer) => of_mixer("why-input-most-in", *mixer),
        WhyInput::LeastIn(mixer) => of_mixer("why-input-least-in", *mixer),
        WhyInput::DivisionOf(position) => {
            let scale = &bakery.scales().as_slice()[*position];
            Sentence::of("why-input-division").with("scale", scale.code.as_str())
        }
        WhyInput::GramsInOne(unit) => Sentence::of("why-input-grams-in-one")
            .with("unit", Sentence::listed("unit-", unit.symbol())),
        WhyInput::FruitTaken(code) => {
            Sentence::of("why-input-fruit-taken").with("item", named::made(bakery, code.as_str()))
        }
        WhyInput::FruitFor(code) => {
            Sentence::of("why-input-fruit-for").with("item", named::made(bakery, code.as_str()))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::messages::{Language, Words};
    use domain::plan::why::WhyWord;

    #[test]
    fn every_rule_and_word_has_its_message_in_every_language() {
        let rules = WhyRule::ALL.iter().map(|rule| format!("why-rule-{}", rule.word()));
        let words = WhyWord::ALL.iter().map(|word| format!("why-input-{}", word.word()));
        let names: Vec<String> = rules.chain(words).collect();
        for language in Language::ALL {
            for name in &names {
                let said = Words { language }.find(name, &[]);
                assert!(said.is_some_and(|said| !said.is_empty()), "{}: {name}", language.code());
            }
        }
    }

    #[test]
    fn json_says_what_it_always_said() {
        // As the wire said it while these were texts of the domain.
        assert_eq!(
            rule(WhyRule::FruitsToCut).wired(),
            "fruits to cut: still to take / in one fruit, rounded up, less those cut before; none \
             below 0"
        );
        assert_eq!(
            rule(WhyRule::FewestLoads).wired(),
            "fewest loads n with (mass + n x residue) / n within the mixer"
        );
    }
}
