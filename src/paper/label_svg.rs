use std::fmt::Write as _;

use super::font::{printable, set_in, text_width};
use crate::domain::labels::{Layout, Mark, Weight};

/// Returns a picture of a label as SVG, a unit to the micrometre: what the PDF prints, to look at.
///
/// It has no style and no script. Words are shown in the reader's own sans serif, spread or
/// pressed to the width that they have in print.
pub fn label_svg(layout: &Layout, marks: &[Mark]) -> String {
    let (width, height) = (layout.width_um, layout.height_um);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\" \
         aria-label=\"{} label\"><rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>",
        escaped(&layout.name)
    );
    for mark in marks {
        let _ = match mark {
            Mark::Text { x_um, baseline_um, size_um, weight, text } => {
                let (family, bold) = match set_in(*weight, text) {
                    Weight::Regular => ("DejaVu Sans,Verdana,sans-serif", "400"),
                    Weight::Bold => ("DejaVu Sans,Verdana,sans-serif", "700"),
                    Weight::Mono => ("DejaVu Sans Mono,monospace", "700"),
                };
                let long = text_width(text, *weight, *size_um);
                let text = escaped(&printable(text));
                write!(
                    svg,
                    "<text x=\"{x_um}\" y=\"{baseline_um}\" font-family=\"{family}\" \
                     font-weight=\"{bold}\" font-size=\"{size_um}\" textLength=\"{long}\" \
                     lengthAdjust=\"spacingAndGlyphs\">{text}</text>"
                )
            }
            Mark::Symbol { x_um, y_um, height_um, module_um, symbol } => {
                svg.push_str("<path shape-rendering=\"crispEdges\" d=\"");
                for [x, y, width, height] in symbol.dark(*module_um, *height_um) {
                    let (x, y) = (x_um + x, y_um + y);
                    let _ = write!(svg, "M{x} {y}h{width}v{height}h-{width}z");
                }
                write!(svg, "\"/>")
            }
            Mark::Box { x_um, y_um, width_um, height_um, line_um: None } => write!(
                svg,
                "<rect x=\"{x_um}\" y=\"{y_um}\" width=\"{width_um}\" height=\"{height_um}\"/>"
            ),
            Mark::Box { x_um, y_um, width_um, height_um, line_um: Some(line) } => write!(
                svg,
                "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"none\" \
                 stroke=\"#000\" stroke-width=\"{line}\"/>",
                x_um + line / 2,
                y_um + line / 2,
                width_um - line,
                height_um - line
            ),
        };
    }
    svg.push_str("</svg>");
    svg
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
