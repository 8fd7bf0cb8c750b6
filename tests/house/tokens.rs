//! The scanner of code.

#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Token {
    pub text: String,
    pub line: usize,
}

/// Names and signs of Rust source, without comments and without the contents of strings and characters.
pub fn tokens(source: &str) -> Vec<Token> {
    let chars: Vec<char> = source.chars().collect();
    let at = |n: usize| chars.get(n).copied().unwrap_or('\0');
    let is_name = |c: char| c.is_alphanumeric() || c == '_';
    let mut found = Vec::new();
    let (mut n, mut line) = (0, 1);
    while n < chars.len() {
        let start = n;
        let c = chars[n];
        if c == '/' && at(n + 1) == '/' {
            while n < chars.len() && chars[n] != '\n' {
                n += 1;
            }
        } else if c == '/' && at(n + 1) == '*' {
            let mut depth = 0;
            while n < chars.len() {
                match (chars[n], at(n + 1)) {
                    ('/', '*') => (depth, n) = (depth + 1, n + 2),
                    ('*', '/') => (depth, n) = (depth - 1, n + 2),
                    _ => n += 1,
                }
                if depth == 0 {
                    break;
                }
            }
        } else if c == '"' {
            n = end_of_string(&chars, n);
        } else if c == '\'' {
            // a character closes after one sign or an escape; anything else is a lifetime
            if at(n + 1) == '\\' {
                n += 3;
                while n < chars.len() && chars[n] != '\'' {
                    n += 1;
                }
                n += 1;
            } else if at(n + 2) == '\'' {
                n += 3;
            } else {
                n += 1;
                while is_name(at(n)) {
                    n += 1;
                }
            }
        } else if is_name(c) {
            while is_name(at(n)) {
                n += 1;
            }
            let word: String = chars[start..n].iter().collect();
            let raw = matches!(word.as_str(), "r" | "br" | "cr");
            let hashes = chars[n..].iter().take_while(|c| **c == '#').count();
            if raw && at(n + hashes) == '"' {
                n = end_of_raw_string(&chars, n + hashes + 1, hashes);
            } else if matches!(word.as_str(), "b" | "c") && at(n) == '"' {
                n = end_of_string(&chars, n);
            } else if raw && hashes == 1 {
                // r#name: the next turn takes the name
                n += 1;
            } else {
                found.push(Token { text: word, line });
            }
        } else if c == ':' && at(n + 1) == ':' {
            n += 2;
            found.push(Token {
                text: "::".into(),
                line,
            });
        } else {
            n += 1;
            if !c.is_whitespace() {
                found.push(Token { text: c.into(), line });
            }
        }
        let n_end = n.min(chars.len());
        line += chars[start..n_end].iter().filter(|c| **c == '\n').count();
    }
    found
}

fn end_of_string(chars: &[char], start: usize) -> usize {
    let mut n = start + 1;
    while n < chars.len() && chars[n] != '"' {
        n += if chars[n] == '\\' { 2 } else { 1 };
    }
    n + 1
}

fn end_of_raw_string(chars: &[char], start: usize, hashes: usize) -> usize {
    let closes = |n: usize| (1..=hashes).all(|k| chars.get(n + k) == Some(&'#'));
    let mut n = start;
    while n < chars.len() && !(chars[n] == '"' && closes(n)) {
        n += 1;
    }
    n + 1 + hashes
}
