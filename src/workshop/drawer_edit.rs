//! A drawer's file with what was used taken out of it.

use super::drawer::Drawer;
use crate::document::{Fault, Faults, too_much};
use crate::quantity::{Length, parse};
use toml_edit::{DocumentMut, Item, Value};

/// A drawer file with what was used taken out of it, comments and layout kept.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LessUsed {
    /// The new text.
    pub text: String,
    /// What was taken out, in words.
    pub taken: Vec<String>,
    /// What could not be taken out because it is not there any more, in words.
    pub missing: Vec<String>,
}

/// Takes shims and spare plates out of the text of a drawer file.
///
/// Shims are counted down and stay listed with a count of 0; spare plates leave the file. The order, the comments and
/// the line ends of the file stay.
///
/// ```
/// use shimwright::quantity::Length;
/// use shimwright::workshop::take_from_drawer;
/// let drawer = "[[shim]]\nthickness = \"0.30 mm\" # new ones\ncount = 4 # in the box\n";
/// let less = take_from_drawer("drawer.toml", drawer, &[Length::from_um(300)], &[])?;
/// assert_eq!(less.text, "[[shim]]\nthickness = \"0.30 mm\" # new ones\ncount = 3 # in the box\n");
/// # Ok::<(), shimwright::document::Faults>(())
/// ```
///
/// # Errors
///
/// [`Faults`]: a text that is no drawer, a shim or a spare plate that it does not have.
pub fn take_from_drawer(
    file: &str,
    source: &str,
    shims: &[Length],
    spares: &[String],
) -> Result<LessUsed, Faults> {
    if let Some(fault) = too_much(source) {
        return Err(Faults {
            file: file.to_string(),
            source: source.to_string(),
            faults: vec![fault],
        });
    }
    let mut document = parsed(file, source)?;
    let (mut taken, mut missing) = (Vec::new(), Vec::new());
    for shim in shims {
        if count_down(&mut document, *shim) {
            taken.push(shim.to_string());
        } else {
            missing.push(format!("a shim of {shim}"));
        }
    }
    for spare in spares {
        let Some(tables) = document.get_mut("spare").and_then(Item::as_array_of_tables_mut) else {
            missing.push(format!("spare plate {spare}"));
            continue;
        };
        let at = tables
            .iter()
            .position(|table| table.get("name").and_then(Item::as_str) == Some(spare));
        match at {
            Some(at) => {
                tables.remove(at);
                taken.push(spare.clone());
            }
            None => missing.push(format!("spare plate {spare}")),
        }
    }
    let mut text = document.to_string();
    if source.contains("\r\n") {
        text = text.replace("\r\n", "\n").replace('\n', "\r\n");
    }
    Ok(LessUsed { text, taken, missing })
}

impl Drawer {
    /// What is in this drawer and in its file no longer, in words: spare plates by their names, shims by how many fewer there are.
    ///
    /// ```
    /// use shimwright::workshop::Drawer;
    /// let then = Drawer::default().with("[[shim]]\nthickness = \"0.25 mm\"\ncount = 2\n").unwrap();
    /// let now = "format = \"shimwright drawer 1\"\n[[shim]]\nthickness = \"0.25 mm\"\ncount = 1\n";
    /// assert_eq!(then.gone_from("drawer.toml", now)?, ["1 of the shims of 0.250 mm"]);
    /// assert!(Drawer::default().gone_from("drawer.toml", now)?.is_empty());
    /// # Ok::<(), shimwright::document::Faults>(())
    /// ```
    ///
    /// # Errors
    ///
    /// Every fault of the drawer's file.
    pub fn gone_from(&self, file: &str, source: &str) -> Result<Vec<String>, Faults> {
        let now = Drawer::read_kept(file, source)?;
        let has = |name: &str| now.spares.iter().any(|there| there.name == name);
        let spares = self.spares.iter().filter(|spare| !has(&spare.name));
        let there = |thickness: Length| -> u32 {
            let same = now.shims.iter().filter(|(there, _)| *there == thickness);
            same.map(|(_, count)| *count).sum()
        };
        let shims = self.shims.iter().filter_map(|(thickness, count)| {
            let fewer = count.saturating_sub(there(*thickness));
            (fewer > 0).then(|| format!("{fewer} of the shims of {thickness}"))
        });
        Ok(spares.map(|spare| spare.name.clone()).chain(shims).collect())
    }
}

/// The rows of a drawer's file that another drawer does not have: spare plates of other names, and shims as many as there
/// are more of. Comments stay; nothing where there is no more.
///
/// ```
/// use shimwright::workshop::{Drawer, rows_beyond};
/// let then = Drawer::default().with("[[shim]]\nthickness = \"0.25 mm\"\ncount = 1\n").unwrap();
/// let now = "format = \"shimwright drawer 1\"\n[[shim]]\nthickness = \"0.25 mm\"\ncount = 3\n";
/// let rows = rows_beyond("drawer.toml", now, &then)?.unwrap();
/// assert_eq!(then.with(&rows).unwrap().shims[0].1, 3);
/// assert_eq!(rows_beyond("drawer.toml", now, &then.with(&rows).unwrap())?, None);
/// # Ok::<(), shimwright::document::Faults>(())
/// ```
///
/// # Errors
/// Every fault of the drawer's file.
pub fn rows_beyond(file: &str, source: &str, known: &Drawer) -> Result<Option<String>, Faults> {
    Drawer::read_kept(file, source)?;
    let mut document: DocumentMut = parsed(file, source)?;
    let mut any = false;
    if let Some(tables) = document.get_mut("spare").and_then(Item::as_array_of_tables_mut) {
        tables.retain(|table| {
            let name = table.get("name").and_then(Item::as_str);
            !known.spares.iter().any(|spare| Some(spare.name.as_str()) == name)
        });
        any |= !tables.is_empty();
    }
    if let Some(tables) = document.get_mut("shim").and_then(Item::as_array_of_tables_mut) {
        for table in tables.iter_mut() {
            let thickness = table
                .get("thickness")
                .and_then(Item::as_str)
                .and_then(|text| parse::<Length>(text).ok());
            let there = known
                .shims
                .iter()
                .find(|(known, _)| Some(*known) == thickness)
                .map_or(0, |(_, count)| i64::from(*count));
            if let Some(value) = table.get_mut("count").and_then(Item::as_value_mut) {
                let more = value.as_integer().map_or(0, |count| (count - there).max(0));
                *value = Value::from(more);
            }
        }
        tables.retain(|table| table.get("count").and_then(Item::as_integer) != Some(0));
        any |= !tables.is_empty();
    }
    document.remove("format");
    Ok(any.then(|| document.to_string()))
}

fn parsed(file: &str, source: &str) -> Result<DocumentMut, Faults> {
    source.parse().map_err(|error: toml_edit::TomlError| Faults {
        file: file.to_string(),
        source: source.to_string(),
        faults: vec![Fault {
            rule: "sense",
            span: error.span().unwrap_or(0..0),
            message: error.message().to_string(),
        }],
    })
}

/// Takes one shim off a count; says whether there was one.
fn count_down(document: &mut DocumentMut, shim: Length) -> bool {
    let Some(tables) = document.get_mut("shim").and_then(Item::as_array_of_tables_mut) else {
        return false;
    };
    for table in tables.iter_mut() {
        let thickness = table
            .get("thickness")
            .and_then(Item::as_str)
            .and_then(|text| parse::<Length>(text).ok());
        if thickness != Some(shim) {
            continue;
        }
        let Some(value) = table.get_mut("count").and_then(Item::as_value_mut) else {
            return false;
        };
        let Some(count) = value.as_integer().filter(|count| *count > 0) else {
            return false;
        };
        // a fresh value would lose the space and the comment around the old one
        let around = value.decor().clone();
        *value = Value::from(count - 1);
        *value.decor_mut() = around;
        return true;
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    const DRAWER: &str = "# my drawer\nformat = \"shimwright drawer 1\"\n\n[[shim]]\nthickness = \"0.10 mm\"\ncount = 1\n\n# the good ones\n[[spare]]\nname = \"S1\" # new\nkeyed = \"gear\"\nthickness = \"2.00 mm\"\n\n[[spare]]\nname = \"S2\"\nkeyed = \"gear\"\nthickness = \"2.00 mm\"\n";

    #[test]
    fn what_was_used_leaves_the_drawer_and_the_rest_stays_as_it_was() {
        let less = take_from_drawer("d", DRAWER, &[Length::from_um(100)], &["S2".to_string()]).unwrap();
        assert!(less.missing.is_empty());
        assert!(less.text.starts_with("# my drawer\n"));
        assert!(less.text.contains("count = 0"));
        assert!(
            less.text
                .contains("# the good ones\n[[spare]]\nname = \"S1\" # new")
        );
        assert!(!less.text.contains("S2"));
    }

    #[test]
    fn what_is_not_there_is_told_and_nothing_goes_below_none() {
        let twice = [Length::from_um(100), Length::from_um(100)];
        let less = take_from_drawer("d", DRAWER, &twice, &["S9".to_string()]).unwrap();
        assert_eq!(less.missing, ["a shim of 0.100 mm", "spare plate S9"]);
        assert!(less.text.contains("count = 0"));
    }

    #[test]
    fn line_ends_of_another_system_stay() {
        let source = DRAWER.replace('\n', "\r\n");
        let less = take_from_drawer("d", &source, &[Length::from_um(100)], &[]).unwrap();
        assert_eq!(less.text.matches('\n').count(), less.text.matches("\r\n").count());
    }
}
