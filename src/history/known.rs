//! The builds that can be followed, and where what came between them is not known.

use super::account::Account;
use std::collections::HashMap;

/// The builds of a book that can be followed, in order of time, and where what came between them is not known.
pub(super) struct Known<'a> {
    /// Finished and whole, and those that were asked for besides.
    pub accounts: Vec<&'a Account>,
    /// By the build that comes next: why nothing can be followed to it.
    pub lost: HashMap<&'a str, String>,
    /// What is damaged or of a newer program, and what of the unit's own is voided or not finished.
    pub told: Vec<String>,
}

impl<'a> Known<'a> {
    /// Those of accounts in order of time; `besides` are taken as they are, though nothing is followed
    /// past them where they are damaged or half done.
    pub fn of(unit: &str, accounts: &'a [Account], besides: &[&str]) -> Known<'a> {
        let mut known = Known {
            accounts: Vec::new(),
            lost: HashMap::new(),
            told: Vec::new(),
        };
        let mut before: HashMap<&str, String> = HashMap::new();
        for account in in_place(accounts) {
            let front = name(account).0;
            // the copy of a build says nothing that is not known
            let is_copy = |one: &&Account| !one.digest.is_empty() && one.digest == account.digest;
            let (left_out, unsure) = if !account.problems.is_empty() {
                let problems = account.problems.join("; ");
                known.told.push(format!(
                    "{} is damaged and is left out: {problems}",
                    account.build
                ));
                (true, (!known.accounts.iter().any(is_copy)).then_some("damaged"))
            } else if !account.newer.is_empty() {
                let words = account.newer.join("; ");
                known.told.push(format!(
                    "{} was made by a newer program and is left out: {words}",
                    account.build
                ));
                (true, Some("of a newer program"))
            } else if let Some(reason) = &account.voided {
                if account.unit == unit {
                    known
                        .told
                        .push(format!("{} was voided and is left out: {reason}", account.build));
                }
                (true, None)
            } else if account.finished.is_none() {
                if account.unit == unit {
                    known
                        .told
                        .push(format!("{} is not finished and is left out", account.build));
                }
                // one that was given up before anything was put together changed nothing
                (true, account.is_built().then_some("not finished"))
            } else {
                (false, None)
            };
            if !left_out || besides.contains(&account.build.as_str()) {
                if let Some(why) = before.remove(front) {
                    known.lost.insert(&account.build, why);
                }
                known.accounts.push(account);
            }
            if let Some(how) = unsure {
                before.insert(front, format!("{} is {how}", account.build));
            }
        }
        known
    }
}

/// One that could not be read says no time; it stands behind the build of its unit that has the number before it.
fn in_place(accounts: &[Account]) -> Vec<&Account> {
    let (unread, mut placed): (Vec<&Account>, Vec<&Account>) =
        accounts.iter().partition(|account| account.begun.is_empty());
    for account in unread {
        let (front, number) = name(account);
        let before = placed
            .iter()
            .rposition(|one| name(one).0 == front && name(one).1 < number);
        placed.insert(before.map_or(0, |n| n + 1), account);
    }
    placed
}

/// The front of a build's name, which all builds of a unit have, and its number.
fn name(account: &Account) -> (&str, u64) {
    let (front, number) = account.build.rsplit_once('-').unwrap_or((&account.build, ""));
    (front, number.parse().unwrap_or(0))
}
