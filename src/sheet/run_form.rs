//! The run sheet of a drive day: one page to fill in by hand, each box with the key by which it is typed in later.

use super::flow::Piece;
use super::form_parts::{BOX, INSIDE, NUMBER, SMALL, outline, place};
use super::layout::{FOOT, RUNNING, assemble, fill};
use super::measure::{ASCENT, Face, POINT, fit, width, wrap};
use super::page::{Item, Margins, Page, Paper};
use super::page_elements::{font_piece, foot, line_height, tagged, text};
use super::tags::Role;
use crate::record::phrase::{Phrase, Spoken};
use crate::workshop::Safety;
use crate::workshop::language::Language;

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
    /// The language in which the day is asked.
    pub spoken: &'a Spoken,
}

/// What is asked of a day, in two lines: the key, what stands behind it, the share of the line that its pen needs.
const OF_DAY: [&[(&str, &str, f64)]; 2] = [
    &[
        ("who", "", 3.0),
        ("driven-on", "", 1.6),
        ("event", "", 4.0),
        ("day-kind", ": test / event", 0.4),
        ("surface", "", 2.6),
    ],
    &[
        ("weather", "", 3.0),
        ("air", ", °C", 1.0),
        ("road", ", °C", 1.0),
        ("tyre-sets", ", tyre-age/SET, km", 7.0),
    ],
];

/// The same of a run.
const OF_RUN: [&[(&str, &str, f64)]; 2] = [
    &[
        ("run-build", "", 2.4),
        ("run-tyres", "", 0.6),
        ("run-pressures", "", 0.6),
        ("run-changed", "", 2.4),
        ("run-km", ", km", 0.0),
        ("run-remark", "", 2.0),
    ],
    &[
        ("times", "", 12.0),
        ("struck", "", 1.0),
        ("feel-entry", "", 0.0),
        ("feel-middle", "", 0.0),
        ("feel-power", "", 0.0),
        ("feel-lift", "", 0.2),
        ("feel-straight", "", 0.0),
    ],
];

/// What each key is asked by, for whoever reads no English.
const ASKED_BY: [(&str, Phrase); 23] = [
    ("who", Phrase::SignedName),
    ("driven-on", Phrase::DayDate),
    ("event", Phrase::EventAndPlace),
    ("day-kind", Phrase::KindOfDay),
    ("surface", Phrase::Surface),
    ("weather", Phrase::Weather),
    ("air", Phrase::Air),
    ("road", Phrase::Road),
    ("tyre-sets", Phrase::SetsOfTyres),
    ("tyre-age", Phrase::RunBefore),
    ("run-build", Phrase::SettingPrompt),
    ("run-tyres", Phrase::Tyres),
    ("run-pressures", Phrase::Pressures),
    ("run-changed", Phrase::Changed),
    ("run-km", Phrase::Distance),
    ("run-remark", Phrase::RunRemark),
    ("times", Phrase::Times),
    ("struck", Phrase::LapStruck),
    ("feel-entry", Phrase::FeelEntry),
    ("feel-middle", Phrase::FeelMiddle),
    ("feel-power", Phrase::FeelPower),
    ("feel-lift", Phrase::FeelLift),
    ("feel-straight", Phrase::FeelStraight),
];

impl RunForm<'_> {
    /// The title; what files are told apart by is the day's name in it.
    pub(super) fn title(&self) -> String {
        format!(
            "{} · {} · {}",
            self.spoken.say(Phrase::RunSheet),
            self.day,
            self.car
        )
    }

    /// A box with its key and what is printed in it.
    fn keyed(key: &str, words: &str, x: f64, y: f64, wide: f64) -> Vec<Item> {
        let words = fit(words, Face::Bold, SMALL, wide - 1.2);
        let inside = [
            outline(x, y, wide, BOX),
            text(x + 0.6, y + INSIDE, NUMBER, Face::Regular, key, 0.25),
            text(x + 0.6, y + BOX - 1.2, SMALL, Face::Bold, &words, 0.0),
        ];
        tagged(Role::Paragraph, inside)
    }

    /// Boxes beside each other over a width: each has room for its key, and its share of what is left. `of` stands behind a key,
    /// `printed` in the first box.
    fn across(
        boxes: &[(&str, &str, f64)],
        of: &str,
        printed: &str,
        (left, y, room): (f64, f64, f64),
    ) -> Vec<Item> {
        const AROUND: f64 = 1.6;
        let keys: Vec<(String, f64, f64)> = boxes
            .iter()
            .map(|(key, behind, share)| {
                let first = if *key == "times" { "/1" } else { "" };
                let key = format!("{key}{of}{first}{behind}");
                let need = width(&key, Face::Regular, NUMBER) + AROUND;
                (key, need, *share)
            })
            .collect();
        let need: f64 = keys.iter().map(|(_, need, _)| need).sum();
        let shares: f64 = keys.iter().map(|(_, _, share)| share).sum();
        let mut x = left;
        let mut items = Vec::new();
        for (n, (key, need_of_it, share)) in keys.iter().enumerate() {
            let wide = need_of_it + (room - need) * share / shares;
            let words = if n == 0 { printed } else { "" };
            items.extend(RunForm::keyed(key, words, x, y, wide));
            x += wide;
        }
        items
    }

    /// How it is filled in and typed in, who comes first, and what the keys are in another language.
    fn how(&self) -> String {
        let spoken = self.spoken;
        let language = Language::of(&spoken.language);
        let known = match self.known.is_empty() {
            true => String::new(),
            false => format!(
                " {}: {}.",
                spoken.say(Phrase::SettingPrompt),
                self.known.join(", ")
            ),
        };
        let first = language.and_then(|language| language.sentence("first"));
        let first = first.unwrap_or_else(|| Safety::First.words());
        let mut how = format!("{} {first}", spoken.fill(Phrase::RunSheetHow, &[&known]));
        if language.is_some() {
            let keys: Vec<String> = ASKED_BY
                .iter()
                .map(|(key, phrase)| format!("{key} {}", spoken.say(*phrase)))
                .collect();
            how.push_str(&format!(" {}.", keys.join(" · ")));
        }
        if let Some(opening) = spoken.opening() {
            how.push_str(&format!(" {opening}"));
        }
        how
    }

    fn opening(&self, room: f64) -> Vec<Piece> {
        const SIZE: f64 = 14.0;
        let title = fit(&self.title(), Face::Bold, SIZE, room);
        let name = text(0.0, ASCENT * SIZE * POINT, SIZE, Face::Bold, &title, 0.0);
        let items = tagged(Role::Title, [name]);
        let mut pieces = vec![Piece::new(0.0, line_height(SIZE), items).glued()];
        let lines = wrap(&self.how(), Face::Regular, SMALL, room);
        let items = tagged(
            Role::Paragraph,
            place(&lines, 0.0, 0.0, SMALL, Face::Regular, 0.0),
        );
        pieces.push(Piece::new(0.6, line_height(SMALL) * lines.len() as f64, items).glued());
        let [first, second] = OF_DAY;
        let mut items = RunForm::across(first, "", "", (0.0, 0.0, room));
        items.extend(RunForm::across(second, "", "", (0.0, BOX, room)));
        pieces.push(Piece::new(1.2, 2.0 * BOX, items).glued());
        pieces
    }

    fn run(number: usize, setting: &str, room: f64) -> Piece {
        const LEFT: f64 = 8.0;
        let said = text(0.5, BOX + 2.0, 13.0, Face::Bold, &number.to_string(), 0.0);
        let mut items = tagged(Role::Head, [said]);
        let [first, second] = OF_RUN;
        let of = format!("/{number}");
        items.extend(RunForm::across(first, &of, setting, (LEFT, 0.0, room - LEFT)));
        items.extend(RunForm::across(second, &of, "", (LEFT, BOX, room - LEFT)));
        Piece::new(1.2, 2.0 * BOX, items)
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
        pieces.push(Piece::new(1.2, BOX, remarks));
        pieces.extend(font_piece(room));
        let (bodies, _) = fill(vec![pieces], &[], RUNNING, floor - FOOT);
        let left = match self.spoken.mark() {
            Some(mark) => format!("{mark} · {}", self.title()),
            None => self.title(),
        };
        assemble(bodies, paper, |_, number, count| {
            foot(room, floor, &left, 0.8, number, count)
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
            spoken: &Spoken::default(),
        };
        for paper in [Paper::A4, Paper::Letter] {
            let pages = form.pages(paper);
            assert_eq!(pages.len(), 1);
            let edge = pages[0].width - pages[0].margins.right;
            let mut pens = 0;
            for item in &pages[0].items {
                match item {
                    // what a hand in a glove and an eye beside a track can read
                    Item::Text { size, text, .. } => assert!(*size >= 8.0, "{text}: {size}"),
                    Item::Polygon { .. } => {
                        let (left, top, right, bottom) = item.bounds();
                        assert!(right <= edge + 0.01 && right - left > 12.0 && bottom - top >= BOX);
                        pens += 1;
                    }
                    _ => {}
                }
            }
            assert_eq!(pens, 9 + 12 * 13 + 1);
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
        // each key fits into its box, also that of a run with two digits
        for room in [176.9, 182.9] {
            let items = RunForm::run(72, "", room).items;
            let mut edges = 0.0;
            for item in &items {
                match item {
                    Item::Polygon { .. } => edges = item.bounds().2,
                    Item::Text { text, .. } if text.contains('/') => {
                        assert!(item.bounds().2 < edges, "{text} in {room}");
                    }
                    _ => {}
                }
            }
        }
        let german = Spoken {
            language: "de".to_string(),
            unreviewed: true,
        };
        let form_in_german = RunForm {
            spoken: &german,
            ..form.clone()
        };
        for page in form_in_german.pages(Paper::A4) {
            let words = page.text();
            assert!(words.contains("unreviewed translation"), "{words}");
            assert!(words.contains("Laufblatt"), "{words}");
        }
        let words = form_in_german.how();
        assert!(
            words.contains("feel-lift Gas zu") && !words.contains("as it is driven"),
            "{words}"
        );
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
