//! Parts, tools, what is worn, hazards, actions, states.

use super::Filler;
use super::at_place::at_place;
use super::inputs::values;
use crate::emit::checklist::terms::StateIs;
use crate::emit::checklist::things as to;
use crate::emit::phrase::much::Much;
use crate::emit::phrase::{kit, lay_out};
use crate::model::{
    ActionKind, Counted, Drive, Fastener, FastenerKind, HazardId, HowMuch, KitGroup, KitKind, Need, PartId, SignalWord,
    StepId, Value, each_or_either,
};
use crate::plan::tools::Use;
use crate::quantity::{Measure, Quantity};
use crate::source::Span;

impl Filler<'_> {
    pub(super) fn parts(&mut self) -> Vec<to::Part> {
        let parts = self.procedure.parts.iter();
        parts
            .map(|(id, part)| to::Part {
                id: part.name.id.clone(),
                title: self.words.part(id),
                fastener: part.fastener.as_ref().map(|fastener| self.fastener(fastener)),
                terminal: part.terminal.as_ref().map(|terminal| to::Terminal {
                    wires: terminal.wires.iter().map(|wire| self.stated(wire)).collect(),
                    studs: terminal.studs.clone(),
                }),
                mass: part.mass.as_ref().map(|mass| self.single(mass)),
                number: part.number.clone(),
                consumable: part.consumable,
                single_use: part.single_use,
                brings: self.hazard_names(&part.brings),
                detail: said(kit::part_detail(self.words, part)),
            })
            .collect()
    }

    fn fastener(&mut self, fastener: &Fastener) -> to::Fastener {
        to::Fastener {
            kind: match fastener.kind {
                FastenerKind::Bolt => to::FastenerKind::Bolt,
                FastenerKind::Screw => to::FastenerKind::Screw,
                FastenerKind::Stud => to::FastenerKind::Stud,
                FastenerKind::Nut => to::FastenerKind::Nut,
                FastenerKind::Washer => to::FastenerKind::Washer,
            },
            thread: fastener.thread.as_ref().map(|thread| thread.id.clone()),
            tapping: fastener.tapping.as_ref().map(|tapping| tapping.id.clone()),
            diameter: fastener.diameter.as_ref().map(|diameter| self.amount(diameter)),
            length: fastener.length.as_ref().map(|length| self.amount(length)),
            grade: fastener.grade.as_ref().map(|grade| grade.id.clone()),
            head: fastener.head.as_ref().map(|head| self.drive(head.drive, &head.sizes, head.mark.as_ref())),
            words: fastener.words.clone(),
        }
    }

    fn drive(&mut self, drive: Drive, sizes: &[Quantity], mark: Option<&String>) -> to::Drive {
        to::Drive {
            kind: match drive {
                Drive::Hex => to::DriveKind::Hex,
                Drive::HexSocket => to::DriveKind::HexSocket,
                Drive::CrossRecess => to::DriveKind::CrossRecess,
                Drive::Slot => to::DriveKind::Slot,
                Drive::Hexalobular => to::DriveKind::Hexalobular,
            },
            sizes: sizes.iter().map(|size| self.amount(size)).collect(),
            up_to: None,
            mark: mark.cloned(),
        }
    }

    /// Loose parts that are on the vehicle before the job.
    pub(super) fn on_vehicle(&mut self) -> Vec<to::Counted> {
        let mut all = Vec::new();
        for group in &self.procedure.vehicle {
            let when = group.when.as_ref().map(|when| self.condition(when));
            let when_words = group.when.as_ref().map(|when| self.words.cond(when));
            let entries = self.counted(&group.entries).into_iter();
            all.extend(entries.map(|entry| to::Counted {
                when: when.clone(),
                when_words: when_words.clone(),
                ..entry
            }));
        }
        all
    }

    /// Counts, without one for what is used up uncounted.
    pub(super) fn counted(&mut self, all: &[Counted<PartId>]) -> Vec<to::Counted> {
        let procedure = self.procedure;
        let name = |one: &Counted<PartId>| procedure.parts[one.what].name.id.clone();
        let mut entry = |some: &[Counted<PartId>]| -> Option<to::Counted> {
            let (counted, others) = some.split_first()?;
            let much = Much::of(counted);
            let (count, up_to) = match much {
                Much::Count(count) => (Some(count), None),
                Much::Between(least, most) => (Some(least), Some(most)),
                Much::AsNeeded | Much::Amount(_) | Much::Unknown => (None, None),
            };
            let amount = counted.much.amount().map(|amount| self.amount(amount));
            let unknown = if let HowMuch::Unknown(why) = &counted.much { Some(why.clone()) } else { None };
            let (part, or) = (name(counted), others.iter().map(name).collect());
            Some(to::Counted { part, or, count, up_to, amount, much: much.other(), unknown, ..to::Counted::default() })
        };
        each_or_either(all).filter_map(&mut entry).collect()
    }

    /// Counts of what is taken from the kit, with the bag or box that it comes from.
    pub(super) fn supplied(&mut self, all: &[Counted<PartId>]) -> Vec<to::Counted> {
        let mut entries = self.counted(all);
        for (entry, some) in entries.iter_mut().zip(each_or_either(all)) {
            entry.from = kit::supplied_in(self.procedure, some);
            let groups = self.procedure.kit.iter().zip(&self.groups).filter(|(group, _)| kit::supplies(group, some));
            entry.kit = groups.map(|(_, name)| name.clone()).collect();
        }
        entries
    }

    /// Names of the groups of the kit, in their order.
    pub(super) fn group_names(&mut self) -> Vec<String> {
        let name = |group: &KitGroup| {
            let sort = match group.kind {
                KitKind::Bag => "bag",
                KitKind::Box => "box",
                KitKind::Shop => "shop",
            };
            group.name.as_ref().map_or_else(|| sort.to_owned(), |name| format!("{sort}-{name}"))
        };
        self.procedure.kit.iter().map(|group| self.unique(name(group))).collect()
    }

    pub(super) fn kit(&mut self) -> Vec<to::KitGroup> {
        let groups: Vec<(&KitGroup, String)> = self.procedure.kit.iter().zip(self.groups.clone()).collect();
        groups
            .into_iter()
            .map(|(group, id)| to::KitGroup {
                id: Some(id),
                called: Some(kit::group_called(group)),
                kind: match group.kind {
                    KitKind::Bag => to::KitKind::Bag,
                    KitKind::Box => to::KitKind::Box,
                    KitKind::Shop => to::KitKind::Shop,
                },
                name: group.name.clone(),
                title: kit::group_title(group),
                when: group.when.as_ref().map(|when| self.condition(when)),
                when_words: group.when.as_ref().map(|when| self.words.cond(when)),
                entries: self.counted(&group.entries),
            })
            .collect()
    }

    pub(super) fn tools(&mut self) -> Vec<to::Tool> {
        let tools = self.procedure.tools.iter();
        tools
            .map(|(id, tool)| to::Tool {
                id: tool.name.id.clone(),
                title: self.words.tool(id),
                turns: tool
                    .turns
                    .iter()
                    .map(|turns| to::Drive {
                        up_to: turns.to.as_ref().map(|to| self.amount(to)),
                        ..self.drive(turns.drive, turns.size.as_slice(), turns.mark.as_ref())
                    })
                    .collect(),
                torque: tool.torque.map(|(low, high)| self.stated(&Measure::Range { low, high })),
                measures: tool.measures.map(|(low, high)| self.stated(&Measure::Range { low, high })),
                reads: tool.reads.as_ref().map(|reads| self.single(reads)),
                count: tool.count,
                brings: self.hazard_names(&tool.brings),
                detail: said(lay_out::tool_detail(self.words, tool)),
            })
            .collect()
    }

    pub(super) fn lay_out(&mut self) -> Vec<to::LaidOut> {
        let rows = lay_out::tools(self.plan).into_iter();
        rows.map(|row| to::LaidOut {
            any_of: row.names,
            count: row.count,
            optional: row.optional,
            when_words: row.when.clone(),
            needed_if: row.when.as_ref().and_then(|_| self.any_of(&row.uses)),
            when: row.when,
            title: Some(row.title),
            detail: said(row.detail),
            benefit: row.benefit,
            steps: self.step_names(&row.uses),
        })
        .collect()
    }

    pub(super) fn wear(&mut self) -> Vec<to::WornIn> {
        let rows = lay_out::protection(self.plan).into_iter();
        rows.map(|row| to::WornIn {
            protection: row.name,
            throughout: row.uses.is_empty(),
            steps: self.step_names(&row.uses),
            needed_if: row.when.as_ref().and_then(|_| self.any_of(&row.uses)),
            when_words: row.when,
        })
        .collect()
    }

    fn step_names(&self, uses: &[Use]) -> Vec<String> {
        let mut steps: Vec<StepId> = uses.iter().map(|one| one.step).collect();
        steps.sort_unstable();
        steps.iter().map(|step| self.procedure.steps[*step].name.id.clone()).collect()
    }

    pub(super) fn protection(&self) -> Vec<to::Protection> {
        let procedure = self.procedure;
        let row = |(id, protection): (_, &crate::model::Protection)| to::Protection {
            id: protection.name.id.clone(),
            title: protection.name.title.clone(),
            throughout: procedure.about.wear.contains(&id),
        };
        procedure.protections.iter().map(row).collect()
    }

    pub(super) fn hazards(&self) -> Vec<to::Hazard> {
        let hazard = |hazard: &crate::model::Hazard| to::Hazard {
            id: hazard.name.id.clone(),
            title: hazard.name.title.clone(),
            signal: signal(hazard.signal),
            from: hazard.from.iter().map(|kind| action_kind(*kind).to_owned()).collect(),
            answered_by: hazard.answered_by.iter().map(|id| self.procedure.protections[*id].name.id.clone()).collect(),
            licensed: hazard.licensed.clone(),
        };
        self.procedure.hazards.rows().iter().map(hazard).collect()
    }

    pub(super) fn actions(&self) -> Vec<to::Action> {
        let action = |action: &crate::model::Action| to::Action {
            id: action.name.id.clone(),
            title: action.name.title.clone(),
            needs: action.needs.iter().map(|need| self.need(need)).collect(),
            brings: self.hazard_names(&action.brings),
        };
        self.procedure.actions.rows().iter().map(action).collect()
    }

    fn hazard_names(&self, brings: &[(HazardId, Span)]) -> Vec<String> {
        brings.iter().map(|(hazard, _)| self.procedure.hazards[*hazard].name.id.clone()).collect()
    }

    pub(super) fn need(&self, need: &Need) -> StateIs {
        self.state_is(need.state, need.value)
    }

    pub(super) fn state_is(&self, state: crate::model::StateId, value: usize) -> StateIs {
        let words = Some(self.words.state(state, value));
        let state = &self.procedure.states[state];
        StateIs { state: state.name.id.clone(), value: value_name(&state.values, value), words }
    }

    pub(super) fn states(&mut self) -> Vec<to::State> {
        let procedure = self.procedure;
        let state = |state: &crate::model::State| to::State {
            id: state.name.id.clone(),
            title: state.name.title.clone(),
            at: at_place(self.procedure, &state.name),
            values: values(&state.values),
            starts: value_name(&state.values, state.starts),
            ends: state.ends.map(|(value, _)| value_name(&state.values, value)),
            when: state.when.as_ref().map(|when| self.condition(when)),
            when_words: state.when.as_ref().map(|when| self.words.cond(when)),
        };
        procedure.states.rows().iter().map(state).collect()
    }
}

/// A text that says something.
pub(super) fn said(text: String) -> Option<String> {
    (!text.is_empty()).then_some(text)
}

pub(super) fn value_name(values: &[Value], value: usize) -> String {
    values.get(value).map_or_else(String::new, |value| value.id.clone())
}

pub(super) fn signal(word: SignalWord) -> to::Signal {
    match word {
        SignalWord::Notice => to::Signal::Notice,
        SignalWord::Caution => to::Signal::Caution,
        SignalWord::Warning => to::Signal::Warning,
        SignalWord::Danger => to::Signal::Danger,
    }
}

fn action_kind(kind: ActionKind) -> &'static str {
    match kind {
        ActionKind::Use => "use",
        ActionKind::Take => "take",
        ActionKind::Place => "place",
        ActionKind::Snug => "snug",
        ActionKind::Tighten => "tighten",
        ActionKind::Loosen => "loosen",
        ActionKind::Remove => "remove",
        ActionKind::Refit => "refit",
        ActionKind::Discard => "discard",
        ActionKind::Connect => "connect",
        ActionKind::Disconnect => "disconnect",
    }
}
