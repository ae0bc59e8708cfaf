//! What a torque wrench is set to where it turns a joint through an adapter that makes its lever longer. The torque at the
//! fastening stays what it is, and is told first.

use super::super::words::{Words, listed};
use crate::labels::{fill, spoken};
use crate::model::{Joint, Tightness, ToolId, ToolUse};
use crate::quantity::Measure;
use crate::working::joint::{self, Setting};

/// A setting in words.
pub(in crate::emit) struct Told {
    pub(in crate::emit) wrench: ToolId,
    pub(in crate::emit) through: Vec<ToolId>,
    /// The whole sentence.
    pub(in crate::emit) words: String,
    /// `19.6 N·m (14.4 lbf·ft)`, each stage where there are several; `None` where nobody states how long the wrench is, and
    /// where it is the torque itself.
    pub(in crate::emit) set: Option<String>,
    /// The setting for the torque that is judged.
    pub(in crate::emit) value: Option<Measure>,
}

/// Each setting of a line that tightens a joint, in words; none where the joint has no torque.
pub(in crate::emit) fn settings(words: Words<'_>, joint: &Joint, tools: &[ToolUse]) -> Vec<Told> {
    let Tightness::Torque(torque, _) = &joint.tightness else { return Vec::new() };
    let settings = joint::settings(words.procedure, tools);
    settings.iter().map(|setting| told(words, joint, torque, setting)).collect()
}

/// The same as sentences that follow another.
pub(in crate::emit) fn told_settings(
    words: Words<'_>,
    joint: &Joint,
    tools: &[ToolUse],
) -> impl Iterator<Item = String> {
    settings(words, joint, tools).into_iter().map(|told| format!(" {}", told.words))
}

fn told(words: Words<'_>, joint: &Joint, torque: &Measure, setting: &Setting) -> Told {
    let (labels, tool) = (&spoken().joint, &words.procedure.tools[setting.wrench]);
    let title = |tool: ToolId| words.procedure.in_sentence(&words.tool(tool));
    let wrench = title(setting.wrench);
    let adapter = listed(setting.through.iter().map(|tool| title(*tool)), spoken().word.and);
    let extension = setting.extension.as_ref().map(|extension| words.quantity(extension));
    let set = extension.as_ref().and_then(|_| set(words, joint, torque, setting));
    let sentence = match (&extension, &set) {
        (Some(extension), Some(set)) => fill(
            labels.set_through,
            &[("wrench", &wrench), ("torque", set), ("adapter", &adapter), ("extension", extension)],
        ),
        (Some(extension), None) => {
            fill(labels.set_by_lever, &[("wrench", &wrench), ("adapter", &adapter), ("extension", extension)])
        }
        (None, _) => fill(labels.set_across, &[("wrench", &wrench), ("adapter", &adapter)]),
    };
    let value = set.as_ref().and_then(|_| setting.on_wrench(torque, tool));
    Told { wrench: setting.wrench, through: setting.through.clone(), words: sentence, set, value }
}

/// What the wrench is set to, one after the other where the joint is tightened in stages.
fn set(words: Words<'_>, joint: &Joint, torque: &Measure, setting: &Setting) -> Option<String> {
    let tool = &words.procedure.tools[setting.wrench];
    let print = |torque: &Measure| {
        let set = setting.on_wrench(torque, tool);
        set.map(|set| words.torque(joint, &set).to_string())
    };
    let last = print(torque)?;
    if let Some(stages) =
        joint::stages_words(joint, &mut |measure| print(measure).unwrap_or_else(|| words.measure(measure)))
    {
        return Some(stages);
    }
    let early = joint::stage_torques(joint);
    let early: Vec<String> = early.iter().filter_map(|torque| print(&Measure::Exact(*torque))).collect();
    let labels = &spoken().joint;
    Some(match early.split_first() {
        None => last,
        Some((first, later)) => {
            let later = later.iter().chain([&last]).map(|torque| fill(labels.then_to, &[("torque", torque)]));
            std::iter::once(first.clone()).chain(later).collect::<Vec<_>>().join(", ")
        }
    })
}
