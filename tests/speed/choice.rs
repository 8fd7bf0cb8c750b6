//! What the choice costs by size of pack, beside a general solver of integer programs on the same request.
//!
//! The requests are invented: plates to whole micrometres within 60 µm, four new plates of each keying to spare, forty
//! shim sizes with four of each, at most three shims a side. The general solver is asked for the best choice only, not
//! for the ten best, and given up after twenty seconds; where it proves an optimum, that must be ours.
#![allow(clippy::print_stderr)]

use divan::Bencher;
use microlp::{ComparisonOp, OptimizationDirection, Problem, SolutionStatus, SolveOutcome, Variable};
use shimwright::choice::{Candidate, First, Layout, Need, Request, ShimSize, Window, choose};
use shimwright::mechanics::Side;
use shimwright::quantity::Length;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

fn main() {
    divan::main();
}

/// Friction plates and case plates of each side.
const PACKS: [[usize; 2]; 4] = [[4, 5], [7, 8], [10, 11], [14, 15]];

fn um(um: i64) -> Length {
    Length::from_um(um)
}

/// A fixed sequence of numbers from 0 to `most`.
fn numbers(seed: u64, most: u64) -> impl Iterator<Item = i64> {
    let mut state = seed;
    std::iter::from_fn(move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        Some(((state >> 33) % (most + 1)) as i64)
    })
}

fn plates(prefix: &str, seed: u64, used: usize) -> Vec<Candidate> {
    numbers(seed, 60)
        .take(used + 4)
        .enumerate()
        .map(|(index, off)| Candidate {
            name: format!("{prefix}{index:02}"),
            thickness: um(1_970 + off),
            spare: index >= used,
            fixed: None,
            ran: None,
        })
        .collect()
}

/// A per-side unit whose packs want about `short` µm of shims on each side.
fn per_side_request([gear, case]: [usize; 2], short: i64, first: First) -> Request {
    let room = (gear + case) as i64 * 2_000 + 200 + short;
    let window = Window {
        least: um(150),
        target: um(200),
        most: um(250),
    };
    Request {
        layout: Layout::PerSide {
            rooms: [um(room), um(room + 13)],
            windows: [window; 2],
            match_within: Some(um(30)),
        },
        needs: [Need { gear, case }; 2],
        gear: plates("F", 1, 2 * gear),
        case: plates("C", 2, 2 * case),
        shims: (0..40)
            .map(|index| ShimSize {
                thickness: um(100 + 50 * index),
                count: 4,
            })
            .collect(),
        least_shims: 0,
        most_shims: 3,
        guard: um(5),
        uncertainty: 6.0,
        first,
        keep_in_place: false,
        alternatives: 10,
    }
}

/// A through unit of the same parts.
fn through_request([gear, case]: [usize; 2], short: i64) -> Request {
    Request {
        layout: Layout::Through {
            room: um((gear + case) as i64 * 4_000 + 200 + 2 * short),
            offsets: [um(12_000), um(12_013)],
            window: Window {
                least: um(150),
                target: um(200),
                most: um(250),
            },
            match_within: um(30),
        },
        ..per_side_request([gear, case], short, First::Fewest)
    }
}

#[divan::bench(args = PACKS.map(|[gear, case]| gear * 100 + case))]
fn no_shim_needed(bencher: Bencher, pack: usize) {
    let request = per_side_request([pack / 100, pack % 100], 0, First::Fewest);
    bencher.bench(|| choose(&request));
}

#[divan::bench(args = PACKS.map(|[gear, case]| gear * 100 + case))]
fn two_shims_needed(bencher: Bencher, pack: usize) {
    let request = per_side_request([pack / 100, pack % 100], 1_000, First::Fewest);
    bencher.bench(|| choose(&request));
}

/// The best alone, which is what the general solver is asked for.
#[divan::bench(args = PACKS.map(|[gear, case]| gear * 100 + case))]
fn two_shims_needed_best_alone(bencher: Bencher, pack: usize) {
    let mut request = per_side_request([pack / 100, pack % 100], 1_000, First::Fewest);
    request.alternatives = 1;
    bencher.bench(|| choose(&request));
}

#[divan::bench(args = PACKS.map(|[gear, case]| gear * 100 + case))]
fn through_with_two_shims(bencher: Bencher, pack: usize) {
    let request = through_request([pack / 100, pack % 100], 500);
    bencher.bench(|| choose(&request));
}

#[divan::bench(args = [First::Fewest, First::Closest, First::Surest, First::Reuse, First::LeastChange])]
fn rankings_of_the_full_pack(bencher: Bencher, first: First) {
    let request = per_side_request([10, 11], 1_000, first);
    bencher.bench(|| choose(&request));
}

/// A drawer of 200 sizes with 20 of each and windows of 2 mm.
#[divan::bench]
fn large_drawer_and_wide_windows(bencher: Bencher) {
    let mut request = per_side_request([10, 11], 3_000, First::Fewest);
    request.shims = (0..200)
        .map(|index| ShimSize {
            thickness: um(101 + 10 * index),
            count: 20,
        })
        .collect();
    if let Layout::PerSide { windows, .. } = &mut request.layout {
        *windows = [Window {
            least: um(0),
            target: um(777),
            most: um(2_000),
        }; 2];
    }
    bencher.bench(|| choose(&request));
}

/// Plates of three nominals up to 1 mm apart; the room is that of a random pick with none to three shims a side.
#[derive(Clone, Copy)]
enum Family {
    /// As that.
    Mid,
    /// Hardly a plate to spare.
    Few,
    /// One room for both packs.
    Through,
    /// Sums of thicknesses that lie on few residues.
    Alike,
    /// Nominals of 1.5, 2.0 and 2.5 mm.
    Wide,
    /// A room beyond all plates and shims.
    Nothing,
}

/// Requests of ten friction and eleven case plates a side, of 24 and 26.
fn several_nominals(family: Family, seed: u64) -> Request {
    let mut dice = numbers(7 * seed + 13, (1 << 30) - 1);
    let mut from = move |least: i64, most: i64| least + dice.next().unwrap_or(0) % (most - least + 1);
    let (thin, apart) = (1_500 + from(0, 300), from(200, 1_000));
    let nominals = match family {
        Family::Wide => [1_500, 2_000, 2_500],
        _ => [thin, thin + apart / 2, thin + apart],
    };
    let unit = if matches!(family, Family::Alike) { 10 } else { 1 };
    let mut request = per_side_request([10, 11], 0, First::Fewest);
    if matches!(family, Family::Few) {
        request.gear.truncate(20);
        request.case.truncate(23);
    }
    for plate in request.gear.iter_mut().chain(&mut request.case) {
        let nominal = nominals[from(0, 2) as usize];
        plate.thickness = um(nominal + from(-60, 60) / unit * unit);
    }
    if matches!(family, Family::Alike) {
        request.gear[0].thickness += um(1);
        request.case[0].thickness += um(3);
    }
    let mut heights = [0; 2];
    for (plates, count) in [(&request.gear, 10), (&request.case, 11)] {
        let mut order: Vec<usize> = (0..plates.len()).collect();
        for last in (1..order.len()).rev() {
            order.swap(last, from(0, last as i64) as usize);
        }
        for (place, index) in order.iter().take(2 * count).enumerate() {
            heights[place / count] += plates[*index].thickness.nm() / 1_000;
        }
    }
    for height in &mut heights {
        for _ in 0..from(0, 3) {
            *height += 100 + 50 * from(0, 39);
        }
        *height += from(-40, 40);
    }
    if matches!(family, Family::Nothing) {
        let thickest = request.gear.iter().chain(&request.case);
        let thickest = thickest
            .map(|plate| plate.thickness.nm() / 1_000)
            .max()
            .unwrap_or(0);
        heights = [21 * thickest + 6_150; 2];
    }
    let window = Window {
        least: um(50),
        target: um(200),
        most: um(350),
    };
    let limit = um(from(5, 400));
    request.layout = if matches!(family, Family::Through) {
        Layout::Through {
            room: um(heights[0] + heights[1] + 200),
            offsets: [um(12_000), um(12_000 + heights[0] - heights[1] + from(-13, 13))],
            window,
            match_within: limit,
        }
    } else {
        Layout::PerSide {
            rooms: heights.map(|height| um(height + 200)),
            windows: [window; 2],
            match_within: Some(limit),
        }
    };
    request
}

/// Ten best of a family, a request after another; goals are those of the median.
fn of_family(bencher: Bencher, family: Family, change: fn(&mut Request)) {
    let seeds = AtomicU64::new(1);
    bencher
        .with_inputs(|| {
            let mut request = several_nominals(family, seeds.fetch_add(1, Ordering::Relaxed));
            change(&mut request);
            request
        })
        .bench_values(|request| choose(&request));
}

/// Goal: 100 ms.
#[divan::bench(sample_count = 30, sample_size = 1)]
fn several_nominals_mid(bencher: Bencher) {
    of_family(bencher, Family::Mid, |_| {});
}

/// Goal: 100 ms.
#[divan::bench(sample_count = 30, sample_size = 1)]
fn several_nominals_few(bencher: Bencher) {
    of_family(bencher, Family::Few, |_| {});
}

/// Goal: 100 ms.
#[divan::bench(sample_count = 30, sample_size = 1)]
fn several_nominals_through(bencher: Bencher) {
    of_family(bencher, Family::Through, |_| {});
}

/// Goal: 500 ms.
#[divan::bench(sample_count = 30, sample_size = 1)]
fn several_nominals_alike(bencher: Bencher) {
    of_family(bencher, Family::Alike, |_| {});
}

/// Goal: 100 ms.
#[divan::bench(sample_count = 30, sample_size = 1)]
fn several_nominals_wide(bencher: Bencher) {
    of_family(bencher, Family::Wide, |_| {});
}

/// What is nearest and what to get. Goal: 300 ms.
#[divan::bench(sample_count = 30, sample_size = 1)]
fn several_nominals_nothing_fits(bencher: Bencher) {
    of_family(bencher, Family::Nothing, |_| {});
}

/// Least change of what ran, each used plate on the side that it ran on. Goal: 100 ms.
#[divan::bench(sample_count = 30, sample_size = 1)]
fn several_nominals_least_change(bencher: Bencher) {
    of_family(bencher, Family::Mid, |request| {
        request.first = First::LeastChange;
        for plates in [&mut request.gear, &mut request.case] {
            let used = plates.iter().filter(|plate| !plate.spare).count();
            for (index, plate) in plates.iter_mut().enumerate().take(used) {
                plate.ran = Some(Side::BOTH[usize::from(index >= used / 2)]);
            }
        }
    });
}

/// How long the general solver may take for one answer.
const PATIENCE: Duration = Duration::from_secs(20);

/// Shims and worst deviation in micrometres of the best choice, fewest shims first, and its picks, by a general solver
/// that proves its optimum; `None` where it has not within [`PATIENCE`]. Picks in `known` are not given again.
fn by_integer_program(request: &Request, known: &[Vec<usize>]) -> Option<((i64, i64), Vec<usize>)> {
    let Layout::PerSide {
        rooms,
        windows,
        match_within,
    } = &request.layout
    else {
        return None;
    };
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    problem.set_time_limit(PATIENCE);
    let worst = problem.add_var(1.0, (0.0, 900.0));
    let mut heights: [Vec<(Variable, f64)>; 2] = [Vec::new(), Vec::new()];
    let mut picks: Vec<Variable> = Vec::new();
    for (plates, counts) in [
        (&request.gear, request.needs.map(|need| need.gear)),
        (&request.case, request.needs.map(|need| need.case)),
    ] {
        let sides = [0, 1].map(|_| {
            plates
                .iter()
                .map(|_| problem.add_binary_var(0.0))
                .collect::<Vec<_>>()
        });
        picks.extend(sides.iter().flatten());
        for (left, right) in sides[0].iter().zip(&sides[1]) {
            problem.add_constraint([(*left, 1.0), (*right, 1.0)], ComparisonOp::Le, 1.0);
        }
        for side in 0..2 {
            let all: Vec<_> = sides[side].iter().map(|x| (*x, 1.0)).collect();
            problem.add_constraint(all, ComparisonOp::Eq, counts[side] as f64);
            heights[side].extend(
                sides[side]
                    .iter()
                    .zip(plates)
                    .map(|(x, plate)| (*x, plate.thickness.um())),
            );
        }
    }
    // a shim counts a thousand, so that fewest comes before closest
    let most = request.most_shims as i32;
    let shims = [0, 1].map(|_| {
        request
            .shims
            .iter()
            .map(|_| problem.add_integer_var(1_000.0, (0, most)))
            .collect::<Vec<_>>()
    });
    for (n, size) in request.shims.iter().enumerate() {
        let both = [(shims[0][n], 1.0), (shims[1][n], 1.0)];
        problem.add_constraint(both, ComparisonOp::Le, f64::from(size.count));
    }
    for side in 0..2 {
        let all: Vec<_> = shims[side].iter().map(|x| (*x, 1.0)).collect();
        problem.add_constraint(all, ComparisonOp::Le, f64::from(request.most_shims));
        heights[side].extend(
            shims[side]
                .iter()
                .zip(&request.shims)
                .map(|(x, size)| (*x, size.thickness.um())),
        );
    }
    for side in 0..2 {
        let wanted = (rooms[side] - windows[side].target).um();
        let with = |weight| [heights[side].clone(), vec![(worst, weight)]].concat();
        problem.add_constraint(with(1.0), ComparisonOp::Ge, wanted);
        problem.add_constraint(with(-1.0), ComparisonOp::Le, wanted);
        let least = (rooms[side] - windows[side].most + request.guard).um();
        let most = (rooms[side] - windows[side].least - request.guard).um();
        problem.add_constraint(heights[side].clone(), ComparisonOp::Ge, least);
        problem.add_constraint(heights[side].clone(), ComparisonOp::Le, most);
    }
    if let Some(limit) = match_within {
        // closings: room less height, on each side
        let other = heights[1].iter().map(|(x, weight)| (*x, -weight));
        let difference: Vec<_> = heights[0].iter().copied().chain(other).collect();
        let rooms = (rooms[0] - rooms[1]).um();
        problem.add_constraint(difference.clone(), ComparisonOp::Le, rooms + limit.um());
        problem.add_constraint(difference, ComparisonOp::Ge, rooms - limit.um());
    }
    for known in known {
        let all: Vec<_> = known.iter().map(|n| (picks[*n], 1.0)).collect();
        problem.add_constraint(all, ComparisonOp::Le, known.len() as f64 - 1.0);
    }
    match problem.solve().ok()? {
        SolveOutcome::Solution(solution) if solution.status() == SolutionStatus::Optimal => {
            let objective = solution.objective().round() as i64;
            let taken = (0..picks.len()).filter(|n| solution.var_value(picks[*n]) > 0.5);
            Some(((objective / 1_000, objective % 1_000), taken.collect()))
        }
        _ => None,
    }
}

/// The best by the general solver must be ours.
fn best_by_integer_program(request: &Request, pack: usize) -> Option<Vec<usize>> {
    let ours = choose(request).ok().and_then(|outcome| {
        let best = outcome.choices.first()?;
        Some((i64::from(best.shims), best.worst_deviation.um().round() as i64))
    });
    let Some((theirs, picks)) = by_integer_program(request, &[]) else {
        eprintln!("{pack}: not proved within {PATIENCE:?}");
        return None;
    };
    assert_eq!(Some(theirs), ours);
    Some(picks)
}

#[divan::bench(args = PACKS.map(|[gear, case]| gear * 100 + case), sample_count = 1, sample_size = 1)]
fn general_solver_best_alone(bencher: Bencher, pack: usize) {
    let request = per_side_request([pack / 100, pack % 100], 1_000, First::Fewest);
    bencher.bench(|| best_by_integer_program(&request, pack));
}

/// Ten answers, each but the first with those before it shut out: what `choose` gives in one call.
#[divan::bench(args = PACKS.map(|[gear, case]| gear * 100 + case), sample_count = 1, sample_size = 1)]
fn general_solver_ten(bencher: Bencher, pack: usize) {
    let request = per_side_request([pack / 100, pack % 100], 1_000, First::Fewest);
    bencher.bench(|| {
        let mut known: Vec<Vec<usize>> = best_by_integer_program(&request, pack).into_iter().collect();
        while known.len() < 10 {
            let Some((_, picks)) = by_integer_program(&request, &known) else {
                eprintln!(
                    "{pack}: {} answers, the next not proved within {PATIENCE:?}",
                    known.len()
                );
                break;
            };
            known.push(picks);
        }
    });
}
