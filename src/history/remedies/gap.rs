//! What a gap that grew can be brought back by.

use super::plates::thicker;
use super::{Ground, Lasts, Rate, Remedy, Stands, What, lasts};
use crate::history::BuiltValue;
use crate::mechanics::Side;
use crate::mechanics::wear::CONFIDENCE;
use crate::metrology::coverage_factor;
use crate::quantity::Length;
use crate::workshop::Aim;

/// A gap as it was left, and how it grows.
struct Gap {
    chain: Option<Side>,
    left: Length,
    /// Half of the width of its band, as the trend has it.
    doubt: Length,
    rate: Option<Rate>,
}

impl Ground<'_> {
    pub(super) fn set_to_a_gap(&self, told: &mut Vec<String>) -> Vec<Remedy> {
        let Aim::Gap { least, target, most } = self.unit.aim else {
            return Vec::new();
        };
        let gaps = self.gaps();
        if gaps.is_empty() {
            told.push(format!(
                "{} does not hold the gap as left, so nothing can be reckoned.",
                self.built.account.build
            ));
            return Vec::new();
        }
        let then: Vec<Length> = gaps.iter().map(|gap| gap.after(self.gone)).collect();
        let lacking: Vec<Length> = then.iter().map(|gap| *gap - target).collect();
        let sides = match lacking.as_slice() {
            [both] => {
                let half = Length::from_nm(both.nm().div_euclid(2));
                [*both - half, half]
            }
            [left, right, ..] => [*left, *right],
            [] => [Length::ZERO; 2],
        };
        let mut list = vec![self.gap_remedy(What::Nothing, &gaps, [Length::ZERO; 2], &[], (least, most))];
        if lacking.iter().any(|lack| *lack > Length::from_um(1)) {
            let wear = self.gap_wear(&gaps, &then);
            let window = [least, target, most];
            let shims = self.shims(wear, sides, Some(vec![window; gaps.len()]));
            match shims {
                What::Shims {
                    more: [Length::ZERO, Length::ZERO],
                    ..
                } => told.push(super::NEAREST.to_string()),
                What::Shims { more, .. } => {
                    list.push(self.gap_remedy(shims, &gaps, more, &[], (least, most)));
                }
                _ => {}
            }
            let swaps = self.swaps(sides, self.unit.is_through());
            if !swaps.is_empty() {
                let more = thicker(&swaps);
                let out: Vec<String> = swaps.iter().map(|swap| swap.out.clone()).collect();
                list.push(self.gap_remedy(What::Plates(swaps), &gaps, more, &out, (least, most)));
            }
        } else {
            told.push("Shims and plates lack nothing: the gap is no wider than it is wanted.".to_string());
        }
        told.push(
            "A unit without preload is set by its gap: springs are not in it, and neither faces nor oil change the gap."
                .to_string(),
        );
        list
    }

    fn gaps(&self) -> Vec<Gap> {
        let closings = self.built.account.closings.iter();
        closings
            .filter_map(|closing| {
                let of = |fading: &&crate::history::Fading| fading.what == BuiltValue::Gap(closing.chain);
                let own = self.wear.gaps.iter().find(of);
                // by the gap itself; where it was found too seldom, by what the packs lose
                let rate = own.and_then(|fading| Rate::of(&fading.outlook)).or_else(|| {
                    let rates = self.rates?;
                    Some(match closing.chain {
                        Some(side) => rates[side.index()],
                        None => Rate {
                            middle: rates[0].middle + rates[1].middle,
                            low: rates[0].low + rates[1].low,
                            high: rates[0].high + rates[1].high,
                            banded: rates[0].banded && rates[1].banded,
                        },
                    })
                });
                let left = closing.left.as_ref()?;
                let factor = coverage_factor(CONFIDENCE, f64::INFINITY).ok()?;
                Some(Gap {
                    chain: closing.chain,
                    left: left.value,
                    doubt: Length::from_mm(left.with_zeros() * factor).ok()?,
                    rate,
                })
            })
            .collect()
    }

    /// What each pack has lost, by how much its gap has grown.
    fn gap_wear(&self, gaps: &[Gap], then: &[Length]) -> [Length; 2] {
        let grown: Vec<Length> = gaps
            .iter()
            .zip(then)
            .map(|(gap, then)| *then - gap.left)
            .collect();
        match grown.as_slice() {
            [both] => {
                let half = Length::from_nm(both.nm().div_euclid(2));
                [*both - half, half]
            }
            [left, right, ..] => [*left, *right],
            [] => [Length::ZERO; 2],
        }
    }

    fn gap_remedy(
        &self,
        what: What,
        gaps: &[Gap],
        thicker: [Length; 2],
        out: &[String],
        (least, most): (Length, Length),
    ) -> Remedy {
        let filled = |chain: Option<Side>| match chain {
            Some(side) => thicker[side.index()],
            None => thicker[0] + thicker[1],
        };
        let stands: Vec<(Option<Side>, Length)> = gaps
            .iter()
            .map(|gap| (gap.chain, gap.after(self.gone) - filled(gap.chain)))
            .collect();
        let holds = gaps
            .iter()
            .zip(&stands)
            .filter_map(|(gap, (chain, stands))| {
                let rate = gap.rate?;
                let room = (most - *stands).mm().max(0.0);
                let far = |rate: f64, room: f64| (rate > 0.0).then(|| room.max(0.0) / rate);
                let doubt = gap.doubt.mm();
                let ends = [
                    [far(rate.high, room), far(rate.low, room)],
                    [far(rate.middle, room - doubt), far(rate.middle, room + doubt)],
                ];
                lasts(BuiltValue::Gap(*chain), far(rate.middle, room), &[rate], &ends)
            })
            .min_by(Lasts::sooner);
        let against = stands
            .iter()
            .any(|(_, gap)| *gap < least)
            .then(|| format!("less gap than the {least} that the unit file allows"));
        Remedy {
            what,
            stands: Stands {
                gaps: stands,
                ..Stands::default()
            },
            brings: None,
            holds,
            plate: self.first_plate(1.0, out),
            pressed: 1.0,
            against,
        }
    }
}

impl Gap {
    /// How wide it is after a distance.
    fn after(&self, gone: f64) -> Length {
        let grown = self.rate.map_or(0.0, |rate| rate.middle * gone);
        self.left + Length::from_mm(grown).unwrap_or(Length::MOST)
    }
}
