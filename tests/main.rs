//! Every integration test, in one program: linking the library twenty times took longer than most tests run.
//!
//! A file here is a noun of the product, and the folder of the same name holds its parts. One of them:
//! `cargo test --test all emit::`, or with a part of a test's name: `cargo test --test all emit::scale`.

mod context;
mod oracle;

mod account;
mod amounts;
mod architecture;
mod boundaries;
mod bred;
mod circles;
mod circuits_by_hand;
mod cli;
mod colours;
mod compare;
mod conductors;
mod conformance;
mod desk;
mod each;
mod emit;
mod failed;
mod family;
mod fastening_traps;
mod findings;
mod fit;
mod format;
mod format_page;
mod fuzzed;
mod in_hand;
mod intake;
mod joints_by_hand;
mod kept;
mod labels;
mod language;
mod later;
mod levers;
mod library_page;
mod library_use;
mod licences;
mod line_kinds;
mod obligations;
mod parse;
mod procedures;
mod proof;
mod quantity;
mod record;
mod shared;
mod shared_places;
mod silence;
mod slips;
mod space;
mod std_plausible;
mod std_resolves;
mod std_rows;
mod storeys;
mod tailor;
mod tally;
mod ties;
mod trade;
mod translation;
mod twins;
mod when_there;
mod words;
