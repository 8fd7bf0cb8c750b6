//! The items of a page as operations of a PDF, each marked as content of its part or as furniture.

use super::measure::{Face, POINT, in_fonts};
use super::page::{Item, Page, runs};
use super::tree::Tree;
use printpdf::{
    Color, CurTransMat, DictItem, FontId, Greyscale, Line, LineDashPattern, LinePoint, Op, PaintMode,
    PdfFontHandle, Point, Polygon, PolygonRing, Pt, TextItem, TextMatrix, WindingOrder,
};

/// The name of a face in the file; without one, of the font that was handed in.
pub(super) fn id(face: Option<Face>) -> FontId {
    FontId(
        match face {
            Some(Face::Regular) => "regular",
            Some(Face::Bold) => "bold",
            Some(Face::Mono) => "mono",
            None => "given",
        }
        .to_string(),
    )
}

/// Points from the lower left corner, rounded so that no last bit of a sine reaches the file.
fn points(mm: f64) -> Pt {
    Pt(((mm / POINT * 100.0).round() / 100.0) as f32)
}

fn grey(value: f64) -> Color {
    Color::Greyscale(Greyscale {
        percent: value as f32,
        icc_profile: None,
    })
}

fn corners(points_mm: &[(f64, f64)], height: f64) -> Vec<LinePoint> {
    points_mm
        .iter()
        .map(|(x, y)| LinePoint {
            p: Point {
                x: points(*x),
                y: points(height - y),
            },
            bezier: false,
        })
        .collect()
}

/// The operations of a page, without those that would set what is set already: they are a third of the file.
struct Pen<'a> {
    ops: Vec<Op>,
    tree: &'a mut Tree,
    /// The part that what comes next belongs to.
    part: Option<usize>,
    /// What is being marked: a part, or furniture.
    open: Option<Option<usize>>,
    fill: Option<u64>,
    edge: Option<u64>,
    thickness: Option<u64>,
    dash: Option<u64>,
    font: Option<(Option<Face>, u64)>,
}

/// Remembers a value; whether it is another than before.
fn changed(slot: &mut Option<u64>, value: f64) -> bool {
    let bits = value.to_bits();
    slot.replace(bits) != Some(bits)
}

impl<'a> Pen<'a> {
    fn new(tree: &'a mut Tree) -> Pen<'a> {
        Pen {
            ops: Vec::new(),
            tree,
            part: None,
            open: None,
            fill: None,
            edge: None,
            thickness: None,
            dash: None,
            font: None,
        }
    }

    /// Marks what comes next as content of a part, or as furniture (ISO 32000-2, 14.8.2.2).
    fn mark(&mut self, part: Option<usize>) {
        if self.open == Some(part) {
            return;
        }
        self.close();
        self.open = Some(part);
        self.ops.push(match part {
            None => Op::BeginMarkedContent {
                tag: "Artifact".to_string(),
            },
            Some(node) => {
                let number = DictItem::Int(self.tree.content(node));
                Op::BeginMarkedContentWithProperties {
                    tag: self.tree.kind(node).to_string(),
                    properties: DictItem::Dict {
                        map: [("MCID".to_string(), number)].into(),
                    },
                }
            }
        });
    }

    /// Marks what is drawn: only of a figure it is content.
    fn mark_drawn(&mut self) {
        self.mark(self.part.filter(|node| self.tree.is_drawn(*node)));
    }

    fn close(&mut self) {
        if self.open.take().is_some() {
            self.ops.push(Op::EndMarkedContent);
        }
    }

    fn fill(&mut self, level: f64) {
        if changed(&mut self.fill, level) {
            self.ops.push(Op::SetFillColor { col: grey(level) });
        }
    }

    /// `dash` 0 is a whole line.
    fn edge(&mut self, level: f64, thickness: f64, dash: f64) {
        if changed(&mut self.edge, level) {
            self.ops.push(Op::SetOutlineColor { col: grey(level) });
        }
        if changed(&mut self.thickness, thickness) {
            self.ops.push(Op::SetOutlineThickness {
                pt: points(thickness),
            });
        }
        if changed(&mut self.dash, dash) {
            let lengths = [points(dash).0];
            let pattern = if dash > 0.0 { &lengths[..] } else { &[] };
            self.ops.push(Op::SetLineDashPattern {
                dash: LineDashPattern::new(0.0, pattern),
            });
        }
    }

    /// Writes `text` where `place` moves the cursor to.
    fn write(&mut self, text: &str, face: Face, size: f64, level: f64, place: Op) {
        self.fill(level);
        // a place is relative to the one before within a section, so each string has its own section
        self.ops.push(Op::StartTextSection);
        let mut place = Some(place);
        for (given, piece) in in_fonts(text, face) {
            let which = (!given).then_some(face);
            let font = Some((which, size.to_bits()));
            if self.font != font {
                self.font = font;
                self.ops.push(Op::SetFont {
                    font: PdfFontHandle::External(id(which)),
                    size: Pt((size * 100.0).round() as f32 / 100.0),
                });
            }
            self.ops.extend(place.take());
            let items = vec![TextItem::Text(piece.to_string())];
            self.ops.push(Op::ShowText { items });
        }
        self.ops.push(Op::EndTextSection);
    }
}

/// The operations of a page; what is on it takes its place in the tree.
pub(super) fn operations(page: &Page, tree: &mut Tree) -> Vec<Op> {
    tree.turn();
    let mut pen = Pen::new(tree);
    let at = |x: f64, y: f64| Point {
        x: points(x),
        y: points(page.height - y),
    };
    for item in &page.items {
        match item {
            Item::Tag(tag) => pen.part = tag.as_ref().map(|tag| pen.tree.node(tag)),
            Item::Text {
                x,
                y,
                size,
                face,
                text,
                grey: level,
            } => {
                let place = Op::SetTextCursor { pos: at(*x, *y) };
                pen.mark(pen.part);
                if let Some(node) = pen.part {
                    pen.tree
                        .says(node, text, points(page.height - y + size * POINT).0);
                }
                pen.write(text, *face, *size, *level, place);
            }
            Item::Mark {
                x,
                y,
                size,
                turn,
                text,
                grey: level,
            } => {
                let from = at(*x, *y);
                pen.mark(None);
                let matrix = TextMatrix::TranslateRotate(from.x, from.y, *turn as f32);
                pen.write(text, Face::Bold, *size, *level, Op::SetTextMatrix { matrix });
            }
            Item::Line {
                points: path,
                thickness,
                grey: level,
                dash,
            } => {
                pen.mark_drawn();
                pen.edge(*level, *thickness, *dash);
                pen.ops.push(Op::DrawLine {
                    line: Line {
                        points: corners(path, page.height),
                        is_closed: false,
                    },
                });
            }
            Item::Code { x, y, module, rows } => {
                pen.mark_drawn();
                pen.fill(0.0);
                // one path for the whole symbol: single squares would show hairlines between them; in modules from its upper
                // left corner, which takes a tenth of the bytes
                let (corner, side) = (at(*x, *y), (module / POINT * 1e4).round() as f32 / 1e4);
                let matrix = CurTransMat::Raw([side, 0.0, 0.0, -side, corner.x.0, corner.y.0]);
                pen.ops.push(Op::SaveGraphicsState);
                pen.ops.push(Op::SetTransformationMatrix { matrix });
                let raw = |key: &str, value: Vec<DictItem>| Op::Unknown {
                    key: key.to_string(),
                    value,
                };
                pen.ops.extend(runs(rows).map(|(row, from, to)| {
                    let place = [from, row, to - from, 1].map(|number| DictItem::Int(number as i64));
                    raw("re", place.into())
                }));
                pen.ops.push(raw("f", Vec::new()));
                pen.ops.push(Op::RestoreGraphicsState);
            }
            Item::Polygon {
                points: path,
                fill,
                outline,
            } => {
                let mode = match (fill.is_some(), *outline > 0.0) {
                    (true, true) => PaintMode::FillStroke,
                    (false, true) => PaintMode::Stroke,
                    (true, false) => PaintMode::Fill,
                    (false, false) => continue,
                };
                pen.mark_drawn();
                if let Some(level) = fill {
                    pen.fill(*level);
                }
                if *outline > 0.0 {
                    pen.edge(0.0, *outline, 0.0);
                }
                pen.ops.push(Op::DrawPolygon {
                    polygon: Polygon {
                        rings: vec![PolygonRing {
                            points: corners(path, page.height),
                        }],
                        mode,
                        winding_order: WindingOrder::NonZero,
                    },
                });
            }
        }
    }
    pen.close();
    pen.ops
}
