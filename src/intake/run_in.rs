//! A list that runs in a sentence: *You need: a spanner, a socket (13 mm) and 2 clamps.*

/// More words make no heading of a list.
const MOST_OF_A_HEAD: usize = 60;
/// A longer item is a sentence.
const MOST_OF_AN_ITEM: usize = 80;

/// What stands before the colon, and the items behind it without their articles; `None` for what is no such list.
pub fn list(sentence: &str) -> Option<(&str, Vec<&str>)> {
    let (head, rest) = sentence.split_once(": ")?;
    let rest = rest.trim().trim_end_matches('.');
    let is_one_sentence = !rest.contains(['!', '?', ':']) && !rest.split(". ").skip(1).any(begins_a_sentence);
    if head.trim().is_empty() || head.len() > MOST_OF_A_HEAD || !is_one_sentence {
        return None;
    }
    let mut items = parted(rest);
    if let Some(last) = items.pop() {
        items.extend(and_parted(last));
    }
    let items: Vec<&str> = items.into_iter().map(without_article).collect();
    let are_things = items.iter().all(|item| !item.is_empty() && item.len() <= MOST_OF_AN_ITEM);
    (items.len() > 1 && are_things).then_some((head, items))
}

fn begins_a_sentence(rest: &str) -> bool {
    rest.starts_with(char::is_uppercase)
}

/// Parted at commas and semicolons that stand in no parentheses, and in no number (`1,000`).
fn parted(rest: &str) -> Vec<&str> {
    let (mut items, mut from, mut depth) = (Vec::new(), 0, 0_usize);
    for (at, c) in rest.char_indices() {
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            ',' | ';' if depth == 0 && rest.get(at + 1..).is_some_and(|after| after.starts_with(' ')) => {
                items.extend(rest.get(from..at));
                from = at + 1;
            }
            _ => {}
        }
    }
    items.extend(rest.get(from..));
    items.into_iter().map(str::trim).collect()
}

/// The last item: `and a socket`, or two of them, `a spanner and 2 clamps`.
fn and_parted(last: &str) -> Vec<&str> {
    let last = last.strip_prefix("and ").unwrap_or(last);
    match last.split_once(" and ") {
        Some((one, other)) if begins_a_thing(other) => vec![one, other],
        _ => vec![last],
    }
}

/// Whether a new thing is counted or has its article.
fn begins_a_thing(words: &str) -> bool {
    without_article(words).len() < words.len() || words.starts_with(|c: char| c.is_ascii_digit())
}

fn without_article(item: &str) -> &str {
    let item = item.trim();
    ["a ", "an ", "the ", "some "].iter().find_map(|article| item.strip_prefix(article)).unwrap_or(item).trim_start()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_is_parted_where_its_things_are() {
        let told = "You need: a 13 mm socket, a torque wrench (8 to 40 N·m, 3/8 in), side cutters and 2 clamps.";
        let things = vec!["13 mm socket", "torque wrench (8 to 40 N·m, 3/8 in)", "side cutters", "2 clamps"];
        assert_eq!(list(told), Some(("You need", things)));
        let box_of = "In the box: 1 lamp with bracket and cable, 2 bolts M8 x 25 (8.8), and 10 cable ties";
        let things = vec!["1 lamp with bracket and cable", "2 bolts M8 x 25 (8.8)", "10 cable ties"];
        assert_eq!(list(box_of), Some(("In the box", things)));
    }

    #[test]
    fn what_is_no_list_is_left_alone() {
        for told in [
            "You need a socket, a spanner.",
            "You need: a socket.",
            "Tools: a socket, a spanner. Put them on the bench.",
            "Time: about 40 minutes. One person, two in wind.",
            "Note: the bolts, the nuts: all are new.",
            ": a, b",
            "Tools: , ,",
        ] {
            assert_eq!(list(told), None, "{told}");
        }
    }
}
