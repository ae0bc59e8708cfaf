//! What is proved: a family a file. Families don't know each other.
//!
//! A family walks the events of the unrolled procedure once and files *proof obligations*: a formula that says in which runs a
//! rule is broken, and the words to use if there is one. `proof` settles them: no run breaks the rule, or one does and
//! becomes the finding's case, or it could not be decided and that is said.

mod advice;
mod alternatives;
mod beyond;
mod carried;
mod circuits;
mod counted_twice;
mod divisors;
mod figures;
mod fit;
mod flow;
mod from_kit;
mod fuses;
mod gaps;
mod given;
mod grains;
mod had;
mod handover;
mod heads;
mod heap;
mod idle_tools;
mod joints;
mod lacking;
mod lifting;
mod limits;
mod lines;
mod loads;
mod lugs;
mod matching;
mod members;
mod moved;
mod never_set;
mod odd_units;
mod order;
mod other_lines;
mod parts;
mod pressure;
mod proof;
mod proportions;
mod prose;
mod reach;
mod references;
mod repairs;
mod repeats;
mod rules;
mod safety;
mod studs;
mod supplies;
mod terminals;
mod tight;
mod titles;
mod told;
mod tool_set;
mod tools;
mod torque;
mod unrecorded;
mod waiting;
mod wiring;
mod witnessed;
mod words;
mod wrench;

use std::convert::Infallible;

use crate::diagnostics::Finding;
use crate::plan::Plan;
pub use proof::MOST_CASES;
use proof::Proof;

/// What came of checking a procedure.
#[derive(Debug)]
pub struct Checked {
    /// What is wrong.
    pub findings: Vec<Finding>,
    /// Whether the proofs over all configurations were made. They are not where a part of the text can't be understood, nor
    /// where the rules leave no configuration.
    pub proved: bool,
}

/// Checks a resolved procedure over all its configurations.
pub fn check(plan: &Plan) -> Checked {
    let Ok(checked) = check_while(plan, &|| Ok::<(), Infallible>(()), &|_| Vec::new());
    checked
}

/// The same, as long as somebody wants it: `wanted` is asked between the families and between the proofs, which is some
/// thousand times a second. `accepted` says of each finding whether a line accepts it: it will not be told, so that no case is
/// worked out for it.
///
/// # Errors
/// What `wanted` says where it is wanted no more. Nothing is said of the procedure then.
pub fn check_while<E>(
    plan: &Plan,
    wanted: &dyn Fn() -> Result<(), E>,
    accepted: &dyn Fn(&[&Finding]) -> Vec<bool>,
) -> Result<Checked, E> {
    let procedure = plan.procedure();
    let mut proof = Proof::new(plan);
    // Local rules hold whether or not everything in the file could be resolved.
    tools::check(&mut proof);
    alternatives::check(&mut proof);
    other_lines::check(&mut proof);
    wrench::check(&mut proof);
    wanted()?;
    torque::check(&mut proof);
    wanted()?;
    fit::check(&mut proof);
    proportions::check(&mut proof);
    odd_units::check(&mut proof);
    tool_set::check(&mut proof);
    titles::check(&mut proof);
    figures::pictures(&mut proof);
    flow::branches(&mut proof);
    beyond::check(&mut proof);
    safety::messages(&mut proof);
    if !procedure.complete || flow::contradictory(&mut proof) {
        return Ok(Checked { findings: proof.settle(wanted, accepted)?, proved: false });
    }
    wanted()?;
    prose::check(&mut proof);
    handover::check(&mut proof);
    unrecorded::check(&mut proof);
    lifting::check(&mut proof);
    wanted()?;
    // In this order: what turns every job away, and what no job reaches, are causes of what the later ones would say.
    limits::check(&mut proof);
    reach::check(&mut proof);
    flow::check(&mut proof);
    rules::check(&mut proof);
    repairs::check(&mut proof);
    repeats::check(&mut proof);
    waiting::check(&mut proof);
    witnessed::check(&mut proof);
    never_set::check(&mut proof);
    divisors::check(&mut proof);
    lacking::check(&mut proof);
    told::check(&mut proof);
    given::check(&mut proof);
    references::check(&mut proof);
    figures::check(&mut proof);
    wanted()?;
    let from_kit = parts::check(&mut proof);
    supplies::check(&mut proof, &from_kit);
    idle_tools::check(&mut proof);
    wanted()?;
    joints::check(&mut proof);
    members::check(&mut proof);
    moved::check(&mut proof);
    counted_twice::check(&mut proof);
    pressure::check(&mut proof);
    order::check(&mut proof);
    wanted()?;
    circuits::check(&mut proof);
    fuses::check(&mut proof);
    loads::check(&mut proof);
    studs::check(&mut proof);
    lugs::check(&mut proof);
    terminals::check(&mut proof, &from_kit);
    wiring::check(&mut proof);
    safety::check(&mut proof);
    safety::licences(&mut proof);
    Ok(Checked { findings: proof.settle(wanted, accepted)?, proved: true })
}
