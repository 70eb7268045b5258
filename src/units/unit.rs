use std::fmt::Debug;
use std::hash::Hash;

use super::Ratio;

/// What a measure measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Force at a lever.
    Torque,
    /// Force.
    Force,
    /// Length.
    Length,
    /// Mass.
    Mass,
    /// Force on an area.
    Pressure,
    /// Force for each length that a spring gives.
    SpringRate,
    /// Volume.
    Volume,
}

impl Dimension {
    /// Returns the dimension with its article, for a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Torque => "a torque",
            Self::Force => "a force",
            Self::Length => "a length",
            Self::Mass => "a mass",
            Self::Pressure => "a pressure",
            Self::SpringRate => "a spring rate",
            Self::Volume => "a volume",
        }
    }

    /// Returns how such a measure is written.
    pub const fn example(self) -> &'static str {
        match self {
            Self::Torque => "5.5 N·m or 75 in·lbf",
            Self::Force => "250 N or 56 lbf",
            Self::Length => "31.8 mm or 1-1/8 in",
            Self::Mass => "440 g or 14.2 lb",
            Self::Pressure => "6.9 bar or 100 psi",
            Self::SpringRate => "70 N/mm or 400 lbf/in",
            Self::Volume => "150 cm³ or 9 in³",
        }
    }
}

/// A unit of one dimension.
pub trait Unit: Copy + Ord + Hash + Debug + 'static {
    /// What it measures.
    const DIMENSION: Dimension;

    /// Every unit of the dimension.
    const ALL: &'static [Self];

    /// Returns the unit as it is written.
    fn symbol(self) -> &'static str;

    /// Returns how much of the dimension's SI unit one of it is, exactly.
    fn factor(self) -> Ratio;

    /// Returns the unit, where it is one of this dimension.
    fn of(unit: AnyUnit) -> Option<Self>;
}

// NIST SP 811 (2008), appendix B: these are exact by definition.
const INCH: Ratio = Ratio::constant(254, 10_000);
const FOOT: Ratio = product(INCH, Ratio::constant(12, 1));
const POUND: Ratio = Ratio::constant(45_359_237, 100_000_000);
const GRAVITY: Ratio = Ratio::constant(980_665, 100_000);
const POUND_FORCE: Ratio = product(POUND, GRAVITY);

const fn product(a: Ratio, b: Ratio) -> Ratio {
    match a.times(b) {
        Some(it) => it,
        None => panic!("a factor fits"),
    }
}

const fn quotient(a: Ratio, b: Ratio) -> Ratio {
    match a.over(b) {
        Some(it) => it,
        None => panic!("a factor fits"),
    }
}

/// Defines the units of every dimension, and the enum of all of them.
macro_rules! units {
    ($(
        $(#[$doc:meta])* $name:ident is $dimension:ident {
            $($unit:ident $symbol:literal = $factor:expr;)+
        }
    )+) => {
        /// A unit of any dimension, as its name was read.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum AnyUnit {
            $(
                #[doc = concat!("A unit of the dimension ", stringify!($dimension), ".")]
                $dimension($name),
            )+
        }

        impl AnyUnit {
            /// Returns what it measures.
            pub const fn dimension(self) -> Dimension {
                match self { $(Self::$dimension(_) => Dimension::$dimension,)+ }
            }

            /// Returns the unit as it is written.
            pub fn symbol(self) -> &'static str {
                match self { $(Self::$dimension(it) => it.symbol(),)+ }
            }

            /// Returns how much of the dimension's SI unit one of it is, exactly.
            pub fn factor(self) -> Ratio {
                match self { $(Self::$dimension(it) => it.factor(),)+ }
            }
        }

        $(
            $(#[$doc])*
            #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
            pub enum $name {
                $(#[doc = concat!("Written ", $symbol, ".")] $unit,)+
            }

            impl Unit for $name {
                const DIMENSION: Dimension = Dimension::$dimension;
                const ALL: &'static [Self] = &[$(Self::$unit,)+];

                fn symbol(self) -> &'static str {
                    match self { $(Self::$unit => $symbol,)+ }
                }

                fn factor(self) -> Ratio {
                    match self { $(Self::$unit => const { $factor },)+ }
                }

                fn of(unit: AnyUnit) -> Option<Self> {
                    match unit {
                        AnyUnit::$dimension(it) => Some(it),
                        _ => None,
                    }
                }
            }
        )+
    };
}

units! {
    /// A unit of torque; one N·m is the SI unit.
    ///
    /// # Source
    ///
    /// NIST SP 811 (2008), appendix B: 1 in = 25.4 mm, 1 lb = 0.45359237 kg and standard gravity
    /// 9.80665 m/s² are exact, and every factor here follows from them without rounding.
    TorqueUnit is Torque {
        NewtonMetre "N·m" = Ratio::ONE;
        InchPound "in·lbf" = product(POUND_FORCE, INCH);
        FootPound "ft·lbf" = product(POUND_FORCE, FOOT);
        KilogramForceCentimetre "kgf·cm" = product(GRAVITY, Ratio::constant(1, 100));
        KilogramForceMetre "kgf·m" = GRAVITY;
    }

    /// A unit of force; one N is the SI unit. Factors as of [`TorqueUnit`].
    ForceUnit is Force {
        Newton "N" = Ratio::ONE;
        Kilonewton "kN" = Ratio::constant(1000, 1);
        PoundForce "lbf" = POUND_FORCE;
        KilogramForce "kgf" = GRAVITY;
    }

    /// A unit of length; one m is the SI unit. Factors as of [`TorqueUnit`].
    LengthUnit is Length {
        Millimetre "mm" = Ratio::constant(1, 1000);
        Centimetre "cm" = Ratio::constant(1, 100);
        Metre "m" = Ratio::ONE;
        Inch "in" = INCH;
        Foot "ft" = FOOT;
    }

    /// A unit of mass; one kg is the SI unit. Factors as of [`TorqueUnit`]; 16 oz are 1 lb.
    MassUnit is Mass {
        Gram "g" = Ratio::constant(1, 1000);
        Kilogram "kg" = Ratio::ONE;
        Milligram "mg" = Ratio::constant(1, 1_000_000);
        Pound "lb" = POUND;
        Ounce "oz" = quotient(POUND, Ratio::constant(16, 1));
    }

    /// A unit of pressure and of stress; one Pa is the SI unit. Factors as of [`TorqueUnit`]; 1 bar
    /// = 100 kPa and 1 atm = 101325 Pa are exact as well.
    PressureUnit is Pressure {
        Bar "bar" = Ratio::constant(100_000, 1);
        PoundPerSquareInch "psi" = quotient(quotient(POUND_FORCE, INCH), INCH);
        Kilopascal "kPa" = Ratio::constant(1000, 1);
        Megapascal "MPa" = Ratio::constant(1_000_000, 1);
        Pascal "Pa" = Ratio::ONE;
        Atmosphere "atm" = Ratio::constant(101_325, 1);
    }

    /// A unit of spring rate; one N/m is the SI unit. Factors as of [`TorqueUnit`].
    SpringRateUnit is SpringRate {
        NewtonPerMillimetre "N/mm" = Ratio::constant(1000, 1);
        PoundForcePerInch "lbf/in" = quotient(POUND_FORCE, INCH);
    }

    /// A unit of volume; one m³ is the SI unit. Factors as of [`TorqueUnit`].
    VolumeUnit is Volume {
        CubicMillimetre "mm³" = Ratio::constant(1, 1_000_000_000);
        CubicCentimetre "cm³" = Ratio::constant(1, 1_000_000);
        Litre "L" = Ratio::constant(1, 1000);
        CubicInch "in³" = product(product(INCH, INCH), INCH);
    }
}
