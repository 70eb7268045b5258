use chrono::NaiveDate;
use serde::Serialize;

use super::judge::{Judged, judge, letters};
use crate::domain::reorder::{Abc, PolicyKind, Xyz};
use crate::domain::statistics::whole_up;
use crate::error::Error;
use crate::store::Conn;
use crate::units::Quantity;

/// The bought parts by class.
#[derive(Debug, Clone, PartialEq, Serialize, utoipa::ToSchema)]
pub struct ClassesView {
    /// The nine classes that have parts.
    pub classes: Vec<ClassView>,
    /// Every part that something is wanted of, the greatest yearly value first.
    pub parts: Vec<RankedView>,
    /// What can't be judged, and why.
    pub faults: Vec<String>,
}

/// One class.
#[derive(Debug, Clone, PartialEq, Serialize, utoipa::ToSchema)]
pub struct ClassView {
    /// Its letters: A to C by a year's value, X to Z by steadiness.
    pub class: String,
    /// How many parts it has.
    pub parts: usize,
    /// What a year of them is worth, in cents.
    pub yearly_cents: i64,
}

/// A part with its class and its policy.
#[derive(Debug, Clone, PartialEq, Serialize, utoipa::ToSchema)]
pub struct RankedView {
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// Its class.
    pub class: String,
    /// What a year of it is worth, in cents.
    pub yearly_cents: i64,
    /// The share of all that it and those before it make up, in tenths of a percent.
    pub up_to_per_mille: i64,
    /// Its policy, in its word.
    pub policy: String,
    /// Its level of service in percent; empty where none is stated.
    pub service: String,
    /// Order at or below this.
    pub reorder_point: Quantity,
    /// How the reorder point came about.
    pub how: String,
    /// Cards of its two bins, where it has two bins.
    pub cards: Option<i64>,
    /// Pieces in a full bin, where it has two bins.
    pub bin: Option<Quantity>,
}

/// Loads the classes of all parts, and what their policies come to.
///
/// # Errors
///
/// [`Error::Database`].
pub fn classes(conn: &mut Conn, today: NaiveDate) -> Result<ClassesView, Error> {
    let judgement = judge(conn, today)?;
    let mut ranked: Vec<&Judged> =
        judgement.parts.iter().filter(|it| it.ranked.is_some()).collect();
    let value = |it: &&Judged| it.ranked.map_or(0.0, |it| it.yearly_cents);
    ranked.sort_by(|a, b| {
        value(b).total_cmp(&value(a)).then(a.row.part_number.cmp(&b.row.part_number))
    });
    let all = Abc::ALL.into_iter().flat_map(|abc| Xyz::ALL.map(|xyz| (abc, xyz)));
    let class = |class: (Abc, Xyz)| {
        let of = ranked.iter().filter(|it| it.ranked.is_some_and(|it| it.class == class));
        let (parts, cents) = of.fold((0_usize, 0.0), |sum, it| (sum.0 + 1, sum.1 + value(it)));
        (0 < parts).then(|| ClassView {
            class: letters(class),
            parts,
            yearly_cents: cents_of(cents),
        })
    };
    Ok(ClassesView {
        classes: all.filter_map(class).collect(),
        parts: ranked.iter().map(|it| view(it)).collect(),
        faults: judgement.faults,
    })
}

fn cents_of(cents: f64) -> i64 {
    whole_up(cents).unwrap_or(i64::MAX)
}

fn view(it: &Judged) -> RankedView {
    let ranked = it.ranked;
    let rule = &it.decision.advice.rule;
    RankedView {
        part_number: it.row.part_number.clone(),
        part: it.row.part.clone(),
        variant: it.row.variant.clone(),
        class: ranked.map(|it| letters(it.class)).unwrap_or_default(),
        yearly_cents: ranked.map_or(0, |it| cents_of(it.yearly_cents)),
        up_to_per_mille: ranked.map_or(0, |it| cents_of(it.up_to * 1000.0)),
        policy: it.policy.kind.unwrap_or(PolicyKind::AsSet).word().to_owned(),
        service: it.policy.service.map(|it| it.to_string()).unwrap_or_default(),
        reorder_point: rule.reorder_point,
        how: rule.how.clone(),
        cards: it.decision.bins.map(|it| it.cards),
        bin: it.decision.bins.map(|it| it.bin),
    }
}
