use std::fmt;

/// A kind of symbol.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Symbology {
    /// Code 128.
    Code128,
    /// GS1-128: Code 128 that begins with FNC1 and holds element strings.
    Gs1128,
    /// EAN-13.
    Ean13,
    /// EAN-8.
    Ean8,
    /// UPC-A: an EAN-13 that begins with 0.
    UpcA,
    /// UPC-E: a UPC-A with zeros left out.
    UpcE,
    /// ITF-14: a GTIN-14 in Interleaved 2 of 5.
    Itf14,
    /// Data Matrix ECC 200.
    DataMatrix,
    /// GS1 Data Matrix: begins with FNC1 and holds element strings.
    Gs1DataMatrix,
    /// QR, model 2.
    Qr,
    /// GS1 QR: FNC1 in first position, and element strings.
    Gs1Qr,
}

impl Symbology {
    /// Returns the quiet zones left and right, in modules; a matrix has the left one on all sides.
    ///
    /// # Source
    ///
    /// GS1 General Specifications, section 5: EAN-13 11X and 7X, EAN-8 7X, UPC-A 9X, UPC-E 9X and
    /// 7X (both UPC from memory, unconfirmed), ITF-14 and Code 128 10X, Data Matrix 1X, QR 4X.
    pub const fn quiet(self) -> [i64; 2] {
        match self {
            Self::Code128 | Self::Gs1128 | Self::Itf14 => [10, 10],
            Self::Ean13 => [11, 7],
            Self::Ean8 => [7, 7],
            Self::UpcA => [9, 9],
            Self::UpcE => [9, 7],
            Self::DataMatrix | Self::Gs1DataMatrix => [1, 1],
            Self::Qr | Self::Gs1Qr => [4, 4],
        }
    }

    /// Returns the identifier that a reader puts before what it read.
    ///
    /// # Source
    ///
    /// ISO/IEC 15424:2008, tables of AIM symbology identifiers.
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Code128 => "]C0",
            Self::Gs1128 => "]C1",
            Self::Ean13 | Self::UpcA | Self::UpcE => "]E0",
            Self::Ean8 => "]E4",
            Self::Itf14 => "]I1",
            Self::DataMatrix => "]d1",
            Self::Gs1DataMatrix => "]d2",
            Self::Qr => "]Q1",
            Self::Gs1Qr => "]Q3",
        }
    }
}

impl fmt::Display for Symbology {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Code128 => "Code128",
            Self::Gs1128 => "GS1-128",
            Self::Ean13 => "EAN-13",
            Self::Ean8 => "EAN-8",
            Self::UpcA => "UPC-A",
            Self::UpcE => "UPC-E",
            Self::Itf14 => "ITF-14",
            Self::DataMatrix => "DataMatrix",
            Self::Gs1DataMatrix => "GS1 DataMatrix",
            Self::Qr => "Qr",
            Self::Gs1Qr => "GS1 Qr",
        })
    }
}
