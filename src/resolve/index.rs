//! What is declared where, and where each name means it: for questions about a collection, not for the model.

use super::Resolver;
use super::load::LoadedFile;
use super::names::declared_by;
use super::scope::Level;
use crate::parse::tree::Decl;
use crate::source::Span;

/// Something that a file declares.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeclaredName {
    /// Its name: `feed`, `M8`, `foot of front-left`.
    pub name: String,
    /// In plain words, with its article: `a circuit`, `a thread`.
    pub kind: &'static str,
    /// The library that declares it, as `use` names it; `None` for the file itself.
    pub library: Option<String>,
    /// Where the name stands.
    pub at: Span,
    /// The whole statement.
    pub statement: Span,
}

/// A place in the text that names something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NamedAt {
    /// The place.
    pub at: Span,
    /// Where the name of what is meant is declared.
    pub means: Span,
}

/// The names of a compilation.
#[derive(Debug, Clone, Default)]
pub struct Index {
    /// Everything that the file and its libraries declare, but for steps.
    pub declared: Vec<DeclaredName>,
    /// Every place that names something, in the order of resolving.
    pub named: Vec<NamedAt>,
}

/// Everything that these files declare.
pub(super) fn declared(files: &[LoadedFile]) -> Vec<DeclaredName> {
    let named = files.iter().filter(|file| file.named);
    named
        .flat_map(|file| {
            file.tree.items.iter().filter_map(move |item| {
                let (name, kind) = match declared_by(&item.node) {
                    Some((name, declared)) => (name, declared.kind()),
                    None => row_of(&item.node)?,
                };
                let library = (file.level != Level::Own).then(|| file.key.clone());
                Some(DeclaredName { name: name.text.clone(), kind, library, at: name.span, statement: item.span })
            })
        })
        .collect()
}

fn row_of(decl: &Decl) -> Option<(&crate::parse::tree::Name, &'static str)> {
    Some(match decl {
        Decl::Thread(row) => (&row.name, "a thread"),
        Decl::Grade(row) => (&row.name, "a grade"),
        Decl::Wire(row) => (&row.name, "a wire"),
        Decl::Washer(row) => (&row.name, "a size of washer"),
        Decl::Screw(row) => (&row.name, "a size of screw"),
        Decl::InsertNut(row) => (&row.name, "a size of insert nut"),
        _ => return None,
    })
}

impl Resolver<'_> {
    /// Notes that a place in the text means what is declared at another.
    pub(super) fn note_use(&mut self, at: Span, means: Span) {
        self.named.push(NamedAt { at, means });
    }
}
