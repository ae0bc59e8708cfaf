//! Conditions of a generated procedure, as text.

use super::numbers::Ruler;
use super::sketch::{Atom, CondSketch, Cuts, Sketch};

/// Names of options and their values.
pub const OPTIONS: [(&str, &str, [&str; 3]); 3] = [
    ("arm", "Arm", ["strut", "powered", "none"]),
    ("side", "Loading side", ["kerb", "road", "rear"]),
    ("roof", "Roof", ["flat", "high", "raised"]),
];
/// Names of observations and their values.
pub const OBSERVES: [(&str, &str, [&str; 3]); 2] = [
    ("lamp", "Is the lamp lit?", ["lit", "dark", "weak"]),
    ("sill", "How does the sill look?", ["sound", "bent", "cracked"]),
];
/// Names of givens.
pub const GIVENS: [(&str, &str); 2] = [("sill-width", "Width of the sill"), ("door-width", "Width of the door")];
/// Names of measures.
pub const MEASURES: [(&str, &str); 2] = [("rail-width", "Width of the rail"), ("door-gap", "Gap of the door")];
/// The result.
pub const RESULT: (&str, &str, [&str; 3]) = ("hole", "Hole in the bracket", ["low", "middle", "high"]);

/// Something that a condition can speak of.
#[derive(Debug, Clone, Copy)]
pub enum Subject {
    /// A name and its values.
    Choice(&'static str, [&'static str; 3], u8),
    /// A name and its ruler.
    Number(&'static str, Ruler),
}

/// What may be spoken of at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// Before the job.
    Known,
    /// On the job.
    Job,
}

/// Options and givens, then readings and the result where the scope has them.
pub fn subjects(sketch: &Sketch, scope: Scope) -> Vec<Subject> {
    let options = OPTIONS.iter().zip(&sketch.options).map(|((name, _, values), n)| Subject::Choice(name, *values, *n));
    let givens =
        GIVENS.iter().zip(&sketch.givens).map(|((name, _), scale)| Subject::Number(name, Ruler::given(*scale)));
    let mut all: Vec<Subject> = options.chain(givens).collect();
    if scope == Scope::Job {
        all.extend(readings(sketch));
        all.extend(sketch.result.iter().map(|_| Subject::Choice(RESULT.0, RESULT.2, 3)));
    }
    all
}

/// Observations and measures.
pub fn readings(sketch: &Sketch) -> Vec<Subject> {
    let seen = OBSERVES.iter().zip(&sketch.observes).map(|((name, _, values), n)| Subject::Choice(name, *values, *n));
    let measured =
        MEASURES.iter().zip(&sketch.measures).map(|((name, _), scale)| Subject::Number(name, Ruler::measure(*scale)));
    seen.chain(measured).collect()
}

/// One of several, whatever the number.
pub fn pick<T>(from: &[T], which: u8) -> Option<&T> {
    if from.is_empty() { None } else { from.get(usize::from(which) % from.len()) }
}

/// An atom as text; `None` where nothing can be spoken of.
pub fn atom(sketch: &Sketch, scope: Scope, atom: Atom) -> Option<String> {
    let subjects = subjects(sketch, scope);
    let subject = pick(&subjects, atom.subject)?;
    if let Some(comparison) = comparison(&subjects, *subject, atom) {
        return Some(comparison);
    }
    Some(about(*subject, atom))
}

/// What is said of one subject.
pub fn about(subject: Subject, atom: Atom) -> String {
    match subject {
        Subject::Choice(name, values, count) => {
            let value = values[usize::from(atom.value % count)];
            if atom.form % 4 == 3 { format!("{name} is not {value}") } else { format!("{name} is {value}") }
        }
        Subject::Number(name, ruler) => {
            let mark = atom.value % ruler.marks();
            let said = match atom.form % 6 {
                0 | 1 => format!("at least {}", ruler.mark(mark)),
                2 => format!("at most {}", ruler.mark(mark)),
                3 => format!("over {}", ruler.mark(mark)),
                4 => format!("below {}", ruler.mark(mark)),
                _ => ruler.span(mark, (mark + 2).min(ruler.marks() - 1)),
            };
            format!("{name} is {said}")
        }
    }
}

/// Now and then two numbers are compared.
fn comparison(subjects: &[Subject], subject: Subject, atom: Atom) -> Option<String> {
    let Subject::Number(left, ruler) = subject else { return None };
    if atom.form % 16 < 12 {
        return None;
    }
    let numbers: Vec<&str> = subjects
        .iter()
        .filter_map(|other| match other {
            Subject::Number(name, _) if *name != left => Some(*name),
            _ => None,
        })
        .collect();
    let right = pick(&numbers, atom.value)?;
    Some(match atom.form % 4 {
        0 => format!("{left} <= {right}"),
        1 => format!("{left} + {} < {right}", ruler.step()),
        2 => format!("{left} >= {right}"),
        _ => format!("2 * {left} > {right}"),
    })
}

/// A condition as text.
pub fn cond(sketch: &Sketch, scope: Scope, cond: &CondSketch) -> Option<String> {
    written(sketch, scope, cond, false)
}

fn written(sketch: &Sketch, scope: Scope, cond: &CondSketch, inside: bool) -> Option<String> {
    let join = |parts: &[CondSketch], word: &str| {
        let mut parts: Vec<String> = parts.iter().filter_map(|part| written(sketch, scope, part, true)).collect();
        parts.dedup();
        match parts.as_slice() {
            [] => None,
            [only] => Some(only.clone()),
            _ if inside => Some(format!("({})", parts.join(word))),
            _ => Some(parts.join(word)),
        }
    };
    match cond {
        CondSketch::One(one) => atom(sketch, scope, *one),
        CondSketch::Not(inner) => Some(format!("not ({})", written(sketch, scope, inner, false)?)),
        CondSketch::All(parts) => join(parts, " and "),
        CondSketch::Any(parts) => join(parts, " or "),
    }
}

/// The patterns of a `choose`, at most three.
pub fn patterns(subject: Subject, cuts: Cuts) -> Vec<String> {
    match subject {
        Subject::Choice(_, values, count) => choice_patterns(&values[..usize::from(count)], cuts),
        Subject::Number(_, ruler) if ruler.continuous => continuous_patterns(ruler, cuts),
        Subject::Number(_, ruler) => stepped_patterns(ruler, cuts),
    }
}

fn choice_patterns(values: &[&str], cuts: Cuts) -> Vec<String> {
    let mut arms: Vec<String> = values.iter().map(|value| (*value).to_owned()).collect();
    if arms.len() > 2 && cuts.at[0].is_multiple_of(3) {
        let last = arms.pop().unwrap_or_default();
        arms[0] = format!("{}, {last}", arms[0]);
    }
    match cuts.slip {
        6 => arms.truncate(arms.len() - 1),
        7 => {
            let first = values[0];
            let last = arms.len() - 1;
            arms[last] = format!("{}, {first}", arms[last]);
        }
        8 => {
            let last = arms.len() - 1;
            arms[last] = "otherwise".to_owned();
        }
        _ => {}
    }
    arms
}

fn stepped_patterns(ruler: Ruler, cuts: Cuts) -> Vec<String> {
    let marks = ruler.marks();
    // The first mark of the second arm, and of the third where there is one.
    let second = 1 + cuts.at[0] % (marks - 1);
    let third = second + 1 + cuts.at[1] % marks;
    let mut ends = vec![(0, second - 1)];
    if third < marks {
        ends.extend([(second, third - 1), (third, marks - 1)]);
    } else {
        ends.push((second, marks - 1));
    }
    let last = ends.len() - 1;
    let mut arms: Vec<(u8, u8)> = ends;
    match cuts.slip {
        // A reading falls out, or falls into two arms.
        6 if arms[last].0 < arms[last].1 => arms[last].0 += 1,
        6 if arms[0].0 < arms[0].1 => arms[0].1 -= 1,
        7 => arms[last].0 -= 1,
        _ => {}
    }
    let mut texts: Vec<String> = arms.iter().map(|(low, high)| ruler.span(*low, *high)).collect();
    match cuts.slip {
        1 => texts[0] = format!("below {}", ruler.mark(second)),
        2 => texts[last] = format!("at least {}", ruler.mark(arms[last].0)),
        3 => texts[last] = format!("over {}", ruler.mark(arms[last].0 - 1)),
        8 => texts[last] = "otherwise".to_owned(),
        _ => {}
    }
    texts
}

fn continuous_patterns(ruler: Ruler, cuts: Cuts) -> Vec<String> {
    let inner = ruler.marks() - 2;
    let cut = 1 + cuts.at[0] % inner;
    let mark = ruler.mark(cut);
    match cuts.slip {
        0..=2 => vec![format!("below {mark}"), format!("at least {mark}")],
        3..=5 => vec![ruler.span(0, cut), format!("over {mark}")],
        // The mark itself is in no arm, or in two.
        6 => vec![format!("below {mark}"), format!("over {mark}")],
        7 => vec![format!("at most {mark}"), format!("at least {mark}")],
        _ => vec![format!("below {mark}"), "otherwise".to_owned()],
    }
}
