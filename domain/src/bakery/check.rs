//! Checks of items, formulas, products and customers: numbers in their bounds, codes known.

use super::{BakeryDraft, Index, label_check};
use crate::{
    fault::{FaultKind, Faults},
    formula::{Base, Formula, LineAmount},
    id::Code,
    item::Item,
    limits::{LINES_MAX, LOSSES_MAX, PARTS_MAX, PIECES_MAX},
    product::{MadeAhead, MakeUp, MakeUpAmount, Overs, Product},
    quantity::{Quantity, Unit},
    ratio::Ratio,
};

/// Checks the document; made items that only formulas name are in `draft` but not in it.
pub(super) fn check(
    draft: &BakeryDraft,
    document: &BakeryDraft,
    index: &Index,
    faults: &mut Faults,
) {
    for (number, item) in document.items.iter().enumerate() {
        let mut check = Check { at: format!("/items/{number}"), index, faults };
        check.item(item);
    }
    for (number, formula) in draft.formulas.iter().enumerate() {
        let mut check = Check { at: format!("/formulas/{number}"), index, faults };
        check.formula(draft, formula);
    }
    for (number, product) in draft.products.iter().enumerate() {
        let mut check = Check { at: format!("/products/{number}"), index, faults };
        check.product(draft, product);
    }
    label_check::check(draft, index, faults);
    for (number, customer) in draft.customers.iter().enumerate() {
        let mut check = Check { at: format!("/customers/{number}"), index, faults };
        check.whole("tier", customer.tier, 1, crate::customer::TIER_MAX);
        check.whole("minimum_useful", customer.minimum_useful, 0, PIECES_MAX);
    }
    for (number, order) in draft.standing_orders.iter().enumerate() {
        let mut check = Check { at: format!("/standing_orders/{number}"), index, faults };
        check.pattern(&order.customer, &order.pattern);
    }
    for (number, par) in draft.pars.iter().enumerate() {
        let mut check = Check { at: format!("/pars/{number}"), index, faults };
        check.pattern(&par.customer, &par.pattern);
    }
}

pub(super) struct Check<'a> {
    pub(super) at: String,
    pub(super) index: &'a Index,
    pub(super) faults: &'a mut Faults,
}

impl Check<'_> {
    pub(super) fn fault(&mut self, field: &str, kind: FaultKind, detail: String) {
        let pointer =
            if field.is_empty() { self.at.clone() } else { format!("{}/{field}", self.at) };
        self.faults.add(pointer, kind, detail);
    }

    pub(super) fn known(&mut self, field: &str, what: &str, found: Option<u32>, code: &Code) {
        if found.is_none() {
            self.fault(
                field,
                FaultKind::UnknownCode,
                format!("there is no {what} `{code}`: add it, or correct the code"),
            );
        }
    }

    pub(super) fn item_known(&mut self, field: &str, code: &Code) {
        let found = self.index.item(code.as_str());
        self.known(field, "item or formula", found, code);
    }

    pub(super) fn whole(&mut self, field: &str, value: i64, least: i64, most: i64) {
        if value < least || value > most {
            self.fault(
                field,
                FaultKind::OutOfRange,
                format!("{field} is {value}: it must be from {least} to {most}"),
            );
        }
    }

    /// Percent of something lost: 0 or more, below 100.
    pub(super) fn loss(&mut self, field: &str, percent: Ratio) {
        if percent < Ratio::ZERO || percent >= Ratio::whole(100) {
            self.fault(
                field,
                FaultKind::OutOfRange,
                format!(
                    "a loss of {} % is not possible: it must be at least 0 and below 100",
                    percent.to_decimal(6)
                ),
            );
        }
    }

    /// Parts or percent taken: above 0.
    fn taken(&mut self, field: &str, percent: Ratio) {
        if !percent.is_positive() || percent > Ratio::whole(PARTS_MAX.into()) {
            self.fault(
                field,
                FaultKind::OutOfRange,
                format!(
                    "{field} is {}: it must be above 0 and at most {PARTS_MAX}",
                    percent.to_decimal(6)
                ),
            );
        }
    }

    /// An amount above nothing.
    pub(super) fn amount(&mut self, field: &str, quantity: Quantity) {
        if quantity.micro() <= 0 {
            self.fault(
                field,
                FaultKind::OutOfRange,
                format!("{quantity} is not possible here: state an amount above 0"),
            );
        }
    }

    pub(super) fn of_unit(&mut self, field: &str, quantity: Quantity, unit: Unit) {
        self.amount(field, quantity);
        if quantity.unit() != unit {
            self.fault(
                field,
                FaultKind::UnitMismatch,
                format!("{quantity} does not fit here: state it in {unit}"),
            );
        }
    }

    pub(super) fn length(&mut self, field: &str, count: usize, most: usize) {
        if count > most {
            self.fault(field, FaultKind::TooMany, format!("{count} are too many: at most {most}"));
        }
    }

    fn safety(&mut self, item: &Item) {
        if let Some(days) = item.safety_days {
            self.whole("safety_days", days, 1, 60);
            if item.safety_stock.is_some() {
                let detail = "safety stock is a quantity or days of use: say one".to_owned();
                self.fault("safety_days", FaultKind::FieldMismatch, detail);
            }
        }
        if let Some(stock) = item.safety_stock
            && stock.micro() < 0
        {
            self.fault(
                "safety_stock",
                FaultKind::OutOfRange,
                "safety stock cannot be below 0".to_owned(),
            );
        }
    }

    fn item(&mut self, item: &Item) {
        if let Some(density) = item.density
            && (!density.is_positive() || density > Ratio::whole(25))
        {
            let text = density.to_decimal(6);
            self.fault(
                "density",
                FaultKind::OutOfRange,
                format!("a density of {text} kg/L is not possible"),
            );
        }
        if let Some(each) = item.each {
            self.of_unit("each", each, Unit::Gram);
        }
        self.safety(item);
        self.loss("weighing_loss", item.weighing_loss_percent);
        if let Some(minutes) = item.opened_life_minutes {
            self.whole("opened_life", minutes, 1, 1_000_000);
        }
        self.whole("ready_after", item.ready_after_minutes, 0, 100_000);
        if let Some(place) = &item.place {
            let found = self.index.place(place.as_str());
            self.known("place", "place", found, place);
        }
        let Some(joint) = &item.joint else { return };
        if !joint.outputs.iter().any(|output| output.item == joint.first) {
            self.fault(
                "joint/first",
                FaultKind::UnknownCode,
                format!("`{}` is not among the outputs of `{}`", joint.first, item.code),
            );
        }
        if item.base_unit != Unit::Each {
            self.fault(
                "base_unit",
                FaultKind::UnitMismatch,
                format!(
                    "`{}` gives several things at once, so it must be counted: use each",
                    item.code
                ),
            );
        }
        self.whole("joint/keep", joint.keep_minutes, 0, 1_000_000);
        let mut share = Ratio::ZERO;
        for (number, output) in joint.outputs.iter().enumerate() {
            self.of_unit(&format!("joint/outputs/{number}/yield"), output.yields, Unit::Gram);
            self.taken(&format!("joint/outputs/{number}/cost_share"), output.cost_share_percent);
            share = share.plus(output.cost_share_percent).unwrap_or(share);
        }
        if share != Ratio::whole(100) {
            self.fault(
                "joint/outputs",
                FaultKind::OutOfRange,
                format!("the cost shares make {} %, not 100", share.to_decimal(6)),
            );
        }
    }

    fn formula(&mut self, draft: &BakeryDraft, formula: &Formula) {
        self.length("lines", formula.lines.len(), LINES_MAX);
        self.length("losses", formula.losses.len(), LOSSES_MAX);
        for (number, loss) in formula.losses.iter().enumerate() {
            self.loss(&format!("losses/{number}/percent"), loss.percent);
        }
        if let Some(kept) = formula.keep_back_after_last {
            self.of_unit("keep_back/after_last", kept, Unit::Gram);
        }
        self.made(draft, formula);
        self.mixing(formula);
        self.keeping(draft, formula);
        self.mixer(draft, formula);
        self.base(formula);
        for (number, line) in formula.lines.iter().enumerate() {
            self.line(draft, formula, number, line);
        }
        if formula.lines.is_empty() && !matches!(formula.base, Base::Blocks(_)) {
            self.fault(
                "lines",
                FaultKind::FieldMismatch,
                format!("formula `{}` has no lines: add what goes in", formula.code),
            );
        }
    }

    fn base(&mut self, formula: &Formula) {
        let step = match &formula.base {
            Base::PercentOfFlour(_) | Base::Parts => return,
            Base::PerBatch { makes, step } => {
                if let Some(makes) = makes {
                    self.of_unit("makes", *makes, Unit::Gram);
                }
                *step
            }
            Base::PerPieces { pieces, step } | Base::PerTray { pieces, step } => {
                self.of_unit("makes", *pieces, Unit::Each);
                *step
            }
            Base::Blocks(blocks) => {
                self.of_unit("blocks/sheet_mass", blocks.sheet_mass, Unit::Gram);
                self.taken("blocks/percent", blocks.percent);
                self.whole("blocks/step", blocks.step, 1, 1_000);
                self.item_known("blocks/base", &blocks.base);
                self.item_known("blocks/sheet", &blocks.sheet);
                if !formula.lines.is_empty() {
                    self.fault(
                        "lines",
                        FaultKind::FieldMismatch,
                        "blocks have a base and a sheet and no lines".to_owned(),
                    );
                }
                return;
            }
        };
        self.taken("step", step);
    }

    fn line(
        &mut self,
        draft: &BakeryDraft,
        formula: &Formula,
        number: usize,
        line: &crate::formula::Line,
    ) {
        let at = |field: &str| format!("lines/{number}/{field}");
        self.item_known(&at("item"), &line.item);
        if let Some(precision) = line.precision_percent {
            self.taken(&at("precision"), precision);
        }
        let by_batch = matches!(
            formula.base,
            Base::PerBatch { .. } | Base::PerPieces { .. } | Base::PerTray { .. }
        );
        match line.amount {
            LineAmount::Parts(parts) => self.taken(&at("parts"), parts),
            LineAmount::OfBaseDough(parts) => self.taken(&at("parts"), parts),
            LineAmount::PrefermentedFlour(share) => {
                self.taken(&at("prefermented_flour"), share);
                let made = draft.formulas.iter().any(|other| other.code == line.item);
                let overall =
                    matches!(formula.base, Base::PercentOfFlour(crate::formula::View::Overall));
                if !overall || !made {
                    self.fault(
                        &at("prefermented_flour"),
                        FaultKind::FieldMismatch,
                        format!("`{}`: prefermented flour goes with a sub-formula in a bread formula's overall view", line.item),
                    );
                }
            }
            LineAmount::Amount(quantity) => self.amount(&at("quantity"), quantity),
        }
        if by_batch != matches!(line.amount, LineAmount::Amount(_)) {
            let wanted = if by_batch { "quantity" } else { "parts" };
            self.fault(
                &at(wanted),
                FaultKind::FieldMismatch,
                format!("`{}` needs {wanted}, as formula `{}` is written", line.item, formula.code),
            );
        }
    }

    fn mixer(&mut self, draft: &BakeryDraft, formula: &Formula) {
        let Some(mixer) = &formula.mixer else { return };
        let found = self.index.mixer(mixer.as_str());
        self.known("mixer", "mixer", found, mixer);
        let Some(position) = found else { return };
        match &formula.dough_class {
            None => self.fault(
                "dough_class",
                FaultKind::FieldMismatch,
                format!(
                    "say which class of dough `{}` is: `{mixer}` takes a different mass of each",
                    formula.code
                ),
            ),
            Some(class) if draft.mixers[position as usize].maximum_ug(class).is_none() => {
                self.fault(
                    "dough_class",
                    FaultKind::UnknownCode,
                    format!("mixer `{mixer}` states no maximum for {class} dough"),
                );
            }
            Some(_) => {}
        }
    }

    fn product(&mut self, draft: &BakeryDraft, product: &Product) {
        self.loss("reject", product.reject_percent);
        self.whole("test_pieces", product.test_pieces, 0, PIECES_MAX);
        if let Some(MadeAhead { customer, .. }) = &product.made_ahead {
            let found = self.index.customer(customer.as_str());
            self.known("made_ahead/customer", "customer", found, customer);
        }
        self.whole("sale_pack", product.sale_pack, 1, PIECES_MAX);
        match product.overs {
            Overs::None => {}
            Overs::Tray if product.tray.is_some() => {}
            Overs::Tray => self.fault(
                "tray",
                FaultKind::FieldMismatch,
                format!(
                    "`{}` rounds to full trays: say how many pieces a tray takes",
                    product.code
                ),
            ),
            Overs::Pack { multiple } => self.whole("overs/multiple", multiple, 1, PIECES_MAX),
            Overs::Fixed { pieces } => self.whole("overs/pieces", pieces, 0, PIECES_MAX),
        }
        if let Some(tray) = &product.tray {
            self.whole("tray/pieces", tray.pieces, 1, PIECES_MAX);
        }
        if let Some(route) = &product.route {
            let found = self.index.route(route.as_str());
            self.known("route", "route", found, route);
        }
        self.baking(product);
        self.par_baked(product);
        if let Some(dough) = &product.dough
            && !draft.formulas.iter().any(|formula| formula.code == *dough)
        {
            self.known("dough", "formula", None, dough);
        }
        if let Some(baked) = &product.baked {
            self.item_known("baked/of", &baked.dough);
            self.of_unit("baked/mass", baked.mass, Unit::Gram);
            self.loss("baked/bake_loss", baked.bake_loss_percent);
            self.loss("baked/cool_loss", baked.cool_loss_percent);
        }
        self.length("make_up", product.make_up.len(), LINES_MAX);
        for (number, make_up) in product.make_up.iter().enumerate() {
            self.make_up(number, make_up, product);
        }
    }

    fn make_up(&mut self, number: usize, make_up: &MakeUp, product: &Product) {
        let at = |field: &str| format!("make_up/{number}/{field}");
        match make_up {
            MakeUp::Item { item, amount, per, .. } => {
                self.item_known(&at("item"), item);
                match amount {
                    MakeUpAmount::Amount(quantity) => self.amount(&at("quantity"), *quantity),
                    MakeUpAmount::Batches(batches) => self.taken(&at("quantity"), *batches),
                }
                if *per == crate::product::Per::Tray && product.tray.is_none() {
                    self.fault(&at("per"), FaultKind::FieldMismatch, format!("`{item}` goes with each tray: say how many pieces of `{}` a tray takes", product.code));
                }
            }
            MakeUp::Product { product: taken, pieces, day_offset } => {
                let found = self.index.product(taken.as_str());
                self.known(&at("product"), "product", found, taken);
                self.whole(&at("pieces"), *pieces, 1, 1_000);
                self.whole(&at("day_offset"), (*day_offset).into(), -14, 0);
            }
        }
    }
}
