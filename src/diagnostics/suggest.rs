//! Did you mean: the nearest known name, or none.
//!
//! A wrong suggestion costs more than none, because a hurried writer takes it. Names in a workshop differ by one digit
//! (`socket-13`, `socket-14`) and are different things all the same: a digit is never corrected.

/// The candidate that was most likely meant by `word`; `None` where nothing is close.
///
/// The caller offers only names of the kind that the place asks for (tools where a tool stands). Close means: the same
/// but for case, hyphens and underscores; the same words in another order; a beginning that only one candidate
/// continues; or few letters apart (one in a word of three or four, two in up to nine, three beyond), with the same digits
/// in the same order. Letters apart are counted as optimal string alignment does (insert, drop, change, swap).
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = Shape::of(word);
    if wanted.letters.is_empty() {
        return None;
    }
    let known: Vec<&str> = candidates.into_iter().filter(|candidate| *candidate != word).collect();
    let close = known.iter().filter_map(|name| Some((wanted.distance(&Shape::of(name))?, *name))).min();
    close.map(|(_, name)| name).or_else(|| only_continuation(word, &known))
}

/// What of a name is compared.
struct Shape {
    /// Letters and digits in lower case, without what joins them.
    letters: String,
    /// Its words, sorted.
    words: Vec<String>,
    /// Its digits.
    digits: String,
}

impl Shape {
    fn of(name: &str) -> Shape {
        let lower = name.to_lowercase();
        let mut words: Vec<String> =
            lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_owned).collect();
        let letters = words.concat();
        let digits = letters.chars().filter(|c| c.is_numeric()).collect();
        words.sort();
        Shape { letters, words, digits }
    }

    /// How far apart, where that is close.
    fn distance(&self, other: &Shape) -> Option<usize> {
        if self.digits != other.digits {
            return None;
        }
        if self.letters == other.letters {
            return Some(0);
        }
        if self.words.len() > 1 && self.words == other.words {
            return Some(1);
        }
        let shorter = self.letters.chars().count().min(other.letters.chars().count());
        let allowed = match shorter {
            0..=2 => 0,
            3..=4 => 1,
            5..=9 => 2,
            _ => 3,
        };
        let apart = strsim::osa_distance(&self.letters, &other.letters);
        (apart <= allowed).then_some(apart)
    }
}

/// How many letters are dropped, added, changed or swapped with their neighbour between two words.
pub fn letters_apart(one: &str, other: &str) -> usize {
    strsim::osa_distance(one, other)
}

/// `torque-wrench` where `torque-wrench-40` is the only name that goes on from it.
fn only_continuation<'a>(word: &str, known: &[&'a str]) -> Option<&'a str> {
    if word.chars().count() < 3 {
        return None;
    }
    let mut longer =
        known.iter().filter(|name| name.strip_prefix(word).is_some_and(|rest| rest.starts_with(['-', '/'])));
    match (longer.next(), longer.next()) {
        (Some(only), None) => Some(only),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TOOLS: [&str; 6] = ["socket-13", "socket-14", "spanner-13", "torque-wrench-40", "steel-rule", "hex-key-6"];

    #[test]
    fn a_slip_of_the_finger_is_found() {
        assert_eq!(nearest("soket-13", TOOLS), Some("socket-13"));
        assert_eq!(nearest("socket13", TOOLS), Some("socket-13"));
        assert_eq!(nearest("Steel_Rule", TOOLS), Some("steel-rule"));
        assert_eq!(nearest("rule-steel", TOOLS), Some("steel-rule"));
        assert_eq!(nearest("torque-wrench", TOOLS), Some("torque-wrench-40"));
        assert_eq!(nearest("tourqe-wrench-40", TOOLS), Some("torque-wrench-40"));
    }

    #[test]
    fn no_suggestion_is_better_than_a_silly_one() {
        assert_eq!(nearest("socket-15", TOOLS), None, "another size is another tool");
        assert_eq!(nearest("hammer", TOOLS), None);
        assert_eq!(nearest("so", TOOLS), None);
        assert_eq!(nearest("socket", TOOLS), None, "two sockets go on from it");
        assert_eq!(nearest("", TOOLS), None);
        assert_eq!(nearest("-", TOOLS), None);
        assert_eq!(nearest("bat", ["cot", "dog"]), None);
    }

    #[test]
    fn the_answer_does_not_depend_on_the_order() {
        assert_eq!(nearest("beam", ["bean", "beat"]), nearest("beam", ["beat", "bean"]));
    }
}
