//! The commands that a help lists.

/// The names of the commands in a help, in whatever groups they stand there.
pub fn commands_in(help: &str) -> Vec<String> {
    help.lines()
        .skip_while(|line| !line.starts_with("Usage:"))
        .take_while(|line| *line != "Options:")
        .filter_map(|line| line.strip_prefix("  ")?.split(' ').next())
        .filter(|name| name.starts_with(|c: char| c.is_ascii_lowercase()) && *name != "help")
        .map(str::to_string)
        .collect()
}
