//! From what a rule says of a repair to the edits that make it: whole lines, with the file's own indentation and line ends.
//!
//! A rule knows places and no text ([`crate::diagnostics::Mend`]). Here stands how an edit keeps a file's style, and what no edit may touch.

mod acceptance;
mod layout;

use std::collections::BTreeMap;

use crate::diagnostics::{Change, Confidence, Edit, Finding, Fix, Mend};
use crate::source::{FileId, Sources, Span};
use layout::Layout;

/// Works out the edits of all findings, and offers to accept what can be accepted. What can't be made of the text as it stands
/// is left out.
pub fn work_out(findings: &mut [Finding], sources: &Sources) {
    let mut layouts: BTreeMap<FileId, Layout<'_>> = BTreeMap::new();
    for finding in findings {
        let mends = std::mem::take(&mut finding.mends);
        for mend in mends.into_iter().chain(acceptance::mend(finding)) {
            if let Some(fix) = fix(&mend, sources, &mut layouts)
                && !finding.fixes.iter().any(|known| known.edits == fix.edits)
            {
                finding.fixes.push(fix);
            }
        }
    }
}

/// A mend as a fix. One that would be made unseen in a place where a person has to look is only offered.
fn fix<'t>(mend: &Mend, sources: &'t Sources, layouts: &mut BTreeMap<FileId, Layout<'t>>) -> Option<Fix> {
    let offered = || (mend.confidence == Confidence::Safe).then_some(Confidence::Look);
    let (confidence, mut edits) = match edits(mend, mend.confidence, sources, layouts) {
        Some(edits) => (mend.confidence, edits),
        None => offered().and_then(|less| Some((less, edits(mend, less, sources, layouts)?)))?,
    };
    edits.sort();
    let apart = edits.windows(2).all(|pair| match pair {
        [one, next] => one.span.file != next.span.file || one.span.end <= next.span.start,
        _ => true,
    });
    (apart && !edits.is_empty()).then(|| Fix { title: mend.title.clone(), confidence, edits })
}

fn edits<'t>(
    mend: &Mend,
    confidence: Confidence,
    sources: &'t Sources,
    layouts: &mut BTreeMap<FileId, Layout<'t>>,
) -> Option<Vec<Edit>> {
    let mut edits: Vec<Edit> = Vec::new();
    for change in &mend.changes {
        let file = change.file()?.whole();
        let source = sources.get(file).filter(|source| !source.name.starts_with("std/"))?;
        let layout = layouts.entry(file).or_insert_with(|| Layout::of(file, &source.text));
        edits.extend(made(change, confidence, layout)?);
    }
    Some(edits)
}

/// The edits of one change; `None` where it can't be made, or would change what is for a person.
fn made(change: &Change, confidence: Confidence, layout: &Layout<'_>) -> Option<Vec<Edit>> {
    let edits = match change {
        Change::Write(span, text) => vec![layout.edit(span.start as usize, span.end as usize, text.clone())?],
        Change::Word(span, from, to) => {
            let at = layout.word(*span, from)?;
            vec![layout.edit(at, at + from.len(), to.clone())?]
        }
        Change::InBlock(span, from, to) => vec![layout.in_block(span.start, from, to)?],
        Change::At(span, first) => vec![layout.points(span.start, first)?],
        Change::Append(span, text) => vec![layout.append(span.start, text)?],
        Change::Sentence(span, text) => vec![layout.sentence(*span, text)?],
        Change::Note(span, word) => vec![layout.note(*span, word)?],
        Change::Accept(span, line, of_a_list) => vec![layout.accept(span.start, line, of_a_list)?],
        Change::Cut(span) => vec![layout.cut(span.start as usize, span.end as usize)?],
        Change::Line(span, text) => vec![layout.line(span.start, text)?],
        Change::Drop(span) => vec![layout.drop(span.start)?],
        Change::DropEntry(span) => vec![layout.drop_entry(*span)?],
        Change::Before(span, text) => vec![layout.before(span.start, text)?],
        Change::After(span, text) => vec![layout.after(span.start, text)?],
        Change::Inside(span, text) => vec![layout.inside(span.start, text)?],
        Change::Declare(_, text) => vec![layout.declare(text)?],
        Change::InStepBefore(span, text) => vec![layout.in_step_before(span.start, text)?],
        Change::Move(what, to) if what.file.whole() == to.file.whole() => layout.moved(what.start, to.start)?,
        Change::CopyAfter(at, from) if at.file.whole() == from.file.whole() => {
            vec![layout.after(at.start, &layout.words(from.start)?)?]
        }
        Change::Move(..) | Change::CopyAfter(..) => return None,
        Change::Under(at, condition) if at.file.whole() == condition.file.whole() => {
            vec![layout.under(at.start, *condition)?]
        }
        Change::Under(..) => return None,
        Change::DropCondition(span) => vec![layout.drop_condition(*span)?],
    };
    // A statement that is moved stands there in the same words.
    let is_moved = matches!(change, Change::Move(..));
    let is_free = |edit: &Edit| is_moved && confidence != Confidence::Safe || !is_kept(edit, confidence, layout);
    edits.iter().all(is_free).then_some(edits)
}

/// Whether an edit would change what a torque, a limit or a safety message says. A safe one also takes none out, makes none of
/// a misspelt line, and leaves alone what else holds a value that something is judged by.
fn is_kept(edit: &Edit, confidence: Confidence, layout: &Layout<'_>) -> bool {
    let Span { start, end, .. } = edit.span;
    let unseen = confidence == Confidence::Safe;
    if unseen
        && (layout.is_inside_judged(start, end) || layout.holds_kept(start, end) || layout.is_word_of_kept(&edit.text))
    {
        return true;
    }
    start != end && layout.is_inside_kept(start, end)
}
