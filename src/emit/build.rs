//! The build record: what went in, what came out, each with its digest.

use std::collections::BTreeSet;

use serde::Serialize;

use super::checklist::inputs::Chosen;
use super::{COMPILER_VERSION, EmitError, Translation, text::sha256};
use crate::account::{Account, AccountData};
use crate::model::{Procedure, Table};
use crate::source::Sources;

/// `build.json`.
#[derive(Serialize)]
struct BuildRecord<'a> {
    format: Format,
    compiler: Compiler,
    procedure: ProcedureName<'a>,
    /// What it was tailored to; empty for the full procedure.
    effectivity: &'a [Chosen],
    /// The language of the texts, where the procedure or its translation names it.
    language: Option<&'a str>,
    source_digest: &'a str,
    sources: Vec<FileDigest<'a>>,
    figures: Vec<FileDigest<'a>>,
    /// By what the texts were translated; missing where they are those of the source.
    #[serde(skip_serializing_if = "Option::is_none")]
    translation: Option<&'a Translation>,
    outputs: Vec<FileDigest<'a>>,
    counts: Counts,
    /// What was judged and what was not.
    account: AccountData<'a>,
}

#[derive(Serialize)]
struct Format {
    name: &'static str,
    version: &'static str,
}

#[derive(Serialize)]
struct Compiler {
    name: &'static str,
    version: &'static str,
}

#[derive(Serialize)]
struct ProcedureName<'a> {
    id: &'a str,
    title: &'a str,
    revision: Option<&'a str>,
    date: Option<&'a str>,
}

#[derive(Serialize)]
struct FileDigest<'a> {
    name: &'a str,
    bytes: usize,
    sha256: String,
}

/// How much there is of what.
#[derive(Serialize)]
struct Counts {
    sections: usize,
    steps: usize,
    checks: usize,
    options: usize,
    givens: usize,
    observations: usize,
    measures: usize,
    results: usize,
    rules: usize,
    limits: usize,
    parts: usize,
    tools: usize,
    joints: usize,
    circuits: usize,
    states: usize,
    safety_messages: usize,
}

/// One digest for all sources: that of their names and digests, in order of reading.
pub(super) fn source_digest(sources: &Sources) -> String {
    let mut list = String::new();
    for (_, file) in sources.iter() {
        list.push_str(&sha256(file.text.as_bytes()));
        list.push_str("  ");
        list.push_str(&file.name);
        list.push('\n');
    }
    sha256(list.as_bytes())
}

/// What went in.
pub(super) struct Made<'a> {
    pub(super) account: &'a Account,
    pub(super) sources: &'a Sources,
    /// Of all sources.
    pub(super) digest: &'a str,
    pub(super) figures: &'a dyn Fn(&str) -> Option<Vec<u8>>,
    pub(super) translation: Option<&'a Translation>,
}

impl Made<'_> {
    /// Writes `build.json` over the other files.
    pub(super) fn json(
        &self,
        procedure: &Procedure,
        effectivity: &[Chosen],
        files: &[(String, Vec<u8>)],
    ) -> Result<Vec<u8>, EmitError> {
        let pictures: BTreeSet<&str> = procedure.figures.rows().iter().map(|figure| figure.path.as_str()).collect();
        let picture = |path: &'_ str| Some(((self.figures)(path)?, path.to_owned()));
        let pictures: Vec<(Vec<u8>, String)> = pictures.into_iter().filter_map(picture).collect();
        json(&BuildRecord {
            format: Format { name: "fitwright-build", version: "1.3.0" },
            compiler: Compiler { name: "fitwright", version: COMPILER_VERSION },
            procedure: ProcedureName {
                id: &procedure.name.id,
                title: &procedure.name.title,
                revision: procedure.revision.as_ref().map(|revision| revision.mark.as_str()),
                date: procedure.revision.as_ref().map(|revision| revision.date.as_str()),
            },
            effectivity,
            language: procedure.language.as_ref().map(|language| language.tag.as_str()),
            source_digest: self.digest,
            sources: self.sources.iter().map(|(_, file)| file_digest(&file.name, file.text.as_bytes())).collect(),
            figures: pictures.iter().map(|(bytes, path)| file_digest(path, bytes)).collect(),
            translation: self.translation,
            outputs: files.iter().map(|(name, bytes)| file_digest(name, bytes)).collect(),
            counts: counts(procedure),
            account: self.account.data(self.sources),
        })
    }
}

/// Pretty JSON with a line end.
pub(super) fn json(value: &impl Serialize) -> Result<Vec<u8>, EmitError> {
    let mut bytes = serde_json::to_vec_pretty(value).map_err(|error| EmitError::Data { fault: error.to_string() })?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn file_digest<'a>(name: &'a str, bytes: &[u8]) -> FileDigest<'a> {
    FileDigest { name, bytes: bytes.len(), sha256: sha256(bytes) }
}

fn counts(procedure: &Procedure) -> Counts {
    use crate::model::{ChoiceKind, LineKind, NumberKind};
    fn those<I: crate::model::Id, T>(table: &Table<I, T>, wanted: impl Fn(&T) -> bool) -> usize {
        table.rows().iter().filter(|row| wanted(row)).count()
    }
    let choices = |kind| those(&procedure.choices, |choice| choice.kind == kind);
    let numbers = |kind| those(&procedure.numbers, |number| number.kind == kind);
    let lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    Counts {
        sections: procedure.sections.len(),
        steps: those(&procedure.steps, |step| !step.is_check),
        checks: those(&procedure.steps, |step| step.is_check),
        options: choices(ChoiceKind::Option),
        givens: numbers(NumberKind::Given),
        observations: choices(ChoiceKind::Observe),
        measures: numbers(NumberKind::Measure),
        results: choices(ChoiceKind::Result),
        rules: procedure.rules.len(),
        limits: procedure.limits.len(),
        parts: procedure.parts.len(),
        tools: procedure.tools.len(),
        joints: procedure.joints.len(),
        circuits: procedure.circuits.len(),
        states: procedure.states.len(),
        safety_messages: lines.filter(|line| matches!(line.kind, LineKind::Message(_))).count(),
    }
}
