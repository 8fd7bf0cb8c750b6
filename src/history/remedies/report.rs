//! Remedies for machines.

use super::{Banded, Lasts, Reckoned, Remedies, Remedy, What};
use crate::history::measure::{Wearing, chain_word, stored};
use crate::mechanics::Keying;
use crate::quantity::Length;
use serde_json::{Value, json};

impl Remedies {
    /// The same for machines, the unit of measure in each key's name.
    pub(in crate::history) fn json(&self) -> Value {
        json!({
            "after": self.after,
            "reckoned_for": match self.reckoned {
                Reckoned::Asked => "asked",
                Reckoned::AtTheEarliest => "earliest limit",
                Reckoned::Now => "now",
            },
            "by_trend": self.by_trend.iter().map(|trend| json!({
                "what": trend.what.to_string(), "measure": trend.measure.for_machines().0,
                "value": trend.measure.for_machines().1 * trend.value,
                "interval": trend.band.map(|(low, high)| [low, high].map(|end| trend.measure.for_machines().1 * end)),
            })).collect::<Vec<_>>(),
            "list": self.list.iter().map(remedy).collect::<Vec<_>>(),
            "told": self.told,
        })
    }
}

fn remedy(remedy: &Remedy) -> Value {
    let figure = |figure: &Banded<f64>| json!({"value": figure.value, "doubt_95": figure.doubt});
    let stands = &remedy.stands;
    json!({
        "what": what(&remedy.what),
        "preload_n": stands.preload.map(|forces| forces.map(|force| force.newtons())),
        "breakaway_nm": stands.breakaway.map(|one| json!({"value": one.value.newton_metres(), "doubt_95": one.doubt})),
        "gaps": stands.gaps.iter().map(|(chain, gap)| json!({"chain": chain_word(*chain), "gap_um": gap.um()})).collect::<Vec<_>>(),
        "brings_back_nm": remedy.brings.as_ref().map(figure),
        "holds": remedy.holds.as_ref().map(lasts),
        "plate": remedy.plate.as_ref().map(lasts),
        "pressed_times": remedy.pressed,
        "against": remedy.against,
    })
}

fn lasts(lasts: &Lasts) -> Value {
    let what = match &lasts.what {
        Wearing::Value(what) => what.to_string(),
        plate => plate.to_string(),
    };
    json!({"what": what, "at": lasts.at, "from": lasts.from, "to": lasts.to})
}

fn what(what: &What) -> Value {
    let um = |length: &Length| length.um();
    match what {
        What::Nothing => json!({"kind": "nothing"}),
        What::Shims {
            exact,
            more,
            shims,
            get,
        } => json!({
            "kind": "shims", "exact_um": exact.each_ref().map(um), "more_um": more.each_ref().map(um),
            "shims_um": shims.as_ref().map(|sides| sides.each_ref().map(|shims| shims.iter().map(um).collect::<Vec<_>>())),
            "get": get.as_ref().map(|(thickness, count)| json!({"thickness_um": thickness.um(), "count": count})),
        }),
        What::Plates(swaps) => json!({
            "kind": "plates",
            "swaps": swaps.iter().map(|swap| json!({
                "side": stored(swap.side), "out": swap.out, "out_um": swap.thickness.um(), "spare": swap.spare,
                "in_um": swap.into.um(), "whole_um": swap.whole.um(),
            })).collect::<Vec<_>>(),
        }),
        What::NewSprings { measured, new } => {
            json!({"kind": "new springs", "measured_um": measured.um(), "new_um": new.um()})
        }
        What::HarderSprings(times) => json!({"kind": "harder springs", "times": times}),
        What::Faces { from, to, order } => {
            let word = |key: &Keying| match key {
                Keying::Gear => "gear",
                Keying::Case => "case",
            };
            json!({
                "kind": "faces", "from": from, "to": to,
                "order_from_wall": order.each_ref().map(|order| order.iter().map(word).collect::<Vec<_>>()),
            })
        }
        What::Oil {
            fades,
            found,
            left,
            builds,
        } => {
            json!({"kind": "oil", "friction_per_distance": fades, "friction_found": found, "friction_left": left, "builds": builds})
        }
    }
}
