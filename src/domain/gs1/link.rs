use super::ai::ai;
use super::element::{Element, ElementError, element};

/// Where a link leads that names no resolver of its own.
const CANONICAL_STEM: &str = "https://id.gs1.org";

/// Returns the elements of a GS1 Digital Link URI: those of the path, then those of the query.
///
/// Host, stem, fragment and query parameters that are no identifiers say nothing. A plus sign is a
/// plus in the path and a blank in the query.
///
/// # Errors
///
/// [`ElementError`]: no link, no key in its path, qualifiers out of order, a qualifier in the
/// query, or a value that is wrong.
///
/// # Source
///
/// GS1 Digital Link Standard: URI Syntax, release 1.4, section 4; RFC 3986 for the characters.
///
/// ```
/// use kitwright::domain::gs1::parse_link;
/// let read = parse_link("https://example.com/shop/01/09520123456788/10/A%2FB?17=261231", 2026)?;
/// assert_eq!(read[1].value, "A/B");
/// # Ok::<(), kitwright::domain::gs1::ElementError>(())
/// ```
pub fn parse_link(uri: &str, year: i32) -> Result<Vec<Element>, ElementError> {
    let allowed = |it: char| it.is_ascii_alphanumeric() || "-._~:/?#[]@!$&'()*+,;=%".contains(it);
    if let Some((at, it)) = uri.chars().enumerate().find(|(_, it)| !allowed(*it)) {
        let message = format!("'{}' may not stand in a link", super::shown(&it.to_string()));
        return Err(ElementError::new("link.character", at + 1, message));
    }
    let path_and_query = after_host(uri)?;
    let (whole, _) = path_and_query.split_once('#').unwrap_or((path_and_query, ""));
    let (path, query) = whole.split_once('?').unwrap_or((whole, ""));
    let mut elements = read_path(uri, path, year)?;
    let in_path: Vec<String> = elements.iter().map(|it| it.ai.clone()).collect();
    check_sequence(&in_path)?;
    for parameter in query.split('&') {
        let Some(attribute) = read_parameter(uri, parameter, year)? else { continue };
        check_attribute(&elements, &in_path, &attribute.ai)?;
        elements.push(attribute);
    }
    super::check_pairs(&elements)?;
    Ok(elements)
}

/// Returns whether a text begins as a link does.
pub(super) fn scheme(text: &str) -> Option<&str> {
    let starts = |scheme: &str| {
        let (start, rest) = text.split_at_checked(scheme.len())?;
        start.eq_ignore_ascii_case(scheme).then_some(rest)
    };
    starts("https://").or_else(|| starts("http://"))
}

fn after_host(uri: &str) -> Result<&str, ElementError> {
    let Some(rest) = scheme(uri) else {
        let message = "this is no web link: it begins with https:// or http://";
        return Err(ElementError::new("link.scheme", 1, message));
    };
    let end = rest.find('/').unwrap_or_default();
    let (host, path) = rest.split_at_checked(end).unwrap_or_default();
    let allowed = |it: char| it.is_ascii_alphanumeric() || "-.:[]".contains(it);
    if host.is_empty() || !host.chars().all(allowed) {
        let message = "a host and a path stand here, such as example.com/01/09520123456788";
        return Err(ElementError::new("link.host", uri.len() - rest.len() + 1, message));
    }
    Ok(path)
}

/// Reads the pairs at the end of a path, from the last primary key on.
fn read_path(uri: &str, path: &str, year: i32) -> Result<Vec<Element>, ElementError> {
    let parts: Vec<&str> = path.split('/').skip(1).collect();
    let known = |it: &str| it.chars().all(|it| it.is_ascii_digit()) && ai(it).is_some();
    let pairs: Vec<(&str, &str)> = parts
        .rchunks_exact(2)
        .map_while(|pair| match pair {
            [identifier, value] if known(identifier) => Some((*identifier, *value)),
            _ => None,
        })
        .collect();
    let is_key = |it: &(&str, &str)| ai(it.0).is_some_and(|it| it.key.is_some());
    let Some(key) = pairs.iter().position(is_key) else {
        let message = "no primary key stands in the path, such as /01/09520123456788 at its end";
        return Err(ElementError::new("link.no_key", 0, message));
    };
    pairs
        .iter()
        .take(key + 1)
        .rev()
        .map(|(identifier, value)| {
            let value = decoded(uri, identifier, value, false)?;
            element(identifier, &value, year).map_err(|it| moved(it, uri, &value))
        })
        .collect()
}

/// Returns the error with its place counted in the link, where the value stands in it unescaped.
fn moved(it: ElementError, uri: &str, value: &str) -> ElementError {
    let at = uri.find(value).filter(|_| !value.is_empty()).map_or(0, |start| start + it.at);
    ElementError { at, ..it }
}

fn read_parameter(uri: &str, text: &str, year: i32) -> Result<Option<Element>, ElementError> {
    let Some((name, value)) = text.split_once('=') else { return Ok(None) };
    if name.is_empty() || !name.chars().all(|it| it.is_ascii_digit()) {
        return Ok(None);
    }
    if ai(name).is_none() {
        let message = format!(
            "({name}) is no application identifier, and a number may stand for nothing else"
        );
        return Err(ElementError::new("link.unknown_ai", 0, message));
    }
    let mut value = decoded(uri, name, value, true)?;
    let digits = value.chars().all(|it| it.is_ascii_digit());
    if name == "01" && digits && matches!(value.len(), 8 | 12 | 13) {
        value = format!("{value:0>14}");
    }
    element(name, &value, year).map(Some).map_err(|it| moved(it, uri, &value))
}

/// Returns a value without its percent-encoding; a percent sign that encodes nothing stays.
fn decoded(uri: &str, identifier: &str, text: &str, query: bool) -> Result<String, ElementError> {
    let wrong = |message: &str| {
        let at = uri.find(text).filter(|_| !text.is_empty()).map_or(0, |at| at + 1);
        Err(ElementError::new("link.empty", at, message).of(identifier))
    };
    let mut bytes = Vec::new();
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        let hex = |it: Option<u8>| it.and_then(|it| char::from(it).to_digit(16));
        let mut ahead = rest.clone();
        match (byte, hex(ahead.next()), hex(ahead.next())) {
            (b'%', Some(high), Some(low)) => {
                bytes.push(u8::try_from(high * 16 + low).unwrap_or_default());
                rest = ahead;
            }
            (b'+', ..) if query => bytes.push(b' '),
            (byte, ..) => bytes.push(byte),
        }
    }
    if bytes.is_empty() {
        return wrong("there is no value: leave the identifier out, or give it one");
    }
    if bytes.contains(&0) {
        return wrong("%00 may not stand in a value");
    }
    // What is not UTF-8 is outside every character set of the standard, and refused by it.
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// Returns whether the identifiers after a primary key are among its qualifiers, in their order.
fn is_sequence<'a>(in_path: impl Iterator<Item = &'a str> + Clone) -> bool {
    let mut rest = in_path;
    let Some(sequences) = rest.next().and_then(ai).and_then(|it| it.key.as_ref()) else {
        return false;
    };
    let fits = |sequence: &Vec<&str>| {
        let mut left = sequence.iter();
        rest.clone().all(|it| left.any(|wanted| *wanted == it))
    };
    rest.clone().next().is_none() || sequences.iter().any(fits)
}

fn check_sequence(in_path: &[String]) -> Result<(), ElementError> {
    if is_sequence(in_path.iter().map(String::as_str)) {
        return Ok(());
    }
    let key = in_path.first().cloned().unwrap_or_default();
    let order =
        |it: &Vec<&str>| it.iter().map(|ai| format!("({ai})")).collect::<Vec<_>>().join(" ");
    let sequences = ai(&key).and_then(|it| it.key.as_ref());
    let right: Vec<String> = sequences.map(|it| it.iter().map(order).collect()).unwrap_or_default();
    let right = if right.is_empty() { "nothing".to_owned() } else { right.join(", or ") };
    let message = format!(
        "after ({key}) may follow {right} in the path, in this order; the rest belongs in the query"
    );
    Err(ElementError::new("link.sequence", 0, message).of(&key))
}

fn check_attribute(before: &[Element], in_path: &[String], name: &str) -> Result<(), ElementError> {
    let wrong = |code, message: &str| Err(ElementError::new(code, 0, message).of(name));
    if before.iter().any(|it| it.ai == name) {
        return wrong("link.twice", "it stands twice in the link: leave one out");
    }
    let qualifies = (1..=in_path.len()).any(|place| {
        let (start, end) = in_path.split_at_checked(place).unwrap_or_default();
        let texts = start.iter().map(String::as_str);
        is_sequence(texts.chain([name]).chain(end.iter().map(String::as_str)))
    });
    if qualifies {
        return wrong(
            "link.in_path",
            "it qualifies the key: it belongs in the path, not in the query",
        );
    }
    match ai(name).is_some_and(|it| it.attribute) {
        true => Ok(()),
        false => wrong("link.attribute", "it may not stand in the query of a link with this key"),
    }
}

/// Returns the Digital Link URI of elements: the first primary key with its qualifiers in the
/// path, everything else in the query, values of predefined length first. Without a stem it is
/// the canonical one.
///
/// # Errors
///
/// [`ElementError`] where there is no primary key, or an element may not stand in the query.
///
/// # Source
///
/// GS1 Digital Link Standard: URI Syntax, release 1.4, sections 4 and 5.
pub fn build_link(elements: &[Element], stem: Option<&str>) -> Result<String, ElementError> {
    super::check_pairs(elements)?;
    let key = elements.iter().find_map(|it| Some((it, ai(&it.ai)?.key.as_ref()?)));
    let Some((key, sequences)) = key else {
        let message =
            "no primary key is among the elements, such as (01) or (00): a link needs one";
        return Err(ElementError::new("link.no_key", 0, message));
    };
    let of = |name: &str| elements.iter().find(|it| it.ai == name);
    let qualifiers = sequences
        .iter()
        .map(|sequence| sequence.iter().filter_map(|it| of(it)).collect::<Vec<_>>())
        .fold(Vec::new(), |best, it| if best.len() < it.len() { it } else { best });
    let path: Vec<&Element> = [key].into_iter().chain(qualifiers).collect();
    let names: Vec<String> = path.iter().map(|it| it.ai.clone()).collect();
    let mut uri = stem.unwrap_or(CANONICAL_STEM).trim_end_matches('/').to_owned();
    for it in &path {
        uri.push_str(&format!("/{}/{}", it.ai, encoded(&it.value)));
    }
    let mut written: Vec<Element> = path.into_iter().cloned().collect();
    let predefined = |it: &&Element| ai(&it.ai).is_some_and(|it| it.predefined);
    let first = elements.iter().filter(predefined);
    for it in first.chain(elements.iter().filter(|it| !predefined(it))) {
        if written.contains(it) {
            continue;
        }
        check_attribute(&written, &names, &it.ai)?;
        let mark = if written.len() == names.len() { '?' } else { '&' };
        uri.push_str(&format!("{mark}{}={}", it.ai, encoded(&it.value)));
        written.push(it.clone());
    }
    Ok(uri)
}

fn encoded(value: &str) -> String {
    let one = |byte: u8| match byte {
        b'-' | b'.' | b'_' | b'~' => char::from(byte).to_string(),
        byte if byte.is_ascii_alphanumeric() => char::from(byte).to_string(),
        byte => format!("%{byte:02X}"),
    };
    value.bytes().map(one).collect()
}
