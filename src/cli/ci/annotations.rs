//! Workflow commands of hosted runners: `::error file=…,line=…,col=…::message`.
//!
//! A host shows ten of each severity a step and drops the rest without a word, so the gravest stand first and the last line
//! says how many more there are. What a source says can't end a command or begin one.

use super::placed;
use crate::diagnostics::{Finding, Severity, visible};
use crate::source::Sources;

/// So many of each severity are shown by a host.
const SHOWN: usize = 10;

/// The commands of a run.
#[derive(Debug, Default)]
pub struct Annotations {
    all: Vec<(Severity, String)>,
}

impl Annotations {
    pub fn add(&mut self, finding: &Finding, sources: &Sources) {
        self.all.push((finding.severity(), command(finding, sources)));
    }

    /// All lines, the gravest first.
    pub fn text(mut self) -> String {
        self.all.sort_by_key(|(severity, _)| *severity);
        let mut out = String::new();
        let mut shown = 0;
        for severity in [Severity::Error, Severity::Warning, Severity::Note] {
            let of_it: Vec<&String> =
                self.all.iter().filter(|(own, _)| *own == severity).map(|(_, line)| line).collect();
            // The line that tells of the rest is a notice too.
            let more = self.all.len() - shown > of_it.len().min(SHOWN);
            let most = if severity == Severity::Note && more { SHOWN - 1 } else { SHOWN };
            for line in of_it.into_iter().take(most) {
                out.push_str(line);
                shown += 1;
            }
        }
        let left = self.all.len() - shown;
        if left > 0 {
            out.push_str(&format!(
                "::notice::{left} more findings are not shown here; `fitwright check` lists all of them\n"
            ));
        }
        out
    }
}

fn command(finding: &Finding, sources: &Sources) -> String {
    let kind = match finding.severity() {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "notice",
    };
    let mut properties = vec![format!("title={}", finding.code)];
    if let Some(at) = finding.span().and_then(|span| placed(span, sources)) {
        let end = if at.end_line == at.line { format!(",endColumn={}", at.end_column) } else { String::new() };
        let place = format!("file={},line={},col={}{end}", property(&at.path), at.line, at.column);
        properties.insert(0, place);
    }
    let repair = finding.repair.as_ref().map(|repair| format!("\n{repair}")).unwrap_or_default();
    format!("::{kind} {}::{}\n", properties.join(","), message(&format!("{}{repair}", finding.message)))
}

/// The text of a command: in one line, whatever it holds.
fn message(text: &str) -> String {
    text.split('\n').map(|line| visible(line).replace('%', "%25").replace('\r', "%0D")).collect::<Vec<_>>().join("%0A")
}

/// The value of a property.
fn property(text: &str) -> String {
    message(text).replace(':', "%3A").replace(',', "%2C")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::Code;
    use crate::source::Span;

    #[test]
    fn nothing_in_a_source_forges_a_command() {
        let mut sources = Sources::default();
        let file = sources.add("odd,name:1\n::error::x.fitw", "a\n");
        let finding = Finding::new(Code::FW0601, "100 %\r\n::error::forged", Span::new(file, 0, 1), "here");
        let line = command(&finding, &sources);
        assert_eq!(line.matches('\n').count(), 1, "{line}");
        assert!(line.starts_with("::error file=odd%2Cname%3A1"), "{line}");
        assert!(!line.contains('\r') && line.contains("100 %25"), "{line}");
    }

    #[test]
    fn the_gravest_come_first_and_the_rest_is_told() {
        let mut all = Annotations::default();
        for at in 0..12 {
            let code = if at % 2 == 0 { Code::FW0502 } else { Code::FW0601 };
            (0..3).for_each(|_| all.add(&Finding::without_place(code, format!("{at}")), &Sources::default()));
        }
        all.add(&Finding::without_place(Code::FW0604, "a note"), &Sources::default());
        let text = all.text();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.len(), 22, "{text}");
        assert!(lines[..10].iter().all(|line| line.starts_with("::error ")), "{text}");
        assert!(lines[10..20].iter().all(|line| line.starts_with("::warning ")), "{text}");
        assert_eq!(lines[21], "::notice::16 more findings are not shown here; `fitwright check` lists all of them");
    }
}
