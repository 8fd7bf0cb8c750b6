//! The run sheet of a drive day: one page to fill in by hand, each box with the key by which it is typed in later.

use super::flow::Piece;
use super::form_parts::{BOX, SMALL, outline, place};
use super::layout::{FOOT, RUNNING, assemble, fill};
use super::measure::{ASCENT, Face, POINT, fit, wrap};
use super::page::{Item, Margins, Page, Paper};
use super::page_elements::{font_piece, foot, line_height, tagged, text};
use super::tags::Role;
use crate::workshop::Safety;

/// Size of type of the keys in the boxes.
const KEY: f64 = 5.5;

/// What a run sheet is made from.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RunForm<'a> {
    /// The drive day's name in the book.
    pub day: &'a str,
    /// The car.
    pub car: &'a str,
    /// What is driven in each run, where an order was drawn; empty for a run that is free.
    pub settings: &'a [String],
    /// Short words for what may be driven, to be written where a run is free.
    pub known: &'a [String],
}

impl RunForm<'_> {
    pub(super) fn title(&self) -> String {
        format!("Run sheet · {} · {}", self.day, self.car)
    }

    /// A box with its key and what is printed in it.
    fn keyed(key: &str, words: &str, x: f64, y: f64, wide: f64) -> Vec<Item> {
        let words = fit(words, Face::Bold, SMALL, wide - 1.2);
        let inside = [
            outline(x, y, wide, BOX),
            text(x + 0.6, y + 2.2, KEY, Face::Regular, key, 0.25),
            text(x + 0.6, y + BOX - 1.2, SMALL, Face::Bold, &words, 0.0),
        ];
        tagged(Role::Paragraph, inside)
    }

    /// Boxes beside each other over a width, each with its share of it.
    fn across(boxes: &[(String, &str, f64)], left: f64, y: f64, room: f64) -> Vec<Item> {
        let all: f64 = boxes.iter().map(|(_, _, share)| share).sum();
        let mut x = left;
        let mut items = Vec::new();
        for (key, words, share) in boxes {
            let wide = room * share / all;
            items.extend(RunForm::keyed(key, words, x, y, wide));
            x += wide;
        }
        items
    }

    fn opening(&self, room: f64) -> Vec<Piece> {
        const SIZE: f64 = 14.0;
        let title = fit(&self.title(), Face::Bold, SIZE, room);
        let name = text(0.0, ASCENT * SIZE * POINT, SIZE, Face::Bold, &title, 0.0);
        let items = tagged(Role::Title, [name]);
        let mut pieces = vec![Piece::new(0.0, line_height(SIZE), items).glued()];
        let known = match self.known.is_empty() {
            true => String::new(),
            false => format!(" Settings: {}.", self.known.join(", ")),
        };
        let how = format!(
            "A line of two a run, as it is driven. Feel, by phase: -- far too little lock, - too little, 0 as it should be, + too much, \
             ++ far too much; typed in as much-less, less, right, more, much-more, or unsaid. Times of laps or stages as 1:12.345; \
             struck: the number of a lap that does not count, and why.{known} To type it in: shimwright day CAR.toml --at DATE asks \
             in the order of the boxes; or a file of lines KEY = VALUE by the keys in the boxes, with --answers FILE. {}",
            Safety::First.words()
        );
        let lines = wrap(&how, Face::Regular, 7.0, room);
        let items = tagged(Role::Paragraph, place(&lines, 0.0, 0.0, 7.0, Face::Regular, 0.0));
        pieces.push(Piece::new(0.6, line_height(7.0) * lines.len() as f64, items).glued());
        let plain = |boxes: &[(&str, f64)]| -> Vec<(String, &str, f64)> {
            boxes
                .iter()
                .map(|(key, share)| ((*key).to_string(), "", *share))
                .collect()
        };
        let first = plain(&[
            ("who", 3.0),
            ("driven-on", 2.0),
            ("event", 4.0),
            ("day-kind: test or event", 2.2),
            ("surface", 2.6),
        ]);
        let second = plain(&[
            ("weather", 3.0),
            ("air, °C", 1.2),
            ("road, °C", 1.2),
            ("tyre-sets, and for each tyre-age/SET, km", 7.0),
        ]);
        let mut items = RunForm::across(&first, 0.0, 0.0, room);
        items.extend(RunForm::across(&second, 0.0, BOX, room));
        pieces.push(Piece::new(1.2, 2.0 * BOX, items).glued());
        pieces
    }

    fn run(number: usize, setting: &str, room: f64) -> Piece {
        const LEFT: f64 = 8.0;
        let key = |name: &str| format!("{name}/{number}");
        let first = [
            (key("run-build"), setting, 4.2),
            (key("run-tyres"), "", 2.2),
            (key("run-pressures"), "", 2.6),
            (key("run-changed"), "", 3.6),
            (format!("{}, km", key("run-km")), "", 1.8),
            (key("run-remark"), "", 4.0),
        ];
        let second = [
            (format!("{}/1", key("times")), "", 6.8),
            (key("struck"), "", 2.6),
            (key("feel-entry"), "", 1.8),
            (key("feel-middle"), "", 1.8),
            (key("feel-power"), "", 1.8),
            (key("feel-lift"), "", 1.8),
            (key("feel-straight"), "", 1.8),
        ];
        let said = text(0.5, BOX + 2.0, 13.0, Face::Bold, &number.to_string(), 0.0);
        let mut items = tagged(Role::Head, [said]);
        items.extend(RunForm::across(&first, LEFT, 0.0, room - LEFT));
        items.extend(RunForm::across(&second, LEFT, BOX, room - LEFT));
        Piece::new(1.4, 2.0 * BOX, items)
    }

    pub(super) fn pages(&self, paper: Paper) -> Vec<Page> {
        let (wide, high) = paper.size();
        let margins = Margins::SHEET;
        let room = wide - margins.left - margins.right;
        let floor = high - margins.top - margins.bottom;
        let mut pieces = self.opening(room);
        let runs = self.settings.iter().zip(1..);
        pieces.extend(runs.map(|(setting, number)| RunForm::run(number, setting, room)));
        let remarks = RunForm::keyed("remarks", "", 0.0, 0.0, room);
        pieces.push(Piece::new(1.4, BOX, remarks));
        pieces.extend(font_piece(room));
        let (bodies, _) = fill(vec![pieces], &[], RUNNING, floor - FOOT);
        assemble(bodies, paper, |_, number, count| {
            foot(room, floor, &self.title(), 0.8, number, count)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_of_twelve_runs_is_one_page_and_every_key_stands_on_it() {
        let settings = vec!["moor-milder".to_string(); 12];
        let form = RunForm {
            day: "moor-day-0004",
            car: "Moor",
            settings: &settings,
            known: &settings[..1],
        };
        for paper in [Paper::A4, Paper::Letter] {
            let pages = form.pages(paper);
            assert_eq!(pages.len(), 1);
            let words = format!("{:?}", pages[0]);
            for key in [
                "who",
                "run-build/1",
                "times/12/1",
                "feel-straight/12",
                "run-remark/7",
                "remarks",
            ] {
                assert!(words.contains(&format!("\"{key}\"")), "{key}");
            }
        }
        let long = vec![String::new(); 40];
        let form = RunForm {
            settings: &long,
            ..form
        };
        assert!(
            form.pages(Paper::A4).len() > 1,
            "more runs than a page has room for go on"
        );
    }
}
