use std::str::FromStr;

use crate::units::Length;

/// Where a bar code is read, and so how large it has to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Use {
    /// EAN-13 (or UPC-A) at a shop's till.
    Ean13Retail,
    /// EAN-8 at a shop's till.
    Ean8Retail,
    /// EAN-13 in warehouses too.
    Ean13General,
    /// ITF-14 on a case.
    Itf14General,
    /// GS1-128 on a case.
    Gs1128General,
    /// GS1-128 on a logistic unit.
    Gs1128Logistic,
}

/// The limits of a use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SizeRule {
    /// The narrowest module, in micrometres.
    pub least_module_um: i64,
    /// The widest.
    pub most_module_um: i64,
    /// The least height of the bars, at modules of that width; between two, in proportion.
    pub heights_um: &'static [[i64; 2]],
    /// The quiet zones left and right, in modules.
    pub quiet: [i64; 2],
}

impl Use {
    /// Every use, with the name that layouts and `calc` give it.
    pub const ALL: [(&'static str, Self); 6] = [
        ("EAN13_retail", Self::Ean13Retail),
        ("EAN8_retail", Self::Ean8Retail),
        ("EAN13_general", Self::Ean13General),
        ("ITF14_general", Self::Itf14General),
        ("GS1128_general", Self::Gs1128General),
        ("GS1128_logistic", Self::Gs1128Logistic),
    ];

    /// Returns the name that layouts and `calc` give it.
    pub fn name(self) -> &'static str {
        Self::ALL.into_iter().find(|(_, it)| *it == self).map_or("", |(name, _)| name)
    }

    /// Returns the limits.
    ///
    /// # Source
    ///
    /// GS1 General Specifications, symbol specification tables 1, 2 and 5, as in the size guide of
    /// GS1 Sweden: modules with the heights that belong to them. The modules of a logistic unit
    /// (0.495 to 0.940 mm) are from memory, unconfirmed.
    pub const fn rule(self) -> SizeRule {
        let (least_module_um, most_module_um, heights_um, quiet): (_, _, &'static [[i64; 2]], _) =
            match self {
                Self::Ean13Retail => {
                    (264, 660, &[[264, 18_280], [330, 22_850], [660, 45_700]], [11, 7])
                }
                Self::Ean8Retail => {
                    (264, 660, &[[264, 14_580], [330, 18_230], [660, 36_460]], [7, 7])
                }
                Self::Ean13General => (495, 660, &[[495, 34_280], [660, 45_700]], [11, 7]),
                Self::Itf14General | Self::Gs1128General => {
                    (495, 1_016, &[[495, 31_750]], [10, 10])
                }
                Self::Gs1128Logistic => (495, 940, &[[495, 31_750]], [10, 10]),
            };
        SizeRule { least_module_um, most_module_um, heights_um, quiet }
    }
}

impl FromStr for Use {
    type Err = String;

    fn from_str(name: &str) -> Result<Self, String> {
        let found = Self::ALL.into_iter().find(|(it, _)| *it == name);
        let names = || Self::ALL.map(|(it, _)| it).join(", ");
        found.map(|(_, it)| it).ok_or_else(|| format!("'{name}' is no use: take {}", names()))
    }
}

impl SizeRule {
    /// Returns the least height of bars whose module is that wide.
    pub fn least_height_um(&self, module_um: i64) -> i64 {
        let mut least = self.heights_um.first().map_or(0, |[_, height]| *height);
        for pair in self.heights_um.windows(2) {
            let [[from, low], [to, high]] = pair else { continue };
            if *from < module_um {
                let reach = module_um.min(*to) - from;
                least = low + (high - low) * reach / (to - from);
            }
        }
        least
    }
}

/// How large a bar code is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dimensions {
    /// Width of a module (X-dimension).
    pub module: Length,
    /// Height of the bars.
    pub height: Length,
    /// Quiet zones left and right, in modules.
    pub quiet: [i64; 2],
}

/// What is wrong with a size: which dimension, by how much, and what would do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SizeFault {
    /// Modules too narrow.
    #[error("modules of {has} are {by} too narrow: make them {least} at least")]
    ModuleNarrow {
        /// As it is.
        has: Length,
        /// What is missing.
        by: Length,
        /// What would do.
        least: Length,
    },
    /// Modules too wide.
    #[error("modules of {has} are {by} too wide: make them {most} at most")]
    ModuleWide {
        /// As it is.
        has: Length,
        /// What is too much.
        by: Length,
        /// What would do.
        most: Length,
    },
    /// Bars too low.
    #[error("bars of {has} are {by} too low: make them {least} high at least")]
    Low {
        /// As it is.
        has: Length,
        /// What is missing.
        by: Length,
        /// What would do.
        least: Length,
    },
    /// A quiet zone too narrow.
    #[error("the quiet zone on the {side} has {has} modules: leave {least} at least")]
    Quiet {
        /// Left or right.
        side: &'static str,
        /// As it is.
        has: i64,
        /// What would do.
        least: i64,
    },
    /// The symbol with its quiet zones is longer than allowed.
    #[error(
        "the bar code is {has} long with its quiet zones, {by} too long: modules of {module} would do"
    )]
    Long {
        /// As it is.
        has: Length,
        /// What is too much.
        by: Length,
        /// The widest module that would do.
        module: Length,
    },
    /// More characters than allowed.
    #[error("the bar code holds {has} characters, and GS1-128 may hold {most}")]
    Characters {
        /// As it is.
        has: usize,
        /// What would do.
        most: usize,
    },
    /// A logistic label smaller than A6.
    #[error(
        "a label of {width} by {height} is smaller than A6: add {by_width} and {by_height}, to 105 mm by 148 mm"
    )]
    Label {
        /// As it is: the short side.
        width: Length,
        /// The long side.
        height: Length,
        /// What the short side lacks.
        by_width: Length,
        /// What the long side lacks.
        by_height: Length,
    },
    /// A label too near to an edge of the unit, or too far.
    #[error("{what} is {has}: it should be {wanted}")]
    Place {
        /// Which distance.
        what: &'static str,
        /// As it is.
        has: Length,
        /// What would do.
        wanted: String,
    },
}

const fn um(value: i64) -> Length {
    Length::from_micrometres(value)
}

impl Dimensions {
    /// Returns what the use asks and this size does not give; empty where it is right.
    pub fn faults(&self, of: Use) -> Vec<SizeFault> {
        let rule = of.rule();
        let (module, height) = (self.module.micrometres(), self.height.micrometres());
        let mut faults = Vec::new();
        if module < rule.least_module_um {
            let by = um(rule.least_module_um - module);
            let least = um(rule.least_module_um);
            faults.push(SizeFault::ModuleNarrow { has: self.module, by, least });
        }
        if rule.most_module_um < module {
            let by = um(module - rule.most_module_um);
            faults.push(SizeFault::ModuleWide {
                has: self.module,
                by,
                most: um(rule.most_module_um),
            });
        }
        let least = rule.least_height_um(module);
        if height < least {
            faults.push(SizeFault::Low {
                has: self.height,
                by: um(least - height),
                least: um(least),
            });
        }
        for ((has, least), side) in self.quiet.into_iter().zip(rule.quiet).zip(["left", "right"]) {
            if has < least {
                faults.push(SizeFault::Quiet { side, has, least });
            }
        }
        faults
    }
}

/// The longest GS1-128 symbol with its quiet zones, and the most characters of its data.
///
/// # Source
///
/// GS1 General Specifications release 18, page 262.
const MOST_WIDTH_UM: i64 = 165_100;
const MOST_CHARACTERS: usize = 48;

/// Returns what is wrong with the length of a GS1-128 symbol of that many modules and characters.
///
/// Modules are counted without quiet zones, characters with their application identifiers and
/// without FNC1.
pub fn width_faults(modules: i64, characters: usize, module: Length) -> Vec<SizeFault> {
    let mut faults = Vec::new();
    let whole = modules + 20;
    let width = whole * module.micrometres();
    if MOST_WIDTH_UM < width {
        let (by, module) = (um(width - MOST_WIDTH_UM), um(MOST_WIDTH_UM / whole.max(1)));
        faults.push(SizeFault::Long { has: um(width), by, module });
    }
    if MOST_CHARACTERS < characters {
        faults.push(SizeFault::Characters { has: characters, most: MOST_CHARACTERS });
    }
    faults
}

/// Returns what a logistic label of that size lacks to A6, whichever way it is turned.
///
/// A fault is a warning: labels of 4 by 6 inches are 3.4 mm narrower than A6, and in wide use.
///
/// # Source
///
/// GS1 Logistic Label Guideline, label sizes; ISO 216 for A6.
pub fn logistic_label_fault(width: Length, height: Length) -> Option<SizeFault> {
    let (short, long) = (width.min(height), width.max(height));
    let lack = |has: Length, least: i64| um((least - has.micrometres()).max(0));
    let (by_width, by_height) = (lack(short, 105_000), lack(long, 148_000));
    let lacks = Length::ZERO < by_width || Length::ZERO < by_height;
    lacks.then_some(SizeFault::Label { width: short, height: long, by_width, by_height })
}

/// Returns what is wrong with the place of a bar code on a carton or pallet.
///
/// # Source
///
/// GS1 General Specifications, section 6: units under 1 m, lower edge of the bars 32 mm above the
/// base, 19 mm from a vertical edge. Higher units, 400 to 800 mm and 50 mm: from memory,
/// unconfirmed.
pub fn placement_faults(unit: Length, above_base: Length, from_edge: Length) -> Vec<SizeFault> {
    let is_low = unit.micrometres() < 1_000_000;
    let (least, most, edge) = if is_low { (32, None, 19) } else { (400, Some(800), 50) };
    let mm = |value: i64| um(value * 1_000);
    let mut faults = Vec::new();
    if above_base < mm(least) || most.is_some_and(|it| mm(it) < above_base) {
        let wanted = match most {
            None => format!("{} at least", mm(least)),
            Some(most) => format!("from {} to {}", mm(least), mm(most)),
        };
        let what = "the height of the bars above the base";
        faults.push(SizeFault::Place { what, has: above_base, wanted });
    }
    if from_edge < mm(edge) {
        let (what, wanted) =
            ("the distance from the vertical edge", format!("{} at least", mm(edge)));
        faults.push(SizeFault::Place { what, has: from_edge, wanted });
    }
    faults
}
