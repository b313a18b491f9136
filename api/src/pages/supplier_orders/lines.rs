//! Packs of a supplier with a box for the number of each.

use crate::{
    messages::Words,
    pages::{
        Draft,
        field::{self, Field, hidden},
    },
    wire::printed,
};
use domain::bakery::Bakery;
use maud::{Markup, html};

/// A pack that can be ordered.
pub(in crate::pages) struct Choice {
    pub(in crate::pages) pack: String,
    /// What is in it, and how much.
    pub(in crate::pages) name: String,
    /// It is ordered in multiples of this.
    pub(in crate::pages) multiple: i64,
}

/// What can be ordered from a supplier, as listed.
pub(in crate::pages) fn choices(words: Words, bakery: &Bakery, supplier: &str) -> Vec<Choice> {
    let packs = bakery.lists().packs.iter();
    let own = packs.filter(|pack| pack.supplier.as_str() == supplier && pack.orderable);
    own.map(|pack| {
        let item = bakery.index().item(pack.item.as_str());
        let item = item.map_or(pack.item.as_str(), |at| bakery.item(at).name.as_str());
        let holds = words.digits(&printed::pack(pack));
        Choice {
            pack: pack.code.to_string(),
            name: format!("{item}, {holds}"),
            multiple: pack.multiple,
        }
    })
    .collect()
}

/// Writes lines into an empty draft: pack and number.
pub(in crate::pages) fn filled<'a>(
    draft: Draft,
    lines: impl Iterator<Item = (&'a str, i64)>,
) -> Draft {
    if draft.rows("lines") > 0 {
        return draft;
    }
    lines.enumerate().fold(draft, |draft, (row, (pack, packs))| {
        let draft = draft.with(format!("lines/{row}/pack"), pack);
        draft.with(format!("lines/{row}/packs"), packs.to_string())
    })
}

/// Draws a box for each line of the draft, and, folded away, for each other pack.
pub(in crate::pages) fn boxes(words: Words, choices: &[Choice], draft: &Draft) -> Markup {
    let held: Vec<String> = (0..draft.rows("lines"))
        .map(|row| draft.text(&format!("lines/{row}/pack")).to_owned())
        .collect();
    let others = choices.iter().filter(|choice| !held.contains(&choice.pack));
    let others: Vec<&str> = others.map(|choice| choice.pack.as_str()).collect();
    let draw = |row: usize, pack: &str| {
        let choice = choices.iter().find(|choice| choice.pack == pack);
        let label = choice.map_or(pack, |choice| choice.name.as_str());
        let multiple = choice.map(|choice| choice.multiple).filter(|&multiple| multiple > 1);
        let hint = multiple.map(|multiple| {
            words.tell("supplier-order-multiple", &[("multiple", multiple.into())])
        });
        let name = format!("lines/{row}/packs:number");
        let field = Field::number(&name, label);
        let field = hint.as_deref().map_or(field, |hint| field.hint(hint));
        html! {
            div.quantity {
                (hidden(&format!("lines/{row}/pack:with"), pack))
                (field.draw(words, draft))
                // A pack that cannot be ordered is said at its number.
                (field::fault_of(words, draft, &format!("lines/{row}/pack")))
            }
        }
    };
    html! {
        (field::fault_of(words, draft, "lines"))
        @if !held.is_empty() {
            div.quantities { @for (row, pack) in held.iter().enumerate() { (draw(row, pack)) } }
        }
        @if held.is_empty() {
            div.quantities { @for (row, pack) in others.iter().enumerate() { (draw(row, pack)) } }
        } @else if !others.is_empty() {
            details {
                summary { (words.say("supplier-order-other-packs")) }
                div.quantities {
                    @for (at, pack) in others.iter().enumerate() { (draw(held.len() + at, pack)) }
                }
            }
        }
    }
}
