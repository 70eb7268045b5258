use super::service::Supply;
use crate::domain::statistics::{StatisticsError, at_least_zero, finite, positive, real, whole_up};
use crate::units::Quantity;

/// Returns how many cards, each for one container, keep a part flowing; as computed, and as a whole
/// number of cards, rounded up.
///
/// # Errors
///
/// [`StatisticsError`] when a figure is below zero, or the container holds nothing.
///
/// # Source
///
/// N = D·L·(1 + a)/C, common practice; Silver, Pyke & Thomas, *Inventory and Production Management
/// in Supply Chains*, 4th ed., §16.6.
///
/// ```
/// use kitwright::domain::reorder::kanban_cards;
/// // 400 a day, half a day, a tenth for safety, 25 in a container.
/// assert_eq!(kanban_cards(400.0, 0.5, 0.1, 25.0)?.1, 9);
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
pub fn kanban_cards(
    demand: f64,
    lead_time: f64,
    safety: f64,
    container: f64,
) -> Result<(f64, i64), StatisticsError> {
    let demand = at_least_zero("the demand", demand)?;
    let lead_time = at_least_zero("the lead time", lead_time)?;
    let safety = at_least_zero("the safety fraction", safety)?;
    let container = positive("the container's quantity", container)?;
    let raw = finite("the number of cards", demand * lead_time * (1.0 + safety) / container)?;
    Ok((raw, whole_up(raw)?))
}

/// Two bins of a part: the first is used until it is empty, then its card orders it full again
/// while the second is used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TwoBins {
    /// The least that each bin must hold, so that it lasts until an order comes, in whole pieces.
    pub least: Quantity,
    /// Full containers that make up one bin.
    pub containers: i64,
    /// Pieces in one full bin, and of one order.
    pub bin: Quantity,
    /// Cards in all: one for each container of both bins.
    pub cards: i64,
}

/// Returns the size of two bins for demand at its peak, in whole containers.
///
/// # Errors
///
/// [`StatisticsError`] when a figure is out of range.
///
/// # Source
///
/// The two-bin form of the (s, Q) policy: Silver, Pyke & Thomas, 4th ed., §6.3.1.
///
/// ```
/// use kitwright::domain::reorder::{Supply, two_bins};
/// use kitwright::units::Quantity;
/// let peak = Supply { demand: 35.4, demand_sd: 15.93, lead_time: 21.0, lead_time_sd: 6.0 };
/// let bins = two_bins(&peak, 0.999, Quantity::new(200))?;
/// assert_eq!((bins.least.pieces(), bins.bin.pieces(), bins.cards), (1438, 1600, 16));
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
pub fn two_bins(
    peak: &Supply,
    level: f64,
    container: Quantity,
) -> Result<TwoBins, StatisticsError> {
    let pieces = positive("the container's quantity", real(container.pieces()))?;
    let least = whole_up(peak.by_cycle_service(level)?.reorder_point)?.max(1);
    let containers = whole_up(real(least) / pieces)?;
    let bin = Quantity::new(containers).times(container);
    Ok(TwoBins { least: Quantity::new(least), containers, bin, cards: 2 * containers })
}
