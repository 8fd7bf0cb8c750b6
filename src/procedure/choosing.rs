//! What is wished of the choice, what it comes to, and a change by hand that has not been taken yet.

use super::definition::FIRST;
use super::derived::Derived;
use super::request::Preferences;
use crate::choice::{Choice, ChoiceError, First, Outcome, choose};
use crate::mechanics::Side;
use crate::quantity::Units;
use crate::record::Chosen;
use std::cell::OnceCell;

/// What the choice came to, or why it could not be asked.
pub(super) type Proposals = Result<Outcome, String>;

/// The choice of plates and shims before it is taken: nothing of it is written down.
pub(super) struct Choosing {
    /// What comes first where nothing is wished.
    usual: First,
    /// What is asked beyond the unit file.
    pub wish: Preferences,
    /// A choice made by hand that has not been taken yet.
    pub(super) draft: Option<Chosen>,
    /// Whether all proposals are shown, or the first three.
    pub all_shown: bool,
    /// The place of the proposal whose packs are drawn, and which a change by hand begins from.
    pub looked_at: usize,
    proposals: OnceCell<Proposals>,
}

impl Choosing {
    /// Nothing is wished and nothing was changed by hand.
    pub fn putting_first(usual: First) -> Choosing {
        Choosing {
            usual,
            wish: Preferences::putting_first(usual),
            draft: None,
            all_shown: false,
            looked_at: 0,
            proposals: OnceCell::new(),
        }
    }

    /// Puts something else first where nothing is wished.
    pub fn put_first(&mut self, usual: First) {
        *self = Choosing::putting_first(usual);
    }

    /// A choice was taken: the next one begins with nothing wished.
    pub fn is_taken(&mut self) {
        self.put_first(self.usual);
    }

    /// The change by hand that has not been taken yet; none where a plate of it can not go in any more, because an answer
    /// before it was put right.
    pub fn draft(&self, derived: &Derived<'_>) -> Option<&Chosen> {
        let draft = self.draft.as_ref()?;
        let mut plates = draft.sides.iter().flat_map(|side| &side.plates);
        (derived.packs_are_whole() || plates.all(|plate| derived.usable(plate).is_ok())).then_some(draft)
    }

    /// What the choice comes to with the answers so far; worked out once between two answers.
    pub fn proposals(&self, derived: &Derived<'_>) -> &Proposals {
        self.proposals.get_or_init(|| {
            let request = derived.request(&self.wish)?;
            choose(&request).map_err(|error: ChoiceError| error.to_string())
        })
    }

    /// Asks for something else.
    pub fn wish_for(&mut self, wish: Preferences) {
        self.wish = wish;
        self.draft = None;
        self.looked_at = 0;
        self.proposals.take();
    }

    /// What was worked out counts no more.
    pub fn work_out_anew(&mut self) {
        self.proposals.take();
    }

    /// What was wished beyond the unit file, in words.
    pub fn wish_words(&self, units: Units) -> Option<String> {
        let wish = &self.wish;
        let mut words = Vec::new();
        if wish.first != self.usual {
            let word = FIRST
                .iter()
                .find(|(first, _)| *first == wish.first)
                .map_or("", |(_, word)| word);
            words.push(format!("{word} first"));
        }
        if wish.keep_in_place {
            words.push("every plate on the side that it ran on".to_string());
        }
        words.extend(
            wish.keep
                .iter()
                .map(|(plate, side)| format!("{plate} stays {side}")),
        );
        words.extend(
            wish.without_shims
                .iter()
                .map(|shim| format!("without {} shims", shim.show(units))),
        );
        words.extend(wish.without_plates.iter().map(|plate| format!("without {plate}")));
        if wish.guarded {
            words.push("windows drawn in by the guard band".to_string());
        }
        (!words.is_empty()).then(|| format!("as wished: {}", words.join(", ")))
    }
}

/// Where plates lie in a choice that lie elsewhere in the first: `G1→right`, `SG2→out`.
pub(super) fn unlike(first: &Choice, other: &Choice) -> Vec<String> {
    let place = |choice: &Choice, name: &String| {
        Side::BOTH
            .into_iter()
            .find(|side| {
                let pick = &choice.sides[side.index()];
                pick.gear.contains(name) || pick.case.contains(name)
            })
            .map_or("out", Side::word)
    };
    let mut names: Vec<&String> = [first, other]
        .into_iter()
        .flat_map(|choice| &choice.sides)
        .flat_map(|side| side.gear.iter().chain(&side.case))
        .collect();
    names.sort();
    names.dedup();
    names
        .into_iter()
        .filter(|name| place(first, name) != place(other, name))
        .map(|name| format!("{name}→{}", place(other, name)))
        .collect()
}
