//! Straight lines held against another library: slope, prediction interval, crossing, run.

use crate::reference::checks;
use crate::strd::column;
use shimwright::mechanics::wear::{Fade, Meets, Trend};
use shimwright::metrology::Line;

#[test]
fn another_library_comes_to_the_same_lines_and_intervals() {
    for check in checks("wear_lines.toml") {
        let points = || {
            let (x, y) = (check.inputs("x"), check.inputs("y"));
            x.into_iter().zip(y).collect::<Vec<(f64, f64)>>()
        };
        let norris = || {
            let file = check.text("file");
            Line::fit(&column(file, "x"), &column(file, "y")).unwrap()
        };
        match check.id.as_str() {
            "norris_at_0.2" | "norris_at_1200" => {
                let (line, at) = (norris(), check.input("at"));
                let (mean, next) = (
                    line.mean_interval(at, 0.95).unwrap(),
                    line.prediction_interval(at, 0.95).unwrap(),
                );
                check.hold(&[
                    ("mean", line.at(at).unwrap()),
                    ("mean_low", mean.0),
                    ("mean_high", mean.1),
                    ("next_low", next.0),
                    ("next_high", next.1),
                ]);
            }
            "norris_slope" => {
                let (wide, narrow) = (
                    norris().slope_interval(0.95).unwrap(),
                    norris().slope_interval(0.9).unwrap(),
                );
                check.hold(&[
                    ("low_95", wide.0),
                    ("high_95", wide.1),
                    ("low_90", narrow.0),
                    ("high_90", narrow.1),
                ]);
            }
            "wear" => {
                let trend = Trend::of(&points()).unwrap();
                let interval = trend.rate_interval(0.95).unwrap();
                let next = trend.line.prediction_interval(check.input("at"), 0.95).unwrap();
                let Meets::Within { at, from, to } = trend.meets(check.input("least"), 0.95).unwrap() else {
                    panic!("no band");
                };
                check.hold(&[
                    ("rate", trend.rate()),
                    ("rate_low", interval.0),
                    ("rate_high", interval.1),
                    ("next_low", next.0),
                    ("next_high", next.1),
                    ("meets", at),
                    ("from", from),
                    ("to", to),
                ]);
            }
            "fade" => {
                let fade = Fade::of(&points()).unwrap();
                let interval = fade.rate_interval(0.95).unwrap();
                let (now, u, least) = (
                    check.input("now"),
                    check.input("uncertainty"),
                    check.input("least"),
                );
                let Meets::Within { at, from, to } = fade.meets(now, u, least, 0.95).unwrap() else {
                    panic!("no band");
                };
                check.hold(&[
                    ("rate", fade.rate()),
                    ("rate_low", interval.0),
                    ("rate_high", interval.1),
                    ("meets", at),
                    ("from", from),
                    ("to", to),
                ]);
            }
            other => panic!("{other} is not known to this test"),
        }
    }
}
