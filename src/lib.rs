//! Fitwright: a small text language and compiler for the procedures by which workshops bolt and wire equipment onto
//! vehicles and machines.
//!
//! ```text
//!            a project's files                                   a job's record
//!                   │ world                                             │
//!                 parse      text to tree, with recovery                │
//!                   │                                                   │
//!                resolve     libraries, names, quantities               │
//!                   │                                                   │
//!     trade       model      the resolved procedure                     │
//!       │         │ │ │                                                 │
//!       │         │ │ └──── tailor   a smaller model, for one fitting   │
//!    working      │ │         │                                         │
//!       └──────── plan        │      facts of it, each worked out once  │
//!                 │ └─────────┤                                         │
//!              checks       emit ──▶ manual, lists, job page,           │
//!            │ space                 build record, checklist ──────▶ record
//!            ▼                                                          │
//!     findings: what is wrong, as data                    judged by that checklist
//! ```
//!
//! [`compile`] orders the phases, and is where a program begins: [`compile::check`] reads a file of a [`world`] with all that
//! it uses and says what is wrong with it, [`compile::build`] makes what the workshop needs, and [`Compiled::narrow`] and
//! [`compile::build_tailored`] do so for some fittings only. [`record::judge`] judges a job's record by its checklist; it
//! reads both as a stranger would; [`tally`] counts many records together. What is wrong is a [`Finding`], printed by [`diagnostics::json`] for machines and, with the
//! feature `cli`, by `diagnostics::render` for a terminal. Nothing but the command line reads or writes a file, asks the
//! clock or the environment; the same input gives the same bytes. No input ends the program: bad input is a finding or an
//! error.
//!
//! [`desk`] answers what an editor asks of a text that is being written; the program's own server is one host of it.
//!
//! The other modules are the phases themselves. They are public so that tests and tools can look into each; what they offer
//! follows the compiler, and changes with it.
//!
//! [`Compiled::narrow`]: compile::Compiled::narrow
//! [`Finding`]: diagnostics::Finding
//!
//! # Features
//!
//! `cli` (on by default) is the command line, and findings as text for a terminal. A program that needs neither writes
//! `default-features = false`.
//!
//! # Example
//!
//! A procedure in memory is checked and built; the record of a job that was only begun is not complete.
//!
//! ```
//! use fitwright::record::{self, Beside, Verdict};
//! use fitwright::world::Memory;
//! use fitwright::{canonical, compile};
//! use serde_json::{Value, json};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let text = r#"
//! procedure coat-hook "Coat hook on a locker door"
//! revision A 2026-01-12
//! units metric, inch
//!
//! part hook "Coat hook"
//! kit { box { 1 hook } }
//!
//! section fit "Fit the hook" {
//!   step hang-hook "Hang the hook" {
//!     > Hang the [hook] over the top edge of the door.
//!     take 1 hook
//!     takes 2 min
//!   }
//!   handover { sign installer }
//! }
//! "#;
//! let compiled = compile::check("coat-hook.fitw", &Memory::default().with("coat-hook.fitw", text));
//! assert_eq!(compiled.findings(), []);
//!
//! let outputs = compile::build(&compiled).ok_or("there are errors")??;
//! let manual = outputs.file("manual.html").ok_or("no manual")?;
//! assert!(std::str::from_utf8(manual)?.contains("Hang the hook"));
//!
//! let checklist = std::str::from_utf8(outputs.file("checklist.json").ok_or("no checklist")?)?;
//! let named = canonical::digest(&serde_json::from_str::<Value>(checklist)?);
//! let mut event = json!({
//!     "type": "open", "format": {"name": record::FORMAT_NAME, "version": record::FORMAT_VERSION},
//!     "checklist": {"id": "coat-hook", "revision": "A", "digest": named},
//!     "job": "Van 12", "by": "A. Fitter", "at": "2026-11-25T08:00:00+01:00", "seq": 1, "prev": "0".repeat(64),
//! });
//! event["digest"] = json!(canonical::digest(&event));
//! let lines = canonical::canonical(&event) + "\n";
//! let judgement = record::judge(checklist, &lines, Beside::default());
//! assert_eq!(judgement.verdicts(), [Verdict::Missing]);
//! # Ok(())
//! # }
//! ```
#![warn(missing_docs)]
// What clippy.toml lists is I/O; a hash table may be looked up in, but its order must reach no output.
#![deny(clippy::disallowed_methods, clippy::disallowed_types, clippy::iter_over_hash_type)]
#![allow(
    clippy::large_enum_variant,
    reason = "trees and models are read far more often than moved; boxes would hide their shape"
)]

pub mod account;
pub mod audit;
pub mod canonical;
pub mod checks;
#[cfg(feature = "cli")]
pub mod cli;
pub mod compare;
pub mod compile;
pub mod desk;
pub mod diagnostics;
pub mod emit;
pub mod fit;
pub mod format;
pub mod intake;
pub mod labels;
mod mend;
pub mod model;
pub mod obligations;
pub mod parse;
pub mod plan;
pub mod po;
mod prose;
pub mod quantity;
pub mod record;
pub mod resolve;
pub mod schema;
pub mod source;
pub mod space;
pub mod tailor;
pub mod tally;
pub mod trade;
pub mod translate;
pub mod uses;
pub mod working;
pub mod world;
pub mod xliff;
