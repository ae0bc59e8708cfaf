//! What would fit at a place, the likeliest first.

use super::names::bare;
use super::{Desk, Thing};
use crate::model::{Joint, Tool};
use crate::parse::fitting::{self, Fits, Listed, NameOf, Place};
use crate::parse::forms;
use crate::quantity::{Kind, Measure, System, Unit};
use crate::resolve;
use std::collections::{BTreeMap, BTreeSet};

/// Something that would fit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Completion {
    /// What is shown, and what is written.
    pub text: String,
    /// What it is.
    pub sort: Sort,
    /// A few words beside it.
    pub detail: String,
    /// More about it, in CommonMark; empty where there is no more.
    pub about: String,
    /// The likeliest have 0.
    pub rank: u8,
}

/// What a completion is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs, reason = "the words say it")]
pub enum Sort {
    Word,
    Statement,
    Name,
    Value,
    Unit,
    Library,
    Code,
}

/// What fits, with the first byte of the word that it replaces.
pub type Fitting = (usize, Vec<Completion>);

impl Desk {
    /// What would fit at a byte of `text`, which may be newer than what was read.
    pub fn completions(&self, text: &str, offset: usize) -> Option<Fitting> {
        let place = fitting::at(text, offset)?;
        let mut found: BTreeMap<(u8, String), Completion> = BTreeMap::new();
        let fits = in_a_row_of_sizes(&place).unwrap_or_else(|| place.fits.clone());
        for one in fits.iter().flat_map(|fits| self.of(fits, &place, text)) {
            found.entry((one.rank, one.text.clone())).or_insert(one);
        }
        let mut told: BTreeSet<String> = BTreeSet::new();
        let all = found.into_values().filter(|one| told.insert(one.text.clone())).collect();
        Some((place.from, all))
    }

    fn of(&self, fits: &Fits, place: &Place<'_>, text: &str) -> Vec<Completion> {
        match fits {
            Fits::Word(word) => vec![plain(word, Sort::Word, "", 5)],
            Fits::Statement(form) => {
                let about = format!("For example:\n\n```fitwright\n{}\n```", form.example);
                vec![Completion { about, ..plain(form.word, Sort::Statement, form.shape, 3) }]
            }
            Fits::Listed(list) => listed(*list, place),
            Fits::Unit => units(place, self.units().first),
            Fits::Name(of) => self.names(*of, place, text),
            Fits::Text | Fits::Quantity => Vec::new(),
        }
    }

    fn names(&self, of: NameOf, place: &Place<'_>, text: &str) -> Vec<Completion> {
        match of {
            NameOf::Value | NameOf::Point => self.members(of, place),
            NameOf::LaterCircuit => {
                // Of the procedure that the line names behind the circuit; of each that lines name where none stands there yet.
                let rest = text.get(place.from..).and_then(|rest| rest.lines().next()).unwrap_or_default();
                let named = rest.split_once(" of ").and_then(|(_, path)| path.split_whitespace().next());
                let there = self.index.beside.iter();
                let there = there.filter(|one| named.is_none_or(|path| resolve::is_path_of(path, &one.procedure)));
                there
                    .map(|one| plain(&one.name, Sort::Name, &format!("circuit of {}: {}", one.procedure, one.title), 0))
                    .collect()
            }
            NameOf::Library => {
                let standard = resolve::standard_libraries().map(|(name, _)| name);
                let mut all: Vec<Completion> =
                    standard.map(|name| plain(name, Sort::Library, "standard library", 2)).collect();
                let sections = self.things().filter(|thing| thing.declared.kind == "a section");
                all.extend(sections.filter_map(|section| {
                    let whole = format!("{}.{}", section.declared.library.as_ref()?, section.name());
                    Some(plain(&whole, Sort::Library, section.title().unwrap_or("section"), 1))
                }));
                all
            }
            NameOf::Code => {
                let codes = crate::diagnostics::Code::ALL.iter();
                codes.map(|code| plain(code.text(), Sort::Code, code.title(), 2)).collect()
            }
            _ => {
                let fits = |thing: &Thing<'_>| is_of(of, thing.declared.kind, place);
                let taken = if of == NameOf::Part { taken_before(text, place.from) } else { BTreeSet::new() };
                let joint = self.joint_of(place);
                // `fuse 15 A at 100 mm is`: of what is called so first.
                let protector = place.before.split_whitespace().next().filter(|_| place.block == forms::Block::Circuit);
                let things = self.things().filter(fits);
                let named = things.filter_map(|thing| {
                    let name = if of == NameOf::Grade { grade(thing.name(), place)? } else { thing.name() };
                    let rank = match (&joint, self.index.tools.get(&thing.declared.at)) {
                        (Some(joint), Some(tool)) if of == NameOf::Tool => self.suits(tool, joint, place),
                        _ if taken.contains(name) => 2,
                        _ if of == NameOf::Part && protector.is_some_and(|word| !is_called(&thing, word)) => 1,
                        _ => u8::from(thing.declared.library.is_some()),
                    };
                    let detail = match thing.title() {
                        Some(title) => format!("{}: {title}", thing.kind()),
                        None => thing.kind(),
                    };
                    Some(plain(name, Sort::Name, &detail, rank))
                });
                named.collect()
            }
        }
    }

    /// The values of what the words before name, or the points of the circuit.
    fn members(&self, of: NameOf, place: &Place<'_>) -> Vec<Completion> {
        let words: Vec<&str> = place.before.split_whitespace().collect();
        let asked = words.iter().rev().find(|word| !matches!(**word, "is" | "not" | "starts" | "ends"));
        let owner = place.owner.split_whitespace().nth(1);
        let named = match of {
            NameOf::Point if place.block == forms::Block::Circuit => owner,
            NameOf::Point => words.get(1).copied(),
            _ => asked.copied().or(owner),
        };
        let is_meant = |thing: &Thing<'_>| Some(thing.name()) == named || Some(thing.name()) == owner;
        let things = self.things().filter(|thing| !thing.declared.members.is_empty() && is_meant(thing));
        let members = things.flat_map(|thing| {
            let members = thing.declared.members.iter();
            members.map(move |member| Thing { member: Some(member), ..thing })
        });
        members.map(|value| plain(value.name(), Sort::Value, value.title().unwrap_or(&value.kind()), 0)).collect()
    }

    /// The joint of a line that turns its fasteners.
    fn joint_of(&self, place: &Place<'_>) -> Option<&Joint> {
        let mut words = place.before.split_whitespace();
        let turns = matches!(words.next()?, "snug" | "tighten" | "loosen" | "remove");
        let name = words.next().filter(|_| turns)?;
        let joints = self.procedure.as_ref()?.joints.rows().iter();
        joints.into_iter().find(|joint| joint.name.id == name || joint.name.at.as_ref().is_some_and(|at| at.of == name))
    }

    /// How well a tool suits a joint: 0 where it goes on its fasteners, or shows its torque.
    fn suits(&self, tool: &Tool, joint: &Joint, place: &Place<'_>) -> u8 {
        let Some(procedure) = &self.procedure else { return 1 };
        let tightens = place.before.trim_start().starts_with("tighten");
        let shows = |(low, high): &(_, _)| {
            let within = |torque: &Measure| {
                let (least, most) = (torque.low(), torque.high());
                least.or(most).is_some_and(|least| least.compare(low).is_some_and(std::cmp::Ordering::is_ge))
                    && most.or(least).is_some_and(|most| most.compare(high).is_some_and(std::cmp::Ordering::is_le))
            };
            joint.torques().iter().any(|(torque, _)| within(torque))
        };
        match &tool.torque {
            Some(range) if tightens && shows(range) => 0,
            None if procedure.grips(joint).iter().any(|grip| tool.fits(grip.head)) => 0,
            _ => 2,
        }
    }
}

/// What stands behind a word of a terminal's row, of which the grammar knows only that it is a row. A size is a number: nothing
/// can be proposed.
fn in_a_row_of_sizes(place: &Place<'_>) -> Option<Vec<Fits>> {
    let mut words = place.before.split_whitespace();
    let row = words.next().filter(|first| *first == "terminal" && place.block == forms::Block::File);
    match words.next_back().filter(|_| row.is_some())? {
        "stud" => Some(vec![Fits::Name(NameOf::Thread)]),
        "wire" | "to" | "source" => Some(Vec::new()),
        _ => None,
    }
}

/// What is left to write of the words of a closed list that begin with what stands there: `head` behind `hex`.
fn listed(list: Listed, place: &Place<'_>) -> Vec<Completion> {
    let statement = place.before.trim_start();
    let begun = match list {
        Listed::FastenerWord => statement.rsplit_once(',').map_or("", |(_, word)| word.trim_start()),
        _ => "",
    };
    let words = resolve::words_of(list, statement);
    words.into_iter().filter_map(|word| Some(plain(word.strip_prefix(begun)?, Sort::Word, "", 1))).collect()
}

/// Whether a word stands in the name or title of something.
fn is_called(thing: &Thing<'_>, word: &str) -> bool {
    [Some(thing.name()), thing.title()].into_iter().flatten().any(|text| text.to_lowercase().contains(word))
}

/// A class as a fastener names it: that of a nut without what tells it from a bolt's; `None` where it is one of the others.
fn grade<'n>(name: &'n str, place: &Place<'_>) -> Option<&'n str> {
    let word = place.before.split_whitespace().next_back()?;
    let of_nuts = name.strip_prefix("nut-");
    match resolve::kind_of_fastener(place.before) {
        Some("nut") => of_nuts?.strip_prefix(word)?.strip_prefix('-'),
        _ if of_nuts.is_some() => None,
        _ => Some(name),
    }
}

fn plain(text: &str, sort: Sort, detail: &str, rank: u8) -> Completion {
    Completion { text: text.to_owned(), sort, detail: detail.to_owned(), about: String::new(), rank }
}

/// Whether a thing of this kind has a name of that sort.
fn is_of(of: NameOf, kind: &str, place: &Place<'_>) -> bool {
    let first = place.before.split_whitespace().next().unwrap_or_default();
    match of {
        // What is taken off and put on again may be a joint.
        NameOf::Part => {
            matches!(kind, "a part" | "a terminal") || (kind == "a joint" && matches!(first, "remove" | "refit"))
        }
        NameOf::Tool => kind == "a tool",
        NameOf::Joint => kind == "a joint",
        NameOf::Circuit => kind == "a circuit",
        NameOf::State => kind == "a state",
        NameOf::Result => kind == "a result",
        NameOf::Input if first == "read" => matches!(kind, "a measure" | "an observation"),
        NameOf::Input => {
            matches!(kind, "an option" | "a given" | "a measure" | "an observation" | "a result" | "a fact")
        }
        NameOf::Hazard => kind == "a hazard",
        NameOf::Protection => kind == "protective equipment",
        NameOf::Action => kind == "an action",
        NameOf::Figure => kind == "a figure",
        NameOf::Each => kind == "a group of places",
        NameOf::Recorded => matches!(kind, "a joint" | "a measure" | "an observation"),
        NameOf::Terminal => kind == "a terminal",
        NameOf::Thread => kind == "a thread",
        NameOf::Grade => kind == "a grade",
        NameOf::Wire => kind == "a wire",
        NameOf::Mentioned => {
            !is_row(kind) && !matches!(kind, "a hazard" | "an action" | "a limit" | "a section" | "a group of places")
        }
        NameOf::Given => !is_row(kind) && !matches!(kind, "a limit" | "a section" | "a step" | "a group of places"),
        NameOf::Value | NameOf::Point | NameOf::LaterCircuit | NameOf::Reference | NameOf::Library | NameOf::Code => {
            false
        }
    }
}

/// Whether it is a row of a table of sizes: lines name it, sentences don't.
fn is_row(kind: &str) -> bool {
    matches!(
        kind,
        "a thread"
            | "a grade"
            | "a wire"
            | "a terminal"
            | "a size of washer"
            | "a size of screw"
            | "a size of insert nut"
    )
}

/// The units that fit behind a number, those of the file's own system first.
fn units(place: &Place<'_>, first: System) -> Vec<Completion> {
    let kinds = kinds_at(place);
    // Behind a number in a list of parts mostly a part follows, and a unit only where it is how much of one.
    let rank = if kinds == resolve::AMOUNTS { 3 } else { 0 };
    let fits = Unit::all().filter(|unit| kinds.is_empty() || kinds.contains(&unit.kind()));
    let named = fits.map(|unit| {
        let other = u8::from(unit.system() != Some(first) || kinds.first().is_some_and(|kind| *kind != unit.kind()));
        plain(unit.spelling(), Sort::Unit, unit.kind().name(), rank + other)
    });
    named.collect()
}

/// The kinds of quantity that may stand there, the likeliest first; none where any may.
fn kinds_at(place: &Place<'_>) -> Vec<Kind> {
    let words: Vec<&str> = place.before.split_whitespace().collect();
    let before = words.iter().rev().nth(1).copied().unwrap_or_default();
    // The other end of a range, and a tolerance, are of the kind that the first has.
    if matches!(before, "to" | "+-" | "±")
        && let Some(unit) = words.iter().rev().nth(2).and_then(|word| Unit::lookup(word))
    {
        return vec![unit.kind()];
    }
    let Some(form) = words.iter().rev().find_map(|word| forms::find(place.block, word)) else {
        return if place.block == forms::Block::List { resolve::AMOUNTS.to_vec() } else { Vec::new() };
    };
    if place.block == forms::Block::Number {
        return Vec::new();
    }
    let mut kinds: Vec<Kind> = form.example.split_whitespace().filter_map(Unit::lookup).map(Unit::kind).collect();
    kinds.extend_from_slice(match form.word {
        "wire" | "conductor" => &[Kind::Area, Kind::WireGauge, Kind::Length],
        "torque" => &[Kind::Angle],
        "again" => &[Kind::Time],
        "load" => &[Kind::Power],
        _ => &[],
    });
    // `at 150 mm` of a fuse: how far from the source.
    kinds.sort_by_key(|kind| before == "at" && *kind != Kind::Length);
    match kinds.is_empty() && form.shape.contains("PART") {
        true => resolve::AMOUNTS.to_vec(),
        false => kinds,
    }
}

/// The parts that lines before this byte take: what is not among them has still to be taken.
fn taken_before(text: &str, offset: usize) -> BTreeSet<&str> {
    let lines = text.get(..offset).unwrap_or_default().lines().map(str::trim_start);
    let taking = lines.filter_map(|line| line.strip_prefix("take "));
    let entries = taking.flat_map(|line| line.split(','));
    entries.filter_map(|entry| entry.split_whitespace().next_back()).map(bare).collect()
}
