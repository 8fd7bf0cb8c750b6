//! The heads of a sheet as the outline that a reader shows beside it (ISO 32000-2, 12.3.3).

use super::error::{SheetError, failed};
use super::pdf_values::utf16;
use lopdf::{Dictionary, Document, Object, ObjectId, dictionary};

/// From so many pages on a reader shows the outline without being asked.
const LONG: usize = 3;

/// A head, and where it stands.
pub(super) struct Place {
    /// The page, from 0.
    pub page: usize,
    /// The upper edge of its words in points from the foot of the page.
    pub top: f32,
    pub words: String,
}

/// Writes the outline into a file whose pages these are; nothing where there are no heads.
pub(super) fn write<'a>(
    file: &mut Document,
    pages: &[ObjectId],
    heads: impl Iterator<Item = &'a Place>,
) -> Result<(), SheetError> {
    let heads: Vec<&Place> = heads.collect();
    let ids: Vec<ObjectId> = heads.iter().map(|_| file.new_object_id()).collect();
    let (Some(first), Some(last)) = (ids.first(), ids.last()) else {
        return Ok(());
    };
    let whole = file.add_object(dictionary! {
        "First" => *first, "Last" => *last, "Count" => heads.len() as i64,
    });
    for (n, (head, id)) in heads.iter().zip(&ids).enumerate() {
        let page = pages
            .get(head.page)
            .ok_or_else(|| failed("a head is on no page"))?;
        let place: Vec<Object> = vec![
            (*page).into(),
            "XYZ".into(),
            Object::Null,
            head.top.into(),
            Object::Null,
        ];
        let mut entry: Dictionary = dictionary! {
            "Title" => utf16(head.words.trim_end()), "Parent" => whole, "Dest" => place,
        };
        if let Some(before) = n.checked_sub(1).and_then(|before| ids.get(before)) {
            entry.set("Prev", *before);
        }
        if let Some(next) = ids.get(n + 1) {
            entry.set("Next", *next);
        }
        file.objects.insert(*id, entry.into());
    }
    let catalog = file.catalog_mut().map_err(failed)?;
    catalog.set("Outlines", whole);
    if pages.len() >= LONG {
        catalog.set("PageMode", "UseOutlines");
    }
    Ok(())
}
