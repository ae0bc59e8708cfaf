//! The order of the phases, and what is done with their findings. No other module knows the order.
//!
//! Each phase gives a value and findings, so that one mistake does not hide the next. Afterwards the findings are
//! *settled*: what the writer accepted is taken out, the rest is sorted, said once, and bounded.

mod acceptance;
mod language;
mod places;
mod shared;

use std::collections::{BTreeMap, BTreeSet};
use std::convert::Infallible;

use crate::account::{Accepted, Account};
use crate::checks;
use crate::compare::Comparison;
use crate::diagnostics::{Attribute, Code, Finding, Severity};
use crate::emit::{self, Beside, EmitError, Extras, Outputs, Since, Translation};
use crate::labels::{self, Language};
use crate::mend;
use crate::model::{Accept, Procedure};
use crate::plan::Plan;
use crate::resolve::{self, Resolved, index::Index};
use crate::source::{FileId, Sources};
use crate::tailor::{self, Refusal, Wish};
use crate::working::Working;
use crate::world::World;
use acceptance::Applied;
pub use language::{CannotTranslate, Words};

/// At most so many findings are kept a file. Nobody reads more, and a damaged file may raise one a line.
pub const MOST_FINDINGS: usize = checks::MOST_CASES;

/// One source file, compiled as far as it goes.
#[derive(Debug)]
pub struct Compiled {
    sources: Sources,
    /// What is shown: of the full procedure, or of some fittings once it was narrowed.
    shown: Settled,
    is_library: bool,
    /// How many errors the full procedure has, those left off included.
    errors: usize,
    /// What was found before anything was proved: of the text, names, quantities and files.
    of_the_text: Vec<Finding>,
    plan: Option<Plan>,
    account: Account,
    figures: BTreeMap<String, Vec<u8>>,
    /// Texts of other procedures that it rests on.
    read_beside: BTreeSet<String>,
    /// Of the outputs.
    language: &'static Language,
    /// Whether its texts are in another language than in the source.
    is_translated: bool,
    /// By what they were translated, where a file was needed for it.
    translation: Option<Translation>,
}

impl Compiled {
    /// What was found, settled: by file in the order of reading, then by place, then by code.
    pub fn findings(&self) -> &[Finding] {
        &self.shown.findings
    }

    /// How many findings of a file were left off because it had more than [`MOST_FINDINGS`]; files in order.
    pub fn left_off(&self) -> &[(FileId, usize)] {
        &self.shown.left_off
    }

    /// What was judged and what was not: of the full procedure, or of some fittings once it was narrowed. Empty for a library
    /// and for what could not be understood.
    pub fn account(&self) -> &Account {
        &self.account
    }

    /// Every text that was read; the file that was asked for is the first.
    pub fn sources(&self) -> &Sources {
        &self.sources
    }

    /// Whether the file is a library.
    pub fn is_library(&self) -> bool {
        self.is_library
    }

    /// The procedure, where nothing is wrong with it. Only from here can outputs be made.
    pub fn clean(&self) -> Option<&Procedure> {
        self.clean_plan().map(Plan::procedure)
    }

    fn clean_plan(&self) -> Option<&Plan> {
        self.plan.as_ref().filter(|_| self.errors == 0)
    }

    /// The calculation behind a joint, by its name in the source, also where something else is wrong with the file.
    pub fn working(&self, name: &str) -> Option<&Working> {
        let plan = self.plan.as_ref()?;
        // Of what is there for several places, the first stands for all where none is named.
        let copy = || plan.procedure().copies().find(|(_, at)| at.of == name).map(|(copy, _)| copy.id.as_str());
        plan.working(name).or_else(|| plan.working(&name.replace(" of ", "."))).or_else(|| plan.working(copy()?))
    }

    /// The names that [`Compiled::working`] knows, in order of the text.
    pub fn worked_out(&self) -> Vec<&str> {
        self.plan.as_ref().map(Plan::worked_out).unwrap_or_default()
    }

    /// Whether the full procedure has errors, those left off included.
    pub fn has_errors(&self) -> bool {
        self.errors > 0
    }

    /// The procedure as far as it could be resolved, to look things up in.
    pub fn procedure(&self) -> Option<&Procedure> {
        self.plan.as_ref().map(Plan::procedure)
    }

    /// Whether the file that was asked for could be read at all; where not, a finding says why.
    pub fn was_read(&self) -> bool {
        self.sources.iter().next().is_some()
    }

    /// The files of the project that were read: texts and figures, by their paths in the project.
    pub fn inputs(&self) -> impl Iterator<Item = &str> {
        let texts = self.sources.iter().map(|(_, file)| file.name.as_str()).filter(|name| !name.starts_with("std/"));
        // A library that both use is among the first.
        let known = |path: &str| self.sources.iter().any(|(_, file)| file.name == path);
        let beside = self.read_beside.iter().map(String::as_str).filter(move |path| !known(path));
        texts.chain(self.figures.keys().map(String::as_str)).chain(beside)
    }

    /// The outputs of a plan of this procedure. `before` is an older edition with its plan, and what changed since.
    fn emit(
        &self,
        plan: &Plan,
        account: &Account,
        extras: Extras,
        before: Option<(&Compiled, &Plan, &Comparison)>,
    ) -> Result<Outputs, EmitError> {
        labels::speaking(self.language, || self.emit_as_spoken(plan, account, extras, before))
    }

    fn emit_as_spoken(
        &self,
        plan: &Plan,
        account: &Account,
        extras: Extras,
        before: Option<(&Compiled, &Plan, &Comparison)>,
    ) -> Result<Outputs, EmitError> {
        let figures = |path: &str| self.figures.get(path).cloned();
        let Some((old, before, changes)) = before else {
            let beside = Beside { extras, since: None, translation: self.translation.as_ref() };
            return emit::emit_with(plan, account, &self.sources, &figures, beside);
        };
        let topics = changes.topics_by_step();
        let old_figures = |path: &str| old.figures.get(path).cloned();
        let since = Since { plan: before, figures: &old_figures, topics: &topics, renamed: &changes.renamed_steps };
        let beside = Beside { extras, since: Some(since), translation: self.translation.as_ref() };
        emit::emit_with(plan, account, &self.sources, &figures, beside)
    }

    /// Leaves of the findings those of the fittings that the wishes ask for; what only the full procedure can be asked
    /// ([`Attribute::FullOnly`]) is left out. Without a wish, and for what is no procedure or could not be resolved whole,
    /// all findings stay. Whether the procedure is clean does not change.
    ///
    /// # Errors
    /// Where the procedure can't be tailored so. Then nothing changes.
    pub fn narrow(&mut self, wishes: &[Wish]) -> Result<(), Refusal> {
        let full = self.procedure().filter(|procedure| procedure.complete && !wishes.is_empty());
        let Some(full) = full else { return Ok(()) };
        let plan = Plan::new(tailor::tailor(full, wishes)?);
        let is_asked = |finding: &Finding| !finding.code.is(Attribute::FullOnly);
        let mut findings = self.of_the_text.clone();
        let accepted = |found: &[&Finding]| are_accepted(&self.of_the_text, found, plan.procedure());
        let Ok(checked) = checks::check_while(&plan, &|| Ok::<(), Infallible>(()), &accepted);
        findings.extend(checked.findings.into_iter().filter(is_asked));
        let mut settled = settle(findings, &plan.procedure().accepts, Some(plan.procedure()));
        mend::work_out(&mut settled.findings, &self.sources);
        // Once more, for what settling adds: what is accepted may be raised by another fitting.
        settled.findings.retain(is_asked);
        self.account = Account::of(&plan, checked.proved, &settled.findings, settled.accepted.clone());
        self.shown = settled;
        Ok(())
    }
}

/// A file that was read with all that it uses, before anything is proved of it.
pub struct Read {
    sources: Sources,
    resolved: Resolved,
}

/// Reads a file of a project with all that it uses. `path` is relative to the project's root, with forward slashes.
pub fn read(path: &str, world: &dyn World) -> Read {
    let mut sources = Sources::default();
    let resolved = resolve::resolve(path, world, &mut sources);
    Read { sources, resolved }
}

/// The same, with what is declared and where it is named.
pub fn read_with_index(path: &str, world: &dyn World) -> (Read, Index) {
    let mut sources = Sources::default();
    let (resolved, index) = resolve::resolve_with_index(path, world, &mut sources);
    (Read { sources, resolved }, index)
}

impl Read {
    /// Every text that was read; the file that was asked for is the first.
    pub fn sources(&self) -> &Sources {
        &self.sources
    }

    /// The procedure as far as it could be resolved; `None` for a library and for what could not be read.
    pub fn procedure(&self) -> Option<&Procedure> {
        self.resolved.procedure.as_ref()
    }

    /// What is wrong with the text, names, quantities and files, settled as [`Compiled::findings`] are. What the proofs find is
    /// not there yet; so no acceptance counts as idle.
    pub fn findings(&self) -> Vec<Finding> {
        let mut settled =
            settle(self.resolved.findings.clone(), &self.resolved.accepts, self.resolved.procedure.as_ref());
        mend::work_out(&mut settled.findings, &self.sources);
        settled.findings.into_iter().filter(|finding| finding.code != Code::FW0116).collect()
    }

    /// Looks for everything that is wrong with it.
    pub fn prove(self) -> Compiled {
        let Ok(compiled) = self.prove_while(&|| Ok::<(), Infallible>(()));
        compiled
    }

    /// The same, as long as somebody wants it.
    ///
    /// # Errors
    /// What `wanted` says where it is wanted no more; [`checks::check_while`] says when it is asked.
    pub fn prove_while<E>(self, wanted: &dyn Fn() -> Result<(), E>) -> Result<Compiled, E> {
        let Read { sources, resolved } = self;
        let of_the_text = resolved.findings;
        let mut findings = of_the_text.clone();
        let plan = resolved.procedure.map(Plan::new);
        let check = |plan: &Plan| {
            let accepted = |found: &[&Finding]| are_accepted(&of_the_text, found, plan.procedure());
            checks::check_while(plan, wanted, &accepted)
        };
        let checked = plan.as_ref().map(check).transpose()?;
        let proved = checked.as_ref().is_some_and(|checked| checked.proved);
        findings.extend(checked.into_iter().flat_map(|checked| checked.findings));
        let mut settled = settle(findings, &resolved.accepts, plan.as_ref().map(Plan::procedure));
        mend::work_out(&mut settled.findings, &sources);
        let account = plan.as_ref().map(|plan| Account::of(plan, proved, &settled.findings, settled.accepted.clone()));
        Ok(Compiled {
            account: account.unwrap_or_default(),
            sources,
            errors: settled.errors,
            shown: settled,
            is_library: resolved.is_library,
            of_the_text,
            plan,
            figures: resolved.figures,
            read_beside: resolved.read_beside,
            language: labels::english(),
            is_translated: false,
            translation: None,
        })
    }
}

/// Reads a file of a project with all that it uses, and looks for everything that is wrong with it. What can't be read is a
/// finding like any other.
pub fn check(path: &str, world: &dyn World) -> Compiled {
    read(path, world).prove()
}

/// Makes what the workshop needs; `None` where there are errors, and for a library.
///
/// # Errors
/// Where a picture is no picture that a page may hold. Anything else would be a fault of this program.
pub fn build(compiled: &Compiled) -> Option<Result<Outputs, EmitError>> {
    build_with(compiled, Extras::default())
}

/// The same with files that are made on demand.
///
/// # Errors
/// As [`build`].
pub fn build_with(compiled: &Compiled, extras: Extras) -> Option<Result<Outputs, EmitError>> {
    Some(compiled.emit(compiled.clean_plan()?, &compiled.account, extras, None))
}

/// The same with bars in the margin of the manual where it differs from an older edition, and a list of what changed since.
/// `changes` is what changed between the two.
///
/// # Errors
/// As [`build`].
pub fn build_since(
    compiled: &Compiled,
    extras: Extras,
    old: &Compiled,
    changes: &Comparison,
) -> Option<Result<Outputs, EmitError>> {
    let (plan, before) = (compiled.clean_plan()?, old.plan.as_ref()?);
    Some(compiled.emit(plan, &compiled.account, extras, Some((old, before, changes))))
}

/// The same for the fittings that the wishes ask for, with the tailored procedure; `None` where there are errors, and for a
/// library.
///
/// # Errors
/// Where the procedure can't be tailored so. Where the outputs can't be made, they say so themselves.
pub fn build_tailored(compiled: &Compiled, wishes: &[Wish]) -> Option<Result<TailoredBuild, Refusal>> {
    build_tailored_with(compiled, wishes, Extras::default())
}

/// The same with files that are made on demand.
///
/// # Errors
/// As [`build_tailored`].
pub fn build_tailored_with(
    compiled: &Compiled,
    wishes: &[Wish],
    extras: Extras,
) -> Option<Result<TailoredBuild, Refusal>> {
    build_tailored_since(compiled, wishes, extras, None)
}

/// The same with marks where the manual differs from an older edition, tailored by the same wishes, and what changed since.
///
/// # Errors
/// As [`build`], and where the older edition can't be tailored so.
pub fn build_tailored_since(
    compiled: &Compiled,
    wishes: &[Wish],
    extras: Extras,
    since: Option<(&Compiled, &Comparison)>,
) -> Option<Result<TailoredBuild, Refusal>> {
    let before = match since {
        Some((old, changes)) => match tailor::tailor(old.procedure()?, wishes) {
            Ok(procedure) => Some((old, Plan::new(procedure), changes)),
            Err(refusal) => return Some(Err(refusal)),
        },
        None => None,
    };
    let clean = compiled.clean()?;
    // What is left out of a fitting is worded in it.
    let plan = match labels::speaking(compiled.language, || tailor::tailor(clean, wishes)) {
        Ok(procedure) => Plan::new(procedure),
        Err(refusal) => return Some(Err(refusal)),
    };
    let stays = |one: &&Accepted| plan.procedure().accepts.iter().any(|accept| accept.span.whole() == one.place);
    let accepted = compiled.account.accepted.iter().filter(stays).cloned().collect();
    let account = Account::of(&plan, compiled.account.proved, compiled.findings(), accepted);
    let before = before.as_ref().map(|(old, plan, changes)| (*old, plan, *changes));
    let outputs = compiled.emit(&plan, &account, extras, before);
    Some(Ok(TailoredBuild { procedure: plan.into_procedure(), outputs }))
}

/// A build for some fittings.
pub struct TailoredBuild {
    /// The procedure as it was tailored.
    pub procedure: Procedure,
    /// What came out.
    pub outputs: Result<Outputs, EmitError>,
}

/// Findings that are ready to be shown.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct Settled {
    /// By file in the order of reading, then by place, then by code.
    findings: Vec<Finding>,
    /// How many of a file were left off because it had too many; files in order.
    left_off: Vec<(FileId, usize)>,
    /// How many errors there are, those left off included.
    errors: usize,
    /// What was accepted, in order of the text.
    accepted: Vec<Accepted>,
}

/// Takes out what is accepted, says what cannot be accepted, sorts, and bounds the count.
///
/// `procedure` knows the places for which some things stand.
fn settle(findings: Vec<Finding>, accepts: &[Accept], procedure: Option<&Procedure>) -> Settled {
    let places = procedure.map_or(&[][..], |procedure| &procedure.each_places);
    let shared = procedure.map_or(&[][..], |procedure| &procedure.shared[..]);
    let kept = as_written(findings, procedure);
    let Applied { taken, refused, idle, met } = acceptance::apply(&kept.iter().collect::<Vec<_>>(), accepts, shared);
    let mut accepted: Vec<(usize, Accepted)> = Vec::new();
    let mut others: Vec<Finding> = Vec::with_capacity(kept.len());
    for (finding, by) in kept.into_iter().zip(taken) {
        match by.and_then(|by| Some((by, accepts.get(by)?))) {
            Some((by, accept)) => accepted.push((by, accepted_by(accept, finding))),
            None => others.push(finding),
        }
    }
    let mut kept = others;
    kept.extend(refused);
    // While there are errors, some rules have not looked; that an acceptance is idle is known only afterwards.
    if kept.iter().all(|finding| finding.severity() != Severity::Error) {
        // What is accepted at one place of several is idle at none.
        let is_idle = |finding: &Finding| {
            finding.span().is_none_or(|span| span.file.place().is_none() || !met.contains(&span.whole()))
        };
        kept.extend(idle.into_iter().filter(is_idle));
    }
    let kept = match procedure {
        Some(procedure) => shared::told_of(kept, procedure),
        None => kept,
    };
    let mut kept = places::said_once(kept, places);
    let errors = kept.iter().filter(|finding| finding.severity() == Severity::Error).count();
    kept.sort_by(|a, b| a.head().cmp(&b.head()));
    kept.dedup_by(|a, b| a.head() == b.head());
    let left_off = bound(&mut kept);
    accepted.sort_by_key(|(by, one)| (one.place, one.code, *by));
    let mut accepted: Vec<Accepted> = accepted.into_iter().map(|(_, one)| one).collect();
    accepted.dedup();
    Settled { findings: kept, left_off, errors, accepted }
}

/// The names of copies as a writer has them, where there are any.
fn as_written(findings: Vec<Finding>, procedure: Option<&Procedure>) -> Vec<Finding> {
    match procedure.filter(|procedure| !procedure.each_places.is_empty()) {
        Some(procedure) => places::as_written(findings, procedure),
        None => findings,
    }
}

fn accepted_by(accept: &Accept, finding: Finding) -> Accepted {
    let (code, message) = (finding.code, finding.message);
    Accepted { code, message, reason: accept.reason.clone(), place: accept.span.whole() }
}

/// Which of the findings that `checks` is about to tell [`settle`] will take out, since a line accepts them.
fn are_accepted(of_the_text: &[Finding], found: &[&Finding], procedure: &Procedure) -> Vec<bool> {
    let accepts = &procedure.accepts;
    // Whether one is accepted hangs on those of its code alone.
    let codes: BTreeSet<Code> = accepts.iter().filter_map(|accept| Code::parse(&accept.code)).collect();
    let concerned = found.iter().enumerate().filter(|(_, finding)| codes.contains(&finding.code));
    let concerned: Vec<usize> = concerned.map(|(at, _)| at).collect();
    let of_the_text = of_the_text.iter().filter(|finding| codes.contains(&finding.code));
    let all = concerned.iter().filter_map(|at| found.get(*at).copied()).chain(of_the_text);
    let all = as_written(all.cloned().collect(), Some(procedure));
    let taken = acceptance::apply(&all.iter().collect::<Vec<_>>(), accepts, &procedure.shared).taken;
    let mut accepted = vec![false; found.len()];
    for (at, by) in concerned.into_iter().zip(taken) {
        accepted.get_mut(at).into_iter().for_each(|slot| *slot = by.is_some());
    }
    accepted
}

/// Keeps the gravest and earliest findings of each file, and says how many others there were.
fn bound(findings: &mut Vec<Finding>) -> Vec<(FileId, usize)> {
    let file_of = |finding: &Finding| finding.span().map(|span| span.file);
    let mut ranks: BTreeMap<FileId, Vec<(Severity, usize)>> = BTreeMap::new();
    for (at, finding) in findings.iter().enumerate() {
        if let Some(file) = file_of(finding) {
            ranks.entry(file).or_default().push((finding.severity(), at));
        }
    }
    let mut left_off = Vec::new();
    let mut dropped: Vec<usize> = Vec::new();
    for (file, mut ranked) in ranks {
        ranked.sort_unstable();
        let over = ranked.split_off(ranked.len().min(MOST_FINDINGS));
        if !over.is_empty() {
            left_off.push((file, over.len()));
            dropped.extend(over.into_iter().map(|(_, at)| at));
        }
    }
    dropped.sort_unstable();
    let mut at = 0;
    findings.retain(|_| {
        at += 1;
        dropped.binary_search(&(at - 1)).is_err()
    });
    left_off
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::Code;
    use crate::source::Span;

    fn span(start: usize, end: usize) -> Span {
        Span::new(FileId::new(0), start, end)
    }

    fn accept(code: &str, reason: &str) -> Accept {
        Accept {
            code: code.into(),
            reason: reason.into(),
            subjects: Vec::new(),
            at: None,
            is_wide: false,
            covers: span(20, 60),
            span: span(10, 19),
        }
    }

    fn codes(settled: &Settled) -> Vec<Code> {
        settled.findings.iter().map(|finding| finding.code).collect()
    }

    #[test]
    fn an_accepted_warning_is_not_said_within_its_statement_and_is_said_elsewhere() {
        let inside = Finding::new(Code::FW0502, "a", span(30, 40), "");
        let outside = Finding::new(Code::FW0502, "b", span(70, 80), "");
        let settled = settle(vec![outside.clone(), inside], &[accept("fw0502", "kept for the workshop")], None);
        assert_eq!(settled.findings, vec![outside]);
    }

    #[test]
    fn an_acceptance_needs_a_code_that_is_no_error_and_a_reason() {
        for (code, reason) in [("FW9999", "because"), ("FW0601", "because"), ("FW0502", "  ")] {
            let warning = Finding::new(Code::FW0502, "a", span(30, 40), "");
            let settled = settle(vec![warning], &[accept(code, reason)], None);
            assert_eq!(codes(&settled), [Code::FW0115, Code::FW0502], "{code}");
            assert_eq!(settled.errors, 1);
        }
    }

    #[test]
    fn an_acceptance_holds_what_it_names_and_no_more() {
        let of =
            |name: &str| Finding::new(Code::FW0604, format!("up to 2 `{name}` can be left over"), span(30, 40), "");
        let named = |subjects: &[&str], at: Option<&str>| Accept {
            subjects: subjects.iter().map(|name| (*name).to_owned()).collect(),
            at: at.map(str::to_owned),
            is_wide: true,
            ..accept("FW0604", "spares")
        };
        let both = vec![of("pad"), of("cap")];
        assert_eq!(codes(&settle(both.clone(), &[named(&["pad", "cap"], None)], None)), []);
        // Of what is not named, it is said still; what is named and not raised is idle.
        assert_eq!(settle(both.clone(), &[named(&["pad"], None)], None).findings, vec![of("cap")]);
        assert_eq!(codes(&settle(vec![of("pad")], &[named(&["pad", "cap"], None)], None)), [Code::FW0116]);
        // A line that names nothing may accept one thing, and no second.
        let before = |subjects: &[&str]| Accept { is_wide: false, ..named(subjects, None) };
        assert_eq!(codes(&settle(vec![of("pad")], &[before(&[])], None)), []);
        assert_eq!(codes(&settle(both.clone(), &[before(&[])], None)), [Code::FW0115, Code::FW0604, Code::FW0604]);
        assert_eq!(codes(&settle(both.clone(), &[before(&["pad", "cap"])], None)), []);
        // What rests on no value can't be accepted at one.
        assert_eq!(
            codes(&settle(vec![of("pad")], &[named(&["pad"], Some("3 mm"))], None)),
            [Code::FW0115, Code::FW0604]
        );
        let torque = || Finding::new(Code::FW0706, "the torque of `rail`", span(30, 40), "").holding("31 N.m");
        let at = |value| Accept { is_wide: false, at: Some(String::from(value)), ..accept("FW0706", "tried") };
        assert_eq!(codes(&settle(vec![torque()], &[at("31 N.m")], None)), []);
        assert_eq!(codes(&settle(vec![torque()], &[at("48 N.m")], None)), [Code::FW0116, Code::FW0706]);
    }

    #[test]
    fn an_idle_acceptance_is_said_once_all_errors_are_gone() {
        let accepts = [accept("FW0502", "kept for the workshop")];
        assert_eq!(codes(&settle(Vec::new(), &accepts, None)), [Code::FW0116]);
        let error = Finding::new(Code::FW0601, "a", span(0, 1), "");
        assert_eq!(codes(&settle(vec![error], &accepts, None)), [Code::FW0601]);
    }

    #[test]
    fn findings_are_sorted_and_said_once() {
        let late = Finding::new(Code::FW0601, "late", span(50, 51), "");
        let early = Finding::new(Code::FW0602, "early", span(5, 6), "");
        let other = Finding::new(Code::FW0602, "another cause at the same place", span(5, 6), "");
        let nowhere = Finding::without_place(Code::FW0206, "gone");
        let settled =
            settle(vec![late.clone(), early.clone(), late.clone(), nowhere.clone(), other.clone()], &[], None);
        assert_eq!(settled.findings, vec![nowhere, other, early, late]);
    }

    #[test]
    fn a_file_with_too_many_findings_keeps_the_gravest_and_the_count_of_the_rest() {
        let mut findings: Vec<Finding> =
            (0..250).map(|at| Finding::new(Code::FW0203, "unused", span(at, at + 1), "")).collect();
        findings.push(Finding::new(Code::FW0601, "grave", span(900, 901), ""));
        let settled = settle(findings, &[], None);
        assert_eq!(settled.findings.len(), MOST_FINDINGS);
        assert_eq!(settled.findings.last().map(|finding| finding.code), Some(Code::FW0601));
        assert_eq!(settled.left_off, vec![(FileId::new(0), 151)]);
        assert_eq!(settled.errors, 1);
    }
}
