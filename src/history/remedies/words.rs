//! Each remedy in a few words.

use super::{Remedy, Swap, What};
use crate::history::display_units::DisplayUnits;
use crate::mechanics::Keying;
use crate::quantity::{Length, Units};

impl Remedy {
    /// What is done, in a few words.
    pub fn short(&self, units: Units) -> String {
        let length = |length: &Length| length.show(units);
        match &self.what {
            What::Nothing => "nothing".to_string(),
            What::Shims {
                more: [left, right], ..
            } if left == right => format!("shims {} each side", signed(*left, units)),
            What::Shims {
                more: [left, right], ..
            } => {
                format!(
                    "shims {} left, {} right",
                    signed(*left, units),
                    signed(*right, units)
                )
            }
            What::Plates(swaps) => {
                let words: Vec<String> = swaps
                    .iter()
                    .map(|swap| match &swap.spare {
                        Some(spare) => format!("{spare} ({}) for {}", length(&swap.into), swap.out),
                        None => format!("a new one ({}) for {}", length(&swap.into), swap.out),
                    })
                    .collect();
                format!("plates: {}", words.join(", "))
            }
            What::NewSprings { .. } => "springs as high as new".to_string(),
            What::HarderSprings(times) => format!("springs {times:.2} times as hard"),
            What::Faces {
                to: [left, right], ..
            } if left == right => format!("{left} faces in each pack"),
            What::Faces {
                to: [left, right], ..
            } => format!("{left} faces left, {right} right"),
            What::Oil { .. } => "new oil, clean plates".to_string(),
        }
    }

    /// What it takes and what it costs, in sentences; empty where nothing is done.
    pub fn long(&self, shown: DisplayUnits) -> String {
        let units = shown.units;
        let length = |length: &Length| length.show(units);
        let mut words = match &self.what {
            What::Nothing => return String::new(),
            What::Shims {
                exact, shims, get, ..
            } => {
                let exact = exact.map(|exact| signed(exact, units));
                let [left, right] = exact;
                let which = match (shims, get) {
                    (Some(sides), _) => {
                        let [left, right] = sides.each_ref().map(|shims| listed(shims, units));
                        format!(
                            "left {left}, right {right}, the nearest of the drawer's sizes and those in the unit;"
                        )
                    }
                    (None, Some((thickness, count))) => format!(
                        "none of the drawer's fit; {count} more of {} would do;",
                        length(thickness)
                    ),
                    (None, None) => "the drawer has none that fit;".to_string(),
                };
                format!(
                    "Shims: {which} exact would be {left} and {right}. They bring back the room and no thickness: what the \
                     plates have left to their limits stays as it is."
                )
            }
            What::Plates(swaps) => {
                let words: Vec<String> = swaps.iter().map(|swap| swap_words(swap, units)).collect();
                format!(
                    "Plates: {}. A new plate is to be measured before it counts, and loses more while it runs in (common \
                     practice, no source).",
                    words.join("; ")
                )
            }
            What::NewSprings { measured, new } => format!(
                "Springs: measured {} free, {} by the unit file. New ones bring back what the old ones have sagged, and no \
                 thickness.",
                length(measured),
                length(new)
            ),
            What::HarderSprings(times) => format!(
                "Harder springs: such as press {times:.2} times as hard at the height at which they would stand; the maker's \
                 figures say which. They push the cover off by as much more."
            ),
            What::Faces { from, to, order } => {
                let keys = |order: &Vec<Keying>| {
                    let letters = order.iter().map(|key| match key {
                        Keying::Gear => 'f',
                        Keying::Case => 'c',
                    });
                    letters.collect::<String>()
                };
                let [left, right] = order.each_ref().map(keys);
                let order = if left == right {
                    format!("{left} in each pack")
                } else {
                    format!("{left} left, {right} right")
                };
                format!(
                    "Faces: from the case wall {order} (f friction plate, c case plate), which turns {} and {} faces into {} \
                     and {}. A pack loses as many times more as it has faces more, each plate as before. The lock under power \
                     grows too: the car drives otherwise.",
                    from[0], from[1], to[0], to[1]
                )
            }
            What::Oil {
                fades,
                found,
                left,
                builds,
            } => {
                let usual = shown.along.usual() * shown.one();
                format!(
                    "Oil: at {} the plates showed a friction of {found:.3} as found and {left:.3} as left, whatever was done \
                     to them then; between builds they lose {:.3} in {:.0} {}. So much may new oil and cleaning bring back; \
                     which oil, the maker says.",
                    if *builds == 1 {
                        "one build".to_string()
                    } else {
                        format!("{builds} builds, on the mean,")
                    },
                    fades * usual,
                    shown.along.usual(),
                    shown.distance_symbol()
                )
            }
        };
        if self.pressed > 1.005 && self.pressed.is_finite() {
            words.push_str(&format!(
                " The plates are pressed {:.2} times as hard.",
                self.pressed
            ));
        }
        if let Some(against) = &self.against {
            words.push_str(&format!(" Not by itself: {against}."));
        }
        words
    }
}

fn swap_words(swap: &Swap, units: Units) -> String {
    let what = match &swap.spare {
        Some(spare) => format!("{spare} of the drawer, {} by its file,", swap.into.show(units)),
        None => format!("a new one of {}", swap.into.show(units)),
    };
    let side = swap
        .side
        .map_or(String::new(), |side| format!(" in the {side} pack"));
    format!(
        "{what}{side} for {}, then {}; to bring all back alone it would have to be {}",
        swap.out,
        swap.thickness.show(units),
        swap.whole.show(units)
    )
}

fn signed(length: Length, units: Units) -> String {
    let text = length.show(units);
    if length < Length::ZERO {
        text
    } else {
        format!("+{text}")
    }
}

fn listed(shims: &[Length], units: Units) -> String {
    if shims.is_empty() {
        return "none".to_string();
    }
    let shims: Vec<String> = shims.iter().map(|shim| shim.show(units)).collect();
    shims.join(" + ")
}
