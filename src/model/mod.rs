//! The resolved procedure: the truth that all later stages read.
//!
//! Every name is resolved to an id, every amount is exact, every place keeps its span. The model is plain data; it
//! knows nothing of how a file was written or of how it is printed. What is not resolved is not in it.
//!
//! Flow is a tree of [`Node`]s. What happens is in the [`Line`]s of steps and checks. The condition under which a step
//! happens is the conjunction of the conditions on its way from the root: [`Procedure::ways`].

pub mod circuits;
pub mod cond;
pub mod conductors;
pub mod connection;
pub mod each;
pub mod fasteners;
mod fastenings;
pub mod figures;
pub mod flow;
pub mod grips;
pub mod hazards;
pub mod id_map;
pub mod ids;
pub mod inputs;
pub mod kept;
pub mod letter;
pub mod names;
pub mod needs;
pub mod shared;
pub mod tailored;
pub mod things;
pub mod tightening;
mod torques;
pub mod unknown;
pub mod walk;
mod wrenches;

pub use circuits::*;
pub use cond::*;
pub use conductors::*;
pub use each::{AtEach, EachPlace};
pub use fasteners::*;
pub use figures::*;
pub use flow::*;
pub use grips::Grip;
pub use id_map::IdMap;
pub use ids::*;
pub use inputs::*;
pub use letter::Letter;
pub use needs::{Place, ToolNeed};
pub use shared::SharedSection;
pub use tailored::*;
pub use things::*;
pub use tightening::{Again, Due, Loosening, LooseningOrder, Stage, StageDoes};
pub use unknown::{Unknown, UnknownValue, unknown};
pub use walk::{Guard, Ways, walk, walk_mut};
pub use wrenches::WrenchUnits;

use std::collections::BTreeSet;

use crate::quantity::UnitPreference;
use crate::source::Span;

/// A resolved procedure without unresolved names.
#[derive(Debug, Clone, PartialEq)]
pub struct Procedure {
    /// Name and title.
    pub name: Naming,
    /// The revision, if the file states one.
    pub revision: Option<Revision>,
    /// The language of its texts, if the file states one.
    pub language: Option<Language>,
    /// Unit systems.
    pub units: UnitPreference,
    /// Which colour a conductor has by what it carries, where the file says so.
    pub colours: Vec<ColourRule>,
    /// What it is for, who may do it.
    pub about: About,
    /// Places at which things are there that the source says once, group by group.
    pub each_places: Vec<EachPlace>,
    /// Sections whose text stands in a library.
    pub shared: Vec<SharedSection>,
    /// Options, observations and results, in order of declaration.
    pub choices: Table<ChoiceId, Choice>,
    /// Givens and measures, in order of declaration.
    pub numbers: Table<NumberId, NumberInput>,
    /// Constants.
    pub facts: Table<FactId, Fact>,
    /// `require` rules.
    pub rules: Vec<Rule>,
    /// Limits.
    pub limits: Table<LimitId, Limit>,
    /// Parts: the procedure's own and those of its libraries that it uses.
    pub parts: Table<PartId, Part>,
    /// The kit, group by group.
    pub kit: Vec<KitGroup>,
    /// What is on the vehicle before the job, apart from the parts of joints that are `on vehicle`.
    pub vehicle: Vec<VehicleGroup>,
    /// Tools: every tool that the procedure declares or uses.
    pub tools: Table<ToolId, Tool>,
    /// Protective equipment declared or used.
    pub protections: Table<ProtectionId, Protection>,
    /// Hazards declared or used, and those that can be brought by an action in the procedure.
    pub hazards: Table<HazardId, Hazard>,
    /// Named actions with their needs.
    pub actions: Table<ActionId, Action>,
    /// Bolted joints.
    pub joints: Table<JointId, Joint>,
    /// Circuits.
    pub circuits: Table<CircuitId, Circuit>,
    /// Every wire size of the libraries, the thinnest first, where there is a circuit.
    pub wires: Vec<WireSize>,
    /// The ratings of fuses and breakers, where there is a circuit.
    pub ratings: Vec<ProtectorRatings>,
    /// States.
    pub states: Table<StateId, State>,
    /// Pictures, in order of declaration; those without a name in the order of the text.
    pub figures: Table<FigureId, Figure>,
    /// Steps and checks in the order of the text, with their numbers.
    pub steps: Table<StepId, Step>,
    /// The flow: sections in order.
    pub sections: Vec<Section>,
    /// Accepted findings.
    pub accepts: Vec<Accept>,
    /// What it was tailored to; `None` for the full procedure.
    pub tailored: Option<Tailored>,
    /// Words that its text writes with a capital in the middle of a sentence: names, which keep it.
    pub names: BTreeSet<String>,
    /// The units on the wrenches of its joints, as far as they were asked for.
    pub wrench_units: WrenchUnits,
    /// The `procedure` line.
    pub head_span: Span,
    /// Whether everything in the file was resolved. Checks that argue from absence ("never used") need it.
    pub complete: bool,
}

/// The name by which the source knows a thing, and the words by which a person does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Naming {
    /// The name in the source: `rail-bracket`. Stable when the title is reworded.
    pub id: String,
    /// The title: `Rail bracket`.
    pub title: String,
    /// Where the name is declared.
    pub span: Span,
    /// Whether a library declares it rather than the procedure's own file.
    pub from_library: bool,
    /// What it is a copy of, where the source says it once for several places.
    pub at: Option<AtEach>,
}

/// `revision C 2026-11-02`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    /// `C`
    pub mark: String,
    /// ISO 8601 date.
    pub date: String,
    /// Where.
    pub span: Span,
}

/// `language "de"`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Language {
    /// A tag of RFC 5646 (BCP 47): `de`, `en-GB`.
    pub tag: String,
    /// Where.
    pub span: Span,
}

/// What the procedure is about.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct About {
    /// Prose.
    pub prose: Vec<Prose>,
    /// Who may do the work.
    pub skill: Vec<String>,
    /// What it fits.
    pub fits: Vec<String>,
    /// Where local codes or licensed practice decide.
    pub licence: Vec<String>,
    /// Protective equipment worn throughout.
    pub wear: Vec<ProtectionId>,
}

/// `accept FW0504 "reason"`: findings of the code whose first place lies in `covers` are accepted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Accept {
    /// As written; checked against the catalogue by `resolve`.
    pub code: String,
    /// Why.
    pub reason: String,
    /// What it is accepted of, by its names; empty where the statement has one subject.
    pub subjects: Vec<String>,
    /// The value that is accepted, as [`Measure::source_form`](crate::quantity::Measure::source_form) writes it.
    pub at: Option<String>,
    /// Whether the statement holds many things, as a bag or a section does.
    pub is_wide: bool,
    /// The statement that it stands before.
    pub covers: Span,
    /// The `accept` line itself.
    pub span: Span,
}

impl Procedure {
    /// The parts that may be there in the place of each part, itself left out: those of its `or`, wherever it stands.
    pub fn in_place_of_each(&self) -> IdMap<PartId, Vec<PartId>> {
        let kit = self.kit.iter().map(|group| &group.entries);
        let lines = self.steps.rows().iter().flat_map(|step| &step.lines);
        let taken = lines.filter_map(|line| if let LineKind::Take(parts) = &line.kind { Some(parts) } else { None });
        let together = kit.chain(taken).flat_map(|entries| each_or_either(entries)).filter(|some| some.len() > 1);
        let mut others: IdMap<PartId, Vec<PartId>> = self.parts.each(Vec::new());
        for some in together {
            for part in some.iter().map(|entry| entry.what) {
                if others[part].is_empty() {
                    others[part] = some.iter().map(|entry| entry.what).filter(|other| *other != part).collect();
                }
            }
        }
        others
    }

    /// What is on the vehicle before the job, in whatever fitting, apart from the parts of joints.
    pub fn on_vehicle(&self) -> impl Iterator<Item = &Counted<PartId>> {
        self.vehicle.iter().flat_map(|group| &group.entries)
    }

    /// Whether its texts are English: the file says so, or says nothing.
    pub fn is_english(&self) -> bool {
        self.language.as_ref().is_none_or(|language| {
            language.tag.split('-').next().is_some_and(|primary| primary.eq_ignore_ascii_case("en"))
        })
    }

    /// A procedure that says nothing yet; `resolve` fills it.
    pub fn empty() -> Self {
        let nowhere = Span::new(crate::source::FileId::new(0), 0, 0);
        Procedure {
            name: Naming { id: String::new(), title: String::new(), span: nowhere, from_library: false, at: None },
            revision: None,
            language: None,
            units: UnitPreference { first: crate::quantity::System::Metric, second: None },
            colours: Vec::new(),
            about: About::default(),
            each_places: Vec::new(),
            shared: Vec::new(),
            choices: Table::default(),
            numbers: Table::default(),
            facts: Table::default(),
            rules: Vec::new(),
            limits: Table::default(),
            parts: Table::default(),
            kit: Vec::new(),
            vehicle: Vec::new(),
            tools: Table::default(),
            protections: Table::default(),
            hazards: Table::default(),
            actions: Table::default(),
            joints: Table::default(),
            circuits: Table::default(),
            wires: Vec::new(),
            ratings: Vec::new(),
            states: Table::default(),
            figures: Table::default(),
            steps: Table::default(),
            sections: Vec::new(),
            accepts: Vec::new(),
            tailored: None,
            names: BTreeSet::new(),
            wrench_units: WrenchUnits::default(),
            head_span: nowhere,
            complete: false,
        }
    }
}
