//! From a build to blocks, in the order of the sheet.

use super::attachments::RecordFiles;
use super::blocks::{Block, Document, Section, SignLine, Strip, StripRow, Style};
use super::code::Symbol;
use super::glance;
use super::numbers::{
    WEDGES, breakaway_said, capital, firm, first_groups, grouped, moment, preload_said, zoned,
};
use super::tables;
use crate::mechanics::Side;
use crate::quantity::{Force, Ratio, Torque};
use crate::record::{
    Build, CautionLine, Copied, Curve, FoundAndLeft, Interval, PaperText, Preload, RemarkKind, Role,
    Simulated,
};
use crate::report::{Column, NOTHING, Table};
use crate::workshop::Safety;

/// Whose word comes first, and what a sheet does not say: `sheet` goes on with "not say that the unit is safe". It is on every
/// sheet.
pub(super) fn first_word(sheet: &str) -> String {
    format!("{} {sheet} not say that the unit is safe.", Safety::First.words())
}

/// What stands on a sheet whose build has no caution on record: safety sentences, a paragraph each.
const USUAL_CAUTIONS: [&[Safety]; 2] = [
    &[Safety::Ground, Safety::Shake, Safety::Running],
    &[Safety::Cover, Safety::Figures],
];

/// The whole sheet.
pub(super) fn document(build: &Build) -> Document {
    let dates = match &build.finished {
        // a paper mostly says its day and no more
        _ if build.copied.is_some() => format!("the paper is of {}", day(&build.started)),
        Some(finished) => format!("{} to {}", zoned(&build.started), zoned(finished)),
        None => format!("begun {}, not finished", zoned(&build.started)),
    };
    let corrected = match build
        .remarks
        .iter()
        .any(|remark| remark.kind == RemarkKind::CorrectedAfterSigning)
    {
        true => " · CORRECTED AFTER SIGNING",
        false => "",
    };
    let sections = [
        copy(build),
        open_points(build),
        identity(build),
        pairs(
            if build.procedure.builds {
                "Setting"
            } else {
                "By the unit file"
            },
            &build.setting,
        ),
        asked(build),
        found_and_left(build),
        since(build),
        plates(build),
        packs(build),
        closing(build),
        curve(build),
        proof(build),
        one_table("Bolts", tables::bolts(build)),
        rejected(build),
        checks(build),
        one_table("Notes, skips, overrides, corrections", tables::remarks(build)),
        cautions(build),
        signatures(build),
    ];
    let glance = glance::of(build);
    Document {
        id: build.id.clone(),
        title: format!("{}: {} {}", build.unit_name, build.procedure.sheet, build.id),
        sheet: build.procedure.sheet.clone(),
        unit: build.unit_name.clone(),
        under: format!("{} · {dates}{corrected}", build.procedure.title),
        digest: first_groups(&build.digest),
        finished: build.finished.is_some(),
        code: glance
            .as_ref()
            .map_or_else(|| glance::small_code(build), |glance| glance.code.clone()),
        glance,
        sections: sections.into_iter().flatten().collect(),
    }
}

/// The whole sheet of a build whose record is put into its file.
pub(super) fn with_record(build: &Build, files: &RecordFiles) -> Document {
    let mut document = document(build);
    let names: Vec<&str> = files.keys().map(String::as_str).collect();
    let told = Section {
        head: "The record is in this file".to_string(),
        blocks: vec![Block::Text(
            Style::Framed,
            format!(
                "This PDF holds the whole record of the build: {}. Whoever has the file has every reading, name and remark in it. \
                 shimwright check FILE.pdf reads it back, shimwright restore takes it out.",
                names.join(", ")
            ),
        )],
    };
    // cautions and signatures stay last
    let at = document.sections.len().saturating_sub(2);
    document.sections.insert(at, told);
    document
}

fn section(head: &str, blocks: Vec<Block>) -> Option<Section> {
    (!blocks.is_empty()).then(|| Section {
        head: head.to_string(),
        blocks,
    })
}

fn pairs(head: &str, pairs: &[(String, String)]) -> Option<Section> {
    if pairs.is_empty() {
        return None;
    }
    section(head, vec![Block::Pairs(pairs.to_vec())])
}

fn one_table(head: &str, table: Table) -> Option<Section> {
    if table.rows.is_empty() {
        return None;
    }
    section(head, vec![Block::Table(table)])
}

fn checks(build: &Build) -> Option<Section> {
    let mut blocks = Vec::new();
    if !build.oil.is_empty() {
        blocks.push(Block::Pairs(build.oil.clone()));
    }
    // what was plainly found in order is read as one paragraph; what was not stands out in the table
    let mut in_order: Vec<String> = Vec::new();
    for (what, _) in build.checks.iter().filter(|(_, answer)| answer == "yes") {
        let what = what.trim_end_matches(['?', '.']);
        // what was looked at on both sides is said once
        let other = what
            .strip_prefix(Side::Right.word())
            .map(|rest| format!("{}{rest}", Side::Left));
        match in_order.iter_mut().find(|known| Some(&**known) == other.as_ref()) {
            Some(left) => left.insert_str(Side::Left.word().len(), &format!(" and {}", Side::Right)),
            None => in_order.push(what.to_string()),
        }
    }
    let table = tables::checks(build);
    if !table.rows.is_empty() {
        blocks.push(Block::Table(table));
    }
    if !in_order.is_empty() {
        blocks.push(Block::Text(
            Style::Small,
            format!("Answered with yes: {}.", in_order.join("; ")),
        ));
    }
    let head = if build.oil.is_empty() {
        "Checks"
    } else {
        "Oil, running in, other checks"
    };
    section(head, blocks)
}

fn open_points(build: &Build) -> Option<Section> {
    let items = |texts: &[String]| -> Vec<Block> {
        texts
            .iter()
            .map(|text| Block::Text(Style::Item, text.clone()))
            .collect()
    };
    match (build.open.is_empty(), build.finished.is_some()) {
        (false, _) => section("Open points", items(&build.open)),
        (true, false) => section(
            "Open points",
            items(&["No single point is open, but the build has not been finished.".to_string()]),
        ),
        (true, true) => None,
    }
}

/// When a paper is of: its day, with the time where one was given.
fn day(at: &str) -> String {
    match at.strip_suffix("T00:00:00Z") {
        Some(day) => day.to_string(),
        None => zoned(at),
    }
}

fn copy(build: &Build) -> Option<Section> {
    let copied = build.copied.as_ref()?;
    section(
        "A copy of an old paper",
        vec![Block::Text(Style::Framed, copied.words())],
    )
}

fn identity(build: &Build) -> Option<Section> {
    let mut all = build.identity.clone();
    let followed = &build.procedure;
    let mut add = |label: &str, text: String| all.push((label.to_string(), text));
    add(
        "Procedure",
        if followed.digest.is_empty() {
            followed.id.clone()
        } else {
            format!("{}, digest {}", followed.id, first_groups(&followed.digest))
        },
    );
    if let Some(words) = followed.spoken.on_paper() {
        add("Language", words);
    }
    for signature in &build.signatures {
        add(&capital(signature.role.words()), signature.name.clone());
    }
    section("Identity", vec![Block::Pairs(all)])
}

fn asked(build: &Build) -> Option<Section> {
    let asked = build.asked.as_ref()?;
    section(
        "Settled for the car, and reached",
        vec![
            Block::Pairs(asked.from.clone()),
            Block::Table(tables::asked(asked, build.units)),
            Block::Text(Style::Small, tables::how_reached()),
        ],
    )
}

/// Rows of a left and a right thing as one, `0.300 / 0.500 mm`, where both are known or neither is.
fn both_sides(rows: &[&FoundAndLeft]) -> Vec<FoundAndLeft> {
    let side = |row: &FoundAndLeft, side: Side| {
        let rest = row.what.strip_prefix(side.word())?.strip_prefix(' ')?;
        Some(rest.to_string())
    };
    let both = |left: &Option<String>, right: &Option<String>| match (left, right) {
        (Some(left), Some(right)) => match (left.rsplit_once(' '), right.rsplit_once(' ')) {
            (Some((one, unit)), Some((_, other)))
                if unit == other && one.ends_with(|c: char| c.is_ascii_digit()) =>
            {
                Some(Some(format!("{one} / {right}")))
            }
            _ if left == right => Some(Some(left.clone())),
            _ => Some(Some(format!("{left} / {right}"))),
        },
        (None, None) => Some(None),
        _ => None,
    };
    let mut joined: Vec<FoundAndLeft> = Vec::new();
    let mut taken = vec![false; rows.len()];
    for (at, row) in rows.iter().enumerate() {
        if taken[at] {
            continue;
        }
        let pair = side(row, Side::Left).and_then(|what| {
            let other = rows
                .iter()
                .position(|one| side(one, Side::Right).as_ref() == Some(&what))?;
            let (found, left) = (
                both(&row.found, &rows[other].found)?,
                both(&row.left, &rows[other].left)?,
            );
            Some((other, what, found, left))
        });
        joined.push(match pair {
            Some((other, what, found, left)) => {
                taken[other] = true;
                FoundAndLeft {
                    what: format!("{what}, left / right"),
                    found,
                    left,
                }
            }
            None => (*row).clone(),
        });
    }
    joined
}

fn found_and_left(build: &Build) -> Option<Section> {
    let cell = |text: &Option<String>| text.clone().unwrap_or_else(|| NOTHING.to_string()).into();
    // where nothing was changed, nothing is left otherwise than it was found
    let rows: Vec<&FoundAndLeft> = build
        .found_and_left
        .iter()
        .filter(|row| build.procedure.builds || row.found.is_some())
        .collect();
    if !build.procedure.builds && rows.iter().all(|row| row.left.is_none()) {
        return one_table(
            "As found",
            Table {
                columns: vec![Column::words("What"), Column::words("As found")],
                rows: rows
                    .iter()
                    .map(|row| vec![row.what.as_str().into(), cell(&row.found)])
                    .collect(),
            },
        );
    }
    if rows.is_empty() {
        return None;
    }
    let table = Table {
        columns: vec![
            Column::words("What"),
            Column::words("As found"),
            Column::words("As left"),
        ],
        rows: both_sides(&rows)
            .iter()
            .map(|row| vec![row.what.as_str().into(), cell(&row.found), cell(&row.left)])
            .collect(),
    };
    section("As found and as left", vec![Block::Halves(table)])
}

/// What changed since the last build of the unit.
fn since(build: &Build) -> Option<Section> {
    let since = build.since.as_ref()?;
    pairs(&format!("Since {}", since.build), &since.lines)
}

fn plates(build: &Build) -> Option<Section> {
    if build.plates.is_empty() {
        return None;
    }
    let none_rejected = match build.plates.iter().any(|plate| plate.is_rejected()) {
        true => "",
        false => "No plate was rejected. ",
    };
    section(
        "Plates",
        vec![
            Block::Table(tables::plates(build)),
            Block::Text(
                Style::Small,
                format!("{none_rejected}{}", tables::how_uncertain()),
            ),
        ],
    )
}

fn packs(build: &Build) -> Option<Section> {
    if build.packs.is_empty() {
        return None;
    }
    section(
        "Packs, from the case wall to the pressure ring",
        vec![Block::Packs(build.packs.clone(), build.units)],
    )
}

fn closing(build: &Build) -> Option<Section> {
    let mut blocks = Vec::new();
    if !build.closings.is_empty() {
        blocks.push(Block::Table(tables::closings(build)));
        let sources = tables::sources(build).into_iter();
        blocks.extend(sources.map(|words| Block::Text(Style::Small, words)));
    }
    if let Some(preload) = &build.preload {
        blocks.push(Block::Pairs(preload_pairs(preload, build)));
        blocks.extend(
            preload
                .traps
                .iter()
                .map(|trap| Block::Text(Style::Item, trap.clone())),
        );
        let doubts = doubts(preload, build).into_iter();
        blocks.extend(doubts.map(|words| Block::Text(Style::Small, words)));
    }
    if !blocks.is_empty() {
        let warm = match &build.warm {
            Some(warm) => Some(warm.words(build.units)),
            None => Some(&build.not_warm)
                .filter(|words| !words.is_empty())
                .map(|words| format!("Taken for granted: {words}.")),
        };
        blocks.extend(warm.map(|words| Block::Text(Style::Small, words)));
    }
    section("Gap and preload", blocks)
}

fn preload_pairs(preload: &Preload, build: &Build) -> Vec<(String, String)> {
    let units = build.units;
    let mut all = vec![(
        "Force on each pack".to_string(),
        format!(
            "{} at {}",
            preload_said(preload, units),
            firm(&preload.height.show(units))
        ),
    )];
    all.push(("Spring rate there".to_string(), firm(&preload.rate.show(units))));
    all.push((
        "Breakaway from it".to_string(),
        preload.breakaway.map_or_else(
            || WEDGES.to_string(),
            |breakaway| breakaway_said(breakaway, preload, units),
        ),
    ));
    if let Some((force, breakaway)) = preload.loss_by_wear {
        all.push((
            "Each 0.1 mm of wear".to_string(),
            format!(
                "−{} and −{}",
                firm(&force.show(units)),
                firm(&breakaway.show(units))
            ),
        ));
    }
    if let Some(force) = &preload.simulated {
        all.push((
            "Force, simulated".to_string(),
            simulated(force, preload.interval.as_ref(), |force| force.show(units)),
        ));
    }
    if let Some(torque) = &preload.breakaway_simulated {
        all.push((
            "Breakaway, simulated".to_string(),
            simulated(torque, preload.breakaway_interval.as_ref(), |torque| {
                torque.show(units)
            }),
        ));
    }
    all
}

fn simulated<Q: Copy>(
    of: &Simulated<Q>,
    interval: Option<&Interval<Q>>,
    show: impl Fn(Q) -> String,
) -> String {
    format!(
        "95 %: {} to {}; {:.1} % of {} inside{}",
        firm(&show(of.low)),
        firm(&show(of.high)),
        of.inside * 100.0,
        of.draws,
        interval.map_or(String::new(), |interval| format!("; {}", interval.from_what()))
    )
}

/// What the intervals take for granted, what would narrow them most, and where propagation says otherwise than the simulation.
fn doubts(preload: &Preload, build: &Build) -> Option<String> {
    let units = build.units;
    let force = preload.interval.as_ref()?;
    let breakaway = preload.breakaway_interval.as_ref();
    let mut words = format!("Taken for granted: {}.", preload.assumed.join("; "));
    let ends = |low: String, high: String| format!("{} to {}", firm(&low), firm(&high));
    if let Some(narrowed) = force.narrowed(units) {
        words.push_str(&format!(" Narrowed most by {narrowed}."));
    }
    if let Some(narrowed) = breakaway.and_then(|interval| interval.narrowed(units)) {
        words.push_str(&format!(" Breakaway by {narrowed}."));
    }
    let mut off = |what: &str, ends: String| {
        words.push_str(&format!(
            " Propagation says {ends} of the {what}, more than a tenth off: the simulation counts."
        ));
    };
    if preload
        .simulated
        .is_some_and(|drawn| differ(force, &drawn, Force::newtons))
    {
        off("force", ends(force.low.show(units), force.high.show(units)));
    }
    if let Some((interval, drawn)) = breakaway.zip(preload.breakaway_simulated)
        && differ(interval, &drawn, Torque::newton_metres)
    {
        off(
            "breakaway",
            ends(interval.low.show(units), interval.high.show(units)),
        );
    }
    Some(words)
}

/// Whether an end of a propagated interval is off the simulated one by more than a tenth of its width.
fn differ<Q: Copy>(interval: &Interval<Q>, drawn: &Simulated<Q>, number: fn(Q) -> f64) -> bool {
    let tenth = 0.1 * (number(drawn.high) - number(drawn.low));
    let off = |one: Q, other: Q| (number(one) - number(other)).abs() > tenth;
    off(interval.low, drawn.low) || off(interval.high, drawn.high)
}

/// Every so manieth point of the lock is a row: the middle and the last.
const ROWS_APART: usize = 6;

fn curve(build: &Build) -> Option<Section> {
    let curve = build.curve.as_ref().filter(|curve| !curve.points.is_empty())?;
    let mut blocks = vec![Block::Curve(Box::new(curve.clone()), build.units)];
    if !curve.uneven.is_empty() {
        let words = format!(
            "The packs differ, so it locks differently to either side; the curve is of the side that locks less. Share {}.",
            curve.uneven
        );
        blocks.push(Block::Text(Style::Small, words));
    }
    blocks.extend(
        curve
            .bands
            .as_ref()
            .map(|bands| Block::Table(bands.table(build.units, ROWS_APART))),
    );
    blocks.extend(share_doubts(curve).map(|words| Block::Text(Style::Small, words)));
    section(
        &format!(
            "Lock curve: {}, locking share {} on drive, {} on coast",
            curve.class,
            share(curve.drive_share),
            share(curve.coast_share)
        ),
        blocks,
    )
}

/// Between what the shares lie and by what, and what is not counted; `None` where nothing is known of either.
fn share_doubts(curve: &Curve) -> Option<String> {
    let mut words = String::new();
    if let Some(bands) = &curve.bands {
        words = format!("95 % (grey, table): {} ", bands.words());
    }
    words.push_str(&curve.not_counted);
    Some(words.trim_end().to_string()).filter(|words| !words.is_empty())
}

/// At 1 and above the two outputs turn as one under load, which a number alone does not say.
fn share(share: Ratio) -> String {
    if share.value() >= 1.0 {
        format!("{share} (turns as one under load)")
    } else {
        share.to_string()
    }
}

fn proof(build: &Build) -> Option<Section> {
    if build.proofs.is_empty() {
        return None;
    }
    let mut blocks = vec![Block::Table(tables::rounds(build))];
    if build.proofs.iter().any(|round| !round.readings.is_empty()) {
        blocks.push(Block::Strip(strip(build)));
        blocks.push(Block::Table(tables::readings(build)));
        blocks.push(Block::Text(Style::Small, tables::how_read(build)));
    }
    for round in &build.proofs {
        if !round.doubt.is_empty() {
            let words = format!(
                "Round {}: the mean while turning is known to {}.",
                round.round, round.doubt
            );
            blocks.push(Block::Text(Style::Small, words));
        }
        let should = round.should_read.as_ref();
        blocks.extend(
            should
                .map(|should| Block::Text(Style::Item, format!("Round {}: {}.", round.round, should.words))),
        );
        let advice = |words| Block::Text(Style::Item, format!("After round {}: {words}", round.round));
        blocks.extend(round.advice.iter().map(advice));
    }
    section("Proof by breakaway torque", blocks)
}

fn strip(build: &Build) -> Strip {
    let mut rows = Vec::new();
    for round in &build.proofs {
        for ramp in tables::ramps(std::slice::from_ref(round)) {
            let points = round.readings.iter().filter(|r| r.ramp == ramp);
            rows.push(StripRow {
                label: format!("Round {}, {ramp} ramp", round.round),
                window: round.window,
                points: points
                    .filter_map(|r| Some((r.first_movement, r.reckoned?)))
                    .collect(),
            });
        }
    }
    Strip {
        units: build.units,
        rows,
    }
}

fn rejected(build: &Build) -> Option<Section> {
    let told = tables::rejected(build);
    if told.is_empty() {
        return None;
    }
    section("Rejected and doubtful plates", vec![Block::Pairs(told)])
}

fn cautions(build: &Build) -> Option<Section> {
    let mut blocks = Vec::new();
    let acknowledged = |caution: &CautionLine| {
        if caution.by.is_empty() {
            "cknowledged by nobody.".to_string()
        } else {
            format!("cknowledged by {}, {}.", caution.by, moment(&caution.at))
        }
    };
    // who took them is said once where it is the same for all
    let same = build
        .cautions
        .windows(2)
        .all(|two| acknowledged(&two[0]) == acknowledged(&two[1]));
    for caution in &build.cautions {
        let mut words = caution.words.join(" ");
        if !same {
            words.push_str(&format!(" A{}", acknowledged(caution)));
        }
        blocks.push(Block::Text(Style::Caution, words));
    }
    if let Some(first) = build.cautions.first().filter(|_| same) {
        blocks.push(Block::Text(Style::Small, format!("All a{}", acknowledged(first))));
    }
    if blocks.is_empty() {
        blocks.extend(USUAL_CAUTIONS.map(|sentences| {
            let words: Vec<&str> = sentences.iter().map(|one| one.words()).collect();
            Block::Text(Style::Caution, words.join(" "))
        }));
        blocks.push(Block::Text(
            Style::Small,
            "No acknowledgement of a caution is on record.".to_string(),
        ));
    }
    section("Cautions", blocks)
}

fn signatures(build: &Build) -> Option<Section> {
    let line = |role: Role, name: &str, at: &str| {
        Block::Sign(SignLine {
            role: capital(role.words()),
            name: name.to_string(),
            at: zoned(at),
        })
    };
    let mut blocks = vec![Block::Text(Style::Framed, first_word("This sheet does"))];
    for signature in &build.signatures {
        blocks.push(match build.copied {
            Some(Copied::From(_)) => Block::Text(
                Style::Plain,
                format!(
                    "{} is the name on the paper; it is no signature that was given to this program.",
                    signature.name
                ),
            ),
            _ => line(signature.role, &signature.name, &signature.at),
        });
    }
    let wanted: &[Role] = match &build.copied {
        Some(Copied::From(_)) => &[Role::ComparedBy],
        Some(Copied::ByHand) => &[Role::CopiedBy, Role::ComparedBy],
        None if build.procedure.builds => &[Role::BuiltBy, Role::CheckedBy],
        None => &[Role::DoneBy, Role::CheckedBy],
    };
    for role in wanted {
        if !build.signatures.iter().any(|signature| signature.role == *role) {
            blocks.push(line(*role, "", ""));
        }
    }
    blocks.extend(seals(build));
    if let Some(symbol) = PaperText::of(build).and_then(|text| Symbol::of(&text.to_text())) {
        blocks = vec![Block::Beside(symbol, blocks)];
    }
    section("Signatures", blocks)
}

/// The digest of the record, and who sealed it.
fn seals(build: &Build) -> Vec<Block> {
    let plain = |words: String| Block::Text(Style::Plain, words);
    if build.digest.is_empty() {
        return vec![plain("The journal has no digest yet.".to_string())];
    }
    let on_paper = &build.on_paper;
    let lines = match on_paper.lines {
        0 => "the journal".to_string(),
        lines => format!("the first {lines} lines of the journal"),
    };
    let mut blocks = vec![
        plain(format!("Digest (SHA-256) of {lines}:")),
        Block::Text(Style::Digest, grouped(&build.digest)),
    ];
    if let Some(log) = &on_paper.log {
        blocks.push(Block::Text(
            Style::Small,
            format!("When it was finished, the book's log stood at {log}."),
        ));
    }
    for seal in &on_paper.seals {
        let extent = if seal.lines == on_paper.lines {
            String::new()
        } else {
            format!(", over the first {} lines only", seal.lines)
        };
        blocks.push(Block::Text(
            Style::Small,
            format!(
                "Sealed by {}, time claimed {}{extent}, {}",
                seal.name,
                zoned(&seal.time),
                seal.key
            ),
        ));
    }
    let sealed = on_paper.seals.iter().any(|seal| seal.lines == on_paper.lines);
    if build.finished.is_some() && !on_paper.seals.is_empty() && !sealed {
        blocks.push(Block::Text(
            Style::Item,
            "What was corrected since is NOT sealed yet.".to_string(),
        ));
    }
    blocks
}
