use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

use super::CatalogError;

/// What tells a variant from its sisters: names with values, in order of name.
///
/// ```
/// use kitwright::domain::catalog::Attributes;
/// let frame: Attributes = "size=M; colour=lichen green".parse()?;
/// assert_eq!(frame.get("size"), Some("M"));
/// assert_eq!(frame.to_string(), "colour=lichen green; size=M");
/// # Ok::<(), kitwright::domain::catalog::CatalogError>(())
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Attributes(BTreeMap<String, String>);

impl Attributes {
    /// Returns these attributes with one more.
    ///
    /// # Errors
    ///
    /// [`CatalogError::Attribute`] where the name or value is empty or would not read back, and
    /// [`CatalogError::AttributeTwice`] where the name is there already.
    pub fn with(mut self, name: &str, value: &str) -> Result<Self, CatalogError> {
        let (name, value) = (name.trim(), value.trim());
        let readable = !name.is_empty()
            && !value.is_empty()
            && !name.contains(['=', ';'])
            && !value.contains(';');
        if !readable {
            return Err(CatalogError::Attribute { text: format!("{name}={value}") });
        }
        match self.0.insert(name.to_owned(), value.to_owned()) {
            None => Ok(self),
            Some(_) => Err(CatalogError::AttributeTwice { name: name.to_owned() }),
        }
    }

    /// Returns the value of the attribute of that name.
    pub fn get(&self, name: &str) -> Option<&str> {
        self.0.get(name).map(String::as_str)
    }

    /// Returns names and values in order of name.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().map(|(name, value)| (name.as_str(), value.as_str()))
    }

    /// Returns whether nothing is stated.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl fmt::Display for Attributes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, (name, value)) in self.iter().enumerate() {
            let between = if at == 0 { "" } else { "; " };
            write!(f, "{between}{name}={value}")?;
        }
        Ok(())
    }
}

impl FromStr for Attributes {
    type Err = CatalogError;

    fn from_str(text: &str) -> Result<Self, CatalogError> {
        let pieces = text.split(';').map(str::trim).filter(|piece| !piece.is_empty());
        pieces.into_iter().try_fold(Self::default(), |stated, piece| {
            let fault = || CatalogError::Attribute { text: piece.to_owned() };
            let (name, value) = piece.split_once('=').ok_or_else(fault)?;
            stated.with(name, value)
        })
    }
}
