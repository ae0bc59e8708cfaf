//! Wording that more than one output shares: what manual, drawings and checklist say of the same thing, they say alike. It
//! knows the model, the plan and the catalogue of labels, and none of the outputs.

pub(super) mod circuit;
pub(super) mod flow;
pub(super) mod joint;
