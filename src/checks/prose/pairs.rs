//! The rules of two sentences, or of a sentence and a line, of which one comes too late: each table asked in the same way.

use super::super::proof::Proof;
use super::said::Said;
use super::sequel::{self, Act, Does};
use super::text::Text;
use super::{cures, orders, patterns, swapped};
use crate::diagnostics::Code;

pub(super) fn check<'p>(proof: &mut Proof<'p>, texts: &[Text<'p>], all: &[Said<'_, 'p>]) {
    for rule in orders::RULES.iter().chain(swapped::RULES).chain(patterns::RULES) {
        let mut acts = rule.acts(all);
        let procedure = proof.procedure;
        match rule.code {
            Code::FW0774 => acts.extend(orders::bolted(procedure)),
            Code::FW0776 => acts.extend(orders::let_off(procedure, all)),
            Code::FW1238 => acts.extend(orders::made_off(procedure)),
            Code::FW0783 => acts.extend(cures::waits(procedure, texts).iter().map(|wait| wait.act(Does::Ends))),
            Code::FW0785 => acts.extend(swapped::switched_on(procedure)),
            _ => {}
        }
        if rule.once {
            acts.sort_by_key(|act| (act.step, act.place.start));
            if orders::is_done_before(&acts) {
                continue;
            }
        }
        if rule.code == Code::FW0785 && !swapped::looks_once(&mut acts, all) {
            continue;
        }
        sequel::check(proof, rule.code, &acts, move |before, place| rule.finding(before, place));
    }
    // Where a state follows the ignition, it says what holds (FW04).
    let is_followed = |title: &str| title.to_lowercase().contains("ignition");
    if !proof.procedure.states.rows().iter().any(|state| is_followed(&state.name.title)) {
        let acts: Vec<Act> = all.iter().filter(|one| one.is_now).filter_map(orders::switched).collect();
        sequel::check(proof, Code::FW1242, &acts, orders::switched_late);
    }
}
