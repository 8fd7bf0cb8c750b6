//! A whole book looked through: what was found of each build and of the book itself, and how that is told.

use super::finding::{Certainty, Finding};
use super::log::Removed;
use super::seal_check::{NOT_SIGNED, SealCheck};
use crate::report::{Report, Section, Summary, Table};
use serde_json::{Value, json};

/// The most findings of one build that stand in the list for people.
const MOST_OF_A_BUILD: usize = 5;

/// What was found of one build.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct BuildChecked {
    /// Its name.
    pub build: String,
    /// How many lines its record has; none where it can not be read.
    pub lines: Option<usize>,
    /// How many seals hold.
    pub seals: usize,
    /// Everything that was found and is no mere note; of the sheet and of the book's log a note too.
    pub findings: Vec<Finding>,
    /// What its sheet comes to, printed anew; nothing where it was not held against the record.
    pub sheet: Option<Finding>,
    /// Who took it out of the book on purpose, where it is not there and somebody said so.
    pub removed: Option<Removed>,
}

impl BuildChecked {
    /// What a check of one build came to. That nothing is signed is told by the number of seals, and is no finding.
    pub fn of(examined: &SealCheck) -> BuildChecked {
        let counts = |finding: &&Finding| match finding.certainty {
            Certainty::Note | Certainty::Holds => false,
            Certainty::Open => finding.words != NOT_SIGNED,
            Certainty::Broken => true,
        };
        let is_note_told = |finding: &Finding| {
            let is_told = examined.sheet.as_ref() == Some(finding) || examined.book.contains(finding);
            finding.certainty == Certainty::Note && is_told
        };
        BuildChecked {
            build: examined.build.clone(),
            lines: (examined.lines > 0).then_some(examined.lines),
            seals: examined.seals.len(),
            findings: examined
                .all()
                .filter(|finding| counts(finding) || is_note_told(finding))
                .cloned()
                .collect(),
            sheet: examined.sheet.clone(),
            removed: examined.removed.clone(),
        }
    }

    /// One that can not be read, with why.
    pub fn unread(build: &str, certainty: Certainty, why: &str) -> BuildChecked {
        BuildChecked {
            build: build.to_string(),
            lines: None,
            seals: 0,
            findings: vec![Finding::new(certainty, why.to_string())],
            sheet: None,
            removed: None,
        }
    }

    fn verdict(&self) -> Certainty {
        let all = self.findings.iter().map(|finding| finding.certainty);
        all.max().unwrap_or(Certainty::Holds).max(Certainty::Holds)
    }
}

/// What was found of a whole book.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct BookCheck {
    /// Its folder.
    pub book: String,
    /// The builds and the drive days, by name.
    pub builds: Vec<BuildChecked>,
    /// What is said of the book itself.
    pub findings: Vec<Finding>,
}

impl BookCheck {
    /// The worst of what was found.
    pub fn verdict(&self) -> Certainty {
        let builds = self.builds.iter().map(BuildChecked::verdict);
        let book = self.findings.iter().map(|finding| finding.certainty);
        builds
            .chain(book)
            .max()
            .unwrap_or(Certainty::Holds)
            .max(Certainty::Holds)
    }

    /// How many sheets were held against their records, and what they came to, in words.
    pub fn sheets_words(&self) -> String {
        let count = |certainty| {
            let sheets = self.builds.iter().filter_map(|build| build.sheet.as_ref());
            sheets.filter(|sheet| sheet.certainty == certainty).count()
        };
        format!(
            "its sheets, printed anew: {} the same byte for byte, {} older, in another form or not there, {} not to be told, {} not the \
             records'",
            count(Certainty::Holds),
            count(Certainty::Note),
            count(Certainty::Open),
            count(Certainty::Broken),
        )
    }

    /// All of it: a row for each build of which something is to be told, then what is said of the book.
    pub fn report(&self) -> Report {
        let told = self.builds.iter().filter(|build| !build.findings.is_empty());
        let rows = told.flat_map(|build| {
            let more = build.findings.len().saturating_sub(MOST_OF_A_BUILD);
            let shown = build.findings.iter().take(MOST_OF_A_BUILD).enumerate();
            let rest = (more > 0).then(|| [String::new(), String::new(), format!("and {more} more")]);
            shown
                .map(|(n, finding)| {
                    let name = if n == 0 {
                        build.build.clone()
                    } else {
                        String::new()
                    };
                    [name, finding.certainty.word().to_string(), finding.words.clone()]
                })
                .chain(rest)
        });
        let table = Table::of_words(["build", "state", "found"], rows);
        let sealed = self.builds.iter().filter(|build| build.seals > 0).count();
        let whole = self
            .builds
            .iter()
            .filter(|build| build.findings.is_empty())
            .count();
        let words = format!(
            "{}: {whole} without anything to tell, {sealed} with seals that hold.",
            match self.builds.len() {
                1 => "1 build or day".to_string(),
                count => format!("{count} builds and days"),
            }
        );
        let mut book = Section::under("The book:");
        for finding in &self.findings {
            book = book.item(
                format!("  {:<7}", finding.certainty.word()),
                finding.words.clone(),
            );
        }
        Report::of(self.summary())
            .with(Section::new().words(format!("{}: {}", self.book, self.verdict_words())))
            .with(Section::new().table(table))
            .with(book)
            .with(Section::new().words(words))
    }

    fn verdict_words(&self) -> &'static str {
        match self.verdict() {
            Certainty::Note | Certainty::Holds => "nothing is found that is not as it should be",
            Certainty::Open => "nothing is found that does not hold, but not all is proved",
            Certainty::Broken => "SOMETHING IS NOT AS IT WAS WRITTEN",
        }
    }

    fn summary(&self) -> Summary {
        let told = |findings: &[Finding]| -> Vec<Value> {
            let each = findings.iter();
            each.map(|finding| json!({"state": finding.certainty.word(), "words": finding.words}))
                .collect()
        };
        let builds: Vec<Value> = self
            .builds
            .iter()
            .map(|build| {
                json!({
                    "build": build.build, "verdict": build.verdict().word(), "journal_lines": build.lines,
                    "seals": build.seals, "findings": told(&build.findings),
                    "sheet": build.sheet.as_ref().map(|sheet| {
                        json!({"state": sheet.certainty.word(), "words": sheet.words})
                    }),
                    "removed": build.removed.as_ref().map(Removed::to_json),
                })
            })
            .collect();
        Summary::told(
            "check all",
            json!({
                "book": self.book, "verdict": self.verdict().word(), "builds": builds, "findings": told(&self.findings),
            }),
        )
    }
}
