//! Why a procedure can't be tailored so, in words for whoever stands at the keyboard.

use std::fmt;

use crate::source::{Sources, Span};

/// Why a procedure can't be tailored so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// Not `NAME=VALUE`.
    Form {
        /// As written.
        text: String,
    },
    /// Two values of one thing.
    Twice {
        /// The option or given.
        name: String,
        /// The one value.
        first: String,
        /// The other.
        second: String,
    },
    /// The procedure has no such option or given.
    UnknownName {
        /// The procedure.
        procedure: String,
        /// As written.
        name: String,
        /// What was perhaps meant.
        near: Option<String>,
        /// All that there are.
        known: Vec<String>,
    },
    /// The option has no such value.
    UnknownValue {
        /// The option.
        name: String,
        /// As written.
        value: String,
        /// What was perhaps meant.
        near: Option<String>,
        /// All that there are.
        known: Vec<String>,
    },
    /// The amount is not one that the given can have.
    Amount {
        /// The given.
        name: String,
        /// As written.
        value: String,
        /// What is wrong with it.
        why: String,
        /// What it can be.
        range: String,
    },
    /// A reading.
    ReadOnTheJob {
        /// Its name.
        name: String,
    },
    /// A result.
    Result {
        /// Its name.
        name: String,
    },
    /// A fact.
    Fact {
        /// Its name.
        name: String,
        /// Its value.
        value: String,
    },
    /// What is chosen has no such given.
    NotThere {
        /// Its name.
        name: String,
        /// Where there is one.
        when: Span,
    },
    /// The rules don't allow these together.
    Contradiction {
        /// What was asked for and takes part in it.
        wishes: Vec<String>,
        /// The rules, each with its reason.
        rules: Vec<(Span, String)>,
    },
    /// A limit turns every such vehicle away.
    Limit {
        /// What was asked for.
        wishes: Vec<String>,
        /// Its title.
        title: String,
        /// What must hold, in the source.
        holds: Span,
        /// What its sides come to: `98 kg <= 90 kg`.
        numbers: Option<String>,
        /// What the technician would be told.
        stop: Option<String>,
    },
    /// Every job ends with a stop.
    NoWayOut {
        /// What was asked for.
        wishes: Vec<String>,
        /// What the stops say.
        stops: Vec<String>,
    },
}

/// Of more stops than this, the first ones are told.
pub(super) const MOST_STOPS: usize = 3;

impl Refusal {
    /// In words, rules and limits as they are written; `sources` are those of the procedure. Printed without them, a refusal
    /// says the same and leaves those out.
    pub fn words(&self, sources: &Sources) -> String {
        let source = |span: &Span| one_line(sources.text(*span));
        match self {
            Refusal::Form { text } => {
                format!(
                    "`--with {text}` has no value; write NAME=VALUE, for example --with arm=powered or --with load=\"150 kg\""
                )
            }
            Refusal::Twice { name, first, second } => {
                format!("{name} can't be both {first} and {second}; name one value for it")
            }
            Refusal::UnknownName { procedure, name, near, known } => {
                let meant = near.as_ref().map_or_else(String::new, |near| format!(" Did you mean {near}?"));
                let has = match known.as_slice() {
                    [] => "It has none at all, so that there is nothing to choose".to_owned(),
                    known => format!("It has these: {}", known.join(", ")),
                };
                format!("{procedure} has no option and no given called {name}.{meant} ({has}.)")
            }
            Refusal::UnknownValue { name, value, near, known } => {
                let meant = near.as_ref().map_or_else(String::new, |near| format!(" Did you mean {name}={near}?"));
                format!("{name} has no value called {value}.{meant} (Its values are: {}.)", known.join(", "))
            }
            Refusal::Amount { name, value, why, range } => {
                format!("{name} can't be \"{value}\": {why}. (It goes from {range}.)")
            }
            Refusal::ReadOnTheJob { name } => format!(
                "{name} is read on the job, so that nobody can know it before; the manual keeps what follows from each \
                 reading. Only options and givens can be chosen."
            ),
            Refusal::Result { name } => format!(
                "{name} is decided by the procedure as the work goes on; choose the options and givens that it follows from"
            ),
            Refusal::Fact { name, value } => {
                format!("{name} is {value} in every job; only options and givens can be chosen")
            }
            Refusal::NotThere { name, when } => match source(when) {
                when if when.is_empty() => format!("{name} is not asked with what is chosen"),
                when => format!("{name} is asked only when {when}, which is not chosen"),
            },
            Refusal::Contradiction { wishes, rules } => {
                let told = |(span, reason): &(Span, String)| match source(span) {
                    rule if rule.is_empty() => sentence(reason),
                    rule => format!("{} (The rule: {}.)", sentence(reason), before_reason(&rule)),
                };
                let rules: Vec<String> = rules.iter().map(told).collect();
                let together = if wishes.len() == 1 { "" } else { " together" };
                format!("{} can't be had{together}. {}", and(wishes), rules.join(" "))
            }
            Refusal::Limit { wishes, title, holds, numbers, stop } => {
                let numbers = numbers.as_ref().map(|n| format!("here {n}, which is not so"));
                let why: Vec<String> = [Some(source(holds)), numbers].into_iter().flatten().collect();
                let why = why.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ");
                let why = if why.is_empty() { String::new() } else { format!(" ({why})") };
                let stop = stop.as_ref().map_or_else(String::new, |stop| format!(" {}", sentence(stop)));
                format!("with {} this limit is broken: {title}{why}.{stop}", and(wishes))
            }
            Refusal::NoWayOut { wishes, stops } => {
                let stops: Vec<String> = stops.iter().map(|stop| sentence(stop)).collect();
                let stops =
                    if stops.is_empty() { String::new() } else { format!("; it stops with: {}", stops.join(" ")) };
                format!("with {} no job gets to its handover{stops}", and(wishes))
            }
        }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words(&Sources::default()))
    }
}

impl std::error::Error for Refusal {}

fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.ends_with(['.', '!', '?']) { text.to_owned() } else { format!("{text}.") }
}

/// The words of a rule without its reason, which is said already.
fn before_reason(rule: &str) -> &str {
    rule.split_once(" \"").map_or(rule, |(words, _)| words)
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn and(parts: &[String]) -> String {
    match parts.split_last() {
        None => "these options".to_owned(),
        Some((last, [])) => last.clone(),
        Some((last, first)) => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_without_its_sources_quotes_nothing() {
        let holds = Span::new(crate::source::FileId::new(0), 0, 4);
        let wishes = vec!["load=\"98 kg\"".to_owned()];
        let numbers = Some("98 kg <= 90 kg".to_owned());
        let limit = Refusal::Limit { wishes: wishes.clone(), title: "Roof".into(), holds, numbers, stop: None };
        assert_eq!(
            limit.to_string(),
            "with load=\"98 kg\" this limit is broken: Roof (here 98 kg <= 90 kg, which is not so)."
        );
        let rules = vec![(holds, "The arm needs two hands".to_owned())];
        let contradiction = Refusal::Contradiction { wishes, rules };
        assert_eq!(contradiction.to_string(), "load=\"98 kg\" can't be had. The arm needs two hands.");
    }
}
