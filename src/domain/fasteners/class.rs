use std::str::FromStr;

use crate::units::{Length, PressureUnit, Value};

use super::{FastenerError, MetricThread};

/// A strength of screws: a property class of carbon and alloy steel, or a stainless grade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct PropertyClass {
    name: &'static str,
    /// Nominal tensile strength and yield, from the designation, in MPa.
    nominal: (u32, u32),
    /// Least tensile strength and proof stress, in MPa.
    least: (u32, u32),
    /// The same above M16.
    thick: Option<(u32, u32)>,
}

/// The thickest thread of the thinner group.
const M16: Length = Length::from_micrometres(16_000);

const fn steel(name: &'static str, nominal: (u32, u32), least: (u32, u32)) -> PropertyClass {
    PropertyClass { name, nominal, least, thick: Some(least) }
}

const ALL: [PropertyClass; 12] = [
    steel("4.6", (400, 240), (400, 225)),
    steel("4.8", (400, 320), (420, 310)),
    steel("5.6", (500, 300), (500, 280)),
    steel("5.8", (500, 400), (520, 380)),
    steel("6.8", (600, 480), (600, 440)),
    PropertyClass { name: "8.8", nominal: (800, 640), least: (800, 580), thick: Some((830, 600)) },
    PropertyClass { name: "9.8", nominal: (900, 720), least: (900, 650), thick: None },
    steel("10.9", (1000, 900), (1040, 830)),
    steel("12.9", (1200, 1080), (1220, 970)),
    steel("A2-70", (700, 450), (700, 450)),
    steel("A4-70", (700, 450), (700, 450)),
    steel("A4-80", (800, 600), (800, 600)),
];

impl PropertyClass {
    /// Returns the designation, such as "8.8" or "A2-70".
    pub const fn name(self) -> &'static str {
        self.name
    }

    /// Returns the designations that are known, in words.
    pub(super) fn names() -> String {
        ALL.map(|it| it.name).join(", ")
    }

    /// Returns the nominal tensile strength.
    ///
    /// # Source
    ///
    /// ISO 898-1, clause 5: the first number of the designation times 100 MPa; ISO 3506-1: the
    /// number after the dash times 10 MPa.
    pub fn nominal_tensile(self) -> Value<PressureUnit> {
        Value::whole(self.nominal.0, PressureUnit::Megapascal)
    }

    /// Returns the nominal yield strength, or the 0.2 % proof strength.
    ///
    /// # Source
    ///
    /// ISO 898-1, clause 5: the first number times the second times 10 MPa; ISO 3506-1, table of
    /// mechanical properties, stress at 0.2 % permanent strain.
    pub fn nominal_yield(self) -> Value<PressureUnit> {
        Value::whole(self.nominal.1, PressureUnit::Megapascal)
    }

    /// Returns the least tensile strength of a screw of that thread.
    ///
    /// # Errors
    ///
    /// [`FastenerError::ClassSize`] for class 9.8 above M16.
    ///
    /// # Source
    ///
    /// ISO 898-1, table 3: 8.8 has 800 MPa up to M16 and 830 MPa above. Stainless grades after
    /// ISO 3506-1, their yield strengths from memory, unconfirmed.
    pub fn tensile(self, thread: &MetricThread) -> Result<Value<PressureUnit>, FastenerError> {
        let (tensile, _) = self.least(thread)?;
        Ok(Value::whole(tensile, PressureUnit::Megapascal))
    }

    /// Returns the stress under proof load of a screw of that thread; for stainless the stress at
    /// 0.2 % permanent strain.
    ///
    /// # Errors
    ///
    /// [`FastenerError::ClassSize`] for class 9.8 above M16.
    ///
    /// # Source
    ///
    /// ISO 898-1, table 3: 8.8 has 580 MPa up to M16 and 600 MPa above. Stainless grades after
    /// ISO 3506-1, their yield strengths from memory, unconfirmed.
    pub fn proof_stress(self, thread: &MetricThread) -> Result<Value<PressureUnit>, FastenerError> {
        let (_, proof) = self.least(thread)?;
        Ok(Value::whole(proof, PressureUnit::Megapascal))
    }

    fn least(self, thread: &MetricThread) -> Result<(u32, u32), FastenerError> {
        let not_made = || FastenerError::ClassSize { class: self.name, thread: thread.to_string() };
        match thread.diameter() <= M16 {
            true => Ok(self.least),
            false => self.thick.ok_or_else(not_made),
        }
    }
}

impl FromStr for PropertyClass {
    type Err = FastenerError;

    fn from_str(text: &str) -> Result<Self, FastenerError> {
        let name = text.trim().to_uppercase();
        let found = ALL.into_iter().find(|it| it.name == name);
        found.ok_or_else(|| FastenerError::Class { text: text.trim().to_owned() })
    }
}

#[cfg(test)]
mod tests {
    use crate::units::{ForceUnit, Rounding};

    use super::*;

    /// Checks that computed loads lie within 1.2 % of the printed ones, which are rounded.
    fn loads(thread: &str, class: &str, ultimate: i128, proof: i128) {
        let thread: MetricThread = thread.parse().expect("a thread");
        let class: PropertyClass = class.parse().expect("a class");
        let area = thread.stress_area().nominal();
        let near = |stress: Value<PressureUnit>, printed: i128| {
            let force = area.force_at(stress).expect("it fits").in_unit(ForceUnit::Newton);
            let newtons = force.parts(0, Rounding::Nearest).expect("it fits");
            assert!(
                (newtons - printed).abs() * 1000 <= printed * 12,
                "{thread} {newtons} {printed}"
            );
        };
        near(class.tensile(&thread).expect("made"), ultimate);
        near(class.proof_stress(&thread).expect("made"), proof);
    }

    #[test]
    fn loads_are_those_of_the_tables() {
        // ISO 898-1, tables 4 and 5: least ultimate loads and proof loads in N.
        loads("M3", "4.8", 2110, 1560);
        loads("M3", "6.8", 3020, 2210);
        loads("M3", "12.9", 6140, 4880);
        loads("M4", "8.8", 7020, 5100);
        loads("M4", "10.9", 9130, 7290);
        loads("M5", "8.8", 11_350, 8230);
        loads("M5", "10.9", 14_800, 11_800);
        loads("M6", "8.8", 16_100, 11_600);
        loads("M6", "12.9", 24_500, 19_500);
        loads("M8", "4.8", 15_400, 11_400);
        loads("M8", "8.8", 29_200, 21_200);
        loads("M10", "8.8", 46_400, 33_700);
        loads("M12", "8.8", 67_400, 48_900);
        loads("M12", "10.9", 87_700, 70_000);
    }

    #[test]
    fn designations_follow_the_rule() {
        let rule = |name: &str, tensile: u32, yields: u32| {
            let class: PropertyClass = name.parse().expect("a class");
            let stress = |it| Value::whole(it, PressureUnit::Megapascal);
            assert_eq!(class.nominal_tensile(), stress(tensile), "{name}");
            assert_eq!(class.nominal_yield(), stress(yields), "{name}");
        };
        for class in ALL.iter().filter(|it| !it.name.starts_with('A')) {
            let (first, second) = class.name.split_once('.').expect("two numbers");
            let (first, second): (u32, u32) =
                (first.parse().expect("a number"), second.parse().expect("a number"));
            rule(class.name, first * 100, first * second * 10);
        }
        rule("a2-70", 700, 450);
        rule("A4-80", 800, 600);
        for text in ["8.9", "", "A3-70", "8,8"] {
            assert_eq!(
                text.parse::<PropertyClass>().map_err(|it| it.code()),
                Err("fastener.class")
            );
        }
    }

    #[test]
    fn class_8_8_is_stronger_above_m16_and_9_8_ends_there() {
        let thread = |text: &str| text.parse::<MetricThread>().expect("a thread");
        let class = |text: &str| text.parse::<PropertyClass>().expect("a class");
        let proof = |name: &str, size: &str| class(name).proof_stress(&thread(size));
        let stress = |it| Ok(Value::whole(it, PressureUnit::Megapascal));
        assert_eq!(proof("8.8", "M16"), stress(580));
        assert_eq!(proof("8.8", "M18"), stress(600));
        assert_eq!(class("8.8").tensile(&thread("M18")), stress(830));
        assert_eq!(proof("9.8", "M16"), stress(650));
        assert_eq!(proof("9.8", "M18").map_err(|it| it.code()), Err("fastener.class_size"));
    }
}
