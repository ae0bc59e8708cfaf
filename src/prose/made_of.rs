//! What holds some Markdown together.

use pulldown_cmark::{BrokenLink, CowStr, Event, LinkType, Options, Parser, Tag};

/// What some Markdown is made of, apart from its words and mentions: its emphases, lists, links and so on, sorted. A translation is made
/// of the same.
pub fn made_of(markdown: &str) -> Vec<String> {
    let mut callback = |link: BrokenLink<'_>| {
        (link.link_type == LinkType::Shortcut).then_some((CowStr::Borrowed(""), CowStr::Borrowed("")))
    };
    let parser = Parser::new_with_broken_link_callback(markdown, Options::empty(), Some(&mut callback));
    let mut parts: Vec<String> = Vec::new();
    for event in parser {
        match event {
            Event::Start(Tag::Link { link_type: LinkType::ShortcutUnknown, .. }) => {}
            Event::Start(Tag::Link { dest_url, .. }) => parts.push(format!("link {dest_url}")),
            Event::Start(tag) => parts.push(format!("{tag:?}")),
            Event::Code(code) => parts.push(format!("code {code}")),
            Event::Html(html) | Event::InlineHtml(html) => parts.push(format!("html {html}")),
            Event::HardBreak => parts.push("break".to_owned()),
            Event::Rule => parts.push("rule".to_owned()),
            _ => {}
        }
    }
    parts.sort();
    parts
}
