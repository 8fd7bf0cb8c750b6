//! `guide`: a chapter of the guide, or the list of them.

use super::exit::Exit;
use super::failure::Failure;
use crate::app::output::{width, write_out};
use crate::report::{Table, to_json};
use crate::screen::{filled, hanging, table};
use crate::workshop::{Chapter, Safety};
use clap::Args;

/// Narrower than this nothing is laid out.
const NARROWEST: usize = 40;
/// Longer lines are no easier to read.
const WIDEST: usize = 100;

#[derive(Args)]
pub(super) struct Guide {
    /// A chapter; without it the list of them
    #[arg(value_name = "TOPIC")]
    pub topic: Vec<String>,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Shows a chapter of the guide, or lists the chapters.
pub(super) fn guide(asked: &Guide) -> Result<Exit, Failure> {
    let width = width().clamp(NARROWEST, WIDEST);
    let topic = asked.topic.join(" ");
    let (chapters, exit, text) = if topic.is_empty() {
        (Chapter::ALL.to_vec(), Exit::Done, listed(width))
    } else {
        match Chapter::find(&topic) {
            Ok(chapter) => (vec![chapter], Exit::Done, laid_out(chapter.text, width)),
            Err(near) => {
                let near = near.map_or(String::new(), |near| format!("; did you mean {near}?"));
                let text = filled(
                    &format!("There is no chapter \"{topic}\" in the guide{near}"),
                    width,
                );
                (Vec::new(), Exit::NotFound, format!("{text}\n{}", listed(width)))
            }
        }
    };
    match asked.json {
        true => write_out(&to_json(&Chapter::summary(&chapters))?, false)?,
        false => write_out(&text, exit != Exit::Done)?,
    }
    Ok(exit)
}

fn listed(width: usize) -> String {
    let rows = Chapter::ALL
        .iter()
        .map(|chapter| [chapter.topic, chapter.title()]);
    format!(
        "{}\nOne of them: shimwright guide TOPIC\n",
        table(&Table::of_words(["topic", "what it tells"], rows), width)
    )
}

/// Where the safety sentences stand in a chapter.
const SENTENCES: &str = "{sentences}";

/// A chapter as plain text: paragraphs, lists and tables as wide as there is room, examples as they stand.
fn laid_out(text: &str, width: usize) -> String {
    let mut out = String::new();
    let mut lines = text.lines().peekable();
    while let Some(line) = lines.next() {
        if line.starts_with("```") {
            for example in lines.by_ref().take_while(|line| !line.starts_with("```")) {
                out.push_str(format!("    {example}").trim_end());
                out.push('\n');
            }
        } else if line.starts_with("    ") || line.is_empty() {
            out.push_str(line);
            out.push('\n');
        } else if line == SENTENCES {
            for words in Safety::sentences() {
                out.push_str(&hanging("- ", words, width));
            }
        } else if line.starts_with('|') {
            let mut rows = vec![cells(line)];
            while let Some(row) = lines.next_if(|line| line.starts_with('|')) {
                rows.push(cells(row));
            }
            let head = rows.remove(0);
            // below the head stands a line that only parts
            out.push_str(&table(&Table::of_words(head, rows.into_iter().skip(1)), width));
        } else {
            let goes_on = |line: &&str| {
                !line.is_empty()
                    && !["- ", "|", "```", "#", "    "]
                        .iter()
                        .any(|head| line.starts_with(head))
            };
            let mut words = line.to_string();
            while let Some(more) = lines.next_if(goes_on) {
                words = format!("{words} {}", more.trim_start());
            }
            let words = plain(&words);
            out.push_str(&match words.strip_prefix("- ") {
                Some(item) => hanging("- ", item, width),
                None => filled(words.trim_start_matches('#').trim_start(), width),
            });
        }
    }
    out
}

/// Words without the signs that make them bold or slanted; what stands between backquotes is left as it is.
fn plain(text: &str) -> String {
    let pieces: Vec<String> = text
        .split('`')
        .enumerate()
        .map(|(n, piece)| match n % 2 {
            0 => piece.replace('*', ""),
            _ => piece.to_string(),
        })
        .collect();
    pieces.join("`")
}

fn cells(row: &str) -> Vec<String> {
    let row = row.trim().trim_matches('|');
    row.split('|').map(|cell| plain(cell.trim())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_but_an_example_is_wider_than_the_terminal() {
        for chapter in Chapter::ALL {
            for width in [NARROWEST, 80, WIDEST] {
                let text = laid_out(chapter.text, width);
                let wide = |line: &&str| !line.starts_with("    ") && line.chars().count() > width;
                assert_eq!(text.lines().find(wide), None, "{} at {width}", chapter.topic);
                assert!(text.starts_with(chapter.title().split(' ').next().unwrap_or("")));
                assert!(!text.contains("```") && !text.contains("**") && !text.contains(SENTENCES));
            }
        }
    }

    #[test]
    fn paragraphs_are_filled_and_examples_stand_as_they_are() {
        let text = "# Head\n\nSome **bold** words and `a * b`\nin two lines.\n- one\n  more\n\n```text\nas  it is\n```\n    run this\n";
        assert_eq!(
            laid_out(text, 80),
            "Head\n\nSome bold words and `a * b` in two lines.\n- one more\n\n    as  it is\n    run this\n"
        );
    }

    #[test]
    fn every_safety_sentence_stands_in_the_chapter_on_cautions() {
        let chapter = Chapter::find("cautions").unwrap();
        let flat = laid_out(chapter.text, 80)
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        for words in Safety::sentences() {
            assert!(flat.contains(words), "{words}");
        }
    }
}
