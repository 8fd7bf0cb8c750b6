//! The build sheet: content, layout, the page as plain data, and the bytes of the PDF; drawings and tables.
