//! The commands in groups, each with examples: what the help and the manual page show of them.

/// The commands in groups, in the order of the help.
pub(super) const GROUPS: &[(&str, &[&str])] = &[
    (
        "At the bench",
        &[
            "work",
            "new-unit",
            "choose",
            "parts",
            "correct",
            "void",
            "as-left",
            "procedures",
            "lint",
        ],
    ),
    ("On paper and screen", &["sheet", "show", "labels"]),
    ("Which lock the car needs", &["settle", "new-car", "reckon"]),
    ("On the road", &["day", "days", "runs", "plan"]),
    (
        "The book",
        &[
            "builds", "fleet", "wear", "between", "export", "import", "backup", "restore", "adopt",
            "drawers", "defaults",
        ],
    ),
    ("Seals", &["sign", "check", "key"]),
    ("To learn", &["demo", "practise", "guide", "words"]),
    ("For editors and shells", &["schema", "completions", "man"]),
];

/// Examples of each command. They run one after the other where `demo --files try` and `demo --history` have been run, with the
/// book of the latter.
pub(super) const EXAMPLES: &[(&str, &[&str])] = &[
    (
        "work",
        &[
            "work full-rebuild try/moor-rear.toml",
            "work full-rebuild try/moor-rear.toml --new --as-listed --answers try/moor-rear.answers",
        ],
    ),
    ("new-unit", &["new-unit", "new-unit --closed moor.toml"]),
    (
        "choose",
        &["choose try/moor-rear.toml --readings try/moor-rear-readings.toml"],
    ),
    ("parts", &["parts moor-rear-0005 --wait-for \"two plates\""]),
    (
        "correct",
        &["correct moor-rear-0004 plate-thickness/G3/1 1.957 --by Ada --reason misread"],
    ),
    ("void", &["void moor-rear-0005 --reason \"the wrong unit\""]),
    ("as-left", &["as-left try/moor-rear.toml --out moor-now.toml"]),
    ("procedures", &["procedures", "procedures bench-check --toml"]),
    ("lint", &["lint try/moor-rear.toml try/moor-drawer.toml"]),
    (
        "sheet",
        &[
            "sheet moor-rear-0004 --paper letter",
            "sheet moor-rear-0004 --html moor-rear-0004.html",
            "sheet moor-rear-0004 --with-record --out moor-rear-0004-whole.pdf",
            "sheet --blank bench-check try/moor-rear.toml",
        ],
    ),
    ("show", &["show moor-rear-0004", "show moor-rear-0004 --json"]),
    ("labels", &["labels moor-rear-0004 --roll"]),
    (
        "settle",
        &[
            "settle try/moor-car.toml --use hillclimb --unit try/moor-rear.toml",
            "settle try/moor-car.toml --use hillclimb --unit try/moor-rear.toml --svg .",
        ],
    ),
    ("new-car", &["new-car", "new-car moor-car.toml"]),
    (
        "reckon",
        &[
            "reckon convert 100lbf.ft --to N.m",
            "reckon judge --value 1.982mm --uncertainty 0.004mm --least 1.95mm",
        ],
    ),
    ("day", &["day try/moor-car.toml"]),
    ("days", &["days", "days moor-day-0002"]),
    ("runs", &["runs moor-rear-0004 moor-milder"]),
    (
        "plan",
        &["plan try/moor-car.toml moor-rear-0003 moor-rear-0004 --runs 12"],
    ),
    ("builds", &["builds", "builds --json"]),
    ("fleet", &["fleet", "fleet --open", "fleet --calendar due.ics"]),
    (
        "wear",
        &["wear moor-rear", "wear moor-rear --sheet moor-wear.pdf"],
    ),
    ("between", &["between moor-rear-0001 moor-rear-0004"]),
    (
        "export",
        &["export plates --out plates.csv", "export builds --format jsonl"],
    ),
    ("import", &["import old.csv --unit try/moor-rear.toml --check"]),
    ("backup", &["backup book.backup"]),
    (
        "restore",
        &["restore book.backup --try", "restore book.backup again"],
    ),
    (
        "adopt",
        &[
            "adopt",
            "adopt --removed moor-rear-0009 --by \"Ada Example\" --reason \"a trial\"",
        ],
    ),
    (
        "drawers",
        &["drawers", "drawers try/moor-rear.toml", "drawers --csv"],
    ),
    (
        "defaults",
        &["defaults", "defaults set paper letter", "defaults unset paper"],
    ),
    ("sign", &["sign moor-rear-0004 --key bench-key"]),
    (
        "check",
        &[
            "check moor-rear-0004",
            "check moor-rear-0004-whole.pdf",
            "check --code \"5e03 7fb9 6aea d1a1\"",
            "check --photo sheet.jpg",
            "check --all",
            "check --all --sheets",
        ],
    ),
    (
        "key",
        &[
            "key new bench-key --as \"Ada Example\"",
            "key line bench-key --as \"Ada Example\"",
            "key rotate bench-key new-key",
        ],
    ),
    ("demo", &["demo", "demo --files try", "demo --history"]),
    ("practise", &["practise --level 1", "practise --past"]),
    ("guide", &["guide", "guide first-job"]),
    ("words", &["words preload"]),
    ("schema", &["schema", "schema unit", "schema --output wear"]),
    ("completions", &["completions bash"]),
    ("man", &["man", "man work"]),
];

/// The examples of a command.
pub(super) fn examples(command: &str) -> &'static [&'static str] {
    EXAMPLES
        .iter()
        .find(|(name, _)| *name == command)
        .map_or(&[], |(_, lines)| *lines)
}
