//! The force of springs as a press has read it, or as their measured height and thickness make it.

use super::derived::Derived;
use super::field::Field;
use super::rounding::{MICROMETRE, Rounding, rounded};
use crate::history::doubts::{Doubt, PRESS_READING};
use crate::mechanics::prediction::ReadForce;
use crate::mechanics::{Side, SpringStack};
use crate::metrology::reading_uncertainty;
use crate::quantity::{Force, Length};
use crate::workshop::left_discs::LeftDiscs;
use crate::workshop::{Measures, Press};

/// What is known of discs by their measured thickness.
#[derive(Clone, Copy)]
pub(super) struct KnownDiscs {
    pub thickness: Length,
    /// The standard uncertainty of that, in millimetres.
    pub standard: f64,
    /// Whether all of it was measured in this job.
    pub here: bool,
}

impl<'a> Derived<'a> {
    /// The presses of the job.
    pub fn presses(&self) -> impl Iterator<Item = (&'a str, Press)> {
        let instruments = self.job.instruments.iter();
        instruments.filter_map(|one| match one.measures {
            Measures::Force(press) => Some((one.id.as_str(), press)),
            _ => None,
        })
    }

    /// Whether springs can be read in a press, and nobody has said that they are not.
    pub fn asks_of_a_press(&self) -> bool {
        let left_out = self.job.step_that_fills(Field::PRESS).is_some_and(|step| {
            let mut skipped = self.state.skipped.keys();
            skipped.any(|slot| slot.step == step.id)
        });
        !left_out && self.presses().next().is_some()
    }

    /// The press that was taken.
    pub fn press(&self) -> Option<Press> {
        let (id, _) = self.state.word(Field::PRESS, 1, None)?;
        self.presses()
            .find(|(known, _)| *known == id)
            .map(|(_, press)| press)
    }

    /// How many readings a place has: one a coil, and one of discs, which are pressed all together.
    pub fn forces_a_place(&self) -> u32 {
        self.job.unit.coils_a_stack().max(1)
    }

    /// The height to which springs were pressed.
    pub fn height_in_the_press(&self) -> Option<Length> {
        let heights = self.state.lengths(Field::PRESS_HEIGHT, 1, None);
        heights.first().copied()
    }

    /// What a press has read of the springs of a chain, each stack's force by its coils' mean, and the mean of the places that one
    /// depth spans. It counts where every spring of the unit was read; else all of them go by their law.
    pub fn read_force(&self, chain: Option<Side>) -> Option<ReadForce> {
        let (press, height) = (self.press()?, self.height_in_the_press()?);
        let coils = self.forces_a_place();
        let (mut sum, mut count) = (0.0, 0_u32);
        for item in self.springs() {
            let read = self.state.forces(Field::SPRING_FORCE, 1, item.map(Side::word));
            if read.len() < coils as usize {
                return None;
            }
            if chain.is_none() || item == chain {
                sum += read.iter().map(|force| force.newtons()).sum::<f64>();
                count += 1;
            }
        }
        let force = Force::from_newtons(sum / f64::from(count.max(1))).ok()?;
        let of_one = Force::from_newtons(force.newtons() / f64::from(coils)).ok()?;
        Some(ReadForce {
            height,
            force,
            force_standard: press.standard(of_one),
            height_standard: 0.5 * press.height.mm(),
        })
    }

    /// The standard uncertainty that a press leaves of the force of a chain's springs, as a share: what it reads, and the height. It may
    /// have read them for the last build.
    pub fn press_uncertainty(&self, chain: Option<Side>) -> Option<f64> {
        let [calibration, own] = self.press_shares(chain)?;
        Some(calibration.hypot(own))
    }

    /// The same apart: what its calibration leaves, which is the same in all that this press reads until it is calibrated anew, and
    /// what each reading has for itself. Of a press that read for the last build no more is known than the whole.
    fn press_shares(&self, chain: Option<Side>) -> Option<[f64; 2]> {
        let left = || {
            // what the last build had them read, where this one has not had them out
            let untouched = self.springs().into_iter().all(|item| {
                let side = item.map(Side::word);
                self.spring_heights(side).is_empty() && self.spring_looks(side).is_empty()
            });
            let last = self.job.last.as_ref().filter(|_| untouched)?;
            last.read.get(chain.map_or(0, Side::index)).copied()
        };
        let here = self.read_force(chain);
        let calibration = here.and(self.press()).map_or(0.0, |press| press.calibration());
        let read = here.or_else(left)?;
        let law = self.stack_by_law(chain)?;
        let rate = law.rate_at_height(read.height).ok()?.newtons_per_mm();
        let force = law.force_at_height(read.height).ok()?.newtons();
        let step = (read.force_standard.powi(2) - calibration.powi(2))
            .max(0.0)
            .sqrt();
        Some([calibration, step.hypot(read.height_standard * rate / force)])
    }

    /// By what a press leaves a force of a chain's springs in doubt, in newtons.
    pub fn press_doubts(&self, chain: Option<Side>, force: Force) -> Vec<Doubt> {
        let Some([calibration, own]) = self.press_shares(chain) else {
            return Vec::new();
        };
        let mut doubts = vec![Doubt::own(PRESS_READING, own * force.newtons())];
        if let Some((id, _)) = self
            .state
            .word(Field::PRESS, 1, None)
            .filter(|_| calibration > 0.0)
        {
            doubts.push(Doubt::calibration(id, calibration * force.newtons()));
        }
        doubts
    }

    /// The thickness of the discs of a chain, the mean of the places that one depth spans. It counts where the discs of every place
    /// are known, as measured in this job or, where the same lie there, for the last build; else all of them are as listed.
    pub fn disc_thickness(&self, chain: Option<Side>) -> Option<KnownDiscs> {
        self.discs_of(chain, |place, item| {
            self.discs_measured(item).or_else(|| self.discs_left(place, item))
        })
    }

    /// The same as the last build left them.
    pub fn disc_thickness_left(&self, chain: Option<Side>) -> Option<KnownDiscs> {
        self.discs_of(chain, |place, _| self.discs_before(place))
    }

    fn discs_of(
        &self,
        chain: Option<Side>,
        of: impl Fn(usize, Option<Side>) -> Option<KnownDiscs>,
    ) -> Option<KnownDiscs> {
        if !self.asks_of_thickness() {
            return None;
        }
        let places = self.springs().into_iter().enumerate();
        let known: Option<Vec<_>> = places
            .map(|(place, item)| Some((item, of(place, item)?)))
            .collect();
        let mut known = known?;
        known.retain(|(item, _)| chain.is_none() || *item == chain);
        let sum: Length = known.iter().map(|(_, discs)| discs.thickness).sum();
        let mean = Length::from_nm(sum.nm() / known.len().max(1) as i64);
        let here = known.iter().all(|(_, discs)| discs.here);
        let step = match self.micrometer() {
            Some((instrument, _)) if here => instrument.resolution.min(MICROMETRE),
            _ => MICROMETRE,
        };
        let standards = known.iter().map(|(_, discs)| discs.standard);
        Some(KnownDiscs {
            thickness: rounded(mean, step, Rounding::Nearest),
            standard: standards.fold(0.0, f64::max),
            here,
        })
    }

    /// The discs of a place as they were measured in this job.
    fn discs_measured(&self, item: Option<Side>) -> Option<KnownDiscs> {
        let read = self
            .state
            .lengths(Field::SPRING_THICKNESS, 1, item.map(Side::word));
        let count = i64::try_from(read.len()).ok().filter(|count| *count > 0)?;
        let (instrument, zero) = self.micrometer()?;
        let sum: Length = read.iter().map(|reading| *reading - zero).sum();
        Some(KnownDiscs {
            thickness: Length::from_nm(sum.nm() / count),
            // different discs: how they differ is no repeatability of the gauge
            standard: reading_uncertainty(&instrument, 1).ok()?.combined().um() / 1e3,
            here: true,
        })
    }

    /// The same as they were known to the last build, where they still lie there: discs lose height over the years, not thickness.
    fn discs_left(&self, place: usize, item: Option<Side>) -> Option<KnownDiscs> {
        self.discs_before(place)
            .filter(|_| !self.spring_is_new(item.map(Side::word)))
    }

    /// The thickness of the discs that still lie in a place as the last build knew it, and which build that was.
    pub fn discs_known_before(&self, item: Option<Side>) -> Option<(Length, &'a str)> {
        let place = self.springs().iter().position(|known| *known == item)?;
        let known = self
            .discs_left(place, item)
            .filter(|_| self.asks_of_thickness())?;
        let build = self.job.last.as_ref()?.build.as_str();
        Some((rounded(known.thickness, MICROMETRE, Rounding::Nearest), build))
    }

    fn discs_before(&self, place: usize) -> Option<KnownDiscs> {
        let known = self.job.last.as_ref()?.discs.as_ref()?;
        let listed = self.job.unit.spring.as_ref()?.stack.thickness()?;
        if known.listed != listed || known.thickness.len() != self.springs().len() {
            return None;
        }
        Some(KnownDiscs {
            thickness: *known.thickness.get(place)?,
            standard: known.standard,
            here: false,
        })
    }

    /// The discs as the next job knows them; `None` where they are not all known.
    pub fn discs_for_the_next(&self) -> Option<LeftDiscs> {
        if !self.asks_of_thickness() {
            return None;
        }
        let places = self.springs().into_iter().enumerate();
        let known: Option<Vec<KnownDiscs>> = places
            .map(|(place, item)| self.discs_measured(item).or_else(|| self.discs_left(place, item)))
            .collect();
        let known = known?;
        let standards = known.iter().map(|discs| discs.standard);
        Some(LeftDiscs {
            standard: standards.fold(0.0, f64::max),
            thickness: known.iter().map(|discs| discs.thickness).collect(),
            listed: self.job.unit.spring.as_ref()?.stack.thickness()?,
        })
    }

    /// Why the springs can not be discs of a thickness.
    pub fn no_thickness_of_discs(&self, thickness: Length) -> Option<String> {
        let listed = self.job.unit.spring.as_ref()?.stack;
        let error = listed.with_thickness(thickness).err()?;
        Some(format!("these springs are no discs of that thickness: {error}"))
    }

    /// Whether the unit's file wants the thickness of its discs as measured.
    pub fn asks_of_thickness(&self) -> bool {
        let spring = self.job.unit.spring.as_ref();
        spring.is_some_and(|spring| spring.thickness_measured)
    }

    /// What was measured of the discs, in words; `None` where it does not count.
    pub fn measured_in_words(&self) -> Option<String> {
        let units = self.state.units;
        let mut chains = self.chains();
        chains.truncate(if self.job.unit.is_through() { 1 } else { 2 });
        let known: Option<Vec<String>> = chains
            .iter()
            .map(|chain| Some(self.disc_thickness(*chain)?.thickness.show(units)))
            .collect();
        let all_here = chains
            .iter()
            .all(|chain| self.disc_thickness(*chain).is_some_and(|discs| discs.here));
        let by = match &self.job.last {
            Some(last) if !all_here => format!(" for {}", last.build),
            _ => String::new(),
        };
        Some(format!(
            "discs as measured{by}, thickness {}: ± 6 % of the force reckoned from that (k = 2, common practice, no source), no further \
             than DIN EN 16983 has it",
            known?.join(" and ")
        ))
    }

    /// Why springs can not stand at a height under load.
    pub fn no_height_under_load(&self, height: Length) -> Option<String> {
        let units = self.state.units;
        self.chains().into_iter().find_map(|chain| {
            let stack = self.stack_by_law(chain)?;
            let (free, solid) = (stack.free_height(), stack.solid_height());
            if height < solid {
                Some(format!(
                    "{} is past solid: the spring is flat at {}, and what the press reads there is the press",
                    height.show(units),
                    solid.show(units)
                ))
            } else if height >= free {
                Some(format!(
                    "at {} the spring is free, at {}; a height under load is wanted",
                    height.show(units),
                    free.show(units)
                ))
            } else {
                None
            }
        })
    }

    /// The springs of a chain under what a press has read of them, else by their law.
    pub fn pressed_as_read(&self, law: SpringStack, chain: Option<Side>) -> SpringStack {
        let read = self.read_force(chain);
        let as_read = read.and_then(|read| law.as_read(read.height, read.force).ok());
        as_read.unwrap_or(law)
    }

    /// What was read in the press, in words; `None` where nothing was that counts.
    pub fn read_in_words(&self) -> Option<String> {
        let (id, _) = self.state.word(Field::PRESS, 1, None)?;
        let units = self.state.units;
        let mut chains = self.chains();
        chains.truncate(if self.job.unit.is_through() { 1 } else { 2 });
        let read: Option<Vec<ReadForce>> = chains.iter().map(|chain| self.read_force(*chain)).collect();
        let read = read?;
        let first = read.first()?;
        let forces: Vec<String> = read.iter().map(|read| read.force.show(units)).collect();
        Some(format!(
            "springs as {id} has read them: {} at {}, ± {:.1} %",
            forces.join(" and "),
            first.height.show(units),
            200.0 * first.force_standard
        ))
    }
}
