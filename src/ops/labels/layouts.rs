use super::unprintable;
use crate::domain::labels::{LabelKind, Layout, LayoutFault, warnings};
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::paper::{label_marks, label_svg, text_width};
use crate::store::{Conn, Tx, labels as store};

/// A kind of label, and whose layout it prints.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OwnLayout {
    /// The kind.
    pub kind: LabelKind,
    /// Whether the shop has changed it.
    pub own: bool,
}

/// A layout to be changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LayoutView {
    /// Its text.
    pub text: String,
    /// Whether it is the shop's own.
    pub own: bool,
}

/// Returns the layout that a kind prints: the shop's own, or the program's.
///
/// # Errors
///
/// [`Error::Internal`] where the one kept can't be read.
pub(super) fn layout(conn: &mut Conn, kind: LabelKind) -> Result<Layout, Error> {
    let text = self::text(conn, kind)?.text;
    text.parse().map_err(|fault| Error::Internal(format!("the layout '{kind}': {fault}")))
}

/// Returns every kind of label, and whose layout it prints.
///
/// # Errors
///
/// [`Error::Database`].
pub fn layouts(conn: &mut Conn) -> Result<Vec<OwnLayout>, Error> {
    let own = store::own_layouts(conn)?;
    let view = |kind: LabelKind| OwnLayout { kind, own: own.iter().any(|it| it == kind.word()) };
    Ok(LabelKind::ALL.map(view).to_vec())
}

/// Returns the text of a kind's layout.
///
/// # Errors
///
/// [`Error::Database`].
pub fn text(conn: &mut Conn, kind: LabelKind) -> Result<LayoutView, Error> {
    let own = store::layout(conn, kind.word())?;
    Ok(LayoutView { own: own.is_some(), text: own.unwrap_or_else(|| kind.built_in().to_owned()) })
}

/// Returns everything that is wrong with a layout's text, line by line; nothing where it prints.
///
/// What can't be put on the label with sample facts is at fault as well.
pub fn check_layout(kind: LabelKind, text: &str) -> Vec<LayoutFault> {
    let layout: Layout = match text.parse() {
        Ok(layout) => layout,
        Err(crate::domain::labels::LayoutError(faults)) => return faults,
    };
    let known = kind.sample();
    let names: Vec<&str> = known.keys().copied().collect();
    let named = layout.facts_named(text).into_iter();
    let unknown = named.filter(|(_, name)| !names.contains(&name.as_str()));
    let fault = |(line, name)| {
        let words =
            format!("there is no fact '{name}' on a {kind} label: take {}", names.join(", "));
        LayoutFault { line, words }
    };
    let mut faults: Vec<LayoutFault> = unknown.map(fault).collect();
    if faults.is_empty()
        && let Err(fault) = label_marks(&layout, &known)
    {
        faults.push(LayoutFault { line: 1, words: format!("with sample facts, {fault}") });
    }
    faults
}

/// Returns a layout with sample facts as SVG, and the rules of GS1 that it falls short of.
///
/// # Errors
///
/// [`Error::Invalid`] for a layout that [`check_layout`] finds fault with.
pub fn sample_svg(kind: LabelKind, text: &str) -> Result<(String, Vec<String>), Error> {
    let layout: Layout = text
        .parse()
        .map_err(|fault: crate::domain::labels::LayoutError| wrong(&fault.to_string()))?;
    let facts = kind.sample();
    let marks = label_marks(&layout, &facts).map_err(|fault| unprintable(fault.into()))?;
    let said = warnings(&layout, &facts, &text_width).map_err(|it| unprintable(it.into()))?;
    Ok((label_svg(&layout, &marks), said.iter().map(ToString::to_string).collect()))
}

fn wrong(words: &str) -> Error {
    Error::invalid("labels.layout", words)
}

/// Keeps a layout as the shop's own.
///
/// # Errors
///
/// [`Error::Invalid`] with every fault and its line.
pub fn keep_layout(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    kind: LabelKind,
    text: &str,
) -> Result<(), Error> {
    let faults = check_layout(kind, text);
    if !faults.is_empty() {
        let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
        return Err(wrong(&lines.join("; ")));
    }
    once(tx, key, "keep layout", &(kind.word(), text), |tx| {
        Ok(store::put_layout(tx.conn, kind.word(), text, tx.now, tx.who.user())?)
    })
}

/// Goes back to the layout that comes with the program.
///
/// # Errors
///
/// [`Error::Database`].
pub fn reset_layout(tx: &mut Tx<'_>, key: &RequestKey, kind: LabelKind) -> Result<(), Error> {
    once(tx, key, "reset layout", &kind.word(), |tx| Ok(store::drop_layout(tx.conn, kind.word())?))
}
