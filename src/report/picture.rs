//! Pictures as plain data: curves, planes and layers, without a place on any page.

/// Places to the right and up.
pub type Places = Vec<(f64, f64)>;

/// A picture as plain data; how it is drawn is the business of who shows it.
#[derive(Clone, PartialEq, Debug)]
pub enum Picture {
    /// Lines of signs whose spaces mean something.
    Signs(Vec<String>),
    /// Layers one above the other.
    Layers(Layers),
    /// A curve.
    Curve(Curve),
    /// Lines in a square plane.
    Plane(Plane),
}

/// Layers one above the other, each drawn with a few signs and told beside it.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Layers {
    /// What stands above them, a line each.
    pub above: Vec<String>,
    /// The layers, from the top.
    pub layers: Vec<Layer>,
}

/// One of several layers.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Layer {
    /// Its signs.
    pub signs: String,
    /// What it is.
    pub words: String,
    /// How thick it is.
    pub size: String,
}

/// A curve in a frame, over 0 to 1 both ways: what lies beyond is held at the edge.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Curve {
    /// Its points, in rising order of the first number.
    pub line: Places,
    /// Another one, drawn thinly.
    pub thin: Places,
    /// Marks beside them.
    pub marks: Places,
    /// What the upper and the lower edge stand for, at most 12 characters each.
    pub beside: [String; 2],
    /// What the left and the right edge stand for.
    pub below: [String; 2],
    /// What the middle of the left edge and of the lower one stand for; empty where nothing is said.
    pub middles: [String; 2],
    /// Places of the lower edge at which an upright is drawn.
    pub uprights: Vec<f64>,
    /// What is what, such as "whole: proposal 1"; a line each, below.
    pub names: Vec<String>,
}

/// A square plane with both axes through 0; what lies beyond its edges is left out.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Plane {
    /// The least and the greatest value along both edges; the least is below 0.
    pub range: (f64, f64),
    /// Lines.
    pub lines: Vec<Places>,
    /// Lines that are drawn thinly.
    pub thin: Vec<Places>,
    /// Marks with their signs.
    pub marks: Vec<((f64, f64), char)>,
    /// The unit of measure of both edges.
    pub unit: &'static str,
    /// What is what, as of a curve.
    pub names: Vec<String>,
}
