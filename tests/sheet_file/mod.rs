//! The file of a sheet: the tree that is read out, held against the report on the screen, and as another program reads it.

use crate::pdf_parts::{Part, tree};
use crate::sheet_builds::{empty, full, long_notes, sixty_plates, unfinished};
use crate::{PAPERS, ask, samples};
use shimwright::record::Build;
use shimwright::report::{FIRM, Part as Told};
use shimwright::sheet::{Item, LabelStock, Page, Paper, Role, label_pages, labels_pdf, pages, pdf, whole};

fn read(build: &Build) -> (Part, String) {
    tree(&pdf(build, Paper::A4).unwrap())
}

/// As it is read out: a space between words, whatever stands between them on paper.
fn plain(text: &str) -> String {
    let text = text.replace(FIRM, " ");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn cells(row: &Part) -> Vec<String> {
    row.parts.iter().map(|cell| plain(&cell.words)).collect()
}

#[test]
fn every_pair_and_every_table_of_the_screen_is_read_out_cell_by_cell() {
    for build in [full(), sixty_plates()] {
        let (parts, _) = read(&build);
        let rows: Vec<Vec<String>> = parts.all("TR").into_iter().map(cells).collect();
        let labels: Vec<(String, String)> = parts
            .all("TR")
            .into_iter()
            .filter(|row| row.parts.first().is_some_and(|cell| cell.scope == "Row") && row.parts.len() == 2)
            .map(|row| (plain(&row.parts[0].words), plain(&row.parts[1].words)))
            .collect();
        for (label, value) in build.identity.iter().chain(&build.setting).chain(&build.oil) {
            let wanted = (plain(label), plain(value));
            assert!(labels.contains(&wanted), "{wanted:?}\n{labels:#?}");
        }
        let mut met = 0;
        let report = whole(&build);
        for told in report.sections.iter().flat_map(|section| &section.parts) {
            let Told::Table(table) = told else { continue };
            let heads: Vec<String> = table
                .columns
                .iter()
                .map(|column| plain(&column.title()))
                .collect();
            // the lock curve is drawn, and the plates' readings stand in their own row
            if !rows.contains(&heads) {
                continue;
            }
            for row in &table.rows {
                let row: Vec<String> = row.iter().map(|cell| plain(&cell.text())).collect();
                assert!(rows.contains(&row), "{row:?}");
                met += 1;
            }
        }
        assert!(met >= 8, "{met} rows were compared");
        for plate in &build.plates {
            let row = rows.iter().find(|row| row[0] == plate.name).unwrap();
            let readings: Vec<String> = plate
                .readings
                .iter()
                .map(|one| format!("{:.3}", one.mm()))
                .collect();
            let read = row
                .iter()
                .any(|cell| readings.iter().all(|one| cell.contains(one)));
            assert!(read, "{row:?}: {readings:?}");
        }
    }
}

#[test]
fn rows_are_whole_figures_say_what_they_show_and_heads_come_in_their_order() {
    for (name, build) in samples() {
        let (parts, _) = read(&build);
        for table in parts.all("Table") {
            let mut wide: Vec<usize> = table.parts.iter().map(|row| row.parts.len()).collect();
            wide.dedup();
            assert_eq!(wide.len(), 1, "{name}: {table:#?}");
        }
        for figure in parts.all("Figure") {
            assert!(figure.alt.len() > 40, "{name}: {:?}", figure.alt);
        }
        assert_eq!(parts.all("H1").len(), 1, "{name}");
        let heads: Vec<String> = parts.all("H2").iter().map(|head| plain(&head.words)).collect();
        let signed = heads
            .iter()
            .position(|head| head == "Signatures")
            .or(heads.len().checked_sub(1));
        assert_eq!(signed, heads.len().checked_sub(1), "{name}: {heads:?}");
    }
    let (parts, _) = read(&full());
    let says: String = parts
        .all("Figure")
        .iter()
        .map(|figure| figure.alt.as_str())
        .collect();
    assert!(
        says.contains("it rises to") && says.contains("on coast"),
        "{says}"
    );
    assert!(says.contains("window"), "{says}");
}

#[test]
fn a_broken_line_keeps_the_space_between_its_words() {
    let mut build = full();
    let words =
        "two seasons ago with other plates of another maker and never looked at since then ".repeat(4);
    build.identity.push(("Last built".into(), words.clone()));
    build.open.push(words.clone());
    let (parts, _) = read(&build);
    for kind in ["TD", "P"] {
        let found = parts
            .all(kind)
            .iter()
            .any(|part| part.words.trim_end() == words.trim_end());
        assert!(found, "{kind}");
    }
}

/// The words on pages that belong to no part.
fn furniture(pages: &[Page]) -> Vec<String> {
    let mut free = Vec::new();
    let mut heads: Vec<String> = Vec::new();
    for page in pages {
        let mut role: Option<Role> = None;
        for item in &page.items {
            match item {
                Item::Tag(tag) => role = tag.as_ref().map(|tag| tag.role().clone()),
                Item::Text { text, .. } => match role {
                    Some(Role::ColumnHead) => heads.push(text.clone()),
                    // the head of a table that goes on is not read out again
                    None if !heads.contains(text) => free.push(text.clone()),
                    _ => {}
                },
                _ => {}
            }
        }
    }
    free
}

#[test]
fn nothing_but_heads_and_feet_of_pages_is_left_out_of_what_is_read() {
    for build in [full(), unfinished(), long_notes(), sixty_plates(), empty()] {
        for paper in PAPERS {
            for words in furniture(&pages(&build, paper)) {
                let known = words.starts_with("page ")
                    || words.starts_with(&build.id)
                    || words == "UNFINISHED"
                    || words.eq_ignore_ascii_case(&build.procedure.sheet)
                    || build.unit_name.starts_with(words.trim_end_matches('…'));
                assert!(known, "{words}");
            }
        }
        let stock = LabelStock::Sheet(Paper::A4);
        assert_eq!(furniture(&label_pages(&build, stock)), Vec::<String>::new());
        let (parts, _) = tree(&labels_pdf(&build, stock).unwrap());
        assert!(!parts.all("H1").is_empty());
    }
}

/// What poppler's `pdfinfo -struct-text` has read out of the tree.
#[test]
fn another_program_reads_labels_before_their_values_and_sections_in_their_order() {
    let bytes = pdf(&full(), Paper::A4).unwrap();
    let Some((fine, words)) = ask("pdfinfo", &["-struct-text", "FILE"], &bytes) else {
        return;
    };
    assert!(fine, "{words}");
    let mut at = 0;
    for wanted in [
        "H1",
        "H2",
        "Identity",
        "Table",
        "TR",
        "TH",
        "Plates",
        "Figure",
        "Signatures",
    ] {
        let found = words[at..].find(wanted);
        assert!(found.is_some(), "{wanted} does not come in its order:\n{words}");
        at += found.unwrap();
    }
    let (_, tagged) = ask("pdfinfo", &["FILE"], &bytes).unwrap();
    assert!(tagged.contains("Tagged:          yes"), "{tagged}");
}
