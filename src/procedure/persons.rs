//! Who may sign: the builder gave answers, the second person gave none.

use super::ask::Refusal;
use super::facts::Facts;
use super::typed::no;

/// A name as it is compared: capitals, spaces and signs make nobody another person.
fn compared(name: &str) -> String {
    name.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

impl Facts<'_> {
    /// The names that stand under answers, the builder's signature among them.
    fn hands(&self) -> Vec<&str> {
        let answers = self.state.answers.values().map(|answer| answer.by.as_str());
        let skipped = self.state.skipped.values().map(|(_, by, ..)| by.as_str());
        let mut hands: Vec<&str> = answers.chain(skipped).filter(|by| !by.is_empty()).collect();
        hands.sort_unstable();
        hands.dedup();
        hands
    }

    fn hand_of(&self, name: &str) -> Option<&str> {
        let name = compared(name);
        self.hands().into_iter().find(|hand| compared(hand) == name)
    }

    /// Refuses a second signature by somebody who did the work.
    pub(super) fn second_person(&self, name: &str) -> Result<(), Refusal> {
        match self.hand_of(name) {
            None => Ok(()),
            Some(hand) => no(format!(
                "{hand} did the work or signed for it: a second person is somebody else; with nobody else there, leave \
                 it out with the reason"
            )),
        }
    }

    /// Why it is odd that this person signs for the work. Who copies an old paper did not do it.
    pub(super) fn odd_builder(&self, name: &str) -> Option<String> {
        if self.job.copies_paper() || self.hand_of(name).is_some() || self.hands().is_empty() {
            return None;
        }
        Some(format!(
            "{name} gave no answer in this build; {} did",
            self.hands().join(" and ")
        ))
    }
}
