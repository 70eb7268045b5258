use super::compose::{At, Facts, Mark, Measure};
use super::fault::{LabelError, LabelWarning};
use super::layout::{Field, Layout};
use super::{Dimensions, SizeFault, Symbology, Use, logistic_label_fault, width_faults};
use crate::units::Length;

/// How high capitals and digits are, in thousandths of an em.
///
/// # Source
///
/// The capital height of DejaVu Sans 2.37: 1493 of 2048 units.
const CAPITALS: i64 = 729;
/// The least height of the characters below bars.
///
/// # Source
///
/// On logistic units GS1 General Specifications, section 6 (from memory, unconfirmed); elsewhere
/// common practice, no source.
const LEAST_WORDS_UM: i64 = 1_500;
const LEAST_LOGISTIC_WORDS_UM: i64 = 3_000;
/// The least height of bars that a hand holds a scanner to, and the least part of their length.
///
/// # Source
///
/// ISO/IEC 15417, height of bars for manual scanning (from memory, unconfirmed).
const LEAST_BARS_UM: i64 = 5_000;
const LEAST_BARS_PERCENT: i64 = 15;

/// A field with its marks.
type Set<'a> = (usize, &'a Field, Vec<Mark>);

/// Returns what falls short on a label that [`super::compose`] takes: rules of GS1 for the use that
/// a field states, and what any bar code needs to be read by a scanner or, failing that, by eye.
///
/// # Errors
///
/// As [`super::compose`].
pub fn warnings(
    layout: &Layout,
    facts: &Facts<'_>,
    measure: Measure<'_>,
) -> Result<Vec<LabelWarning>, LabelError> {
    let mut set: Vec<Set<'_>> = Vec::new();
    for (field, number) in layout.fields.iter().zip(1..) {
        set.push((number, field, At { layout, number }.marks(field, facts, measure)?));
    }
    let mut warnings = Vec::new();
    for (number, field, marks) in &set {
        for mark in marks {
            warnings.extend(of_mark(*number, field, mark, &set));
            warnings.extend(crowded(*number, mark, &set, measure));
        }
    }
    let [width, height] = [layout.width_um, layout.height_um].map(Length::from_micrometres);
    let is_logistic =
        |it: &Field| it.bars().is_some_and(|it| it.1.of_use == Some(Use::Gs1128Logistic));
    if set.iter().any(|(_, field, marks)| is_logistic(field) && !marks.is_empty())
        && let Some(fault) = logistic_label_fault(width, height)
    {
        warnings.push(LabelWarning::Label { layout: layout.name.clone(), fault });
    }
    // Each line of a text says the same.
    warnings.dedup();
    Ok(warnings)
}

fn of_mark(number: usize, field: &Field, mark: &Mark, all: &[Set<'_>]) -> Vec<LabelWarning> {
    match (field, mark) {
        (Field::Text(it), Mark::Text { size_um, .. }) => {
            letters(number, *size_um, it.wanted_um.unwrap_or(0)).into_iter().collect()
        }
        (_, Mark::Symbol { module_um, height_um, symbol, .. }) => {
            let mut warnings = Vec::new();
            if let Some((_, it)) = field.matrix() {
                warnings.extend(it.of_use.and_then(|of| matrix(number, of, *module_um)));
            }
            if let Some((symbology, it)) = field.bars() {
                let height_um = height_um - 2 * symbol.bearer_um(*module_um);
                let size = [*module_um, height_um, symbol.width_um(*module_um)];
                let modules = symbol.width_um(1);
                let code = Bars { number, symbology, size, modules, text: symbol.text() };
                warnings.extend(code.warnings(it.of_use));
                let says =
                    |it: &Mark| matches!(it, Mark::Text { text, .. } if text == symbol.hri());
                if !all.iter().flat_map(|it| &it.2).any(says) {
                    warnings.push(LabelWarning::NoWords { field: number });
                }
            }
            warnings
        }
        (_, Mark::Text { size_um, .. }) => {
            let of = field.bars().and_then(|it| it.1.of_use);
            let is_logistic = of == Some(Use::Gs1128Logistic);
            let least = if is_logistic { LEAST_LOGISTIC_WORDS_UM } else { LEAST_WORDS_UM };
            letters(number, *size_um, least).into_iter().collect()
        }
        (_, Mark::Box { .. }) => Vec::new(),
    }
}

fn letters(field: usize, size_um: i64, least_um: i64) -> Option<LabelWarning> {
    let has_um = size_um * CAPITALS / 1_000;
    let [has, by, least] = [has_um, least_um - has_um, least_um].map(Length::from_micrometres);
    (has_um < least_um).then_some(LabelWarning::Letters { field, has, by, least })
}

/// Holds a matrix against the rule that its modules are half as wide again as those of bars.
///
/// # Source
///
/// GS1 General Specifications release 18, page 321.
fn matrix(field: usize, of: Use, module_um: i64) -> Option<LabelWarning> {
    let least_um = of.rule().least_module_um * 3 / 2;
    let [has, by, least] =
        [module_um, least_um - module_um, least_um].map(Length::from_micrometres);
    let fault = SizeFault::ModuleNarrow { has, by, least };
    (module_um < least_um).then(|| LabelWarning::Size { field, use_name: of.name(), fault })
}

/// Bars as they print.
struct Bars<'a> {
    number: usize,
    symbology: Symbology,
    /// Width of a module, height of the bars, length of all.
    size: [i64; 3],
    modules: i64,
    text: &'a str,
}

impl Bars<'_> {
    fn warnings(&self, of: Option<Use>) -> Vec<LabelWarning> {
        let [module_um, height_um, length_um] = self.size;
        let [module, height] = [module_um, height_um].map(Length::from_micrometres);
        let field = self.number;
        let Some(of) = of else {
            let least_um = LEAST_BARS_UM.max(length_um * LEAST_BARS_PERCENT / 100);
            let [by, least] = [least_um - height_um, least_um].map(Length::from_micrometres);
            let fault = SizeFault::Low { has: height, by, least };
            let is_low = height_um < least_um;
            return is_low.then_some(LabelWarning::Code { field, fault }).into_iter().collect();
        };
        let size = Dimensions { module, height, quiet: self.symbology.quiet() };
        let mut faults = size.faults(of);
        if self.symbology == Symbology::Gs1128 {
            let characters = self.text.chars().filter(|it| !matches!(it, '(' | ')')).count();
            faults.extend(width_faults(self.modules, characters, module));
        }
        let use_name = of.name();
        faults.into_iter().map(|fault| LabelWarning::Size { field, use_name, fault }).collect()
    }
}

/// Returns the quiet zones of a symbol that marks of other fields stand in.
fn crowded(number: usize, mark: &Mark, all: &[Set<'_>], measure: Measure<'_>) -> Vec<LabelWarning> {
    let Mark::Symbol { module_um, symbol, .. } = mark else { return Vec::new() };
    let [x, y, width, height] = mark.frame(measure);
    let [left, right] = symbol.symbology().quiet();
    let is_matrix = symbol.own_height_um(*module_um).is_some();
    let others = all.iter().filter(|it| it.0 != number).flat_map(|it| &it.2);
    let inked: Vec<[i64; 4]> = others.flat_map(|it| inked(it, measure)).collect();
    // Each side with its quiet zone in modules, and how far a rectangle that stands beside the
    // symbol there is from it.
    let beside = |it: &[i64; 4]| it[1] < y + height && y < it[1] + it[3];
    let over = |it: &[i64; 4]| it[0] < x + width && x < it[0] + it[2];
    let gaps = |gap: &dyn Fn(&[i64; 4]) -> Option<i64>| inked.iter().filter_map(gap).min();
    let mut sides = vec![
        ("left", left, gaps(&|it| (beside(it) && it[0] < x).then(|| x - it[0] - it[2]))),
        (
            "right",
            right,
            gaps(&|it| (beside(it) && x < it[0] + it[2] && x <= it[0]).then(|| it[0] - x - width)),
        ),
    ];
    if is_matrix {
        sides.push(("top", left, gaps(&|it| (over(it) && it[1] < y).then(|| y - it[1] - it[3]))));
        sides.push((
            "bottom",
            left,
            gaps(&|it| (over(it) && y <= it[1]).then(|| it[1] - y - height)),
        ));
    }
    let fault = |(side, least, gap): (&'static str, i64, Option<i64>)| {
        let has = gap?.max(0) / module_um.max(&1);
        let fault = SizeFault::Quiet { side, has, least };
        (has < least).then_some(LabelWarning::Code { field: number, fault })
    };
    sides.into_iter().filter_map(fault).collect()
}

/// Returns the rectangles that a mark puts ink in: the sides of an outline, or all of it.
fn inked(mark: &Mark, measure: Measure<'_>) -> Vec<[i64; 4]> {
    let whole = mark.frame(measure);
    let [x, y, width, height] = whole;
    match mark {
        Mark::Box { line_um: Some(line), .. } => vec![
            [x, y, width, *line],
            [x, y + height - line, width, *line],
            [x, y, *line, height],
            [x + width - line, y, *line, height],
        ],
        _ => vec![whole],
    }
}
