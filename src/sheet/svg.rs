//! A page as a picture (SVG 1.1, second edition), for places that show no PDF.

use super::measure::{Face, POINT, width};
use super::page::{Item, Page, runs};
use std::fmt::Write as _;

/// A number with two digits behind the point at the most: a hundredth of a millimetre is finer than any screen.
fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    match text {
        "-0" => "0".to_string(),
        text => text.to_string(),
    }
}

/// A grey from 0, black, to 1, white.
fn grey(level: f64) -> String {
    let level = (level * 255.0).round() as u8;
    format!("#{level:02x}{level:02x}{level:02x}")
}

/// Words between elements and in attributes.
pub(super) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

fn path(points: &[(f64, f64)]) -> String {
    let points: Vec<String> = points
        .iter()
        .map(|(x, y)| format!("{},{}", short(*x), short(*y)))
        .collect();
    points.join(" ")
}

/// The class of a face in the style of the picture.
fn class(face: Face) -> &'static str {
    match face {
        Face::Regular => "r",
        Face::Bold => "b",
        Face::Mono => "m",
    }
}

/// The picture of a page, a millimetre a unit. Each text says how wide it is, so that it is that wide in any font.
pub(super) fn picture(page: &Page) -> String {
    let (wide, high) = (short(page.width), short(page.height));
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {wide} {high}\" width=\"{wide}mm\" height=\"{high}mm\">\n\
         <style>text{{font-family:\"DejaVu Sans Condensed\",\"DejaVu Sans\",sans-serif;white-space:pre}}.b{{font-weight:bold}}\
         .m{{font-family:\"DejaVu Sans Mono\",monospace}}</style>\n\
         <rect width=\"{wide}\" height=\"{high}\" fill=\"#ffffff\"/>\n"
    );
    for drawn in page.items.iter().filter_map(drawn) {
        // writing to a text can not fail
        let _ = writeln!(out, "{drawn}");
    }
    out.push_str("</svg>\n");
    out
}

/// What is told of a picture in a page to who does not see it, marked up already.
pub(super) struct Told {
    /// What tells it from the other pictures of the page.
    pub id: String,
    /// What it is.
    pub title: String,
    /// What it shows.
    pub says: String,
}

/// A picture in a page of HTML, a millimetre a unit: at most as wide as it says, in the letters of the page.
pub(super) fn inline(width: f64, height: f64, items: &[Item], told: &Told) -> String {
    let (wide, high) = (short(width), short(height));
    let Told { id, title, says } = told;
    let mut out = format!(
        "<svg viewBox=\"0 0 {wide} {high}\" width=\"{wide}mm\" height=\"{high}mm\" role=\"img\" \
         aria-labelledby=\"{id}t {id}d\">\n<title id=\"{id}t\">{title}</title>\n<desc id=\"{id}d\">{says}</desc>\n"
    );
    for drawn in items.iter().filter_map(drawn) {
        // writing to a text can not fail
        let _ = writeln!(out, "{drawn}");
    }
    out.push_str("</svg>\n");
    out
}

/// What is seen of an item.
fn drawn(item: &Item) -> Option<String> {
    Some(match item {
        Item::Tag(_) => return None,
        Item::Text {
            x,
            y,
            size,
            face,
            text,
            grey: level,
        } => format!(
            "<text class=\"{}\" x=\"{}\" y=\"{}\" font-size=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\" \
             fill=\"{}\">{}</text>",
            class(*face),
            short(*x),
            short(*y),
            short(size * POINT),
            short(width(text, *face, *size)),
            grey(*level),
            escaped(text)
        ),
        Item::Mark {
            x,
            y,
            size,
            turn,
            text,
            grey: level,
        } => format!(
            "<text class=\"b\" transform=\"translate({} {}) rotate({})\" font-size=\"{}\" fill=\"{}\">{}</text>",
            short(*x),
            short(*y),
            short(-turn),
            short(size * POINT),
            grey(*level),
            escaped(text)
        ),
        Item::Line {
            points,
            thickness,
            grey: level,
            dash,
        } => {
            let dashes = match *dash > 0.0 {
                true => format!(" stroke-dasharray=\"{}\"", short(*dash)),
                false => String::new(),
            };
            format!(
                "<polyline points=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"{dashes}/>",
                path(points),
                grey(*level),
                short(*thickness)
            )
        }
        Item::Code { x, y, module, rows } => {
            let runs = runs(rows).map(|(row, from, to)| {
                let (left, top) = (x + from as f64 * module, y + row as f64 * module);
                let wide = (to - from) as f64 * module;
                format!(
                    "M{} {}h{}v{}h{}z",
                    short(left),
                    short(top),
                    short(wide),
                    short(*module),
                    short(-wide)
                )
            });
            format!("<path d=\"{}\"/>", runs.collect::<String>())
        }
        Item::Polygon {
            points,
            fill,
            outline,
        } => {
            let fill = fill.map_or("none".to_string(), grey);
            let edge = match *outline > 0.0 {
                true => format!(" stroke=\"#000000\" stroke-width=\"{}\"", short(*outline)),
                false => String::new(),
            };
            format!("<polygon points=\"{}\" fill=\"{fill}\"{edge}/>", path(points))
        }
    })
}
