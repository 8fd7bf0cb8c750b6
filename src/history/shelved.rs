//! The builds of the book as a list.

use super::account::Account;
use super::measure::said;
use crate::report::{Report, Section, Summary, Table};
use serde_json::{Value, json};

/// How a build stands, as far as a list tells them apart.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Standing {
    Finished,
    Open,
    Voided,
    Newer,
    Damaged,
}

/// A build as the list of the book shows it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Shelved {
    /// Its name.
    pub build: String,
    /// The unit's id.
    pub unit: String,
    /// The unit's name.
    pub unit_name: String,
    /// The procedure's id.
    pub procedure: String,
    /// The procedure's title.
    pub procedure_title: String,
    /// The shop's number of the job; empty where none was given.
    pub job_number: String,
    /// For whom it is done; empty where that was not said.
    pub customer: String,
    /// By which day it is promised, as `2027-03-31`; empty where that was not said.
    pub promised: String,
    /// Who does the work; empty while not said.
    pub by: String,
    /// When it was begun.
    pub begun: String,
    /// When it was finished.
    pub finished: Option<String>,
    /// How it stands, in words: `finished`, `open, 12 answered` with what it waits for, `voided`, `newer` (a newer program
    /// made it), `damaged`.
    pub state: String,
    standing: Standing,
    /// What it waits for.
    pub waiting: Vec<String>,
    /// The digest of its journal.
    pub digest: String,
}

impl Shelved {
    /// What is in the book: a row a build.
    ///
    /// ```
    /// use shimwright::history::{Account, Shelved};
    /// let account = Account { build: "moor-rear-0001".into(), digest: "ba78".into(), answered: 12, ..Account::default() };
    /// let report = Shelved::report(&[Shelved::of(&account)]);
    /// assert!(shimwright::screen::lines(&report, 80).contains("moor-rear-0001"));
    /// assert!(report.to_json()?.contains("\"state\": \"open, 12 answered\""));
    /// # Ok::<(), shimwright::report::ReportError>(())
    /// ```
    pub fn report(builds: &[Shelved]) -> Report {
        let objects: Vec<Value> = builds.iter().map(Shelved::json).collect();
        // a book without customers has no empty columns
        let in_a_shop = builds
            .iter()
            .any(|one| one.job() != "" || !one.promised.is_empty());
        let rows = builds.iter().map(|one| {
            let day: String = one.begun.chars().take(10).collect();
            let mut row = vec![
                one.build.clone(),
                one.unit_name.clone(),
                one.procedure_title.clone(),
            ];
            if in_a_shop {
                row.extend([one.job(), one.promised.clone()]);
            }
            row.extend([day, one.state.clone()]);
            row
        });
        let head: &[&str] = match in_a_shop {
            true => &["build", "unit", "procedure", "job", "promised", "begun", "state"],
            false => &["build", "unit", "procedure", "begun", "state"],
        };
        let table = Table::of_words(head.iter().copied(), rows);
        Report::of(Summary::told("builds", json!({ "builds": objects }))).with(Section::new().table(table))
    }

    /// What a list says of a build, by its account: one with a problem and without a digest is one that could not be
    /// read.
    ///
    /// ```
    /// use shimwright::history::{Account, Shelved};
    /// let account = Account { build: "moor-rear-0001".into(), digest: "ba78".into(), answered: 12, ..Account::default() };
    /// assert_eq!(Shelved::of(&account).state, "open, 12 answered");
    /// ```
    pub fn of(account: &Account) -> Shelved {
        let standing = if account.digest.is_empty() && !account.problems.is_empty() {
            return Shelved::unread(&account.build, &account.problems.join("; "));
        } else if !account.problems.is_empty() {
            Standing::Damaged
        } else if !account.newer.is_empty() {
            Standing::Newer
        } else if account.voided.is_some() {
            Standing::Voided
        } else if account.finished.is_some() {
            Standing::Finished
        } else {
            Standing::Open
        };
        let state = match standing {
            Standing::Damaged => "damaged".to_string(),
            Standing::Newer => "newer".to_string(),
            Standing::Voided => "voided".to_string(),
            Standing::Finished => "finished".to_string(),
            Standing::Open if account.waiting.is_empty() => format!("open, {} answered", account.answered),
            Standing::Open => format!(
                "open, {} answered, waits for {}",
                account.answered,
                account.waiting.join(", ")
            ),
        };
        Shelved {
            build: account.build.clone(),
            unit: account.unit.clone(),
            unit_name: account.unit_name.clone(),
            procedure: account.procedure.clone(),
            procedure_title: account.procedure_title.clone(),
            job_number: account.job_number.clone(),
            customer: account.customer.clone(),
            promised: account.promised.clone(),
            by: account.by.clone(),
            begun: account.begun.clone(),
            finished: account.finished.clone(),
            state,
            standing,
            waiting: account.waiting.clone(),
            digest: account.digest.clone(),
        }
    }

    /// The same as an object.
    pub(super) fn json(&self) -> Value {
        json!({
            "build": self.build, "unit": self.unit, "unit_name": self.unit_name, "procedure": self.procedure,
            "procedure_title": self.procedure_title, "job_number": said(&self.job_number),
            "customer": said(&self.customer), "promised": said(&self.promised), "begun": self.begun,
            "finished": self.finished, "state": self.state, "digest": self.digest,
        })
    }

    /// Number and customer of the job, as far as they are known.
    pub fn job(&self) -> String {
        let known = [&self.job_number, &self.customer];
        let known: Vec<&str> = known
            .into_iter()
            .map(String::as_str)
            .filter(|text| !text.is_empty())
            .collect();
        known.join(", ")
    }

    /// Whether it is begun and neither finished nor voided.
    pub fn is_open(&self) -> bool {
        self.standing == Standing::Open
    }

    /// Whether it says anything of its unit: it is whole, known here and was not voided.
    pub fn counts(&self) -> bool {
        matches!(self.standing, Standing::Open | Standing::Finished)
    }

    /// Whether its record is damaged or can not be read.
    pub fn is_damaged(&self) -> bool {
        self.standing == Standing::Damaged
    }

    /// Whether a newer program wrote in its record.
    pub fn is_newer(&self) -> bool {
        self.standing == Standing::Newer
    }

    /// What a list says of a build that can not be read.
    pub fn unread(build: &str, why: &str) -> Shelved {
        Shelved {
            build: build.to_string(),
            unit: String::new(),
            unit_name: String::new(),
            procedure: String::new(),
            procedure_title: String::new(),
            job_number: String::new(),
            customer: String::new(),
            promised: String::new(),
            by: String::new(),
            begun: String::new(),
            finished: None,
            state: format!("not readable: {why}"),
            standing: Standing::Damaged,
            waiting: Vec::new(),
            digest: String::new(),
        }
    }
}
