mod step;

use super::PaperError;
use super::canvas::{Canvas, Frame, Style, Tone};
use super::flow::{BODY, Flow, HALF, LEFT, SMALL, WIDTH};
use super::heading::{BESIDE, QR_SIDE, TITLE, link_code, number};
use crate::domain::card::Card;

/// By how much each page may end higher, so that the last one is as full as the others.
const SHORTER: [i64; 6] = [8_000, 16_000, 24_000, 32_000, 40_000, 48_000];

/// Returns a kit's assembly card as a PDF of A4 pages.
///
/// # Errors
///
/// [`PaperError::Qr`] where the link is too long for a QR code.
pub fn assembly_card(card: &Card) -> Result<Vec<u8>, PaperError> {
    let mut evenest = laid_out(card, 0)?;
    for by_um in SHORTER {
        let shorter = laid_out(card, by_um)?;
        if evenest.pages() < shorter.pages() {
            break;
        }
        evenest = shorter;
    }
    evenest.finish()
}

fn laid_out(card: &Card, shorter_um: i64) -> Result<Flow, PaperError> {
    let say = card.language;
    let title = say.card_of_kit(&card.kit);
    let mut flow = Flow::in_language(title, say).shortened(shorter_um);
    head(&mut flow, card)?;
    before(&mut flow, card);
    flow.begin_halves();
    for it in &card.steps {
        step::draw(&mut flow, say, it);
    }
    sources(&mut flow, card);
    flow.end_halves();
    Ok(flow)
}

fn head(flow: &mut Flow, card: &Card) -> Result<(), PaperError> {
    let (say, top) = (card.language, flow.y());
    let words = [(SMALL, say.scan_for_page().to_owned())];
    let qr_bottom = link_code(flow.page(), &card.link, &words, top)?;
    let width = WIDTH - QR_SIDE - BESIDE;
    flow.paragraph(LEFT, width, BODY.quiet(), &card.shop);
    flow.paragraph(LEFT, width, TITLE, say.assembly_card());
    flow.skip(1_200);
    flow.paragraph(LEFT, width, Style::new(5_000).bold(), &card.name);
    let option = |(name, value): &(String, String)| format!("{name}{}{value}", say.colon());
    let options: Vec<String> = card.options.iter().map(option).collect();
    flow.paragraph(LEFT, width, BODY, &options.join(say.semicolon()));
    flow.paragraph(LEFT, width, BODY, &format!("{} {}. {}", say.order(), card.order, card.made_by));
    flow.skip(2_500);
    let y = flow.y();
    number(flow.page(), [LEFT, y], [say.kit(), &card.kit], 9_000)?;
    flow.skip(18_000);
    let down = qr_bottom - flow.y();
    flow.skip(down.max(0) + 2_000);
    Ok(())
}

/// Draws what is to be read before everything: cautions, the preset key, missing parts.
fn before(flow: &mut Flow, card: &Card) {
    let say = card.language;
    let top = flow.y();
    let (x, width) = (LEFT + 4_000, WIDTH - 7_000);
    flow.skip(2_200);
    flow.paragraph(x, width, Style::new(4_400).bold(), say.before_you_build());
    flow.skip(600);
    let key = card.key.iter().map(|it| &it.words);
    for words in card.cautions.iter().chain(key) {
        let y = flow.y();
        flow.page().fill(Frame::new(x, y + 1_500, 1_100, 1_100), Tone::Ink);
        flow.paragraph(x + 3_200, width - 3_200, SMALL, words);
        flow.skip(700);
    }
    flow.skip(1_200);
    let height = flow.y() - top;
    flow.page().outline(Frame::new(LEFT, top, WIDTH, height), 600, Tone::Ink);
    flow.skip(4_000);
    flow.paragraph(LEFT, WIDTH, Style::new(4_400).bold(), say.if_missing());
    flow.skip(800);
    for it in &card.missing {
        let y = flow.y();
        letter(flow.page(), [LEFT, y], it.class.letter());
        flow.paragraph(LEFT + 8_000, WIDTH - 8_000, SMALL, &it.words);
        flow.skip(1_500);
    }
    flow.paragraph(LEFT, WIDTH, SMALL.bold(), &say.tell_on_page(&card.shop, &card.kit));
    if card.has_untranslated {
        flow.paragraph(LEFT, WIDTH, SMALL, say.not_translated());
    }
    flow.skip(4_000);
}

/// Draws a class letter in its box.
fn letter(page: &mut Canvas, [x, y]: [i64; 2], letter: &str) {
    let frame = Frame::new(x, y, 4_200, 4_200);
    page.outline(frame, 300, Tone::Ink);
    page.text_centred(x + 2_100, y + 3_150, Style::new(2_900).bold(), letter);
}

fn sources(flow: &mut Flow, card: &Card) {
    let say = card.language;
    if card.sources.is_empty() {
        return;
    }
    flow.need(24_000);
    let left = flow.left();
    flow.paragraph(left, HALF, BODY.bold(), say.sources());
    for it in &card.sources {
        flow.skip(600);
        flow.need(2 * SMALL.leading());
        let left = flow.left();
        flow.paragraph(left, HALF, SMALL, it);
    }
}
