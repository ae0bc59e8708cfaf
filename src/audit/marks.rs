//! How a publication's values were confirmed, read from the words that the library writes.

/// From the strongest to the weakest; as a number, its place in that order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Mark {
    /// Equal to data that others keep.
    Data,
    /// By public copies or tables.
    Copy,
    /// By a rule.
    Rule,
    /// From memory.
    Memory,
    /// Common practice, or our own judgement.
    Practice,
}

impl Mark {
    /// The letter on the page.
    pub(super) fn letter(self) -> &'static str {
        match self {
            Mark::Data => "D",
            Mark::Copy => "C",
            Mark::Rule => "R",
            Mark::Memory => "M",
            Mark::Practice => "P",
        }
    }
}

/// The words by which a library says it.
const WORDS: [(&str, Mark); 11] = [
    ("equal to the data", Mark::Data),
    ("equal the data", Mark::Data),
    ("public", Mark::Copy),
    ("printed copy", Mark::Copy),
    ("trade page", Mark::Copy),
    ("catalogue", Mark::Copy),
    ("computed from", Mark::Rule),
    ("from memory", Mark::Memory),
    ("not read", Mark::Practice),
    ("common practice", Mark::Practice),
    ("our own", Mark::Practice),
];

/// The marks of a publication, the strongest first. Words that say nothing of this count as memory: nobody can check them.
pub(super) fn of(confirmed: &str) -> Vec<Mark> {
    let confirmed = confirmed.to_lowercase();
    let mut marks: Vec<Mark> =
        WORDS.iter().filter(|(words, _)| confirmed.contains(words)).map(|(_, mark)| *mark).collect();
    // "Common practice; no publication" says that there is none to be confirmed against.
    if confirmed.contains("no publication") {
        marks.retain(|mark| *mark != Mark::Copy);
    }
    if marks.is_empty() {
        marks.push(Mark::Memory);
    }
    marks.sort_unstable();
    marks.dedup();
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_of_a_library_become_marks() {
        assert_eq!(of("equal to the data of a package; M18 by a public copy"), [Mark::Data, Mark::Copy]);
        assert_eq!(of("700 MPa by a public copy; all else from memory"), [Mark::Copy, Mark::Memory]);
        assert_eq!(of("common practice; no publication"), [Mark::Practice]);
        assert_eq!(of("seen somewhere"), [Mark::Memory]);
    }
}
