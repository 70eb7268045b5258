/// Why nothing can be planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NettingError {
    /// A part's place beyond the list of parts.
    #[error("part {part} is named, and there are {parts}")]
    UnknownPart {
        /// Its place, from 0.
        part: usize,
        /// How many parts there are.
        parts: usize,
    },
    /// A period beyond the plan.
    #[error("period {period} is named, and the plan has {periods}")]
    UnknownPeriod {
        /// Its place, from 0.
        period: usize,
        /// How many periods there are.
        periods: usize,
    },
    /// Parts and quantities that are not equally many.
    #[error("there are {parts} parts and {quantities} quantities: each line needs both")]
    Uneven {
        /// How many parts.
        parts: usize,
        /// How many quantities.
        quantities: usize,
    },
    /// A part that goes into itself.
    #[error("part {part} goes into itself, directly or through others")]
    Circle {
        /// Its place, from 0.
        part: usize,
    },
    /// A quantity below zero.
    #[error("part {part}: no quantity may be below zero")]
    Negative {
        /// Its place, from 0.
        part: usize,
    },
    /// More pieces than can be counted.
    #[error("part {part} is wanted more often than can be counted")]
    Overflow {
        /// Its place, from 0.
        part: usize,
    },
    /// A plan that would not fit in memory.
    #[error("{cells} cells of part and period are more than the {most} of one plan")]
    TooLarge {
        /// Parts times periods.
        cells: usize,
        /// The most there may be.
        most: usize,
    },
}

/// Adds what each line wants to the sum of its part: one level of gross requirements, in pieces.
///
/// The lines stand in two slices side by side, eight bytes a line, and each is looked at once.
///
/// # Errors
///
/// [`NettingError::Uneven`], and [`NettingError::UnknownPart`] when a line names a part that has no
/// sum; the sums then hold the lines before it.
///
/// ```
/// use kitwright::domain::netting::add_up;
/// let mut sums = [0; 3];
/// add_up(&[0, 2, 0], &[4, 1, 2], &mut sums)?;
/// assert_eq!(sums, [6, 0, 1]);
/// # Ok::<(), kitwright::domain::netting::NettingError>(())
/// ```
pub fn add_up(parts: &[u32], quantities: &[u32], sums: &mut [i64]) -> Result<(), NettingError> {
    if parts.len() != quantities.len() {
        let (parts, quantities) = (parts.len(), quantities.len());
        return Err(NettingError::Uneven { parts, quantities });
    }
    let count = sums.len();
    for (part, quantity) in parts.iter().zip(quantities) {
        let at = usize::try_from(*part).unwrap_or(usize::MAX);
        let Some(sum) = sums.get_mut(at) else {
            return Err(NettingError::UnknownPart { part: at, parts: count });
        };
        *sum = sum.wrapping_add(i64::from(*quantity));
    }
    Ok(())
}

/// Returns what each part lacks once its stock and what is to come are used, in pieces, never below
/// zero; a part without an entry has none.
pub fn lacking(gross: &[i64], supply: &[i64]) -> Vec<i64> {
    let supply = supply.iter().copied().chain(std::iter::repeat(0));
    gross.iter().zip(supply).map(|(wanted, there)| wanted.saturating_sub(there).max(0)).collect()
}
