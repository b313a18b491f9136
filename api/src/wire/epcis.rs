//! Trace events as the open standard writes them.
//!
//! # Source
//! GS1 EPCIS 2.0 and CBV 2.0, JSON-LD binding; unit codes of UN/ECE Recommendation 20.

use super::amount::instant;
use crate::service::trace::{EventKind, EventLot, EventLotName, TraceEvent};
use domain::quantity::{Unit, micro_decimal};
use domain::ratio::Ratio;
use jiff::{Timestamp, tz::TimeZone};
use serde::Serialize;
use serde_json::value::RawValue;
use utoipa::{
    ToSchema,
    openapi::schema::{Object, ObjectBuilder, Type},
};

/// Where the words of the standard are defined.
const CONTEXT: &str = "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld";

/// A document of trace events.
#[derive(Debug, Serialize, ToSchema)]
pub struct EpcisDocumentView {
    /// Where the words of the standard are defined.
    #[serde(rename = "@context")]
    #[schema(example = json!(["https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"]))]
    pub context: Vec<&'static str>,
    /// `EPCISDocument`.
    #[serde(rename = "type")]
    #[schema(example = "EPCISDocument")]
    pub kind: &'static str,
    /// `2.0`.
    #[serde(rename = "schemaVersion")]
    #[schema(example = "2.0")]
    pub schema_version: &'static str,
    /// When it was made.
    #[serde(rename = "creationDate")]
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub creation_date: String,
    /// What the lots are called.
    #[serde(rename = "epcisHeader")]
    #[schema(value_type = Object)]
    pub header: serde_json::Value,
    /// The events, by time.
    #[serde(rename = "epcisBody")]
    pub body: EpcisBodyView,
}

/// The events of a document.
#[derive(Debug, Serialize, ToSchema)]
pub struct EpcisBodyView {
    /// By time.
    #[serde(rename = "eventList")]
    pub event_list: Vec<EpcisEventView>,
}

/// One event; what its type does not have is left out.
#[derive(Debug, Default, Serialize, ToSchema)]
#[serde(rename_all = "camelCase")]
pub struct EpcisEventView {
    /// `ObjectEvent`, `TransformationEvent` or `AggregationEvent`.
    #[serde(rename = "type")]
    #[schema(example = "TransformationEvent")]
    pub kind: &'static str,
    /// A name of its own.
    #[serde(rename = "eventID")]
    #[schema(example = "urn:uuid:01975a30-1c00-7000-8000-000000000001")]
    pub event_id: String,
    /// When it happened.
    #[schema(example = "2026-06-10T13:34:00+02:00")]
    pub event_time: String,
    /// The bakery's offset at that moment.
    #[schema(example = "+02:00")]
    pub event_time_zone_offset: String,
    /// `ADD` for what begins here, `OBSERVE` for what is only seen, `DELETE` for what ends.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "OBSERVE")]
    pub action: Option<&'static str>,
    /// The step, in the standard's words.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "receiving")]
    pub biz_step: Option<&'static str>,
    /// What lots are packed into: an order, or the filling of a bin.
    #[serde(rename = "parentID", skip_serializing_if = "Option::is_none")]
    #[schema(example = "urn:uuid:01975a30-1c00-7000-8000-000000000004")]
    pub parent_id: Option<String>,
    /// The load.
    #[serde(rename = "transformationID", skip_serializing_if = "Option::is_none")]
    #[schema(example = "urn:uuid:01975a30-1c00-7000-8000-000000000002")]
    pub transformation_id: Option<String>,
    /// Lots that are seen.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub quantity_list: Vec<EpcisQuantityView>,
    /// Lots that are packed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub child_quantity_list: Vec<EpcisQuantityView>,
    /// Lots that went in.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub input_quantity_list: Vec<EpcisQuantityView>,
    /// Lots that came out.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub output_quantity_list: Vec<EpcisQuantityView>,
    /// The order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub biz_transaction_list: Vec<EpcisTransactionView>,
}

/// A number as the standard writes it.
fn number() -> Object {
    ObjectBuilder::new().schema_type(Type::Number).examples([serde_json::json!(5160)]).build()
}

/// Some of a lot.
#[derive(Debug, Serialize, ToSchema)]
#[serde(rename_all = "camelCase")]
pub struct EpcisQuantityView {
    /// The lot.
    #[schema(example = "urn:uuid:01975a30-1c00-7000-8000-000000000000")]
    pub epc_class: String,
    /// How much: an exact decimal number.
    #[schema(schema_with = number)]
    pub quantity: Box<RawValue>,
    /// `GRM` or `MLT`; left out for pieces.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "GRM")]
    pub uom: Option<&'static str>,
}

/// A business document behind an event.
#[derive(Debug, Serialize, ToSchema)]
#[serde(rename_all = "camelCase")]
pub struct EpcisTransactionView {
    /// `po`.
    #[serde(rename = "type")]
    #[schema(example = "po")]
    pub kind: &'static str,
    /// The order.
    #[schema(example = "urn:uuid:01975a30-1c00-7000-8000-000000000004")]
    pub biz_transaction: String,
}

impl EpcisDocumentView {
    /// The events around a lot.
    #[must_use]
    pub fn new(
        zone: &TimeZone,
        (events, names): &(Vec<TraceEvent>, Vec<EventLotName>),
        now: Timestamp,
    ) -> Self {
        Self {
            context: vec![CONTEXT],
            kind: "EPCISDocument",
            schema_version: "2.0",
            creation_date: instant(zone, now),
            header: header(names),
            body: EpcisBodyView {
                event_list: events.iter().flat_map(|event| views(zone, event)).collect(),
            },
        }
    }
}

/// What the lots are called, as master data.
fn header(names: &[EventLotName]) -> serde_json::Value {
    let attribute = |name: &str, value: &str| serde_json::json!({"id": format!("urn:epcglobal:cbv:mda#{name}"), "attribute": value});
    let element = |name: &EventLotName| {
        let EventLotName { id, name, item, last } = name;
        let mut attributes =
            vec![attribute("descriptionShort", item), attribute("lotNumber", name)];
        if let Some((date, use_by)) = last {
            let word = if *use_by { "itemExpirationDate" } else { "bestBeforeDate" };
            attributes.push(attribute(word, date));
        }
        serde_json::json!({"id": urn(id), "attributes": attributes})
    };
    let elements: Vec<_> = names.iter().map(element).collect();
    serde_json::json!({"epcisMasterData": {"vocabularyList": [
        {"type": "urn:epcglobal:epcis:vtype:EPCClass", "vocabularyElementList": elements}
    ]}})
}

fn urn(id: &str) -> String {
    format!("urn:uuid:{id}")
}

fn views(zone: &TimeZone, event: &TraceEvent) -> Vec<EpcisEventView> {
    let TraceEvent { id, kind, at, inputs, outputs } = event;
    let base = || EpcisEventView {
        event_id: urn(id),
        event_time: instant(zone, *at),
        event_time_zone_offset: offset(zone, *at),
        ..EpcisEventView::default()
    };
    match kind {
        EventKind::Came { bought } => vec![EpcisEventView {
            kind: "ObjectEvent",
            action: Some(if *bought { "OBSERVE" } else { "ADD" }),
            biz_step: Some(if *bought { "receiving" } else { "commissioning" }),
            quantity_list: quantities(outputs),
            ..base()
        }],
        EventKind::Made { load } => vec![EpcisEventView {
            kind: "TransformationEvent",
            transformation_id: Some(urn(load.as_ref().unwrap_or(id))),
            biz_step: Some("commissioning"),
            input_quantity_list: quantities(inputs),
            output_quantity_list: quantities(outputs),
            ..base()
        }],
        // Lots in a bin keep their names and are drawn together: an aggregation by the
        // standard, not a new lot. Without children a DELETE ends it for all of them.
        EventKind::Filled { bin } => vec![EpcisEventView {
            kind: "AggregationEvent",
            event_id: format!("{}#storing", urn(id)),
            action: Some("ADD"),
            biz_step: Some("storing"),
            parent_id: Some(urn(bin)),
            child_quantity_list: quantities(outputs),
            ..base()
        }],
        EventKind::Emptied { bin } => vec![EpcisEventView {
            kind: "AggregationEvent",
            event_id: format!("{}#emptied", urn(bin)),
            action: Some("DELETE"),
            parent_id: Some(urn(bin)),
            ..base()
        }],
        EventKind::Sent { order } => {
            let transaction =
                |order: &String| EpcisTransactionView { kind: "po", biz_transaction: urn(order) };
            let shipped = EpcisEventView {
                kind: "ObjectEvent",
                action: Some("OBSERVE"),
                biz_step: Some("shipping"),
                quantity_list: quantities(outputs),
                biz_transaction_list: order.iter().map(transaction).collect(),
                ..base()
            };
            let packed = order.as_ref().map(|order| EpcisEventView {
                kind: "AggregationEvent",
                // The entry behind both is one; the order tells the two apart.
                event_id: format!("{}#packing", urn(id)),
                action: Some("ADD"),
                biz_step: Some("packing"),
                parent_id: Some(urn(order)),
                child_quantity_list: quantities(outputs),
                biz_transaction_list: vec![transaction(order)],
                ..base()
            });
            packed.into_iter().chain([shipped]).collect()
        }
    }
}

/// The bakery's offset at a moment, such as `+02:00`: the end of the instant as it is written.
fn offset(zone: &TimeZone, at: Timestamp) -> String {
    let text = instant(zone, at);
    text.get(text.len().saturating_sub(6)..).unwrap_or("+00:00").to_owned()
}

fn quantities(lots: &[EventLot]) -> Vec<EpcisQuantityView> {
    let view = |lot: &EventLot| {
        let number = RawValue::from_string(micro_decimal(Ratio::whole(lot.micro.into())));
        Some(EpcisQuantityView {
            epc_class: urn(&lot.id),
            quantity: number.ok()?,
            uom: match lot.unit {
                Unit::Gram => Some("GRM"),
                Unit::Millilitre => Some("MLT"),
                Unit::Each => None,
            },
        })
    };
    lots.iter().filter_map(view).collect()
}
