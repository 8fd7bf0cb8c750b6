//! Tables of a text in Markdown.

/// The rows of the first table under a heading, each cell without the spaces around it; none where it is not there.
pub fn table_under(text: &str, heading: &str) -> Vec<Vec<String>> {
    text.lines()
        .skip_while(|line| *line != heading)
        .skip(1)
        .skip_while(|line| !line.starts_with('|'))
        .take_while(|line| line.starts_with('|'))
        .skip(2)
        .map(|line| {
            line.trim_matches('|')
                .split('|')
                .map(|cell| cell.trim().to_string())
                .collect()
        })
        .collect()
}
