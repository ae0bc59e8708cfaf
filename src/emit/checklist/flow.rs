//! The flow: what happens, in order, and where it branches, repeats and ends.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::at_place::AtPlace;
use super::joined::Setting;
use super::people::{AnotherPerson, Qualified, Takes, Team};
use super::terms::StateIs;
use super::terms::{Condition, Number, Stated};
use super::things::{Counted, Signal, Taken};

/// A section.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Section {
    /// Stable name.
    pub id: String,
    /// As printed.
    pub number: u32,
    /// Title.
    pub title: String,
    /// Under which condition it happens.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Condition>,
    /// The condition in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when_words: Option<String>,
    /// What happens.
    pub body: Vec<Node>,
}

/// A statement of the flow. A reader refuses a kind that it does not know.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Node {
    /// A step.
    Step(Step),
    /// A check: its lines are done, then all of `expects` must hold. Where they do not, `repair` is done and the lines
    /// again, with new readings, at most `times` times; then `otherwise`.
    Check(Check),
    /// The first arm whose condition holds is done; exactly one does.
    Choose(Choose),
    /// `then` is done where the condition holds, `else` where it does not.
    When(When),
    /// A result is decided.
    Set(Set),
    /// The job ends without handover.
    Stop(Stop),
    /// The job ends well.
    Handover(Handover),
}

/// A step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Step {
    /// Stable name.
    pub id: String,
    /// As printed.
    pub number: String,
    /// Title.
    pub title: String,
    /// Where it is, of a thing that the source says once for several places.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<AtPlace>,
    /// Under which condition it happens.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Condition>,
    /// The condition in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when_words: Option<String>,
    /// How long it takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub takes: Option<Takes>,
    /// How many people it needs, where it states no time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub team: Option<Team>,
    /// Who may do it, where a code or a licence decides that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub qualified: Option<Qualified>,
    /// Of a check that another person does than whoever did the work.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub another_person: Option<AnotherPerson>,
    /// Changes when the step may mean something else; readers compare it and never compute it. It covers the words, the
    /// lines and everything that they name, for a check also what it expects, its repair and its end; not the number.
    #[schemars(extend("pattern" = "^[0-9a-f]{64}$"))]
    pub content_digest: String,
    /// What happens, in order. Messages are acknowledged before anything else of the step.
    pub lines: Vec<Line>,
}

/// A check.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Check {
    /// Its lines.
    pub step: Step,
    /// All must hold.
    pub expects: Vec<Condition>,
    /// Each of `expects` in words, in the same order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub expects_words: Vec<String>,
    /// What is done where they do not.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repair: Option<Repair>,
    /// What happens where they never do.
    pub otherwise: Otherwise,
}

/// A bounded repair.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Repair {
    /// At most so many times.
    pub times: u32,
    /// What is done.
    pub body: Vec<Node>,
}

/// What happens where a check fails for good.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Otherwise {
    /// The job ends.
    Stop(Stop),
    /// The job goes on; the technician is told this.
    GoOn {
        /// What.
        text: String,
    },
}

/// A branch on one input.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Choose {
    /// Stable name, made of where it stands and the input.
    pub id: String,
    /// The input.
    pub input: String,
    /// The arms, in order.
    pub arms: Vec<Arm>,
}

/// An arm.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Arm {
    /// What it covers; missing for the arm that takes what no other does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Condition>,
    /// What it covers, in words.
    pub words: String,
    /// The same without the title of the input: `46 mm to 70 mm`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub covers: Option<String>,
    /// What happens.
    pub body: Vec<Node>,
}

/// A branch on a condition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct When {
    /// Stable name, made of where it stands and the inputs of the condition.
    pub id: String,
    /// The condition.
    #[serde(rename = "if")]
    pub condition: Condition,
    /// The condition in words.
    pub words: String,
    /// The opposite in words, where `else` has something.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub else_words: Option<String>,
    /// Where it holds.
    pub then: Vec<Node>,
    /// Where it does not.
    #[serde(rename = "else")]
    pub otherwise: Vec<Node>,
}

/// A result is decided.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Set {
    /// Stable name.
    pub id: String,
    /// Which result.
    pub result: String,
    /// Its value.
    pub value: String,
}

/// The job ends without handover.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Stop {
    /// Stable name.
    pub id: String,
    /// What the technician is told.
    pub text: String,
    /// What must be so before the vehicle leaves.
    pub leave_as: Vec<StateIs>,
}

/// The job ends well.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Handover {
    /// Stable name.
    pub id: String,
    /// What must be so before the vehicle leaves.
    pub leave_as: Vec<StateIs>,
    /// What is done, in order.
    pub lines: Vec<HandoverLine>,
}

/// A line of the handover.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum HandoverLine {
    /// Each of these signs.
    Sign {
        /// Stable name.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        id: Option<String>,
        /// Who.
        who: Vec<String>,
    },
    /// What the customer is shown.
    Show {
        /// Stable name.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        id: Option<String>,
        /// What.
        text: String,
    },
    /// What the shop keeps.
    Keep {
        /// Stable name.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        id: Option<String>,
        /// What.
        text: String,
    },
    /// What is thrown away, and how.
    Dispose {
        /// Stable name.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        id: Option<String>,
        /// What.
        text: String,
    },
    /// A note.
    Note {
        /// Stable name.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        id: Option<String>,
        /// What it says.
        text: String,
    },
    /// Prose.
    Text {
        /// Stable name.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        id: Option<String>,
        /// What it says.
        prose: Prose,
        /// The joints that are to be tightened again after the job; the prose says so.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        again: Vec<String>,
    },
}

/// Prose.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Prose {
    /// Plain text, mentions in words.
    pub text: String,
    /// CommonMark, mentions in square brackets. Shown without HTML.
    pub markdown: String,
    /// What each bracketed text means, in the order of the text.
    pub mentions: Vec<Mention>,
}

/// A mention.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Mention {
    /// The text between the brackets.
    pub text: String,
    /// In words.
    pub words: String,
    /// What sort of thing it means.
    pub means: Means,
    /// The thing's stable name; missing for an amount.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
    /// Which figure is meant, by its stable name; `id` is then the step that shows it first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub figure: Option<String>,
    /// Which action of the step is meant, by its letter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub letter: Option<String>,
    /// The amount.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount: Option<Stated>,
}

/// What sort of thing a mention means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "each is the thing of the same name")]
pub enum Means {
    Part,
    Tool,
    Protection,
    Input,
    Fact,
    Joint,
    Circuit,
    State,
    Step,
    Amount,
}

/// A number on a picture, and what it points at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Callout {
    /// The number. Two callouts have one number only where they point at the same.
    #[schemars(range(min = 1, max = 99))]
    pub number: u32,
    /// What it points at, in words, for the legend.
    pub title: String,
    /// What sort of thing that is.
    pub means: Means,
    /// The thing's stable name; several are one thing at each of several places.
    pub of: Vec<String>,
    /// How far from the left side, in percent of the picture's width: 0 to 100.
    pub across: Number,
    /// How far from the top, in percent of the picture's height: 0 to 100.
    pub down: Number,
}

/// A time in which nothing is done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Wait {
    /// How long.
    pub time: Stated,
    /// What is waited for, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<String>,
}

/// Parts that are taken from the kit, and what is made of them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PartsLine {
    /// What is taken, or used up in making others.
    pub take: Vec<Counted>,
    /// What is made of it; empty where nothing is.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub make: Vec<Counted>,
    /// With which tools.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tools: Vec<ToolPlace>,
}

/// One place in a list of tools.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ToolPlace {
    /// Any one of these does.
    pub any_of: Vec<String>,
    /// How many at once.
    pub count: u32,
    /// Whether it holds the other side.
    pub hold: bool,
    /// The titles in words, with what tells tools of one title apart: `2 × Spanner, 19 mm or Socket, 19 mm`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
}

/// A line of a step. Its `id` is made of the step's name, the kind and what it is about, and a count where that is not
/// enough; it survives rewording. A reader refuses a kind that it does not know.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Line {
    /// Stable name.
    pub id: String,
    /// Whether it is done by hand: without a tool, however near one lies.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub by_hand: bool,
    /// Its letter, where it is one of several actions of its step: `a`, `b`, … `z`, `aa`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub letter: Option<String>,
    /// What it says.
    pub does: Does,
}

/// What a line says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Does {
    /// Prose.
    Text {
        /// What it says.
        prose: Prose,
        /// A time in which nothing is done: the instruction is to wait. An app may run a clock.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        wait: Option<Wait>,
        /// Parts that are taken, some of them not by a plain count, or made of others. The prose says the same.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        parts: Option<PartsLine>,
        /// Parts in hand that are put aside for the owner. The prose says the same.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        keep: Vec<Counted>,
        /// Parts that came off and serve again, in a joint that is placed with them. The prose says the same.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        reuse: Vec<Counted>,
    },
    /// A note, never an instruction.
    Note {
        /// What it says.
        text: String,
    },
    /// A safety message, to be acknowledged before the step.
    Message {
        /// The signal word.
        signal: Signal,
        /// The hazard that it answers.
        hazard: String,
        /// Nature of the hazard.
        nature: String,
        /// What happens.
        consequence: String,
        /// How to avoid it.
        avoid: String,
    },
    /// Inputs are read, each time anew.
    Read {
        /// Which.
        inputs: Vec<String>,
    },
    /// Tools are used.
    Use {
        /// Which.
        tools: Vec<ToolPlace>,
        /// Whether the work can be done without.
        optional: bool,
        /// What they are good for.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        benefit: Option<String>,
    },
    /// Protective equipment is worn.
    Wear {
        /// Which.
        protection: Vec<String>,
    },
    /// Parts are taken from the kit.
    Take {
        /// Which.
        parts: Vec<Counted>,
    },
    /// Parts come off the vehicle and are in hand.
    Remove {
        /// Which.
        parts: Vec<Counted>,
        /// With which tools.
        tools: Vec<ToolPlace>,
    },
    /// Parts in hand go back on the vehicle.
    Refit {
        /// Which.
        parts: Vec<Counted>,
    },
    /// Parts in hand are thrown away.
    Discard {
        /// Which.
        parts: Vec<Counted>,
    },
    /// A joint is put together with new parts.
    Place {
        /// Which.
        joint: String,
    },
    /// A joint is run up by hand.
    Snug {
        /// Which.
        joint: String,
        /// With which tools.
        tools: Vec<ToolPlace>,
    },
    /// A joint is brought to its torque or criterion.
    Tighten {
        /// Which.
        joint: String,
        /// With which tools.
        tools: Vec<ToolPlace>,
        /// What its torque wrenches are set to through adapters that make their levers longer; one for each choice of tools.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        settings: Vec<Setting>,
    },
    /// A joint is loosened and stays in place.
    Loosen {
        /// Which.
        joint: String,
        /// With which tools.
        tools: Vec<ToolPlace>,
    },
    /// A joint is taken apart; its parts are in hand.
    RemoveJoint {
        /// Which.
        joint: String,
        /// With which tools.
        tools: Vec<ToolPlace>,
    },
    /// A joint is put together with the parts that were taken off it.
    RefitJoint {
        /// Which.
        joint: String,
    },
    /// Points are connected, in this order.
    Connect {
        /// Of which circuit.
        circuit: String,
        /// Which points.
        points: Vec<String>,
        /// With which tools.
        tools: Vec<ToolPlace>,
    },
    /// Points are disconnected, in this order.
    Disconnect {
        /// Of which circuit.
        circuit: String,
        /// Which points.
        points: Vec<String>,
        /// With which tools.
        tools: Vec<ToolPlace>,
    },
    /// A state must hold before the step.
    Need {
        /// Which, and how.
        state: StateIs,
    },
    /// A state holds after the step.
    Make {
        /// Which, and how.
        state: StateIs,
    },
    /// A result is decided.
    Set {
        /// Which result.
        result: String,
        /// Its value.
        value: String,
    },
    /// A named action is done.
    Do {
        /// Which.
        action: String,
        /// What must be so before it is done, as its action says. An app shows each, and asks that it is so.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        needs: Vec<StateIs>,
    },
    /// The torque of each fastening is written down.
    RecordTorque {
        /// Of which joint.
        joint: String,
        /// How many torques.
        count: u32,
    },
    /// A reading is written down.
    RecordReading {
        /// Which.
        input: String,
    },
    /// Text is written down.
    RecordText {
        /// What it must say.
        what: String,
        /// Where it must be a whole number: how many of a part were taken.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        number: Option<Taken>,
    },
    /// A photograph is taken.
    RecordPhoto {
        /// What it must show.
        what: String,
    },
    /// A picture is shown.
    Figure {
        /// Path of one of the `assets`.
        asset: String,
        /// Words for those who cannot see it.
        alt: String,
        /// The number of the figure, as printed.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        number: Option<u32>,
        /// Its stable name, where it has one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        figure: Option<String>,
        /// Under which condition it is shown.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        when: Option<Condition>,
        /// The condition in words.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        when_words: Option<String>,
        /// What it points at.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        callouts: Vec<Callout>,
    },
}
