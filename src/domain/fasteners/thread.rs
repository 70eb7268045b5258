use std::fmt;
use std::str::FromStr;

use crate::units::{ForceUnit, Length, PressureUnit, Ratio, Rounding, Value};

use super::FastenerError;

/// A metric thread of ISO 68-1 profile, with the length of the screw where it is named.
///
/// ```
/// use kitwright::domain::fasteners::MetricThread;
/// use kitwright::units::Length;
/// let bolt: MetricThread = "M6x1.0x14".parse()?;
/// assert_eq!(bolt.length(), Some(Length::from_micrometres(14_000)));
/// assert_eq!(bolt.to_string(), "M6×14");
/// # Ok::<(), kitwright::domain::fasteners::FastenerError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MetricThread {
    diameter: Length,
    pitch: Length,
    length: Option<Length>,
}

/// Diameters and their coarse pitches, in µm.
///
/// # Source
///
/// ISO 261 and ISO 262, coarse series, M1 to M64.
const COARSE: [(i64, i64); 38] = [
    (1000, 250),
    (1100, 250),
    (1200, 250),
    (1400, 300),
    (1600, 350),
    (1800, 350),
    (2000, 400),
    (2200, 450),
    (2500, 450),
    (3000, 500),
    (3500, 600),
    (4000, 700),
    (4500, 750),
    (5000, 800),
    (6000, 1000),
    (7000, 1000),
    (8000, 1250),
    (9000, 1250),
    (10_000, 1500),
    (11_000, 1500),
    (12_000, 1750),
    (14_000, 2000),
    (16_000, 2000),
    (18_000, 2500),
    (20_000, 2500),
    (22_000, 2500),
    (24_000, 3000),
    (27_000, 3000),
    (30_000, 3500),
    (33_000, 3500),
    (36_000, 4000),
    (39_000, 4000),
    (42_000, 4500),
    (45_000, 4500),
    (48_000, 5000),
    (52_000, 5000),
    (56_000, 5500),
    (64_000, 6000),
];

/// The thickest thread that is taken, in µm: ISO 261 ends at M300.
const MOST_DIAMETER: i64 = 300_000;

fn coarse_pitch(diameter: Length) -> Option<Length> {
    let found = COARSE.iter().find(|(it, _)| *it == diameter.micrometres());
    found.map(|(_, pitch)| Length::from_micrometres(*pitch))
}

/// Returns the number of millimetres, without the unit.
fn millimetres(length: Length) -> String {
    length.to_string().trim_end_matches(" mm").to_owned()
}

impl MetricThread {
    /// Returns the thread of a diameter, with its coarse pitch where none is given.
    ///
    /// # Errors
    ///
    /// [`FastenerError::NoCoarsePitch`] when none is given and the diameter has no coarse one;
    /// [`FastenerError::Pitch`] when the pitch is coarser than the coarse one, or than a quarter of the
    /// diameter where there is none; [`FastenerError::Length`] when the length is not above the pitch.
    pub fn new(
        diameter: Length,
        pitch: Option<Length>,
        length: Option<Length>,
    ) -> Result<Self, FastenerError> {
        let name = format!("M{}", millimetres(diameter));
        if !(1..=MOST_DIAMETER).contains(&diameter.micrometres()) {
            return Err(FastenerError::Designation { text: name });
        }
        let coarse = coarse_pitch(diameter);
        let no_pitch = || FastenerError::NoCoarsePitch { diameter: millimetres(diameter) };
        let pitch = pitch.or(coarse).ok_or_else(no_pitch)?;
        let most = coarse.unwrap_or(Length::from_micrometres(diameter.micrometres() / 4));
        if pitch == Length::ZERO || most < pitch {
            let (pitch, most) = (pitch.to_string(), most.to_string());
            return Err(FastenerError::Pitch { pitch, thread: name, most });
        }
        if let Some(length) = length.filter(|it| *it <= pitch) {
            let (length, pitch) = (length.to_string(), pitch.to_string());
            return Err(FastenerError::Length { length, pitch });
        }
        Ok(Self { diameter, pitch, length })
    }

    /// Returns the nominal diameter.
    pub const fn diameter(&self) -> Length {
        self.diameter
    }

    /// Returns the pitch.
    pub const fn pitch(&self) -> Length {
        self.pitch
    }

    /// Returns the length of the screw: under the head, or overall for a flat or a set screw.
    pub const fn length(&self) -> Option<Length> {
        self.length
    }

    /// Returns whether the pitch is the coarse one.
    pub fn is_coarse(&self) -> bool {
        coarse_pitch(self.diameter) == Some(self.pitch)
    }

    /// Returns the stress area, to the nearest µm² (10⁻⁶ mm²).
    ///
    /// # Source
    ///
    /// ISO 898-1, 9.1.6.1: A = π/4 · (d − 0.9382 · P)². π is taken to 16 digits.
    pub fn stress_area(&self) -> StressArea {
        let (diameter, pitch) = (self.diameter.micrometres(), self.pitch.micrometres());
        // In 10⁻⁴ µm; at most 3 × 10⁹, so that the product below has at most 35 digits.
        let mean = i128::from(diameter) * 10_000 - i128::from(pitch) * 9_382;
        let quarter_pi = Ratio::new(3_141_592_653_589_793, 4 * 10_i128.pow(15));
        let area = Ratio::new(mean * mean, 10_i128.pow(8))
            .zip(quarter_pi)
            .and_then(|(square, pi)| square.times(pi)?.parts(0, Rounding::Nearest))
            .and_then(|it| i64::try_from(it).ok());
        StressArea(area.unwrap_or(0))
    }
}

/// The area of a thread that carries the load, in whole µm².
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct StressArea(i64);

impl StressArea {
    /// Returns the exact number of mm².
    pub fn square_millimetres(self) -> Ratio {
        Ratio::new(self.0.into(), 1_000_000).unwrap_or(Ratio::ZERO)
    }

    /// Returns the area as tables print it and as loads are computed from it: to three significant
    /// digits.
    ///
    /// # Source
    ///
    /// ISO 898-1, tables 4 to 7, nominal stress areas.
    pub fn nominal(self) -> Self {
        let mut step = 1;
        while 1000 * step <= self.0 {
            step *= 10;
        }
        Self((self.0 + step / 2) / step * step)
    }

    /// Returns the force that puts the area under a stress.
    pub fn force_at(self, stress: Value<PressureUnit>) -> Option<Value<ForceUnit>> {
        let newtons = self.square_millimetres().times(stress.in_unit(PressureUnit::Megapascal))?;
        Value::new(newtons, ForceUnit::Newton)
    }

    /// Returns the stress that a force puts the area under.
    pub fn stress_at(self, force: Value<ForceUnit>) -> Option<Value<PressureUnit>> {
        let stress = force.in_unit(ForceUnit::Newton).over(self.square_millimetres())?;
        Value::new(stress, PressureUnit::Megapascal)
    }
}

impl FromStr for MetricThread {
    type Err = FastenerError;

    /// Reads "M6", "M8×1", "M6×14", "M5x0.8x18".
    ///
    /// A single figure after the diameter is the pitch where it is no more than the coarse pitch,
    /// and otherwise the length: no screw is shorter than its pitch.
    fn from_str(text: &str) -> Result<Self, FastenerError> {
        let fault = || FastenerError::Designation { text: text.trim().to_owned() };
        let body = text.trim().strip_prefix(['M', 'm']).ok_or_else(fault)?;
        let figures = body
            .split(['x', 'X', '×', '*'])
            .map(|it| Length::parse_millimetres(&it.replace(',', ".")).map_err(|_| fault()))
            .collect::<Result<Vec<Length>, FastenerError>>()?;
        match figures.as_slice() {
            [diameter] => Self::new(*diameter, None, None),
            [diameter, figure] => match coarse_pitch(*diameter) {
                Some(coarse) if coarse < *figure => Self::new(*diameter, None, Some(*figure)),
                _ => Self::new(*diameter, Some(*figure), None),
            },
            [diameter, pitch, length] => Self::new(*diameter, Some(*pitch), Some(*length)),
            _ => Err(fault()),
        }
    }
}

impl fmt::Display for MetricThread {
    /// Writes "M6", "M6×14", "M8×1" or "M8×1×20": the coarse pitch is left out.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "M{}", millimetres(self.diameter))?;
        if !self.is_coarse() {
            write!(f, "×{}", millimetres(self.pitch))?;
        }
        match self.length {
            Some(length) => write!(f, "×{}", millimetres(length)),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reads(text: &str, pitch: i64, length: Option<i64>, written: &str) {
        let thread: MetricThread = text.parse().unwrap_or_else(|fault| panic!("{text}: {fault}"));
        assert_eq!(thread.pitch().micrometres(), pitch, "{text}");
        assert_eq!(thread.length().map(Length::micrometres), length, "{text}");
        assert_eq!(thread.to_string(), written, "{text}");
        assert_eq!(written.parse(), Ok(thread), "{text}");
    }

    fn refused(text: &str, code: &str) {
        let read = text.parse::<MetricThread>().map_err(|it| it.code());
        assert_eq!(read, Err(code), "{text}");
    }

    #[test]
    fn designations_are_read() {
        reads("M6", 1000, None, "M6");
        reads("M6x1", 1000, None, "M6");
        reads("M6×1.0×14", 1000, Some(14_000), "M6×14");
        reads("M5x0.8x18", 800, Some(18_000), "M5×18");
        reads("m5 x 0,8 x 18", 800, Some(18_000), "M5×18");
        reads("M6x14", 1000, Some(14_000), "M6×14");
        reads("M10x1", 1000, None, "M10×1");
        reads("M10x1x30", 1000, Some(30_000), "M10×1×30");
        reads("M2.5", 450, None, "M2.5");
        reads("M20X6", 2500, Some(6000), "M20×6");
        reads("M15x1", 1000, None, "M15×1");
        refused("M15", "fastener.coarse_pitch");
        refused("M6x1.25x20", "fastener.pitch");
        refused("M6x0", "fastener.pitch");
        refused("M6x1x0.5", "fastener.length");
        refused("M15x20", "fastener.pitch");
        refused("M0", "fastener.thread");
        refused("M999", "fastener.thread");
        refused("6", "fastener.thread");
        refused("M6-6g", "fastener.thread");
        refused("M6x1x14x2", "fastener.thread");
    }

    #[test]
    fn stress_areas_are_those_of_the_tables() {
        // ISO 898-1, tables 4 and 5: nominal stress areas in mm².
        for (thread, area) in [
            ("M3", "5.03"),
            ("M3.5", "6.78"),
            ("M4", "8.78"),
            ("M5", "14.2"),
            ("M6", "20.1"),
            ("M7", "28.9"),
            ("M8", "36.6"),
            ("M10", "58"),
            ("M12", "84.3"),
            ("M14", "115"),
            ("M16", "157"),
            ("M18", "192"),
            ("M20", "245"),
            ("M22", "303"),
            ("M24", "353"),
            ("M27", "459"),
            ("M30", "561"),
            ("M33", "694"),
            ("M36", "817"),
            ("M39", "976"),
            ("M8x1", "39.2"),
            ("M10x1.25", "61.2"),
        ] {
            let computed = thread.parse::<MetricThread>().expect("a thread").stress_area();
            let nominal = computed.nominal().square_millimetres();
            assert_eq!(nominal.significant(4), area, "{thread}");
        }
    }
}
