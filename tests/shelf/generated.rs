//! The generator itself: what it writes must be what the program writes.

use crate::books::{self, Recipe};
use crate::opened;
use shimwright::book::{Problem, Shelf};
use shimwright::metrology::Verdict;

const SMALL: Recipe = Recipe {
    seed: 7,
    units: 4,
    builds_a_unit: 6,
    unfinished_every: 2,
    damaged_every: 5,
};

#[test]
fn a_generated_book_is_one_that_the_program_could_have_written() {
    let dir = tempfile::tempdir().unwrap();
    let truth = books::write(dir.path(), &SMALL);
    let shelf = Shelf::look(dir.path()).unwrap();
    let contents = shelf.contents().unwrap();
    assert_eq!(contents.builds.len(), 24);
    assert!(contents.foreign.is_empty());
    assert_eq!((truth.unfinished.len(), truth.damaged.len()), (2, 4));
    for id in &contents.builds {
        let damaged = truth.damaged.contains(&id.to_string());
        let problems = shelf.read(id).unwrap().problems;
        assert_eq!(
            damaged,
            matches!(problems[..], [Problem::Altered { .. }]),
            "{id}: {problems:?}"
        );
        if damaged {
            continue;
        }
        let session = opened(dir.path(), id.as_str());
        let finished = !truth.unfinished.contains(&id.to_string());
        // nothing is left to ask, not only the closing entry there
        assert_eq!(
            (session.is_finished(), session.ask().is_none()),
            (finished, finished),
            "{id}"
        );
        if finished {
            let build = session.account(id.as_str(), "");
            assert!(build.open.is_empty(), "{id}: {:?}", build.open);
            assert!(
                build
                    .plates
                    .iter()
                    .all(|plate| plate.verdict == Some(Verdict::Inside)),
                "{id}"
            );
            assert_eq!(build.closings[0].verdict, Some(Verdict::Inside), "{id}");
            assert_eq!(build.breakaway.verdict, Some(Verdict::Inside), "{id}");
        }
    }
}

#[test]
fn the_same_seed_writes_the_same_book() {
    let [one, two] = [(); 2].map(|()| {
        let dir = tempfile::tempdir().unwrap();
        books::write(dir.path(), &SMALL);
        let shelf = Shelf::look(dir.path()).unwrap();
        let builds = shelf.list().unwrap();
        builds
            .iter()
            .map(|id| shelf.read(id).unwrap().entries)
            .collect::<Vec<_>>()
    });
    assert_eq!(one, two);
}

#[test]
fn the_readings_of_a_generated_book_scatter_about_its_truth_as_a_micrometer_does() {
    let dir = tempfile::tempdir().unwrap();
    let truth = books::write(
        dir.path(),
        &Recipe {
            unfinished_every: 0,
            damaged_every: 0,
            ..SMALL
        },
    );
    let mut errors = Vec::new();
    for unit in &truth.units {
        for pair in unit.builds.windows(2) {
            for (n, rate) in unit.rate_um.iter().enumerate() {
                let lost = pair[0].2[n] - pair[1].2[n];
                assert!((lost - rate * pair[1].1 / 1000.0).abs() < 1e-9, "{}", unit.id);
            }
        }
        for (build, _, plates) in &unit.builds {
            let record = opened(dir.path(), build).account(build, "");
            for (name, um) in books::PLATES.iter().zip(plates) {
                let mean = record.plate(name).unwrap().mean.clone().unwrap();
                errors.push(mean.value.um() - um);
            }
        }
    }
    let n = errors.len() as f64;
    let rms = (errors.iter().map(|error| error * error).sum::<f64>() / n).sqrt();
    // two readings of 1 µm each, the zero's 1 µm, a bias of 1 µm, and rounding: about 1.6 µm
    assert!((1.0..2.5).contains(&rms), "{rms}");
}
