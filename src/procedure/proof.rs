//! The breakaway: what the wrench should show in the way in which it is read, and what a reading stands for.

use super::derived::Derived;
use super::field::Field;
use super::reading_mode::{ReadingMode, held_named, turned_named};
use crate::mechanics::breakaway::looks_like;
use crate::mechanics::wrench::true_torque;
use crate::mechanics::{Bench, Direction, Held, Holding, Movement, Sense, SpringPlace, Turned};
use crate::metrology::{Limits, Summary, Verdict, judge};
use crate::quantity::{Angle, Force, Ratio, Torque};
use crate::record::interval::parts_in_words;
use crate::record::{ChosenSide, Value};
use crate::workshop::{Aim, Proof, Unit};

/// From this share of the free side on the case held is warned of: a little more friction and the packs wedge (*common
/// practice, no source*).
pub(super) const NEARLY_WEDGED: f64 = 0.8;
/// Pulled so many times as hard as expected, it is wedged and does not slip any more (*common practice, no source*).
const STOP: f64 = 1.5;
/// Friction so far from the unit file's, either way, is asked again (*common practice, no source*: from new plates in oil with
/// modifier to dry ones it is about twice).
const FAR: f64 = 2.5;
/// Readings of one kind that differ by more than this share of the nearest are asked again (*common practice, no source*; a reading in
/// pound-feet that is taken for newton metres is 26 % low).
const APART: f64 = 0.25;
/// And by more than so many newton metres, which of a light unit are no share (*common practice, no source*).
const A_FEW: f64 = 3.0;
/// The standard uncertainty of a single reading, as a share: dial and hand (*common practice, no source*).
pub(super) const ONE_READING: f64 = 0.02;

/// The standard uncertainty of the length of an adaptor as it is typed, in millimetres (*common practice, no source*).
const ADAPTOR: f64 = 0.5;

/// The name of the doubt that the calibration of the wrench leaves.
pub(super) const WRENCH: &str = "wrench";

/// One round of proof.
pub(super) struct ProofFacts {
    pub held: Held,
    pub readings: Vec<ProofReading>,
    /// At first movement, as it would be read in the way that the unit file names.
    pub still: Option<Torque>,
    pub turning: Option<Torque>,
    /// The turning torque as it would be read in the way that the unit file names.
    pub by_file: Option<Torque>,
    pub uncertainty: Option<Torque>,
    /// What that is made of by name, the largest first: standard uncertainties in newton metres.
    pub doubts: Vec<(&'static str, f64)>,
    pub probability: Option<f64>,
    pub verdict: Option<Verdict>,
}

/// One breakaway reading.
pub(super) struct ProofReading {
    pub way: ReadingMode,
    pub position: u32,
    pub read: Torque,
    pub corrected: Torque,
    /// As it stands against the window: extension, drag and way of holding taken into account. `None` where the packs wedge in
    /// the one or the other way, and nothing could be read so.
    pub reckoned: Option<Torque>,
    /// By how much the friction that it shows is that of the unit file.
    factor: Option<f64>,
}

impl Derived<'_> {
    /// The unit at the bench with packs under the forces that some closings give, in the way of the unit file's window.
    pub fn bench(&self, sides: &[ChosenSide; 2], closings: [crate::quantity::Length; 2]) -> Option<Bench> {
        Some(self.as_shown(self.bench_by_file(sides, closings)?).0)
    }

    /// The same with the friction of the unit file, whatever its proofs have shown.
    pub fn bench_by_file(
        &self,
        sides: &[ChosenSide; 2],
        closings: [crate::quantity::Length; 2],
    ) -> Option<Bench> {
        let faces = [self.faces(&sides[0]), self.faces(&sides[1])];
        Some(self.job.unit.bench(self.forces(closings).ok()?, faces))
    }

    /// The unit at the bench as a round of proof finds it: as chosen and measured, else by the faces and the target of its file.
    pub fn bench_of(&self, round: u32) -> Option<Bench> {
        match (self.state.chosen(round), self.closings(round)) {
            (Some(chosen), Some(closings)) => self.bench(&chosen.sides, closings),
            _ => None,
        }
        .or_else(|| self.bench_left())
        .or_else(|| self.listed_bench())
    }

    /// The unit as the last build left it, where that is known and this build has not changed it.
    fn bench_left(&self) -> Option<Bench> {
        let unit = &self.job.unit;
        let forces = self.forces_left().filter(|_| self.state.counts_doubts())?;
        let faces = unit.packs.each_ref().map(|pack| pack.faces);
        Some(self.as_shown(unit.bench(forces, faces)).0)
    }

    /// The same by the faces and the target of the unit file alone.
    pub fn listed_bench(&self) -> Option<Bench> {
        Some(self.as_shown(listed(&self.job.unit)?).0)
    }

    /// How the unit is held for the proof.
    pub fn held(&self) -> Option<Held> {
        let round = self.state.standing(Field::HELD, self.until);
        held_named(self.state.word(Field::HELD, round, None)?.0)
    }

    /// The output that is turned, where somebody said.
    pub fn turned_said(&self) -> Option<Turned> {
        let round = self.state.standing(Field::TURNED, self.until);
        turned_named(self.state.word(Field::TURNED, round, None)?.0)
    }

    /// The output that is turned: the right one where nobody said, which makes no difference with packs alike.
    pub fn turned(&self) -> Turned {
        self.turned_said().unwrap_or(Turned::Right)
    }

    /// Whether it makes a difference which output is turned: the packs have not the same faces.
    pub fn packs_differ(&self, round: u32) -> bool {
        let bench = self.bench_of(round);
        bench.is_some_and(|bench| bench.setup.faces[0] != bench.setup.faces[1])
    }

    /// The same unit, held as it is for the proof and turned as a way of reading says.
    pub fn read_so(&self, bench: &Bench, held: Held, way: ReadingMode) -> Bench {
        bench.read(Holding {
            held,
            turned: self.turned(),
            sense: way.sense(),
        })
    }

    /// The breakaway that a build should show while turning, in the way of the unit file's window and without drag; `None`
    /// where it would wedge so.
    pub fn expected(
        &self,
        sides: &[ChosenSide; 2],
        closings: [crate::quantity::Length; 2],
    ) -> Option<Torque> {
        self.expected_of(&self.bench(sides, closings)?)
    }

    /// The same of a unit at the bench.
    pub fn expected_of(&self, bench: &Bench) -> Option<Torque> {
        let none = Torque::from_newton_metres(0.0).ok()?;
        Some(bench.turning(none).ok()?.reading)
    }

    /// What the wrench should show in a way of a round of proof, drag and all: its torque at the output, before the extension
    /// takes from it. `None` without springs, where that is drag alone, and where the packs wedge.
    pub fn should_show(&self, round: u32, held: Held, way: ReadingMode) -> Option<Torque> {
        self.job.unit.spring.as_ref()?;
        let bench = self.read_so(&self.bench_of(round)?, held, way);
        Some(bench.reads(way.movement(), self.drag()?).ok()?.reading)
    }

    /// Drag that is no part of the breakaway. It is read with the same wrench, and so through the same extension.
    ///
    /// With one output held it is what all that turns with the case drags, D; with the case held what each output drags of
    /// itself, d, and what turns with the case stands still.
    pub fn drag(&self) -> Option<Torque> {
        let read = |field| {
            let round = self.state.standing(field, self.until);
            let read = self.state.torque(field, round, None, None)?;
            Some(self.corrected(read).newton_metres())
        };
        let driveline = read(Field::DRIVELINE_DRAG).filter(|_| self.held() != Some(Held::Case));
        let drag = read(Field::DRAG).unwrap_or(0.0) + driveline.unwrap_or(0.0);
        Torque::from_newton_metres(drag).ok()
    }

    /// A wrench reading with its extension taken into account.
    pub fn corrected(&self, read: Torque) -> Torque {
        let straight = Angle::from_degrees(0.0);
        match (self.wrench(), straight) {
            (Some((_, length)), Ok(straight)) => {
                true_torque(read, length, self.extension(), straight).unwrap_or(read)
            }
            _ => read,
        }
    }

    /// What the wrench shows for a torque at the output: less than that with an extension.
    pub fn on_the_wrench(&self, torque: Torque) -> Torque {
        let Ok(one) = Torque::from_newton_metres(1.0) else {
            return torque;
        };
        let each = self.corrected(one).newton_metres();
        Torque::from_newton_metres(torque.newton_metres() / each).unwrap_or(torque)
    }

    /// With the case held, the share of the free side that decides, and how the output is turned for it: the worst of both senses
    /// with the output that is turned.
    pub fn wedging(&self, bench: &Bench) -> Option<(Ratio, Sense)> {
        [Sense::Forwards, Sense::Backwards]
            .into_iter()
            .filter_map(|sense| {
                let holding = Holding {
                    held: Held::Case,
                    turned: self.turned(),
                    sense,
                };
                Some((bench.read(holding).share().ok()?, sense))
            })
            .max_by(|(one, _), (other, _)| one.value().total_cmp(&other.value()))
    }

    /// The torque on the wrench's scale at which a case that is held is wedged and no pull helps any more: one and a half times
    /// what is expected, and never more than the wrench reads.
    pub fn stop_at(&self, round: u32, way: ReadingMode) -> Option<Torque> {
        let first = ReadingMode { still: true, ..way };
        let expected = match self.job.unit.spring {
            Some(_) => self.should_show(round, Held::Case, first)?,
            None => self.job.unit.proof.most,
        };
        let stop = STOP * self.on_the_wrench(expected).newton_metres();
        let most = self.wrench_range()[1].map_or(stop, Torque::newton_metres);
        Torque::from_newton_metres(stop.min(most)).ok()
    }

    /// A window as it stands in another way of holding, while turning and with a drag in it; on average of both senses where they
    /// differ. `None` where the packs wedge in the one or the other way.
    pub fn window_for(&self, bench: &Bench, proof: &Proof, held: Held, drag: Torque) -> Option<[Torque; 2]> {
        let none = Torque::from_newton_metres(0.0).ok()?;
        let end = |torque: Torque| {
            if self.job.unit.spring.is_none() {
                let part = match (proof.held, held) {
                    (Held::Case, Held::Output) => 0.5,
                    (Held::Output, Held::Case) => 2.0,
                    _ => 1.0,
                };
                let dragged = match held {
                    Held::Case => 2.0 * drag.newton_metres(),
                    Held::Output => drag.newton_metres() / 2.0,
                };
                return Torque::from_newton_metres(part * torque.newton_metres() + dragged).ok();
            }
            let factor = bench.factor(Movement::Turning, torque, none).ok()?;
            let rubbing = bench.rubbing(factor).ok()?;
            let mut sum = 0.0;
            for ramp in [Direction::Drive, Direction::Coast] {
                let way = ReadingMode::of(ramp, false);
                let read = self.read_so(&rubbing, held, way);
                sum += read.turning(drag).ok()?.reading.newton_metres();
            }
            Torque::from_newton_metres(sum / 2.0).ok()
        };
        Some([end(proof.least)?, end(proof.most)?])
    }

    /// A reading as it would stand in the way of the unit file's window, and by how much its friction is that of the file.
    pub(super) fn by_the_file(
        &self,
        bench: &Bench,
        held: Held,
        way: ReadingMode,
        torque: Torque,
        drag: Torque,
    ) -> (Option<Torque>, Option<f64>) {
        if self.job.unit.spring.is_none() {
            return (self.drag_by_the_file(held, torque, drag), None);
        }
        let read = self.read_so(bench, held, way);
        let movement = way.movement();
        let none = Torque::from_newton_metres(0.0).ok();
        let shown = |bench: &Bench| Some(bench.reads(movement, none?).ok()?.reading.newton_metres());
        match read.factor(movement, torque, drag) {
            Ok(factor) => {
                let by_file = bench.rubbing(factor).ok().and_then(|rubbing| shown(&rubbing));
                (
                    by_file.and_then(|nm| Torque::from_newton_metres(nm).ok()),
                    Some(factor),
                )
            }
            // past what friction can do: in proportion, so that it is not lost
            Err(_) => {
                let by_file = (|| {
                    let should = read.reads(movement, drag).ok()?.reading.newton_metres();
                    Some(shown(bench)? * torque.newton_metres() / should)
                })();
                (by_file.and_then(|nm| Torque::from_newton_metres(nm).ok()), None)
            }
        }
    }

    /// Without springs what is read is drag, and only the way of holding is reckoned over.
    fn drag_by_the_file(&self, held: Held, torque: Torque, drag: Torque) -> Option<Torque> {
        let (torque, drag) = (torque.newton_metres(), drag.newton_metres());
        let sum = match held {
            Held::Case => torque - 2.0 * drag,
            Held::Output => 2.0 * torque - drag,
        };
        Torque::from_newton_metres(match self.job.unit.proof.held {
            Held::Case => sum,
            Held::Output => sum / 2.0,
        })
        .ok()
    }

    /// A round of proof, as far as it is read.
    pub fn proof(&self, round: u32) -> Option<ProofFacts> {
        self.at(round).proof_as_it_stood(round)
    }

    fn proof_as_it_stood(&self, round: u32) -> Option<ProofFacts> {
        let held = self.held()?;
        let bench = self.bench_of(round)?;
        let (_, times) = self.as_shown(listed(&self.job.unit)?);
        let drag = self.drag();
        let mut readings = Vec::new();
        for (way, item) in ReadingMode::ALL {
            for (n, read) in self.breakaways(round, item).into_iter().enumerate() {
                let corrected = self.corrected(read);
                let (reckoned, factor) = match drag {
                    Some(drag) => self.by_the_file(&bench, held, way, corrected, drag),
                    None => (None, None),
                };
                readings.push(ProofReading {
                    way,
                    position: n as u32 + 1,
                    read,
                    corrected,
                    reckoned,
                    factor: factor.map(|factor| factor * times),
                });
            }
        }
        let mean = |still: bool, of: &dyn Fn(&ProofReading) -> Option<f64>| {
            let of_kind = readings.iter().filter(|reading| reading.way.still == still);
            let values: Option<Vec<f64>> = of_kind.map(of).collect();
            Summary::of(&values?).ok()
        };
        let reckoned = |reading: &ProofReading| Some(reading.reckoned?.newton_metres());
        let relative = self.wrench().map_or(0.0, |(relative, _)| relative / 2.0);
        // what the readings would stand for if each were so many times as much, and the drag beside them
        let otherwise = |times: f64, drag_times: f64| {
            let of = |reading: &ProofReading| {
                let torque = Torque::from_newton_metres(reading.corrected.newton_metres() * times).ok()?;
                let drag = Torque::from_newton_metres(drag?.newton_metres() * drag_times).ok()?;
                let (by_file, _) = self.by_the_file(&bench, held, reading.way, torque, drag);
                Some(by_file?.newton_metres())
            };
            Some(mean(false, &of)?.mean)
        };
        let by_file = mean(false, &reckoned);
        let mut doubts: Vec<(&'static str, f64)> = by_file.as_ref().map_or_else(Vec::new, |summary| {
            let off = |times, drag_times| Some((otherwise(times, drag_times)? - summary.mean).abs());
            let counts = self.state.counts_shared_and_nested();
            // the drag was read with the same wrench
            let with_drag = if counts { 1.0 + relative } else { 1.0 };
            let own = if counts { ONE_READING } else { 0.0 };
            let parts = [
                ("scatter of the readings", summary.standard_error),
                (WRENCH, off(1.0 + relative, with_drag)),
                ("drag", off(1.0, 1.0 + own)),
                ("length of the adaptor", off(1.0 + self.adaptor_standard(), 1.0)),
            ];
            let known = parts.into_iter().filter_map(|(name, part)| Some((name, part?)));
            known.filter(|(_, part)| *part > 0.0).collect()
        });
        doubts.sort_by(|one, other| other.1.total_cmp(&one.1));
        // without a wrench nothing is known of a reading
        let uncertainty = otherwise(1.0 + relative, 1.0)
            .map(|_| doubts.iter().map(|(_, part)| part * part).sum::<f64>().sqrt());
        let judged = by_file.as_ref().zip(uncertainty).and_then(|(by_file, u)| {
            let proof = &self.job.unit.proof;
            let ends = (proof.least.newton_metres(), proof.most.newton_metres());
            let limits = Limits::new(Some(ends.0), Some(ends.1)).ok()?;
            judge(by_file.mean, u, &limits, self.job.unit.limits.confidence).ok()
        });
        let torque = |value: Option<f64>| value.and_then(|value| Torque::from_newton_metres(value).ok());
        let raw = |reading: &ProofReading| Some(reading.corrected.newton_metres());
        Some(ProofFacts {
            held,
            still: torque(mean(true, &reckoned).map(|summary| summary.mean)),
            turning: torque(mean(false, &raw).map(|summary| summary.mean)),
            by_file: torque(by_file.map(|summary| summary.mean)),
            uncertainty: torque(uncertainty),
            doubts,
            probability: judged.map(|(p, _)| p),
            verdict: judged.map(|(_, verdict)| verdict),
            readings,
        })
    }

    /// The standard uncertainty that the length of an adaptor leaves of a reading, as a share; none in an edition that did not know it.
    pub fn adaptor_standard(&self) -> f64 {
        let adaptor = self.extension().mm();
        match self.wrench() {
            Some((_, length)) if adaptor > 0.0 && self.state.counts_shared_and_nested() => {
                ADAPTOR / (length.mm() + adaptor)
            }
            _ => 0.0,
        }
    }

    /// What a proof is in doubt by, in words: how much, and its largest parts with their shares.
    pub fn proof_doubt_words(&self, proof: &ProofFacts) -> Option<String> {
        let u = proof
            .uncertainty
            .filter(|_| self.state.counts_shared_and_nested())?;
        let twice = Torque::from_newton_metres(2.0 * u.newton_metres()).ok()?;
        let square = u.newton_metres() * u.newton_metres();
        let parts = proof
            .doubts
            .iter()
            .take(3)
            .map(|(name, part)| ((*name).to_string(), part * part / square));
        let parts: Vec<(String, f64)> = parts.collect();
        Some(format!(
            "± {} by {}",
            twice.show(self.state.units),
            parts_in_words(&parts)
        ))
    }

    /// What stands against a round of readings as such: packs that wedge as they were held, or as the window is meant.
    pub fn unreadable(&self, round: u32) -> Option<String> {
        self.job.unit.spring.as_ref()?;
        let proof = self.proof(round)?;
        let lost = proof.readings.iter().find(|reading| reading.reckoned.is_none())?;
        let bench = self.bench_of(round)?;
        let so = self.read_so(&bench, proof.held, lost.way);
        let none = Torque::from_newton_metres(0.0).ok()?;
        Some(match so.first_movement(none) {
            Err(_) => format!(
                "the breakaway was read with the case held, where these packs wedge (share {:.2} on the {} ramp): what was read \
                 is not their breakaway",
                so.share().map_or(1.0, Ratio::value),
                lost.way.ramp
            ),
            Ok(_) => "the unit file's window is for the case held, where these packs wedge: it can not be held against it"
                .to_string(),
        })
    }

    /// The readings of one way in a round.
    fn breakaways(&self, round: u32, item: &str) -> Vec<Torque> {
        self.state
            .points(Field::BREAKAWAY, round, Some(item))
            .iter()
            .filter_map(|answer| match answer.value {
                Value::Torque(value) => Torque::from_newton_metres(value).ok(),
                _ => None,
            })
            .collect()
    }

    /// Whether friction is shown by first movement alone: with the case held and the springs between the rings the ring hangs on
    /// its ramp after that, by how much nobody knows.
    pub fn by_first_movement(&self, held: Held) -> bool {
        let place = self.job.unit.spring.as_ref().map(|spring| spring.place);
        held == Held::Case && place == Some(SpringPlace::BetweenRings)
    }

    /// The friction while turning that a round's readings show: by those of turning, else by [`Derived::by_first_movement`] in the
    /// proportion of the unit file.
    pub fn friction_shown(&self, proof: &ProofFacts) -> Option<Ratio> {
        let still = self.by_first_movement(proof.held);
        let of_kind = proof.readings.iter().filter(|reading| reading.way.still == still);
        let factors: Option<Vec<f64>> = of_kind.map(|reading| reading.factor).collect();
        let factor = Summary::of(&factors?).ok()?.mean;
        Ratio::new(factor * self.job.unit.friction.turning.value()).ok()
    }

    /// Why a breakaway reading is asked again, where it is.
    pub fn odd_breakaway(&self, round: u32, item: &str, read: Torque) -> Option<String> {
        let (way, held) = (ReadingMode::named(item)?, self.held()?);
        let torque = self.corrected(read);
        self.against_others(round, item, way, read)
            .or_else(|| self.against_expectation(round, way, held, read, torque))
    }

    /// A reading against what the packs should hold in this way, and in the other ways in which it may have been read.
    fn against_expectation(
        &self,
        round: u32,
        way: ReadingMode,
        held: Held,
        read: Torque,
        torque: Torque,
    ) -> Option<String> {
        self.job.unit.spring.as_ref()?;
        let bench = self.bench_of(round)?;
        let so = self.read_so(&bench, held, way);
        let drag = self.drag()?;
        let Ok(should) = so.reads(way.movement(), drag) else {
            return Some(format!(
                "{read} can not be a breakaway: with the case held these packs wedge (share {:.2}, {} ramp)",
                so.share().map_or(1.0, Ratio::value),
                way.ramp
            ));
        };
        let should = should.reading;
        let expected = self.on_the_wrench(should);
        if should.newton_metres() <= 1.0 {
            return None;
        }
        let holding = so.holding;
        let other_held = match held {
            Held::Case => (
                Held::Output,
                "as if one output had been held and the case were free",
            ),
            Held::Output => (Held::Case, "as if the case had been held"),
        };
        let other_output = match holding.turned {
            Turned::Left => Turned::Right,
            Turned::Right => Turned::Left,
        };
        let other_sense = match holding.sense {
            Sense::Forwards => Sense::Backwards,
            Sense::Backwards => Sense::Forwards,
        };
        let others = [
            (
                Holding {
                    held: other_held.0,
                    ..holding
                },
                format!("{}; check how the unit is held", other_held.1),
            ),
            (
                Holding {
                    sense: other_sense,
                    ..holding
                },
                format!("as if it had been turned {other_sense}; check which way it is turned"),
            ),
            (
                Holding {
                    turned: other_output,
                    ..holding
                },
                format!("as if the {other_output} output had been turned; check which one it is"),
            ),
        ];
        for (other, words) in others {
            let Ok(other) = bench.read(other).reads(way.movement(), drag) else {
                continue;
            };
            if looks_like(torque, should, other.reading) {
                return Some(format!(
                    "{read} is about the {} that the other way would read, where {expected} is expected: {words}",
                    self.on_the_wrench(other.reading)
                ));
            }
        }
        let factor = so.factor(way.movement(), torque, drag).ok();
        let near = factor.is_some_and(|factor| (1.0 / FAR..=FAR).contains(&factor));
        (!near).then(|| format!("{read} is far from the {expected} that the packs should hold"))
    }

    /// A reading against the others of its kind, and turning against first movement.
    fn against_others(&self, round: u32, item: &str, way: ReadingMode, read: Torque) -> Option<String> {
        let nm = read.newton_metres();
        let of_its_own = self.breakaways(round, item);
        let nearest = of_its_own
            .into_iter()
            .map(Torque::newton_metres)
            .min_by(|one, other| {
                let (one, other) = ((one - nm).abs(), (other - nm).abs());
                one.total_cmp(&other)
            });
        let far = |other: f64| (nm - other).abs() > (APART * other).max(A_FEW);
        if let Some(near) = nearest.filter(|other| far(*other)) {
            return Some(format!(
                "{read} is far from the other readings in this way, of which {near:.1} N·m is the nearest"
            ));
        }
        let first = ReadingMode { still: true, ..way };
        let (_, first) = ReadingMode::ALL.iter().find(|(known, _)| *known == first)?;
        let first = self.breakaways(round, first);
        let most = first
            .into_iter()
            .map(Torque::newton_metres)
            .max_by(f64::total_cmp)?;
        (!way.still && nm > most && far(most)).then(|| {
            format!("{read} while turning is more than the {most:.1} N·m that it took to break away")
        })
    }

    /// What a wrench that can not read a torque is told.
    pub fn out_of_range(&self, read: Torque) -> Option<String> {
        let round = self.state.standing(Field::WRENCH, self.until);
        let (id, _) = self.state.word(Field::WRENCH, round, None)?;
        let [least, most] = self.wrench_range();
        if let Some(most) = most.filter(|most| read > *most) {
            return Some(format!("{read} is more than the {most} that {id} can read"));
        }
        let least = least.filter(|least| read < *least && read.newton_metres() > 0.0)?;
        Some(format!("{read} is less than the {least} from which {id} reads"))
    }
}

/// Why no reading can be held against the window of a unit's file: it is for the case held, where the packs wedge.
pub(super) fn window_that_wedges(unit: &Unit) -> Option<String> {
    unit.spring.as_ref().filter(|_| unit.proof.held == Held::Case)?;
    let (share, holding) = listed(unit)?.wedges_with_the_case_held().ok()??;
    Some(format!(
        "the unit file's window of breakaway is for the case held, where these packs wedge (share {:.2} on the {} ramp): no reading can \
         be held against it. Give the window in the file with one output held",
        share.value(),
        holding.sense.ramp()
    ))
}

/// A unit at the bench by what its file alone says.
pub(super) fn listed(unit: &Unit) -> Option<Bench> {
    let target = match unit.aim {
        Aim::Preload { target, .. } => target,
        Aim::Gap { .. } => Force::from_newtons(0.0).ok()?,
    };
    let [left, right] = &unit.packs;
    Some(unit.bench([target; 2], [left.faces, right.faces]))
}
