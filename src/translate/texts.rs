//! Every text of a procedure that a person reads, with the name by which a translation knows it.
//!
//! The name is that of the thing in the source and what the text is of it, `step.park.title`; where a thing says several of a kind, they
//! are counted. What is there for several places is named once. Names of bags and boxes are no texts: they stand on the things.

use std::collections::BTreeMap;

use crate::model::{
    CheckElse, ChoiceKind, Counted, EachPlace, HandoverLine, HowMuch, LineKind, Message, Naming, Node, NumberKind,
    PartId, Procedure, Prose, Record, Said, SignalWord, Tightness, Unknown, UnknownValue, Who, walk_mut,
};

/// A text as it stands in the model.
pub(super) enum Text<'a> {
    /// Plain.
    Plain(&'a mut String),
    /// Plain, with mentions.
    Said(&'a mut Said),
    /// CommonMark with mentions.
    Prose(&'a mut Prose),
}

/// What a text is.
pub(super) struct Place {
    /// Its name.
    pub(super) key: String,
    /// Whether somebody may be hurt who does not understand it: what a safety message says, and who may do the work.
    pub(super) safety: bool,
    /// Those of which no two may be called alike: the titles of one sort of things, the values of one choice.
    pub(super) family: Option<String>,
}

type See<'s> = &'s mut dyn FnMut(Place, Text<'_>);

/// Goes through all texts, always in the same order.
pub(super) fn each(procedure: &mut Procedure, see: See<'_>) {
    let mut walk = Walk { see, places: procedure.each_places.clone(), counts: BTreeMap::new() };
    walk.places(procedure);
    let after = procedure.each_places.clone();
    walk.whole(procedure);
    walk.things(procedure, &after);
    walk.flow(procedure, &after);
}

struct Walk<'s> {
    see: See<'s>,
    /// The places as they are in the source.
    places: Vec<EachPlace>,
    /// How many texts of a name there were.
    counts: BTreeMap<String, usize>,
}

impl Walk<'_> {
    fn plain(&mut self, key: String, text: &mut String) {
        (self.see)(Place { key, safety: false, family: None }, Text::Plain(text));
    }

    fn said(&mut self, key: String, said: &mut Said, safety: bool) {
        (self.see)(Place { key, safety, family: None }, Text::Said(said));
    }

    /// The name of one of several: `step.park.do.2`.
    fn nth(&mut self, key: &str) -> String {
        let count = self.counts.entry(key.to_owned()).or_default();
        *count += 1;
        format!("{key}.{count}")
    }

    fn list(&mut self, key: &str, texts: &mut [String], safety: bool) {
        for text in texts {
            let key = self.nth(key);
            (self.see)(Place { key, safety, family: None }, Text::Plain(text));
        }
    }

    fn prose(&mut self, key: &str, prose: &mut Prose) {
        let key = self.nth(key);
        (self.see)(Place { key, safety: false, family: None }, Text::Prose(prose));
    }

    /// The title of a thing. That of a copy is made anew from the title as written and the place.
    fn title(&mut self, sort: &str, name: &mut Naming, after: &[EachPlace]) -> String {
        let key = format!("{sort}.{}", name.at.as_ref().map_or(&name.id, |at| &at.of));
        let place = Place { key: format!("{key}.title"), safety: false, family: Some(sort.to_owned()) };
        let Some(at) = &mut name.at else {
            (self.see)(place, Text::Plain(&mut name.title));
            return key;
        };
        let made = self.places.get(at.place).is_some_and(|of| of.titled(&at.title) == name.title);
        let same = at.title == name.title;
        (self.see)(place, Text::Plain(&mut at.title));
        match after.get(at.place) {
            Some(of) if made => name.title = of.titled(&at.title),
            _ if same => name.title.clone_from(&at.title),
            _ => self.plain(format!("{sort}.{}.title", name.id), &mut name.title),
        }
        key
    }

    fn unknown(&mut self, key: &str, unknown: &mut [Unknown]) {
        for one in unknown {
            let key = format!("{key}.unknown-{}", one.what.words().replace(' ', "-"));
            // Of several conductors each has its own.
            let key = if one.what == UnknownValue::Colour { self.nth(&key) } else { key };
            self.plain(key, &mut one.why);
        }
    }

    fn counted(&mut self, key: &str, entries: &mut [Counted<PartId>]) {
        for entry in entries {
            if let HowMuch::Unknown(why) = &mut entry.much {
                let key = self.nth(&format!("{key}.how-many"));
                self.plain(key, why);
            }
        }
    }

    fn places(&mut self, procedure: &mut Procedure) {
        for place in &mut procedure.each_places {
            let key = format!("each.{}", place.group);
            self.plain(format!("{key}.title"), &mut place.group_title);
            let family = Some(key.clone());
            let value = Place { key: format!("{key}.place.{}", place.id), safety: false, family };
            (self.see)(value, Text::Plain(&mut place.label));
        }
    }

    fn whole(&mut self, procedure: &mut Procedure) {
        self.plain("procedure.title".to_owned(), &mut procedure.name.title);
        procedure.about.prose.iter_mut().for_each(|prose| self.prose("about.text", prose));
        self.list("about.fits", &mut procedure.about.fits, false);
        self.list("about.skill", &mut procedure.about.skill, true);
        self.list("about.licence", &mut procedure.about.licence, true);
        for rule in &mut procedure.rules {
            let key = self.nth("require");
            self.plain(key, &mut rule.reason);
        }
        for accept in &mut procedure.accepts {
            let key = self.nth(&format!("accept.{}", accept.code));
            self.plain(key, &mut accept.reason);
        }
    }

    fn things(&mut self, procedure: &mut Procedure, after: &[EachPlace]) {
        for choice in procedure.choices.rows_mut() {
            let sort = match choice.kind {
                ChoiceKind::Option => "option",
                ChoiceKind::Observe => "observe",
                ChoiceKind::Result => "result",
            };
            let key = self.title(sort, &mut choice.name, after);
            for value in &mut choice.values {
                let place =
                    Place { key: format!("{key}.value.{}", value.id), safety: false, family: Some(key.clone()) };
                (self.see)(place, Text::Plain(&mut value.label));
            }
        }
        for number in procedure.numbers.rows_mut() {
            let sort = if number.kind == NumberKind::Given { "given" } else { "measure" };
            self.title(sort, &mut number.name, after);
        }
        for fact in procedure.facts.rows_mut() {
            self.title("fact", &mut fact.name, after);
        }
        for limit in procedure.limits.rows_mut() {
            let key = self.title("limit", &mut limit.name, after);
            if let Some(otherwise) = &mut limit.otherwise {
                self.said(format!("{key}.else"), otherwise, false);
            }
        }
        for part in procedure.parts.rows_mut() {
            let key = self.title("part", &mut part.name, after);
            if let Some(short) = &mut part.short {
                self.plain(format!("{key}.short"), short);
            }
            self.unknown(&key, &mut part.unknown);
        }
        procedure.kit.iter_mut().for_each(|group| self.counted("kit", &mut group.entries));
        procedure.vehicle.iter_mut().for_each(|group| self.counted("vehicle", &mut group.entries));
        for tool in procedure.tools.rows_mut() {
            let key = self.title("tool", &mut tool.name, after);
            self.unknown(&key, &mut tool.unknown);
            if let Some(short) = &mut tool.short {
                self.plain(format!("{key}.short"), short);
            }
        }
        for protection in procedure.protections.rows_mut() {
            self.title("protection", &mut protection.name, after);
        }
        for hazard in procedure.hazards.rows_mut() {
            let key = self.title("hazard", &mut hazard.name, after);
            if let Some(licensed) = &mut hazard.licensed {
                // What codes and licences decide of it is said by a label.
                self.plain(format!("{key}.licensed"), licensed);
            }
        }
        for action in procedure.actions.rows_mut() {
            self.title("action", &mut action.name, after);
        }
        self.fastened_and_wired(procedure, after);
        for state in procedure.states.rows_mut() {
            let key = self.title("state", &mut state.name, after);
            for value in &mut state.values {
                let place =
                    Place { key: format!("{key}.value.{}", value.id), safety: false, family: Some(key.clone()) };
                (self.see)(place, Text::Plain(&mut value.label));
            }
        }
        for figure in procedure.figures.rows_mut() {
            let key = match &figure.name {
                Some(name) => format!("figure.{}", name.id),
                None => self.nth("figure"),
            };
            self.plain(key, &mut figure.alt);
        }
    }

    fn fastened_and_wired(&mut self, procedure: &mut Procedure, after: &[EachPlace]) {
        for joint in procedure.joints.rows_mut() {
            let key = self.title("joint", &mut joint.name, after);
            match &mut joint.tightness {
                Tightness::Seen(text, _) | Tightness::Unknown(text, _) => self.plain(format!("{key}.tight"), text),
                Tightness::Torque(..) => {}
            }
            for (at, stage) in joint.stages.iter_mut().enumerate() {
                if let Some(meanwhile) = &mut stage.meanwhile {
                    self.plain(format!("{key}.while.{}", at + 1), meanwhile);
                }
            }
            self.unknown(&key, &mut joint.unknown);
        }
        for circuit in procedure.circuits.rows_mut() {
            let key = self.title("circuit", &mut circuit.name, after);
            for point in circuit.points.rows_mut() {
                let family = Some(format!("{key}.point"));
                let place = Place { key: format!("{key}.point.{}", point.id), safety: false, family };
                (self.see)(place, Text::Plain(&mut point.title));
            }
            let fed = circuit.fed_later.iter_mut().map(|left| (format!("{key}.fed-later"), left));
            let points = circuit.points.rows_mut().iter_mut();
            let points = points.filter_map(|point| Some((format!("{key}.leaves.{}", point.id), point.left.as_mut()?)));
            for (place, left) in fed.chain(points).collect::<Vec<_>>() {
                // The title of a later procedure is told in this one's outputs.
                let (Who::Somebody(text) | Who::Procedure(text)) = &mut left.who;
                self.plain(place, text);
            }
            for (at, conductor) in circuit.conductors.iter_mut().enumerate() {
                if let Some(title) = &mut conductor.title {
                    self.plain(format!("{key}.conductor.{}", at + 1), title);
                }
            }
            self.unknown(&key, &mut circuit.unknown);
        }
    }

    fn flow(&mut self, procedure: &mut Procedure, after: &[EachPlace]) {
        let mut of_steps = Vec::new();
        for step in procedure.steps.rows_mut() {
            let key = self.title("step", &mut step.name, after);
            // Each copy of a step counts its lines anew, so that they have the names of the first.
            self.counts.retain(|counted, _| !counted.strip_prefix(&key).is_some_and(|rest| rest.starts_with('.')));
            for line in &mut step.lines {
                self.line(&key, &mut line.kind);
            }
            of_steps.push(key);
        }
        let steps = &procedure.steps;
        let key_of: BTreeMap<_, _> = steps.ids().zip(of_steps).collect();
        for section in &mut procedure.sections {
            let key = self.title("section", &mut section.name, after);
            walk_mut(&mut section.body, |node| match node {
                Node::Check(check) => {
                    let of_check = key_of.get(&check.step).cloned().unwrap_or_default();
                    let text = match &mut check.otherwise {
                        CheckElse::Stop(stop) => &mut stop.text,
                        CheckElse::GoOn(text, _) => text,
                    };
                    self.said(format!("{of_check}.else"), text, false);
                }
                Node::Stop(stop) => {
                    let key = self.nth(&format!("{key}.stop"));
                    self.said(key, &mut stop.text, false);
                }
                Node::Handover(handover) => {
                    handover.lines.iter_mut().for_each(|line| self.handover(&format!("{key}.handover"), line));
                }
                Node::Step(_) | Node::Choose(_) | Node::When(_) | Node::Set(_) => {}
            });
        }
    }

    fn handover(&mut self, key: &str, line: &mut HandoverLine) {
        let (kind, text) = match line {
            HandoverLine::Sign(roles) => return self.list(&format!("{key}.sign"), roles, false),
            HandoverLine::Prose(prose) => return self.prose(&format!("{key}.text"), prose),
            HandoverLine::Show(text) => ("show", text),
            HandoverLine::Keep(text) => ("keep", text),
            HandoverLine::Dispose(text) => ("dispose", text),
            HandoverLine::Note(text) => ("note", text),
        };
        let key = self.nth(&format!("{key}.{kind}"));
        self.said(key, text, false);
    }

    fn line(&mut self, step: &str, line: &mut LineKind) {
        match line {
            LineKind::Prose(prose) => self.prose(&format!("{step}.do"), prose),
            LineKind::Note(said) => {
                let key = self.nth(&format!("{step}.note"));
                self.said(key, said, false);
            }
            LineKind::Message(message) => self.message(step, message),
            LineKind::Use { benefit: Some(benefit), .. } => {
                let key = self.nth(&format!("{step}.benefit"));
                self.plain(key, benefit);
            }
            LineKind::Record(Record::Text(text)) => {
                let key = self.nth(&format!("{step}.record"));
                self.plain(key, text);
            }
            LineKind::Record(Record::Photo(text)) => {
                let key = self.nth(&format!("{step}.photo"));
                self.plain(key, text);
            }
            LineKind::Wait(wait) => {
                let key = self.nth(&format!("{step}.wait"));
                self.said(key, &mut wait.until, false);
            }
            LineKind::Take(parts)
            | LineKind::Refit(parts)
            | LineKind::Discard(parts)
            | LineKind::Reuse(parts)
            | LineKind::KeepParts { parts, .. } => self.counted(step, parts),
            LineKind::Remove(parts, _) => self.counted(step, parts),
            LineKind::MakeParts { made, from, .. } => {
                self.counted(step, made);
                self.counted(step, from);
            }
            _ => {}
        }
    }

    fn message(&mut self, step: &str, message: &mut Message) {
        let signal = match message.signal {
            SignalWord::Notice => "notice",
            SignalWord::Caution => "caution",
            SignalWord::Warning => "warning",
            SignalWord::Danger => "danger",
        };
        let key = self.nth(&format!("{step}.{signal}"));
        for (what, said) in
            [("hazard", &mut message.nature), ("consequence", &mut message.consequence), ("avoid", &mut message.avoid)]
        {
            self.said(format!("{key}.{what}"), said, true);
        }
    }
}
