//! What every sheet made from a procedure has in common: what it belongs to, its style, its running headers.
//!
//! A *chapter* is a run of pages of one name. Its name stands in the running header, and it begins on a new page.

use serde::Serialize;

use super::face::FAMILY;
use super::templates::SHEET_STYLE;
use super::text::css_string;
use super::{COMPILER_VERSION, tailored};
use crate::model::Procedure;

/// How many characters of a digest stand on paper.
const SHORT_DIGEST: usize = 12;
/// How many characters of a title, or of whom a sheet is for, stand in a running header.
const SHORT_LINE: usize = 90;

/// The members that `site/templates/parts/sheet.html` names.
#[derive(Serialize)]
pub(super) struct Sheet {
    title: String,
    id: String,
    revision: Option<RevisionView>,
    digest: String,
    compiler: &'static str,
    fitted_for: Option<tailored::ForView>,
    style: String,
}

/// `C` and its date.
#[derive(Serialize)]
struct RevisionView {
    mark: String,
    date: String,
}

/// A run of pages with a name of its own in the running header.
#[derive(Serialize, Clone)]
pub(super) struct Chapter {
    /// Its name in the style sheet.
    pub(super) page: String,
    /// What the header says.
    pub(super) title: String,
}

impl Sheet {
    /// For a procedure whose sources have that digest. `styles` come after the style of all sheets.
    pub(super) fn of(procedure: &Procedure, digest: &str, styles: &[&str], chapters: &[Chapter]) -> Self {
        let revision = procedure.revision.as_ref();
        let pages = page_style(procedure, digest, chapters);
        Sheet {
            title: procedure.name.title.clone(),
            id: procedure.name.id.clone(),
            revision: revision.map(|at| RevisionView { mark: at.mark.clone(), date: at.date.clone() }),
            digest: short(digest),
            compiler: COMPILER_VERSION,
            fitted_for: tailored::block(procedure),
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

/// The running headers: every page says what it belongs to. Browsers without page margin boxes leave them out; nothing
/// stands only there.
fn page_style(procedure: &Procedure, digest: &str, chapters: &[Chapter]) -> String {
    let revision = procedure.revision.as_ref();
    let mark = revision.map_or_else(|| "no revision stated".to_owned(), |r| format!("Revision {}, {}", r.mark, r.date));
    let foot = css_string(&format!("{} · {mark} · source {}", procedure.name.id, short(digest)));
    let for_whom = tailored::line(procedure).map_or_else(String::new, |line| format!(". {line}"));
    let title = css_string(&shortened(&format!("{}{for_whom}", procedure.name.title)));
    let font = format!("font: 8pt {FAMILY}; color: #525c64;");
    let mut style = format!(
        "@page {{\n  @top-left {{ content: {title}; {font} width: 60%; }}\n  @bottom-left {{ content: {foot}; {font} width: 75%; }}\n  \
         @bottom-right {{ content: \"Page \" counter(page) \" of \" counter(pages); {font} }}\n}}\n"
    );
    for chapter in chapters {
        let title = css_string(&shortened(&chapter.title));
        style.push_str(&format!(
            "@page {} {{ @top-right {{ content: {title}; {font} font-weight: 700; }} }}\n",
            chapter.page
        ));
    }
    let first = chapters.first().map_or("", |chapter| chapter.page.as_str());
    // The first page has its title in full.
    style.push_str(&format!(
        "@page {first}:first {{ @top-left {{ content: none; }} @top-right {{ content: none; }} }}\n"
    ));
    style
}
