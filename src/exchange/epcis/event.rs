use chrono::NaiveDateTime;
use serde::Serialize;

/// The context of the EPCIS 2.0 standard: what its words mean as linked data.
const CONTEXT: &str = "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld";

/// A document of events; it is written as JSON.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Document {
    #[serde(rename = "@context")]
    context: [&'static str; 1],
    #[serde(rename = "type")]
    kind: &'static str,
    schema_version: &'static str,
    creation_date: String,
    epcis_body: Body,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
struct Body {
    event_list: Vec<Event>,
}

impl Document {
    /// Returns the document of those events, made now. Times are UTC.
    pub fn new(events: Vec<Event>, now: NaiveDateTime) -> Self {
        Self {
            context: [CONTEXT],
            kind: "EPCISDocument",
            schema_version: "2.0",
            creation_date: utc(now),
            epcis_body: Body { event_list: events },
        }
    }
}

/// Returns a time as the standard writes it.
pub(super) fn utc(at: NaiveDateTime) -> String {
    at.format("%Y-%m-%dT%H:%M:%S%.3fZ").to_string()
}

/// One event. Fields that say nothing are left out.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Event {
    #[serde(rename = "type")]
    pub(super) kind: Kind,
    #[serde(rename = "eventID")]
    pub(super) event_id: String,
    pub(super) event_time: String,
    pub(super) event_time_zone_offset: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) error_declaration: Option<ErrorDeclaration>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) action: Option<Action>,
    #[serde(rename = "parentID", skip_serializing_if = "Option::is_none")]
    pub(super) parent_id: Option<String>,
    #[serde(rename = "epcList", skip_serializing_if = "Vec::is_empty")]
    pub(super) epcs: Vec<String>,
    #[serde(rename = "quantityList", skip_serializing_if = "Vec::is_empty")]
    pub(super) quantities: Vec<Amount>,
    #[serde(rename = "childEPCs", skip_serializing_if = "Vec::is_empty")]
    pub(super) child_epcs: Vec<String>,
    #[serde(rename = "childQuantityList", skip_serializing_if = "Vec::is_empty")]
    pub(super) child_quantities: Vec<Amount>,
    #[serde(rename = "inputEPCList", skip_serializing_if = "Vec::is_empty")]
    pub(super) input_epcs: Vec<String>,
    #[serde(rename = "inputQuantityList", skip_serializing_if = "Vec::is_empty")]
    pub(super) input_quantities: Vec<Amount>,
    #[serde(rename = "outputEPCList", skip_serializing_if = "Vec::is_empty")]
    pub(super) output_epcs: Vec<String>,
    #[serde(rename = "outputQuantityList", skip_serializing_if = "Vec::is_empty")]
    pub(super) output_quantities: Vec<Amount>,
    #[serde(rename = "transformationID", skip_serializing_if = "Option::is_none")]
    pub(super) transformation_id: Option<String>,
    pub(super) biz_step: &'static str,
    pub(super) disposition: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) read_point: Option<Location>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) biz_location: Option<Location>,
    #[serde(rename = "bizTransactionList", skip_serializing_if = "Vec::is_empty")]
    pub(super) transactions: Vec<Transaction>,
    #[serde(rename = "sourceList", skip_serializing_if = "Vec::is_empty")]
    pub(super) sources: Vec<Source>,
    #[serde(rename = "destinationList", skip_serializing_if = "Vec::is_empty")]
    pub(super) destinations: Vec<Destination>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) ilmd: Option<Master>,
}

impl Event {
    /// Returns the event's identifier: the same each time that it is told.
    pub fn id(&self) -> &str {
        &self.event_id
    }

    /// Returns the kind of event, as the standard writes it.
    pub const fn kind(&self) -> &'static str {
        match self.kind {
            Kind::Object => "ObjectEvent",
            Kind::Aggregation => "AggregationEvent",
            Kind::Transformation => "TransformationEvent",
        }
    }

    /// Returns the business step, in its word of the Core Business Vocabulary.
    pub const fn step(&self) -> &'static str {
        self.biz_step
    }
}

/// What an event says of its goods.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub(super) enum Kind {
    /// Something happened to them.
    #[default]
    #[serde(rename = "ObjectEvent")]
    Object,
    /// They were put into a carton, or taken out.
    #[serde(rename = "AggregationEvent")]
    Aggregation,
    /// Some became others.
    #[serde(rename = "TransformationEvent")]
    Transformation,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "UPPERCASE")]
pub(super) enum Action {
    Add,
    Observe,
    Delete,
}

/// Pieces that have no number of their own.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Amount {
    pub(super) epc_class: String,
    pub(super) quantity: i64,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Location {
    pub(super) id: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Transaction {
    #[serde(rename = "type")]
    pub(super) kind: &'static str,
    pub(super) biz_transaction: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Source {
    #[serde(rename = "type")]
    pub(super) kind: &'static str,
    pub(super) source: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Destination {
    #[serde(rename = "type")]
    pub(super) kind: &'static str,
    pub(super) destination: String,
}

/// That an event which was told did not happen so.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct ErrorDeclaration {
    pub(super) declaration_time: String,
    pub(super) reason: &'static str,
}

/// What is known of a lot from the start.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Master {
    #[serde(rename = "cbvmda:lotNumber")]
    pub(super) lot: String,
    #[serde(rename = "cbvmda:itemExpirationDate", skip_serializing_if = "Option::is_none")]
    pub(super) use_by: Option<String>,
}
