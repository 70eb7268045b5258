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

/// What a line is to the strip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StripPart {
    /// A part that lies in the box by itself: counted, and named where it is missing.
    Loose,
    /// A bag: what it holds is counted at the steps that need it, and it is named where it is missing.
    Bag,
    /// What a bag holds: counted, and not named beside its bag.
    InBag,
}

/// What the strip counts of one kit line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StripLine {
    /// What it is to the strip.
    pub as_part: StripPart,
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
            let counted = |it: &&StripLine| it.as_part != StripPart::Bag;
            let of_step = || lines.iter().filter(counted).filter(|it| it.step == step.number);
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
        .filter(|it| it.missing.is_some() && it.as_part != StripPart::InBag)
        .map(|it| match it.step {
            0 => format!("packing material: {} × {}", it.missing, it.part),
            step => format!("step {step}: {} × {}", it.missing, it.part),
        })
        .collect();
    Strip { cells, missing }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn step(number: u32) -> Step {
        let title = format!("Step {number}");
        Step { number, title, check: String::new(), caution: String::new() }
    }

    fn line(as_part: StripPart, step: u32, part: &str, counts: [i64; 3]) -> StripLine {
        let [quantity, done, missing] = counts.map(Quantity::new);
        StripLine { as_part, step, part: part.to_owned(), quantity, done, missing }
    }

    #[test]
    fn what_a_bag_holds_is_counted_where_it_is_needed_and_the_bag_is_named() {
        let lines = [
            line(StripPart::Loose, 4, "fork", [1, 1, 0]),
            line(StripPart::Bag, 4, "bag HEAD", [1, 0, 1]),
            line(StripPart::InBag, 4, "lower bearing", [1, 0, 1]),
            line(StripPart::InBag, 5, "upper bearing", [1, 0, 1]),
            line(StripPart::Loose, 0, "carton", [1, 0, 1]),
        ];
        let strip = strip(&[step(4), step(5)], &lines);
        let counts: Vec<_> = strip
            .cells
            .iter()
            .map(|it| (it.total.pieces(), it.done.pieces(), it.missing.pieces()))
            .collect();
        assert_eq!(counts, [(2, 1, 1), (1, 0, 1)]);
        assert_eq!(strip.missing, ["step 4: 1 × bag HEAD", "packing material: 1 × carton"]);
    }
}
