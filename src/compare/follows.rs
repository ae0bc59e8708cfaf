//! What follows from the changes though nobody wrote it: what joints and circuits come to, and what is laid out.

use crate::emit;
use crate::plan::Plan;
use crate::uses::Names;
use crate::working::{Standing, Working};

/// Something that comes out differently.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Follows {
    /// What it is of: `Cross-beam to rail bracket (beam-joint)`, `Tools`.
    pub of: String,
    /// What it is: `Stress at the top of the torque`; of what is laid out, its title.
    pub what: String,
    /// What it was; `None` where it was not there.
    pub old: Option<String>,
    /// What it is now; `None` where it is not there any more.
    pub new: Option<String>,
}

/// What follows; `None` where one of the two is not whole, because then something may be missing.
pub(super) fn follows(old: &Names, new: &Names) -> Option<Vec<Follows>> {
    let whole = |names: &Names| names.procedure().filter(|procedure| procedure.complete).cloned().map(Plan::new);
    let (old, new) = (whole(old)?, whole(new)?);
    let mut found = Vec::new();
    for name in new.worked_out() {
        if let (Some(was), Some(is)) = (old.working(name), new.working(name)) {
            found.extend(of_working(was, is));
        }
    }
    found.extend(emit::laid_out_otherwise(&old, &new).into_iter().map(|one| Follows {
        of: one.of.to_owned(),
        what: one.what,
        old: one.old,
        new: one.new,
    }));
    Some(found)
}

/// What a joint or circuit comes to. What the writer states himself is a change of its own.
fn of_working(old: &Working, new: &Working) -> Vec<Follows> {
    let is_stated = |standing| matches!(standing, Standing::Stated);
    let lines = new.lines.iter().filter(|line| !is_stated(line.standing));
    let differing = lines.filter_map(|line| {
        let mut those = old.lines.iter().filter(|was| was.what == line.what && !is_stated(was.standing));
        let was = those.next()?;
        let follows = || Follows {
            of: new.title.clone(),
            what: line.what.clone(),
            old: Some(was.result.clone()),
            new: Some(line.result.clone()),
        };
        (was.result != line.result).then(follows)
    });
    differing.collect()
}
