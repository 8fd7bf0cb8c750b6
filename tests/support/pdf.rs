//! What a PDF says of its parts, read by a library that knows nothing of this program.

use lopdf::content::Content;
use lopdf::{Dictionary, Document, Object, ObjectId};
use std::collections::BTreeMap;

/// A part of the tree that is read out, with all words in it.
#[derive(Debug)]
pub struct Part {
    pub kind: String,
    pub alt: String,
    pub scope: String,
    pub words: String,
    pub parts: Vec<Part>,
}

impl Part {
    /// All parts of a kind in it, in the order in which they are read out.
    pub fn all<'a>(&'a self, kind: &str) -> Vec<&'a Part> {
        let inner = self.parts.iter().flat_map(|part| part.all(kind));
        std::iter::once(self)
            .filter(|part| part.kind == kind)
            .chain(inner)
            .collect()
    }
}

/// The words of the marked content of a page, by number; those of what is marked as furniture, or not at all, apart.
pub fn marked(document: &Document, page: ObjectId) -> (BTreeMap<i64, String>, String) {
    let fonts = document.get_page_fonts(page).unwrap();
    let codes: BTreeMap<_, _> = fonts
        .iter()
        .map(|(name, font)| (name.clone(), font.get_font_encoding(document).unwrap()))
        .collect();
    let content = Content::decode(&document.get_page_content(page)).unwrap();
    let (mut by_number, mut furniture) = (BTreeMap::new(), String::new());
    let (mut number, mut font) = (None, Vec::new());
    for op in content.operations {
        match op.operator.as_str() {
            "BDC" => {
                number = Some(
                    op.operands[1]
                        .as_dict()
                        .unwrap()
                        .get(b"MCID")
                        .unwrap()
                        .as_i64()
                        .unwrap(),
                )
            }
            "BMC" | "EMC" => number = None,
            "Tf" => font = op.operands[0].as_name().unwrap().to_vec(),
            "Tj" | "TJ" => {
                let pieces = match &op.operands[0] {
                    Object::Array(all) => all.clone(),
                    one => vec![one.clone()],
                };
                let words: String = pieces
                    .iter()
                    .filter_map(|piece| piece.as_str().ok())
                    .map(|piece| Document::decode_text(&codes[&font], piece).unwrap())
                    .collect();
                match number {
                    Some(number) => by_number
                        .entry(number)
                        .or_insert_with(String::new)
                        .push_str(&words),
                    None => furniture.push_str(&format!("{words}\n")),
                }
            }
            _ => {}
        }
    }
    (by_number, furniture)
}

/// The tree of the parts of a file, and the words of its furniture.
pub fn tree(bytes: &[u8]) -> (Part, String) {
    let document = Document::load_mem(bytes).unwrap();
    let mut words = BTreeMap::new();
    let mut furniture = String::new();
    for page in document.page_iter() {
        let (by_number, beside) = marked(&document, page);
        words.insert(page, by_number);
        furniture.push_str(&beside);
    }
    let root = document
        .catalog()
        .unwrap()
        .get_deref(b"StructTreeRoot", &document)
        .unwrap();
    let whole = kids(root.as_dict().unwrap());
    let whole = document.get_dictionary(whole[0].as_reference().unwrap()).unwrap();
    (part(&document, whole, &words), furniture)
}

fn kids(element: &Dictionary) -> Vec<Object> {
    match element.get(b"K") {
        Ok(Object::Array(all)) => all.clone(),
        Ok(one) => vec![one.clone()],
        Err(_) => Vec::new(),
    }
}

fn part(
    document: &Document,
    element: &Dictionary,
    words: &BTreeMap<ObjectId, BTreeMap<i64, String>>,
) -> Part {
    let name = |key: &[u8]| String::from_utf8(element.get(key).unwrap().as_name().unwrap().to_vec()).unwrap();
    let mut said = String::new();
    let mut parts = Vec::new();
    let content = |page: ObjectId, number: i64| words[&page].get(&number).cloned().unwrap_or_default();
    for kid in kids(element) {
        match kid {
            Object::Integer(number) => {
                said.push_str(&content(
                    element.get(b"Pg").unwrap().as_reference().unwrap(),
                    number,
                ));
            }
            Object::Dictionary(over) => {
                let page = over.get(b"Pg").unwrap().as_reference().unwrap();
                said.push_str(&content(page, over.get(b"MCID").unwrap().as_i64().unwrap()));
            }
            Object::Reference(id) => parts.push(part(document, document.get_dictionary(id).unwrap(), words)),
            other => panic!("{other:?} in the tree"),
        }
    }
    for inner in &parts {
        said.push_str(&inner.words);
    }
    let scope = element
        .get(b"A")
        .and_then(Object::as_dict)
        .and_then(|all| all.get(b"Scope"));
    let alt = element
        .get(b"Alt")
        .and_then(Object::as_str)
        .map(utf16)
        .unwrap_or_default();
    Part {
        kind: name(b"S"),
        alt,
        scope: scope.map_or(String::new(), |scope| {
            String::from_utf8(scope.as_name().unwrap().to_vec()).unwrap()
        }),
        words: said,
        parts,
    }
}

/// A text that has the mark of UTF-16.
pub fn utf16(bytes: &[u8]) -> String {
    let units: Vec<u16> = bytes[2..]
        .chunks(2)
        .map(|two| u16::from_be_bytes([two[0], two[1]]))
        .collect();
    String::from_utf16(&units).unwrap()
}
