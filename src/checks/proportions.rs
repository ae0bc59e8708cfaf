//! FW0724: a bolt or screw of a length that none has.

use num_traits::CheckedDiv;

use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::FastenerKind;
use crate::quantity::{Exact, Quantity};

pub(super) fn check(proof: &mut Proof<'_>) {
    let parts = proof.procedure.parts.rows().iter();
    let odd = parts.filter_map(|part| {
        let fastener = part.fastener.as_ref()?;
        // Rods are studs, and sold by the metre.
        let word = match fastener.kind {
            FastenerKind::Bolt => "bolt",
            FastenerKind::Screw => "screw",
            FastenerKind::Stud | FastenerKind::Nut | FastenerKind::Washer => return None,
        };
        let machine = fastener.thread.as_ref().map(|thread| thread.diameter);
        let (length, diameter) = (fastener.length?, machine.or(fastener.diameter)?);
        if !is_odd(&length, &diameter, machine.is_some())? {
            return None;
        }
        let id = &part.name.id;
        let message = format!("the {word} `{id}` is {length} long and {diameter} thick");
        Some(
            Finding::new(Code::FW0724, message, part.span, format!("no {word} is made so"))
                .because(
                    "One of the two numbers, or its unit, is a slip: what is ordered by it is another, or nothing.",
                )
                .repair(
                    "Check both numbers and their units against the drawing. Where the maker has it so, accept this.",
                ),
        )
    });
    let odd: Vec<Finding> = odd.collect();
    proof.findings.extend(odd);
}

/// Whether none has this length. ISO 888 ends the nominal lengths of bolts, screws and studs at 500 mm (from memory), and what
/// is thick may be longer; that a screw for sheet or wood is not eighty times as long as it is thick, and nothing with a head shorter
/// than a third of that, is common practice. ASME B18.2.1 ends the lag screws, the thickest without a machine thread, at 1 1/4 in
/// (from memory).
fn is_odd(length: &Quantity, diameter: &Quantity, machine: bool) -> Option<bool> {
    let times = length.base()?.checked_div(&diameter.base()?)?;
    let half_a_metre = Exact::new(1, 2);
    // 1 1/4 in, in metres.
    let thickest = Exact::new(3_175, 100_000);
    let long = match machine {
        true => length.base()? > half_a_metre && times > Exact::from_integer(40),
        false => times > Exact::from_integer(80) || diameter.base()? > thickest,
    };
    Some(long || times < Exact::new(1, 3))
}
