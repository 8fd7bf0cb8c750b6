//! Text as TOML writes it.

/// A text in quotes, with whatever has to be escaped in it.
pub(crate) fn quoted(text: &str) -> String {
    toml::Value::from(text).to_string()
}
