//! The members of a checklist that a record is judged by, as they stand in the file.
//!
//! Members that are not named here are ignored. Kinds and operators that are not named here are refused.

use serde::Deserialize;

use super::numbers::{AmountText, UnitText};

#[derive(Debug, Deserialize)]
pub struct Content {
    pub procedure: ProcedureText,
    #[serde(default)]
    pub effectivity: Vec<ChosenText>,
    pub units: Vec<UnitText>,
    pub inputs: Vec<InputText>,
    pub rules: Vec<RuleText>,
    pub limits: Vec<LimitText>,
    pub joints: Vec<JointText>,
    pub flow: Vec<SectionText>,
}

/// Which procedure.
#[derive(Debug, Clone, Deserialize)]
pub struct ProcedureText {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// The language of its texts, a tag of RFC 5646.
    #[serde(default)]
    pub language: Option<String>,
    /// Its revision.
    #[serde(default)]
    pub revision: Option<RevisionText>,
}

/// An option or given that was settled when the checklist was made.
#[derive(Debug, Clone, Deserialize)]
pub struct ChosenText {
    pub title: String,
    #[serde(default)]
    pub words: String,
    #[serde(default)]
    pub follows: bool,
}

/// A revision.
#[derive(Debug, Clone, Deserialize)]
pub struct RevisionText {
    /// `C`
    pub mark: String,
    /// ISO 8601 date.
    #[serde(default)]
    pub date: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum InputText {
    Option(ChoiceText),
    Observe(ChoiceText),
    Result(ChoiceText),
    Given(NumberText),
    Measure(NumberText),
}

#[derive(Debug, Clone, Deserialize)]
pub struct ChoiceText {
    pub id: String,
    pub title: String,
    pub values: Vec<ValueText>,
}

#[derive(Debug, Clone, Deserialize)]
pub struct ValueText {
    pub id: String,
    pub label: String,
}

#[derive(Debug, Clone, Deserialize)]
pub struct NumberText {
    pub id: String,
    pub title: String,
    pub quantity: String,
    pub low: AmountText,
    pub high: AmountText,
    #[serde(default)]
    pub reads: Option<AmountText>,
    /// The range in print, in which an answer is taken at all.
    #[serde(default)]
    pub shown: String,
    /// Under which condition a given is asked.
    #[serde(default)]
    pub when: Option<ConditionText>,
}

#[derive(Debug, Deserialize)]
pub struct RuleText {
    pub holds: ConditionText,
    #[serde(default)]
    pub when: Option<ConditionText>,
    pub reason: String,
}

#[derive(Debug, Deserialize)]
pub struct LimitText {
    pub id: String,
    pub title: String,
    #[serde(default)]
    pub when: Option<ConditionText>,
    pub holds: ConditionText,
    #[serde(default)]
    pub words: String,
    #[serde(default)]
    pub stop: Option<String>,
}

#[derive(Debug, Clone, Deserialize)]
pub struct JointText {
    pub id: String,
    pub title: String,
    #[serde(default)]
    pub when: Option<ConditionText>,
    #[serde(default)]
    pub torque: Option<StatedText>,
}

#[derive(Debug, Clone, Deserialize)]
pub struct StatedText {
    #[serde(default)]
    pub low: Option<BoundText>,
    #[serde(default)]
    pub high: Option<BoundText>,
    #[serde(default)]
    pub shown: String,
}

#[derive(Debug, Clone, Deserialize)]
pub struct BoundText {
    pub value: String,
    pub unit: String,
    pub included: bool,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(tag = "op", rename_all = "kebab-case")]
pub enum ConditionText {
    Is {
        input: String,
        value: String,
    },
    In {
        input: String,
        #[serde(default)]
        low: Option<BoundText>,
        #[serde(default)]
        high: Option<BoundText>,
    },
    All {
        of: Vec<ConditionText>,
    },
    Any {
        of: Vec<ConditionText>,
    },
    Not {
        of: Box<ConditionText>,
    },
    Compare {
        left: ExpressionText,
        relation: Relation,
        right: ExpressionText,
    },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Relation {
    AtMost,
    Below,
    AtLeast,
    Over,
    Equal,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(tag = "op", rename_all = "kebab-case")]
pub enum ExpressionText {
    Fact { amount: AmountText },
    Input { input: String },
    Amount { amount: AmountText },
    Number { value: String },
    Add { left: Box<ExpressionText>, right: Box<ExpressionText> },
    Subtract { left: Box<ExpressionText>, right: Box<ExpressionText> },
    Multiply { left: Box<ExpressionText>, right: Box<ExpressionText> },
    Divide { left: Box<ExpressionText>, right: Box<ExpressionText> },
    Least { of: Vec<ExpressionText> },
    Greatest { of: Vec<ExpressionText> },
}

#[derive(Debug, Deserialize)]
pub struct SectionText {
    pub id: String,
    #[serde(default)]
    pub when: Option<ConditionText>,
    pub body: Vec<NodeText>,
}

#[derive(Debug, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum NodeText {
    Step(StepText),
    Check(CheckText),
    Choose {
        id: String,
        input: String,
        arms: Vec<ArmText>,
    },
    When {
        id: String,
        #[serde(rename = "if")]
        condition: ConditionText,
        then: Vec<NodeText>,
        #[serde(rename = "else")]
        otherwise: Vec<NodeText>,
    },
    Set {
        result: String,
        value: String,
    },
    Stop(StopText),
    Handover {
        id: String,
        lines: Vec<HandoverLineText>,
    },
}

#[derive(Debug, Deserialize)]
pub struct StepText {
    pub id: String,
    pub number: String,
    pub title: String,
    #[serde(default)]
    pub when: Option<ConditionText>,
    #[serde(default)]
    pub takes: Option<TakesText>,
    #[serde(default)]
    pub team: Option<TeamText>,
    #[serde(default)]
    pub another_person: Option<AnotherPersonText>,
    pub content_digest: String,
    pub lines: Vec<LineText>,
}

#[derive(Debug, Deserialize)]
pub struct TakesText {
    /// How long it takes; a file may say it in a way that is not understood here.
    #[serde(default)]
    pub time: Option<StatedText>,
    pub people: u32,
}

#[derive(Debug, Deserialize)]
pub struct TeamText {
    pub people: u32,
}

#[derive(Debug, Deserialize)]
pub struct AnotherPersonText {
    pub not_of: Vec<String>,
}

#[derive(Debug, Deserialize)]
pub struct CheckText {
    pub step: StepText,
    pub expects: Vec<ConditionText>,
    #[serde(default)]
    pub repair: Option<RepairText>,
    pub otherwise: OtherwiseText,
}

#[derive(Debug, Deserialize)]
pub struct RepairText {
    pub times: u32,
    pub body: Vec<NodeText>,
}

#[derive(Debug, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum OtherwiseText {
    Stop(StopText),
    GoOn { text: String },
}

#[derive(Debug, Deserialize)]
pub struct ArmText {
    #[serde(default)]
    pub when: Option<ConditionText>,
    /// What it covers, for people.
    #[serde(default)]
    pub words: String,
    /// The same without the title of the input.
    #[serde(default)]
    pub covers: Option<String>,
    pub body: Vec<NodeText>,
}

#[derive(Debug, Deserialize)]
pub struct StopText {
    pub id: String,
    pub text: String,
}

#[derive(Debug, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum HandoverLineText {
    Sign {
        who: Vec<String>,
    },
    Show,
    Keep,
    Dispose,
    Note,
    Text {
        prose: ProseText,
        /// The joints that are due to be tightened again; the prose says so.
        #[serde(default)]
        again: Vec<String>,
    },
}

/// Prose, as plain text.
#[derive(Debug, Deserialize)]
pub struct ProseText {
    #[serde(default)]
    pub text: String,
}

/// From how many to how many a text may say, as a whole number.
#[derive(Debug, Clone, Copy, Deserialize)]
pub struct TakenText {
    pub least: u32,
    pub most: u32,
}

impl TakenText {
    /// The number that a text says; none where it says none.
    pub fn number(text: &str) -> Option<u32> {
        let plain = !text.is_empty() && text.len() <= 6 && text.bytes().all(|digit| digit.is_ascii_digit());
        let number = text.parse().ok().filter(|_| plain)?;
        (text.len() == 1 || !text.starts_with('0')).then_some(number)
    }

    /// Whether a number lies in it.
    pub fn has(self, number: u32) -> bool {
        (self.least..=self.most).contains(&number)
    }
}

#[derive(Debug, Deserialize)]
pub struct LineText {
    pub id: String,
    pub does: DoesText,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SignalText {
    Notice,
    Caution,
    Warning,
    Danger,
}

#[derive(Debug, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum DoesText {
    Message {
        #[serde(rename = "signal")]
        _signal: SignalText,
        nature: String,
    },
    Read {
        inputs: Vec<String>,
    },
    RecordTorque {
        joint: String,
        count: u32,
    },
    RecordText {
        #[serde(default)]
        number: Option<TakenText>,
        what: String,
    },
    RecordPhoto {
        what: String,
    },
    Set {
        result: String,
        value: String,
    },
    Text,
    Note,
    Use,
    Wear,
    Take,
    Remove,
    Refit,
    Discard,
    Place,
    Snug,
    Tighten {
        joint: String,
        #[serde(default)]
        settings: Vec<SettingText>,
    },
    Loosen,
    RemoveJoint,
    RefitJoint,
    Connect,
    Disconnect,
    Need,
    Make,
    Do,
    RecordReading,
    Figure,
}

/// What a torque wrench is set to through an adapter.
#[derive(Debug, Clone, Deserialize)]
pub struct SettingText {
    pub wrench: String,
    #[serde(default)]
    pub set: Option<String>,
}

impl DoesText {
    /// What the wrenches are set to with which it tightens a joint.
    pub fn settings_of(&self, of: &str) -> &[SettingText] {
        match self {
            DoesText::Tighten { joint, settings } if joint == of => settings,
            _ => &[],
        }
    }
}

impl HandoverLineText {
    /// Who signs.
    pub fn roles(&self) -> &[String] {
        match self {
            HandoverLineText::Sign { who } => who,
            _ => &[],
        }
    }
}

impl InputText {
    pub fn id(&self) -> &str {
        match self {
            InputText::Option(choice) | InputText::Observe(choice) | InputText::Result(choice) => &choice.id,
            InputText::Given(number) | InputText::Measure(number) => &number.id,
        }
    }

    pub fn title(&self) -> &str {
        match self {
            InputText::Option(choice) | InputText::Observe(choice) | InputText::Result(choice) => &choice.title,
            InputText::Given(number) | InputText::Measure(number) => &number.title,
        }
    }

    /// Under which condition it is asked.
    pub fn when(&self) -> Option<&ConditionText> {
        match self {
            InputText::Given(number) => number.when.as_ref(),
            _ => None,
        }
    }

    /// Whether it is answered before the job.
    pub fn before_the_job(&self) -> bool {
        matches!(self, InputText::Option(_) | InputText::Given(_))
    }
}
