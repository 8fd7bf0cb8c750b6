//! Whose a key is: the file that ssh-keygen(1) calls ALLOWED SIGNERS.

use super::error::SealError;
use super::key::PublicKey;
use super::rotated::{Judged, Rotated, by_rotations, judge};
use super::standing::{Moment, Standing};

/// Who may sign with which key, as an allowed-signers file of OpenSSH says it.
///
/// A line holds names (separated by commas, with `*` and `?` for what may differ, `!` before a name that is shut out,
/// in quotes where there is a space), options or none, and a public key. Of the options, `namespaces`, `valid-after`
/// and `valid-before` are kept; a line with `cert-authority` is not used, because certificates are not read here. A
/// line that can not be read is not used and is told.
///
/// Source: ssh-keygen(1), ALLOWED SIGNERS, of OpenSSH.
///
/// ```
/// use shimwright::seal::{Moment, Signers, SigningKey, Standing};
/// let key = SigningKey::random()?.public();
/// let signers = Signers::read(&format!("# the bench\n{}\n", key.signers_line("Ada Example")));
/// let moment = Moment { utc: "20260501100000".into(), local: "20260501120000".into() };
/// assert_eq!(signers.standing(&key, "Ada Example", "n", &moment), Standing::Known);
/// assert_eq!(signers.standing(&key, "Bea Example", "n", &moment), Standing::OtherName(vec!["Ada Example".into()]));
/// # Ok::<(), shimwright::seal::SealError>(())
/// ```
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Signers {
    lines: Vec<Line>,
    faults: Vec<SignerFault>,
    revoked: Vec<PublicKey>,
    revoked_faults: Vec<SignerFault>,
    rotations: Vec<Judged>,
}

/// A line of an allowed-signers file that is not used.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SignerFault {
    /// The line, from 1.
    pub line: usize,
    /// Why.
    pub words: String,
}

#[derive(Clone, PartialEq, Eq, Debug)]
struct Line {
    names: String,
    key: PublicKey,
    namespaces: Option<String>,
    after: Option<Bound>,
    before: Option<Bound>,
}

/// A time as it is written in an option.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Bound {
    digits: String,
    utc: bool,
}

impl Signers {
    /// Reads a file's text.
    pub fn read(text: &str) -> Signers {
        let mut signers = Signers::default();
        for (n, line) in text.lines().enumerate() {
            let line = line.trim();
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            match Line::read(line) {
                Ok(line) => signers.lines.push(line),
                Err(words) => signers.faults.push(SignerFault { line: n + 1, words }),
            }
        }
        signers
    }

    /// The same with keys that are revoked: those of a text with a public key a line, as `ssh-keygen -Y verify -r` takes it.
    /// Such a key counts for nothing, whatever a line has it as and whatever time is claimed, for the time is claimed by
    /// whoever has the key. A key of another kind than is used here is passed over: nothing counts by it anyway.
    ///
    /// Source: ssh-keygen(1), `-r revocation_file`, of OpenSSH.
    ///
    /// ```
    /// use shimwright::seal::{Moment, Signers, SigningKey, Standing};
    /// let key = SigningKey::random()?.public();
    /// let line = key.signers_line("Ada");
    /// let revoked = line.split_once(' ').map_or("", |(_, key)| key);
    /// let signers = Signers::read(&line).revoking(revoked);
    /// let moment = Moment { utc: "20260501100000".into(), local: "20260501120000".into() };
    /// assert_eq!(signers.standing(&key, "Ada", "n", &moment), Standing::Revoked);
    /// # Ok::<(), shimwright::seal::SealError>(())
    /// ```
    #[must_use]
    pub fn revoking(mut self, text: &str) -> Signers {
        for (n, line) in text.lines().enumerate() {
            let line = line.trim();
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            match PublicKey::read(line) {
                Ok(key) => self.revoked.push(key),
                Err(SealError::OtherKind { .. }) => {}
                Err(error) => self.revoked_faults.push(SignerFault {
                    line: n + 1,
                    words: format!("no key is revoked by it: {error}"),
                }),
            }
        }
        self
    }

    /// The same with keys that took the place of others: a key that a line has signs the next, and so on. Each such key is the
    /// same person's from then on, and the one before it is no more. What was signed by a revoked key, by one whose owner
    /// is not known, twice by one key, or in a circle counts for nothing and is told.
    ///
    /// It is called behind [`Signers::revoking`].
    ///
    /// ```
    /// use shimwright::seal::{Moment, Rotated, Signers, SigningKey, Standing};
    /// let (old, new) = (SigningKey::random()?.public(), SigningKey::random()?.public());
    /// let at = |hour: &str| Moment { utc: format!("20260501{hour}0000"), local: format!("20260501{hour}0000") };
    /// let rotated = Rotated {
    ///     old: old.clone(), new: new.clone(), name: "Ada".into(), at: at("10"), time: "2026-05-01T10:00:00Z".into(),
    ///     namespace: "rotation", file: "rotation.txt".into(),
    /// };
    /// let signers = Signers::read(&old.signers_line("Ada")).rotating(vec![rotated]);
    /// assert_eq!(signers.standing(&new, "Ada", "n", &at("11")), Standing::Known);
    /// assert!(matches!(signers.standing(&new, "Ada", "n", &at("09")), Standing::OutOfTime(_)));
    /// assert!(matches!(signers.standing(&old, "Ada", "n", &at("11")), Standing::OutOfTime(_)));
    /// # Ok::<(), shimwright::seal::SealError>(())
    /// ```
    #[must_use]
    pub fn rotating(mut self, rotations: Vec<Rotated>) -> Signers {
        let by_lines = |key: &PublicKey, name: &str, namespace: &str, at: &Moment| {
            self.by_lines(key, name, namespace, at)
        };
        self.rotations = judge(rotations, &|key| self.revoked.contains(key), &by_lines);
        self
    }

    /// The rotations, in the order in which they were given, and what is against them.
    pub fn rotations(&self) -> &[Judged] {
        &self.rotations
    }

    /// The rotation by which a key is a person's; nothing where none that counts says so.
    pub fn rotated_to(&self, key: &PublicKey, name: &str) -> Option<&Rotated> {
        let mut counting = self.rotations.iter().filter(|one| one.counts());
        let found = counting.find(|one| one.rotated.new == *key && one.rotated.name == name);
        found.map(|one| &one.rotated)
    }

    /// The lines of revoked keys that are none.
    pub fn revoked_faults(&self) -> &[SignerFault] {
        &self.revoked_faults
    }

    /// The lines that are not used.
    pub fn faults(&self) -> &[SignerFault] {
        &self.faults
    }

    /// The name of a key for a namespace at a time: the first of the first line that knows it then, or else of the first
    /// line that has it; where that is one name and no pattern.
    pub fn name_of(&self, key: &PublicKey, namespace: &str, at: &Moment) -> Option<&str> {
        let names = || {
            let lines = self.lines.iter().filter(|line| line.key == *key);
            let firsts = lines.filter_map(|line| line.names.split(',').next());
            firsts.filter(|first| !first.contains(['*', '?', '!']))
        };
        names()
            .find(|name| self.standing(key, name, namespace, at) == Standing::Known)
            .or_else(|| names().next())
            .or_else(|| {
                let mut counting = self.rotations.iter().filter(|one| one.counts());
                let found = counting.find(|one| one.rotated.new == *key);
                found.map(|one| one.rotated.name.as_str())
            })
    }

    /// The names whose keys are not valid any more at a time, each with until when they were.
    pub fn run_out(&self, at: &Moment) -> Vec<(&str, String)> {
        let lines = self.lines.iter().filter_map(|line| {
            let bound = line
                .before
                .as_ref()
                .filter(|bound| bound.of(at) > &bound.digits)?;
            Some((line.names.as_str(), format!("valid until {bound}")))
        });
        lines.collect()
    }

    /// What the file, and the rotations behind it, say of a key under a name, for a namespace, at a time. One line that says
    /// yes is enough.
    pub fn standing(&self, key: &PublicKey, name: &str, namespace: &str, at: &Moment) -> Standing {
        let by_lines = |key: &PublicKey, name: &str, namespace: &str, at: &Moment| {
            self.by_lines(key, name, namespace, at)
        };
        by_rotations(&self.rotations, &by_lines, key, (name, namespace), at)
    }

    /// What the lines alone say.
    fn by_lines(&self, key: &PublicKey, name: &str, namespace: &str, at: &Moment) -> Standing {
        if self.revoked.contains(key) {
            return Standing::Revoked;
        }
        let mut standing = Standing::Unknown;
        for line in self.lines.iter().filter(|line| line.key == *key) {
            if !in_patterns(name, &line.names) {
                match &mut standing {
                    Standing::OtherName(names) => names.push(line.names.clone()),
                    Standing::Unknown => standing = Standing::OtherName(vec![line.names.clone()]),
                    _ => {}
                }
                continue;
            }
            let allowed = line.namespaces.as_ref();
            if allowed.is_some_and(|allowed| !in_patterns(namespace, allowed)) {
                standing = Standing::OtherNamespace;
            } else if let Some(bound) = line.after.as_ref().filter(|bound| bound.of(at) < &bound.digits) {
                standing = Standing::OutOfTime(format!("valid from {bound}"));
            } else if let Some(bound) = line.before.as_ref().filter(|bound| bound.of(at) > &bound.digits) {
                standing = Standing::OutOfTime(format!("valid until {bound}"));
            } else {
                return Standing::Known;
            }
        }
        standing
    }
}

impl Line {
    fn read(line: &str) -> Result<Line, String> {
        let (names, rest) = word(line)?;
        if names.is_empty() || rest.is_empty() {
            return Err("it wants a name, options or none, and a public key".to_string());
        }
        let mut read = match PublicKey::read(rest) {
            Ok(key) => return Ok(Line::of(names, key)),
            // options stand before the key, unless a key is there that is not used
            Err(error) if begins_with_a_key(rest) => return Err(format!("not used: {error}")),
            Err(_) => {
                let (options, key) = options_and_key(rest)?;
                let key = PublicKey::read(key).map_err(|error| format!("not used: {error}"))?;
                let mut read = Line::of(names, key);
                for option in options {
                    read.take(&option)?;
                }
                read
            }
        };
        if let (Some(after), Some(before)) = (&mut read.after, &mut read.before)
            && after.utc == before.utc
            && after.digits >= before.digits
        {
            return Err("not used: valid-before is not later than valid-after".to_string());
        }
        Ok(read)
    }

    fn of(names: String, key: PublicKey) -> Line {
        Line {
            names,
            key,
            namespaces: None,
            after: None,
            before: None,
        }
    }

    fn take(&mut self, option: &str) -> Result<(), String> {
        let (name, value) = option.split_once('=').unwrap_or((option, ""));
        let value = value
            .strip_prefix('"')
            .and_then(|value| value.strip_suffix('"'))
            .unwrap_or(value);
        match name.to_ascii_lowercase().as_str() {
            "cert-authority" => {
                return Err(
                    "not used: it is for certificates (cert-authority), which are not read here".to_string(),
                );
            }
            "namespaces" if !value.is_empty() && self.namespaces.is_none() => {
                self.namespaces = Some(value.to_string());
            }
            "valid-after" if self.after.is_none() => self.after = Some(Bound::read(value)?),
            "valid-before" if self.before.is_none() => self.before = Some(Bound::read(value)?),
            _ => {
                return Err(format!(
                    "not used: the option \"{name}\" is not known, has no value, or stands twice"
                ));
            }
        }
        Ok(())
    }
}

impl Bound {
    /// Reads `YYYYMMDD`, `YYYYMMDDHHMM` or `YYYYMMDDHHMMSS`, with a Z for UTC or without.
    fn read(text: &str) -> Result<Bound, String> {
        let digits = text.strip_suffix(['Z', 'z']);
        let (digits, utc) = (digits.unwrap_or(text), digits.is_some());
        let number = |from: usize, to: usize| digits.get(from..to).and_then(|part| part.parse::<u32>().ok());
        let within = |from: usize, least: u32, most: u32| {
            digits.len() <= from || number(from, from + 2).is_some_and(|n| (least..=most).contains(&n))
        };
        let good = matches!(digits.len(), 8 | 12 | 14)
            && digits.bytes().all(|b| b.is_ascii_digit())
            && within(4, 1, 12)
            && within(6, 1, 31)
            && within(8, 0, 23)
            && within(10, 0, 59)
            && within(12, 0, 60);
        if !good {
            return Err(format!(
                "not used: \"{text}\" is no time such as 20260501, 202605011030 or 20260501103000Z"
            ));
        }
        Ok(Bound {
            digits: format!("{digits:0<14}"),
            utc,
        })
    }

    fn of<'a>(&self, at: &'a Moment) -> &'a String {
        if self.utc { &at.utc } else { &at.local }
    }
}

impl std::fmt::Display for Bound {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let d = &self.digits;
        write!(
            f,
            "{}-{}-{} {}:{}{}",
            &d[..4],
            &d[4..6],
            &d[6..8],
            &d[8..10],
            &d[10..12],
            if self.utc { " UTC" } else { "" }
        )
    }
}

/// The first word of a text, in quotes or not, and what stands behind it.
fn word(text: &str) -> Result<(String, &str), String> {
    let (word, rest) = match text.strip_prefix('"') {
        Some(inside) => inside
            .split_once('"')
            .ok_or("a quotation mark is not closed".to_string())?,
        None => text.split_once(char::is_whitespace).unwrap_or((text, "")),
    };
    Ok((word.to_string(), rest.trim_start()))
}

fn begins_with_a_key(text: &str) -> bool {
    let first = text.split_whitespace().next().unwrap_or("");
    ["ssh-", "ecdsa-", "sk-"]
        .iter()
        .any(|kind| first.starts_with(kind))
}

/// Options up to the first space outside quotes, parted at the commas outside quotes.
fn options_and_key(text: &str) -> Result<(Vec<String>, &str), String> {
    let mut options = vec![String::new()];
    let mut quoted = false;
    for (at, c) in text.char_indices() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => {
                options.push(String::new());
                continue;
            }
            c if c.is_whitespace() && !quoted => return Ok((options, text[at..].trim_start())),
            _ => {}
        }
        if let Some(last) = options.last_mut() {
            last.push(c);
        }
    }
    Err(if quoted {
        "a quotation mark is not closed".to_string()
    } else {
        "there is no public key on it".to_string()
    })
}

/// Whether a text meets one of the patterns of a list and none of those with a `!`.
fn in_patterns(text: &str, patterns: &str) -> bool {
    let mut met = false;
    for pattern in patterns.split(',') {
        match pattern.strip_prefix('!') {
            Some(shut_out) if meets(text, shut_out) => return false,
            Some(_) => {}
            None => met |= meets(text, pattern),
        }
    }
    met
}

/// Whether a text meets a pattern with `*` for any characters and `?` for one.
fn meets(text: &str, pattern: &str) -> bool {
    let (text, pattern): (Vec<char>, Vec<char>) = (text.chars().collect(), pattern.chars().collect());
    // row by row over the pattern: which beginnings of the text it can have used up
    let mut reached = vec![false; text.len() + 1];
    reached[0] = true;
    for sign in pattern {
        let mut next = vec![false; text.len() + 1];
        if sign == '*' {
            let mut any = false;
            for (at, was) in reached.iter().enumerate() {
                any |= was;
                next[at] = any;
            }
        } else {
            for (at, c) in text.iter().enumerate() {
                next[at + 1] = reached[at] && (sign == '?' || sign == *c);
            }
        }
        reached = next;
    }
    reached[text.len()]
}

#[cfg(test)]
mod tests {
    use super::super::key::SigningKey;
    use super::*;
    use proptest::prelude::*;

    fn key(seed: u8) -> PublicKey {
        SigningKey::from_seed(&[seed; 32]).unwrap().public()
    }

    fn moment() -> Moment {
        Moment {
            utc: "20260501100000".into(),
            local: "20260501120000".into(),
        }
    }

    /// The standing of key 1 as "ada" for "n" with these options before it.
    fn with_options(options: &str) -> (Standing, Vec<SignerFault>) {
        let line = key(1).signers_line("ada");
        let signers = Signers::read(&line.replacen(' ', &format!(" {options} "), 1));
        (
            signers.standing(&key(1), "ada", "n", &moment()),
            signers.faults().to_vec(),
        )
    }

    #[test]
    fn names_and_patterns_say_whose_a_key_is() {
        let text = format!(
            "# comment\n\n{}\n{}\n",
            key(1).signers_line("bea,*@bench,!eve@bench"),
            key(2).signers_line("Cay Example")
        );
        let signers = Signers::read(&text);
        assert!(signers.faults().is_empty(), "{:?}", signers.faults());
        let standing = |n, name| signers.standing(&key(n), name, "n", &moment());
        assert_eq!(standing(1, "bea"), Standing::Known);
        assert_eq!(standing(1, "ada@bench"), Standing::Known);
        assert!(matches!(standing(1, "eve@bench"), Standing::OtherName(_)));
        assert!(matches!(standing(1, "Bea"), Standing::OtherName(_)));
        assert_eq!(standing(2, "Cay Example"), Standing::Known);
        assert_eq!(standing(3, "bea"), Standing::Unknown);
        let name_of = |n| signers.name_of(&key(n), "n", &moment());
        assert_eq!(name_of(1), Some("bea"));
        assert_eq!(name_of(2), Some("Cay Example"));
        assert_eq!(name_of(3), None);
    }

    #[test]
    fn the_name_is_that_of_a_line_which_is_valid_then() {
        let line = key(1).signers_line("before");
        let expired = line.replacen(' ', " valid-before=\"20200101\" ", 1);
        let both = format!("{expired}\n{}\n", key(1).signers_line("now"));
        let name = |text: &str| {
            Signers::read(text)
                .name_of(&key(1), "n", &moment())
                .map(str::to_string)
        };
        assert_eq!(name(&both).as_deref(), Some("now"));
        assert_eq!(name(&expired).as_deref(), Some("before"));
    }

    #[test]
    fn options_are_kept_or_the_line_is_not_used() {
        let known = |options| assert_eq!(with_options(options).0, Standing::Known, "{options}");
        known("namespaces=\"n\"");
        known("namespaces=\"file,n\"");
        known("NAMESPACES=\"*\",valid-after=\"20260501\"");
        known("valid-after=\"20260501100000Z\",valid-before=\"20260501120000\"");
        known("valid-before=\"202605011200\"");
        assert_eq!(with_options("namespaces=\"file\"").0, Standing::OtherNamespace);
        assert_eq!(
            with_options("valid-after=\"20260501100001Z\"").0,
            Standing::OutOfTime("valid from 2026-05-01 10:00 UTC".into())
        );
        assert_eq!(
            with_options("valid-before=\"202605011159\"").0,
            Standing::OutOfTime("valid until 2026-05-01 11:59".into())
        );
        for options in [
            "cert-authority",
            "valid-after=\"soon\"",
            "valid-before=\"20261301\"",
            "verify-required",
            "namespaces=\"\"",
            "valid-after=\"20260502\",valid-before=\"20260501\"",
        ] {
            let (standing, faults) = with_options(options);
            assert_eq!(standing, Standing::Unknown, "{options}");
            assert_eq!(faults.len(), 1, "{options}");
            assert_eq!(faults[0].line, 1);
        }
    }

    #[test]
    fn a_line_that_can_not_be_read_is_told() {
        for line in [
            "ada",
            "ada ssh-ed25519",
            "ada ssh-ed25519 AAAA",
            "\"ada ssh-ed25519 AAAA",
            "ada ssh-rsa AAAAB3NzaC1yc2EAAAADAQABAAAAgQ",
            "ada namespaces=\"n ssh-ed25519 AAAA",
        ] {
            assert_eq!(Signers::read(line).faults().len(), 1, "{line}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_without_a_panic(text in "[a-z\"=,!*? \n#é]{0,60}|\\PC{0,60}") {
            Signers::read(&text);
        }

        #[test]
        fn a_pattern_is_met_as_its_parts_are(text in "[ab]{0,8}", head in "[ab]{0,3}", tail in "[ab]{0,3}") {
            let wanted = text.len() >= head.len() + tail.len() && text.starts_with(&head) && text.ends_with(&tail);
            prop_assert_eq!(meets(&text, &format!("{head}*{tail}")), wanted);
            prop_assert_eq!(meets(&text, &"?".repeat(text.len())), true);
        }
    }
}
