//! What every sheet made from a procedure has in common: what it belongs to, its style, its running headers.

use serde::Serialize;

use crate::emit::COMPILER_VERSION;
use crate::emit::face::FAMILY;
use crate::emit::phrase::fitting;
use crate::emit::templates::SHEET_STYLE;
use crate::emit::text::css_string;
use crate::labels::{Piece, fill, pieces, spoken};
use crate::model::Procedure;

/// How many characters of a digest stand on paper.
const SHORT_DIGEST: usize = 12;
/// How many characters of a title, or of whom a sheet is for, stand in a running header.
const SHORT_LINE: usize = 110;

/// The members that `site/templates/parts/sheet.html` names.
#[derive(Serialize)]
pub(super) struct Sheet {
    title: String,
    /// Of the writer's texts, which are most of a sheet.
    language: String,
    id: String,
    revision: Option<RevisionView>,
    digest: String,
    compiler: &'static str,
    fitted_for: Option<fitting::ForView>,
    style: String,
}

/// `C` and its date.
#[derive(Serialize)]
struct RevisionView {
    mark: String,
    date: String,
}

impl Sheet {
    /// For a procedure whose sources have that digest. `styles` come after the style of all sheets.
    pub(super) fn of(procedure: &Procedure, digest: &str, styles: &[&str]) -> Self {
        let revision = procedure.revision.as_ref();
        let pages = page_style(procedure, digest);
        Sheet {
            title: procedure.name.title.clone(),
            language: procedure.language.as_ref().map_or("en", |language| &language.tag).to_owned(),
            id: procedure.name.id.clone(),
            revision: revision.map(|at| RevisionView { mark: at.mark.clone(), date: at.date.clone() }),
            digest: short(digest),
            compiler: COMPILER_VERSION,
            fitted_for: fitting::block(procedure),
            style: std::iter::once(SHEET_STYLE)
                .chain(styles.iter().copied())
                .chain([pages.as_str()])
                .collect::<Vec<_>>()
                .join("\n"),
        }
    }
}

/// The start of a digest, for paper.
fn short(digest: &str) -> String {
    digest.chars().take(SHORT_DIGEST).collect()
}

/// Cut where a word ends, with a mark that says so.
fn shortened(line: &str) -> String {
    if line.chars().count() <= SHORT_LINE {
        return line.to_owned();
    }
    let start: String = line.chars().take(SHORT_LINE).collect();
    let whole_words = start.rsplit_once(' ').map_or(start.as_str(), |(words, _)| words);
    format!("{} …", whole_words.trim_end_matches([';', ',']))
}

/// Number of the page and how many there are, which only the browser knows.
fn page_of() -> String {
    let piece = |piece: Piece<'_>| match piece {
        Piece::Text(text) => css_string(text),
        Piece::Place("n") => "counter(page)".to_owned(),
        Piece::Place(_) => "counter(pages)".to_owned(),
    };
    pieces(spoken().sheet.page_of).into_iter().map(piece).collect::<Vec<_>>().join(" ")
}

/// The running headers: every page says what it belongs to. Browsers without page margin boxes leave them out; nothing
/// stands only there.
fn page_style(procedure: &Procedure, digest: &str) -> String {
    let revision = procedure.revision.as_ref();
    let mark = revision.map_or_else(
        || spoken().sheet.no_revision.to_owned(),
        |r| format!("{}, {}", fill(spoken().sheet.revision_mark, &[("mark", &r.mark)]), r.date),
    );
    let source = fill(spoken().sheet.source, &[("digest", &short(digest))]);
    let foot = css_string(&format!("{} · {mark} · {source}", procedure.name.id));
    let for_whom = fitting::line(procedure).map_or_else(String::new, |line| format!(". {line}"));
    let title = css_string(&shortened(&format!("{}{for_whom}", procedure.name.title)));
    let page = page_of();
    let font = format!("font: 8pt {FAMILY}; color: #525c64;");
    // The first page has its title in full.
    format!(
        "@page {{\n  @top-left {{ content: {title}; {font} width: 100%; }}\n  @bottom-left {{ content: {foot}; {font} width: 75%; }}\n  \
         @bottom-right {{ content: {page}; {font} }}\n}}\n\
         @page :first {{ @top-left {{ content: none; }} }}\n"
    )
}
