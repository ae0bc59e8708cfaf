//! Did you mean: the nearest known name, or none.
//!
//! A wrong suggestion costs more than none, because a hurried writer takes it. Names in a workshop differ by one digit
//! (`socket-13`, `socket-14`) and are different things all the same: a digit is never corrected.

use std::collections::BTreeSet;

use super::Confidence;

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
    let may_be_close = known.iter().filter(|name| wanted.may_be_near(name));
    let close = may_be_close.filter_map(|name| Some((wanted.distance(&Shape::of(name))?, *name))).min();
    close.map(|(_, name)| name).or_else(|| only_continuation(word, &known))
}

/// How sure it is that `near`, the nearest of the candidates, was meant by `word`: safe where they are the same but for case and
/// hyphens, or one letter apart in a word of five or more, and no other candidate is nearly as close.
pub fn how_sure<'a>(word: &str, near: &str, candidates: impl IntoIterator<Item = &'a str>) -> Confidence {
    let wanted = Shape::of(word);
    let long = wanted.letters.chars().count() >= 5;
    let apart = |name: &str| {
        let other = Shape::of(name);
        (wanted.digits == other.digits).then(|| strsim::osa_distance(&wanted.letters, &other.letters))
    };
    let Some(slips) = apart(near).filter(|slips| *slips == 0 || long && *slips == 1) else { return Confidence::Look };
    let mut others = candidates.into_iter().filter(|name| *name != near && *name != word);
    let rivalled = others.any(|name| apart(name).is_some_and(|other| other <= slips + 1));
    if rivalled { Confidence::Look } else { Confidence::Safe }
}

/// So many sorts are named; a longer list nobody reads.
const MOST_SORTS: usize = 5;

/// The candidates of which a word is one whole word, sorted: `work-gloves` and `cut-gloves` where somebody writes `gloves`. None
/// where there are more than a writer would read.
pub fn sorts<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let wanted = word.to_lowercase();
    let is_one = |name: &&str| name.split(['-', '_']).any(|part| part == wanted) && *name != word;
    let all: BTreeSet<&str> = candidates.into_iter().filter(is_one).collect();
    if all.len() > MOST_SORTS { Vec::new() } else { all.into_iter().collect() }
}

/// So many letters apart two long names may be.
const MOST_APART: usize = 3;

/// What of a name is compared.
struct Shape {
    /// Letters and digits in lower case, without what joins them.
    letters: String,
    /// How many they are.
    length: usize,
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
        let length = letters.chars().count();
        Shape { letters, length, words, digits }
    }

    /// Whether a name can be close, by what is quickly counted.
    fn may_be_near(&self, name: &str) -> bool {
        let length = name.chars().filter(|c| c.is_alphanumeric()).count();
        // A letter beyond ASCII may be two in lower case.
        let allowed = if name.is_ascii() { most_apart(length.min(self.length)) } else { MOST_APART };
        length.abs_diff(self.length) <= allowed && self.digits.chars().eq(name.chars().filter(|c| c.is_numeric()))
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
        let allowed = most_apart(self.length.min(other.length));
        // What is this much longer needs no count, and of so short a name no letter may be another.
        if allowed == 0 || self.length.abs_diff(other.length) > allowed {
            return None;
        }
        let apart = strsim::osa_distance(&self.letters, &other.letters);
        (apart <= allowed).then_some(apart)
    }
}

/// So many letters apart two names may be of which the shorter has so many.
fn most_apart(shorter: usize) -> usize {
    match shorter {
        0..=2 => 0,
        3..=4 => 1,
        5..=9 => 2,
        _ => MOST_APART,
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
    fn sorts_of_a_thing_are_named_where_they_are_few() {
        assert_eq!(sorts("socket", TOOLS), ["socket-13", "socket-14"]);
        assert_eq!(sorts("Rule", TOOLS), ["steel-rule"]);
        assert_eq!(sorts("sock", TOOLS), [""; 0]);
        assert_eq!(sorts("a", ["a-1", "a-2", "a-3", "a-4", "a-5", "a-6"]), [""; 0], "too many to choose from");
    }

    #[test]
    fn only_one_slip_with_no_other_name_near_is_sure() {
        assert_eq!(how_sure("soket-13", "socket-13", TOOLS), Confidence::Safe);
        assert_eq!(how_sure("steel_rule", "steel-rule", TOOLS), Confidence::Safe);
        assert_eq!(how_sure("sokett-13", "socket-13", TOOLS), Confidence::Look, "two slips");
        assert_eq!(how_sure("torque-wrench", "torque-wrench-40", TOOLS), Confidence::Look, "digits are left out");
        assert_eq!(how_sure("pit", "pin", ["pin"]), Confidence::Look, "a short word");
        assert_eq!(
            how_sure("front-bram", "front-beam", ["front-beam", "front-tram"]),
            Confidence::Look,
            "two are near"
        );
    }

    #[test]
    fn the_answer_does_not_depend_on_the_order() {
        assert_eq!(nearest("beam", ["bean", "beat"]), nearest("beam", ["beat", "bean"]));
    }
}
