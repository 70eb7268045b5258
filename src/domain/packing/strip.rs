use crate::domain::kits::Step;
use crate::units::Quantity;

/// One cell of the assembly strip: a step, with its parts counted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StripCell {
    /// The step's number.
    pub number: u32,
    /// Its title.
    pub title: String,
    /// Pieces that it needs.
    pub total: Quantity,
    /// Pieces confirmed so far.
    pub done: Quantity,
    /// Pieces that are missing.
    pub missing: Quantity,
}

/// The assembly strip: one cell for each step, in the order of assembly.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Strip {
    /// The cells.
    pub cells: Vec<StripCell>,
    /// What is missing, in words, step by step.
    pub missing: Vec<String>,
}

/// What the strip counts of one kit line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StripLine {
    /// The assembly step; 0, packing material, is counted nowhere.
    pub step: u32,
    /// The part in words.
    pub part: String,
    /// Pieces that the kit needs.
    pub quantity: Quantity,
    /// Pieces confirmed so far.
    pub done: Quantity,
    /// Pieces that are missing.
    pub missing: Quantity,
}

/// Returns the strip of `steps` with the pieces of `lines` counted in it.
///
/// Packing material has no cell, and is named among the missing all the same.
pub fn strip(steps: &[Step], lines: &[StripLine]) -> Strip {
    let cells = steps
        .iter()
        .map(|step| {
            let of_step = || lines.iter().filter(|it| it.step == step.number);
            StripCell {
                number: step.number,
                title: step.title.clone(),
                total: of_step().map(|it| it.quantity).sum(),
                done: of_step().map(|it| it.done).sum(),
                missing: of_step().map(|it| it.missing).sum(),
            }
        })
        .collect();
    let missing = lines
        .iter()
        .filter(|it| it.missing.is_some())
        .map(|it| match it.step {
            0 => format!("packing material: {} × {}", it.missing, it.part),
            step => format!("step {step}: {} × {}", it.missing, it.part),
        })
        .collect();
    Strip { cells, missing }
}
