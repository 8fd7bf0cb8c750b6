//! The order in which a sheet is read out, as a tree of the parts of its pages (ISO 32000-2, 14.7).

use super::error::{SheetError, failed};
use super::outline::Place;
use super::pdf_values::utf16;
use super::tags::{Role, Tag};
use lopdf::{Dictionary, Document, Object, ObjectId, dictionary};
use std::collections::HashMap;

/// A part, and what it holds in the order in which it came.
struct Node {
    role: Role,
    /// `None` where it stands by itself.
    within: Option<usize>,
    holds: Vec<Held>,
}

enum Held {
    Part(usize),
    /// Marked content of a page, by its number on the page.
    Content {
        page: usize,
        number: usize,
    },
}

/// The parts of all pages so far.
#[derive(Default)]
pub(super) struct Tree {
    nodes: Vec<Node>,
    by_key: HashMap<usize, usize>,
    /// The parts that stand by themselves.
    outermost: Vec<usize>,
    /// The part of each marked content, page by page.
    pages: Vec<Vec<usize>>,
    /// The heads of sections, each with its part.
    heads: Vec<(usize, Place)>,
}

impl Tree {
    /// Begins a page.
    pub fn turn(&mut self) {
        self.pages.push(Vec::new());
    }

    /// The number of a part, which takes its place where it is met first.
    pub fn node(&mut self, tag: &Tag) -> usize {
        if let Some(known) = self.by_key.get(&tag.key()) {
            return *known;
        }
        let within = tag.within().map(|outer| self.node(outer));
        let number = self.nodes.len();
        self.nodes.push(Node {
            role: tag.role().clone(),
            within,
            holds: Vec::new(),
        });
        match within.and_then(|outer| self.nodes.get_mut(outer)) {
            Some(outer) => outer.holds.push(Held::Part(number)),
            None => self.outermost.push(number),
        }
        self.by_key.insert(tag.key(), number);
        number
    }

    /// The name of a part's kind.
    pub fn kind(&self, node: usize) -> &'static str {
        self.nodes.get(node).map_or("P", |node| kind(&node.role))
    }

    /// Whether lines and areas belong to a part too, and are no mere furniture.
    pub fn is_drawn(&self, node: usize) -> bool {
        matches!(self.nodes.get(node).map(|node| &node.role), Some(Role::Figure(_)))
    }

    /// The number that the next marked content of a part has on the page that was begun last.
    pub fn content(&mut self, node: usize) -> i64 {
        let page = self.pages.len().saturating_sub(1);
        let Some(on_page) = self.pages.last_mut() else {
            return 0;
        };
        let number = on_page.len();
        on_page.push(node);
        if let Some(node) = self.nodes.get_mut(node) {
            node.holds.push(Held::Content { page, number });
        }
        number as i64
    }

    /// Notes words of a part that is a head; `top` is where they stand, in points from the foot of the page begun last.
    pub fn says(&mut self, node: usize, words: &str, top: f32) {
        if !matches!(self.nodes.get(node).map(|node| &node.role), Some(Role::Head)) {
            return;
        }
        match self.heads.last_mut() {
            Some((last, place)) if *last == node => place.words.push_str(words),
            _ => self.heads.push((
                node,
                Place {
                    page: self.pages.len().saturating_sub(1),
                    top,
                    words: words.to_string(),
                },
            )),
        }
    }

    /// The heads of sections in their order.
    pub fn heads(&self) -> impl Iterator<Item = &Place> {
        self.heads.iter().map(|(_, place)| place)
    }

    /// Writes the tree into a file whose pages these are, and sets what leads to it.
    pub fn write(&self, file: &mut Document, pages: &[ObjectId]) -> Result<(), SheetError> {
        let root = file.new_object_id();
        let whole = file.new_object_id();
        let ids: Vec<ObjectId> = self.nodes.iter().map(|_| file.new_object_id()).collect();
        for (node, id) in self.nodes.iter().zip(&ids) {
            let element = element(node, whole, &ids, pages);
            file.objects.insert(*id, element.into());
        }
        let all: Vec<Object> = self.outermost.iter().map(|node| ids[*node].into()).collect();
        let document = dictionary! { "S" => "Document", "P" => root, "K" => all };
        file.objects.insert(whole, document.into());
        let mut numbers: Vec<Object> = Vec::new();
        for (n, (on_page, id)) in self.pages.iter().zip(pages).enumerate() {
            let parts: Vec<Object> = on_page.iter().map(|node| ids[*node].into()).collect();
            numbers.extend([(n as i64).into(), parts.into()]);
            let page = file
                .get_object_mut(*id)
                .and_then(Object::as_dict_mut)
                .map_err(failed)?;
            page.set("StructParents", n as i64);
            page.set("Tabs", "S");
        }
        let tree = dictionary! {
            "Type" => "StructTreeRoot",
            "K" => vec![whole.into()],
            "ParentTree" => dictionary! { "Nums" => numbers },
            "ParentTreeNextKey" => pages.len() as i64,
        };
        file.objects.insert(root, tree.into());
        let catalog = file.catalog_mut().map_err(failed)?;
        catalog.set("StructTreeRoot", root);
        catalog.set("MarkInfo", dictionary! { "Marked" => true });
        Ok(())
    }
}

/// The name of the kind of a part.
fn kind(role: &Role) -> &'static str {
    match role {
        Role::Title => "H1",
        Role::Head => "H2",
        Role::Paragraph => "P",
        Role::Table => "Table",
        Role::Row => "TR",
        Role::ColumnHead | Role::RowHead => "TH",
        Role::Cell => "TD",
        Role::Figure(_) => "Figure",
    }
}

fn element(node: &Node, whole: ObjectId, ids: &[ObjectId], pages: &[ObjectId]) -> Dictionary {
    let outer = node.within.map_or(whole, |outer| ids[outer]);
    let mut element = dictionary! { "S" => kind(&node.role), "P" => outer };
    let home = node.holds.iter().find_map(|held| match held {
        Held::Content { page, .. } => Some(*page),
        Held::Part(_) => None,
    });
    let mut holds: Vec<Object> = node
        .holds
        .iter()
        .map(|held| match held {
            Held::Part(part) => ids[*part].into(),
            Held::Content { page, number } if Some(*page) == home => (*number as i64).into(),
            // it goes on over a page
            Held::Content { page, number } => dictionary! {
                "Type" => "MCR", "Pg" => pages[*page], "MCID" => *number as i64,
            }
            .into(),
        })
        .collect();
    if let Some(page) = home {
        element.set("Pg", pages[page]);
    }
    match (holds.len(), holds.pop()) {
        (1, Some(only)) => element.set("K", only),
        (_, Some(last)) => {
            holds.push(last);
            element.set("K", holds);
        }
        _ => {}
    }
    let scope = |scope: &str| dictionary! { "O" => "Table", "Scope" => scope };
    match &node.role {
        Role::ColumnHead => element.set("A", scope("Column")),
        Role::RowHead => element.set("A", scope("Row")),
        Role::Figure(words) => element.set("Alt", utf16(words)),
        _ => {}
    }
    element
}
