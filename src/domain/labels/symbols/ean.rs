use barcoders::sym::ean8::EAN8;
use barcoders::sym::ean13::{EAN13, ENCODINGS};
use barcoders::sym::tf::TF;

use super::SymbolError;
use crate::domain::gs1::Gtin;

/// Returns the digits of a GTIN of exactly that length, its check digit proved.
pub(super) fn gtin(text: &str, length: usize) -> Result<String, SymbolError> {
    let gtin: Gtin = text.parse().map_err(SymbolError::Gtin)?;
    if gtin.as_str().len() == length {
        return Ok(gtin.as_str().to_owned());
    }
    Err(SymbolError::Length { text: text.to_owned(), length })
}

/// Returns the modules of a GTIN-13; a dark one is true.
pub(super) fn ean13(digits: &str) -> Result<Vec<bool>, SymbolError> {
    let drawn = EAN13::new(digits).map(|it| it.encode());
    Ok(drawn.map_err(|_| SymbolError::Drawing(digits.to_owned()))?.iter().map(is_dark).collect())
}

/// Returns the modules of a GTIN-8.
pub(super) fn ean8(digits: &str) -> Result<Vec<bool>, SymbolError> {
    let drawn = EAN8::new(digits).map(|it| it.encode());
    Ok(drawn.map_err(|_| SymbolError::Drawing(digits.to_owned()))?.iter().map(is_dark).collect())
}

fn is_dark(module: &u8) -> bool {
    *module == 1
}

/// Returns whether each element of a GTIN-14 is wide, from the first bar.
pub(super) fn itf14(digits: &str) -> Result<Vec<bool>, SymbolError> {
    let drawn = TF::interleaved(digits).map(|it| it.encode());
    let modules = drawn.map_err(|_| SymbolError::Drawing(digits.to_owned()))?;
    Ok(modules.chunk_by(PartialEq::eq).map(|run| 1 < run.len()).collect())
}

/// Sets of a UPC-E's six digits by the check digit, for number system 0: true is set B (even).
///
/// # Source
///
/// ISO/IEC 15420:2009, table of UPC-E parity patterns, from memory; read back by zxing-cpp 3.1.1
/// in `tests/it/symbols.rs` for every check digit.
const PARITY: [[bool; 6]; 10] = {
    const E: bool = true;
    const O: bool = false;
    [
        [E, E, E, O, O, O],
        [E, E, O, E, O, O],
        [E, E, O, O, E, O],
        [E, E, O, O, O, E],
        [E, O, E, E, O, O],
        [E, O, O, E, E, O],
        [E, O, O, O, E, E],
        [E, O, E, O, E, O],
        [E, O, E, O, O, E],
        [E, O, O, E, O, E],
    ]
};

/// Returns the modules of a GTIN-12 in UPC-E, and the eight digits that are printed below it.
pub(super) fn upce(digits: &str) -> Result<(Vec<bool>, String), SymbolError> {
    let fault = || SymbolError::NotUpcE(digits.to_owned());
    let six = squeezed(digits).ok_or_else(fault)?;
    let check = digits.chars().next_back().ok_or_else(fault)?;
    let sets = check.to_digit(10).and_then(|it| usize::try_from(it).ok());
    let sets = sets.and_then(|it| PARITY.get(it)).ok_or_else(fault)?;
    let mut modules = vec![1, 0, 1];
    for (digit, is_even) in six.chars().zip(sets) {
        let set = ENCODINGS.get(usize::from(*is_even)).ok_or_else(fault)?;
        let digit = digit.to_digit(10).and_then(|it| usize::try_from(it).ok());
        modules.extend(digit.and_then(|it| set.get(it)).ok_or_else(fault)?);
    }
    modules.extend([0, 1, 0, 1, 0, 1]);
    Ok((modules.iter().map(is_dark).collect(), format!("0{six}{check}")))
}

/// Returns the six digits from which a reader gets the GTIN-12 back, if there are such.
fn squeezed(digits: &str) -> Option<String> {
    let body = digits.strip_prefix('0')?;
    let (maker, rest) = body.split_at_checked(5)?;
    let (item, _) = rest.split_at_checked(5)?;
    let maker_of = |length: usize| maker.split_at_checked(length);
    if let (two, end @ ("000" | "100" | "200")) = maker_of(2)?
        && let Some(item) = item.strip_prefix("00")
    {
        return Some(format!("{two}{item}{}", end.split_at_checked(1)?.0));
    }
    if let (three, "00") = maker_of(3)?
        && let Some(item) = item.strip_prefix("000")
    {
        return Some(format!("{three}{item}3"));
    }
    if let (four, "0") = maker_of(4)?
        && let Some(item) = item.strip_prefix("0000")
    {
        return Some(format!("{four}{item}4"));
    }
    let last = item.strip_prefix("0000").filter(|it| ("5"..="9").contains(it))?;
    Some(format!("{maker}{last}"))
}
