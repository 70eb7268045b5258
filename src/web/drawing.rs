//! Drawings as SVG inside a page: shapes become elements with plain attributes, so that the page
//! carries no style of its own.

use std::fmt::Write as _;

use crate::domain::drawing::{Anchor, Drawing, Point, Shade, Shape};
use crate::domain::pictures::{Picture, UNIT_UM};

/// Returns the drawing as an SVG element with its title and text alternative.
pub fn svg(drawing: &Drawing) -> String {
    let mut out = String::new();
    let name = drawing.name.as_str();
    let (width, height) = (drawing.width_um, drawing.height_um);
    let alt = escaped(&drawing.alt);
    let _ = write!(
        out,
        "<svg class=\"drawing {name}\" viewBox=\"0 0 {width} {height}\" role=\"img\" \
         aria-label=\"{alt}\" stroke-linecap=\"round\" stroke-linejoin=\"round\">"
    );
    for shape in &drawing.shapes {
        draw(&mut out, shape);
    }
    out.push_str("</svg>");
    out
}

/// Returns the picture as an SVG element with its text alternative. It states its own size, so that
/// its words are as large as those around it; what is wider than the page is scrolled.
pub fn picture(picture: &Picture) -> String {
    let mut out = String::new();
    let Picture { width_um, height_um, .. } = picture;
    let (width, height) = (width_um / UNIT_UM, height_um / UNIT_UM);
    let alt = escaped(&picture.alt);
    let _ = write!(
        out,
        "<svg class=\"picture\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {width_um} {height_um}\" role=\"img\" aria-label=\"{alt}\">"
    );
    for shape in &picture.shapes {
        draw(&mut out, shape);
    }
    out.push_str("</svg>");
    out
}

fn draw(out: &mut String, shape: &Shape) {
    // Writing to a string can't fail.
    let _ = match shape {
        Shape::Line { points, width_um } => write!(
            out,
            "<polyline points=\"{}\" fill=\"none\" stroke=\"#111\" stroke-width=\"{width_um}\"/>",
            places(points)
        ),
        Shape::Area { points, shade } => {
            write!(out, "<polygon points=\"{}\" fill=\"{}\"/>", places(points), fill(*shade))
        }
        Shape::Text { at, size_um, anchor, bold, text } => write!(
            out,
            "<text x=\"{}\" y=\"{}\" font-size=\"{size_um}\" text-anchor=\"{}\"{}>{}</text>",
            at.x_um,
            at.y_um,
            match anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            },
            if *bold { " font-weight=\"700\"" } else { "" },
            escaped(text)
        ),
    };
}

fn places(points: &[Point]) -> String {
    let place = |it: &Point| format!("{},{}", it.x_um, it.y_um);
    points.iter().map(place).collect::<Vec<_>>().join(" ")
}

const fn fill(shade: Shade) -> &'static str {
    match shade {
        Shade::White => "#fff",
        Shade::Pale => "#ddd",
        Shade::Ink => "#111",
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use crate::domain::drawing::{DrawingFacts, DrawingName, draw};
    use crate::domain::messages::Language;

    #[test]
    fn every_drawing_becomes_one_element_with_its_text_alternative() {
        let mut all = String::from("<!doctype html><meta charset=utf-8><body>");
        for language in Language::ALL {
            let facts = DrawingFacts {
                language,
                lower_bearing: "HS1<4C".to_owned(),
                ..DrawingFacts::default()
            };
            for name in DrawingName::ALL {
                let drawing = draw(name, &facts);
                let svg = super::svg(&drawing);
                let words = drawing.alt.split(' ').next().unwrap();
                assert!(svg.contains(&format!("aria-label=\"{words}")));
                assert!(!svg.contains("style") && !svg.contains("HS1<4C"), "{svg}");
                all.push_str(&svg);
            }
        }
        if let Ok(folder) = std::env::var("KITWRIGHT_PAGES") {
            let style = "<style>svg{width:300px;border:1px solid #aaa;margin:4px;font-family:DejaVu Sans}</style>";
            std::fs::write(format!("{folder}/drawings.html"), all + style).unwrap();
        }
    }
}
