//! The lines of a finding, made fit to be shown.
//!
//! An *excerpt* is a small text of its own: only the lines that carry a label and their neighbours, with tabs
//! widened, what cannot be seen written out, and long lines cut. Each label keeps its place in the excerpt and its
//! position in the source. Making one costs the same wherever in a file the lines stand.

use std::collections::BTreeMap;
use std::ops::Range;

use super::Finding;
use super::visible::{push_visible, unseen, visible};
use crate::source::{FileId, Position, SourceFile, Sources, Span};

/// Columns between tab stops.
const TAB: usize = 4;
/// A label over more lines than these points to its first line only.
const LINES_DRAWN: usize = 4;

/// The lines of one finding.
#[derive(Debug)]
pub struct Excerpt {
    /// The shown text; each line ends with a line feed.
    pub text: String,
    /// Its lines, in order.
    pub lines: Vec<ExcerptLine>,
    /// Its labels, the finding's first label first.
    pub labels: Vec<ExcerptLabel>,
}

/// A line of an excerpt.
#[derive(Debug)]
pub struct ExcerptLine {
    /// Where it begins in the excerpt.
    pub start: usize,
    /// The file that it comes from.
    pub file: FileId,
    /// Its number in the file, from 0.
    pub number: usize,
}

/// A label of an excerpt.
#[derive(Debug)]
pub struct ExcerptLabel {
    /// Its bytes in the excerpt.
    pub range: Range<usize>,
    /// Where it begins in the source.
    pub position: Position,
    /// Columns between the start of its line and its middle.
    pub column: usize,
    /// Its words.
    pub text: String,
}

impl Excerpt {
    /// Cuts the lines of a finding out; `width` is the room for one line of source, in columns.
    pub fn of(finding: &Finding, sources: &Sources, width: usize) -> Excerpt {
        let spans: Vec<(usize, Span)> = finding
            .labels
            .iter()
            .enumerate()
            .filter_map(|(at, label)| Some((at, drawn(label.span, sources.get(label.span.file)?))))
            .collect();
        let mut excerpt = Excerpt { text: String::new(), lines: Vec::new(), labels: Vec::new() };
        let mut places: BTreeMap<usize, Range<usize>> = BTreeMap::new();
        let mut files: Vec<FileId> = Vec::new();
        for (_, span) in &spans {
            if !files.contains(&span.file) {
                files.push(span.file);
            }
        }
        for id in files {
            let Some(file) = sources.get(id) else { continue };
            let here: Vec<(usize, Span)> = spans.iter().copied().filter(|(_, span)| span.file == id).collect();
            for number in lines_to_show(file, &here) {
                excerpt.add_line(file, id, number, &here, width, &mut places);
            }
        }
        for (at, span) in &spans {
            let (Some(range), Some(label), Some(file)) =
                (places.get(at), finding.labels.get(*at), sources.get(span.file))
            else {
                continue;
            };
            let line_start =
                excerpt.lines.iter().rev().find(|line| line.start <= range.start).map_or(0, |line| line.start);
            let middle = (range.start + range.end.min(excerpt.line_end(range.start))) / 2;
            let column = excerpt.text.get(line_start..middle).map_or(0, |text| text.chars().map(cells).sum());
            excerpt.labels.push(ExcerptLabel {
                range: range.clone(),
                position: file.position(span.start),
                column,
                text: visible(&label.text),
            });
        }
        excerpt
    }

    fn line_end(&self, offset: usize) -> usize {
        self.text.get(offset..).and_then(|rest| rest.find('\n')).map_or(self.text.len(), |at| offset + at)
    }

    /// Adds a line and notes where the labels that begin or end on it have come to stand.
    fn add_line(
        &mut self,
        file: &SourceFile,
        id: FileId,
        number: usize,
        labels: &[(usize, Span)],
        width: usize,
        places: &mut BTreeMap<usize, Range<usize>>,
    ) {
        let start = file.lines().start_of(number) as usize;
        let line = file.line_text(number);
        let inside = |offset: u32| (offset as usize).saturating_sub(start).min(line.len());
        let begins = |span: &Span| file.lines().line_of(span.start) == number;
        let ends = |span: &Span| last_line(*span, file) == number;
        let first = labels.iter().filter(|(_, span)| begins(span)).map(|(_, span)| inside(span.start)).min();
        let window = window(line, first.unwrap_or(0), width);
        let line_start = self.text.len();
        let mut marks: Vec<(usize, usize)> = Vec::new();
        self.show(line, &window, &mut marks);
        let shown_end = self.text.len();
        let place = |offset: usize| {
            marks.iter().take_while(|(source, _)| *source <= offset).last().map_or(line_start, |(_, shown)| *shown)
        };
        for (at, span) in labels {
            if begins(span) {
                let begin = place(inside(span.start));
                places.insert(*at, begin..begin);
            }
            if ends(span)
                && let Some(range) = places.get_mut(at)
            {
                let end = if span.end == span.start { range.start } else { place(inside(span.end)) };
                // A mark that shows nothing would point nowhere: at a cut, point at the cut.
                range.end = end.clamp(range.start, shown_end.max(range.start));
            }
        }
        self.text.push('\n');
        self.lines.push(ExcerptLine { start: line_start, file: id, number });
    }

    /// Writes the window of a line, noting for each source byte offset where it is shown.
    fn show(&mut self, line: &str, window: &Range<usize>, marks: &mut Vec<(usize, usize)>) {
        if window.start > 0 {
            self.text.push('…');
        }
        let shown = line.get(window.clone()).unwrap_or("");
        let mut column = usize::from(window.start > 0);
        for (at, c) in shown.char_indices() {
            marks.push((window.start + at, self.text.len()));
            let before = self.text.len();
            if c == '\t' {
                self.text.extend(std::iter::repeat_n(' ', TAB - column % TAB));
            } else {
                push_visible(&mut self.text, c);
            }
            column += self.text.get(before..).map_or(0, |added| added.chars().map(cells).sum());
        }
        marks.push((window.end, self.text.len()));
        if window.end < line.len() {
            self.text.push('…');
            marks.push((window.end + 1, self.text.len()));
        }
    }
}

/// A span that is fit to draw: on character boundaries, inside its file, and not over too many lines.
fn drawn(span: Span, file: &SourceFile) -> Span {
    let floor = |mut at: usize| {
        at = at.min(file.text.len());
        while !file.text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let (start, end) = (floor(span.start as usize), floor(span.end as usize));
    let mut fit = Span::new(span.file, start, end);
    let first = file.lines().line_of(fit.start);
    if last_line(fit, file) >= first + LINES_DRAWN {
        let line_end = file.lines().start_of(first) as usize + without_comment(file.line_text(first)).len();
        fit = Span::new(span.file, start, line_end.max(start));
    }
    fit
}

/// A line without the comment at its end.
fn without_comment(line: &str) -> &str {
    let mut quoted = false;
    let comment = line.char_indices().find(|(_, c)| {
        quoted ^= *c == '"';
        *c == '#' && !quoted
    });
    // A thread such as `#10-24` begins with the same sign, but never stands before a block.
    line.get(..comment.map_or(line.len(), |(at, _)| at)).unwrap_or(line).trim_end()
}

/// The line (from 0) of the last character of a span.
fn last_line(span: Span, file: &SourceFile) -> usize {
    file.lines().line_of(if span.end > span.start { span.end - 1 } else { span.end })
}

/// The labelled lines with their neighbours, where those say something. The lines around the place to go to (the
/// finding's first label) come first.
fn lines_to_show(file: &SourceFile, labels: &[(usize, Span)]) -> Vec<usize> {
    let mut numbers: Vec<usize> = Vec::new();
    for (_, span) in labels {
        let (first, last) = (file.lines().line_of(span.start), last_line(*span, file));
        let neighbours = [first.checked_sub(1), Some(last + 1)];
        let spoken = |at: &usize| *at < file.lines().count() && !matches!(file.line_text(*at).trim(), "" | "}" | "#");
        numbers.extend(neighbours.into_iter().flatten().filter(spoken));
        numbers.extend(first..=last);
    }
    numbers.sort_unstable();
    numbers.dedup();
    let main = labels.iter().find(|(at, _)| *at == 0).map(|(_, span)| file.lines().line_of(span.start));
    let runs = numbers.chunk_by(|one, next| one + 1 == *next);
    let (first, others): (Vec<_>, Vec<_>) = runs.partition(|run| main.is_some_and(|line| run.contains(&line)));
    first.into_iter().chain(others).flatten().copied().collect()
}

/// The bytes of a line that are shown: all of it where it fits, else about `width` columns around `from`.
fn window(line: &str, from: usize, width: usize) -> Range<usize> {
    let width = width.max(20);
    let fits = line.len() <= 4 * width && line.chars().map(cells).sum::<usize>() <= width;
    if fits {
        return 0..line.len();
    }
    // Two columns are for the signs of what is cut.
    let room = width - 2;
    let end_of_room = forwards(line, backwards(line, from, room / 3), room);
    // What is left after a line's end goes to its beginning.
    let start = backwards(line, end_of_room, room);
    start..forwards(line, start, room)
}

/// The byte that stands at most so many columns before another.
fn backwards(line: &str, from: usize, mut room: usize) -> usize {
    let head = line.get(..from).unwrap_or("");
    let mut start = head.len();
    for (at, c) in head.char_indices().rev() {
        if cells(c) > room {
            break;
        }
        room -= cells(c);
        start = at;
    }
    start
}

/// The byte that stands at most so many columns after another.
fn forwards(line: &str, from: usize, mut room: usize) -> usize {
    let mut end = from;
    for (at, c) in line.get(from..).unwrap_or("").char_indices() {
        if cells(c) > room {
            break;
        }
        room -= cells(c);
        end = from + at + c.len_utf8();
    }
    end
}

/// About how many columns a character takes once shown; only cutting relies on it.
fn cells(c: char) -> usize {
    match c {
        '\t' => TAB,
        '\0'..='\x1f' | '\x7f'..='\u{9f}' => 8,
        c if unseen(c) => 8,
        '\u{300}'..='\u{36f}' => 0,
        '\u{1100}'..='\u{115f}' | '\u{2e80}'..='\u{d7a3}' | '\u{f900}'..='\u{faff}' | '\u{fe30}'..='\u{fe6f}' => 2,
        '\u{ff00}'..='\u{ff60}' | '\u{ffe0}'..='\u{ffe6}' | '\u{1f300}'..='\u{1faff}' | '\u{20000}'..='\u{3fffd}' => 2,
        _ => 1,
    }
}
