//! `job.html`: the page that walks a technician through the checklist, offline.
//!
//! It is the checklist, a style, and a script, in one file. The script is written in modules under `site/job` and kept in one
//! piece in `site/scripts/job.js`, which `tests/oracles/job_script.cjs` makes and compares; nothing is bundled here. The
//! page's own policy lets run exactly that script and apply exactly that style, by their digests, and lets nothing be asked
//! of a network.
//!
//! The checklist stands behind the script, which shows the jobs that a device keeps before thousands of steps are read; what it
//! needs for that the page says at its beginning.

mod packed;

use serde::Serialize;

use super::checklist::Checklist;
use super::text::{json_in_html, policy_digest};
use super::{EmitError, face, templates};
use crate::canonical;
use crate::labels::spoken;

const SCRIPT: &str = include_str!("../../../site/scripts/job.js");
const STYLE: &str = include_str!("../../../site/styles/job.css");

#[derive(Serialize)]
struct View<'a> {
    title: &'a str,
    id: &'a str,
    /// The mark of the revision.
    mark: Option<&'a str>,
    /// That of the checklist, as a record names it.
    digest: String,
    style: &'a str,
    style_digest: String,
    script: &'static str,
    script_digest: String,
    checklist: String,
    words: String,
}

pub(super) fn page(checklist: &Checklist) -> Result<Vec<u8>, EmitError> {
    let value = serde_json::to_value(checklist).map_err(|error| EmitError::Data { fault: error.to_string() })?;
    let json = packed::packed(&value).map_err(|error| EmitError::Data { fault: error.to_string() })?;
    let words =
        serde_json::to_string(&spoken().for_job()).map_err(|error| EmitError::Data { fault: error.to_string() })?;
    let slanted = slants(&json);
    // The word NOTICE is always slanted, and bold.
    let style = format!("{}{STYLE}", face::style(slanted, slanted || json.contains("\"signal\":\"notice\"")));
    let view = View {
        title: &checklist.procedure.title,
        id: &checklist.procedure.id,
        mark: checklist.procedure.revision.as_ref().map(|revision| revision.mark.as_str()),
        digest: canonical::digest(&value),
        style: &style,
        style_digest: policy_digest(&style),
        script: SCRIPT,
        script_digest: policy_digest(SCRIPT),
        checklist: json_in_html(&json),
        words: json_in_html(&words),
    };
    templates::render("job.html", &view).map(String::into_bytes)
}

/// Whether a word of the writer's may be slanted: a star or a low line in CommonMark that is not one of two.
fn slants(checklist: &str) -> bool {
    let texts = checklist.split("\"markdown\":\"").skip(1).filter_map(|rest| rest.split("\",\"").next());
    texts.into_iter().any(|text| text.replace("**", "").contains(['*', '_']))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_digest_is_what_a_policy_names() {
        // The example that Content Security Policy level 2 and MDN give for a script's digest (from memory; Python's hashlib
        // and base64 give the same).
        assert_eq!(policy_digest("alert('Hello, world.');"), "qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng=");
    }

    #[test]
    fn slanted_letters_are_brought_for_slanted_words_only() {
        let slants = |text: &str| slants(&format!(r#"{{"source_digest":"a_*","markdown":"{text}","text":"*"}}"#));
        assert!(slants("a *b* c") && slants(r#"\"a\", \"_b_\""#) && slants("***b***"));
        assert!(!slants("a **b** c"));
    }

    #[test]
    fn nothing_in_script_or_style_ends_its_element() {
        assert!(!SCRIPT.contains("</script") && !SCRIPT.contains("<!--"));
        assert!(!STYLE.contains("</style"));
        assert!(!SCRIPT.contains('\r') && !STYLE.contains('\r'), "a browser would count other bytes");
    }
}
