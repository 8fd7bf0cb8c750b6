//! What a setting asked for beside what was reached.

use super::definition::Shows;
use super::whole::Whole;
use crate::mechanics::lock::LockModel;
use crate::mechanics::{Direction, Side, ramp};
use crate::record::{Figure, SettingOutcome, SettingOutcomeRow};
use crate::workshop::SettingPoint;

impl Whole<'_> {
    /// `None` where the build aims at no setting. Ramps count as reached once the rings were looked at; lock shares are
    /// reckoned from what was built, breakaway is what was read.
    pub(super) fn asked(&self, round: u32) -> Option<SettingOutcome> {
        let rework = self.job.rework.as_ref()?;
        let setting = &rework.setting;
        let from = [
            ("Car", setting.from.car.name.clone()),
            ("Use", setting.from.wanted.name.clone()),
            ("Settled", format!("{}, proposal {}", setting.date, setting.take)),
            ("Digest", self.state.setting_digest.clone().unwrap_or_default()),
        ]
        .map(|(label, text)| (label.to_string(), text));
        let mut rows = Vec::new();
        let mut row = |key: &str, what: String, asked: Figure, reached: Option<Figure>| {
            rows.push(SettingOutcomeRow {
                key: key.to_string(),
                what,
                asked,
                reached,
            });
        };
        let unit = &self.job.unit;
        let rings = self.rings_looked_at(round);
        let seen = |figure: Figure| match rings {
            Some(true) => Some(figure),
            Some(false) => Some(Figure::Words("NOT as asked for".to_string())),
            None => None,
        };
        for (key, what, asked, reached) in [
            (
                "drive_deg_from_ring_face",
                "drive ramp",
                setting.drive,
                unit.ramp.drive,
            ),
            (
                "coast_deg_from_ring_face",
                "coast ramp",
                setting.coast,
                unit.ramp.coast,
            ),
        ] {
            row(
                key,
                what.to_string(),
                Figure::Ramp(asked),
                seen(Figure::Ramp(reached)),
            );
        }
        row(
            "class",
            "class".to_string(),
            Figure::Words(setting.class().to_string()),
            seen(Figure::Words(
                ramp::class(unit.ramp.drive, unit.ramp.coast).to_string(),
            )),
        );
        let derived = self.derived;
        let chosen = self.state.chosen(round);
        for side in Side::BOTH {
            row(
                &format!("faces_{side}"),
                format!("active faces, {side}"),
                Figure::Count(setting.faces[side.index()]),
                chosen.map(|chosen| Figure::Count(derived.faces(&chosen.sides[side.index()]))),
            );
        }
        if let Some(spring) = &setting.spring {
            let forces = derived
                .closings(round)
                .and_then(|closings| derived.forces(closings).ok());
            for side in Side::BOTH {
                row(
                    &format!("preload_{side}_n"),
                    format!("preload, {side}"),
                    Figure::Force(spring.target),
                    forces.map(|forces| Figure::Force(forces[side.index()])),
                );
            }
        }
        row(
            "breakaway_nm",
            "breakaway, turning".to_string(),
            Figure::Torque(setting.breakaway),
            derived
                .proof(round)
                .and_then(|proof| proof.by_file)
                .map(Figure::Torque),
        );
        let built = self.built_lock(round).ok().flatten();
        for (n, (word, direction)) in [("drive", Direction::Drive), ("coast", Direction::Coast)]
            .into_iter()
            .enumerate()
        {
            row(
                &format!("locking_{word}"),
                format!("share that the ramps lock, S, on {word}"),
                Figure::Share(setting.locking[n]),
                built.as_ref().map(|model| Figure::Share(model.share(direction))),
            );
        }
        for point in &setting.points {
            let percent = (point.throttle.value() * 100.0).round();
            row(
                &format!("lock_share_at_{percent}_percent"),
                format!("lock at {percent} % throttle"),
                share_asked(point),
                reached_share(built.as_ref(), point, Direction::Drive),
            );
        }
        row(
            "lock_share_on_coast",
            "lock with the throttle closed".to_string(),
            share_asked(&setting.on_coast),
            reached_share(built.as_ref(), &setting.on_coast, Direction::Coast),
        );
        Some(SettingOutcome {
            from: from.to_vec(),
            rows,
        })
    }

    /// What the look at the rings of a round said; `None` while they have not been looked at.
    fn rings_looked_at(&self, round: u32) -> Option<bool> {
        let steps = self.job.procedure.steps();
        let step = steps
            .map(|(_, step)| step)
            .find(|step| step.shows == Some(Shows::Ramps))?;
        let slots = self.state.answers.keys();
        let looked = slots.filter(|slot| slot.step == step.id && slot.round == round && slot.point.is_none());
        let looks = looked.filter_map(|slot| self.state.looks(&step.id, round, slot.item.as_deref()).pop());
        // each ring may be looked at by itself
        looks.reduce(|one, other| one && other)
    }
}

fn share_asked(point: &SettingPoint) -> Figure {
    point.expected.map_or_else(
        || Figure::Words("both tyres react the same".to_string()),
        Figure::Share,
    )
}

fn reached_share(built: Option<&LockModel>, point: &SettingPoint, direction: Direction) -> Option<Figure> {
    let share = point.share_of(built?, direction).ok()?;
    Some(share.map_or_else(
        || Figure::Words("both tyres react the same".to_string()),
        Figure::Share,
    ))
}
