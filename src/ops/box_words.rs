//! The box's page in the receiver's language.

use crate::domain::kits::Guide;
use crate::domain::messages::{Glossary, Language, in_manner_of, with_marks};
use crate::error::Error;
use crate::store::{Conn, orders};

use super::card::{bill, glossary, language_of};
use super::verification::{BoxStepView, BoxView, box_page};

/// Returns what the receiver of a kit sees, in that language or in the kit's own.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn box_page_in(
    conn: &mut Conn,
    number: &str,
    language: Option<Language>,
) -> Result<(Language, BoxView), Error> {
    let mut view = box_page(conn, number)?;
    let kit = orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))?;
    let options = orders::options_of(conn, kit.id)?;
    let say = language.unwrap_or_else(|| language_of(&options));
    if say == Language::default() {
        return Ok((say, view));
    }
    let words = Words { say, glossary: glossary(conn)?, guide: bill(conn, kit.bom)?.guide };
    view.build = words.list(&view.build);
    for step in &mut view.steps {
        words.step(step);
    }
    for cell in &mut view.strip.cells {
        if let Some(it) = words.guide.words.get(&(cell.number, say)) {
            cell.title = with_marks(say, &it.title);
        }
    }
    Ok((say, view))
}

struct Words {
    say: Language,
    glossary: Glossary,
    guide: Guide,
}

impl Words {
    fn of(&self, text: &str) -> String {
        in_manner_of(self.say, &self.glossary.say(self.say, text))
    }

    /// Returns a part with what tells it from its sisters behind its name.
    fn part(&self, text: &str) -> String {
        match text.strip_suffix(')').and_then(|it| it.split_once(" (")) {
            Some((name, variant)) => format!("{} ({})", self.of(name), self.of(variant)),
            None => self.of(text),
        }
    }

    /// Returns "name: value, value".
    fn list(&self, text: &str) -> String {
        let (name, values) = text.split_once(": ").unwrap_or((text, ""));
        let values: Vec<String> =
            values.split(", ").filter(|it| !it.is_empty()).map(|it| self.of(it)).collect();
        if values.is_empty() {
            return self.of(name);
        }
        format!("{}{}{}", self.of(name), self.say.colon(), values.join(", "))
    }

    fn step(&self, step: &mut BoxStepView) {
        if let Some(it) = self.guide.words.get(&(step.number, self.say)) {
            step.title = with_marks(self.say, &it.title);
            step.check = with_marks(self.say, &it.check);
            step.caution = with_marks(self.say, &it.caution);
        }
        for line in &mut step.lines {
            line.part = self.of(&line.part);
            line.variant = self.of(&line.variant);
            for held in &mut line.contents {
                held.part = self.part(&held.part);
            }
        }
        for held in &mut step.from_bags {
            held.part = self.part(&held.part);
            held.bag = self.part(&held.bag);
        }
    }
}
