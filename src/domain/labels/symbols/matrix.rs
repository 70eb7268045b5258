use datamatrix::{DataMatrix, DataMatrixBuilder, SymbolList};

use super::{SymbolError, elements};

/// Says that the bytes that follow are UTF-8.
///
/// # Source
///
/// AIM ITS/04-023, Extended Channel Interpretations, assignment 26.
const UTF_8: u32 = 26;

/// Returns the rows of the smallest square Data Matrix of the text; a dark module is true.
///
/// A text beyond ASCII is written in UTF-8 and says so, so that no reader has to guess.
pub(super) fn datamatrix(text: &str) -> Result<Vec<Vec<bool>>, SymbolError> {
    let eci = (!text.is_ascii()).then_some(UTF_8);
    let squares = SymbolList::default().enforce_square();
    let builder = DataMatrixBuilder::new().with_symbol_list(squares);
    let drawn = builder.encode_eci(text.as_bytes(), eci);
    Ok(rows(&drawn.map_err(|_| SymbolError::TooLong { bytes: text.len() })?))
}

/// Returns the rows of the smallest square GS1 Data Matrix of elements in brackets.
pub(super) fn gs1_datamatrix(text: &str) -> Result<Vec<Vec<bool>>, SymbolError> {
    let message = elements::message(text)?;
    let squares = SymbolList::default().enforce_square();
    let drawn = DataMatrix::encode_gs1(message.as_bytes(), squares);
    Ok(rows(&drawn.map_err(|_| SymbolError::TooLong { bytes: message.len() })?))
}

fn rows(symbol: &DataMatrix) -> Vec<Vec<bool>> {
    let bitmap = symbol.bitmap();
    bitmap.bits().chunks(bitmap.width()).map(<[bool]>::to_vec).collect()
}
