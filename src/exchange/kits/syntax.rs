use crate::domain::kits::Choice;

/// Reads values parted by bars, `T12|T15`.
pub(super) fn values(text: &str) -> Result<Vec<String>, String> {
    let mut values: Vec<String> = Vec::new();
    for value in text.split('|').map(str::trim) {
        if value.is_empty() {
            return Err(format!("'{text}' has an empty value: write values as T12|T15"));
        }
        if values.iter().any(|it| it == value) {
            return Err(format!("'{value}' stands there twice: keep one of them"));
        }
        values.push(value.to_owned());
    }
    Ok(values)
}

/// Reads choices, `size={size}; colour=black`.
pub(super) fn choices(text: &str) -> Result<Vec<(String, Choice)>, String> {
    pairs(text, "size={size}; colour=black")?
        .into_iter()
        .map(|(name, value)| {
            let option = value.strip_prefix('{').and_then(|it| it.strip_suffix('}'));
            let choice = match option.map(str::trim) {
                Some("") => return Err(format!("'{value}' names no option: write {{size}}")),
                Some(option) => Choice::Option(option.to_owned()),
                None => Choice::Fixed(value),
            };
            Ok((name, choice))
        })
        .collect()
}

/// Reads conditions, `ski=95|105; build=T12`.
pub(super) fn conditions(text: &str) -> Result<Vec<(String, Vec<String>)>, String> {
    let pairs = pairs(text, "ski=95|105; build=T12")?;
    pairs.into_iter().map(|(name, value)| Ok((name, values(&value)?))).collect()
}

/// Reads names with values, parted by semicolons.
fn pairs(text: &str, example: &str) -> Result<Vec<(String, String)>, String> {
    let mut pairs: Vec<(String, String)> = Vec::new();
    for piece in text.split(';').map(str::trim).filter(|it| !it.is_empty()) {
        let (name, value) = piece.split_once('=').unwrap_or((piece, ""));
        let (name, value) = (name.trim(), value.trim());
        if name.is_empty() || value.is_empty() {
            return Err(format!("'{piece}' is not a name, = and a value: write {example}"));
        }
        if pairs.iter().any(|(it, _)| it == name) {
            return Err(format!("'{name}' stands there twice: keep one of them"));
        }
        pairs.push((name.to_owned(), value.to_owned()));
    }
    Ok(pairs)
}

/// Writes choices as [`choices`] reads them.
pub(super) fn write_choices(choose: &[(String, Choice)]) -> String {
    let pairs: Vec<String> = choose.iter().map(|(name, it)| format!("{name}={it}")).collect();
    pairs.join("; ")
}

/// Writes conditions as [`conditions`] reads them.
pub(super) fn write_conditions(when: &[(String, Vec<String>)]) -> String {
    let pairs: Vec<String> =
        when.iter().map(|(name, values)| format!("{name}={}", values.join("|"))).collect();
    pairs.join("; ")
}
