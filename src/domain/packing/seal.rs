use crate::domain::catalog::MissingClass;
use crate::domain::people::{Permission, Role};
use crate::units::Quantity;

/// One line of a carton, with what proves that it is inside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProofLine {
    /// The part in words.
    pub part: String,
    /// The assembly step, 0 for packing material.
    pub step: u32,
    /// Pieces that the kit needs.
    pub quantity: Quantity,
    /// Pieces scanned into the carton.
    pub packed: Quantity,
    /// Pieces that leave without, with a reason stated.
    pub short: Quantity,
}

/// A line that keeps its carton open.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{part}: {missing} of {quantity} not scanned into the carton")]
pub struct Unproved {
    /// The part in words.
    pub part: String,
    /// The assembly step.
    pub step: u32,
    /// Pieces without a proof.
    pub missing: Quantity,
    /// Pieces that the kit needs.
    pub quantity: Quantity,
}

/// Returns the lines that keep a carton open: those with a piece neither scanned into it nor
/// declared short. The carton may be sealed when there is none.
pub fn unproved(lines: &[ProofLine]) -> Vec<Unproved> {
    lines
        .iter()
        .filter_map(|line| {
            let missing = line.quantity.less(line.packed).less(line.short);
            missing.is_some().then(|| Unproved {
                part: line.part.clone(),
                step: line.step,
                missing,
                quantity: line.quantity,
            })
        })
        .collect()
}

/// Why a part may not be left out of a box.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ShortError {
    /// Papers and packing never follow later.
    #[error("{part} must not be left out: no box leaves without it")]
    Never {
        /// The part in words.
        part: String,
    },
    /// The rider could not build or ride without it.
    #[error("{part} {class}: only the owner may let the box leave without it")]
    OwnerOnly {
        /// The part in words.
        part: String,
        /// What its absence does, in words.
        class: &'static str,
    },
    /// A reason must be stated.
    #[error(
        "state why {part} is left out and when it follows: the receiver reads it on the packing list"
    )]
    NoReason {
        /// The part in words.
        part: String,
    },
    /// More than is missing.
    #[error("{part}: {asked} can't be left out, {missing} are not yet picked")]
    TooMany {
        /// The part in words.
        part: String,
        /// The quantity asked for.
        asked: Quantity,
        /// What is not yet picked.
        missing: Quantity,
    },
}

impl ShortError {
    /// Returns the error's code, which never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Never { .. } => "short.never",
            Self::OwnerOnly { .. } => "short.owner_only",
            Self::NoReason { .. } => "short.no_reason",
            Self::TooMany { .. } => "short.too_many",
        }
    }
}

/// Decides whether a box may leave without a part.
///
/// Parts that only look good may follow with a stated reason. What stops the build or the ride
/// takes the owner's word. Papers and packing never stay behind: the rider builds by them.
///
/// # Errors
///
/// [`ShortError`], which names the part and who may decide.
pub fn may_ship_short(
    part: &str,
    class: MissingClass,
    role: Role,
    reason: &str,
) -> Result<(), ShortError> {
    let part = part.to_owned();
    match class {
        MissingClass::MustNotLeave => return Err(ShortError::Never { part }),
        MissingClass::StopsBuild | MissingClass::StopsRide
            if !role.may(Permission::ShipWithoutNeeded) =>
        {
            return Err(ShortError::OwnerOnly { part, class: class.words() });
        }
        MissingClass::StopsBuild | MissingClass::StopsRide | MissingClass::LooksOnly => {}
    }
    if reason.trim().is_empty() {
        return Err(ShortError::NoReason { part });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(class: MissingClass, role: Role, reason: &str, expected: Option<&str>) {
        let refused = may_ship_short("Head badge", class, role, reason).err();
        assert_eq!(refused.map(|it| it.code()), expected, "{class:?} {role:?} '{reason}'");
    }

    #[test]
    fn only_looks_follow_on_a_packers_word_and_papers_never_stay_behind() {
        use MissingClass::{LooksOnly, MustNotLeave, StopsBuild, StopsRide};
        check(LooksOnly, Role::Warehouse, "follows on Tuesday", None);
        check(LooksOnly, Role::Warehouse, "  ", Some("short.no_reason"));
        check(StopsRide, Role::Warehouse, "follows on Tuesday", Some("short.owner_only"));
        check(StopsBuild, Role::Warehouse, "follows on Tuesday", Some("short.owner_only"));
        check(StopsBuild, Role::Owner, "the rider asked for it", None);
        check(StopsBuild, Role::Owner, "", Some("short.no_reason"));
        check(MustNotLeave, Role::Owner, "the rider asked for it", Some("short.never"));
    }

    #[test]
    fn a_line_keeps_its_carton_open_until_each_piece_is_proved_or_left_out() {
        let line = |packed: i64, short: i64| ProofLine {
            part: "Torsion arm (left)".to_owned(),
            step: 14,
            quantity: Quantity::new(2),
            packed: Quantity::new(packed),
            short: Quantity::new(short),
        };
        let open: Vec<String> = unproved(&[line(2, 0), line(1, 1), line(1, 0)])
            .iter()
            .map(ToString::to_string)
            .collect();
        assert_eq!(open, ["Torsion arm (left): 1 of 2 not scanned into the carton"]);
    }
}
