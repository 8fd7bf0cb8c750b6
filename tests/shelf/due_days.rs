//! Due days as a list and as a calendar, which is read here by the grammar of RFC 5545 (sections 3.1, 3.3.4, 3.3.5, 3.3.11, 3.4
//! and 3.6.1), by a reader that knows nothing of the writer.

use shimwright::history::due_days::{DueDays, DueOn};
use shimwright::history::{Account, FleetUnit, InstrumentAccount, InstrumentRole, Shelved};
use std::collections::BTreeSet;

fn account(build: &str, begun: &str) -> Account {
    Account {
        build: build.into(),
        unit: build[..build.len() - 5].into(),
        unit_name: "Moor, rear".into(),
        digest: "ba78".into(),
        begun: begun.into(),
        ..Account::default()
    }
}

fn finished(build: &str, begun: &str, next_look: &str) -> Account {
    Account {
        finished: Some(begun.replace("T08", "T17")),
        next_look: next_look.into(),
        ..account(build, begun)
    }
}

fn due(accounts: &[Account], today: &str) -> DueDays {
    let units: BTreeSet<&str> = accounts.iter().map(|account| account.unit.as_str()).collect();
    let of = |unit: &&str| {
        let mine: Vec<Account> = accounts
            .iter()
            .filter(|one| one.unit == **unit)
            .cloned()
            .collect();
        FleetUnit::of(unit, &mine)
    };
    let units: Vec<FleetUnit> = units.iter().map(of).collect();
    DueDays::of(accounts.iter().map(Shelved::of).collect(), &units, today)
}

fn shop() -> DueDays {
    let with = |mut account: Account, due: &str| {
        account.instruments = vec![InstrumentAccount {
            role: InstrumentRole::Micrometer,
            id: "mic; \\2, \u{e4}".into(),
            due: due.into(),
            overdue: String::new(),
            zero: None,
        }];
        account
    };
    let promised = |mut account: Account, day: &str, customer: &str| {
        (account.promised, account.customer) = (day.into(), customer.into());
        account
    };
    due(
        &[
            with(finished("a-0001", "2026-01-05T08:00:00Z", "600 km"), "2027-01-31"),
            finished(
                "a-0002",
                "2026-03-05T08:00:00+02:00",
                "2027-03-31 or 600 km, what comes first",
            ),
            promised(
                account("a-0003", "2026-11-20T08:00:00Z"),
                "2026-12-11",
                &"\u{f6}".repeat(120),
            ),
            with(finished("b-0001", "2026-02-05T08:00:00Z", ""), "2027-02-28"),
            promised(
                account("b-0002", "2026-11-21T08:00:00Z"),
                "2026-12-04",
                "one;two,three\\four\nfive",
            ),
            account("c-0001", "2026-11-22T08:00:00Z"),
        ],
        "2026-12-05",
    )
}

#[test]
fn open_jobs_come_by_their_promised_day_and_days_in_their_order() {
    let due = shop();
    let open: Vec<&str> = due.open.iter().map(|one| one.build.as_str()).collect();
    assert_eq!(open, ["b-0002", "a-0003", "c-0001"]);
    let days: Vec<(&str, DueOn, &str)> = due
        .days
        .iter()
        .map(|one| (one.day.as_str(), one.due, one.name.as_str()))
        .collect();
    // of an instrument its newest use counts
    assert_eq!(
        days,
        [
            ("2026-12-04", DueOn::Promised, "b-0002"),
            ("2026-12-11", DueOn::Promised, "a-0003"),
            ("2027-02-28", DueOn::Calibration, "mic; \\2, \u{e4}"),
            ("2027-03-31", DueOn::Look, "a"),
        ]
    );
    let told = shimwright::screen::lines(&due.report(), 120);
    assert!(
        told.contains("1 day LATE") && told.contains("in 6 days"),
        "{told}"
    );
    assert!(told.contains("no day"), "{told}");
}

/// Lines with their folds taken out. A line ends with CR and LF, has at most 75 octets, and is whole UTF-8 by itself.
fn unfolded(text: &str) -> Vec<String> {
    let body = text.strip_suffix("\r\n").expect("the last line has its end");
    let mut lines: Vec<String> = Vec::new();
    for line in body.split("\r\n") {
        assert!(line.len() <= 75, "{} octets: {line}", line.len());
        assert!(!line.contains(['\r', '\n']), "{line:?}");
        match line.strip_prefix([' ', '\t']) {
            Some(more) => lines
                .last_mut()
                .expect("a fold has a line before it")
                .push_str(more),
            None => lines.push(line.to_string()),
        }
    }
    lines
}

/// `name *(";" param) ":" value`.
fn content(line: &str) -> (String, Vec<String>, String) {
    let (head, value) = line.split_once(':').expect("a name and a value");
    let mut parts = head.split(';').map(str::to_string);
    let name = parts.next().unwrap();
    assert!(
        !name.is_empty() && name.chars().all(|c| c.is_ascii_uppercase() || c == '-'),
        "{line}"
    );
    (name, parts.collect(), value.to_string())
}

/// A value of the type TEXT: no bare `;` or `,`, and after a backslash only what section 3.3.11 knows.
fn text(value: &str) -> String {
    let (mut out, mut chars) = (String::new(), value.chars());
    while let Some(c) = chars.next() {
        assert!(!c.is_control() && c != ';' && c != ',', "{value}");
        out.push(match c {
            '\\' => match chars.next() {
                Some('n' | 'N') => '\n',
                Some(c @ ('\\' | ';' | ',')) => c,
                other => panic!("{other:?} after a backslash in {value}"),
            },
            c => c,
        });
    }
    out
}

#[test]
fn the_calendar_is_one_by_the_grammar_of_its_standard() {
    let due = shop();
    let calendar = due.calendar().unwrap();
    assert_eq!(calendar, shop().calendar().unwrap());
    let lines = unfolded(&calendar);
    assert!(
        calendar.lines().any(|line| line.starts_with(' ')),
        "nothing was folded"
    );
    let all: Vec<(String, Vec<String>, String)> = lines.iter().map(|line| content(line)).collect();
    let plain = |name: &str, value: &str| (name.to_string(), Vec::new(), value.to_string());
    assert_eq!(all.first(), Some(&plain("BEGIN", "VCALENDAR")));
    assert_eq!(all.last(), Some(&plain("END", "VCALENDAR")));
    let events: Vec<&[(String, Vec<String>, String)]> = all
        .split(|(name, _, value)| name == "BEGIN" && value == "VEVENT")
        .collect();
    let head: Vec<&str> = events[0].iter().map(|(name, ..)| name.as_str()).collect();
    // PRODID and VERSION are required, once each
    assert_eq!(head.iter().filter(|name| **name == "PRODID").count(), 1);
    assert_eq!(head.iter().filter(|name| **name == "VERSION").count(), 1);
    let mut seen = BTreeSet::new();
    for (event, wanted) in events[1..].iter().zip(&due.days) {
        let ends = event
            .iter()
            .filter(|(name, _, value)| name == "END" && value == "VEVENT");
        assert_eq!(ends.count(), 1);
        let one = |name: &str| {
            let mut those = event.iter().filter(|(known, ..)| known == name);
            let found = those.next().unwrap_or_else(|| panic!("{name} is lacking"));
            assert!(those.next().is_none(), "{name} twice");
            (found.1.clone(), found.2.clone())
        };
        // an event of a whole day
        let (params, day) = one("DTSTART");
        assert_eq!(params, ["VALUE=DATE"]);
        assert!(day.len() == 8 && day.bytes().all(|c| c.is_ascii_digit()), "{day}");
        assert_eq!(day, wanted.day.replace('-', ""));
        let (_, stamp) = one("DTSTAMP");
        let (date, time) = stamp
            .strip_suffix('Z')
            .and_then(|stamp| stamp.split_once('T'))
            .unwrap();
        assert!(date.len() == 8 && time.len() == 6, "{stamp}");
        assert!(
            date.bytes().chain(time.bytes()).all(|c| c.is_ascii_digit()),
            "{stamp}"
        );
        assert!(seen.insert(one("UID").1), "two events of one name");
        assert!(text(&one("SUMMARY").1).starts_with(&wanted.name));
        let said = wanted.words.replace('\n', "[U+000A]");
        assert_eq!(text(&one("DESCRIPTION").1), said);
    }
    assert_eq!(events.len() - 1, due.days.len());
    // 08:00 at two hours east of Greenwich, and 17:00 the same
    assert!(
        lines.contains(&"DTSTAMP:20260305T150000Z".to_string()),
        "{lines:?}"
    );
}

#[test]
fn without_a_day_there_is_no_calendar() {
    let due = due(&[account("c-0001", "2026-11-22T08:00:00Z")], "2026-12-05");
    assert_eq!((due.open.len(), due.calendar()), (1, None));
}
