use crate::mechanics::wear::Meets;
use crate::quantity::visible;
use crate::record::{Fading, Outlook, PlateWear, UnitWear, WearBuild};
use crate::sheet::{filled, labelled, table};

const WIDTH: usize = 80;
/// Past so many times the distance that was seen a line says nothing any more.
const FAR: f64 = 5.0;

/// How a unit wears, for the terminal.
pub(super) fn words(wear: &UnitWear) -> String {
    let symbol = wear.along.symbol();
    let count = wear.builds.len();
    let gone: f64 = wear
        .builds
        .iter()
        .skip(1)
        .filter_map(|build| build.distance)
        .sum();
    let mut text = filled(
        &format!(
            "{} ({}): {count} finished {}, {gone:.0} {symbol} between them.",
            wear.name,
            wear.unit,
            if count == 1 { "build" } else { "builds" },
        ),
        WIDTH,
    );
    for told in &wear.told {
        text.push_str(&filled(&format!("note: {told}"), WIDTH));
    }
    text.push('\n');
    text.push_str(&builds(wear));
    text.push_str("\n\n");
    text.push_str(&fadings(wear));
    text.push_str(&plates(wear));
    text.push_str(&first(wear));
    text.push_str(&filled(
        "In brackets stands a 95 % band, of a straight line by least squares: where the line itself meets the limit; \
         single readings scatter about it besides. Distances count from the last build. A limit that has only a \
         \"not before\" is one that may never be met: the loss is not told from none. The maker's manual and its \
         intervals come first.",
        WIDTH,
    ));
    text
}

fn shown(value: Option<f64>, decimals: usize) -> String {
    value.map_or("-".to_string(), |value| format!("{value:.decimals$}"))
}

fn builds(wear: &UnitWear) -> String {
    let symbol = wear.along.symbol();
    let sprung = !wear.preload.is_empty();
    let distance = symbol.to_string();
    let mut head = vec!["build", "begun", &distance, "N·m found", "N·m left"];
    if sprung {
        head.extend(["N found", "N left"]);
    }
    head.push("friction");
    let row = |build: &WearBuild| {
        let account = &build.account;
        let breakaway = &account.breakaway;
        let mut row = vec![
            // all builds of a unit begin with the same words
            account
                .build
                .rsplit('-')
                .next()
                .unwrap_or(&account.build)
                .to_string(),
            account.begun.chars().take(10).collect(),
            shown(build.distance, 0),
            shown(breakaway.found.map(|torque| torque.newton_metres()), 1),
            shown(breakaway.left.map(|torque| torque.newton_metres()), 1),
        ];
        if sprung {
            let of = |force: fn(&crate::record::PackAccount) -> Option<crate::quantity::Force>| {
                let forces: Vec<String> = account
                    .packs
                    .iter()
                    .filter_map(force)
                    .map(|force| format!("{:.0}", force.newtons()))
                    .collect();
                match forces.as_slice() {
                    [] => "-".to_string(),
                    // both springs press alike over one depth
                    [one, ..] if account.through => one.clone(),
                    all => all.join("/"),
                }
            };
            row.push(of(|pack| pack.preload_found));
            row.push(of(|pack| pack.preload_left));
        }
        row.push(shown(breakaway.friction.map(|friction| friction.value()), 3));
        row
    };
    let rows: Vec<Vec<String>> = wear.builds.iter().map(row).collect();
    table(&head, &rows, WIDTH)
}

/// A distance to two digits: a band is no surer.
fn rough(distance: f64) -> String {
    let step = 10_f64.powf((distance.abs().max(1.0).log10().floor() - 1.0).max(0.0));
    format!("{:.0}", (distance / step).round() * step)
}

/// What is said of a distance until a limit.
fn until(meets: Option<Meets>, seen: f64) -> String {
    let far = FAR * seen;
    match meets {
        None => "-".to_string(),
        Some(Meets::Already) => "now".to_string(),
        Some(Meets::Never) => "does not wear".to_string(),
        Some(Meets::Within { from, .. } | Meets::NotBefore { from, .. }) if from > far => {
            format!("over {}", rough(far))
        }
        Some(Meets::Within { at, from, to }) => {
            let to = if to > far {
                format!("over {}", rough(far))
            } else {
                rough(to.max(0.0))
            };
            format!("{} ({} to {to})", rough(at.max(0.0)), rough(from.max(0.0)))
        }
        Some(Meets::NotBefore { from, .. }) if from > 0.0 => {
            format!("not before {}", rough(from))
        }
        Some(Meets::NotBefore { .. }) => "can not be told".to_string(),
    }
}

fn seen(wear: &UnitWear) -> f64 {
    let of_run = |build: &&WearBuild| Some(build.gone.run) == wear.builds.last().map(|last| last.gone.run);
    let at: Vec<f64> = wear
        .builds
        .iter()
        .filter(of_run)
        .map(|build| build.gone.at)
        .collect();
    match (at.first(), at.last()) {
        (Some(first), Some(last)) => last - first,
        _ => 0.0,
    }
}

fn rate(outlook: &Outlook, scale: f64, decimals: usize) -> String {
    let number = |value: f64| {
        let text = format!("{:.decimals$}", value * scale);
        match text.strip_prefix('-') {
            Some(nothing) if nothing.chars().all(|c| "0.".contains(c)) => nothing.to_string(),
            _ => text,
        }
    };
    match outlook {
        Outlook::Told { rate, interval, .. } => {
            let [rate, low, high] = [*rate, interval.0, interval.1].map(number);
            format!("{rate} ({low} to {high})")
        }
        Outlook::TooFew { rate: Some(rate), .. } => format!("{} (from two)", number(*rate)),
        Outlook::TooFew { .. } => "-".to_string(),
    }
}

fn fadings(wear: &UnitWear) -> String {
    let symbol = wear.along.symbol();
    let usual = wear.along.usual();
    let mut rows = Vec::new();
    for fading in std::iter::once(&wear.breakaway).chain(&wear.preload) {
        let Some((now, _)) = fading.now else { continue };
        let meets = match fading.outlook {
            Outlook::Told { meets, .. } => until(meets, seen(wear)),
            Outlook::TooFew { .. } => "too few builds".to_string(),
        };
        rows.push(vec![
            format!("{}, {}", fading.what, fading.symbol),
            format!("{now:.1}"),
            rate(&fading.outlook, usual, 1),
            shown(fading.least, 0),
            meets,
        ]);
    }
    if rows.is_empty() {
        return String::new();
    }
    let per = format!("lost in {usual:.0} {symbol}");
    let to_go = format!("{symbol} to the least");
    let head = ["", "as left", &per, "least", &to_go];
    let mut text = table(&head, &rows, WIDTH);
    text.push_str("\n\n");
    text.push_str(&saw(wear, &wear.breakaway));
    text
}

/// Breakaway over distance: as left, and down to what was found.
fn saw(wear: &UnitWear, fading: &Fading) -> String {
    let mut points = Vec::new();
    let mut at = 0.0;
    for stretch in &fading.stretches {
        points.push((at, stretch.left));
        at += stretch.distance;
        points.push((at, stretch.found));
    }
    if let Some((now, _)) = fading.now.filter(|_| !points.is_empty()) {
        points.push((at, now));
    }
    let (low, high) = points
        .iter()
        .map(|point| point.1)
        .chain(fading.least)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(value), high.max(value))
        });
    if points.len() < 3 || high <= low || at <= 0.0 {
        return String::new();
    }
    let scaled = |(x, y): &(f64, f64)| (x / at, (y - low) / (high - low));
    let drawn: Vec<(f64, f64)> = points.iter().map(scaled).collect();
    let labels = [format!("{high:.0} N·m"), format!("{low:.0} N·m")];
    let symbol = wear.along.symbol();
    let mut text = format!("The {} from build to build, o where it was read:\n", fading.what);
    text.push_str(&labelled(
        &drawn,
        &drawn,
        [&labels[0], &labels[1]],
        ["0", &format!("{at:.0} {symbol}")],
    ));
    text.push_str("\n\n");
    text
}

fn plates(wear: &UnitWear) -> String {
    let (symbol, usual) = (wear.along.symbol(), wear.along.usual());
    let per = format!("µm in {usual:.0} {symbol}");
    let to_go = format!("{symbol} to the limit");
    let head = ["plate", "least mm", "lost µm", &per, "limit", &to_go];
    let mut text = String::new();
    for pack in &wear.packs {
        let inside = wear
            .plates
            .iter()
            .filter(|plate| wear.has(plate) && plate.track.side == pack.side);
        let rows: Vec<Vec<String>> = inside.filter_map(|plate| row(wear, plate)).collect();
        if rows.is_empty() {
            continue;
        }
        let together = match pack.outlook.rate() {
            Some(_) => format!(
                ", {} µm in {usual:.0} {symbol} together",
                rate(&pack.outlook, usual * 1e3, 0)
            ),
            None => String::new(),
        };
        text.push_str(&format!("The {} pack{together}\n", pack.side));
        text.push_str(&table(&head, &rows, WIDTH));
        text.push_str("\n\n");
    }
    let outside: Vec<String> = wear
        .plates
        .iter()
        .filter(|plate| !wear.has(plate))
        .map(whereabouts)
        .collect();
    if !outside.is_empty() {
        text.push_str(&filled(
            &format!("Not in the unit: {}.", outside.join("; ")),
            WIDTH,
        ));
        text.push('\n');
    }
    text
}

fn row(wear: &UnitWear, plate: &PlateWear) -> Option<Vec<String>> {
    let last = plate.track.sightings.last()?;
    let meets = match plate.least {
        Outlook::Told { meets, .. } => until(meets, seen(wear)),
        Outlook::TooFew { points, .. } => format!("too few ({points})"),
    };
    let limit = plate.track.limit.map(|limit| limit.mm());
    Some(vec![
        plate.track.name.to_string(),
        format!("{:.3}", last.least.mm()),
        format!("{:.0}", plate.lost.um()),
        rate(&plate.mean, wear.along.usual() * 1e3, 1),
        shown(limit, 2),
        meets,
    ])
}

/// Where a plate that is not in the unit has gone.
fn whereabouts(plate: &PlateWear) -> String {
    let track = &plate.track;
    let words = match (&track.rejected, &track.unit) {
        (Some((build, why)), _) => format!("{}, thrown out at {build} ({why})", track.name),
        (None, Some(unit)) => format!("{}, now in {unit}", track.name),
        (None, None) => format!("{}, outside", track.name),
    };
    visible(&words).into_owned()
}

fn first(wear: &UnitWear) -> String {
    let words = match wear.first() {
        Some((what, earliest)) if earliest > 0.0 => format!(
            "First to come, at the earliest: {what}, {} {} after the last build.",
            rough(earliest),
            wear.along.symbol()
        ),
        Some((what, _)) => format!("First to come: {what}, which may be there already."),
        None if wear.builds.len() < 3 => {
            "When a limit will be met is not said from fewer than three builds: a line \
             through two has no band."
                .to_string()
        }
        None => "When a limit will be met can not be said from these builds.".to_string(),
    };
    filled(&words, WIDTH)
}
