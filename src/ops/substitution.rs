//! Parts that stand in for others in a kit, and parts that take another's place for new orders.

mod request;
mod succession;

use std::collections::{BTreeMap, BTreeSet};

use chrono::{NaiveDate, NaiveDateTime};
use serde::Serialize;

use crate::domain::ids::{KitId, VariantId};
use crate::domain::orders::Free;
use crate::domain::substitution::{Consent, Rule, Ruling, Stated, judge};
use crate::error::Error;
use crate::store::catalog::VariantRow;
use crate::store::orders::{KitLineRow, KitRow};
use crate::store::{Conn, catalog, orders, stock, substitution};
use crate::units::Quantity;

use super::shortages::{Alert, Cause};
use super::words;

pub use request::{Request, Substituted, substitute};
pub(super) use succession::{Succeeded, Succession};

/// Returns what the catalogue states of a part, as far as a substitution asks.
pub(super) fn stated(row: &VariantRow) -> Result<Stated, Error> {
    fn read<T, E: std::fmt::Display>(found: Result<T, E>) -> Result<T, Error> {
        found.map_err(|fault| Error::Internal(format!("a stored part can't be read: {fault}")))
    }
    Ok(Stated {
        part_number: read(row.part_number.parse())?,
        part: row.part.clone(),
        specification: row.specification.clone(),
        attributes: read(row.attributes.parse())?,
        facts: read(row.facts.parse())?,
    })
}

/// A part that may be taken in the place of another in a kit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct OfferView {
    /// The part that the kit's lines ask for.
    pub from: String,
    /// It in words.
    pub from_words: String,
    /// The part that may be taken.
    pub to: String,
    /// It in words.
    pub to_words: String,
    /// Pieces that the kit needs; all of them are exchanged.
    pub needed: Quantity,
    /// Pieces of the other part that bins hold and nobody has reserved.
    pub free: Quantity,
    /// Whose word it takes: none, standing rule, or customer's word.
    pub consent: String,
    /// Why, by the rule and by what differs.
    pub reason: String,
    /// Where the rule is written.
    pub source: String,
    /// Why it can't be done now; empty where it can.
    pub refused: String,
}

/// What a line of a kit got in the place of another part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct InPlaceView {
    /// The line's number in the kit.
    pub line: i64,
    /// Pieces.
    pub quantity: Quantity,
    /// The part number that it got.
    pub part_number: String,
    /// The part number in whose place.
    pub in_place_of: String,
    /// Whose word it took.
    pub consent: String,
    /// Who of the customer's side said so; empty where nobody had to.
    pub said_by: String,
    /// When they said so.
    pub said_on: Option<NaiveDate>,
    /// Who wrote it down; empty for the program itself.
    pub person: String,
    /// When.
    pub at: NaiveDateTime,
    /// All of it in a sentence.
    pub words: String,
}

/// What may be exchanged in a kit, and what has been.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct SubstitutionsView {
    /// The kit.
    pub kit: String,
    /// Its order.
    pub order: String,
    /// Who ordered it.
    pub customer: String,
    /// What may be taken for which of its parts.
    pub offers: Vec<OfferView>,
    /// What stands in its lines in the place of other parts.
    pub in_place: Vec<InPlaceView>,
}

/// All that substitutions are judged by, loaded once.
pub(super) struct Shelf {
    rules: Vec<Rule>,
    rows: BTreeMap<String, VariantRow>,
    free: BTreeMap<VariantId, Quantity>,
}

impl Shelf {
    /// Loads the shop's rules of that day with the parts that they name, and with `others`.
    pub(super) fn load(conn: &mut Conn, today: NaiveDate, others: &[&str]) -> Result<Self, Error> {
        let rules = substitution::rules(conn)?.into_iter().filter(|it| it.holds_on(today));
        let rules: Vec<Rule> = rules.collect();
        let named = rules.iter().flat_map(|it| [it.from.as_str(), it.to.as_str()]);
        let named: BTreeSet<&str> = named.chain(others.iter().copied()).collect();
        let rows = catalog::variants_numbered(conn, named)?;
        let ids = rows.iter().map(|it| it.id).collect();
        let usable = |it: &Free| it.use_by.is_none_or(|last| today <= last);
        let bins = stock::in_bins(conn, &ids)?.into_iter().filter(usable);
        let mut free = words::by_variant(bins.map(|it| (it.variant, it.quantity)));
        for it in stock::reservations(conn)? {
            let left = free.entry(it.variant).or_default();
            *left = left.less(it.quantity).at_least_zero();
        }
        Ok(Self {
            rules,
            rows: rows.into_iter().map(|it| (it.part_number.clone(), it)).collect(),
            free,
        })
    }

    fn row(&self, number: &str) -> Result<&VariantRow, Error> {
        self.rows.get(number).ok_or_else(|| Error::not_found("part number", number))
    }

    fn free(&self, row: &VariantRow) -> Quantity {
        self.free.get(&row.id).copied().unwrap_or_default()
    }

    /// Returns the parts that a rule lets be taken for that one, each with its rule.
    fn stand_ins<'a>(&'a self, number: &str) -> Vec<(&'a VariantRow, &'a Rule)> {
        let asked = number.parse().ok();
        let other = |rule: &'a Rule| {
            let part = rule.instead_of(asked.as_ref()?)?;
            Some((self.rows.get(part.as_str())?, rule))
        };
        self.rules.iter().filter_map(other).collect()
    }

    /// Returns whose word the rule takes today, and why: what the catalogue states may have changed
    /// since the rule was written.
    fn consent(
        &self,
        rule: &Rule,
        from: &VariantRow,
        to: &VariantRow,
    ) -> Result<Result<(Consent, String), String>, Error> {
        Ok(match judge(&stated(from)?, &stated(to)?, rule.kind) {
            Ruling::Never { reason } => Err(reason),
            Ruling::With { consent, mut reasons } => {
                reasons.insert(0, rule.reason.clone());
                Ok((consent.max(rule.consent), reasons.join("; ")))
            }
        })
    }
}

/// Loads what may be exchanged in a kit, and what has been.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn of_kit(conn: &mut Conn, number: &str, today: NaiveDate) -> Result<SubstitutionsView, Error> {
    let kit = orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))?;
    let order = orders::order_of(conn, kit.order)?;
    let lines = orders::lines_of(conn, &[kit.id])?;
    let shelf = Shelf::load(conn, today, &[])?;
    let mut asked: Vec<&KitLineRow> = Vec::new();
    for line in &lines {
        if asked.iter().all(|it| it.variant != line.variant) {
            asked.push(line);
        }
    }
    let mut offers = Vec::new();
    for line in asked {
        for (to, rule) in shelf.stand_ins(&line.part_number) {
            offers.push(offer(&shelf, &kit, &lines, line, (to, rule))?);
        }
    }
    Ok(SubstitutionsView {
        kit: kit.number.clone(),
        order: order.number,
        customer: order.customer,
        offers,
        in_place: in_place(conn, &[kit.id])?.remove(&kit.id).unwrap_or_default(),
    })
}

fn offer(
    shelf: &Shelf,
    kit: &KitRow,
    lines: &[KitLineRow],
    line: &KitLineRow,
    (to, rule): (&VariantRow, &Rule),
) -> Result<OfferView, Error> {
    let from = shelf.row(&line.part_number)?;
    let needed = needed(lines, line.variant);
    let (consent, reason, never) = match shelf.consent(rule, from, to)? {
        Ok((consent, reason)) => (consent, reason, None),
        Err(never) => (rule.consent, rule.reason.clone(), Some(never)),
    };
    let refused = never.or_else(|| request::refusal(shelf, kit, lines, line.variant, to));
    Ok(OfferView {
        from: from.part_number.clone(),
        from_words: words::part(&from.part, &from.variant),
        to: to.part_number.clone(),
        to_words: words::part(&to.part, &to.variant),
        needed,
        free: shelf.free(to),
        consent: consent.to_string(),
        reason,
        source: rule.source.clone(),
        refused: refused.unwrap_or_default(),
    })
}

/// Returns how many pieces of a part all lines of a kit need.
fn needed(lines: &[KitLineRow], variant: VariantId) -> Quantity {
    lines.iter().filter(|it| it.variant == variant).map(|it| it.quantity).sum()
}

/// Loads, by kit, what stands in its lines in the place of other parts.
pub(super) fn in_place(
    conn: &mut Conn,
    kits: &[KitId],
) -> Result<BTreeMap<KitId, Vec<InPlaceView>>, Error> {
    let mut by_kit: BTreeMap<KitId, Vec<InPlaceView>> = BTreeMap::new();
    let standing = standing(conn, kits)?;
    if standing.is_empty() {
        return Ok(by_kit);
    }
    let named = standing.iter().flat_map(|it| [it.asked, it.change.to]).collect();
    let rows: BTreeMap<VariantId, VariantRow> =
        catalog::variants_of(conn, &named)?.into_iter().map(|it| (it.id, it)).collect();
    for it in standing {
        if let (Some(from), Some(to)) = (rows.get(&it.asked), rows.get(&it.change.to)) {
            by_kit.entry(it.change.kit).or_default().push(in_place_view(&it.change, from, to));
        }
    }
    Ok(by_kit)
}

/// A line that holds another part than its bill asks for.
pub(super) struct Standing {
    /// The part that the bill asks for.
    asked: VariantId,
    /// Its last exchange.
    change: substitution::ChangeRow,
}

impl Standing {
    /// Returns whose word the exchange took.
    fn consent(&self) -> Result<Consent, Error> {
        let unreadable = |fault: crate::domain::substitution::RuleFault| {
            Error::Internal(format!("a stored consent can't be read: {fault}"))
        };
        self.change.consent.parse().map_err(unreadable)
    }
}

/// Loads the lines of kits that hold other parts than their bills ask for.
pub(super) fn standing(conn: &mut Conn, kits: &[KitId]) -> Result<Vec<Standing>, Error> {
    let changes = substitution::changes_of(conn, kits)?;
    if changes.is_empty() {
        return Ok(Vec::new());
    }
    let mut found = Vec::new();
    for line in orders::lines_of(conn, kits)? {
        // A kit that moved to another bill may have laid the line out anew.
        let of_line = |it: &&substitution::ChangeRow| it.kit == line.kit && it.line == line.number;
        let mut asked = line.variant;
        for it in changes.iter().rev().filter(of_line) {
            if it.to != asked {
                break;
            }
            asked = it.from;
        }
        let last = changes.iter().rfind(of_line);
        if let Some(last) = last.filter(|_| asked != line.variant) {
            found.push(Standing { asked, change: last.clone() });
        }
    }
    Ok(found)
}

fn in_place_view(it: &substitution::ChangeRow, from: &VariantRow, to: &VariantRow) -> InPlaceView {
    let said = match it.said_on {
        Some(day) => format!(", with the word of {} on {day}", it.said_by),
        None => String::new(),
    };
    let person = it.person.clone().unwrap_or_default();
    let noted = match person.as_str() {
        "" => String::new(),
        person => format!(" (noted by {person})"),
    };
    let words = format!(
        "{} × {} ({}) stands in for {} ({}){said}: {}{noted}",
        it.quantity,
        words::part(&to.part, &to.variant),
        to.part_number,
        words::part(&from.part, &from.variant),
        from.part_number,
        it.reason
    );
    InPlaceView {
        line: it.line,
        quantity: it.quantity,
        part_number: to.part_number.clone(),
        in_place_of: from.part_number.clone(),
        consent: it.consent.clone(),
        said_by: it.said_by.clone(),
        said_on: it.said_on,
        person,
        at: it.at,
        words,
    }
}

/// Fills in which parts with free stock may stand in for those that no bin has.
pub(super) fn ask_for_stand_ins<'a>(
    conn: &mut Conn,
    alerts: impl Iterator<Item = &'a mut Alert>,
    today: NaiveDate,
) -> Result<(), Error> {
    let mut waiting: Vec<&mut Alert> = alerts.filter(|it| it.cause == Cause::NotInStock).collect();
    if waiting.is_empty() {
        return Ok(());
    }
    let shelf = Shelf::load(conn, today, &[])?;
    for alert in &mut waiting {
        for (to, rule) in shelf.stand_ins(&alert.part_number) {
            let free = shelf.free(to);
            let from = shelf.row(&alert.part_number)?;
            let Ok((consent, _)) = shelf.consent(rule, from, to)? else { continue };
            if alert.quantity <= free {
                let with = match consent {
                    Consent::None => String::new(),
                    Consent::StandingRule => " by the owner's standing rule".to_owned(),
                    Consent::Customer => " with the customer's word".to_owned(),
                };
                let part = words::part(&to.part, &to.variant);
                let number = &to.part_number;
                alert.stand_ins.push(format!("{free} of {part} ({number}) may stand in{with}"));
            }
        }
    }
    Ok(())
}

/// A rule of the shop about a part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct RuleView {
    /// The part that is asked for.
    pub from: String,
    /// The part that is taken in its place.
    pub to: String,
    /// superseded by, or may stand in.
    pub kind: String,
    /// Whether each of the two may be taken for the other.
    pub both_ways: bool,
    /// none, standing rule, or customer's word.
    pub consent: String,
    /// All of it in a sentence.
    pub words: String,
}

/// Loads the rules about a part that hold on a day.
///
/// # Errors
///
/// [`Error::Database`].
pub fn of_part(conn: &mut Conn, number: &str, today: NaiveDate) -> Result<Vec<RuleView>, Error> {
    let rules = substitution::rules(conn)?.into_iter();
    let of_part = |it: &Rule| it.from.as_str() == number || it.to.as_str() == number;
    Ok(rules.filter(|it| of_part(it) && it.holds_on(today)).map(rule_view).collect())
}

fn rule_view(it: Rule) -> RuleView {
    use crate::domain::substitution::{Kind, Until};
    let what = match (it.kind, it.both_ways) {
        (Kind::SupersededBy, _) => format!("{} is superseded by {}", it.from, it.to),
        (Kind::StandsIn, true) => format!("{} and {} may stand in for each other", it.to, it.from),
        (Kind::StandsIn, false) => format!("{} may stand in for {}", it.to, it.from),
    };
    let until = match it.until {
        Until::Open => String::new(),
        Until::Day(last) => format!(" until {last}"),
        Until::UsedUp => "; the old ones are used up first".to_owned(),
    };
    let with = match it.consent {
        Consent::None => String::new(),
        Consent::StandingRule => " by the owner's standing rule".to_owned(),
        Consent::Customer => " with the customer's word".to_owned(),
    };
    RuleView {
        words: format!("{what}{with} from {}{until}: {} ({})", it.valid_from, it.reason, it.source),
        from: it.from.to_string(),
        to: it.to.to_string(),
        kind: it.kind.to_string(),
        both_ways: it.both_ways,
        consent: it.consent.to_string(),
    }
}
