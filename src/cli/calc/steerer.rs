use serde::Deserialize;
use serde_json::{Value, json};

use super::kinds::{Kind, whole_schema};
use super::mm::{Mm, mm, mms};
use super::{Fault, kinds, line};
use crate::domain::fit::{
    Clearance, FitError, FrontEnd, Rule, SpacerChoice, SpacerQuestion, SpacerStock, ToleranceRule,
    Tolerances, choose_spacers, stem_swap,
};
use crate::units::Length;

const KINDS: [Kind; 3] = [
    Kind { name: "steerer_length", schema: whole_schema::<SteererLength>, compute: steerer_length },
    Kind { name: "stem_swap", schema: whole_schema::<StemSwap>, compute: swap },
    Kind { name: "spacer_choice", schema: whole_schema::<SpacerLine>, compute: spacer_choice },
];

pub(super) fn compute(value: Value) -> Result<Value, Fault> {
    kinds::compute(&KINDS, "steerer.kind", value)
}

pub(super) fn all_kinds() -> Value {
    kinds::schema(&KINDS)
}

fn refused(error: FitError) -> Fault {
    Fault::new(error.code(), error)
}

/// What a steerer must carry, in mm along its axis.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct SteererLength {
    /// The head tube.
    head_tube: Mm,
    /// From the crown seat to the head tube.
    lower_stack: Mm,
    /// From the head tube to the first spacer.
    upper_stack: Mm,
    /// All spacers together.
    spacers: Mm,
    /// The stem's clamp.
    stem: Mm,
    /// What stays free under the cap; 3 where it is left out.
    #[serde(default = "three")]
    clearance: Mm,
    /// The sum as a page printed it, which is not looked at.
    #[serde(default)]
    #[expect(dead_code, reason = "published examples carry it, so it must not be refused")]
    printed: Option<String>,
}

const fn three() -> Mm {
    Mm(Length::from_micrometres(3_000))
}

fn steerer_length(value: Value) -> Result<Value, Fault> {
    let it: SteererLength = line(value)?;
    let front = FrontEnd {
        head_tube: it.head_tube.0,
        lower_stack: it.lower_stack.0,
        upper_stack: it.upper_stack.0,
        stem: it.stem.0,
    };
    let (total, steerer) = front.steerer_length(it.spacers.0, it.clearance.0);
    let reason = format!(
        "lower stack {} + head tube {} + upper stack {} + spacers {} + stem {} = {total}, less {}",
        front.lower_stack,
        front.head_tube,
        front.upper_stack,
        it.spacers.0,
        front.stem,
        it.clearance.0
    );
    let rule = Rule::SteererLength;
    Ok(json!({
        "total": mm(total),
        "steerer": mm(steerer),
        "reason": reason,
        "rule": rule.name(),
        "source": rule.source(),
    }))
}

/// One stem in place of another; clamp heights in mm.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct StemSwap {
    /// The clamp height of the stem that goes.
    old_stem: Mm,
    /// The clamp height of the stem that comes.
    new_stem: Mm,
    /// The heights of spacers there are, as many of each as wanted; 2, 5, 10 and 20 where it is
    /// left out.
    #[serde(default)]
    heights: Option<Vec<Mm>>,
    /// The most pieces; 6 where it is left out.
    #[serde(default = "six")]
    most_pieces: u32,
}

const fn six() -> u32 {
    6
}

fn swap(value: Value) -> Result<Value, Fault> {
    let it: StemSwap = line(value)?;
    let extra = stem_swap(it.old_stem.0, it.new_stem.0);
    let heights = it.heights.map(|all| all.into_iter().map(|it| it.0).collect());
    let usual = || [2_000, 5_000, 10_000, 20_000].map(Length::from_micrometres).to_vec();
    let heights: Vec<Length> = heights.unwrap_or_else(usual);
    let exactly = Clearance { least: Length::ZERO, most: Length::ZERO };
    let found = choose_spacers(&SpacerQuestion {
        exposure: extra,
        clearance: exactly,
        stock: heights.into_iter().map(|height| SpacerStock { height, count: None }).collect(),
        most_pieces: it.most_pieces,
        tolerances: Tolerances::default(),
        rule: ToleranceRule::Nominal,
    })
    .map_err(refused)?;
    let reason = if extra < Length::ZERO {
        format!("the new stem is {} higher: take out as much", Length::ZERO.less(extra))
    } else {
        format!("the new stem leaves {extra} of the steerer to be filled")
    };
    let rule = Rule::SteererLength;
    Ok(json!({
        "extra_spacers": mm(extra),
        "exact_sets": found.stacks.iter().map(|it| mms(it)).collect::<Vec<_>>(),
        "more": found.more,
        "reason": reason,
        "rule": rule.name(),
        "source": rule.source(),
    }))
}

/// Spacers that fill a steerer; all in mm along its axis.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct SpacerLine {
    /// The head tube.
    head_tube: Mm,
    /// From the crown seat to the head tube.
    lower_stack: Mm,
    /// From the head tube to the first spacer.
    upper_stack: Mm,
    /// The stem's clamp.
    stem: Mm,
    /// The steerer from the crown seat to its cut end.
    steerer: Mm,
    /// The spacers there are, one entry for each piece.
    spacers_on_hand: Vec<Mm>,
    /// The least and the most that may stay free under the cap; 2 and 5 where it is left out.
    #[serde(default)]
    clearance_allowed: Option<(Mm, Mm)>,
    /// The most pieces in one stack; all that are there where it is left out, and no more than 24.
    #[serde(default)]
    most_pieces: Option<u32>,
    /// How far the cut, the head tube and each stack may be off to either side.
    #[serde(default)]
    tolerances: Vec<Mm>,
    /// How far the height of each spacer may be off to either side.
    #[serde(default)]
    spacer_tolerance: Option<Mm>,
    /// How tolerances are added up: worst_case or root_sum_square. It must be said where there are
    /// any.
    #[serde(default)]
    tolerance_rule: Option<ToleranceWord>,
}

#[derive(Debug, Clone, Copy, Deserialize, utoipa::ToSchema)]
#[serde(rename_all = "snake_case")]
enum ToleranceWord {
    WorstCase,
    RootSumSquare,
}

fn spacer_choice(value: Value) -> Result<Value, Fault> {
    let it: SpacerLine = line(value)?;
    let question = question(&it)?;
    let found = choose_spacers(&question).map_err(refused)?;
    Ok(chosen(&question, &found))
}

fn question(it: &SpacerLine) -> Result<SpacerQuestion, Fault> {
    let tolerances = Tolerances {
        parts: it.tolerances.iter().map(|it| it.0).collect(),
        spacer: it.spacer_tolerance.map_or(Length::ZERO, |it| it.0),
    };
    let rule = match it.tolerance_rule {
        Some(ToleranceWord::WorstCase) => ToleranceRule::WorstCase,
        Some(ToleranceWord::RootSumSquare) => ToleranceRule::RootSumSquare,
        None if tolerances == Tolerances::default() => ToleranceRule::Nominal,
        None => {
            let message = "say how the tolerances add up: worst_case or root_sum_square";
            return Err(Fault::new("steerer.tolerance_rule", message));
        }
    };
    let front = FrontEnd {
        head_tube: it.head_tube.0,
        lower_stack: it.lower_stack.0,
        upper_stack: it.upper_stack.0,
        stem: it.stem.0,
    };
    let pieces = u32::try_from(it.spacers_on_hand.len()).unwrap_or(u32::MAX);
    let limits = it.clearance_allowed.map(|it| Clearance { least: it.0.0, most: it.1.0 });
    Ok(SpacerQuestion {
        exposure: front.exposure(it.steerer.0),
        clearance: limits.unwrap_or(Clearance::USUAL),
        stock: it
            .spacers_on_hand
            .iter()
            .map(|it| SpacerStock { height: it.0, count: Some(1) })
            .collect(),
        most_pieces: it.most_pieces.unwrap_or_else(|| pieces.min(24)),
        tolerances,
        rule,
    })
}

fn chosen(question: &SpacerQuestion, found: &SpacerChoice) -> Value {
    let rule = Rule::Clearance;
    let reason = if !found.stacks.is_empty() {
        Value::Null
    } else if found.most < Length::ZERO {
        let short = Length::ZERO.less(found.most);
        json!(format!("the steerer ends {short} too low, even without spacers"))
    } else {
        json!(format!(
            "no spacers on hand come to {} to {} by {}",
            found.least,
            found.most,
            question.rule.words()
        ))
    };
    json!({
        "need_total": [mm(found.least), mm(found.most)],
        "possible": !found.stacks.is_empty(),
        "fewest_spacers": found.stacks.first().map(|it| mms(it)),
        "stacks": found.stacks.iter().map(|it| mms(it)).collect::<Vec<_>>(),
        "more": found.more,
        "tolerance_rule": question.rule.words(),
        "reason": reason,
        "rule": rule.name(),
        "source": rule.source(),
    })
}
