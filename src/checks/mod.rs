//! What is proved: a family a file. Families don't know each other.
mod tools;
use crate::diagnostics::Finding;
use crate::model::Procedure;
/// Checks a resolved procedure.
pub fn check(procedure: &Procedure) -> Vec<Finding> {
    let mut findings = Vec::new();
    tools::check(procedure, &mut findings);
    findings
}
