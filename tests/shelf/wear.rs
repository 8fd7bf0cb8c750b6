//! `shimwright wear` on generated books: what it takes from the index, and from builds of other units.

use crate::books::Recipe;
use crate::program::Shop;
use std::fs;

const SMALL: Recipe = Recipe {
    seed: 12,
    units: 4,
    builds_a_unit: 5,
    unfinished_every: 0,
    damaged_every: 0,
};
const WEAR: [&str; 3] = ["wear", "unit-00002", "--json"];

#[test]
fn the_index_changes_no_answer_of_wear() {
    let shop = Shop::new(&SMALL);
    let first = shop.run(&WEAR);
    assert_eq!(first.code, 0, "{}", first.err);
    // what was written less than two seconds ago is not kept yet
    while !shop.book().join(".index/unit-00004.jsonl").exists() {
        assert_eq!(shop.run(&WEAR).out, first.out);
    }
    assert_eq!(shop.run(&WEAR).out, first.out);
    assert_eq!(shop.run(&[&WEAR[..], &["--afresh"]].concat()).out, first.out);
    // a build that was written to since is read again
    let journal = shop.book().join("unit-00002-0005/journal.jsonl");
    let text = fs::read_to_string(&journal).unwrap();
    let cut = text.rfind("{\"v\"").unwrap();
    fs::write(&journal, &text[..cut]).unwrap();
    let open = shop.run(&WEAR);
    assert!(
        open.err
            .contains("note: unit-00002-0005 is not finished and is left out"),
        "{}",
        open.err
    );
    assert_ne!(open.out, first.out);
}

#[test]
fn a_plate_is_followed_into_a_unit_whose_builds_come_from_the_index_too() {
    let shop = Shop::new(&SMALL);
    // the plate that the generator calls G1 of unit 3 has been in unit 2 from its first build on, by the files
    for build in 1..=5 {
        let file = shop.book().join(format!("unit-00003-{build:04}/unit.toml"));
        let text = fs::read_to_string(&file).unwrap();
        fs::write(&file, text.replace("unit-00003-G1", "unit-00002-G1")).unwrap();
    }
    for _ in 0..2 {
        let ran = shop.run(&WEAR);
        assert_eq!(ran.code, 0);
        // their files are not what their builds were begun with, and that is told for just these
        let told: Vec<&str> = ran.err.lines().collect();
        assert_eq!(told.len(), 5, "{}", ran.err);
        for (n, line) in told.iter().enumerate() {
            let build = format!("unit-00003-{:04}", n + 1);
            assert!(
                line.starts_with(&format!("note: {build} is damaged and is left out")),
                "{line}"
            );
        }
    }
    // a build that can not be read at all counts where its files name the plate
    fs::write(shop.book().join("unit-00003-0002/journal.jsonl"), "x").unwrap();
    fs::write(shop.book().join("unit-00004-0002/journal.jsonl"), "x").unwrap();
    let told = shop.run(&WEAR).err;
    assert!(
        told.contains("unit-00003-0002") && !told.contains("unit-00004"),
        "{told}"
    );
}

#[test]
fn a_unit_whose_builds_can_all_not_be_read_has_nothing_finished() {
    let shop = Shop::new(&Recipe {
        builds_a_unit: 1,
        ..SMALL
    });
    fs::write(shop.book().join("unit-00002-0001/journal.jsonl"), "x").unwrap();
    let ran = shop.run(&WEAR);
    assert!(
        ran.code == 8 && ran.err.contains("is finished and whole"),
        "{}: {}",
        ran.code,
        ran.err
    );
    let unknown = shop.run(&["wear", "unit-9"]);
    assert!(
        unknown.code == 8 && !unknown.err.contains("is finished and whole"),
        "{}",
        unknown.err
    );
}
