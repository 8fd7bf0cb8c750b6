//! What a run of the program came to.

use serde_json::Value;
use std::process::Output;

pub struct Ran {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl From<Output> for Ran {
    fn from(output: Output) -> Ran {
        let ran = Ran {
            // there is none where it was ended by a signal
            code: output.status.code().unwrap(),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        };
        assert!(!ran.err.contains("panicked"), "{}", ran.err);
        ran
    }
}

impl Ran {
    pub fn json(&self) -> Value {
        assert_eq!(self.code, 0, "{}", self.err);
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("{error}: {}", self.out))
    }
}
