use chrono::NaiveDate;

use super::tree::{Node, Space, clipped, fault};
use crate::exchange::Fault;

/// Which elements each kind of element holds, in this order: `?` at most once, `*` any number of
/// times, `+` at least once, and without a mark exactly once.
///
/// # Source
///
/// The schemas UBL-DespatchAdvice-2.1 and UBL-CommonAggregateComponents-2.1 of OASIS UBL 2.1.
const KINDS: &[(&str, &str)] = &[
    (
        "DespatchAdvice",
        "UBLExtensions? UBLVersionID? CustomizationID? ProfileID? ProfileExecutionID? ID \
         CopyIndicator? UUID? IssueDate IssueTime? DocumentStatusCode? \
         DespatchAdviceTypeCode? Note* LineCountNumeric? OrderReference* \
         AdditionalDocumentReference* Signature* DespatchSupplierParty DeliveryCustomerParty \
         BuyerCustomerParty? SellerSupplierParty? OriginatorCustomerParty? Shipment? \
         DespatchLine+",
    ),
    (
        "OrderReference",
        "ID SalesOrderID? CopyIndicator? UUID? IssueDate? IssueTime? CustomerReference? \
         OrderTypeCode? DocumentReference?",
    ),
    (
        "DespatchSupplierParty",
        "CustomerAssignedAccountID? AdditionalAccountID* DataSendingCapability? Party? \
         DespatchContact? AccountingContact? SellerContact?",
    ),
    (
        "DeliveryCustomerParty",
        "CustomerAssignedAccountID? SupplierAssignedAccountID? AdditionalAccountID* Party? \
         DeliveryContact? AccountingContact? BuyerContact?",
    ),
    (
        "Party",
        "MarkCareIndicator? MarkAttentionIndicator? WebsiteURI? LogoReferenceID? EndpointID? \
         IndustryClassificationCode? PartyIdentification* PartyName* Language? PostalAddress? \
         PhysicalLocation? PartyTaxScheme* PartyLegalEntity* Contact? Person* AgentParty? \
         ServiceProviderParty* PowerOfAttorney* FinancialAccount?",
    ),
    ("PartyName", "Name"),
    (
        "Shipment",
        "ID ShippingPriorityLevelCode? HandlingCode? HandlingInstructions* Information* \
         GrossWeightMeasure? NetWeightMeasure? NetNetWeightMeasure? GrossVolumeMeasure? \
         NetVolumeMeasure? TotalGoodsItemQuantity? TotalTransportHandlingUnitQuantity? \
         InsuranceValueAmount? DeclaredCustomsValueAmount? DeclaredForCarriageValueAmount? \
         DeclaredStatisticsValueAmount? FreeOnBoardValueAmount? SpecialInstructions* \
         DeliveryInstructions* SplitConsignmentIndicator? ConsignmentQuantity? Consignment* \
         GoodsItem* ShipmentStage* Delivery? TransportHandlingUnit* ReturnAddress? \
         OriginAddress? FirstArrivalPortLocation? LastExitPortLocation? ExportCountry? \
         FreightAllowanceCharge*",
    ),
    (
        "TransportHandlingUnit",
        "ID? TransportHandlingUnitTypeCode? HandlingCode? HandlingInstructions* \
         HazardousRiskIndicator? TotalGoodsItemQuantity? TotalPackageQuantity? DamageRemarks* \
         ShippingMarks* TraceID? HandlingUnitDespatchLine* ActualPackage* \
         ReceivedHandlingUnitReceiptLine* TransportEquipment* TransportMeans* \
         HazardousGoodsTransit* MeasurementDimension* MinimumTemperature? MaximumTemperature? \
         GoodsItem* FloorSpaceMeasurementDimension? PalletSpaceMeasurementDimension? \
         ShipmentDocumentReference* Status* CustomsDeclaration* ReferencedShipment* Package*",
    ),
    (
        "DespatchLine",
        "ID UUID? Note* LineStatusCode? DeliveredQuantity? BackorderQuantity? \
         BackorderReason* OutstandingQuantity? OutstandingReason* OversupplyQuantity? \
         OrderLineReference+ DocumentReference* Item Shipment*",
    ),
    ("OrderLineReference", "LineID SalesOrderLineID? UUID? LineStatusCode? OrderReference?"),
    (
        "Item",
        "Description* PackQuantity? PackSizeNumeric? CatalogueIndicator? Name? \
         HazardousRiskIndicator? AdditionalInformation* Keyword* BrandName* ModelName* \
         BuyersItemIdentification? SellersItemIdentification? \
         ManufacturersItemIdentification* StandardItemIdentification? \
         CatalogueItemIdentification? AdditionalItemIdentification* \
         CatalogueDocumentReference? ItemSpecificationDocumentReference* OriginCountry? \
         CommodityClassification* TransactionConditions* HazardousItem* \
         ClassifiedTaxCategory* AdditionalItemProperty* ManufacturerParty* \
         InformationContentProviderParty? OriginAddress* ItemInstance* Certificate* \
         Dimension*",
    ),
    (
        "ItemIdentification",
        "ID ExtendedID? BarcodeSymbologyID? PhysicalAttribute* MeasurementDimension* \
         IssuerParty?",
    ),
    (
        "ItemInstance",
        "ProductTraceID? ManufactureDate? ManufactureTime? BestBeforeDate? RegistrationID? \
         SerialID? AdditionalItemProperty* LotIdentification?",
    ),
    ("LotIdentification", "LotNumberID? ExpiryDate? AdditionalItemProperty*"),
];

/// Attributes that a basic element may have.
const ATTRIBUTES: &str = "schemeID schemeName schemeAgencyID schemeAgencyName schemeVersionID \
    schemeDataURI schemeURI listID listAgencyID listAgencyName listName listVersionID name \
    languageID languageLocaleID listURI listSchemeURI unitCode unitCodeListID \
    unitCodeListAgencyID unitCodeListAgencyName unitCodeListVersionID currencyID \
    currencyCodeListVersionID mimeCode encodingCode characterSetCode uri filename format";

/// Returns the kind of an aggregate, where it is one that is looked into.
fn kind_of(node: &Node) -> Option<&'static str> {
    let name = match node.name.as_str() {
        "HandlingUnitDespatchLine" => "DespatchLine",
        "BuyersItemIdentification"
        | "SellersItemIdentification"
        | "ManufacturersItemIdentification"
        | "StandardItemIdentification"
        | "CatalogueItemIdentification"
        | "AdditionalItemIdentification" => "ItemIdentification",
        "BuyerCustomerParty" | "OriginatorCustomerParty" => "DeliveryCustomerParty",
        "SellerSupplierParty" => "DespatchSupplierParty",
        name => name,
    };
    KINDS.iter().find(|it| it.0 == name).map(|it| it.1)
}

/// Adds what the schema does not allow in an element and in all within it. `place` is the path of
/// the element from the root.
pub(super) fn check(node: &Node, place: &str, faults: &mut Vec<Fault>) {
    match node.space {
        Space::Basic => check_basic(node, place, faults),
        Space::Aggregate | Space::Advice => {
            let foreign = |it: &&(String, String)| !it.0.starts_with("xsi:");
            if let Some((name, _)) = node.attributes.iter().find(foreign) {
                let message = format!("the attribute {name} does not belong here: leave it out");
                faults.push(fault(node.line, place, message));
            }
            if node.children.is_empty() && !node.text.trim().is_empty() {
                let message = format!("'{}' stands where elements belong", clipped(&node.text));
                faults.push(fault(node.line, place, message));
            }
            if let Some(kind) = kind_of(node) {
                check_order(node, kind, place, faults);
            }
            let mut counts = std::collections::BTreeMap::new();
            for child in &node.children {
                let nth = counts.entry(child.name.as_str()).and_modify(|it| *it += 1).or_insert(1);
                let many = 1 < node.all(&child.name).count();
                let which = if many { format!("[{nth}]") } else { String::new() };
                let slash = if place.is_empty() { "" } else { "/" };
                check(child, &format!("{place}{slash}{}{which}", child.name), faults);
            }
        }
        // Extensions may hold anything; elsewhere the order of elements has refused it.
        Space::Other => {}
    }
}

/// Checks which elements stand in one, how often, and in which order.
fn check_order(node: &Node, kind: &str, place: &str, faults: &mut Vec<Fault>) {
    let wanted: Vec<(&str, bool, bool)> = kind
        .split_whitespace()
        .map(|it| match it.strip_suffix(['?', '*', '+']) {
            Some(name) => (name, it.ends_with('+'), !it.ends_with('?')),
            None => (it, true, false),
        })
        .collect();
    let mut from = 0;
    let mut before: Option<&str> = None;
    for child in &node.children {
        let name = child.name.as_str();
        let known = child.space != Space::Other || name == "UBLExtensions";
        let position = wanted.iter().position(|it| it.0 == name).filter(|_| known);
        let message = match position {
            None => format!("<{name}> does not belong in {}: leave it out", node.name),
            Some(_) if before == Some(name) && !many(&wanted, name) => {
                format!("<{name}> stands here twice: one is allowed")
            }
            Some(position) if position < from => format!(
                "<{name}> stands too late in {}: UBL asks for it before <{}>",
                node.name,
                before.unwrap_or_default()
            ),
            Some(position) => {
                from = position;
                before = Some(name);
                continue;
            }
        };
        faults.push(fault(child.line, place, message));
    }
    for (name, needed, _) in wanted {
        if needed && node.children.iter().all(|it| it.name != name) {
            let message = format!("<{name}> is missing in {}: ask for it", node.name);
            faults.push(fault(node.line, place, message));
        }
    }
}

fn many(wanted: &[(&str, bool, bool)], name: &str) -> bool {
    wanted.iter().any(|it| it.0 == name && it.2)
}

fn check_basic(node: &Node, place: &str, faults: &mut Vec<Fault>) {
    let mut wrong = |message: String| faults.push(fault(node.line, place, message));
    if let Some(child) = node.children.first() {
        return wrong(format!("<{}> stands where a text belongs", child.name));
    }
    for (name, _) in &node.attributes {
        let known = ATTRIBUTES.split_whitespace().any(|it| it == name) || name.starts_with("xsi:");
        if !known {
            wrong(format!("the attribute {name} does not belong here: leave it out"));
        }
    }
    let (text, shown) = (node.text.trim(), clipped(node.text.trim()));
    let ends = |ending: &str| node.name.ends_with(ending);
    if ends("Date") && date(text).is_none() {
        wrong(format!("'{shown}' is no day: write it as 2026-11-25"));
    } else if ends("Time") && !is_time(text) {
        wrong(format!("'{shown}' is no time of day: write it as 09:30:00"));
    } else if ends("Indicator") && !matches!(text, "true" | "false" | "1" | "0") {
        wrong(format!("'{shown}' is neither true nor false"));
    } else if ["Quantity", "Numeric", "Measure", "Amount"].iter().any(|it| ends(it))
        && !is_decimal(text)
    {
        wrong(format!("'{shown}' is no number: write it in digits, such as 12"));
    }
    let asked = [("Amount", "currencyID"), ("Measure", "unitCode")];
    for (_, attribute) in asked.iter().filter(|it| ends(it.0)) {
        if node.attribute(attribute).is_none() {
            wrong(format!("the attribute {attribute} is missing"));
        }
    }
}

/// Returns the day that a text says, its zone left aside.
pub(super) fn date(text: &str) -> Option<NaiveDate> {
    let (day, zone) = text.split_at_checked(10)?;
    let digits = day.bytes().enumerate().all(|(at, it)| match at {
        4 | 7 => it == b'-',
        _ => it.is_ascii_digit(),
    });
    (digits && is_zone(zone)).then(|| day.parse().ok())?
}

fn is_zone(text: &str) -> bool {
    let Some(offset) = text.strip_prefix(['+', '-']) else { return matches!(text, "" | "Z") };
    match offset.split_once(':') {
        Some((hours, minutes)) => {
            two(hours).is_some_and(|it| it <= 13) && two(minutes).is_some_and(|it| it <= 59)
                || offset == "14:00"
        }
        None => false,
    }
}

fn two(text: &str) -> Option<u8> {
    let digits = text.len() == 2 && text.bytes().all(|it| it.is_ascii_digit());
    digits.then(|| text.parse().ok())?
}

fn is_time(text: &str) -> bool {
    let Some((clock, zone)) = text.split_at_checked(8) else { return false };
    let mut parts = clock.split(':').map(two);
    let (hours, minutes, seconds) = (parts.next(), parts.next(), parts.next());
    let below = |it: Option<Option<u8>>, most: u8| it.flatten().is_some_and(|it| it <= most);
    let zone = match zone.strip_prefix('.') {
        Some(rest) => {
            let rest_of = rest.trim_start_matches(|it: char| it.is_ascii_digit());
            if rest_of.len() == rest.len() {
                return false;
            }
            rest_of
        }
        None => zone,
    };
    let right = below(hours, 23) && below(minutes, 59) && below(seconds, 59);
    (right || clock == "24:00:00") && is_zone(zone)
}

/// Returns whether a text is a decimal number as XML Schema writes it.
fn is_decimal(text: &str) -> bool {
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let all = |it: &str| it.bytes().all(|it| it.is_ascii_digit());
    all(whole) && all(part) && !(whole.is_empty() && part.is_empty())
}
