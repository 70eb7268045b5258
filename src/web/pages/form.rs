use std::str::FromStr;

use serde::Deserialize;

use crate::error::Error;
use crate::ops::RequestKey;
use crate::units::Quantity;

/// The fields of a form as they were sent; a name may stand more than once. As in HTML itself,
/// U+FFFD takes the place of U+0000, which no text of the books may hold.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(from = "Vec<(String, String)>")]
pub struct Fields(Vec<(String, String)>);

impl From<Vec<(String, String)>> for Fields {
    fn from(sent: Vec<(String, String)>) -> Self {
        let without =
            |it: String| if it.contains('\0') { it.replace('\0', "\u{FFFD}") } else { it };
        Self(sent.into_iter().map(|(name, text)| (name, without(text))).collect())
    }
}

impl Fields {
    /// Returns a field without the blanks around it; nothing where it was not sent.
    pub fn text(&self, name: &str) -> &str {
        let field = self.0.iter().find(|it| it.0 == name);
        field.map(|it| it.1.trim()).unwrap_or_default()
    }

    /// Returns whether a field was sent, filled or not.
    pub fn has(&self, name: &str) -> bool {
        self.0.iter().any(|it| it.0 == name)
    }

    /// Returns every field of that name.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.0.iter().filter(move |it| it.0 == name).map(|it| it.1.trim())
    }

    /// Returns every field as it was sent, in its order.
    pub fn pairs(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().map(|(name, text)| (name.as_str(), text.as_str()))
    }

    /// Returns whether a box was ticked.
    pub fn ticked(&self, name: &str) -> bool {
        !self.text(name).is_empty()
    }

    /// Returns a field as what it should be; nothing where it was left empty.
    ///
    /// # Errors
    ///
    /// [`Error::Invalid`], which names the field by `words`.
    pub fn read<T: FromStr>(&self, name: &str, words: &str) -> Result<Option<T>, Error>
    where
        T::Err: std::fmt::Display,
    {
        match self.text(name) {
            "" => Ok(None),
            text => text.parse().map(Some).map_err(|fault| {
                Error::invalid("form.field", format!("{words}: '{text}' can't be read: {fault}"))
            }),
        }
    }

    /// Returns a number of pieces; none where it was left empty.
    ///
    /// # Errors
    ///
    /// [`Error::Invalid`], which names the field by `words`.
    pub fn pieces(&self, name: &str, words: &str) -> Result<Quantity, Error> {
        Ok(self.read(name, words)?.unwrap_or_default())
    }

    /// Returns the key that makes the form count once.
    ///
    /// # Errors
    ///
    /// [`Error::Invalid`] when it is not there.
    pub fn key(&self) -> Result<RequestKey, Error> {
        self.text("request_key").parse()
    }
}
