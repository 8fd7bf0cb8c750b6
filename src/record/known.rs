use super::history::Account;
use std::collections::HashMap;

/// The builds of a book that can be followed, in order of time, and where what came between them is not known.
pub(super) struct Known<'a> {
    /// Finished and whole, and those that were asked for besides.
    pub accounts: Vec<&'a Account>,
    /// By the build that comes next: why nothing can be followed to it.
    pub lost: HashMap<&'a str, String>,
    /// What was left out of the unit's own, and why.
    pub told: Vec<String>,
}

impl<'a> Known<'a> {
    /// Those of accounts in order of time; `besides` are taken as they are.
    pub fn of(unit: &str, accounts: &'a [Account], besides: &[&str]) -> Known<'a> {
        let mut known = Known {
            accounts: Vec::new(),
            lost: HashMap::new(),
            told: Vec::new(),
        };
        let mut before: HashMap<&str, String> = HashMap::new();
        for account in in_place(accounts) {
            let front = name(account).0;
            let asked = besides.contains(&account.build.as_str());
            if !asked && !account.problems.is_empty() {
                known.told.push(format!(
                    "{} is damaged and is left out: {}",
                    account.build,
                    account.problems.join("; ")
                ));
                // the copy of a build says nothing that is not known
                let is_copy = |one: &&Account| !one.digest.is_empty() && one.digest == account.digest;
                if !known.accounts.iter().any(is_copy) {
                    before.insert(front, format!("{} is damaged", account.build));
                }
                continue;
            }
            if !asked && account.finished.is_none() {
                if account.unit == unit {
                    known
                        .told
                        .push(format!("{} is not finished and is left out", account.build));
                }
                // one that was given up before anything was put together changed nothing
                if account.is_built() {
                    before.insert(front, format!("{} is not finished", account.build));
                }
                continue;
            }
            if let Some(why) = before.remove(front) {
                known.lost.insert(&account.build, why);
            }
            known.accounts.push(account);
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
