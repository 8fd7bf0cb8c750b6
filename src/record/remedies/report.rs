use super::{Banded, Lasts, Reckoned, Remedies, Remedy, What};
use crate::mechanics::Keying;
use crate::quantity::Length;
use serde_json::{Value, json};

impl Remedies {
    /// The same for machines, the unit of measure in each key's name.
    pub(in crate::record) fn json(&self) -> Value {
        json!({
            "after": self.after,
            "reckoned_for": match self.reckoned {
                Reckoned::Asked => "asked",
                Reckoned::AtTheEarliest => "earliest limit",
                Reckoned::Now => "now",
            },
            "by_trend": self.by_trend.iter().map(|trend| json!({
                "what": trend.what, "measure": trend.symbol, "value": trend.value,
                "interval": trend.band.map(|(low, high)| [low, high]),
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
        "gaps_mm": stands.gaps.iter().map(|(chain, gap)| json!({"chain": chain, "gap": gap.mm()})).collect::<Vec<_>>(),
        "brings_back_nm": remedy.brings.as_ref().map(figure),
        "holds": remedy.holds.as_ref().map(lasts),
        "plate": remedy.plate.as_ref().map(lasts),
        "pressed_times": remedy.pressed,
        "against": remedy.against,
    })
}

fn lasts(lasts: &Lasts) -> Value {
    json!({"what": lasts.what, "at": lasts.at, "from": lasts.from, "to": lasts.to})
}

fn what(what: &What) -> Value {
    let mm = |length: &Length| length.mm();
    match what {
        What::Nothing => json!({"kind": "nothing"}),
        What::Shims {
            exact,
            more,
            shims,
            get,
        } => json!({
            "kind": "shims", "exact_mm": exact.each_ref().map(mm), "more_mm": more.each_ref().map(mm),
            "shims_mm": shims.as_ref().map(|sides| sides.each_ref().map(|shims| shims.iter().map(mm).collect::<Vec<_>>())),
            "get_mm": get.as_ref().map(|(thickness, count)| json!({"thickness": thickness.mm(), "count": count})),
        }),
        What::Plates(swaps) => json!({
            "kind": "plates",
            "swaps": swaps.iter().map(|swap| json!({
                "side": swap.side, "out": swap.out, "out_mm": swap.thickness.mm(), "spare": swap.spare,
                "in_mm": swap.into.mm(), "whole_mm": swap.whole.mm(),
            })).collect::<Vec<_>>(),
        }),
        What::NewSprings { measured, new } => {
            json!({"kind": "new springs", "measured_mm": measured.mm(), "new_mm": new.mm()})
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
