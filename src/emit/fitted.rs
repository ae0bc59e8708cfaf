//! What an answer about a table of vehicles needs said in the words of the outputs.

use super::phrase::kit;
use super::text;
use super::words::Words;
use crate::model::{Arm, Choose, KitGroup, Procedure, Said};

/// An arm with what it is an arm of: `Arm: gas-strut arm`.
pub(crate) fn arm_words(procedure: &Procedure, choose: &Choose, arm: &Arm) -> String {
    Words::new(procedure).arm_with_subject(choose, arm)
}

/// `Bag A`
pub(crate) fn group_words(group: &KitGroup) -> String {
    kit::group_title(group)
}

/// What is said to somebody, with its amounts as they are printed.
pub(crate) fn said_words(procedure: &Procedure, said: &Said) -> String {
    Words::new(procedure).said(said)
}

/// A cell of a CSV file. A plain number stays one; any other text is made safe against formulas.
pub(crate) fn csv_cell(cell: &str) -> String {
    let digits = cell.strip_prefix('-').unwrap_or(cell);
    let is_number = !digits.is_empty()
        && digits.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.')
        && digits.starts_with(|c: char| c.is_ascii_digit());
    if is_number { cell.to_owned() } else { text::csv_text(cell) }
}
