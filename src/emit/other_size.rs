//! The other size of a head: bolts and nuts of the older standard (DIN 931, 933, 934) are still in stock, and some of
//! their heads are wider or narrower than those of today.

use std::cmp::Ordering;

use super::words::{listed, own_unit};
use crate::model::{FastenerKind, Grip, Line, Procedure, Tool, ToolId};
use crate::quantity::Quantity;

/// `or 17 mm on older bolts and nuts`: what a tool is no use for, where the heads that it turns can be of two sizes, and
/// which listed tool fits those. `None` where there is one size.
pub(super) fn other_standard(procedure: &Procedure, tool: ToolId) -> Option<String> {
    let own = &procedure.tools[tool];
    let mut others: Vec<(Quantity, bool, Vec<&'static str>)> = Vec::new();
    for grip in turned(procedure, tool) {
        let fits = |size: &Quantity| turns(own, grip, size);
        // Current size first, then the older.
        let (Some(current), [older, ..]) = (grip.head.sizes.first(), grip.head.sizes.get(1..).unwrap_or_default())
        else {
            continue;
        };
        let (other, is_older) = match (fits(current), fits(older)) {
            (true, false) => (*older, true),
            (false, true) => (*current, false),
            _ => continue,
        };
        let noun = match grip.kind {
            FastenerKind::Bolt => "bolts",
            FastenerKind::Screw => "screws",
            _ => "nuts",
        };
        match others.iter_mut().find(|(size, older, _)| *size == other && *older == is_older) {
            Some((_, _, nouns)) if nouns.contains(&noun) => {}
            Some((_, _, nouns)) => nouns.push(noun),
            None => others.push((other, is_older, vec![noun])),
        }
    }
    let words = others.iter().map(|(size, older, nouns)| {
        let age = if *older { "older" } else { "newer" };
        let nouns = listed(nouns.iter().map(|noun| (*noun).to_owned()), "and");
        let listed = procedure.tools.rows().iter().find(|other| {
            other.turns.iter().any(|turns| turns.size.is_some_and(|own| own.compare(size) == Some(Ordering::Equal)))
        });
        let with = match listed {
            Some(tool) => format!(" ({})", tool.name.title),
            None => " (lay one out too)".to_owned(),
        };
        format!("or {} on {age} {nouns}{with}", own_unit(size))
    });
    (!others.is_empty()).then(|| words.collect::<Vec<_>>().join(", "))
}

/// The grips of all joints at which a tool is used.
fn turned(procedure: &Procedure, tool: ToolId) -> impl Iterator<Item = Grip<'_>> {
    let lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    let uses = move |line: &&Line| line.kind.worked_with().iter().any(|place| place.any_of.contains(&tool));
    let joints = lines.filter(uses).filter_map(|line| line.kind.joint());
    joints.flat_map(|joint| procedure.grips(&procedure.joints[joint]))
}

fn turns(tool: &Tool, grip: Grip<'_>, size: &Quantity) -> bool {
    let fits = |own: Quantity| own.compare(size) == Some(Ordering::Equal);
    tool.turns.iter().any(|turns| turns.drive == grip.head.drive && turns.size.is_some_and(fits))
}
