//! Old paper records among the builds of the book: what does not follow from what was before.

use super::account::{Account, PlateAccount};
use super::paper_records::{PaperRecord, RowFault};
use crate::quantity::seconds_of;
use std::collections::BTreeMap;

/// So many joint standard uncertainties may a plate be thicker than before.
const COVERAGE: f64 = 2.0;

/// The words for something odd, and what is written where it stands so on the paper.
///
/// ```
/// use shimwright::history::or_sure;
/// assert_eq!(
///     or_sure("9.999 mm is far from the 2.000 mm of a new plate C1".to_string()),
///     "9.999 mm is far from the 2.000 mm of a new plate C1; if it stands so on the paper, write yes in the column sure"
/// );
/// assert!(or_sure("did you mean 1.998 mm?".to_string()).starts_with("did you mean 1.998 mm? If it stands so"));
/// ```
pub fn or_sure(words: String) -> String {
    let joined = if words.ends_with('?') { " If" } else { "; if" };
    format!("{words}{joined} it stands so on the paper, write yes in the column sure")
}

/// A build, or a day that is to become one.
#[derive(Clone, Copy)]
struct Stands<'a> {
    account: &'a Account,
    /// Which of the new days it is; `None` where it is in the book.
    new: Option<usize>,
}

/// What looks odd when new days are put among the builds of the book: which of the days, and its fault. What the table
/// says to be sure of is not told.
///
/// A plate does not grow, beyond twice the uncertainty of both readings: the micrometer of the paper is only like the one
/// that it is taken for, so nothing that two readings share falls out. What the car had gone since the unit was built does
/// not fall. A day on which the unit was built, between two builds of the book, takes the distance of the later one for
/// itself.
///
/// ```
/// use shimwright::quantity::Distance;
/// use shimwright::history::{Account, PaperRecords, odd_among};
/// let read = PaperRecords::read("day,by,distance\n2019-04-12,Ann,900 km\n2020-04-12,Ann,800 km\n").unwrap();
/// let day = |begun: &str, km| Account {
///     begun: begun.into(), distance: Distance::from_kilometres(km).ok(), ..Account::default()
/// };
/// let accounts = [day("2019-04-12T00:00:00Z", 900.0), day("2020-04-12T00:00:00Z", 800.0)];
/// let odd = odd_among(&[], &[(&read.records[0], &accounts[0]), (&read.records[1], &accounts[1])]);
/// assert_eq!((odd[0].0, odd[0].1.column.as_str()), (1, "distance"));
/// ```
pub fn odd_among(known: &[Account], new: &[(&PaperRecord, &Account)]) -> Vec<(usize, RowFault)> {
    let in_book = known.iter().map(|account| Stands { account, new: None });
    let days = new.iter().enumerate().map(|(n, (_, account))| Stands {
        account,
        new: Some(n),
    });
    let mut all: Vec<Stands<'_>> = in_book.chain(days).collect();
    all.sort_by_key(|one| seconds_of(&one.account.begun));
    let mut among = Among {
        new,
        odd: Vec::new(),
        measured: BTreeMap::new(),
        farthest: None,
        built: None,
        built_in_book: None,
    };
    for one in all {
        among.put(one);
    }
    among.odd
}

/// What is known of the unit as far as the builds have been gone through.
struct Among<'a> {
    new: &'a [(&'a PaperRecord, &'a Account)],
    odd: Vec<(usize, RowFault)>,
    /// Where each plate was measured last.
    measured: BTreeMap<&'a str, (Stands<'a>, &'a PlateAccount)>,
    /// Where the greatest distance since the unit was built was written down.
    farthest: Option<Stands<'a>>,
    /// Where the unit was built last, and where by the book.
    built: Option<Stands<'a>>,
    built_in_book: Option<&'a Account>,
}

impl<'a> Among<'a> {
    fn put(&mut self, now: Stands<'a>) {
        let told = self.odd.len();
        self.between_builds(now);
        self.distance(now);
        for plate in &now.account.plates {
            self.thickness(now, plate);
        }
        // what comes after is not held against a day that is not taken as it stands
        if self.odd[told..].iter().any(|(n, _)| now.new == Some(*n)) {
            return;
        }
        let seen = now.account.plates.iter().filter(|plate| plate.mean.is_some());
        self.measured
            .extend(seen.map(|plate| (plate.name.as_str(), (now, plate))));
        if now.account.is_built() {
            self.built = Some(now);
            self.farthest = None;
            if now.new.is_none() {
                self.built_in_book = Some(now.account);
            }
        } else if gone(now.account).is_some() {
            self.farthest = Some(now);
        }
    }

    /// A build of the book counts its distance from the one before it: a day between the two takes it for itself.
    fn between_builds(&mut self, now: Stands<'a>) {
        let (Some(before), Some(built), None, Some(_)) =
            (self.built_in_book, self.built, now.new, gone(now.account))
        else {
            return;
        };
        let Some(n) = built.new else { return };
        let words = format!(
            "{} counts its distance from when the unit was last built: that was {}, and would be this day; if it was \
             driven since this day, write yes in the column sure, and no in rebuilt where the unit was not built then",
            self.name(now),
            self.name(Stands {
                account: before,
                new: None
            })
        );
        self.tell(n, "rebuilt", words);
    }

    fn distance(&mut self, now: Stands<'a>) {
        let Some(before) = self.farthest else { return };
        let (Some((was, unit)), Some((is, same))) = (gone(before.account), gone(now.account)) else {
            return;
        };
        if unit != same || is >= was {
            return;
        }
        let since = "counted since the unit was last built, it does not fall";
        match (now.new, before.new) {
            (Some(n), _) => {
                let words = format!(
                    "{is} {unit} is less than the {was} {unit} of {}; {since}",
                    self.name(before)
                );
                self.tell(n, "distance", or_sure(words));
            }
            (None, Some(n)) => {
                let words = format!(
                    "{was} {unit} is more than the {is} {unit} of {}; {since}",
                    self.name(now)
                );
                self.tell(n, "distance", or_sure(words));
            }
            (None, None) => {}
        }
    }

    fn thickness(&mut self, now: Stands<'a>, plate: &'a PlateAccount) {
        let Some((before, was)) = self.measured.get(plate.name.as_str()).copied() else {
            return;
        };
        let (Some(was), Some(is)) = (&was.mean, &plate.mean) else {
            return;
        };
        let grown = is.value - was.value;
        if grown.um() <= COVERAGE * was.uncertainty.um().hypot(is.uncertainty.um()) {
            return;
        }
        let why = "a plate does not grow, so another one came in or one of the two was misread";
        let slot = format!("plate-thickness/{}", plate.name);
        match (now.new, before.new) {
            (Some(n), _) => {
                let words = format!(
                    "{} is {grown} thicker than in {}; {why}",
                    plate.name,
                    self.name(before)
                );
                self.tell(n, &slot, or_sure(words));
            }
            (None, Some(n)) => {
                let words = format!(
                    "{} is {grown} thinner than in {}; {why}",
                    plate.name,
                    self.name(now)
                );
                self.tell(n, &slot, or_sure(words));
            }
            (None, None) => {}
        }
    }

    fn name(&self, one: Stands<'_>) -> String {
        let day = one.account.begun.get(..10).unwrap_or(&one.account.begun);
        match one.new {
            Some(n) => format!("the record of {day}, line {}", self.new[n].0.lines.0),
            None => format!("{} of {day}", one.account.build),
        }
    }

    fn tell(&mut self, n: usize, slot: &str, words: String) {
        let record = self.new[n].0;
        let Some(cell) = record.answers.get(slot).filter(|cell| !cell.sure) else {
            return;
        };
        self.odd.push((n, RowFault::new(cell.line, cell.column, words)));
    }
}

/// How far the car had gone, or how long the unit ran, and in what.
fn gone(account: &Account) -> Option<(f64, &'static str)> {
    let far = account.distance.map(|far| (far.kilometres(), "km"));
    far.or(account.running.map(|long| (long.hours(), "h")))
}
