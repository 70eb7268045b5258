use crate::domain::codes::PartNumber;

/// Why a kit cannot be laid out into part numbers.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
pub enum KitError {
    /// No bill has that code.
    #[error("there is no kit '{kit}': check the code, or import the kit first")]
    UnknownKit {
        /// The code that was asked for.
        kit: String,
    },
    /// A line calls for a kit that is not there.
    #[error("kit {kit}, line {line} calls for the kit '{wanted}', and there is none")]
    UnknownNestedKit {
        /// The kit that holds the line.
        kit: String,
        /// The line's number.
        line: u32,
        /// The code that it calls for.
        wanted: String,
    },
    /// Nothing was chosen for an option.
    #[error("kit {kit} needs a choice of '{option}': one of {}", list(.allowed))]
    OptionMissing {
        /// The kit.
        kit: String,
        /// The option.
        option: String,
        /// The values allowed.
        allowed: Vec<String>,
    },
    /// The kit has no such option.
    #[error("kit {kit} has no option '{option}' (given as '{value}'): its options are {}", list(.allowed))]
    OptionUnknown {
        /// The kit.
        kit: String,
        /// The option as it was given.
        option: String,
        /// Its value as it was given.
        value: String,
        /// The options of the kit.
        allowed: Vec<String>,
    },
    /// The option has no such value.
    #[error("'{value}' is no {option} of kit {kit}: choose one of {}", list(.allowed))]
    ValueUnknown {
        /// The kit.
        kit: String,
        /// The option.
        option: String,
        /// Its value as it was given.
        value: String,
        /// The values allowed.
        allowed: Vec<String>,
    },
    /// A line speaks of an option that its kit does not have.
    #[error("kit {kit}, line {line} speaks of the option '{option}', which the kit does not have")]
    LineOption {
        /// The kit that holds the line.
        kit: String,
        /// The line's number.
        line: u32,
        /// The option that it names.
        option: String,
    },
    /// No variant answers a line's choice.
    #[error(
        "kit {kit}, line {line}: no '{part}' has {wanted}; there are {}",
        list_or(.candidates, "none of that name")
    )]
    NoVariant {
        /// The kit that holds the line.
        kit: String,
        /// The line's number.
        line: u32,
        /// The base part.
        part: String,
        /// What was looked for, in words.
        wanted: String,
        /// The base part's variants, with their attributes.
        candidates: Vec<String>,
    },
    /// More than one variant answers a line's choice.
    #[error(
        "kit {kit}, line {line}: more than one '{part}' has {wanted}: {}; choose by one more attribute",
        list(.candidates)
    )]
    ManyVariants {
        /// The kit that holds the line.
        kit: String,
        /// The line's number.
        line: u32,
        /// The base part.
        part: String,
        /// What was looked for, in words.
        wanted: String,
        /// The variants that answer, with their attributes.
        candidates: Vec<String>,
    },
    /// A line stands at a step that the kit does not have.
    #[error("kit {kit}, line {line} stands at step {step}, which is not a step of {top}")]
    UnknownStep {
        /// The kit that holds the line.
        kit: String,
        /// The line's number.
        line: u32,
        /// The step that it names.
        step: u32,
        /// The kit that is laid out.
        top: String,
    },
    /// Kits call for each other in a ring.
    #[error("kits call for each other in a ring: {}", .path.join(" > "))]
    Cycle {
        /// The codes from the first kit of the ring back to it.
        path: Vec<String>,
    },
    /// A line inside a stocked kit leaves open which part number goes in.
    #[error(
        "kit {kit}, line {line} is part of the stocked {stocked}, so it must name a part number: \
         '{item}' leaves it open"
    )]
    OpenLine {
        /// The kit that holds the line.
        kit: String,
        /// The part number that the stocked kit makes.
        stocked: PartNumber,
        /// The line's number.
        line: u32,
        /// What the line calls for.
        item: String,
    },
}

impl KitError {
    /// Returns the error's code, which stays the same for good.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::UnknownKit { .. } => "kits.unknown_kit",
            Self::UnknownNestedKit { .. } => "kits.unknown_nested_kit",
            Self::OptionMissing { .. } => "kits.option_missing",
            Self::OptionUnknown { .. } => "kits.option_unknown",
            Self::ValueUnknown { .. } => "kits.value_unknown",
            Self::LineOption { .. } => "kits.line_option",
            Self::NoVariant { .. } => "kits.no_variant",
            Self::ManyVariants { .. } => "kits.many_variants",
            Self::UnknownStep { .. } => "kits.unknown_step",
            Self::Cycle { .. } => "kits.cycle",
            Self::OpenLine { .. } => "kits.open_line",
        }
    }
}

fn list(values: &[String]) -> String {
    list_or(values, "none")
}

fn list_or(values: &[String], empty: &str) -> String {
    if values.is_empty() { empty.to_owned() } else { values.join(", ") }
}
