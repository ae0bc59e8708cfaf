//! Findings for machines: one JSON object a line.
//!
//! The fields of a line keep their names and meaning; more may come, so readers ignore those that they do not know.

use serde::Serialize;

use super::{Case, Finding, Fix};
use crate::source::{Sources, Span};

/// One finding as it is written. Lines and columns count from 1, columns in characters (Unicode scalar values); an end
/// is one past the last character.
#[derive(Debug, Serialize)]
struct Line<'a> {
    /// `FW0401`: the rule. Its page: `fitwright explain FW0401`.
    code: &'static str,
    /// `error`, `warning` or `note`.
    severity: &'static str,
    /// What is wrong, in one sentence.
    message: &'a str,
    /// Where: of the first label. `null` where the finding belongs to no place.
    #[serde(flatten)]
    place: Place,
    /// All places, the first one first, each with its words.
    labels: Vec<PlacedLabel<'a>>,
    /// Why it matters in the workshop, or `null`.
    reason: Option<&'a str>,
    /// What to write instead, or `null`.
    repair: Option<&'a str>,
    /// One configuration that shows it, or `null` where it does not depend on the configuration.
    case: Option<CaseOut<'a>>,
    /// Ways to mend it that a machine can make, the likeliest first.
    fixes: Vec<FixOut<'a>>,
}

#[derive(Debug, Serialize)]
struct FixOut<'a> {
    /// What it does.
    title: &'a str,
    /// `safe`, `look` or `blanks`.
    confidence: &'static str,
    /// All or none of them, in order of the text.
    edits: Vec<EditOut<'a>>,
}

#[derive(Debug, Serialize)]
struct EditOut<'a> {
    #[serde(flatten)]
    place: Place,
    /// What stands there afterwards.
    text: &'a str,
}

#[derive(Debug, Serialize, Default)]
struct Place {
    file: Option<String>,
    line: Option<u32>,
    column: Option<u32>,
    end_line: Option<u32>,
    end_column: Option<u32>,
}

#[derive(Debug, Serialize)]
struct PlacedLabel<'a> {
    #[serde(flatten)]
    place: Place,
    text: &'a str,
}

#[derive(Debug, Serialize)]
struct CaseOut<'a> {
    /// The inputs that matter, in the order in which they become known.
    inputs: Vec<InputOut<'a>>,
    /// The steps passed through, in order.
    steps: Vec<StepOut<'a>>,
    /// What comes out, or `null`.
    outcome: Option<&'a str>,
}

#[derive(Debug, Serialize)]
struct InputOut<'a> {
    name: &'a str,
    value: &'a str,
    /// Which taking of the reading, from 1.
    occasion: u32,
}

#[derive(Debug, Serialize)]
struct StepOut<'a> {
    number: &'a str,
    name: &'a str,
    title: &'a str,
    #[serde(flatten)]
    place: Place,
}

/// One finding as one line of JSON, without the line end.
///
/// Fields: `code`, `severity`, `message`, `file`, `line`, `column`, `end_line`, `end_column`, `labels` (each with a
/// place and `text`), `reason`, `repair`, `case` (`inputs` with `name`, `value`, `occasion`; `steps` with `number`,
/// `name`, `title` and a place; `outcome`), `fixes` (each with `title`, `confidence`: `safe`, `look` or `blanks`, and `edits`
/// with a place and `text`). All are always present; what is missing is `null`, or an empty list.
pub fn line(finding: &Finding, sources: &Sources) -> String {
    let out = Line {
        code: finding.code.text(),
        severity: finding.severity().word(),
        message: &finding.message,
        place: finding.span().map(|span| place(span, sources)).unwrap_or_default(),
        labels: finding
            .labels
            .iter()
            .map(|label| PlacedLabel { place: place(label.span, sources), text: &label.text })
            .collect(),
        reason: finding.reason.as_deref(),
        repair: finding.repair.as_deref(),
        case: finding.case.as_ref().map(|case| case_out(case, sources)),
        fixes: finding.fixes.iter().map(|fix| fix_out(fix, sources)).collect(),
    };
    // Strings, numbers and lists always serialise; an empty line would be the only honest answer otherwise.
    serde_json::to_string(&out).unwrap_or_default()
}

fn place(span: Span, sources: &Sources) -> Place {
    let Some(file) = sources.get(span.file) else { return Place::default() };
    let (start, end) = (file.position(span.start), file.position(span.end));
    Place {
        file: Some(file.name.clone()),
        line: Some(start.line),
        column: Some(start.column),
        end_line: Some(end.line),
        end_column: Some(end.column),
    }
}

fn fix_out<'a>(fix: &'a Fix, sources: &Sources) -> FixOut<'a> {
    FixOut {
        title: &fix.title,
        confidence: fix.confidence.word(),
        edits: fix.edits.iter().map(|edit| EditOut { place: place(edit.span, sources), text: &edit.text }).collect(),
    }
}

fn case_out<'a>(case: &'a Case, sources: &Sources) -> CaseOut<'a> {
    CaseOut {
        inputs: case
            .inputs
            .iter()
            .map(|input| InputOut { name: &input.name, value: &input.value, occasion: input.occasion })
            .collect(),
        steps: case
            .steps
            .iter()
            .map(|step| StepOut {
                number: &step.number,
                name: &step.name,
                title: &step.title,
                place: place(step.span, sources),
            })
            .collect(),
        outcome: case.outcome.as_deref(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{CaseInput, CaseStep, Code};
    use super::*;

    #[test]
    fn a_line_is_one_json_object_whatever_the_source_holds() {
        let mut sources = Sources::default();
        let id = sources.add("odd\n\"name.fitw", "é\x1b\nstep a\n");
        let span = Span::new(id, 4, 8);
        let case = Case {
            inputs: vec![CaseInput { name: "arm".into(), says: None, value: "powered".into(), occasion: 1 }],
            steps: vec![CaseStep { number: "1.1".into(), name: "a".into(), title: "A\u{2028}".into(), span }.into()],
            outcome: None,
        };
        let finding = Finding::new(Code::FW0601, "bell \x07 and \"quote\"", span, "here").because("so").case(case);
        let text = line(&finding, &sources);
        assert!(!text.contains('\n') && !text.contains('\x07') && !text.contains('\x1b'), "{text}");
        let value: serde_json::Value = serde_json::from_str(&text).expect("valid JSON");
        assert_eq!(value["code"], "FW0601");
        assert_eq!(value["severity"], "error");
        assert_eq!(value["file"], "odd\n\"name.fitw");
        assert_eq!((&value["line"], &value["column"]), (&2.into(), &1.into()));
        assert_eq!((&value["end_line"], &value["end_column"]), (&2.into(), &5.into()));
        assert_eq!(value["labels"][0]["text"], "here");
        assert_eq!(value["repair"], serde_json::Value::Null);
        assert_eq!(value["case"]["steps"][0]["line"], 2);
    }

    #[test]
    fn a_finding_without_a_place_has_every_field() {
        let text = line(&Finding::without_place(Code::FW0206, "gone"), &Sources::default());
        let value: serde_json::Value = serde_json::from_str(&text).expect("valid JSON");
        for field in ["file", "line", "column", "end_line", "end_column", "reason", "repair", "case"] {
            assert!(value.get(field).is_some_and(serde_json::Value::is_null), "{field} in {text}");
        }
    }
}
