use super::check::check_pieces;
use crate::domain::statistics::{StatisticsError, real_of_count};

/// How demand comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SeriesClass {
    /// Often, and alike.
    Smooth,
    /// Often, in sizes that differ much.
    Erratic,
    /// Seldom, and alike.
    Intermittent,
    /// Seldom, in sizes that differ much.
    Lumpy,
}

impl SeriesClass {
    /// Returns the class in one word.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Smooth => "smooth",
            Self::Erratic => "erratic",
            Self::Intermittent => "intermittent",
            Self::Lumpy => "lumpy",
        }
    }
}

/// What a series looks like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    /// Pieces per period.
    pub mean: f64,
    /// Periods for each period with demand: the average interval of demand.
    pub interval: f64,
    /// The squared coefficient of variation of the sizes that were wanted, as of all there are.
    pub cv2: f64,
    /// The same, as of a sample; none for a single demand.
    pub cv2_sample: Option<f64>,
    /// How demand comes.
    pub class: SeriesClass,
}

/// The interval and squared variation from which on demand is seldom, and differs much.
const CUTS: (f64, f64) = (1.32, 0.49);

/// Returns what a series looks like, or `None` where nothing was ever wanted.
///
/// # Errors
///
/// [`StatisticsError`] when the series is empty or has a period below zero.
///
/// # Source
///
/// A. A. Syntetos, J. E. Boylan & J. D. Croston, *On the categorization of demand patterns*,
/// Journal of the Operational Research Society 56, 2005: cuts at 1.32 and 0.49.
///
/// ```
/// use kitwright::domain::forecast::{SeriesClass, classify};
/// let shape = classify(&[0.0, 0.0, 4.0, 0.0, 4.0])?.unwrap();
/// assert_eq!(shape.class, SeriesClass::Intermittent);
/// # Ok::<(), kitwright::domain::statistics::StatisticsError>(())
/// ```
pub fn classify(series: &[f64]) -> Result<Option<Shape>, StatisticsError> {
    check_pieces(series)?;
    let sizes: Vec<f64> = series.iter().copied().filter(|it| 0.0 < *it).collect();
    if sizes.is_empty() {
        return Ok(None);
    }
    let (count, periods) = (real_of_count(sizes.len()), real_of_count(series.len()));
    let total: f64 = sizes.iter().sum();
    let mean_size = total / count;
    let squares: f64 = sizes.iter().map(|it| (it / mean_size - 1.0).powi(2)).sum();
    let (interval, cv2) = (periods / count, squares / count);
    let class = match (interval < CUTS.0, cv2 < CUTS.1) {
        (true, true) => SeriesClass::Smooth,
        (true, false) => SeriesClass::Erratic,
        (false, true) => SeriesClass::Intermittent,
        (false, false) => SeriesClass::Lumpy,
    };
    let cv2_sample = (1 < sizes.len()).then(|| squares / (count - 1.0));
    Ok(Some(Shape { mean: total / periods, interval, cv2, cv2_sample, class }))
}
