//! The known word that a slip of the pen meant.

use strsim::osa_distance;

/// The known word that is fewest letters away from `text`, where that is near enough to be a slip; two letters that changed
/// places are one.
///
/// ```
/// use shimwright::document::nearest;
/// assert_eq!(nearest("thickess", &["thickness", "name"]), Some("thickness"));
/// assert_eq!(nearest("moor-raer", &["moor-car", "moor-rear"]), Some("moor-rear"));
/// assert_eq!(nearest("colour", &["thickness", "name"]), None);
/// ```
pub fn nearest<'k>(text: &str, known: &[&'k str]) -> Option<&'k str> {
    let text: String = text.to_lowercase().chars().take(64).collect();
    known
        .iter()
        .map(|word| (osa_distance(&text, &word.to_lowercase()), *word))
        .filter(|(distance, word)| *distance <= 1 + word.chars().count() / 4)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, word)| word)
}
