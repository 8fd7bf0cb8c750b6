//! The procedures inside the program.

use super::definition::Procedure;
use crate::document::Faults;
use crate::workshop::language::Language;
use crate::workshop::{Safety, with_library_steps};
use std::sync::LazyLock;

/// A procedure that the program carries.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Stock {
    /// Its id, such as `full-rebuild`.
    pub id: &'static str,
    /// Its file, with the steps of the library that it takes by `use`.
    pub own: &'static str,
    /// Its text as a shop copies it and a build keeps it: every step in full.
    pub text: String,
}

/// The procedures that the program carries.
pub static STOCK: LazyLock<Vec<Stock>> = LazyLock::new(|| {
    [
        ("full-rebuild", include_str!("../../procedures/full-rebuild.toml")),
        (
            "bench-rebuild",
            include_str!("../../procedures/bench-rebuild.toml"),
        ),
        (
            "inspect-plates",
            include_str!("../../procedures/inspect-plates.toml"),
        ),
        ("reshim", include_str!("../../procedures/reshim.toml")),
        ("bench-check", include_str!("../../procedures/bench-check.toml")),
        ("on-car-check", include_str!("../../procedures/on-car-check.toml")),
        (
            "refit-and-run-in",
            include_str!("../../procedures/refit-and-run-in.toml"),
        ),
        ("paper-record", include_str!("../../procedures/paper-record.toml")),
    ]
    .into_iter()
    .map(|(id, own)| Stock {
        id,
        own,
        text: format!("{}{}", head(), with_library_steps(own)),
    })
    .collect()
});

/// The procedure of a drive day, which is of a car and of no unit.
pub const DRIVE_DAY: &str = include_str!("../../procedures/drive-day.toml");

/// The procedure that practice walks, with its steps taken out of the library.
///
/// ```
/// assert!(shimwright::procedure::practice_rebuild().contains("id = \"diagnosis\""));
/// ```
pub fn practice_rebuild() -> String {
    with_library_steps(PRACTICE)
}

const PRACTICE: &str = include_str!("../../procedures/practice.toml");

/// The procedure of a drive day in another language.
pub fn drive_day_in(language: &Language) -> String {
    language.written_out(DRIVE_DAY)
}

/// [`practice_rebuild`] in another language.
pub fn practice_rebuild_in(language: &Language) -> String {
    language.written_out(PRACTICE)
}

/// What stands above each of them.
fn head() -> String {
    format!(
        "# Copy this file and change it for your shop: `shimwright work MY-COPY.toml UNIT.toml`.\n# {}\n",
        Safety::First.words()
    )
}

/// The text of a stock procedure.
pub fn stock(id: &str) -> Option<&'static str> {
    STOCK
        .iter()
        .find(|stock| stock.id == id)
        .map(|stock| stock.text.as_str())
}

/// The text of a stock procedure in another language.
///
/// ```
/// use shimwright::{procedure::stock_in, workshop::language::Language};
/// let german = stock_in("full-rebuild", Language::of("de").unwrap()).unwrap();
/// assert!(german.contains("title = \"Komplettaufbau\""));
/// ```
pub fn stock_in(id: &str, language: &Language) -> Option<String> {
    let stock = STOCK.iter().find(|stock| stock.id == id)?;
    Some(format!("{}{}", head(), language.written_out(stock.own)))
}

/// Reads a stock procedure.
///
/// ```
/// let full = shimwright::procedure::read_stock("full-rebuild").unwrap().unwrap();
/// assert_eq!(full.stages.len(), 15);
/// ```
pub fn read_stock(id: &str) -> Option<Result<Procedure, Faults>> {
    stock(id).map(|source| Procedure::read(&format!("{id} (stock)"), source))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_stock_procedure_is_without_fault() {
        for stock in STOCK.iter() {
            let procedure =
                Procedure::read(stock.id, &stock.text).unwrap_or_else(|faults| panic!("{faults}"));
            assert_eq!(procedure.id, stock.id);
        }
    }

    fn faults(source: &str) -> String {
        let source = format!(
            "format = \"shimwright procedure 1\"\nid = \"x\"\ntitle = \"X\"\npurpose = \"P\"\n[[stage]]\ntitle = \"S\"\n{source}"
        );
        Procedure::read("x.toml", &source).unwrap_err().to_string()
    }

    #[test]
    fn an_empty_list_of_what_is_covered_does_not_close_an_old_record() {
        let source = stock("bench-check").unwrap();
        let step = "kind = \"do\"\nhazards = [\"weight\"]";
        let with = |covers: &str| source.replacen(step, &format!("{step}\ncovers = {covers}"), 1);
        let (empty, full) = (with("[]"), with("[\"weight\"]"));
        assert_ne!(empty, source);
        assert!(Procedure::read("x", &empty).is_err() && Procedure::read_kept("x", &empty).is_ok());
        assert!(Procedure::read_kept("x", &full).is_err());
    }

    const LIFT: &str =
        "[[stage.step]]\nid = \"lift\"\nkind = \"do\"\nwords = \"Jack the car up.\"\nwhy = \"w\"\n";

    #[test]
    fn a_jack_step_without_its_caution_is_refused() {
        let text = faults(LIFT);
        assert!(
            text.contains("x.toml, line 8, at stage.step.id\n    id = \"lift\"\n  \"lift\" needs a caution step before it with covers = [\"lifting\"]"),
            "{text}"
        );
    }

    #[test]
    fn a_caution_for_some_units_only_does_not_cover_a_step_for_all() {
        let caution = "[[stage.step]]\nid = \"c\"\nkind = \"caution\"\ncovers = [\"lifting\"]\nonly = [\"through\"]\nwords = \"w\"\nwhy = \"w\"\n";
        assert!(faults(&format!("{caution}{LIFT}")).contains("needs a caution step before it"));
    }

    #[test]
    fn a_torque_step_without_a_figure_is_refused() {
        let text = faults("[[stage.step]]\nid = \"t\"\nkind = \"tighten\"\nwords = \"w\"\nwhy = \"w\"\n");
        assert!(text.contains("a tighten step needs a figure"), "{text}");
        assert!(text.contains("covers = [\"torque\"]"), "{text}");
    }

    #[test]
    fn a_step_that_uses_what_nothing_filled_in_is_refused() {
        let text = faults(
            "[[stage.step]]\nid = \"t\"\nkind = \"do\"\nneeds = [\"case-depth\", \"plate-thicknes\"]\nwords = \"w\"\nwhy = \"w\"\n",
        );
        assert!(
            text.contains("\"case-depth\" is needed here, but no earlier step fills it in"),
            "{text}"
        );
        assert!(
            text.contains("\"plate-thicknes\" is not known in \"needs\"; did you mean \"plate-thickness\"?"),
            "{text}"
        );
    }

    #[test]
    fn a_caution_can_not_be_skipped() {
        let text = faults(
            "[[stage.step]]\nid = \"c\"\nkind = \"caution\"\ncovers = [\"lifting\"]\nskip = true\nwords = \"w\"\nwhy = \"w\"\n",
        );
        assert!(
            text.contains("a caution is acknowledged, never skipped"),
            "{text}"
        );
    }
}
