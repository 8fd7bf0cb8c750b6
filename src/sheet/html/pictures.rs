//! What is drawn, as pictures in the page, with words beside each for who does not see it.

use super::super::blocks::Strip;
use super::super::code::Symbol;
use super::super::flow::ROOMY;
use super::super::numbers::firm;
use super::super::page::Item;
use super::super::svg::{Told, inline};
use super::super::{plot, stack};
use super::markup::{Markup, escaped};
use crate::quantity::Units;
use crate::record::{Curve, Pack};

/// How wide a plot is, in millimetres: its letters are still read where a phone makes it as narrow as itself.
const PLOT: f64 = 120.0;
/// How wide readings over their windows are, in millimetres: what they mean stands on one line below them.
const STRIP: f64 = 132.0;
/// How wide the drawing of a pack is, in millimetres.
const PACK: f64 = 82.0;
/// The side of a module of a code on a screen, in millimetres.
const MODULE: f64 = 0.5;

/// A picture with its words. `number` tells the pictures of a page apart.
fn picture(
    out: &mut Markup,
    number: &mut usize,
    (wide, high): (f64, f64),
    items: &[Item],
    title: &str,
    says: &str,
) {
    *number += 1;
    let told = Told {
        id: format!("p{number}"),
        title: escaped(title),
        says: escaped(says),
    };
    out.push(&inline(wide, high, items, &told));
}

/// The packs, each by itself.
pub(super) fn packs(out: &mut Markup, number: &mut usize, packs: &[Pack], units: Units) {
    let (drawings, how) = stack::apart(packs, units, PACK);
    out.open("figure", "");
    out.open("div", "class=\"figures\"");
    for (pack, (high, items)) in drawings {
        let layers: Vec<String> = pack
            .layers
            .iter()
            .map(|layer| {
                let named = [layer.name.as_str(), layer.kind.word()].join(" ");
                format!("{} {}", named.trim(), firm(&layer.thickness.show(units)))
            })
            .collect();
        let title = format!(
            "{} pack, from the case wall to the pressure ring",
            pack.side.word()
        );
        picture(
            out,
            number,
            (PACK, high),
            &items,
            &title,
            &format!("{}.", layers.join(", ")),
        );
    }
    out.close("div");
    out.words("figcaption", "", &how);
    out.close("figure");
}

/// The lock curve.
pub(super) fn curve(out: &mut Markup, number: &mut usize, of: &Curve, units: Units) {
    let (high, items) = plot::curve(of, units, PLOT, ROOMY.curve * 1.2);
    let says = plot::curve_says(of, units);
    out.open("figure", "");
    picture(out, number, (PLOT, high), &items, "Lock curve", &says);
    out.close("figure");
}

/// Breakaway readings over their windows.
pub(super) fn strip(out: &mut Markup, number: &mut usize, of: &Strip) {
    let (high, items) = plot::strip(of, STRIP);
    let title = "Breakaway readings over their windows";
    out.open("figure", "");
    picture(out, number, (STRIP, high), &items, title, &plot::strip_says(of));
    out.close("figure");
}

/// A code that a phone reads.
pub(super) fn code(out: &mut Markup, number: &mut usize, symbol: &Symbol, title: &str, says: &str) {
    let (side, item) = symbol.placed(MODULE);
    picture(out, number, (side, side), &[item], title, says);
}
