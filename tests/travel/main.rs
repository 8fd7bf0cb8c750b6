//! What goes out of the book and what comes in: `export` as other programs read it, `import` of old paper records.
//!
//! Units, readings and people are invented.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used, clippy::expect_used)]
// a test that is skipped says so
#![allow(clippy::print_stdout)]

#[path = "../support/commands.rs"]
mod commands;
mod going_in;
mod going_out;
mod machines;
#[path = "../place/mod.rs"]
mod place;
#[path = "../support/shapes.rs"]
mod shapes;
#[path = "../support/skipped.rs"]
mod skipped;
#[path = "../support/started.rs"]
mod started;

use place::{Place, demo_file};
use std::fs;

/// A place with the demonstration's unit and what belongs to it.
fn shop() -> Place {
    let place = Place::new();
    for name in ["moor-rear.toml", "moor-drawer.toml", "instruments.toml"] {
        place.write(name, fs::read(demo_file(name)).unwrap());
    }
    place
}

/// Three years of a unit on paper: two plates, each with what it loses a year in micrometres.
fn paper() -> String {
    let mut text = String::from(
        "day,by,distance,rebuilt,micrometer,wrench,held,found_breakaway,left_breakaway,plate,thickness\n",
    );
    for (year, (km, found, left)) in [("", 88.0, 94.0), ("1500 km", 86.5, 93.0), ("1400 km", 85.0, 95.0)]
        .into_iter()
        .enumerate()
    {
        let day = format!("{}-03-{:02}", 2019 + year, 10 + year);
        text.push_str(&format!(
            "{day},\"Ann, Example\",{km},yes,mic-2,wrench-60,case,{found},{left} N·m,G1,{:.3}\n{day},,,,,,,,,C1,{:.3} mm\n",
            1.995 - 0.012 * year as f64,
            1.999 - 0.002 * year as f64
        ));
    }
    text
}
