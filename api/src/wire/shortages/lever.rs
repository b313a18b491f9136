//! What a person can do about a shortage.

use crate::{
    messages::Sentence,
    service::plan::Morning,
    wire::{amount::QuantityView, named},
};
use domain::{
    plan::{Lever, ShortageError, ShortageLine, SubstituteLever, levers},
    ratio::Ratio,
};
use serde::Serialize;
use utoipa::ToSchema;

/// One thing that a person can do; amounts in base units.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LeverView {
    /// `release-held-lot` or `substitute`.
    #[schema(example = "substitute")]
    pub lever: &'static str,
    /// The lot on hold that quality may release.
    pub lot: Option<String>,
    /// The approved substitute.
    #[schema(example = "wholemeal-for-rye")]
    pub substitute: Option<String>,
    /// What it frees of the short item.
    pub frees: QuantityView,
    /// What is short.
    pub of_short: QuantityView,
    /// Whether it covers all that is short.
    pub enough: bool,
    /// What a substitute takes.
    pub uses: Vec<SubstituteUseView>,
    /// Allergens that it brings into a product that is hit.
    pub adds_contains: Vec<String>,
    /// What such a product may then contain and did not before.
    pub adds_may_contain: Vec<String>,
    /// Items of it whose allergens nobody knows.
    #[schema(value_type = Vec<String>)]
    pub unknown: Vec<Sentence>,
    /// Whether labels change.
    pub label_change: bool,
    /// Whether somebody must sign for it.
    pub needs_sign_off: bool,
}

/// How much of one item a substitute takes.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SubstituteUseView {
    /// Which item.
    #[schema(value_type = String, example = "wholemeal")]
    pub item: Sentence,
    /// How much.
    pub quantity: QuantityView,
    /// What its own needs leave of it; none if it is not stocked.
    pub spare: Option<QuantityView>,
}

impl LeverView {
    /// The lever in words, without what it brings in.
    #[must_use]
    pub fn plain_words(&self) -> Sentence {
        let amount = |quantity: &QuantityView| {
            Sentence::amount(format!("{} {}", quantity.amount, quantity.unit))
        };
        let of = match &self.lot {
            Some(lot) => Sentence::of("shortages-may-release")
                .with("lot", lot)
                .with("amount", amount(&self.frees)),
            None => {
                let uses = self
                    .uses
                    .iter()
                    .map(|part| Sentence::joined(" ", [amount(&part.quantity), part.item.clone()]));
                Sentence::of("shortages-instead").with("uses", Sentence::joined(" + ", uses))
            }
        };
        let remarks = [
            (!self.enough, "shortages-covers-part"),
            (self.label_change, "shortages-label-change"),
            (self.needs_sign_off, "shortages-to-be-signed"),
        ];
        let said = remarks.into_iter().filter(|(said, _)| *said);
        let remarks = said.map(|(_, remark)| Sentence::of(remark));
        Sentence::joined(", ", std::iter::once(of).chain(remarks))
    }

    /// What it brings in, said loudly; empty if nothing.
    #[must_use]
    pub fn allergen_words(&self) -> Vec<Sentence> {
        let of = |message, list: &[String]| {
            let allergens = || Sentence::allergens(list);
            (!list.is_empty()).then(|| Sentence::of(message).with("allergens", allergens()))
        };
        let items = || Sentence::joined(", ", &self.unknown);
        let unknown = || Sentence::of("shortages-not-known-loud").with("items", items());
        let found = [
            of("shortages-brings-in", &self.adds_contains),
            of("shortages-may-bring-in-loud", &self.adds_may_contain),
            (!self.unknown.is_empty()).then(unknown),
        ];
        found.into_iter().flatten().collect()
    }

    /// All of it in one line.
    #[must_use]
    pub fn words(&self) -> Sentence {
        let loud = self.allergen_words();
        Sentence::joined(", ", std::iter::once(self.plain_words()).chain(loud))
    }
}

pub(super) fn views(
    morning: &Morning,
    line: &ShortageLine,
) -> Result<Vec<LeverView>, ShortageError> {
    let found = levers(&morning.bakery, &morning.book, &morning.plan, line, morning.now)?;
    Ok(found.iter().map(|lever| view(morning, line, lever)).collect())
}

fn view(morning: &Morning, line: &ShortageLine, lever: &Lever) -> LeverView {
    let unit = morning.bakery.item(line.item).base_unit;
    let of_short = QuantityView::whole(line.short_micro, unit);
    match lever {
        Lever::ReleaseHeldLot { lot, micro } => LeverView {
            lever: "release-held-lot",
            lot: Some(morning.book.lots[*lot as usize].name.clone()),
            substitute: None,
            frees: QuantityView::whole(*micro, unit),
            of_short,
            enough: *micro >= line.short_micro,
            uses: Vec::new(),
            adds_contains: Vec::new(),
            adds_may_contain: Vec::new(),
            unknown: Vec::new(),
            label_change: false,
            needs_sign_off: false,
        },
        Lever::Substitute(found) => LeverView {
            frees: QuantityView::new(found.covers_micro, unit),
            of_short,
            ..substitute(morning, found)
        },
    }
}

fn substitute(morning: &Morning, found: &SubstituteLever) -> LeverView {
    let bakery = &morning.bakery;
    let words = |set: &std::collections::BTreeSet<String>| set.iter().cloned().collect();
    let nothing = QuantityView::new(Ratio::ZERO, domain::quantity::Unit::Gram);
    LeverView {
        lever: "substitute",
        lot: None,
        substitute: Some(bakery.lists().substitutes[found.substitute as usize].code.to_string()),
        frees: nothing.clone(),
        of_short: nothing,
        enough: found.enough(),
        uses: found
            .uses
            .iter()
            .map(|part| {
                let item = bakery.item(part.item);
                SubstituteUseView {
                    item: named::item(bakery, part.item),
                    quantity: QuantityView::new(part.micro, item.base_unit),
                    spare: part.spare_micro.map(|micro| QuantityView::whole(micro, item.base_unit)),
                }
            })
            .collect(),
        adds_contains: words(&found.adds_contains),
        adds_may_contain: words(&found.adds_may_contain),
        unknown: found.unknown.iter().map(|code| named::made(bakery, code)).collect(),
        label_change: found.label_change,
        needs_sign_off: found.sign_off,
    }
}
