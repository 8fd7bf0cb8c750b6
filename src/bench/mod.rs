//! How a question reaches a person: interactive, line by line, or an answers file.
