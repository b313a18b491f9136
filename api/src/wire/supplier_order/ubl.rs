//! An order as an OASIS UBL 2.1 Order.

use super::view::{SupplierOrderLineView, SupplierOrderView, major};
use crate::wire::amount::{MoneyView, money_text};
use maud::{Markup, PreEscaped, html};

/// A package, in the code list of packages.
///
/// # Source
/// UN/ECE Recommendation 21, written with an `X` before it as Recommendation 20 asks; that PK
/// stands for package is from memory.
const PACKAGE: &str = "XPK";

/// The order as an XML document.
///
/// # Errors
/// What the schema would let pass and is wrong all the same: sums, currency, dates.
///
/// # Source
/// OASIS Universal Business Language 2.1, Order.
pub fn ubl(view: &SupplierOrderView) -> Result<String, Vec<String>> {
    let wrong = unsound(view);
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let declaration = PreEscaped("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    Ok(html! { (declaration) (order(view)) }.into_string())
}

/// The day and time at which it was sent, or written if it was not.
fn issued(view: &SupplierOrderView) -> (&str, &str) {
    let sent = view.history.iter().rev().find(|event| event.step == "sent");
    let at = sent.or(view.history.first()).map_or("", |event| event.happened_at.as_str());
    (at.get(..10).unwrap_or_default(), at.get(11..).unwrap_or_default())
}

/// What is wrong with an order although it has the shape of one.
fn unsound(view: &SupplierOrderView) -> Vec<String> {
    let mut wrong = Vec::new();
    let known: i64 = view.lines.iter().filter_map(cost).sum();
    if known != view.goods.minor_units {
        wrong.push(format!("lines come to {known}, the goods to {}", view.goods.minor_units));
    }
    let net = view.goods.minor_units - view.off.minor_units + view.carriage.minor_units;
    let tax: i64 = view.tax.iter().map(|tax| tax.money.minor_units).sum();
    if net + view.deposits.minor_units + tax != view.total.minor_units {
        wrong.push("the sums do not come to the total".to_owned());
    }
    let currency = &view.total.currency;
    let all = view.lines.iter().filter_map(|line| line.line_cost.as_ref());
    if currency.len() != 3 || all.clone().any(|money| money.currency != *currency) {
        wrong.push("more than one currency".to_owned());
    }
    let (issued, _) = issued(view);
    if view.arrives.get(..10).unwrap_or_default() < issued {
        wrong.push("it would be delivered before it was written".to_owned());
    }
    if view.lines.is_empty() {
        wrong.push("it has no line".to_owned());
    }
    wrong
}

fn cost(line: &SupplierOrderLineView) -> Option<i64> {
    line.line_cost.as_ref().map(|cost| cost.minor_units)
}

/// A text without characters that XML 1.0 does not have.
fn text(words: &str) -> String {
    let allowed = |c: char| !c.is_control() && !('\u{fffe}'..='\u{ffff}').contains(&c);
    words.chars().map(|c| if allowed(c) { c } else { ' ' }).collect()
}

/// Minor units as a decimal of major ones.
fn amount(money: &MoneyView) -> String {
    money_text(money.minor_units)
}

/// A unit in the code list of units of measure.
///
/// # Source
/// UN/ECE Recommendation 20; check-values UN-01, UN-02; C62 is "one".
fn unit_code(unit: &str) -> &'static str {
    match unit {
        "mg" => "MGM",
        "g" => "GRM",
        "kg" => "KGM",
        "mL" => "MLT",
        "L" => "LTR",
        _ => "C62",
    }
}

fn order(view: &SupplierOrderView) -> Markup {
    let currency = &view.total.currency;
    let (date, time) = issued(view);
    html! {
        Order
            xmlns="urn:oasis:names:specification:ubl:schema:xsd:Order-2"
            xmlns:cac="urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
            xmlns:cbc="urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"
        {
            cbc:UBLVersionID { "2.1" }
            cbc:ID { (view.reference) }
            cbc:UUID { (view.id) }
            cbc:IssueDate { (date) }
            cbc:IssueTime { (time) }
            cbc:DocumentCurrencyCode { (currency) }
            cbc:LineCountNumeric { (view.lines.len()) }
            cac:BuyerCustomerParty { (party(&view.bakery)) }
            cac:SellerSupplierParty {
                cbc:CustomerAssignedAccountID { (view.supplier) }
                (party(&view.supplier_name))
            }
            cac:Delivery {
                cac:RequestedDeliveryPeriod {
                    cbc:EndDate { (view.arrives.get(..10).unwrap_or_default()) }
                    cbc:EndTime { (view.arrives.get(11..).unwrap_or_default()) }
                }
            }
            (charge(&view.carriage, true, "Carriage below the minimum order"))
            (charge(&view.deposits, true, "Deposits"))
            (charge(&view.off, false, "Value of the order"))
            (tax(view))
            (total(view))
            @for line in &view.lines { cac:OrderLine { (item_line(view, line)) } }
        }
    }
}

fn party(name: &str) -> Markup {
    html! { cac:Party { cac:PartyName { cbc:Name { (text(name)) } } } }
}

fn charge(money: &MoneyView, added: bool, reason: &str) -> Markup {
    html! {
        @if money.minor_units != 0 {
            cac:AllowanceCharge {
                cbc:ChargeIndicator { (added) }
                cbc:AllowanceChargeReason { (reason) }
                cbc:Amount currencyID=(money.currency) { (amount(money)) }
            }
        }
    }
}

fn tax(view: &SupplierOrderView) -> Markup {
    let minor_units = view.tax.iter().map(|tax| tax.money.minor_units).sum();
    let all = MoneyView { minor_units, currency: view.total.currency.clone() };
    html! {
        @if !view.tax.is_empty() {
            cac:TaxTotal {
                cbc:TaxAmount currencyID=(all.currency) { (amount(&all)) }
                @for one in &view.tax {
                    cac:TaxSubtotal {
                        cbc:TaxAmount currencyID=(one.money.currency) { (amount(&one.money)) }
                        cac:TaxCategory {
                            cbc:Percent { (one.percent) }
                            cac:TaxScheme { cbc:ID { "VAT" } }
                        }
                    }
                }
            }
        }
    }
}

/// The sums; left out where a price is not known, for they would be too low.
fn total(view: &SupplierOrderView) -> Markup {
    let money = |minor_units| MoneyView { minor_units, currency: view.total.currency.clone() };
    let charges = money(view.carriage.minor_units + view.deposits.minor_units);
    let untaxed = money(view.net.minor_units + view.deposits.minor_units);
    let currency = &view.total.currency;
    html! {
        @if view.lines.iter().all(|line| line.line_cost.is_some()) {
            cac:AnticipatedMonetaryTotal {
                cbc:LineExtensionAmount currencyID=(currency) { (amount(&view.goods)) }
                cbc:TaxExclusiveAmount currencyID=(currency) { (amount(&untaxed)) }
                cbc:TaxInclusiveAmount currencyID=(currency) { (amount(&view.total)) }
                cbc:AllowanceTotalAmount currencyID=(currency) { (amount(&view.off)) }
                cbc:ChargeTotalAmount currencyID=(currency) { (amount(&charges)) }
                cbc:PayableAmount currencyID=(currency) { (amount(&view.total)) }
            }
        }
    }
}

fn item_line(view: &SupplierOrderView, line: &SupplierOrderLineView) -> Markup {
    let currency = &view.total.currency;
    html! {
        cac:LineItem {
            cbc:ID { (line.line) }
            cbc:Quantity unitCode=(PACKAGE) { (line.packs) }
            @if let Some(cost) = &line.line_cost {
                cbc:LineExtensionAmount currencyID=(currency) { (amount(cost)) }
            }
            (charge(&line.surcharge, true, "Split pack"))
            @if let Some(price) = &line.pack_price_minor_units {
                cac:Price {
                    cbc:PriceAmount currencyID=(currency) { (major(price)) }
                    cbc:BaseQuantity unitCode=(PACKAGE) { "1" }
                }
            }
            cac:Item {
                cbc:PackQuantity unitCode=(unit_code(&line.holds_unit)) { (line.holds_amount) }
                cbc:Name { (text(&line.name)) }
                cac:BuyersItemIdentification { cbc:ID { (line.pack) } }
                @if let Some(gtin) = &line.gtin {
                    cac:StandardItemIdentification { cbc:ID schemeID="0160" { (gtin) } }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_price_keeps_its_digits_and_a_text_only_what_xml_has() {
        assert_eq!(major("1260"), "12.60");
        assert_eq!(major("5"), "0.05");
        assert_eq!(major("2466.666667"), "24.66666667");
        assert_eq!(text("a\u{0}b\u{fffe}c\n"), "a b c ");
    }
}
