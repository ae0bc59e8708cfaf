//! Findings for people: the terminal's text.
//!
//! The order is that in which a writer asks: what is wrong, where, why it matters in the workshop, what to write, and
//! the *case* to replay by hand where the fault depends on the configuration. The snippet is drawn by miette; no other
//! file names it. Nothing of a source reaches the terminal unescaped.

use std::collections::BTreeMap;
use std::fmt;

use miette::{
    GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents, SourceCode, SourceSpan,
    SpanContents, ThemeCharacters, ThemeStyles,
};

use super::excerpt::{Excerpt, ExcerptLabel, ExcerptLine};
use super::{Case, Code, Finding, Severity, visible};
use crate::source::Sources;

/// How to print.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Style {
    /// Whether to colour.
    pub color: bool,
    /// Columns; at least 40 are used.
    pub width: usize,
    /// Whether to draw with more than ASCII. The words of a source stay as they are.
    pub unicode: bool,
}

impl Default for Style {
    fn default() -> Self {
        Style { color: false, width: 80, unicode: true }
    }
}

/// Steps of a case that are told with their titles; of a longer way only the last ones are.
const STEPS_TOLD: usize = 8;

/// All findings, one after the other, in the order given.
pub fn human(findings: &[Finding], sources: &Sources, style: Style) -> String {
    let style = Style { width: style.width.max(40), ..style };
    let mut out = String::new();
    for finding in findings {
        if !out.is_empty() {
            out.push('\n');
        }
        one(&mut out, finding, sources, style);
    }
    out
}

/// The last lines of a run: how many findings there are, and how to learn more. Empty where there are none.
pub fn closing(findings: impl IntoIterator<Item = (Severity, Code)>, style: Style) -> String {
    let mut counts: BTreeMap<Severity, usize> = BTreeMap::new();
    let mut gravest: Option<(Severity, Code)> = None;
    for (severity, code) in findings {
        *counts.entry(severity).or_default() += 1;
        gravest = gravest.filter(|(before, _)| *before <= severity).or(Some((severity, code)));
    }
    let Some((_, first)) = gravest else { return String::new() };
    let counted: Vec<String> = counts.iter().map(|(severity, n)| counted(*n, severity.word())).collect();
    let hint = format!("`fitwright explain {first}` tells more about a finding.");
    format!("{}. {}\n", counted.join(", "), Paint::Quiet.on(&hint, style))
}

/// `1 error`, `3 errors`
pub fn counted(n: usize, word: &str) -> String {
    if n == 1 { format!("1 {word}") } else { format!("{n} {word}s") }
}

fn one(out: &mut String, finding: &Finding, sources: &Sources, style: Style) {
    let severity = finding.severity();
    let head = format!("{} {}  ", severity.word(), finding.code);
    let message = wrap(&visible(&finding.message), style.width - 2, head.len(), 2);
    out.push_str(&Paint::Severity(severity).on(head.trim_end(), style));
    out.push_str("  ");
    out.push_str(&Paint::Strong.on(&message, style));
    out.push('\n');
    out.push_str(&snippet(finding, sources, style));
    for (key, text) in told(finding, style) {
        let key = format!("  {key:<8}");
        out.push_str(&Paint::Key.on(&key, style));
        out.push_str(&text);
        out.push('\n');
    }
}

/// Between the lines of what is told below the lines of the source.
const NEXT_LINE: &str = "\n          ";

/// What is told below the lines of the source: why it matters, the repair, the case.
fn told(finding: &Finding, style: Style) -> Vec<(&'static str, String)> {
    let paragraph = |text: &String| {
        let lines = text.lines().map(|line| wrap(&visible(line), style.width, 10, 10));
        lines.collect::<Vec<_>>().join(NEXT_LINE)
    };
    let reason = finding.reason.as_ref().map(|reason| ("why", paragraph(reason)));
    let repair = finding.repair.as_ref().map(|repair| ("repair", paragraph(repair)));
    let case = finding.case.as_ref().map(|case| ("case", case_text(case, style)));
    reason.into_iter().chain(repair).chain(case).collect()
}

/// A finding in the words of [`human`], in pieces, for a page that sets them by itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pieces {
    /// What is wrong.
    pub message: String,
    /// The lines of the source, drawn in the width of the style. Empty where there are none.
    pub lines: String,
    /// What each of the paragraphs below is, and its text in unwrapped lines.
    pub told: Vec<(&'static str, String)>,
}

/// The pieces of a finding.
pub fn pieces(finding: &Finding, sources: &Sources, style: Style) -> Pieces {
    let style = Style { width: style.width.max(40), ..style };
    let unwrapped = |(key, text): (&'static str, String)| (key, text.replace(NEXT_LINE, "\n"));
    Pieces {
        message: visible(&finding.message),
        lines: snippet(finding, sources, style),
        told: told(finding, Style { width: UNWRAPPED, ..style }).into_iter().map(unwrapped).collect(),
    }
}

/// Columns that no line of a finding fills.
const UNWRAPPED: usize = 10_000;

/// Of a case with more inputs than these the middle is left out: nobody reads it. In a long procedure whose checks can end
/// the job, each check that was passed is one.
const INPUTS_TOLD: usize = 16;
const FIRST_TOLD: usize = 4;
const LAST_TOLD: usize = 6;

/// `with arm = powered, rail-width = 46 mm:`, then the steps, then what comes out.
fn case_text(case: &Case, style: Style) -> String {
    let mut inputs: Vec<String> = case.inputs.iter().map(input_text).collect();
    if inputs.len() > INPUTS_TOLD {
        // The options come first; the readings next to the place are those that a person looks for.
        let left_out = FIRST_TOLD..inputs.len() - LAST_TOLD;
        let dots = if style.unicode { "…" } else { "..." };
        let more = format!("{dots} {} more (`--format json` tells all) {dots}", left_out.len());
        inputs.splice(left_out, [more]);
    }
    let mut head = match (inputs.is_empty(), case.steps.is_empty()) {
        (true, true) => "whatever is chosen and read".to_owned(),
        (true, false) => "whatever is chosen and read, on the way through".to_owned(),
        (false, _) => format!("with {}", inputs.join(", ")),
    };
    if !case.steps.is_empty() || case.outcome.is_some() {
        head.push(':');
    }
    let mut lines = vec![wrap(&visible(&head), style.width, 10, 10)];
    let told = if case.steps.len() > STEPS_TOLD { STEPS_TOLD - 2 } else { case.steps.len() };
    let passed = case.steps.len() - told;
    if passed > 0 {
        let dots = if style.unicode { "…" } else { "..." };
        lines.push(format!("  {dots} {} before, then", counted(passed, "step")));
    }
    let number_width = case.steps.iter().map(|step| step.number.chars().count()).max().unwrap_or(0);
    for step in case.steps.iter().skip(passed) {
        let line = format!("{:<number_width$}  {}", step.number, step.title);
        lines.push(format!("  {}", wrap(&visible(&line), style.width, 12, 14 + number_width)));
    }
    if let Some(outcome) = &case.outcome {
        let arrow = if style.unicode { "→" } else { "->" };
        lines.push(wrap(&format!("{arrow} {}", visible(outcome)), style.width, 10, 12));
    }
    lines.join(NEXT_LINE)
}

/// A case in plain lines, for where nothing is wrapped or coloured.
pub fn case_told(case: &Case) -> String {
    let style = Style { color: false, width: UNWRAPPED, unicode: true };
    case_text(case, style).replace(NEXT_LINE, "\n")
}

fn input_text(input: &super::CaseInput) -> String {
    let again = match input.occasion {
        0 | 1 => String::new(),
        2 => " (2nd reading)".to_owned(),
        3 => " (3rd reading)".to_owned(),
        n => format!(" (reading no. {n})"),
    };
    format!("{} = {}{again}", input.says.as_ref().unwrap_or(&input.name), input.value)
}

/// Breaks a text at blanks. `first` columns are taken on the first line; later lines are indented by `indent`.
pub fn wrap(text: &str, width: usize, first: usize, indent: usize) -> String {
    let mut out = String::new();
    let mut column = first;
    for (at, word) in text.split(' ').enumerate() {
        let length = word.chars().count();
        if at > 0 && column + 1 + length > width {
            out.push('\n');
            out.extend(std::iter::repeat_n(' ', indent));
            column = indent;
        } else if at > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out
}

/// The colours. Eight of them only, which every terminal maps to what its user can read.
enum Paint {
    Severity(Severity),
    Strong,
    Key,
    Quiet,
}

impl Paint {
    fn on(&self, text: &str, style: Style) -> String {
        if !style.color || text.is_empty() {
            return text.to_owned();
        }
        let code = match self {
            Paint::Severity(Severity::Error) => "1;31",
            Paint::Severity(Severity::Warning) => "1;33",
            Paint::Severity(Severity::Note) | Paint::Key => "36",
            Paint::Strong => "1",
            Paint::Quiet => "2",
        };
        format!("\x1b[{code}m{text}\x1b[0m")
    }
}

/// The labelled lines, drawn by miette.
fn snippet(finding: &Finding, sources: &Sources, style: Style) -> String {
    // Room for the gutter: the number of the line, a bar, and blanks around them.
    let excerpt = Excerpt::of(finding, sources, style.width.saturating_sub(8));
    if excerpt.labels.is_empty() {
        return String::new();
    }
    let shown = Shown { excerpt: &excerpt, sources, width: style.width };
    let handler = GraphicalReportHandler::new_themed(theme(finding.severity(), &excerpt, style))
        .with_width(style.width)
        .with_context_lines(1)
        .with_links(false)
        .without_syntax_highlighting();
    let mut drawn = String::new();
    if handler.render_report(&mut drawn, &shown).is_err() {
        return String::new();
    }
    // The first line would hold the message, which stands above already.
    drawn
        .split_once('\n')
        .map_or(String::new(), |(_, rest)| rest.lines().fold(String::new(), |text, line| text + line.trim_end() + "\n"))
}

/// The look: round corners, one colour for the place to go to and a quiet one for the others.
fn theme(severity: Severity, excerpt: &Excerpt, style: Style) -> GraphicalTheme {
    let mut characters = if style.unicode { ThemeCharacters::unicode() } else { ThemeCharacters::ascii() };
    characters.error = String::new();
    let mut styles = ThemeStyles::none();
    if style.color {
        let ansi = ThemeStyles::ansi();
        let main = match severity {
            Severity::Error => ansi.error.bold(),
            Severity::Warning => ansi.warning.bold(),
            Severity::Note => ansi.advice.bold(),
        };
        let others = ThemeStyles::none().error.blue();
        // miette colours labels in the order of their place.
        let mut order: Vec<(usize, usize)> =
            excerpt.labels.iter().enumerate().map(|(at, label)| (label.range.start, at)).collect();
        order.sort_unstable();
        styles.highlights = order.iter().map(|(_, at)| if *at == 0 { main } else { others }).collect();
        styles.linum = ansi.linum;
        styles.link = ThemeStyles::none().link.cyan();
    }
    GraphicalTheme { characters, styles }
}

/// An excerpt as miette wants to see it.
#[derive(Debug)]
struct Shown<'a> {
    excerpt: &'a Excerpt,
    sources: &'a Sources,
    width: usize,
}

impl Shown<'_> {
    fn line_at(&self, offset: usize) -> usize {
        self.excerpt.lines.partition_point(|line| line.start <= offset).saturating_sub(1)
    }

    fn label(&self, label: &ExcerptLabel) -> String {
        // Before the words stand the line's number and bar, and the hook that leads to them.
        let room = self.width.saturating_sub(label.column + 12).max(24);
        wrap(&label.text, room, 0, 0)
    }
}

/// Whether one line follows the other in the same file.
fn follows(first: &ExcerptLine, next: &ExcerptLine) -> bool {
    first.file == next.file && first.number + 1 == next.number
}

impl SourceCode for Shown<'_> {
    /// Fails for a range with lines left out in between: miette then draws its parts apart.
    fn read_span<'b>(
        &'b self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'b> + 'b>, MietteError> {
        let lines = &self.excerpt.lines;
        let end = span.offset() + span.len();
        let (mut first, mut last) =
            (self.line_at(span.offset()), self.line_at(if span.is_empty() { end } else { end - 1 }));
        let joined = |at: usize| matches!((lines.get(at), lines.get(at + 1)), (Some(a), Some(b)) if follows(a, b));
        if !(first..last).all(joined) {
            return Err(MietteError::OutOfBounds);
        }
        for _ in 0..before {
            if first > 0 && joined(first - 1) {
                first -= 1;
            }
        }
        for _ in 0..after {
            if joined(last) {
                last += 1;
            }
        }
        let line = lines.get(first).ok_or(MietteError::OutOfBounds)?;
        let stop = lines.get(last + 1).map_or(self.excerpt.text.len(), |next| next.start);
        let data = self.excerpt.text.as_bytes().get(line.start..stop).ok_or(MietteError::OutOfBounds)?;
        // Without context, miette asks for the place to print above the lines.
        let at_label = self.excerpt.labels.iter().find(|label| label.range.start == span.offset());
        let (number, column) = match at_label {
            Some(label) if before == 0 => (label.position.line as usize - 1, label.position.column as usize - 1),
            _ => (line.number, 0),
        };
        let name = self.sources.get(line.file).map_or(String::new(), |file| visible(&file.name));
        let range = SourceSpan::from((line.start, stop - line.start));
        Ok(Box::new(MietteSpanContents::new_named(name, data, range, number, column, last - first + 1)))
    }
}

impl miette::Diagnostic for Shown<'_> {
    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(self)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(self.excerpt.labels.iter().enumerate().map(|(at, label)| {
            let text = (!label.text.is_empty()).then(|| self.label(label));
            let span = SourceSpan::from((label.range.start, label.range.len()));
            if at == 0 {
                LabeledSpan::new_primary_with_span(text, span)
            } else {
                LabeledSpan::new_with_span(text, span)
            }
        })))
    }
}

impl fmt::Display for Shown<'_> {
    fn fmt(&self, _: &mut fmt::Formatter<'_>) -> fmt::Result {
        Ok(())
    }
}

impl std::error::Error for Shown<'_> {}

#[cfg(test)]
mod tests {
    use super::super::{Case, CaseInput, CaseStep, Finding};
    use super::*;
    use crate::source::Span;

    /// Marks the first place of `needle` in the text.
    fn at(sources: &Sources, file: u32, needle: &str) -> Span {
        let id = crate::source::FileId::new(file);
        let text = &sources.get(id).expect("a file").text;
        let start = text.find(needle).expect("in the text");
        Span::new(id, start, start + needle.len())
    }

    fn text(finding: Finding, sources: &Sources) -> String {
        human(&[finding], sources, Style::default())
    }

    #[test]
    fn of_very_many_inputs_the_middle_is_left_out() {
        let input = |n: usize| CaseInput { name: format!("gap-{n}"), says: None, value: "3 mm".into(), occasion: 1 };
        let case = |inputs| Case { inputs: (1..=inputs).map(input).collect(), steps: Vec::new(), outcome: None };
        assert!(case_told(&case(16)).ends_with("gap-15 = 3 mm, gap-16 = 3 mm"));
        let told = case_told(&case(17));
        let middle = "gap-4 = 3 mm, … 7 more (`--format json` tells all) …, gap-12 = 3 mm";
        assert!(told.contains(middle) && told.ends_with("gap-17 = 3 mm"), "{told}");
    }

    #[test]
    fn a_finding_reads_in_the_order_of_the_questions() {
        let mut sources = Sources::default();
        sources.add(
            "kestrel-rack.fitw",
            "section brackets \"Mount\" {\n  choose rail-width {\n    36 mm to 45 mm { set pad thick }\n    \
             46 mm to 53 mm { set pad thin }\n  }\n}\n",
        );
        let step = CaseStep {
            number: "1.1".into(),
            name: "measure-rail".into(),
            title: "Measure the rail".into(),
            span: at(&sources, 0, "section"),
        };
        let finding = Finding::new(
            Code::FW0401,
            "no branch takes rail-width from 45.1 mm to 45.9 mm",
            at(&sources, 0, "rail-width"),
            "a caliper reads these",
        )
        .also(at(&sources, 0, "36 mm to 45 mm"), "ends at 45 mm")
        .also(at(&sources, 0, "46 mm to 53 mm"), "begins at 46 mm")
        .because("A technician who reads 45.5 mm finds no line to follow, and guesses which pads go into the bracket.")
        .repair("Write `over 45 mm to 53 mm`, or let the instrument read to 1 mm.")
        .case(Case {
            inputs: vec![
                CaseInput { name: "arm".into(), says: None, value: "powered".into(), occasion: 1 },
                CaseInput { name: "rail-width".into(), says: None, value: "45.5 mm".into(), occasion: 2 },
            ],
            steps: vec![step.into()],
            outcome: Some("no pad is set".into()),
        });
        insta::assert_snapshot!(text(finding, &sources));
    }

    #[test]
    fn what_cannot_be_seen_is_written_out_and_marks_line_up() {
        let mut sources = Sources::default();
        sources.add("a\x1b[31m.fitw", "\tpart 棚 \"\x1b[2J\u{202e}\" x\r\nlast");
        let finding = Finding::new(Code::FW0105, "a\x07 sign", at(&sources, 0, "x\r"), "here\u{200b}");
        let shown = text(finding, &sources);
        assert!(!shown.contains(|c: char| c != '\n' && (c.is_control() || c == '\u{202e}' || c == '\u{200b}')));
        insta::assert_snapshot!(shown);
    }

    #[test]
    fn long_lines_are_cut_around_the_mark() {
        let mut sources = Sources::default();
        sources.add("long.fitw", format!("{}needle{}\n", "straw ".repeat(2000), " straw".repeat(2000)));
        let shown = text(Finding::new(Code::FW0101, "a needle", at(&sources, 0, "needle"), "sharp"), &sources);
        assert!(shown.lines().all(|line| line.chars().count() <= 80), "{shown}");
        insta::assert_snapshot!(shown);
    }

    #[test]
    fn places_far_apart_and_in_two_files_are_drawn_apart() {
        let mut sources = Sources::default();
        sources.add("rack.fitw", format!("tool hammer\n{}use hammer\n", "#\n".repeat(40)));
        sources.add("lib/ours.fitw", "library ours\n\ntool hammer \"Hammer\"\n");
        let finding =
            Finding::new(Code::FW0202, "two things are called hammer", at(&sources, 0, "tool hammer"), "once")
                .also(at(&sources, 0, "use hammer"), "which of them?")
                .also(at(&sources, 1, "hammer"), "twice");
        insta::assert_snapshot!(text(finding, &sources));
    }

    #[test]
    fn a_block_is_marked_by_its_first_line_and_a_short_text_whole() {
        let mut sources = Sources::default();
        sources.add("rack.fitw", "step a {\n  > one\n  > two\n  take 1 b\n  take 1 c\n  take 1 d\n}\n");
        let block =
            Finding::new(Code::FW0404, "never reached", Span::new(crate::source::FileId::new(0), 0, 64), "this step");
        let prose = Finding::new(Code::FW0112, "odd", at(&sources, 0, "> one\n  > two"), "this text");
        insta::assert_snapshot!(human(&[block, prose], &sources, Style::default()));
    }

    #[test]
    fn any_span_is_drawn_without_a_panic() {
        for text in ["", "\n", "\r", "\r\n", "a\rb\n", "é", "🔩\n\n", "x", "\u{feff}a\tb\n\n\n"] {
            let mut sources = Sources::default();
            let id = sources.add("t.fitw", text);
            for start in 0..text.len() + 3 {
                for end in start..text.len() + 4 {
                    let span = Span::new(id, start, end);
                    let finding =
                        Finding::new(Code::FW0101, "m", span, "one").also(span, "two").also(span.before(), "");
                    for unicode in [true, false] {
                        let style = Style { color: true, width: 0, unicode };
                        assert!(human(std::slice::from_ref(&finding), &sources, style).contains("FW0101"));
                    }
                }
            }
        }
    }

    #[test]
    fn a_place_outside_all_files_is_left_out() {
        let sources = Sources::default();
        let lost = Span::new(crate::source::FileId::new(7), 0, 3);
        assert_eq!(text(Finding::new(Code::FW0206, "gone", lost, "x"), &sources), "error FW0206  gone\n");
    }

    #[test]
    fn the_closing_counts_and_points_to_the_gravest() {
        let note = Finding::without_place(Code::FW0604, "left over");
        let error = Finding::without_place(Code::FW0601, "never supplied");
        let style = Style::default();
        let said = "1 error, 2 notes. `fitwright explain FW0601` tells more about a finding.\n";
        assert_eq!(closing([&note, &error, &note].map(|one| (one.severity(), one.code)), style), said);
        assert_eq!(closing([], style), "");
    }
}
