//! Whether two procedures are the same work, as the interpreter of `tests/oracle` walks them: on each of many jobs both show
//! no fault, end alike, and leave parts, joints, points and states alike.

use std::hash::{DefaultHasher, Hash, Hasher};

use fitwright::model::{ChoiceId, NumberId, Procedure};
use fitwright::quantity::Exact;

use crate::oracle::grid::{is_stepped, readings};
use crate::oracle::interpreter::{World, walk};
use crate::oracle::knowledge::{Known, base};
use crate::oracle::trace::{Ending, Walk};

/// So many jobs are walked.
const JOBS: u64 = 400;

/// Whether all jobs go alike.
pub fn are_alike(one: &Procedure, other: &Procedure) -> bool {
    (0..JOBS).all(|seed| {
        let walks = (walk(one, &mut Seeded(seed)), walk(other, &mut Seeded(seed)));
        walks.1.faults.is_empty() && outcome(one, &walks.0) == outcome(other, &walks.1)
    })
}

/// A world whose answers follow from a number, the name of what is asked, and which time it is.
struct Seeded(u64);

impl Seeded {
    fn pick(&self, name: &str, occasion: u32, ways: usize) -> usize {
        let mut hasher = DefaultHasher::new();
        (self.0, name, occasion).hash(&mut hasher);
        usize::try_from(hasher.finish() % ways.max(1) as u64).unwrap_or(0)
    }
}

impl World for Seeded {
    fn choice(&mut self, procedure: &Procedure, _known: &Known, choice: ChoiceId, occasion: u32) -> usize {
        let row = &procedure.choices[choice];
        self.pick(&row.name.id, occasion, row.values.len())
    }

    fn number(&mut self, procedure: &Procedure, _known: &Known, number: NumberId, occasion: u32) -> Exact {
        let row = &procedure.numbers[number];
        if is_stepped(procedure, number) {
            let values = readings(procedure, number);
            values[self.pick(&row.name.id, occasion, values.len())]
        } else {
            let (low, high) = (base(&row.low), base(&row.high));
            let share = Exact::new(self.pick(&row.name.id, occasion, 17) as i128, 16);
            low + (high - low) * share
        }
    }

    fn guess(&mut self, _ways: usize) -> usize {
        0
    }
}

/// What a job comes to, by names and without places.
fn outcome(procedure: &Procedure, walk: &Walk) -> String {
    let ending = match &walk.ending {
        Ending::Handover(_) => "handover".to_owned(),
        Ending::Stop { text, .. } => format!("stop {text}"),
        Ending::TurnedAway { text, .. } => format!("turned away {text}"),
        Ending::RanOut => "ran out".to_owned(),
        Ending::Refused { rule } => format!("refused {rule}"),
    };
    let mut steps: Vec<&str> = walk.steps.iter().map(|step| procedure.steps[*step].name.id.as_str()).collect();
    let mut sets: Vec<(&str, usize)> =
        walk.sets.iter().map(|(choice, value)| (procedure.choices[*choice].name.id.as_str(), *value)).collect();
    let mut parts: Vec<String> = procedure
        .parts
        .rows()
        .iter()
        .zip(&walk.parts)
        .map(|(part, count)| format!("{} {count:?}", part.name.id))
        .collect();
    let joints = procedure.joints.rows().iter().zip(&walk.joints);
    let mut joints: Vec<String> = joints
        .map(|(joint, life)| format!("{} {:?}", joint.name.id, (life.in_place, life.tight, life.set, life.apart)))
        .collect();
    let points = procedure.circuits.rows().iter().zip(&walk.points);
    let mut points: Vec<String> = points.map(|(circuit, points)| format!("{} {points:?}", circuit.name.id)).collect();
    let mut states: Vec<(&str, usize)> = Vec::new();
    for change in &walk.states {
        let name = procedure.states[change.state].name.id.as_str();
        states.retain(|(other, _)| *other != name);
        states.push((name, change.value));
    }
    steps.sort_unstable();
    sets.sort_unstable();
    states.sort_unstable();
    for list in [&mut parts, &mut joints, &mut points] {
        list.sort_unstable();
    }
    format!("{ending}\n{steps:?}\n{sets:?}\n{states:?}\n{parts:?}\n{joints:?}\n{points:?}")
}
