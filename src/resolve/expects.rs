//! The kinds of things that a section of a library may expect.

/// The kinds of things that a section may expect.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Expects {
    Part,
    Tool,
    Protection,
    Hazard,
    Action,
    Joint,
    Circuit,
    State,
    Option,
    Given,
    Observe,
    Measure,
    Result,
    Fact,
    Each,
}

impl Expects {
    /// By its word after `expects`.
    pub fn of(word: &str) -> Option<Expects> {
        Some(match word {
            "part" => Expects::Part,
            "tool" => Expects::Tool,
            "protection" => Expects::Protection,
            "hazard" => Expects::Hazard,
            "action" => Expects::Action,
            "joint" => Expects::Joint,
            "circuit" => Expects::Circuit,
            "state" => Expects::State,
            "option" => Expects::Option,
            "given" => Expects::Given,
            "observe" => Expects::Observe,
            "measure" => Expects::Measure,
            "result" => Expects::Result,
            "fact" => Expects::Fact,
            "each" => Expects::Each,
            _ => return None,
        })
    }

    /// In plain words, with its article: those of what is declared so.
    pub fn words(self) -> &'static str {
        match self {
            Expects::Part => "a part",
            Expects::Tool => "a tool",
            Expects::Protection => "protective equipment",
            Expects::Hazard => "a hazard",
            Expects::Action => "an action",
            Expects::Joint => "a joint",
            Expects::Circuit => "a circuit",
            Expects::State => "a state",
            Expects::Option => "an option",
            Expects::Given => "a given",
            Expects::Observe => "an observation",
            Expects::Measure => "a measure",
            Expects::Result => "a result",
            Expects::Fact => "a fact",
            Expects::Each => "a group of places",
        }
    }
}
