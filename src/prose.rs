//! CommonMark with mentions: the only module that names pulldown-cmark.
//!
//! A *mention* is a name or a quantity in square brackets: `[rail-bracket]`, `[at least 150 mm]`. To CommonMark it is a
//! link to a reference that nobody defines, which is why definitions of references are refused: with one, a mention
//! would silently become a link. HTML of the writer is shown as text, pictures belong to `figure`, and links lead only
//! where a browser may go without harm.

mod made_of;
pub mod outline;

use pulldown_cmark::{BrokenLink, CowStr, Event, LinkType, Options, Parser, Tag, TagEnd, html};
use std::ops::Range;

pub use made_of::made_of;

/// A plain text as CommonMark that shows it: its signs stand behind backslashes (CommonMark 0.31, section 2.4).
pub fn literal(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '&' | '#' | '!' | '~' | '|') {
            shown.push('\\');
        }
        shown.push(c);
    }
    shown
}

/// A mention.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Bytes of the Markdown, brackets included.
    pub range: Range<usize>,
    /// What stands between the brackets.
    pub text: String,
}

/// Something in prose that is refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProseFault {
    /// Bytes of the Markdown.
    pub range: Range<usize>,
    kind: Kind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    Definition,
    Reference,
    Footnote,
    Picture,
    Address,
    Markup,
    Lines,
    Bracket,
}

impl ProseFault {
    /// What is wrong.
    pub fn message(&self) -> String {
        match self.kind {
            Kind::Definition => "a link is defined here, and mentions with that name would turn into links",
            Kind::Reference => "two pairs of brackets make a link to a definition, and prose has none",
            Kind::Footnote => "prose has no footnotes",
            Kind::Picture => "prose holds no pictures",
            Kind::Address => "this link leads neither to a web page nor to a mail address",
            Kind::Markup => "a mention is a plain name or quantity",
            Kind::Lines => "a mention stands on one line",
            Kind::Bracket => "a square bracket stands here that belongs to no mention",
        }
        .to_string()
    }

    /// What to write instead.
    pub fn repair(&self) -> String {
        match self.kind {
            Kind::Definition => "Delete the definition, and write links as `[words](https://…)`.",
            Kind::Reference => "Write one pair of brackets for a mention, or `[words](https://…)` for a link.",
            Kind::Footnote => "Write what it says as a sentence, or as `note \"…\"` in the step.",
            Kind::Picture => "Write `figure \"FILE\" \"What it shows\"` on a line of the step.",
            Kind::Address => "Use an address that begins with `https://`, `http://` or `mailto:`.",
            Kind::Markup => {
                "Write the name alone between the brackets: `[rail-bracket]`, without `*`, `_` or backquotes."
            }
            Kind::Lines => "Bring both brackets onto one line.",
            Kind::Bracket => {
                "Write `[rail-bracket]` with both brackets for a mention, or `\\[` for a bracket that is meant as such."
            }
        }
        .to_string()
    }
}

/// The mentions of some Markdown and what is refused in it, both in the order of the text.
pub fn mentions(markdown: &str) -> (Vec<Found>, Vec<ProseFault>) {
    let mut faults: Vec<ProseFault> = Vec::new();
    let mut found = Vec::new();
    let mut linked = Vec::new();
    let mut callback = |link: BrokenLink<'_>| {
        if link.link_type == LinkType::Shortcut {
            return Some(unknown());
        }
        // The span of `[x][]` stops before its empty brackets.
        let rest = markdown.get(link.span.end..).unwrap_or("");
        let more = if link.link_type == LinkType::Collapsed && rest.starts_with("[]") { 2 } else { 0 };
        linked.push(link.span.start..link.span.end + more);
        None
    };
    let parser = Parser::new_with_broken_link_callback(markdown, Options::empty(), Some(&mut callback));
    for (_, definition) in parser.reference_definitions().iter() {
        faults.push(ProseFault { range: definition.span.clone(), kind: Kind::Definition });
    }
    let mut inside: usize = 0;
    for (event, range) in parser.into_offset_iter() {
        match event {
            Event::Start(Tag::Link { link_type: LinkType::ShortcutUnknown, .. }) => {
                inside += 1;
                mention(markdown, range, &mut found, &mut faults);
            }
            Event::Start(Tag::Link { link_type, dest_url, .. }) => {
                inside += 1;
                let written_here = matches!(link_type, LinkType::Inline | LinkType::Autolink | LinkType::Email);
                if written_here && !is_safe(link_type, &dest_url) {
                    faults.push(ProseFault { range, kind: Kind::Address });
                }
            }
            Event::Start(Tag::Image { .. }) => {
                inside += 1;
                faults.push(ProseFault { range, kind: Kind::Picture });
            }
            Event::End(TagEnd::Link | TagEnd::Image) => inside = inside.saturating_sub(1),
            Event::Text(_) if inside == 0 => stray_brackets(markdown, &range, &mut faults),
            _ => {}
        }
    }
    faults.extend(linked.into_iter().map(|range| ProseFault { range, kind: Kind::Reference }));
    (found, settle(markdown, faults))
}

/// The faults by place; of those that overlap, the first and most telling one.
fn settle(markdown: &str, mut faults: Vec<ProseFault>) -> Vec<ProseFault> {
    for fault in &mut faults {
        let end = fault.range.end.min(markdown.len());
        fault.range = fault.range.start.min(end)..end;
    }
    faults.sort_by_key(|fault| (fault.range.start, fault.kind));
    let mut kept: Vec<ProseFault> = Vec::new();
    for fault in faults {
        match kept.last_mut() {
            Some(last) if fault.range.start < last.range.end => {}
            // The two brackets of a pair that is no mention, such as `[ ]`, are one fault.
            Some(last)
                if last.kind == Kind::Bracket && fault.kind == Kind::Bracket && is_pair(markdown, last, &fault) =>
            {
                last.range.end = fault.range.end;
            }
            _ => kept.push(fault),
        }
    }
    kept
}

fn is_pair(markdown: &str, open: &ProseFault, close: &ProseFault) -> bool {
    let between = markdown.get(open.range.start..close.range.end).unwrap_or("");
    between.starts_with('[') && between.ends_with(']') && !between.contains('\n')
}

fn mention(markdown: &str, range: Range<usize>, found: &mut Vec<Found>, faults: &mut Vec<ProseFault>) {
    let text = markdown.get(range.start + 1..range.end.saturating_sub(1)).unwrap_or("");
    let kind = if text.starts_with('^') {
        Some(Kind::Footnote)
    } else if text.contains('\n') {
        Some(Kind::Lines)
    } else if text.contains(['*', '_', '`', '<', '>', '[', ']', '\\', '&', '!']) {
        Some(Kind::Markup)
    } else {
        None
    };
    match kind {
        Some(kind) => faults.push(ProseFault { range, kind }),
        None => found.push(Found { range, text: text.to_string() }),
    }
}

/// Brackets in running text that a backslash does not excuse.
fn stray_brackets(markdown: &str, range: &Range<usize>, faults: &mut Vec<ProseFault>) {
    let Some(text) = markdown.get(range.clone()) else { return };
    for (offset, _) in text.match_indices(['[', ']']) {
        let at = range.start + offset;
        let excused = at.checked_sub(1).and_then(|before| markdown.as_bytes().get(before)) == Some(&b'\\');
        if !excused {
            faults.push(ProseFault { range: at..at + 1, kind: Kind::Bracket });
        }
    }
}

/// What stands for a mention until it is rendered.
fn unknown<'a>() -> (CowStr<'a>, CowStr<'a>) {
    (CowStr::Borrowed(""), CowStr::Borrowed(""))
}

/// Whether a link leads to a web page or a mail address.
fn is_safe(link_type: LinkType, address: &str) -> bool {
    let lower = address.to_ascii_lowercase();
    link_type == LinkType::Email || ["https://", "http://", "mailto:"].iter().any(|scheme| lower.starts_with(scheme))
}

/// One piece of prose, harmless, with its mentions rendered.
enum Piece<'a> {
    Event(Event<'a>),
    Mention { text: &'a str, rendered: Option<String> },
}

/// Walks through Markdown: mentions are rendered, what is not allowed becomes text.
fn pieces<'a>(markdown: &'a str, render: &mut dyn FnMut(&str) -> Option<String>, mut each: impl FnMut(Piece<'a>)) {
    let mut callback = |link: BrokenLink<'_>| (link.link_type == LinkType::Shortcut).then(unknown);
    let parser = Parser::new_with_broken_link_callback(markdown, Options::empty(), Some(&mut callback));
    let mut links: Vec<bool> = Vec::new();
    // Depth inside a mention or a picture, whose own words are not shown twice.
    let mut hidden = 0_usize;
    for (event, range) in parser.into_offset_iter() {
        match event {
            _ if hidden > 0 => match event {
                Event::Start(_) => hidden += 1,
                Event::End(_) => hidden -= 1,
                _ => {}
            },
            Event::Start(Tag::Link { link_type: LinkType::ShortcutUnknown, .. }) => {
                hidden = 1;
                let text = markdown.get(range.start + 1..range.end.saturating_sub(1)).unwrap_or("");
                each(Piece::Mention { text, rendered: render(text) });
            }
            Event::Start(Tag::Image { .. }) => {
                hidden = 1;
                each(Piece::Event(Event::Text(CowStr::Borrowed(markdown.get(range).unwrap_or("")))));
            }
            Event::Start(Tag::Link { link_type, ref dest_url, .. }) => {
                let safe = is_safe(link_type, dest_url);
                links.push(safe);
                if safe {
                    each(Piece::Event(event));
                }
            }
            Event::End(TagEnd::Link) => {
                if links.pop() == Some(true) {
                    each(Piece::Event(event));
                }
            }
            // A heading here would break the outline of the page that the prose stands in.
            Event::Start(Tag::Heading { .. }) => {
                each(Piece::Event(Event::Start(Tag::Paragraph)));
                each(Piece::Event(Event::Start(Tag::Strong)));
            }
            Event::End(TagEnd::Heading(_)) => {
                each(Piece::Event(Event::End(TagEnd::Strong)));
                each(Piece::Event(Event::End(TagEnd::Paragraph)));
            }
            Event::Html(text) | Event::InlineHtml(text) => each(Piece::Event(Event::Text(text))),
            Event::Start(Tag::HtmlBlock) => each(Piece::Event(Event::Start(Tag::Paragraph))),
            Event::End(TagEnd::HtmlBlock) => each(Piece::Event(Event::End(TagEnd::Paragraph))),
            other => each(Piece::Event(other)),
        }
    }
}

/// A plain text, which has mentions but no other marks, in words: `render` gives them for what stands between the brackets of
/// a mention. Brackets that it knows nothing about stay, and so do those that a backslash marks as brackets, without it.
pub fn spoken(text: &str, render: &mut dyn FnMut(&str) -> Option<String>) -> String {
    let mut words = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(['[', '\\']) {
        let (before, from) = rest.split_at(at);
        words.push_str(before);
        let mention = from.strip_prefix('[').and_then(|inside| inside.split_once(']'));
        if let Some((said, after)) = mention.and_then(|(inside, after)| Some((render(inside)?, after))) {
            words.push_str(&said);
            rest = after;
        } else if let Some(after) = from.strip_prefix('\\').filter(|after| after.starts_with(['[', ']'])) {
            let (bracket, after) = after.split_at(1);
            words.push_str(bracket);
            rest = after;
        } else {
            let (mark, after) = from.split_at(1);
            words.push_str(mark);
            rest = after;
        }
    }
    words.push_str(rest);
    words
}

/// Markdown as HTML. `render` gets what stands between the brackets of a mention and gives HTML for it; where it gives
/// nothing, the mention is shown as it was written.
pub fn to_html(markdown: &str, render: &mut dyn FnMut(&str) -> Option<String>) -> String {
    let mut events = Vec::new();
    pieces(markdown, render, |piece| {
        events.push(match piece {
            Piece::Event(event) => event,
            Piece::Mention { rendered: Some(html), .. } => Event::InlineHtml(CowStr::from(html)),
            Piece::Mention { text, rendered: None } => Event::Text(CowStr::from(format!("[{text}]"))),
        });
    });
    let mut out = String::with_capacity(markdown.len() + markdown.len() / 4);
    html::push_html(&mut out, events.into_iter());
    out
}

/// Markdown as plain text: paragraphs and list entries on lines of their own, no marks. `render` gives the words for a
/// mention; where it gives nothing, what stands between the brackets is kept.
pub fn to_text(markdown: &str, render: &mut dyn FnMut(&str) -> Option<String>) -> String {
    let mut out = String::with_capacity(markdown.len());
    let mut lists: Vec<Option<u64>> = Vec::new();
    pieces(markdown, render, |piece| match piece {
        Piece::Mention { text, rendered } => out.push_str(rendered.as_deref().unwrap_or(text)),
        Piece::Event(event) => plain(event, &mut out, &mut lists),
    });
    out.truncate(out.trim_end().len());
    out
}

fn plain(event: Event<'_>, out: &mut String, lists: &mut Vec<Option<u64>>) {
    match event {
        Event::Text(text) | Event::Code(text) => out.push_str(&text),
        Event::SoftBreak => out.push(' '),
        Event::HardBreak | Event::Rule => out.push('\n'),
        Event::Start(Tag::List(first)) => {
            new_line(out);
            lists.push(first);
        }
        Event::End(TagEnd::List(_)) => {
            lists.pop();
            if lists.is_empty() {
                new_line(out);
                out.push('\n');
            }
        }
        Event::Start(Tag::Item) => {
            new_line(out);
            let depth = lists.len().saturating_sub(1).min(16);
            out.push_str(&"  ".repeat(depth));
            match lists.last_mut() {
                Some(Some(number)) => {
                    out.push_str(&format!("{number}. "));
                    *number = number.saturating_add(1);
                }
                _ => out.push_str("- "),
            }
        }
        Event::End(TagEnd::Paragraph | TagEnd::CodeBlock) => {
            new_line(out);
            if lists.is_empty() {
                out.push('\n');
            }
        }
        _ => {}
    }
}

fn new_line(out: &mut String) {
    if !out.is_empty() && !out.ends_with('\n') {
        out.push('\n');
    }
}

/// How a line stands in running text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Running {
    /// It begins a paragraph.
    Begins,
    /// It follows another line of its paragraph.
    Follows,
    /// The same, within an entry of a list or a quotation.
    InBlock,
    /// The same, within emphasis or a link.
    Marked,
}

/// For each line of some Markdown, how it stands in running text. Lines that begin anything else (an entry of a list, code, a
/// heading) have `None`, and so has one that follows a break that was written as such.
pub fn running(markdown: &str) -> Vec<Option<Running>> {
    let mut callback = |link: BrokenLink<'_>| (link.link_type == LinkType::Shortcut).then(unknown);
    let parser = Parser::new_with_broken_link_callback(markdown, Options::empty(), Some(&mut callback));
    let ends: Vec<usize> = markdown.match_indices('\n').map(|(at, _)| at).collect();
    let mut lines = vec![None; ends.len() + 1];
    // How many blocks are open that hold others, and how many marks.
    let (mut blocks, mut marks) = (0_usize, 0_usize);
    for (event, range) in parser.into_offset_iter() {
        let (at, stands) = match event {
            Event::Start(Tag::Paragraph) if blocks == 0 => (range.start, Running::Begins),
            Event::SoftBreak if marks > 0 => (range.end, Running::Marked),
            Event::SoftBreak if blocks > 0 => (range.end, Running::InBlock),
            Event::SoftBreak => (range.end, Running::Follows),
            Event::Start(Tag::Item | Tag::BlockQuote(_)) => {
                blocks += 1;
                continue;
            }
            Event::End(TagEnd::Item | TagEnd::BlockQuote(_)) => {
                blocks = blocks.saturating_sub(1);
                continue;
            }
            Event::Start(Tag::Emphasis | Tag::Strong | Tag::Link { .. } | Tag::Image { .. }) => {
                marks += 1;
                continue;
            }
            Event::End(TagEnd::Emphasis | TagEnd::Strong | TagEnd::Link | TagEnd::Image) => {
                marks = marks.saturating_sub(1);
                continue;
            }
            _ => continue,
        };
        let line = ends.partition_point(|end| *end < at);
        if let Some(line) = lines.get_mut(line) {
            *line = Some(stands);
        }
    }
    lines
}

/// Stands for a mention in the text of a [`Passage`]: U+FFFC, the object replacement character.
pub const MENTION: char = '\u{FFFC}';

/// A paragraph or an entry of a list, as it is read: without marks, with a sign for each mention.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Passage {
    /// Its words; each mention is one [`MENTION`].
    pub text: String,
    /// Where pieces of the text come from: the byte of the text and that of the Markdown, in order.
    from: Vec<(usize, usize)>,
}

impl Passage {
    /// The byte of the Markdown from which a byte of the text comes.
    pub fn origin(&self, byte: usize) -> usize {
        let at = self.from.partition_point(|(start, _)| *start <= byte);
        at.checked_sub(1).and_then(|at| self.from.get(at)).map_or(0, |(start, origin)| origin + (byte - start))
    }

    fn push(&mut self, words: &str, origin: usize) {
        self.from.push((self.text.len(), origin));
        self.text.push_str(words);
    }
}

/// The paragraphs and entries of lists of some Markdown, in the order of the text; empty ones are left out. The mentions among
/// them are those of [`mentions`], in the same order.
pub fn passages(markdown: &str) -> Vec<Passage> {
    let mut callback = |link: BrokenLink<'_>| (link.link_type == LinkType::Shortcut).then(unknown);
    let parser = Parser::new_with_broken_link_callback(markdown, Options::empty(), Some(&mut callback));
    let mut all = vec![Passage::default()];
    let mut hidden = 0_usize;
    for (event, range) in parser.into_offset_iter() {
        let block = matches!(
            event,
            Event::Start(Tag::Paragraph | Tag::Item | Tag::List(_) | Tag::Heading { .. } | Tag::BlockQuote(_))
                | Event::End(TagEnd::Paragraph | TagEnd::Item | TagEnd::Heading(_))
        );
        if block {
            all.push(Passage::default());
        }
        let Some(last) = all.last_mut() else { continue };
        match event {
            Event::Start(_) if hidden > 0 => hidden += 1,
            Event::End(_) if hidden > 0 => hidden -= 1,
            _ if hidden > 0 => {}
            Event::Start(Tag::Link { link_type: LinkType::ShortcutUnknown, .. }) => {
                last.push(MENTION.encode_utf8(&mut [0; 4]), range.start);
                hidden = 1;
            }
            Event::Text(words) | Event::InlineHtml(words) | Event::Html(words) => last.push(&words, range.start),
            Event::Code(words) => last.push(&words, range.start + 1),
            Event::SoftBreak | Event::HardBreak => last.push(" ", range.start),
            _ => {}
        }
    }
    all.retain(|passage| !passage.text.trim().is_empty());
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_literal_text_shows_as_it_is() {
        let text = "Wait 2 h, until *all* of [a] & <b> #3 is `dry`_!_ \\ ok.";
        assert_eq!(to_text(&literal(text), &mut |_| None), text);
    }

    #[test]
    fn a_line_knows_how_it_stands() {
        use Running::{Begins, Follows, InBlock, Marked};
        let stands = |markdown: &str| running(markdown);
        assert_eq!(stands("a\nb\n\n  c\n    d"), [Some(Begins), Some(Follows), None, Some(Begins), Some(Follows)]);
        assert_eq!(
            stands("a\n- b\n  c\nd\n\ne"),
            [Some(Begins), None, Some(InBlock), Some(InBlock), None, Some(Begins)]
        );
        assert_eq!(stands("*a\nb* c\\\nd\ne [f\ng]"), [Some(Begins), Some(Marked), None, Some(Follows), Some(Marked)]);
        assert_eq!(stands("```\na\n```\nb\n`c\nd`"), [None, None, None, Some(Begins), Some(Follows), None]);
        assert_eq!(stands("> a\nb\n# c"), [None, Some(InBlock), None]);
        assert_eq!(stands(""), [None]);
    }

    #[test]
    fn a_passage_knows_where_its_words_come_from() {
        let markdown = "Set *one* [a-b], [4 mm]\nfar.\n\n- Do \\[it\\].\n- Go.";
        let found = passages(markdown);
        let texts: Vec<&str> = found.iter().map(|passage| passage.text.as_str()).collect();
        assert_eq!(texts, ["Set one \u{FFFC}, \u{FFFC} far.", "Do [it].", "Go."]);
        for (passage, word) in [(0, "one"), (0, "far"), (1, "it"), (2, "Go")] {
            let at = found[passage].text.find(word).expect("it is there");
            let origin = found[passage].origin(at);
            assert_eq!(&markdown[origin..origin + word.len()], word);
        }
    }

    #[test]
    fn a_plain_text_is_spoken_with_its_mentions_and_keeps_other_brackets() {
        let words = |text: &str| spoken(text, &mut |name| (name == "a-b").then(|| "the [A] of B".to_owned()));
        assert_eq!(words("Set [a-b] on [x] at \\[a-b\\], [a-b"), "Set the [A] of B on [x] at [a-b], [a-b");
        assert_eq!(words("\\ [] [[a-b]] ä\\["), "\\ [] [the [A] of B] ä[");
        assert_eq!(words(""), "");
    }

    fn names(markdown: &str) -> Vec<String> {
        mentions(markdown).0.into_iter().map(|found| found.text).collect()
    }

    fn faults(markdown: &str) -> Vec<(&str, Kind)> {
        let (_, faults) = mentions(markdown);
        faults.into_iter().map(|fault| (&markdown[fault.range], fault.kind)).collect()
    }

    fn html(markdown: &str) -> String {
        to_html(markdown, &mut |text| (text != "unknown").then(|| format!("<b>{text}</b>")))
    }

    #[test]
    fn mentions_are_found_with_their_brackets() {
        let text = "Set one [rail-bracket], [at least 150 mm] away. Not `[code]`, not \\[escaped\\].";
        let (found, faults) = mentions(text);
        let shown: Vec<&str> = found.iter().map(|found| &text[found.range.clone()]).collect();
        assert_eq!(shown, ["[rail-bracket]", "[at least 150 mm]"]);
        assert_eq!(names("- a [x] b\n- [22 N.m]\n\n**[y]**"), ["x", "22 N.m", "y"]);
        assert!(faults.is_empty(), "{faults:?}");
    }

    #[test]
    fn what_would_hide_a_mention_is_refused() {
        assert_eq!(faults("Use [tool].\n\n[tool]: /evil"), [("[tool]: /evil", Kind::Definition)]);
        assert_eq!(faults("see ![rail]"), [("![rail]", Kind::Picture)]);
        assert_eq!(faults("see ![rail](rail.png)"), [("![rail](rail.png)", Kind::Picture)]);
        assert_eq!(faults("see[^foot]"), [("[^foot]", Kind::Footnote)]);
        assert_eq!(faults("the [*bold*] one"), [("[*bold*]", Kind::Markup)]);
        assert_eq!(faults("the [at\nleast 5 mm] one"), [("[at\nleast 5 mm]", Kind::Lines)]);
        assert_eq!(faults("a [rail-bracket here"), [("[", Kind::Bracket)]);
        assert_eq!(faults("- [ ] done"), [("[ ]", Kind::Bracket)]);
        assert_eq!(faults("the [a b][c] one"), [("[a b][c]", Kind::Reference)]);
        assert_eq!(faults("the [a][] one"), [("[a][]", Kind::Reference)]);
        assert_eq!(faults("[x](javascript:alert(1))"), [("[x](javascript:alert(1))", Kind::Address)]);
        assert_eq!(faults("[x](&#106;avascript:alert(1))").len(), 1);
        assert_eq!(faults("<vbscript:x>"), [("<vbscript:x>", Kind::Address)]);
        assert!(faults("[maker](https://example.com) <a@example.com>").is_empty());
    }

    #[test]
    fn html_holds_only_what_commonmark_makes() {
        assert_eq!(html("Set [rail] & go."), "<p>Set <b>rail</b> &amp; go.</p>\n");
        assert_eq!(html("Set [unknown]."), "<p>Set [unknown].</p>\n");
        assert_eq!(html("a <script>x</script>"), "<p>a &lt;script&gt;x&lt;/script&gt;</p>\n");
        assert_eq!(html("<div onclick=x>\nhi\n</div>"), "<p>&lt;div onclick=x&gt;\nhi\n&lt;/div&gt;</p>\n");
        assert_eq!(html("![rail](x.png)"), "<p>![rail](x.png)</p>\n");
        assert_eq!(html("[x](JavaScript:alert(1))"), "<p>x</p>\n");
        assert_eq!(html("[x](https://example.com/\"a)"), "<p><a href=\"https://example.com/%22a\">x</a></p>\n");
        assert_eq!(html("# Big"), "<p><strong>Big</strong></p>\n");
        assert_eq!(html("{{7*7}} ${x}"), "<p>{{7*7}} ${x}</p>\n");
    }

    #[test]
    fn text_has_no_marks() {
        let words = |markdown| to_text(markdown, &mut |text| (text != "unknown").then(|| text.to_uppercase()));
        assert_eq!(words("Set **one** [rail] of\n`two` [unknown]."), "Set one RAIL of two unknown.");
        assert_eq!(words("One:\n\n1. a\n2. b\n\nTwo."), "One:\n\n1. a\n2. b\n\nTwo.");
        assert_eq!(words("- a\n  - b\n- c"), "- a\n  - b\n- c");
        assert_eq!(words("a <b>c</b>"), "a <b>c</b>");
    }

    #[test]
    fn hostile_prose_ends_soon() {
        for hostile in ["[", "](", "![", "> ", "* ", "`", "**a ", "[a][", "<!--"] {
            let text = hostile.repeat(20_000);
            let (_, faults) = mentions(&text);
            assert!(faults.len() <= text.len());
            assert!(to_html(&text, &mut |_| None).len() < 400 * text.len());
        }
    }
}
