use super::DrawingName;

/// A place in a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Point {
    /// Micrometres from the left edge.
    pub x_um: i64,
    /// Micrometres from the upper edge.
    pub y_um: i64,
}

/// How dark an area is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shade {
    /// As the paper.
    White,
    /// Still told from white on a poor printer.
    Pale,
    /// As the lines.
    Ink,
}

/// Where a text stands against its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// It lies around it.
    Middle,
    /// It ends there.
    End,
}

/// One thing to draw. Later shapes lie over earlier ones.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shape {
    /// Straight lines from point to point.
    Line {
        /// The points.
        points: Vec<Point>,
        /// How thick it is.
        width_um: i64,
    },
    /// A filled polygon without an outline.
    Area {
        /// Its corners.
        points: Vec<Point>,
        /// How dark it is.
        shade: Shade,
    },
    /// One line of words.
    Text {
        /// Where it stands, on its base line.
        at: Point,
        /// The size of an em.
        size_um: i64,
        /// What of it stands there.
        anchor: Anchor,
        /// Whether it is bold.
        bold: bool,
        /// The words.
        text: String,
    },
}

impl Shape {
    /// Returns the points that the shape is made of.
    pub fn points(&self) -> Vec<Point> {
        match self {
            Self::Line { points, .. } | Self::Area { points, .. } => points.clone(),
            Self::Text { at, .. } => vec![*at],
        }
    }
}

/// A finished drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drawing {
    /// Which one it is.
    pub name: DrawingName,
    /// How wide it is.
    pub width_um: i64,
    /// How high it is.
    pub height_um: i64,
    /// What it shows, in a few words.
    pub title: String,
    /// The same in full, for who can't see it.
    pub alt: String,
    /// What the kit's own parts come to in it, in whole sentences.
    pub notes: Vec<String>,
    /// Whether it is only right at its own size.
    pub true_scale: bool,
    /// What to draw, in order.
    pub shapes: Vec<Shape>,
}
