//! A form becomes pages: title, stages, notes, and what stands at the top and the foot of each page.

use super::flow::Piece;
use super::form_parts::{BOX, INSIDE, NUMBER, SMALL, WORDS, lay, outline, place};
use super::layout::{FOOT, RUNNING, assemble, fill};
use super::measure::{ASCENT, Face, POINT, fit, width, wrap};
use super::page::{Item, Margins, Page, Paper};
use super::page_elements::{bar, font_piece, foot, line_height, rule, tagged, text};
use super::tags::{Role, Tag};
use crate::record::form::{Form, FormStage};
use crate::record::phrase::{Phrase, Spoken};
use crate::workshop::Safety;
use crate::workshop::language::Language;

/// Lines for notes at the end: as many as the last page has room for.
const NOTES: std::ops::RangeInclusive<usize> = 2..=6;
/// The groups of four signs of a digest that are printed.
const GROUPS: usize = 4;

/// The title for the file and for the tops of the pages.
pub(super) fn title(form: &Form) -> String {
    format!("{} · {} ({})", form.procedure.title, form.unit_name, form.unit_id)
}

/// The language of the words of a form.
pub(super) fn language(form: &Form) -> &str {
    match form.procedure.spoken.language.as_str() {
        // as on every other sheet
        "en" => "en-GB",
        other => other,
    }
}

pub(super) fn pages(form: &Form, paper: Paper) -> Vec<Page> {
    let (wide, high) = paper.size();
    let margins = Margins::SHEET;
    let room = wide - margins.left - margins.right;
    let bottom = high - margins.top - margins.bottom - FOOT;
    let mut heads = Vec::new();
    let mut pieces = opening(form, room);
    for stage in &form.stages {
        pieces.push(head(stage, &form.procedure.spoken, room).glued());
        for part in &stage.parts {
            pieces.extend(lay(part, &form.procedure.spoken, room, &mut heads));
        }
    }
    pieces.extend(font_piece(room));
    // one section: nothing on a form may change its place
    let with_notes = |lines| {
        fill(
            vec![[pieces.clone(), notes(lines, &form.procedure.spoken, room)].concat()],
            &heads,
            RUNNING,
            bottom,
        )
        .0
    };
    // a page for nothing but lines is no help
    let mut bodies = with_notes(*NOTES.start());
    for lines in NOTES.skip(1) {
        let more = with_notes(lines);
        if more.len() > bodies.len() {
            break;
        }
        bodies = more;
    }
    let floor = high - margins.top - margins.bottom;
    assemble(bodies, paper, |_, number, count| {
        frame(form, room, floor, number, count)
    })
}

/// The top of the first page: what it is for, how it is used, who comes first.
fn opening(form: &Form, room: f64) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let size = 15.0;
    let name = Tag::of(Role::Title);
    for line in wrap(&title(form), Face::Bold, size, room) {
        let y = ASCENT * size * POINT;
        pieces.push(
            Piece::new(
                0.0,
                line_height(size),
                vec![Item::begins(&name), text(0.0, y, size, Face::Bold, &line, 0.0)],
            )
            .glued(),
        );
    }
    let spoken = &form.procedure.spoken;
    let first = Language::of(&spoken.language).and_then(|language| language.sentence("first"));
    let first = first.unwrap_or_else(|| Safety::First.words());
    let mut how = format!(
        "{} {first}",
        spoken.fill(Phrase::HowToFill, &[&form.procedure.id])
    );
    if let Some(opening) = spoken.opening() {
        how.push_str(&format!(" {opening}"));
    }
    let lines = wrap(&how, Face::Regular, SMALL, room);
    let items = tagged(
        Role::Paragraph,
        place(&lines, 0.0, 0.0, SMALL, Face::Regular, 0.0),
    );
    pieces.push(Piece::new(0.8, line_height(SMALL) * lines.len() as f64, items).glued());
    let wide = (room - 3.0) / 2.0;
    let boxes = [
        (0.0, spoken.say(Phrase::Begun)),
        (wide + 3.0, spoken.say(Phrase::Ended)),
    ];
    let items = boxes
        .into_iter()
        .flat_map(|(x, label)| {
            let inside = [
                outline(x, 0.0, wide, BOX),
                text(x + 0.8, INSIDE, NUMBER, Face::Regular, label, 0.2),
            ];
            tagged(Role::Paragraph, inside)
        })
        .collect();
    pieces.push(Piece::new(1.6, BOX, items));
    pieces
}

/// The head of a stage with room for initials.
fn head(stage: &FormStage, spoken: &Spoken, room: f64) -> Piece {
    const SIZE: f64 = 11.0;
    let y = BOX - 2.2;
    let initials = 24.0;
    let words = fit(&stage.title, Face::Bold, SIZE, room - initials - 24.0);
    let label = spoken.say(Phrase::Initials);
    let left = room - initials - 1.5 - width(label, Face::Regular, SMALL);
    let mut items = tagged(
        Role::Head,
        [
            bar(0.0, y - 2.75, 2.75, 2.75, 0.0),
            text(4.6, y, SIZE, Face::Bold, &words, 0.0),
        ],
    );
    items.extend(tagged(
        Role::Paragraph,
        [
            text(left, y, SMALL, Face::Regular, label, 0.25),
            outline(room - initials, 0.0, initials, BOX),
            rule(0.0, BOX + 0.5, room, 0.3, 0.0),
        ],
    ));
    Piece::new(2.2, BOX + 0.8, items)
}

/// Ruled lines for what no box asks for.
fn notes(lines: usize, spoken: &Spoken, room: f64) -> Vec<Piece> {
    let y = ASCENT * WORDS * POINT;
    let words = spoken.say(Phrase::NotesHead);
    let mut pieces = vec![
        Piece::new(
            3.0,
            line_height(WORDS),
            tagged(Role::Head, [text(0.0, y, WORDS, Face::Bold, words, 0.0)]),
        )
        .glued(),
    ];
    for n in 0..lines {
        let piece = Piece::new(0.0, BOX, vec![rule(0.0, BOX, room, 0.2, 0.3)]);
        pieces.push(if n + 1 < lines { piece.glued() } else { piece });
    }
    pieces
}

fn groups(digest: &str) -> String {
    let signs: Vec<char> = digest.chars().take(4 * GROUPS).collect();
    let parts: Vec<String> = signs.chunks(4).map(|part| part.iter().collect()).collect();
    parts.join(" ")
}

fn frame(form: &Form, room: f64, floor: f64, number: usize, count: usize) -> Vec<Item> {
    const SIZE: f64 = 8.0;
    let mut items = Vec::new();
    if number > 1 {
        let y = ASCENT * SIZE * POINT;
        let left = fit(&title(form), Face::Bold, SIZE, room);
        items.push(text(0.0, y, SIZE, Face::Bold, &left, 0.2));
        items.push(rule(0.0, 4.2, room, 0.3, 0.0));
    }
    let mut left = format!(
        "procedure {} · unit {}",
        groups(&form.procedure.digest),
        groups(&form.unit_digest)
    );
    if let Some(mark) = form.procedure.spoken.mark() {
        left = format!("{mark} · {left}");
    }
    items.extend(foot(room, floor, &left, 0.8, number, count));
    items
}
