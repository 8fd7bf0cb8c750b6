//! The file of a sheet: the tree that is read out, held against the report on the screen, and as another program reads it.

use crate::pdf_parts::{Part, tree, utf16};
use crate::sheet_builds::{empty, full, long_notes, sixty_plates, unfinished};
use crate::{PAPERS, ask, samples};
use lopdf::Document;
use shimwright::record::Build;
use shimwright::report::{FIRM, Part as Told};
use shimwright::sheet::{
    Item, LabelStock, Page, Paper, Role, label_pages, labels_pdf, pages, pdf, pdf_with_record, whole,
};

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

/// `outloud` 0.2.1 (Apache-2.0) goes through the checkpoints of PDF/UA-1 that a program can judge; it is not the reference
/// validator.
#[test]
fn a_checker_of_accessible_files_finds_no_error() {
    let files = [
        ("journal.jsonl".to_string(), b"{}".to_vec()),
        ("unit.toml".to_string(), b"name = \"invented\"".to_vec()),
    ];
    let bytes = pdf_with_record(&full(), Paper::A4, &files.into()).unwrap();
    if let Some((fine, words)) = ask("outloud", &["FILE"], &bytes) {
        assert!(fine && words.contains("0 error(s)"), "{words}");
    }
}

#[test]
fn the_file_has_an_outline_of_its_heads_and_says_its_title_language_and_greys() {
    let bytes = pdf(&full(), Paper::A4).unwrap();
    let file = Document::load_mem(&bytes).unwrap();
    let catalog = file.catalog().unwrap();
    let outline = catalog.get_deref(b"Outlines", &file).unwrap().as_dict().unwrap();
    let mut heads = Vec::new();
    let mut next = outline.get(b"First").ok();
    let mut last = (0, f32::INFINITY);
    let pages: Vec<_> = file.page_iter().collect();
    while let Some(entry) = next {
        let entry = file.get_dictionary(entry.as_reference().unwrap()).unwrap();
        heads.push(utf16(entry.get(b"Title").unwrap().as_str().unwrap()));
        // each leads to its place, further down or on a later page
        let place = entry.get(b"Dest").unwrap().as_array().unwrap();
        let page = pages
            .iter()
            .position(|page| *page == place[0].as_reference().unwrap())
            .unwrap();
        let top = place[3].as_float().unwrap();
        assert!(page > last.0 || page == last.0 && top < last.1, "{heads:?}");
        last = (page, top);
        next = entry.get(b"Next").ok();
    }
    let (parts, _) = tree(&bytes);
    let wanted: Vec<String> = parts.all("H2").iter().map(|head| plain(&head.words)).collect();
    assert_eq!(heads, wanted);
    assert_eq!(
        catalog.get(b"PageMode").unwrap().as_name().unwrap(),
        b"UseOutlines"
    );
    assert_eq!(catalog.get(b"Lang").unwrap().as_str().unwrap(), b"en-GB");
    let packet = catalog
        .get_deref(b"Metadata", &file)
        .unwrap()
        .as_stream()
        .unwrap();
    assert!(!packet.dict.has(b"Filter"), "programs look for it in the bytes");
    let words = String::from_utf8(packet.content.clone()).unwrap();
    assert!(
        words.contains("Moor rear unit: build sheet moor-rear-0003") && words.contains(">en-GB<"),
        "{words}"
    );
    // nothing is claimed that no validator has seen
    assert!(!words.contains("pdfaid"), "{words}");
}

/// The profile by the fields of ICC.1:2001-04: 6.1 for the head, 6.2 for the table of tags, 6.5.3 for a curve.
#[test]
fn the_profile_of_the_greys_is_whole() {
    let bytes = pdf(&empty(), Paper::A4).unwrap();
    let file = Document::load_mem(&bytes).unwrap();
    let intents = file
        .catalog()
        .unwrap()
        .get(b"OutputIntents")
        .unwrap()
        .as_array()
        .unwrap();
    let intent = file.get_dictionary(intents[0].as_reference().unwrap()).unwrap();
    let profile = intent
        .get_deref(b"DestOutputProfile", &file)
        .unwrap()
        .as_stream()
        .unwrap();
    let profile = profile.get_plain_content().unwrap();
    let number = |at: usize| u32::from_be_bytes(profile[at..at + 4].try_into().unwrap()) as usize;
    assert_eq!(number(0), profile.len());
    assert_eq!(
        (&profile[12..16], &profile[16..20], &profile[36..40]),
        (&b"mntr"[..], &b"GRAY"[..], &b"acsp"[..])
    );
    for n in 0..number(128) {
        let (at, size) = (number(132 + 12 * n + 4), number(132 + 12 * n + 8));
        assert!(at % 4 == 0 && at + size <= profile.len());
        if &profile[132 + 12 * n..136 + 12 * n] == b"kTRC" {
            assert_eq!(&profile[at..at + 4], b"curv");
            let gamma = f64::from(u16::from_be_bytes([profile[at + 12], profile[at + 13]])) / 256.0;
            assert!((gamma - 2.2).abs() < 0.01, "{gamma}");
        }
    }
}
