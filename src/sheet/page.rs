//! A page as plain data.

use super::measure::{ASCENT, DESCENT, Face, POINT, width};
use super::tags::Tag;

/// A size of paper.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Paper {
    /// 210 mm by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 in by 11 in (ANSI/ASME Y14.1, size A).
    Letter,
}

impl Paper {
    /// Width and height in millimetres.
    pub fn size(self) -> (f64, f64) {
        match self {
            Paper::A4 => (210.0, 297.0),
            Paper::Letter => (215.9, 279.4),
        }
    }
}

/// The empty edges of a page, in millimetres. The left one is wide enough to be punched.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Margins {
    /// On the left.
    pub left: f64,
    /// On the right.
    pub right: f64,
    /// At the top.
    pub top: f64,
    /// At the bottom.
    pub bottom: f64,
}

impl Margins {
    /// The margins of every sheet.
    pub const SHEET: Margins = Margins {
        left: 20.0,
        right: 13.0,
        top: 12.0,
        bottom: 11.0,
    };
}

/// A page of a sheet.
#[derive(Clone, PartialEq, Debug)]
pub struct Page {
    /// Width in millimetres.
    pub width: f64,
    /// Height in millimetres.
    pub height: f64,
    /// The edges that stay empty.
    pub margins: Margins,
    /// What is on it; the first lies lowest.
    pub items: Vec<Item>,
}

/// Something at a place on a page. Places are in millimetres from the upper left corner; greys run from 0, black, to
/// 1, white; sizes of type are in points.
#[derive(Clone, PartialEq, Debug)]
pub enum Item {
    /// A line of text.
    Text {
        /// Where it begins.
        x: f64,
        /// Its baseline.
        y: f64,
        /// Size in points.
        size: f64,
        /// Typeface.
        face: Face,
        /// The words.
        text: String,
        /// Grey.
        grey: f64,
    },
    /// A large word across the page, behind everything else.
    Mark {
        /// Where it begins.
        x: f64,
        /// Where its baseline begins.
        y: f64,
        /// Size in points.
        size: f64,
        /// How far it is turned to the left, in degrees.
        turn: f64,
        /// The word.
        text: String,
        /// Grey.
        grey: f64,
    },
    /// A line through points.
    Line {
        /// The points.
        points: Vec<(f64, f64)>,
        /// Thickness in millimetres.
        thickness: f64,
        /// Grey.
        grey: f64,
        /// Length of dashes and of the gaps between them in millimetres; 0 for a whole line.
        dash: f64,
    },
    /// Squares in rows, black where it is true.
    Code {
        /// The left edge.
        x: f64,
        /// The upper edge.
        y: f64,
        /// The side of a square in millimetres.
        module: f64,
        /// The rows from the top, each from the left.
        rows: Vec<Vec<bool>>,
    },
    /// An area.
    Polygon {
        /// Its corners.
        points: Vec<(f64, f64)>,
        /// Grey of the area; `None` leaves it clear.
        fill: Option<f64>,
        /// Thickness in millimetres of a black outline; 0 for none.
        outline: f64,
    },
    /// Nothing that is seen: what follows on the page belongs to this part of it, up to the next of these. Without a part it
    /// is furniture, which nobody has read out.
    Tag(Option<Tag>),
}

impl Item {
    /// The least rectangle around it: left, top, right, bottom. For text it reaches from the top of an accent to the
    /// foot of the lowest letter. Around what is not seen it is empty, its left edge right of its right one.
    pub fn bounds(&self) -> (f64, f64, f64, f64) {
        match self {
            Item::Text {
                x,
                y,
                size,
                face,
                text,
                ..
            } => {
                let em = size * POINT;
                (
                    *x,
                    y - ASCENT * em,
                    x + width(text, *face, *size),
                    y + DESCENT * em,
                )
            }
            Item::Mark {
                x,
                y,
                size,
                turn,
                text,
                ..
            } => {
                let (sin, cos) = turn.to_radians().sin_cos();
                let (long, em) = (width(text, Face::Bold, *size), size * POINT);
                let corner = |along: f64, up: f64| (x + along * cos - up * sin, y - along * sin - up * cos);
                around(&[
                    corner(0.0, 0.0),
                    corner(long, 0.0),
                    corner(0.0, ASCENT * em),
                    corner(long, ASCENT * em),
                ])
            }
            Item::Code { x, y, module, rows } => {
                let wide = rows.first().map_or(0, Vec::len) as f64 * module;
                (*x, *y, x + wide, y + rows.len() as f64 * module)
            }
            Item::Line { points, .. } | Item::Polygon { points, .. } => around(points),
            Item::Tag(_) => around(&[]),
        }
    }

    /// From here on items belong to this part.
    pub(super) fn begins(tag: &Tag) -> Item {
        Item::Tag(Some(tag.clone()))
    }

    /// The same, moved.
    pub(super) fn moved(mut self, right: f64, down: f64) -> Item {
        match &mut self {
            Item::Text { x, y, .. } | Item::Mark { x, y, .. } | Item::Code { x, y, .. } => {
                *x += right;
                *y += down;
            }
            Item::Line { points, .. } | Item::Polygon { points, .. } => {
                for point in points {
                    point.0 += right;
                    point.1 += down;
                }
            }
            Item::Tag(_) => {}
        }
        self
    }
}

/// The runs of true in rows: the row, where one begins, and where it has ended.
pub(super) fn runs(rows: &[Vec<bool>]) -> impl Iterator<Item = (usize, usize, usize)> {
    rows.iter().enumerate().flat_map(|(n, row)| {
        let mut from = 0;
        row.chunk_by(|a, b| a == b).filter_map(move |run| {
            let begins = from;
            from += run.len();
            (run.first() == Some(&true)).then_some((n, begins, from))
        })
    })
}

fn around(points: &[(f64, f64)]) -> (f64, f64, f64, f64) {
    points.iter().fold(
        (f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY),
        |b, p| (b.0.min(p.0), b.1.min(p.1), b.2.max(p.0), b.3.max(p.1)),
    )
}

impl Page {
    /// The words of the page, line by line from the top, the pieces of a line from the left.
    pub fn text(&self) -> String {
        let mut pieces: Vec<(i64, f64, &str)> = self
            .items
            .iter()
            .filter_map(|item| match item {
                // pieces whose baselines are within a fifth of a millimetre make a line
                Item::Text { x, y, text, .. } => Some(((y * 5.0).round() as i64, *x, text.as_str())),
                Item::Mark { text, .. } => Some((0, 0.0, text.as_str())),
                _ => None,
            })
            .collect();
        pieces.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut out = String::new();
        let mut last = None;
        for (y, _, text) in pieces {
            if let Some(before) = last {
                out.push_str(if before == y { "  " } else { "\n" });
            }
            out.push_str(text);
            last = Some(y);
        }
        out
    }
}
