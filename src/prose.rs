//! stub
#![allow(missing_docs)]
pub struct Found {
    pub range: std::ops::Range<usize>,
    pub text: String,
}
pub struct ProseFault {
    pub range: std::ops::Range<usize>,
}
impl ProseFault {
    pub fn message(&self) -> String {
        String::new()
    }
    pub fn repair(&self) -> String {
        String::new()
    }
}
pub fn mentions(_m: &str) -> (Vec<Found>, Vec<ProseFault>) {
    (vec![], vec![])
}
