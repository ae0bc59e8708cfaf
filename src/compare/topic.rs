//! What a change is about, and whether it can matter to somebody's safety.

use crate::parse::forms::Block;

/// What a change is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Topic {
    /// Torques, the tolerances and stages of tightening.
    Torque,
    /// Joints, fasteners, and the parts whose data a proof takes.
    Joint,
    /// Limits and the facts in them.
    Limit,
    /// Safety messages and hazards.
    Message,
    /// Protective equipment.
    Protection,
    /// States, actions, what needs or makes a state, and how long is waited.
    State,
    /// Circuits, conductors, fuses, what is connected and disconnected.
    Circuit,
    /// Readings and results.
    Reading,
    /// Checks, what they expect, and what follows where they fail.
    Check,
    /// Conditions, branches and rules.
    Condition,
    /// Options and places.
    Option,
    /// Steps and sections that came or went.
    Step,
    /// What is done before what.
    Order,
    /// What a sentence tells besides its wording: numbers, mentions, negations.
    Told,
    /// Findings that were accepted.
    Acceptance,
    /// Kit, what is on the vehicle, what is taken and used up.
    Part,
    /// Tools.
    Tool,
    /// What is recorded, and the handover.
    Record,
    /// Times and people.
    Time,
    /// Pictures.
    Figure,
    /// Revision, units, libraries, whom it is for.
    Document,
    /// Names that only the text and programs know.
    Name,
    /// Words alone.
    Wording,
}

impl Topic {
    /// All, the gravest first, as they are told.
    pub const ALL: [Topic; 23] = [
        Topic::Torque,
        Topic::Joint,
        Topic::Limit,
        Topic::Message,
        Topic::Protection,
        Topic::State,
        Topic::Circuit,
        Topic::Reading,
        Topic::Check,
        Topic::Condition,
        Topic::Option,
        Topic::Step,
        Topic::Order,
        Topic::Told,
        Topic::Acceptance,
        Topic::Part,
        Topic::Tool,
        Topic::Record,
        Topic::Time,
        Topic::Figure,
        Topic::Document,
        Topic::Name,
        Topic::Wording,
    ];

    /// As a heading.
    pub fn words(self) -> &'static str {
        match self {
            Topic::Torque => "Torques",
            Topic::Joint => "Joints and fasteners",
            Topic::Limit => "Limits and facts",
            Topic::Message => "Safety messages and hazards",
            Topic::Protection => "Protective equipment",
            Topic::State => "States, actions and waiting",
            Topic::Circuit => "Circuits",
            Topic::Reading => "Readings and results",
            Topic::Check => "Checks",
            Topic::Condition => "Conditions",
            Topic::Option => "Options and places",
            Topic::Step => "Steps",
            Topic::Order => "Order",
            Topic::Told => "Instructions and notes",
            Topic::Acceptance => "Accepted findings",
            Topic::Part => "Parts and kit",
            Topic::Tool => "Tools",
            Topic::Record => "Record and handover",
            Topic::Time => "Times",
            Topic::Figure => "Pictures",
            Topic::Document => "Document",
            Topic::Name => "Names",
            Topic::Wording => "Wording",
        }
    }

    /// As a word for programs.
    pub fn key(self) -> &'static str {
        match self {
            Topic::Torque => "torque",
            Topic::Joint => "joint",
            Topic::Limit => "limit",
            Topic::Message => "message",
            Topic::Protection => "protection",
            Topic::State => "state",
            Topic::Circuit => "circuit",
            Topic::Reading => "reading",
            Topic::Check => "check",
            Topic::Condition => "condition",
            Topic::Option => "option",
            Topic::Step => "step",
            Topic::Order => "order",
            Topic::Told => "told",
            Topic::Acceptance => "acceptance",
            Topic::Part => "part",
            Topic::Tool => "tool",
            Topic::Record => "record",
            Topic::Time => "time",
            Topic::Figure => "figure",
            Topic::Document => "document",
            Topic::Name => "name",
            Topic::Wording => "wording",
        }
    }

    /// Whether somebody has to look at it for safety's sake before the revision is given out. Which topics are is our own
    /// choice: whatever a proof about strength, current, energy or order rests on, and all that warns.
    pub fn is_of_safety(self) -> bool {
        match self {
            Topic::Torque
            | Topic::Joint
            | Topic::Limit
            | Topic::Message
            | Topic::Protection
            | Topic::State
            | Topic::Circuit
            | Topic::Reading
            | Topic::Check
            | Topic::Condition
            | Topic::Option
            | Topic::Step
            | Topic::Order
            | Topic::Told
            | Topic::Acceptance => true,
            Topic::Part
            | Topic::Tool
            | Topic::Record
            | Topic::Time
            | Topic::Figure
            | Topic::Document
            | Topic::Name
            | Topic::Wording => false,
        }
    }

    /// Whether only words or names changed, as far as a program can tell.
    pub fn is_of_words(self) -> bool {
        matches!(self, Topic::Wording | Topic::Name)
    }
}

/// What a line is about by itself, by its block and its first word; `None` where it is about what the line around it is about.
pub fn of(home: Block, word: &str) -> Option<Topic> {
    Some(match (home, word) {
        (_, "accept") => Topic::Acceptance,
        (_, "hazard" | "consequence" | "avoid") if home == Block::Message => Topic::Message,
        (_, "short" | "source" | "number") => return None,
        (Block::File, "thread" | "grade" | "washer" | "screw" | "insert-nut" | "joint" | "part") => Topic::Joint,
        (Block::File, "wire" | "terminal" | "fuse" | "breaker" | "circuit" | "colours") => Topic::Circuit,
        (Block::File, "option" | "each") => Topic::Option,
        (Block::File, "observe" | "measure" | "given" | "result") => Topic::Reading,
        (Block::File, "require") => Topic::Condition,
        (Block::File, "fact" | "limit") => Topic::Limit,
        (Block::File, "kit" | "vehicle") => Topic::Part,
        (Block::File, "tool") => Topic::Tool,
        (Block::File, "protection") => Topic::Protection,
        (Block::File, "hazard") => Topic::Message,
        (Block::File, "action" | "state") => Topic::State,
        (Block::File, "figure") => Topic::Figure,
        (Block::File, "section") => Topic::Step,
        (Block::File, _) => Topic::Document,
        (Block::About, "wear") => Topic::Protection,
        (Block::Joint, "torque" | "tight" | "pattern" | "loosened") => Topic::Torque,
        (Block::Kit, _) => Topic::Part,
        (Block::Tool, "brings") | (Block::Part, "brings") | (Block::Action, "brings") => Topic::Message,
        (Block::Flow, "step") => Topic::Step,
        (Block::Flow, "check") => Topic::Check,
        (Block::Flow, "choose" | "when" | "else" | "for") => Topic::Condition,
        (Block::Flow, "set") => Topic::Reading,
        (Block::Flow, "stop") => Topic::Check,
        (Block::Flow, "handover") => Topic::Record,
        (Block::Choose, _) => Topic::Condition,
        (Block::Check, "expect" | "by" | "repair" | "else") => Topic::Check,
        (Block::Check, word) => return of(Block::Step, word),
        (Block::Handover, ">") => return None,
        (Block::Handover, _) => Topic::Record,
        (Block::Step, "danger" | "warning" | "caution" | "notice") => Topic::Message,
        (Block::Step, "read" | "set") => Topic::Reading,
        (Block::Step, "use") => Topic::Tool,
        (Block::Step, "wear") => Topic::Protection,
        (Block::Step, "take" | "discard" | "reuse" | "keep") => Topic::Part,
        (Block::Step, "place" | "snug" | "tighten" | "loosen" | "remove" | "refit") => Topic::Joint,
        (Block::Step, "connect" | "disconnect") => Topic::Circuit,
        (Block::Step, "need" | "make" | "do" | "wait") => Topic::State,
        (Block::Step, "expect") => Topic::Check,
        (Block::Step, "record") => Topic::Record,
        (Block::Step, "takes") => Topic::Time,
        (Block::Step, "figure") => Topic::Figure,
        (Block::Step, "note" | ">") => Topic::Told,
        _ => return None,
    })
}

/// Whether the order of the lines in a block is the order of the work.
pub(super) fn is_in_order(home: Block, word: &str) -> bool {
    match home {
        Block::File => word == "section",
        Block::Flow => true,
        Block::Step | Block::Check => !matches!(word, "use" | "wear" | "takes" | "figure" | "accept" | "note"),
        _ => false,
    }
}
