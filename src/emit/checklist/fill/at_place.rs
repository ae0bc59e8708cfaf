//! Where a thing is.

use crate::emit::checklist::at_place::AtPlace;
use crate::model::{Naming, Procedure};

/// Where a thing is, of one that the source says once for several places.
pub(super) fn at_place(procedure: &Procedure, name: &Naming) -> Option<AtPlace> {
    let at = name.at.as_ref()?;
    let place = procedure.each_places.get(at.place)?;
    Some(AtPlace {
        of: at.of.clone(),
        title: at.title.clone(),
        among: place.group.clone(),
        among_title: place.group_title.clone(),
        place: place.id.clone(),
        label: place.label.clone(),
    })
}
