//! What comes nearest when nothing fits, and what to get.

use super::error::ChoiceError;
use super::problem::Problem;
use super::ranking::Slack;
use super::request::{Choice, Miss};
use crate::quantity::Length;

/// The nearest miss of a problem that has no admissible choice.
pub(super) fn miss(problem: &Problem) -> Result<Miss, ChoiceError> {
    let short_by = least_slack(problem, Slack::all);
    let nearest = nearest(problem, Slack::all(short_by))?;
    let stacks = [0, 1].map(|side: usize| nearest.heights[side].nm() - problem.frame.height(side, 0));
    let weighed = problem.frame.weigh(stacks);
    Ok(Miss {
        nearest,
        short_by: Length::from_nm(weighed.short_by),
        side: weighed.side,
        order: Vec::new(),
    })
}

/// The least slack of one kind that makes a choice possible.
fn least_slack(problem: &Problem, kind: impl Fn(i64) -> Slack) -> i64 {
    let (mut fails, mut works) = (0, 1_000);
    while !problem.is_possible(kind(works)) {
        (fails, works) = (works, works * 4);
    }
    while fails + 1 < works {
        let middle = fails + (works - fails) / 2;
        if problem.is_possible(kind(middle)) {
            works = middle;
        } else {
            fails = middle;
        }
    }
    works
}

fn nearest(problem: &Problem, slack: Slack) -> Result<Choice, ChoiceError> {
    let mut best = problem.best(slack, 1)?;
    best.pop().ok_or(ChoiceError::NothingNeeded)
}
