//! The sheets: HTML pages made for paper, and the tables of the same rows for the store. Each takes its words from `phrase`
//! and its drawings from `drawing`; no sheet takes anything from another but the frame, and the columns of the lists.

mod frame;
pub(super) mod manual;
pub(super) mod packing_list;
pub(super) mod pick_list;
pub(super) mod record_summary;
mod store_table;
