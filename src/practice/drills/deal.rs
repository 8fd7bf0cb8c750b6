//! The cards of a run, drawn from a drill and a seed.

use super::card::Card;
use super::drill::Drill;
use crate::metrology::Stream;

/// How many cards a run has.
pub const CARDS: usize = 10;

/// How many draws are made for a run before it is left with what it has; a run takes a score of them.
const MOST_DRAWS: usize = 2_000;

/// The cards of a run, [`CARDS`] of them, no two alike. The same drill and seed deal the same ones.
///
/// ```
/// use shimwright::practice::drills::{CARDS, Drill, deal};
/// let cards = deal(Drill::Zero, 7);
/// assert_eq!(cards.len(), CARDS);
/// assert_eq!(cards, deal(Drill::Zero, 7));
/// assert_ne!(cards, deal(Drill::Zero, 8));
/// ```
pub fn deal(drill: Drill, seed: u64) -> Vec<Card> {
    let number = Drill::ALL.iter().position(|(one, ..)| *one == drill);
    // streams 1 to 4 of a seed are those of the made-up units
    let mut random = Stream::new(seed, 101 + number.unwrap_or_default() as u64);
    let mut cards: Vec<Card> = Vec::new();
    for _ in 0..MOST_DRAWS {
        if cards.len() == CARDS {
            break;
        }
        if let Some(card) = draw(drill, &mut random)
            && !card.gives_itself_away()
            && !cards.iter().any(|other| other.text() == card.text())
        {
            cards.push(card);
        }
    }
    cards
}

/// A card, or none where what was drawn leaves its answer open.
fn draw(drill: Drill, random: &mut Stream) -> Option<Card> {
    match drill {
        Drill::Looks => super::looks::card(random),
        Drill::Read => super::read::card(random),
        Drill::Zero => super::zero::card(random),
        Drill::Held => super::held::card(random),
        Drill::Wrench => super::wrench::card(random),
        Drill::Order => super::order::card(random),
        Drill::Choose => super::choose::card(random),
        Drill::Spring => super::spring::card(random),
        Drill::Cautions => super::cautions::card(random),
    }
}
