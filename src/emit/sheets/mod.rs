//! The sheets: HTML pages made for paper, and the tables of the same rows for the store. Each takes its words from `phrase`
//! and its drawings from `drawing`; none takes anything from another, but from what stands below them all.

pub(super) mod fit_page;
mod frame;
mod manual;
mod packing_list;
mod pick_list;
mod record_summary;
mod store_table;
mod tally;
mod wire_list;

pub use record_summary::record_summary;
pub use tally::{tally, tally_csv};

use super::{EmitError, Extras, Since};
use crate::account::Account;
use crate::plan::Plan;

/// The sheets of a build by their names, in the order in which they are told of.
pub(super) fn sheets(
    plan: &Plan,
    account: &Account,
    digest: &str,
    figures: &dyn Fn(&str) -> Option<Vec<u8>>,
    extras: Extras,
    since: Option<Since<'_>>,
) -> Result<Vec<(String, Vec<u8>)>, EmitError> {
    let procedure = plan.procedure();
    let mut files = vec![("manual.html", manual::manual(plan, account, digest, figures, since)?)];
    if extras.annex {
        files.push(("annex.html", manual::annex(plan, digest)?));
    }
    files.extend([
        ("pick-list.html", pick_list::html(plan, digest)?),
        ("pick-list.csv", pick_list::csv(plan, digest)),
        ("packing-list.html", packing_list::html(procedure, digest)?),
        ("packing-list.csv", packing_list::csv(procedure, digest)),
    ]);
    files.extend(wire_list::csv(procedure, digest).map(|content| ("wire-list.csv", content)));
    Ok(files.into_iter().map(|(name, content)| (name.to_owned(), content)).collect())
}
