//! A build as a whole, as it is summed up for a sheet, for the book and for the next job.

use super::derived::Derived;
use super::job::Job;
use super::plan::{Planned, round_of};
use super::session::Session;
use super::state::State;
use crate::history::Account;
use crate::quantity::Length;
use crate::record::{Build, OnPaper};
use crate::workshop::LastLeft;
use crate::workshop::left_proofs::LeftProof;

/// A build with its plan, as far as it has come.
pub(super) struct Whole<'s> {
    pub job: &'s Job,
    pub state: &'s State,
    pub derived: Derived<'s>,
    /// Every question, answered or not.
    pub plan: Vec<Planned<'s>>,
    /// The last round that has been begun.
    pub round: u32,
}

impl Session {
    pub(super) fn whole(&self) -> Whole<'_> {
        let plan = self.plan();
        Whole {
            job: &self.job,
            state: &self.state,
            derived: self.derived(),
            round: round_of(&plan),
            plan,
        }
    }

    /// Everything that the sheet shows, from the entries so far.
    pub fn build(&self, id: &str, digest: &str) -> Build {
        self.whole().build(id, digest)
    }

    /// What is not as it should be, in words, the questions without an answer aside.
    pub fn open_points(&self) -> Vec<String> {
        self.whole().open_points()
    }

    /// What this build says about its unit, in figures. Nothing is simulated, so it is cheap enough for a whole book.
    pub fn account(&self, id: &str, digest: &str) -> Account {
        self.whole().account(id, digest)
    }

    /// What ties a printed sheet to its record: how far the record goes, and the figures that matter, each in one
    /// fixed unit of measure and with one number of decimals. No simulation is among them.
    pub fn on_paper(&self) -> OnPaper {
        self.whole().on_paper()
    }

    /// What the build left in its unit; `None` where it is not finished, or put nothing together.
    pub fn left(&self, id: &str) -> Option<LastLeft> {
        self.whole().left(id)
    }

    /// What the proof of the build has shown of its unit's friction, and whether new springs came in with it; `None` where it
    /// has shown none. The number of its springs is for who knows the builds before.
    pub fn proof_left(&self, id: &str) -> Option<(LeftProof, bool)> {
        self.whole().proof_left(id)
    }

    /// What the last choice takes out of the drawer: shims that did not come out of the unit, and spare plates.
    pub fn used_from_drawer(&self) -> (Vec<Length>, Vec<String>) {
        self.whole().used_from_drawer()
    }
}
