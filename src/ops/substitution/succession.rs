use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};

use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::ids::{KitId, UserId, VariantId};
use crate::domain::orders::Free;
use crate::domain::substitution::{Consent, Kind, Rule, Successor, successors};
use crate::error::Error;
use crate::ops::kits::{as_variant, within_reach};
use crate::ops::words;
use crate::store::orders::NewLine;
use crate::store::substitution::NewChange;
use crate::store::{Conn, stock, substitution};
use crate::units::Quantity;

use super::Standing;

/// What takes the place of superseded parts while kits are promised, one after the other.
pub(in crate::ops) struct Succession {
    rules: Vec<Rule>,
    variants: Vec<Variant>,
    numbers: BTreeMap<VariantId, PartNumber>,
    ids: BTreeMap<PartNumber, VariantId>,
    /// What bins hold and nobody has been promised.
    free: BTreeMap<PartNumber, Quantity>,
}

/// A kit's lines with what takes the place of superseded parts, and what that was.
pub(in crate::ops) struct Succeeded {
    /// The lines.
    pub(in crate::ops) lines: Vec<NewLine>,
    changed: Vec<Changed>,
}

/// A line that got another part than its bill asks for.
struct Changed {
    /// The line's number in the kit.
    number: i64,
    from: VariantId,
    reason: String,
    consent: Consent,
    said_by: String,
    said_on: Option<NaiveDate>,
}

impl Succession {
    pub(in crate::ops) fn load(conn: &mut Conn, today: NaiveDate) -> Result<Self, Error> {
        let rules: Vec<Rule> = substitution::rules(conn)?
            .into_iter()
            .filter(|it| it.kind == Kind::SupersededBy)
            .collect();
        let rows = if rules.is_empty() { Vec::new() } else { within_reach(conn, [])? };
        let variants: Vec<Variant> = rows.iter().filter_map(as_variant).collect();
        let numbers: BTreeMap<VariantId, PartNumber> =
            rows.iter().filter_map(|it| Some((it.id, it.part_number.parse().ok()?))).collect();
        let usable = |it: &Free| it.use_by.is_none_or(|last| today <= last);
        let ids = rows.iter().map(|it| it.id).collect();
        let bins = stock::in_bins(conn, &ids)?.into_iter().filter(usable);
        let mut held = words::by_variant(bins.map(|it| (it.variant, it.quantity)));
        for it in stock::reservations(conn)? {
            let left = held.entry(it.variant).or_default();
            *left = left.less(it.quantity).at_least_zero();
        }
        Ok(Self {
            free: numbers
                .iter()
                .filter_map(|(id, number)| Some((number.clone(), *held.get(id)?)))
                .collect(),
            ids: numbers.iter().map(|(id, number)| (number.clone(), *id)).collect(),
            rules,
            variants,
            numbers,
        })
    }

    /// Returns a kit's lines for an order placed on `day`; what they take of old parts that are
    /// used up first is no longer free for the next kit.
    pub(in crate::ops) fn apply(&mut self, lines: &[NewLine], day: NaiveDate) -> Succeeded {
        let asked: Vec<(PartNumber, Quantity)> =
            lines.iter().filter_map(|it| Some((self.numbers.get(&it.1)?.clone(), it.2))).collect();
        let found = successors(&asked, &self.rules, &self.variants, &self.free, day);
        let (mut new, mut changed) = (Vec::new(), Vec::new());
        for (number, line) in (1_i64..).zip(lines) {
            let successor: Option<(&Successor, VariantId)> = self
                .numbers
                .get(&line.1)
                .and_then(|it| found.get(it))
                .and_then(|it| Some((it, *self.ids.get(&it.part_number)?)));
            let (step, variant, quantity, carton) = *line;
            match successor {
                Some((it, id)) => {
                    changed.push(Changed {
                        number,
                        from: variant,
                        reason: it.reason.clone(),
                        consent: Consent::StandingRule,
                        said_by: String::new(),
                        said_on: None,
                    });
                    new.push((step, id, quantity, carton));
                }
                None => new.push(*line),
            }
        }
        for (_, variant, quantity, _) in &new {
            if let Some(left) = self.numbers.get(variant).and_then(|it| self.free.get_mut(it)) {
                *left = left.less(*quantity).at_least_zero();
            }
        }
        Succeeded { lines: new, changed }
    }
}

impl Succeeded {
    /// Puts in again what was taken for other parts while the kit had its old bill: whose word that
    /// took holds on, as long as the new bill asks for the same part.
    pub(in crate::ops) fn keep(&mut self, standing: Vec<Standing>) -> Result<(), Error> {
        for (number, line) in (1_i64..).zip(&mut self.lines) {
            let Some(it) = standing.iter().find(|it| it.asked == line.1) else { continue };
            line.1 = it.change.to;
            self.changed.push(Changed {
                number,
                from: it.asked,
                reason: it.change.reason.clone(),
                consent: it.consent()?,
                said_by: it.change.said_by.clone(),
                said_on: it.change.said_on,
            });
        }
        Ok(())
    }

    /// Writes what took the place of what in a kit.
    pub(in crate::ops) fn note(
        &self,
        conn: &mut Conn,
        kit: KitId,
        user: Option<UserId>,
        at: NaiveDateTime,
    ) -> Result<(), Error> {
        let change = |it: &Changed| {
            let line = usize::try_from(it.number).ok()?.checked_sub(1)?;
            let (_, to, quantity, _) = *self.lines.get(line)?;
            Some(NewChange {
                kit,
                line: it.number,
                quantity,
                from: it.from,
                to,
                reason: it.reason.clone(),
                consent: it.consent,
                said_by: it.said_by.clone(),
                said_on: it.said_on,
            })
        };
        let changes: Vec<NewChange> = self.changed.iter().filter_map(change).collect();
        Ok(substitution::note_changes(conn, &changes, user, at)?)
    }
}
