//! What is known of the text as it stands on the disk now, and the last manual that could be made.
//!
//! What is found of a text is told only while the text is that: as soon as a file is otherwise, nothing is known but that it is
//! being read. The last good procedure outlives its text, and is then marked as older.

use std::collections::BTreeMap;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::cli::check;
use crate::cli::files::Job;
use crate::compile::{self, Compiled, Read};
use crate::diagnostics::render::{self, Style};
use crate::diagnostics::{Finding, visible};
use crate::emit::{Extras, Outputs};
use crate::model::{ChoiceKind, Cond, CondKind, NumberKind, Procedure};
use crate::source::Sources;
use crate::tailor::Wish;

/// A question for news is answered after this time, news or not: every connection has an end.
const LONGEST_WAIT: Duration = Duration::from_secs(10);
/// Fittings whose files are kept at a time.
const MOST_FITTINGS: usize = 8;

/// How far the work on the text as it stands has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    /// It is being read.
    Reading,
    /// Its words, names and quantities are judged; the proof is running.
    Proving,
    /// Everything is judged.
    Proved,
    /// The program has a fault.
    Failed,
}

impl Stage {
    fn word(self) -> &'static str {
        match self {
            Stage::Reading => "reading",
            Stage::Proving => "proving",
            Stage::Proved => "proved",
            Stage::Failed => "failed",
        }
    }
}

/// What the page shows.
struct Now {
    /// Goes up with each change.
    moves: u64,
    stage: Stage,
    findings: Arc<Vec<Finding>>,
    sources: Arc<Sources>,
    /// What a check says after its findings.
    last_words: String,
    is_library: bool,
    /// The last procedure without errors, in short.
    good: Option<Value>,
    /// Whether that is the text as it stands.
    is_current: bool,
}

/// A procedure without errors, and what was made of it.
struct Good {
    compiled: Compiled,
    made: BTreeMap<Vec<String>, Made>,
}

/// The files for some fittings, or why there are none, in the words of the command line.
type Made = Result<Arc<Outputs>, String>;

/// All that is shared between who follows the files and who answers requests.
pub struct State {
    /// Tells one run of the program from another.
    run: u32,
    job: Job,
    now: Mutex<Now>,
    changed: Condvar,
    good: Mutex<Option<Good>>,
}

impl State {
    /// Of a file that nobody has read yet.
    pub fn of(job: &Job) -> State {
        let now = Now {
            moves: 0,
            stage: Stage::Reading,
            findings: Arc::default(),
            sources: Arc::default(),
            last_words: String::new(),
            is_library: false,
            good: None,
            is_current: false,
        };
        let (changed, good) = (Condvar::new(), Mutex::default());
        State { run: std::process::id(), job: job.clone(), now: Mutex::new(now), changed, good }
    }

    // What stands behind the lock is whole after each line that changes it.
    fn now(&self) -> MutexGuard<'_, Now> {
        self.now.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn moved(&self, change: impl FnOnce(&mut Now)) {
        let mut now = self.now();
        change(&mut now);
        now.moves += 1;
        self.changed.notify_all();
    }

    /// A file is otherwise: what was told is of a text that is gone.
    pub fn changed(&self) {
        self.moved(|now| {
            now.stage = Stage::Reading;
            now.findings = Arc::default();
            now.last_words.clear();
            now.is_current = false;
        });
    }

    /// The text was read, and the proof begins. Nothing is told where the text is otherwise by now; that is asked under the lock, so
    /// that [`State::changed`] comes before or after.
    pub fn read(&self, read: &Read, is_still: impl Fn() -> bool) {
        let findings = Arc::new(gravest_first(read.findings()));
        let sources = Arc::new(check::named(read.sources(), &self.job));
        self.moved(|now| {
            if is_still() {
                now.stage = Stage::Proving;
                now.findings = findings;
                now.sources = sources;
            }
        });
    }

    /// Everything was judged. Where the text is otherwise by now, only the good procedure is taken.
    pub fn proved(&self, compiled: Compiled, is_still: impl Fn() -> bool) {
        let findings = Arc::new(gravest_first(compiled.findings().to_vec()));
        let sources = Arc::new(check::named(compiled.sources(), &self.job));
        let last_words = check::last_words(&compiled, &self.job);
        let is_library = compiled.is_library();
        let short = compiled.clean().map(in_short);
        if short.is_some() {
            let good = Good { compiled, made: BTreeMap::new() };
            *self.good.lock().unwrap_or_else(PoisonError::into_inner) = Some(good);
        }
        self.moved(|now| {
            let is_current = is_still();
            if let Some(short) = short {
                now.good = Some(short);
                now.is_current = is_current;
            }
            if is_current {
                now.stage = Stage::Proved;
                now.findings = findings;
                now.sources = sources;
                now.last_words = last_words;
                now.is_library = is_library;
            }
        });
    }

    /// The program has a fault, and has nothing to say of this text.
    pub fn failed(&self, is_still: impl Fn() -> bool) {
        self.moved(|now| {
            if is_still() {
                now.stage = Stage::Failed;
                now.findings = Arc::default();
            }
        });
    }

    /// What there is to show, as JSON: at once where it is not what the page has, else with the next change.
    pub fn told(&self, has: Option<&str>, columns: usize) -> Value {
        let end = Instant::now() + LONGEST_WAIT;
        let mut now = self.now();
        while has == Some(&self.number(&now)) {
            let left = end.saturating_duration_since(Instant::now());
            if left.is_zero() {
                break;
            }
            now = self.changed.wait_timeout(now, left).unwrap_or_else(PoisonError::into_inner).0;
        }
        let (findings, sources) = (Arc::clone(&now.findings), Arc::clone(&now.sources));
        let mut told = json!({
            "number": self.number(&now),
            "file": visible(&format!("{}{}", self.job.prefix, self.job.path)),
            "stage": now.stage.word(),
            "last_words": now.last_words,
            "is_library": now.is_library,
            "manual": now.good,
            "is_current": now.is_current,
        });
        // Drawing findings takes a while, and others want the lock.
        drop(now);
        let style = Style { color: true, width: columns, unicode: true };
        told["findings"] = findings.iter().map(|finding| shown(finding, &sources, style)).collect();
        told
    }

    fn number(&self, now: &Now) -> String {
        format!("{}-{}", self.run, now.moves)
    }

    /// The files for the fittings that are asked for. `None` while there is no manual.
    pub fn files(&self, with: &[String]) -> Option<Made> {
        let mut good = self.good.lock().unwrap_or_else(PoisonError::into_inner);
        let good = good.as_mut()?;
        if let Some(made) = good.made.get(with) {
            return Some(made.clone());
        }
        let made = make(&good.compiled, with)?;
        if good.made.len() >= MOST_FITTINGS {
            good.made.clear();
        }
        good.made.insert(with.to_vec(), made.clone());
        Some(made)
    }
}

fn make(compiled: &Compiled, with: &[String]) -> Option<Made> {
    let none = Sources::default();
    let wishes: Result<Vec<Wish>, _> = with.iter().map(|text| Wish::parse(text)).collect();
    let wishes = match wishes {
        Ok(wishes) => wishes,
        Err(refusal) => return Some(Err(refusal.words(&none))),
    };
    let extras = Extras { annex: true };
    let outputs = if wishes.is_empty() {
        compile::build_with(compiled, extras)?
    } else {
        match compile::build_tailored_with(compiled, &wishes, extras)? {
            Ok(build) => build.outputs,
            Err(refusal) => return Some(Err(refusal.words(compiled.sources()))),
        }
    };
    Some(outputs.map(Arc::new).map_err(|fault| fault.to_string()))
}

fn gravest_first(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.sort_by_key(Finding::severity);
    findings
}

fn shown(finding: &Finding, sources: &Sources, style: Style) -> Value {
    let pieces = render::pieces(finding, sources, style);
    json!({
        "severity": finding.severity().word(),
        "code": finding.code.text(),
        "message": pieces.message,
        "lines": pieces.lines,
        "told": pieces.told,
    })
}

/// A procedure as the controls need it.
fn in_short(procedure: &Procedure) -> Value {
    let options = procedure.choices.rows().iter().filter(|choice| choice.kind == ChoiceKind::Option).map(|choice| {
        let values = choice.values.iter().map(|value| json!({"id": value.id, "words": value.label}));
        json!({"id": choice.name.id, "title": choice.name.title, "values": values.collect::<Vec<_>>()})
    });
    let givens = procedure.numbers.rows().iter().filter(|number| number.kind == NumberKind::Given).map(|number| {
        let range = format!("{} to {}", number.low, number.high);
        let when = number.when.as_ref().map(|when| condition(procedure, when));
        json!({"id": number.name.id, "title": number.name.title, "range": range, "when": when})
    });
    json!({
        "title": procedure.name.title,
        "options": options.collect::<Vec<_>>(),
        "givens": givens.collect::<Vec<_>>(),
    })
}

/// A condition on options, as the controls ask it: nothing for what they can't decide.
fn condition(procedure: &Procedure, cond: &Cond) -> Value {
    let all = |parts: &[Cond]| parts.iter().map(|part| condition(procedure, part)).collect::<Vec<_>>();
    match &cond.kind {
        CondKind::Any(parts) => json!({ "any": all(parts) }),
        CondKind::All(parts) => json!({ "all": all(parts) }),
        CondKind::Not(part) => json!({ "not": condition(procedure, part) }),
        CondKind::Is(choice, value) => {
            let choice = &procedure.choices[*choice];
            json!({ "is": [choice.name.id, choice.values.get(*value).map(|value| &value.id)] })
        }
        CondKind::In(..) | CondKind::Compares(_) => Value::Null,
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;
    use crate::cli::files::Disk;
    use crate::world::Memory;

    /// With a part that nothing takes, which only the proof finds.
    const TEXT: &str = "procedure hook \"Hook\"\nrevision A 2026-01-12\nunits metric\npart hook \"Hook\"\npart peg \"Peg\"\n\
                        kit { box { 1 hook, 1 peg } }\nsection fit \"Fit\" {\n  step hang \"Hang the hook\" {\n    \
                        > Hang the [hook] on the wall.\n    take 1 hook\n    takes 1 min\n  }\n  handover { sign installer }\n}\n";

    fn state() -> State {
        let project = Disk::new(Path::new(env!("CARGO_MANIFEST_DIR"))).expect("a folder");
        State::of(&Job { project, path: "hook.fitw".into(), prefix: "shop/".into(), named: true })
    }

    fn read(text: &str) -> Read {
        compile::read("hook.fitw", &Memory::default().with("hook.fitw", text))
    }

    fn of(state: &State) -> (String, Vec<String>, bool) {
        let told = state.told(None, 80);
        let codes = told["findings"].as_array().into_iter().flatten();
        let codes = codes.map(|one| one["code"].as_str().unwrap_or_default().to_owned()).collect();
        (told["stage"].as_str().unwrap_or_default().to_owned(), codes, told["is_current"] == true)
    }

    fn stage(word: &str, codes: &[&str], is_current: bool) -> (String, Vec<String>, bool) {
        (word.to_owned(), codes.iter().map(|&code| code.to_owned()).collect(), is_current)
    }

    #[test]
    fn what_is_told_is_never_of_a_text_that_is_gone() {
        let state = state();
        assert_eq!(of(&state), stage("reading", &[], false));
        let proof = compile::check("hook.fitw", &Memory::default().with("hook.fitw", TEXT));
        assert!(!proof.has_errors() && !proof.findings().is_empty(), "{:?}", proof.findings());
        let found: Vec<&str> = proof.findings().iter().map(|finding| finding.code.text()).collect();

        state.read(&read(TEXT), || true);
        assert_eq!(of(&state), stage("proving", &[], false));
        state.proved(read(TEXT).prove(), || true);
        assert_eq!(of(&state), stage("proved", &found, true));
        let place = state.told(None, 80)["findings"][0]["lines"].as_str().unwrap_or_default().to_owned();
        assert!(place.contains("shop/hook.fitw"), "{place}");

        state.changed();
        assert_eq!(of(&state), stage("reading", &[], false));
        let wrong = TEXT.replace("take 1 hook", "tkae 1 hook");
        state.read(&read(&wrong), || true);
        let (word, codes, is_current) = of(&state);
        assert!(word == "proving" && !codes.is_empty() && !is_current, "{codes:?}");
        // The text changes while the proof runs: what the proof finds is told of nothing.
        state.changed();
        state.proved(read(&wrong).prove(), || false);
        assert_eq!(of(&state), stage("reading", &[], false));
        assert!(state.files(&[]).is_some_and(|made| made.is_ok()), "the last good manual stays");
        state.read(&read(&wrong), || false);
        state.failed(|| false);
        assert_eq!(of(&state), stage("reading", &[], false));
        state.failed(|| true);
        assert_eq!(of(&state), stage("failed", &[], false));
    }

    #[test]
    fn news_are_waited_for() {
        let state = Arc::new(state());
        let number = state.told(None, 80)["number"].as_str().map(str::to_owned).expect("a number");
        let other = Arc::clone(&state);
        let waiting = std::thread::spawn(move || other.told(Some(&number), 80)["stage"].clone());
        std::thread::sleep(Duration::from_millis(50));
        state.read(&read(TEXT), || true);
        assert_eq!(waiting.join().expect("an answer"), "proving");
    }

    #[test]
    fn a_given_that_only_some_fittings_have_says_in_which() {
        let text = "procedure hook \"Hook\"\noption wall \"Wall\" { brick  wood }\n\
                    given load \"Load\" when wall is brick { range 1 kg to 9 kg }\ngiven depth \"Depth\" { range 1 mm to 9 mm }\n\
                    section fit \"Fit\" { step hang \"Hang\" { note \"Hang it.\" }  handover { sign installer } }\n";
        let compiled = compile::check("hook.fitw", &Memory::default().with("hook.fitw", text));
        let short = in_short(compiled.procedure().expect("a procedure"));
        assert_eq!(short["givens"][0]["when"], json!({ "is": ["wall", "brick"] }));
        assert_eq!(short["givens"][1]["when"], Value::Null);
    }
}
