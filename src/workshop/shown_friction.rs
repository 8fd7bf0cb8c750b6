//! What is known of the friction of a unit: by its proofs where they count, else by its file.

use super::last_left::LastLeft;
use super::left_proofs::LeftProof;
use super::unit::Unit;
use crate::mechanics::friction::{
    Known, KnownFriction, ShownFriction, SpringsIn, TradeFriction, known_friction,
};
use crate::quantity::{Ratio, Temperature, significant};

/// So much of a pack must be the plates that were proved, and so much of it may be glazed, for proofs to count on (*common
/// practice, no source*).
const STILL_THE_SAME: f64 = 0.5;

/// Oil that is no further apart than this, in kelvins, rubs alike (*common practice, no source*).
const OIL_ALIKE: f64 = 20.0;

/// What the friction is known by.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum KnownBy {
    /// Nothing but the unit's file, with why earlier proofs do not count; empty where there are none.
    Trade(&'static str),
    /// Proofs of this unit.
    Proofs(KnownFriction),
}

/// What lies in a unit for which friction is asked.
#[derive(Clone, PartialEq, Debug)]
pub struct NowInside<'a> {
    /// The oil; empty where nobody said.
    pub oil: &'a str,
    /// The plates, by name.
    pub plates: Vec<String>,
    /// How many of them are glazed.
    pub glazed: usize,
    /// Its springs.
    pub springs: SpringsNow,
}

/// Which springs are in, beside those of the newest proof.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum SpringsNow {
    /// The same: how far they are off is in what the proofs have shown.
    Same,
    /// Others came in since.
    Others,
    /// A press has read them, which says more of them than which they are; with the standard uncertainty of that, as a share.
    Read(Ratio),
}

/// The friction of a unit as it stands, with its doubt, and by what it is known: what a reckoning without a build rests on.
#[derive(Clone, PartialEq, Debug)]
pub struct FrictionNow {
    /// The friction of its plates while turning.
    pub turning: Ratio,
    /// Its standard uncertainty.
    pub doubt: Ratio,
    /// The friction with which a breakaway with the same springs is reckoned: how far these are off is in it.
    pub breakaway: Ratio,
    /// Its standard uncertainty.
    pub breakaway_doubt: Ratio,
    /// How many proofs it rests on; 0 where it is that of the unit's file.
    pub proofs: usize,
    /// By what it is known, such as `by 4 proofs of this unit`.
    pub by: String,
}

impl Unit {
    /// What is known of the friction. Proofs, the oldest first, count back to where other oil was in, or mostly other plates, or
    /// a glazed pack.
    pub fn friction_known(&self, proofs: &[LeftProof], now: &NowInside<'_>) -> KnownBy {
        let (Some(spring), Some(newest)) = (&self.spring, proofs.last()) else {
            return KnownBy::Trade("");
        };
        if let Some(why) = begins_anew(newest, now) {
            return KnownBy::Trade(why);
        }
        let mut counted: Vec<ShownFriction> = counted(proofs).map(|proof| proof.shown.clone()).collect();
        counted.reverse();
        let set = match now.springs {
            SpringsNow::Same => SpringsIn::Set(newest.shown.springs),
            SpringsNow::Others => SpringsIn::Set(newest.shown.springs + 1),
            SpringsNow::Read(doubt) => SpringsIn::Read(doubt),
        };
        let known = self.friction.radius_between().and_then(|radius| {
            let trade = TradeFriction {
                friction: self.friction.turning,
                doubt: self.friction.doubt,
                springs: spring.tolerance.times(),
                radius,
            };
            known_friction(&trade, &counted, set)
        });
        known.map_or(KnownBy::Trade(""), KnownBy::Proofs)
    }

    /// The friction of the plates as the last build left the unit.
    pub fn friction_now(&self, last: Option<&LastLeft>) -> FrictionNow {
        let known = last.and_then(|last| {
            let newest = last.proofs.last()?;
            let left = NowInside {
                oil: &newest.oil,
                plates: last.packs.iter().flat_map(|pack| pack.order.clone()).collect(),
                glazed: 0,
                springs: match last.read.first() {
                    Some(read) => SpringsNow::Read(Ratio::new(read.force_standard).ok()?),
                    None => SpringsNow::Same,
                },
            };
            Some(self.friction_known(&last.proofs, &left))
        });
        let file = || FrictionNow {
            turning: self.friction.turning,
            doubt: self.friction.doubt,
            breakaway: self.friction.turning,
            breakaway_doubt: self.friction.doubt,
            proofs: 0,
            by: "of the unit file".to_string(),
        };
        match known {
            Some(KnownBy::Proofs(known)) => {
                let proofs = last.map_or(&[][..], |last| &last.proofs);
                shown(known, proofs).unwrap_or_else(file)
            }
            Some(KnownBy::Trade(why)) if !why.is_empty() => FrictionNow {
                by: format!("of the unit file, because {why}"),
                ..file()
            },
            Some(KnownBy::Trade(_)) | None => file(),
        }
    }
}

/// What proofs have shown; `None` past a number's range.
fn shown(known: KnownFriction, proofs: &[LeftProof]) -> Option<FrictionNow> {
    let doubt = |of: Known| Ratio::new(of.friction.value() * of.relative.value()).ok();
    Some(FrictionNow {
        turning: known.plates.friction,
        doubt: doubt(known.plates)?,
        breakaway: known.breakaway.friction,
        breakaway_doubt: doubt(known.breakaway)?,
        proofs: known.proofs,
        by: by_proofs(known.proofs, proofs),
    })
}

impl FrictionNow {
    /// It in words: `0.112 ± 0.009 (95 %), by 4 proofs of this unit`.
    pub fn words(&self) -> String {
        let turning = significant(self.turning.value(), 3);
        match self.doubt.value() > 0.0 {
            true => format!("{turning} ± {:.3} (95 %), {}", 2.0 * self.doubt.value(), self.by),
            false => format!("{turning}, taken as sure, {}", self.by),
        }
    }
}

/// How many proofs, in words, and that their oil was not alike, of those among all `proofs` that count.
pub fn by_proofs(count: usize, proofs: &[LeftProof]) -> String {
    let by = match count {
        1 => "by one proof of this unit".to_string(),
        count => format!("by {count} proofs of this unit"),
    };
    let apart = oil_of(proofs).filter(|[coldest, warmest]| differ([*coldest, *warmest]));
    match apart {
        Some([coldest, warmest]) => {
            format!("{by} with oil at {coldest} to {warmest}, which alone changes friction")
        }
        None => by,
    }
}

/// Between what temperatures the oil was in the proofs that count; `None` where nobody said.
pub fn oil_of(proofs: &[LeftProof]) -> Option<[Temperature; 2]> {
    let said = || counted(proofs).filter_map(|proof| proof.oil_at);
    let one = |coldest: bool| {
        said().reduce(|one, other| match (other < one) == coldest {
            true => other,
            false => one,
        })
    };
    Some([one(true)?, one(false)?])
}

/// Whether two temperatures of oil are so far apart that friction differs for that alone.
pub fn differ([coldest, warmest]: [Temperature; 2]) -> bool {
    warmest.celsius() - coldest.celsius() > OIL_ALIKE
}

/// The proofs that count with the newest one, that one first: back to where other oil was in, or mostly other plates.
fn counted(proofs: &[LeftProof]) -> impl Iterator<Item = &LeftProof> {
    let newest = proofs.last();
    proofs.iter().rev().take_while(move |proof| {
        newest
            .is_some_and(|newest| same_oil(&proof.oil, &newest.oil) && mostly(&proof.plates, &newest.plates))
    })
}

/// Why proofs do not count for what is in now.
fn begins_anew(newest: &LeftProof, now: &NowInside<'_>) -> Option<&'static str> {
    if !same_oil(now.oil, &newest.oil) {
        Some("another oil is in since the proofs")
    } else if !mostly(&now.plates, &newest.plates) {
        Some("most plates are others since the proofs")
    } else if now.glazed as f64 > STILL_THE_SAME * now.plates.len() as f64 {
        Some("most plates are glazed")
    } else {
        None
    }
}

/// Whether two oils are one, as far as somebody said.
fn same_oil(one: &str, other: &str) -> bool {
    let plain = |oil: &str| {
        oil.split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .to_lowercase()
    };
    one.is_empty() || other.is_empty() || plain(one) == plain(other)
}

/// Whether enough of some plates are among others.
fn mostly(plates: &[String], others: &[String]) -> bool {
    let known = plates.iter().filter(|name| others.contains(name)).count();
    known as f64 >= STILL_THE_SAME * plates.len() as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::workshop::LeftPack;

    fn unit() -> Unit {
        let text = include_str!("../../demo-units/moor-rear.toml");
        Unit::read("moor-rear.toml", text).unwrap()
    }

    fn proof(unit: &Unit, oil: &str) -> LeftProof {
        LeftProof {
            build: "moor-rear-0001".into(),
            shown: ShownFriction {
                friction: Ratio::new(0.14).unwrap(),
                own: Ratio::new(0.02).unwrap(),
                wrench: "wrench-60".into(),
                calibration: Ratio::new(0.02).unwrap(),
                springs: 1,
                press: None,
            },
            oil: oil.into(),
            oil_at: None,
            plates: unit.packs.iter().flat_map(|pack| pack.order.clone()).collect(),
        }
    }

    fn left(unit: &Unit, proofs: Vec<LeftProof>) -> LastLeft {
        let pack = |side: usize| LeftPack {
            order: unit.packs[side].order.clone(),
            shims: Vec::new(),
        };
        LastLeft {
            build: "moor-rear-0004".into(),
            finished: "2026-05-09".into(),
            packs: [pack(0), pack(1)],
            plates: Vec::new(),
            springs: Vec::new(),
            closings: Vec::new(),
            read: Vec::new(),
            discs: None,
            proofs,
        }
    }

    #[test]
    fn proofs_say_more_than_the_file_and_say_so() {
        let unit = unit();
        let by_file = unit.friction_now(None);
        assert_eq!((by_file.proofs, by_file.turning), (0, unit.friction.turning));
        assert!(by_file.words().ends_with("of the unit file"));
        let four = left(&unit, vec![proof(&unit, "90"); 4]);
        let shown = unit.friction_now(Some(&four));
        assert!(shown.words().ends_with("(95 %), by 4 proofs of this unit"));
        assert!(shown.turning > unit.friction.turning && shown.doubt < by_file.doubt);
        // proofs with an oil that is out again do not count
        let mut mixed = vec![proof(&unit, "75"); 3];
        mixed.push(proof(&unit, "90"));
        assert_eq!(unit.friction_now(Some(&left(&unit, mixed))).proofs, 1);
    }

    #[test]
    fn other_plates_begin_anew() {
        let unit = unit();
        let mut last = left(&unit, vec![proof(&unit, "90"); 4]);
        for pack in &mut last.packs {
            for plate in &mut pack.order {
                plate.push('x');
            }
        }
        let known = unit.friction_now(Some(&last));
        assert_eq!(
            known.by,
            "of the unit file, because most plates are others since the proofs"
        );
    }
}
