//! The guide: what the program can do, in chapters that it shows itself, so that a bench without a browser has them.

use crate::document::nearest;
use crate::report::Summary;
use serde_json::{Value, json};

/// A chapter of the guide.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Chapter {
    /// The word that it is asked for by.
    pub topic: &'static str,
    /// Its text in Markdown; the first line is its title.
    pub text: &'static str,
}

macro_rules! chapters {
    ($($topic:literal),* $(,)?) => {
        &[$(Chapter {
            topic: $topic,
            text: include_str!(concat!("../../procedures/guide/", $topic, ".md")),
        }),*]
    };
}

impl Chapter {
    /// All chapters, in the order in which somebody new comes to need them.
    pub const ALL: &'static [Chapter] = chapters![
        "first-job",
        "typing",
        "measuring",
        "answers-files",
        "paper-forms",
        "book",
        "fleet",
        "tables",
        "new-unit",
        "unit-files",
        "sheet-and-seals",
        "procedures",
        "proof",
        "choosing",
        "reckon",
        "setting-the-lock",
        "wear",
        "driving",
        "practice",
        "words",
        "cautions",
        "commands",
        "machines",
        "exit-codes",
        "basis",
        "changes",
    ];

    /// The chapter of a topic; `Err` has the topic that was likely meant, if there is one.
    ///
    /// ```
    /// use shimwright::workshop::Chapter;
    /// assert_eq!(Chapter::find("Wear").unwrap().title(), "What wears, and when to open it again");
    /// assert_eq!(Chapter::find("waer"), Err(Some("wear")));
    /// ```
    ///
    /// # Errors
    ///
    /// No such topic: the nearest one, where one is near.
    pub fn find(topic: &str) -> Result<Chapter, Option<&'static str>> {
        let topic = topic.trim().to_lowercase().replace(' ', "-");
        let known: Vec<&'static str> = Chapter::ALL.iter().map(|chapter| chapter.topic).collect();
        let found = Chapter::ALL.iter().find(|chapter| chapter.topic == topic);
        found.copied().ok_or_else(|| nearest(&topic, &known))
    }

    /// Its title.
    pub fn title(&self) -> &'static str {
        let first = self.text.lines().next().unwrap_or("");
        first.trim_start_matches('#').trim()
    }

    /// Chapters for machines.
    pub fn summary(chapters: &[Chapter]) -> Summary {
        let chapters: Vec<Value> = chapters
            .iter()
            .map(|chapter| json!({"topic": chapter.topic, "title": chapter.title(), "text": chapter.text}))
            .collect();
        Summary::told("guide", json!({ "chapters": chapters }))
    }
}
