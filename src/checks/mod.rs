//! What is proved: a family a file. Families don't know each other.
//!
//! A family walks the events of the unrolled procedure once and files *proof obligations*: a formula that says in which runs a
//! rule is broken, and the words to use if there is one. `proof` settles them: no run breaks the rule, or one does and
//! becomes the finding's case, or it could not be decided and that is said.

mod advice;
mod circuits;
mod fit;
mod flow;
mod gaps;
mod heads;
mod heap;
mod joints;
mod limits;
mod matching;
mod order;
mod other_lines;
mod parts;
mod proof;
mod reach;
mod safety;
mod supplies;
mod titles;
mod tool_set;
mod tools;
mod torque;
mod wiring;
mod words;
mod wrench;

use crate::diagnostics::Finding;
use crate::plan::Plan;
pub use proof::MOST_CASES;
use proof::Proof;

/// Checks a resolved procedure over all its configurations.
pub fn check(plan: &Plan) -> Vec<Finding> {
    let procedure = plan.procedure();
    let mut proof = Proof::new(plan);
    // Local rules hold whether or not everything in the file could be resolved.
    tools::check(&mut proof);
    other_lines::check(&mut proof);
    wrench::check(&mut proof);
    torque::check(&mut proof);
    fit::check(&mut proof);
    tool_set::check(&mut proof);
    titles::check(&mut proof);
    flow::branches(&mut proof);
    safety::messages(&mut proof);
    if !procedure.complete {
        return proof.settle();
    }
    if flow::contradictory(&mut proof) {
        return proof.settle();
    }
    // In this order: what turns every job away, and what no job reaches, are causes of what the later ones would say.
    limits::check(&mut proof);
    reach::check(&mut proof);
    flow::check(&mut proof);
    supplies::check(&mut proof);
    parts::check(&mut proof);
    joints::check(&mut proof);
    order::check(&mut proof);
    circuits::check(&mut proof);
    wiring::check(&mut proof);
    safety::check(&mut proof);
    safety::licences(&mut proof);
    proof.settle()
}
