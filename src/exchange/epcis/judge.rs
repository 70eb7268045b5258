use serde_json::{Map, Value};

/// Business steps of the Core Business Vocabulary.
const STEPS: &str = "accepting arriving assembling collecting commissioning consigning \
    creating_class_instance cycle_counting decommissioning departing destroying disassembling \
    dispensing encoding entering_exiting holding inspecting installing killing loading other \
    packing picking receiving removing repackaging repairing replacing reserving retail_selling \
    sampling sensor_reporting shipping staging_outbound stock_taking stocking storing \
    transporting unloading unpacking void_shipping";

/// Dispositions of the Core Business Vocabulary.
const DISPOSITIONS: &str = "active available completeness_inferred completeness_verified \
    conformant container_closed container_open damaged destroyed dispensed disposed encoded \
    expired in_progress in_transit inactive mismatch_class mismatch_instance mismatch_quantity \
    needs_replacement no_pedigree_match non_conformant non_sellable_other partially_dispensed \
    recalled reserved retail_sold returned sellable_accessible sellable_not_accessible stolen \
    unavailable unknown";

/// Kinds of business transaction of the Core Business Vocabulary.
const TRANSACTIONS: &str =
    "bol cert desadv inv pedigree po poc prodorder recadv rma testprd testres upevt";

/// Kinds of source and destination of the Core Business Vocabulary.
const PARTIES: &str = "owning_party possessing_party location";

/// Fields that an event may have without a namespace of their own.
const FIELDS: &str = "@context type eventTime recordTime eventTimeZoneOffset eventID \
    certificationInfo errorDeclaration action epcList quantityList parentID childEPCs \
    childQuantityList inputEPCList inputQuantityList outputEPCList outputQuantityList \
    transformationID bizStep disposition persistentDisposition readPoint bizLocation \
    bizTransactionList sourceList destinationList sensorElementList ilmd";

/// Returns what is wrong with a document of EPCIS 2.0 events, each with its place; nothing where
/// it is as the standard asks.
///
/// Beyond the standard's JSON Schema it asks for version 2.0, for the carton that something is put
/// into or taken out of, and for goods in each event.
///
/// # Source
///
/// GS1 EPCIS Standard 2.0, section 10, and CBV 2.0, section 7; the version, the carton and the
/// goods from the text of the standard (from memory, unconfirmed).
pub fn judge(document: &Value) -> Vec<String> {
    let mut faults = Faults(Vec::new());
    let Some(map) = document.as_object() else {
        return vec!["the document is no JSON object".to_owned()];
    };
    faults.check(is_context(map.get("@context")), "@context", "an address, an object, or a list");
    faults.check(text(map, "type") == Some("EPCISDocument"), "type", "EPCISDocument");
    faults.check(text(map, "schemaVersion") == Some("2.0"), "schemaVersion", "2.0");
    faults.check(text(map, "creationDate").is_some_and(is_time), "creationDate", TIME);
    let list = document.pointer("/epcisBody/eventList").and_then(Value::as_array);
    let Some(events) = list else {
        faults.add("epcisBody.eventList", "a list of events");
        return faults.0;
    };
    for (at, event) in events.iter().enumerate() {
        let mut of_event = Faults(Vec::new());
        match event.as_object() {
            Some(event) => judge_event(event, &mut of_event),
            None => of_event.add("", "an object"),
        }
        faults.0.extend(of_event.0.into_iter().map(|it| format!("eventList[{at}].{it}")));
    }
    faults.0
}

const TIME: &str = "a date and time with its zone, such as 2026-11-25T09:30:00Z";
const URI: &str = "a URI, such as https://id.gs1.org/00/095212340000041276";

struct Faults(Vec<String>);

impl Faults {
    fn add(&mut self, field: &str, wanted: &str) {
        self.0.push(format!("{field}: {wanted} belongs here"));
    }

    fn check(&mut self, holds: bool, field: &str, wanted: &str) {
        if !holds {
            self.add(field, wanted);
        }
    }
}

fn judge_event(event: &Map<String, Value>, faults: &mut Faults) {
    let kind = text(event, "type").unwrap_or_default();
    let known = matches!(
        kind,
        "ObjectEvent"
            | "AggregationEvent"
            | "AssociationEvent"
            | "TransactionEvent"
            | "TransformationEvent"
    );
    faults.check(known || is_uri(kind), "type", "a kind of event of the standard, or a URI");
    faults.check(text(event, "eventTime").is_some_and(is_time), "eventTime", TIME);
    let offset = text(event, "eventTimeZoneOffset").is_some_and(is_offset);
    faults.check(offset, "eventTimeZoneOffset", "an offset, such as +01:00");
    if let Some(id) = event.get("eventID") {
        faults.check(id.as_str().is_some_and(is_uri), "eventID", URI);
    }
    if !known {
        return;
    }
    for field in event.keys() {
        let own = FIELDS.split_whitespace().any(|it| it == field);
        faults.check(own || is_uri(field), field, "nothing, or a field with its namespace");
    }
    judge_words(event, faults);
    judge_goods(kind, event, faults);
    judge_context(event, faults);
}

fn judge_words(event: &Map<String, Value>, faults: &mut Faults) {
    for (field, words) in [("bizStep", STEPS), ("disposition", DISPOSITIONS)] {
        if let Some(value) = event.get(field) {
            let holds = value.as_str().is_some_and(|it| is_word(it, words));
            faults.check(holds, field, "a word of the Core Business Vocabulary, or a URI");
        }
    }
    if let Some(declaration) = event.get("errorDeclaration") {
        let time = declaration.get("declarationTime").and_then(Value::as_str);
        faults.check(time.is_some_and(is_time), "errorDeclaration.declarationTime", TIME);
        if let Some(reason) = declaration.get("reason") {
            let holds =
                reason.as_str().is_some_and(|it| is_word(it, "did_not_occur incorrect_data"));
            faults.check(holds, "errorDeclaration.reason", "did_not_occur or incorrect_data");
        }
    }
}

/// Checks goods: which lists a kind of event has, and that it has goods at all.
fn judge_goods(kind: &str, event: &Map<String, Value>, faults: &mut Faults) {
    let of = |field: &'static str, faults: &mut Faults| count(event, field, faults);
    let goods = match kind {
        "AggregationEvent" | "AssociationEvent" => {
            let children = of("childEPCs", faults) + of("childQuantityList", faults);
            let parent = text(event, "parentID");
            faults.check(parent.is_some_and(is_uri), "parentID", URI);
            let all = text(event, "action") == Some("DELETE");
            if all { children.max(1) } else { children }
        }
        "TransformationEvent" => {
            let inputs = of("inputEPCList", faults) + of("inputQuantityList", faults);
            let outputs = of("outputEPCList", faults) + of("outputQuantityList", faults);
            let part = event.contains_key("transformationID");
            if part { inputs + outputs } else { inputs.min(outputs) }
        }
        _ => of("epcList", faults) + of("quantityList", faults),
    };
    if kind != "TransformationEvent" {
        let action = matches!(text(event, "action"), Some("ADD" | "OBSERVE" | "DELETE"));
        faults.check(action, "action", "ADD, OBSERVE or DELETE");
    }
    let told = event.contains_key("sensorElementList") || kind == "TransactionEvent";
    faults.check(0 < goods || told, "epcList", "goods, by identifier or by class and quantity,");
}

/// Returns how many goods a list names, once each of them is checked.
fn count(event: &Map<String, Value>, field: &str, faults: &mut Faults) -> usize {
    let Some(value) = event.get(field) else { return 0 };
    let Some(list) = value.as_array() else {
        faults.add(field, "a list");
        return 0;
    };
    for (at, it) in list.iter().enumerate() {
        let place = format!("{field}[{at}]");
        if field.ends_with("QuantityList") || field == "quantityList" {
            let class = it.get("epcClass").and_then(Value::as_str);
            faults.check(class.is_some_and(is_uri), &format!("{place}.epcClass"), URI);
            if let Some(quantity) = it.get("quantity") {
                let holds = quantity.as_f64().is_some_and(|it| 0.0 < it);
                faults.check(holds, &format!("{place}.quantity"), "a number above 0");
            }
        } else {
            faults.check(it.as_str().is_some_and(is_uri), &place, URI);
        }
        let before = list.iter().take(at);
        faults.check(!before.into_iter().any(|other| other == it), &place, "each thing once");
    }
    list.len()
}

/// Checks where it was, and for what business.
fn judge_context(event: &Map<String, Value>, faults: &mut Faults) {
    for field in ["readPoint", "bizLocation"] {
        if let Some(value) = event.get(field) {
            let id = value.get("id").and_then(Value::as_str);
            faults.check(id.is_some_and(is_uri), &format!("{field}.id"), URI);
        }
    }
    let lists = [
        ("bizTransactionList", "bizTransaction", TRANSACTIONS),
        ("sourceList", "source", PARTIES),
        ("destinationList", "destination", PARTIES),
    ];
    for (field, value, words) in lists {
        let Some(list) = event.get(field) else { continue };
        let Some(list) = list.as_array() else {
            faults.add(field, "a list");
            continue;
        };
        for (at, it) in list.iter().enumerate() {
            let place = format!("{field}[{at}]");
            let id = it.get(value).and_then(Value::as_str);
            faults.check(id.is_some_and(is_uri), &format!("{place}.{value}"), URI);
            let kind = it.get("type").and_then(Value::as_str);
            // A transaction may be named without its kind; a party may not.
            let holds = kind.map_or(value == "bizTransaction", |it| is_word(it, words));
            faults.check(holds, &format!("{place}.type"), "a word of the vocabulary, or a URI");
        }
    }
}

fn text<'a>(map: &'a Map<String, Value>, field: &str) -> Option<&'a str> {
    map.get(field).and_then(Value::as_str)
}

fn is_context(value: Option<&Value>) -> bool {
    let one = |it: &Value| it.is_object() || it.as_str().is_some_and(is_uri);
    value.is_some_and(|it| one(it) || it.as_array().is_some_and(|list| list.iter().all(one)))
}

fn is_word(text: &str, words: &str) -> bool {
    words.split_whitespace().any(|it| it == text) || is_uri(text)
}

/// Returns whether a text is a URI (RFC 3986): a scheme, a colon, and allowed characters alone.
fn is_uri(text: &str) -> bool {
    let Some((scheme, rest)) = text.split_once(':') else { return false };
    let mut letters = scheme.chars();
    let named = letters.next().is_some_and(|it| it.is_ascii_alphabetic())
        && letters.all(|it| it.is_ascii_alphanumeric() || "+-.".contains(it));
    let allowed = |it: char| it.is_ascii_alphanumeric() || "-._~:/?#[]@!$&'()*+,;=%".contains(it);
    let escaped = rest.split('%').skip(1).all(|it| {
        let hex = it.get(..2).unwrap_or_default();
        hex.len() == 2 && hex.bytes().all(|it| it.is_ascii_hexdigit())
    });
    named && rest.chars().all(allowed) && escaped
}

/// Returns whether a text is a date and time of RFC 3339, with its zone.
fn is_time(text: &str) -> bool {
    let parted = text.as_bytes().get(10).is_some_and(|it| it.eq_ignore_ascii_case(&b'T'));
    parted && chrono::DateTime::parse_from_rfc3339(text).is_ok()
}

/// Returns whether a text is an offset from UTC, from -14:00 to +14:00.
fn is_offset(text: &str) -> bool {
    let Some(digits) = text.strip_prefix(['+', '-']) else { return false };
    let Some((hours, minutes)) = digits.split_once(':') else { return false };
    let number = |it: &str, most: u8| {
        it.len() == 2
            && it.bytes().all(|it| it.is_ascii_digit())
            && it.parse().is_ok_and(|it: u8| it <= most)
    };
    number(hours, 13) && number(minutes, 59) || digits == "14:00"
}
