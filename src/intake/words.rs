//! Words of a text: quantities in them, sentences, signal words, and how each may stand in a source.

use crate::parse;
use crate::prose::literal;
use crate::quantity::{System, Unit};
use crate::source::{FileId, Span};

/// Plain words as CommonMark, with quantities as mentions.
pub fn marked(run: &str) -> String {
    let mut out = String::new();
    let mut from = 0;
    for (start, end, _) in quantities(run) {
        out.push_str(&literal(run.get(from..start).unwrap_or("")));
        out.push_str(&format!("[{}]", run.get(start..end).unwrap_or("").replace('\u{a0}', " ")));
        from = end;
    }
    out + &literal(run.get(from..).unwrap_or(""))
}

/// Words as a text in quotes whose brackets are mentions (`told`), or as a title, which has none.
pub fn quoted(words: &str, told: bool) -> String {
    let mut out = "\"".to_string();
    let mut from = 0;
    let found = if told { quantities(words) } else { Vec::new() };
    for (start, end, _) in found.into_iter().chain([(words.len(), words.len(), System::Metric)]) {
        for c in words.get(from..start).unwrap_or("").chars() {
            match c {
                '"' | '\\' => out.extend(['\\', c]),
                '[' | ']' if told => out.extend(['\\', c]),
                // A title has no mentions.
                '[' => out.push('('),
                ']' => out.push(')'),
                c => out.push(c),
            }
        }
        if start < end {
            out.push_str(&format!("[{}]", words.get(start..end).unwrap_or("").replace('\u{a0}', " ")));
        }
        from = end;
    }
    out.push('"');
    out
}

/// The quantities that words say, as bytes from and to, and the system of their units.
pub fn quantities(words: &str) -> Vec<(usize, usize, System)> {
    let mut found = Vec::new();
    let mut from = 0;
    while let Some(at) = words.get(from..).and_then(|rest| rest.find(|c: char| c.is_ascii_digit())) {
        let start = from + at;
        let before = words.get(..start).and_then(|before| before.chars().next_back());
        let free = before.is_none_or(|c| c.is_whitespace() || matches!(c, '(' | ':' | ';' | '='))
            && !goes_on(words.get(..start).unwrap_or(""));
        let number: usize =
            words.get(start..).unwrap_or("").find(|c: char| !is_of_number(c)).unwrap_or(words.len() - start);
        let read = if free { range(words, start).or_else(|| quantity(words, start)) } else { None };
        let read = read.filter(|(end, _)| !is_cut(words.get(*end..).unwrap_or("")));
        match read {
            Some((end, system)) => {
                found.push((start, end, system));
                from = end;
            }
            None => from = start + number.max(1),
        }
    }
    found
}

fn is_of_number(c: char) -> bool {
    c.is_ascii_digit() || matches!(c, '.' | ',' | '/')
}

/// Whether a bare number stands before, with which the next one is a range, a product or a choice: the half of it says something
/// else than the whole.
fn goes_on(before: &str) -> bool {
    let before = before.trim_end();
    let first = ["to", "x", "×", "–", "-", "/", "or"].iter().find_map(|sign| before.strip_suffix(sign));
    first.is_some_and(|first| first.trim_end().ends_with(|c: char| c.is_ascii_digit()))
}

/// Whether a second number hangs on the one before: `5 V/3.3 V`.
fn is_cut(after: &str) -> bool {
    let second = ["/", "-", "–"].iter().find_map(|sign| after.strip_prefix(sign));
    second.is_some_and(|second| second.starts_with(|c: char| c.is_ascii_digit()))
}

/// The end of the range `3 to 4 mm` that begins at a digit.
fn range(words: &str, start: usize) -> Option<(usize, System)> {
    let rest = words.get(start..)?;
    let second = rest.trim_start_matches(is_of_number).strip_prefix(" to ")?;
    let (end, system) = amount(words, words.len() - second.len())?;
    let text = words.get(start..end)?.replace('\u{a0}', " ");
    parse::measure(&text, Span::new(FileId::new(0), 0, text.len())).map(|_| (end, system))
}

/// The end of the quantity that begins at a digit.
fn quantity(words: &str, start: usize) -> Option<(usize, System)> {
    let (end, system) = amount(words, start)?;
    // `± 5 N·m` belongs to it.
    let rest = words.get(end..)?;
    let sign = rest.trim_start_matches([' ', '\u{a0}']);
    let after = ["±", "+/-", "+-"].iter().find_map(|sign_of| sign.strip_prefix(sign_of));
    let tolerance = after
        .map(|after| after.trim_start_matches([' ', '\u{a0}']))
        .filter(|after| after.starts_with(|c: char| c.is_ascii_digit()));
    let whole = tolerance.and_then(|after| amount(words, words.len() - after.len()));
    let (end, system) = whole.unwrap_or((end, system));
    let text = words.get(start..end)?.replace('\u{a0}', " ");
    // Only what the language itself reads as a quantity, and nothing beside it.
    parse::measure(&text, Span::new(FileId::new(0), 0, text.len())).map(|_| (end, system))
}

/// A number with its unit.
fn amount(words: &str, start: usize) -> Option<(usize, System)> {
    let rest = words.get(start..)?;
    let mut number = rest.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '/'))).unwrap_or(rest.len());
    if number > 20 || rest.get(..number)?.ends_with(['.', '/']) || rest.get(number..)?.starts_with(',') {
        return None;
    }
    // `1.2.3` is no number.
    if rest.get(..number)?.matches(['.', '/']).count() > 1 {
        return None;
    }
    // `3 1/2 in`
    let fraction = rest.get(number..)?.strip_prefix(' ').unwrap_or("");
    let digits = fraction.find(|c: char| !(c.is_ascii_digit() || c == '/')).unwrap_or(fraction.len());
    if fraction.get(..digits)?.contains('/') && digits <= 8 {
        number += 1 + digits;
    }
    let after = rest.get(number..)?;
    let unit = after.trim_start_matches([' ', '\u{a0}']);
    let gap = after.len() - unit.len();
    let letters = unit
        .find(|c: char| !(c.is_alphanumeric() || matches!(c, '°' | '%' | '·' | '⋅' | '.' | '-' | '²' | '³')))
        .unwrap_or(unit.len());
    let spelled = unit.get(..letters)?.trim_end_matches(['.', '-', '·']);
    if spelled.is_empty() || spelled.len() > 16 || gap > 3 || spelled.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let known = Unit::lookup(spelled)?;
    let end = start + number + gap + spelled.len();
    if spelled == "in" && !is_inch_before(words.get(end..)?) {
        return None;
    }
    Some((end, known.system().unwrap_or(System::Metric)))
}

/// Whether `2 in` goes on as two inches do, and not as *two in each hole* does.
fn is_inch_before(rest: &str) -> bool {
    const AFTER: &[&str] = &[
        "long", "wide", "deep", "high", "thick", "diameter", "from", "of", "to", "above", "below", "or", "and",
        "apart", "x", "hole", "holes", "drive", "socket",
    ];
    let rest = rest.trim_start();
    let word: String = rest.chars().take_while(|c| c.is_alphanumeric()).collect();
    word.is_empty() || AFTER.contains(&word.as_str())
}

/// Parts a line of CommonMark between sentences. What could be an abbreviation, or lies within marks, is left whole.
pub fn sentences(line: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut from = 0;
    for (at, _) in line.match_indices(' ') {
        let before = line.get(from..at).unwrap_or("");
        let word = before.rsplit(' ').next().unwrap_or("");
        let ends = word.ends_with(['.', '!', '?']) && !is_short_form(word);
        let begins = line.get(at + 1..).and_then(|rest| rest.chars().next()).is_some_and(char::is_uppercase);
        // Counted only where a sentence may end: a long line is gone through once.
        let closed = || {
            let even = |sign: char| before.matches(sign).count().is_multiple_of(2);
            even('*') && even('`') && before.matches('[').count() == before.matches(']').count()
        };
        if ends && begins && closed() {
            parts.push(before);
            from = at + 1;
        }
    }
    parts.push(line.get(from..).unwrap_or(""));
    parts.into_iter().map(str::trim).filter(|part| !part.is_empty()).collect()
}

/// Whether a point behind a word may stand for letters that are left out: `No. 3`, `Fig. A`, `J. Smith`.
fn is_short_form(word: &str) -> bool {
    const SHORT: &[&str] = &[
        "no", "nos", "nr", "fig", "figs", "approx", "e.g", "i.e", "etc", "max", "min", "ca", "cf", "vs", "mr", "mrs",
        "ms", "dr", "st", "sec", "pos", "art", "incl", "excl", "resp", "vol", "pp", "ref", "dia", "z.b", "bzw", "ggf",
        "evtl",
    ];
    let word = word.trim_end_matches(['!', '?']);
    let Some(stem) = word.strip_suffix('.') else { return false };
    let stem = stem.trim_start_matches(|c: char| !c.is_alphanumeric()).to_lowercase();
    stem.chars().count() < 2 && !stem.starts_with(|c: char| c.is_ascii_digit()) || SHORT.contains(&stem.as_str())
}

/// Letters of a title.
const MOST_OF_TITLE: usize = 60;

/// The beginning of a sentence as a title.
pub fn title_of(plain: &str) -> String {
    let first = sentences(plain).first().copied().unwrap_or(plain);
    let whole = first.trim_end_matches(['.', ':', ';', ',']);
    // Of nothing but stops, they are the title.
    let whole = if whole.trim().is_empty() { first } else { whole };
    if whole.chars().count() <= MOST_OF_TITLE {
        return whole.to_string();
    }
    let mut title = String::new();
    let mut letters = 0;
    for word in whole.split(' ') {
        letters += word.chars().count() + 1;
        if letters > MOST_OF_TITLE {
            break;
        }
        if !title.is_empty() {
            title.push(' ');
        }
        title.push_str(word);
    }
    if title.is_empty() {
        title = whole.chars().take(MOST_OF_TITLE).collect();
    }
    title.trim_end_matches(['.', ':', ';', ',']).to_string() + " …"
}

/// A signal word at the head of a paragraph, and what follows it.
pub fn signal(plain: &str) -> Option<(&'static str, &str)> {
    ["danger", "warning", "caution", "notice"].iter().find_map(|word| Some((*word, headed(plain, word)?)))
}

/// The same of a word that stands in bold at the beginning, without a sign behind it.
pub fn signal_in_bold<'t>(plain: &'t str, marked: &str) -> Option<(&'static str, &'t str)> {
    let bold = marked.strip_prefix("**").or_else(|| marked.strip_prefix("__"))?;
    let (head, _) = bold.split_once(['*', '_'])?;
    let words = plain.strip_prefix(head)?;
    let word = ["danger", "warning", "caution", "notice"].into_iter().find(|word| head.eq_ignore_ascii_case(word))?;
    Some((word, words.trim_start()))
}

/// The signal word of a heading that says nothing else: *Safety warnings*.
pub fn signal_of_heading(title: &str) -> Option<&'static str> {
    const SIGNALS: &[(&str, &str)] = &[
        ("danger", "danger"),
        ("dangers", "danger"),
        ("warning", "warning"),
        ("warnings", "warning"),
        ("caution", "caution"),
        ("cautions", "caution"),
    ];
    const BESIDE: &[&str] = &["safety", "important", "general", "read", "first", "and", "please", "all"];
    let lower = title.to_lowercase();
    let all: Vec<&str> = lower.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty()).collect();
    let signal = |word: &str| SIGNALS.iter().find(|(said, _)| *said == word).map(|(_, signal)| *signal);
    let known = all.iter().all(|word| BESIDE.contains(word) || signal(word).is_some());
    all.iter().find_map(|word| signal(word)).filter(|_| known)
}

/// What follows `Note:` or `NOTE`.
pub fn note(plain: &str) -> Option<&str> {
    headed(plain, "note").filter(|rest| !rest.is_empty())
}

/// What follows a word in capitals, or one with a colon or exclamation mark.
fn headed<'t>(plain: &'t str, word: &str) -> Option<&'t str> {
    let start = plain.trim_start_matches(|c: char| !c.is_alphanumeric());
    let head = start.get(..word.len()).filter(|head| head.eq_ignore_ascii_case(word))?;
    let rest = start.get(word.len()..)?;
    // `[!WARNING]` heads what GitHub and others call an alert.
    let signs = rest.trim_start_matches([' ', ':', '!', '.', '-', '–', '—', '*', ']']);
    let marked = rest.trim_start().starts_with([':', '!', '–', '—']) || rest.is_empty();
    let capitals = head.chars().all(char::is_uppercase) && !rest.starts_with(char::is_alphanumeric);
    (marked || capitals).then_some(signs)
}

/// A message's words, sorted: what can hurt, how badly, how it is avoided.
pub fn message_parts(words: &str) -> [Vec<&str>; 3] {
    const AVOID: &[&str] = &[
        "always",
        "apply",
        "ask",
        "avoid",
        "check",
        "disconnect",
        "do",
        "follow",
        "hold",
        "keep",
        "leave",
        "let",
        "lift",
        "lock",
        "look",
        "make",
        "never",
        "put",
        "read",
        "remove",
        "set",
        "stand",
        "stay",
        "stop",
        "switch",
        "take",
        "turn",
        "use",
        "wait",
        "wear",
        "work",
    ];
    const MAY: &[&str] = &["can", "could", "may", "might", "will"];
    const HURT: &[&str] = &[
        "blind", "burn", "burns", "cause", "causes", "crush", "cut", "damage", "damages", "death", "die", "explode",
        "fire", "injure", "injures", "injuries", "injury", "kill", "kills", "shock", "start",
    ];
    let mut parts = [Vec::new(), Vec::new(), Vec::new()];
    for sentence in sentences(words) {
        let lower = sentence.to_lowercase();
        let all: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
        let has = |set: &[&str]| all.iter().any(|word| set.contains(word));
        let at = if all.first().is_some_and(|word| AVOID.contains(word)) {
            2
        } else if has(HURT) && has(MAY) || lower.starts_with("risk of") {
            1
        } else {
            0
        };
        if let Some(part) = parts.get_mut(at) {
            part.push(sentence);
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_are_found_and_words_are_not() {
        for (words, expected) in [
            ("to 45 N·m.", "to [45 N·m]."),
            ("45\u{a0}Nm ± 5 Nm now", "[45 Nm ± 5 Nm] now"),
            ("Put 2 in each hole", "Put 2 in each hole"),
            ("3 1/2 in long", "[3 1/2 in] long"),
            ("hole of 2 in.", "hole of [2 in]."),
            ("step 3 a", "step 3 a"),
            ("version 1.2.3 mm", "version 1.2.3 mm"),
            ("10-12 mm", "10-12 mm"),
            ("1,5 mm", "1,5 mm"),
            ("25 % of a_b", "[25 %] of a\\_b"),
        ] {
            assert_eq!(marked(words), expected);
        }
        assert_eq!(quoted("say \"10 mm\" [x] \\", true), "\"say \\\"10 mm\\\" \\[x\\] \\\\\"");
        assert_eq!(quoted("a 10 mm [x]", true), "\"a [10 mm] \\[x\\]\"");
    }

    #[test]
    fn sentences_end_where_the_next_begins() {
        assert_eq!(sentences("Lift it. Turn it."), ["Lift it.", "Turn it."]);
        assert_eq!(sentences("See fig. A for this. now"), ["See fig. A for this. now"]);
        assert_eq!(sentences("To [25 N·m]. Do it. (Fig. B)"), ["To [25 N·m].", "Do it. (Fig. B)"]);
        assert_eq!(sentences("*Lift this. Turn* it."), ["*Lift this. Turn* it."]);
    }

    #[test]
    fn signal_words_head_a_paragraph() {
        assert_eq!(signal("WARNING: Hot."), Some(("warning", "Hot.")));
        assert_eq!(signal("Caution! Sharp."), Some(("caution", "Sharp.")));
        assert_eq!(signal("DANGER"), Some(("danger", "")));
        assert_eq!(signal("Warning lamps are red."), None);
        assert_eq!(signal("Notices hang here."), None);
        assert_eq!(note("Note: slowly"), Some("slowly"));
        assert_eq!(note("Note the number."), None);
        let parts = message_parts("The plate is hot. It can burn a hand. Wear gloves.");
        assert_eq!(parts, [vec!["The plate is hot."], vec!["It can burn a hand."], vec!["Wear gloves."]]);
    }
}
