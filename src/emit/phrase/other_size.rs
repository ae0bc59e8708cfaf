//! The other size of a head: bolts and nuts of the older standard (DIN 931, 933, 934) are still in stock, and some of
//! their heads are wider or narrower than those of today.

use std::cmp::Ordering;

use crate::emit::words::{Words, listed, own_unit};
use crate::labels::{fill, spoken};
use crate::model::{Drive, DriveSize, FastenerKind, Grip, Line, Procedure, Tool, ToolId};
use crate::quantity::Quantity;

/// `or 17 mm on older bolts and nuts`: what a tool is no use for, where the heads that it turns can be of two sizes, and
/// which listed tool fits those. `None` where there is one size, or where the tool for the other is one of those `beside` it.
pub(in crate::emit) fn other_standard(procedure: &Procedure, tool: ToolId, beside: &[ToolId]) -> Option<String> {
    let own = &procedure.tools[tool];
    let mut others: Vec<(Quantity, Option<Drive>, bool, Vec<&'static str>)> = Vec::new();
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
            FastenerKind::Bolt => spoken().fastener.bolts,
            FastenerKind::Screw => spoken().fastener.screws,
            _ => spoken().fastener.nuts,
        };
        let drive = Some(grip.head.drive);
        match others.iter_mut().find(|(size, of, older, _)| (*size, *of, *older) == (other, drive, is_older)) {
            Some((.., nouns)) if nouns.contains(&noun) => {}
            Some((.., nouns)) => nouns.push(noun),
            None => others.push((other, drive, is_older, vec![noun])),
        }
    }
    let is_beside =
        |size: &Quantity, drive| beside.iter().any(|id| *id != tool && drive_at(&procedure.tools[*id], size) == drive);
    others.retain(|(size, drive, ..)| !is_beside(size, *drive));
    let words = others.iter().map(|(size, drive, older, nouns)| {
        let text = if *older { spoken().tool.or_on_older } else { spoken().tool.or_on_newer };
        let nouns = listed(nouns.iter().map(|noun| (*noun).to_owned()), spoken().word.and);
        let fits = |other: &&Tool| sort_of(other) == sort_of(own) && *drive == drive_at(other, size);
        let listed = procedure.tools.iter().find(|(_, other)| fits(other));
        let with = match listed {
            Some((other, _)) => Words::new(procedure).tool(other),
            None => spoken().tool.lay_out_too.to_owned(),
        };
        format!("{} ({with})", fill(text, &[("size", &own_unit(size)), ("heads", &nouns)]))
    });
    (!others.is_empty()).then(|| words.collect::<Vec<_>>().join(", "))
}

/// What sort of tool it is, by the first words of its title: a socket does not go where a spanner was chosen.
fn sort_of(tool: &Tool) -> &str {
    tool.name.title.split(',').next().unwrap_or_default()
}

/// The drive that it turns at this size.
fn drive_at(tool: &Tool, size: &Quantity) -> Option<Drive> {
    let fits = |turns: &&DriveSize| turns.only_size().is_some_and(|own| own.compare(size) == Some(Ordering::Equal));
    tool.turns.iter().find(fits).map(|turns| turns.drive)
}

/// The grips of all joints at which a tool is used.
fn turned(procedure: &Procedure, tool: ToolId) -> impl Iterator<Item = Grip<'_>> {
    let lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    let uses = move |line: &&Line| line.kind.worked_with().iter().any(|place| place.any_of.contains(&tool));
    let joints = lines.filter(uses).filter_map(|line| line.kind.joint());
    joints.flat_map(|joint| procedure.grips(&procedure.joints[joint]))
}

fn turns(tool: &Tool, grip: Grip<'_>, size: &Quantity) -> bool {
    let fits = |own: &Quantity| own.compare(size) == Some(Ordering::Equal);
    tool.turns.iter().any(|turns| turns.drive == grip.head.drive && turns.only_size().is_some_and(fits))
}
