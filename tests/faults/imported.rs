//! The program is ended at each call that writes while it imports old papers.

use crate::ended::Way;
use crate::kit::{Bench, Heard};
use crate::table::found;
use crate::trace::traceable;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::process::Command;

/// Two days of the unit on paper.
const TABLE: &str = "day,by,rebuilt,micrometer,plate,thickness\n\
                     2019-03-10,Ann Example,yes,mic-2,S1,1.995\n\
                     2019-03-10,,,,S2,1.999\n\
                     2020-03-11,Ann Example,yes,mic-2,S1,1.983\n";
const DAYS: [&str; 2] = ["fell-front-0001", "fell-front-0002"];

fn begin() -> Bench {
    let bench = Bench::new();
    fs::write(bench.path("files/old.csv"), TABLE).unwrap();
    bench
}

fn import(bench: &Bench) -> Command {
    let unit = format!("{}/demo-units/fell-front.toml", env!("CARGO_MANIFEST_DIR"));
    let drawer = bench.path("files/drawer.toml");
    let words = [
        "import",
        "files/old.csv",
        "--unit",
        &unit,
        "--drawer",
        drawer.to_str().unwrap(),
    ];
    bench.program(&words)
}

/// Every file of the builds that are there, by its path from the book.
fn builds(bench: &Bench) -> BTreeMap<String, Vec<u8>> {
    let files = bench.all().into_iter().filter(|name| {
        let name = name.strip_prefix("book/").unwrap_or("");
        DAYS.iter().any(|day| name.starts_with(&format!("{day}/"))) && !name.ends_with("/held-by")
    });
    files
        .map(|name| (name.clone(), fs::read(bench.path(&name)).unwrap()))
        .collect()
}

#[test]
fn an_import_lays_each_day_down_whole_and_goes_on_wherever_it_was_ended() {
    if !traceable() {
        return;
    }
    let undisturbed = begin();
    let ran = import(&undisturbed).output().unwrap();
    assert_eq!(ran.status.code(), Some(0), "{ran:?}");
    let whole = builds(&undisturbed);
    assert_eq!(whole.len(), 10, "{:?}", whole.keys());
    let way = Way {
        start: &begin,
        command: &import,
    };
    let (mut left, mut beside, mut heard) = (BTreeSet::new(), false, Heard::default());
    way.end_everywhere(|bench, about, _| {
        let now = builds(bench);
        let there = DAYS
            .iter()
            .filter(|day| bench.path(&format!("book/{day}")).exists())
            .count();
        // what is there is there to the last byte
        for (name, bytes) in &now {
            assert!(whole.get(name) == Some(bytes), "{about}: {name} is another");
        }
        assert_eq!(now.len(), 5 * there, "{about}: half a day");
        left.insert(["no day", "the first day whole", "both days whole"][there]);
        beside |= !bench.leftovers().is_empty();
        // the same again: what is there is told, the rest comes
        let ran = import(bench).output().unwrap();
        let (out, err) = (
            String::from_utf8_lossy(&ran.stdout),
            String::from_utf8_lossy(&ran.stderr),
        );
        assert_eq!(ran.status.code(), Some(0), "{about}: {out}{err}");
        let told: Vec<&str> = out
            .lines()
            .filter(|line| line.ends_with("there already"))
            .collect();
        let first = told.iter().filter(|line| line.starts_with("fell-front-")).count();
        assert_eq!(first, there, "{about}: {out}");
        heard.hear(&err);
        for line in &told {
            heard.hear(line);
        }
        assert!(builds(bench) == whole, "{about}: another book");
        assert_eq!(bench.leftovers(), Vec::<String>::new(), "{about}");
    });
    let left: Vec<&str> = ["no day", "the first day whole", "both days whole"]
        .into_iter()
        .filter(|state| left.contains(state))
        .collect();
    let beside = if beside {
        "; a file or folder `.tmp-…` may lie beside it"
    } else {
        ""
    };
    found(
        "ended while old papers are imported",
        &format!("{}{beside}", left.join(", or ")),
        &heard.words(),
    );
}
