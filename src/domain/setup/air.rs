use std::fmt;

use crate::domain::catalog::Attributes;
use crate::domain::codes::PartNumber;
use crate::units::{MassUnit, Pressure, PressureUnit, Ratio, Rounding, StatedMass};

/// A maker's chart: which pressure for which rider.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AirChart {
    /// Its code, "AIR-T12".
    pub code: String,
    /// The part that it is for.
    pub item: ChartItem,
    /// For a base part, the attributes of its variants that the chart is for.
    pub choose: Attributes,
    /// The pressure that must never be passed.
    pub maximum: Pressure,
    /// The document that states it.
    pub source: String,
    /// The rows, by rising mass.
    pub rows: Vec<AirRow>,
}

/// What a chart is for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ChartItem {
    /// One part number.
    PartNumber(PartNumber),
    /// Variants of a base part.
    Part(String),
}

impl fmt::Display for ChartItem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PartNumber(number) => number.fmt(f),
            Self::Part(name) => f.write_str(name),
        }
    }
}

/// One row of a chart: riders of at least `from` and less than `to`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AirRow {
    /// The least mass of rider, clothes and pack.
    pub from: StatedMass,
    /// The mass at which the next row begins; in the last row it counts too.
    pub to: StatedMass,
    /// The pressure to pump.
    pub pressure: Pressure,
}

/// Why a chart can't be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ChartError {
    /// A row passes the maximum.
    #[error(
        "{pressure} is above the maker's maximum of {maximum}: check the row against the maker's sheet"
    )]
    AboveMaximum {
        /// The row's pressure, as stated.
        pressure: String,
        /// The maximum, as stated.
        maximum: String,
    },
    /// A row ends where it begins, or before.
    #[error("the row reaches from {from} to {to}: write the lower mass first")]
    Backwards {
        /// Where it begins, as stated.
        from: String,
        /// Where it ends, as stated.
        to: String,
    },
    /// A row does not begin where the one before it ends.
    #[error(
        "the row begins at {from}, and the row before ends at {to}: each row begins where the one before ends"
    )]
    Gap {
        /// Where it begins, as stated.
        from: String,
        /// Where the row before ends, as stated.
        to: String,
    },
}

impl AirChart {
    /// Returns what is wrong with a row that follows `before` in this chart.
    ///
    /// # Errors
    ///
    /// [`ChartError`].
    pub fn check_row(&self, before: Option<&AirRow>, row: &AirRow) -> Result<(), ChartError> {
        if self.maximum.value() < row.pressure.value() {
            let (pressure, maximum) = (row.pressure.to_string(), self.maximum.to_string());
            return Err(ChartError::AboveMaximum { pressure, maximum });
        }
        if row.to.value() <= row.from.value() {
            return Err(ChartError::Backwards {
                from: row.from.to_string(),
                to: row.to.to_string(),
            });
        }
        match before {
            Some(before) if before.to.value() != row.from.value() => {
                Err(ChartError::Gap { from: row.from.to_string(), to: before.to.to_string() })
            }
            _ => Ok(()),
        }
    }

    /// Returns whether the chart is for that variant.
    pub fn is_for(&self, number: &str, part: &str, attributes: &Attributes) -> bool {
        match &self.item {
            ChartItem::PartNumber(it) => it.as_str() == number,
            ChartItem::Part(name) => {
                name == part
                    && self.choose.iter().all(|(name, value)| attributes.get(name) == Some(value))
            }
        }
    }

    /// Returns the row for a rider; none where the chart does not reach so far.
    pub fn row_for(&self, rider: &StatedMass) -> Option<&AirRow> {
        let mass = rider.value();
        let within = |it: &&AirRow| it.from.value() <= mass && mass < it.to.value();
        let last = || self.rows.last().filter(|it| it.to.value() == mass);
        self.rows.iter().find(within).or_else(last)
    }
}

impl AirRow {
    /// Returns the row's riders in kilograms and in pounds, to the nearest whole.
    pub fn riders(&self) -> String {
        let whole = |it: &StatedMass, unit| it.value().in_unit(unit).decimal(0, Rounding::Nearest);
        let span = |unit| format!("{}–{}", whole(&self.from, unit), whole(&self.to, unit));
        format!("{} kg / {} lb", span(MassUnit::Kilogram), span(MassUnit::Pound))
    }
}

/// Returns a pressure in bar and in psi, each rounded down, so that neither passes what is stated.
pub fn both_units(pressure: &Pressure) -> String {
    let down = |unit, places| pressure.value().in_unit(unit).decimal(places, Rounding::Down);
    format!(
        "{} bar / {} psi",
        down(PressureUnit::Bar, 1),
        down(PressureUnit::PoundPerSquareInch, 0)
    )
}

/// Returns whether a mass is one that a rider may have: more than nothing, and under 500 kg.
pub fn is_a_rider(mass: &StatedMass) -> bool {
    let kilograms = mass.value().in_unit(MassUnit::Kilogram);
    Ratio::ZERO < kilograms && kilograms < Ratio::whole(500)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(from: &str, to: &str, pressure: &str) -> AirRow {
        AirRow {
            from: from.parse().unwrap(),
            to: to.parse().unwrap(),
            pressure: pressure.parse().unwrap(),
        }
    }

    fn chart() -> AirChart {
        AirChart {
            code: "AIR-T12".to_owned(),
            item: ChartItem::Part("Fork".to_owned()),
            choose: "build=T12".parse().unwrap(),
            maximum: "120 psi".parse().unwrap(),
            source: "sheet".to_owned(),
            rows: vec![row("50 kg", "60 kg", "55 psi"), row("60 kg", "70 kg", "65 psi")],
        }
    }

    fn check(mass: &str, pressure: Option<&str>) {
        let found = chart().row_for(&mass.parse().unwrap()).map(|it| both_units(&it.pressure));
        assert_eq!(found.as_deref(), pressure, "{mass}");
    }

    #[test]
    fn the_row_is_the_one_that_the_exact_mass_falls_in() {
        check("49.9 kg", None);
        check("50 kg", Some("3.7 bar / 55 psi"));
        check("59.99 kg", Some("3.7 bar / 55 psi"));
        check("60 kg", Some("4.4 bar / 65 psi"));
        check("132 lb", Some("3.7 bar / 55 psi"));
        check("133 lb", Some("4.4 bar / 65 psi"));
        check("70 kg", Some("4.4 bar / 65 psi"));
        check("70.1 kg", None);
    }

    #[test]
    fn no_printed_figure_passes_the_maximum() {
        for text in ["120 psi", "8.27 bar", "100 psi", "7 bar", "0.8 MPa"] {
            let stated: Pressure = text.parse().unwrap();
            let shown = both_units(&stated);
            let (bar, psi) = shown.split_once(" / ").unwrap();
            for figure in [bar, psi] {
                let figure: Pressure = figure.parse().unwrap();
                assert!(figure.value() <= stated.value(), "{text}: {shown}");
            }
        }
    }

    #[test]
    fn rows_rise_without_gaps_and_stay_below_the_maximum() {
        let chart = chart();
        let last = chart.rows.last();
        let fault = |it: AirRow| chart.check_row(last, &it).unwrap_err().to_string();
        assert_eq!(chart.check_row(last, &row("70 kg", "80 kg", "120 psi")), Ok(()));
        assert!(
            fault(row("70 kg", "80 kg", "8.3 bar"))
                .contains("above the maker's maximum of 120 psi")
        );
        assert!(fault(row("71 kg", "80 kg", "70 psi")).contains("the row before ends at 70 kg"));
        assert!(fault(row("80 kg", "70 kg", "70 psi")).contains("lower mass first"));
    }

    #[test]
    fn a_chart_is_for_its_own_fork_alone() {
        let attributes = |text: &str| text.parse::<Attributes>().unwrap();
        assert!(chart().is_for("FK104J", "Fork", &attributes("build=T12; size=M")));
        assert!(!chart().is_for("FK107D", "Fork", &attributes("build=T15; size=M")));
        assert!(!chart().is_for("SH1016", "Shock", &attributes("build=T12")));
    }
}
