use std::borrow::Cow;

use quick_xml::events::{BytesStart, Event};
use quick_xml::name::ResolveResult;
use quick_xml::{NsReader, XmlVersion};

use super::COMMON;
use super::write::is_xml;
use crate::exchange::Fault;

/// The most elements within one another.
const MOST_DEEP: usize = 40;
/// The most elements of one document.
const MOST_NODES: usize = 100_000;

/// The namespace of an element.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Space {
    /// The root's own, that of a despatch advice.
    Advice,
    /// Aggregates, which hold elements.
    Aggregate,
    /// Basic elements, which hold text.
    Basic,
    /// Any other.
    Other,
}

/// An element.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) space: Space,
    pub(super) name: String,
    /// The line of the file that it begins on, from 1.
    pub(super) line: u64,
    pub(super) attributes: Vec<(String, String)>,
    pub(super) children: Vec<Node>,
    pub(super) text: String,
}

impl Node {
    /// Returns the elements of that name inside.
    pub(super) fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Node> {
        self.children.iter().filter(move |it| it.name == name && it.space != Space::Other)
    }

    /// Returns the first element at a path of names.
    pub(super) fn at(&self, path: &[&str]) -> Option<&Node> {
        path.iter().try_fold(self, |node, name| {
            node.children.iter().find(|it| it.name == *name && it.space != Space::Other)
        })
    }

    /// Returns the text at a path of names, without blanks around it; empty where there is none.
    pub(super) fn text_at(&self, path: &[&str]) -> &str {
        self.at(path).map_or("", |it| it.text.trim())
    }

    /// Returns the value of an attribute.
    pub(super) fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|it| it.0 == name).map(|it| it.1.as_str())
    }
}

/// Returns the fault at a line of the file.
pub(super) fn fault(line: u64, place: &str, message: impl Into<String>) -> Fault {
    Fault { line, column: place.to_owned(), message: message.into() }
}

/// Returns a document's root with all in it.
///
/// A document type and entities of its own are refused: they may read other files, or grow without
/// end. Comments and processing instructions say nothing.
pub(super) fn parse(bytes: &[u8]) -> Result<Node, Fault> {
    let text = decoded(bytes)?;
    let mut reader = NsReader::from_str(text);
    reader.config_mut().enable_all_checks(true);
    let mut build = Build { text, line: 1, counted: 0, open: Vec::new(), root: None, nodes: 0 };
    loop {
        let at = usize::try_from(reader.buffer_position()).unwrap_or(usize::MAX);
        build.count_to(at);
        match reader.read_resolved_event() {
            Ok((space, event)) => {
                let space = space_of(&space, build.open.is_empty(), build.line)?;
                if !build.take(space, event)? {
                    break;
                }
            }
            Err(error) => {
                let at = usize::try_from(reader.error_position()).unwrap_or(usize::MAX);
                build.count_to(at);
                let message = format!("this is no well-formed XML: {error}; export the file anew");
                return Err(fault(build.line, "", message));
            }
        }
    }
    match (build.open.last(), build.root) {
        (None, Some(root)) => Ok(root),
        (None, None) => Err(fault(1, "", "the file holds no document: choose another")),
        (Some(node), _) => {
            let message = format!("<{}> is not closed: the file broke off, get it anew", node.name);
            Err(fault(node.line, "", message))
        }
    }
}

/// Returns the text of a file in UTF-8; a byte-order mark is dropped.
fn decoded(bytes: &[u8]) -> Result<&str, Fault> {
    if bytes.starts_with(&[0xfe, 0xff]) || bytes.starts_with(&[0xff, 0xfe]) {
        return Err(fault(1, "", "the file is in UTF-16: ask for it in UTF-8"));
    }
    let text = std::str::from_utf8(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes));
    text.map_err(|error| {
        let start = bytes.get(..error.valid_up_to()).unwrap_or_default();
        let line = 1 + start.iter().filter(|it| **it == b'\n').count();
        let line = u64::try_from(line).unwrap_or(u64::MAX);
        fault(line, "", "the file is not in UTF-8: ask for it in UTF-8")
    })
}

fn space_of(space: &ResolveResult<'_>, is_root: bool, line: u64) -> Result<Space, Fault> {
    match space {
        ResolveResult::Bound(it) => Ok(match it.as_ref().strip_prefix(COMMON) {
            Some("DespatchAdvice-2") if is_root => Space::Advice,
            Some("CommonAggregateComponents-2") => Space::Aggregate,
            Some("CommonBasicComponents-2") => Space::Basic,
            _ => Space::Other,
        }),
        ResolveResult::Unbound => Ok(Space::Other),
        ResolveResult::Unknown(prefix) => {
            let message =
                format!("the prefix '{prefix}:' has no namespace: declare it at the root");
            Err(fault(line, "", message))
        }
    }
}

struct Build<'a> {
    text: &'a str,
    line: u64,
    /// How much of the text the line is counted for.
    counted: usize,
    open: Vec<Node>,
    root: Option<Node>,
    nodes: usize,
}

impl Build<'_> {
    fn count_to(&mut self, at: usize) {
        let passed = self.text.as_bytes().get(self.counted..at.min(self.text.len()));
        let lines = passed.unwrap_or_default().iter().filter(|it| **it == b'\n').count();
        self.line = self.line.saturating_add(u64::try_from(lines).unwrap_or(0));
        self.counted = self.counted.max(at.min(self.text.len()));
    }

    fn refuse(&self, message: impl Into<String>) -> Fault {
        fault(self.line, "", message)
    }

    /// Takes one event in; says whether there is more.
    fn take(&mut self, space: Space, event: Event<'_>) -> Result<bool, Fault> {
        match event {
            Event::Start(it) => {
                let node = self.node(space, &it)?;
                self.open.push(node);
            }
            Event::Empty(it) => {
                let node = self.node(space, &it)?;
                self.close(node)?;
            }
            Event::End(_) => {
                if let Some(node) = self.open.pop() {
                    self.close(node)?;
                }
            }
            Event::Text(it) => self.write(&it.xml10_content())?,
            Event::CData(it) => self.write(&it.xml10_content())?,
            Event::GeneralRef(it) => {
                let text = self.referred(&it)?;
                self.write(&text)?;
            }
            Event::Decl(it) => {
                let encoding = it.encoding().and_then(Result::ok);
                let utf8 = |it: Cow<'_, str>| {
                    it.eq_ignore_ascii_case("utf-8") || it.eq_ignore_ascii_case("us-ascii")
                };
                if !encoding.is_none_or(utf8) {
                    return Err(self.refuse("the file says that it is not in UTF-8: ask for it so"));
                }
            }
            Event::DocType(_) => {
                return Err(self.refuse(
                    "the file has a document type (<!DOCTYPE …>), which is not read: it may name \
                     other files; ask for it without",
                ));
            }
            Event::Comment(_) | Event::PI(_) => {}
            Event::Eof => return Ok(false),
        }
        Ok(true)
    }

    fn referred(&self, it: &quick_xml::events::BytesRef<'_>) -> Result<String, Fault> {
        if let Ok(Some(character)) = it.resolve_char_ref() {
            return Ok(character.to_string());
        }
        let name: &str = it;
        let known = quick_xml::escape::resolve_predefined_entity(name);
        known.map(str::to_owned).ok_or_else(|| {
            self.refuse(format!("&{name}; is no entity of XML itself, and no other is read"))
        })
    }

    fn node(&mut self, space: Space, it: &BytesStart<'_>) -> Result<Node, Fault> {
        self.nodes += 1;
        if MOST_NODES < self.nodes || MOST_DEEP <= self.open.len() {
            let words =
                "the file is no despatch advice: it has too many elements, or too deep ones";
            return Err(self.refuse(words));
        }
        if self.root.is_some() {
            return Err(self.refuse("after the document another begins: one file holds one"));
        }
        let mut attributes = Vec::new();
        for attribute in it.attributes() {
            let wrong = |error: String| {
                self.refuse(format!("an attribute of <{}>: {error}", it.name().as_ref()))
            };
            let attribute = attribute.map_err(|error| wrong(error.to_string()))?;
            if attribute.value.contains('<') {
                return Err(wrong("'<' may not stand in it".to_owned()));
            }
            let value = attribute.normalized_value(XmlVersion::Implicit1_0);
            let value = value.map_err(|error| wrong(error.to_string()))?.into_owned();
            let key = attribute.key.as_ref().to_owned();
            if key != "xmlns" && !key.starts_with("xmlns:") {
                attributes.push((key, value));
            }
        }
        let name = it.local_name().as_ref().to_owned();
        let line = self.line;
        Ok(Node { space, name, line, attributes, children: Vec::new(), text: String::new() })
    }

    fn close(&mut self, node: Node) -> Result<(), Fault> {
        if !node.children.is_empty() && !node.text.trim().is_empty() {
            let message = format!("'{}' stands between elements", clipped(node.text.trim()));
            return Err(fault(node.line, &node.name, message));
        }
        match self.open.last_mut() {
            Some(parent) => parent.children.push(node),
            None => self.root = Some(node),
        }
        Ok(())
    }

    fn write(&mut self, text: &str) -> Result<(), Fault> {
        if let Some(it) = text.chars().find(|it| !is_xml(*it)) {
            return Err(self.refuse(format!("U+{:04X} may not stand in XML", u32::from(it))));
        }
        match self.open.last_mut() {
            Some(node) => node.text.push_str(text),
            None if text.trim().is_empty() => {}
            None => return Err(self.refuse("there is text outside the document")),
        }
        Ok(())
    }
}

/// Returns the start of a text, for a message.
pub(super) fn clipped(text: &str) -> String {
    let mut start: String = text.chars().filter(|it| !it.is_control()).take(40).collect();
    if start.len() < text.len() {
        start.push('…');
    }
    start
}
