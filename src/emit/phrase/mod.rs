//! Wording that more than one output shares: what manual, drawings and checklist say of the same thing, they say alike. It
//! knows the model, the plan and the catalogue of labels, and none of the outputs.

pub(in crate::emit) mod again;
pub(super) mod circuit;
pub(super) mod conductors;
pub(in crate::emit) mod figure;
pub(super) mod fitting;
pub(super) mod flow;
pub(super) mod joint;
pub(super) mod kit;
pub(super) mod lay_out;
pub(in crate::emit) mod much;
mod other_size;
pub(in crate::emit) mod setting;
pub(in crate::emit) mod tally;
pub(super) mod time;
mod titles;
