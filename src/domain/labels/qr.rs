use fast_qr::qr::QRBuilder;

/// The text is longer than the largest QR symbol holds.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("a QR code cannot hold these {bytes} bytes: shorten the link")]
pub struct QrError {
    /// The length of the text.
    pub bytes: usize,
}

/// The modules of a QR symbol, without its quiet zone.
///
/// # Source
///
/// ISO/IEC 18004, model 2, error correction level M or better.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QrSymbol {
    rows: Vec<Vec<bool>>,
}

impl QrSymbol {
    /// The width of the quiet zone on each side, in modules.
    pub const QUIET_MODULES: i64 = 4;

    /// Returns the smallest symbol that holds the text.
    ///
    /// # Errors
    ///
    /// [`QrError`] when the text is too long for any symbol.
    pub fn of(text: &str) -> Result<Self, QrError> {
        let symbol = QRBuilder::new(text)
            .ecl(fast_qr::ECL::M)
            .build()
            .map_err(|_| QrError { bytes: text.len() })?;
        let size = symbol.size;
        let rows = symbol.data.chunks(size).take(size);
        let dark = |row: &[fast_qr::Module]| row.iter().map(|it| it.value()).collect();
        Ok(Self { rows: rows.map(dark).collect() })
    }

    /// Returns the rows from the top, each from the left; a dark module is true.
    pub fn rows(&self) -> &[Vec<bool>] {
        &self.rows
    }

    /// Returns the modules along one side with the quiet zones.
    pub fn side_with_quiet(&self) -> i64 {
        i64::try_from(self.rows.len()).unwrap_or(i64::MAX / 2) + 2 * Self::QUIET_MODULES
    }
}
