//! A fact that is worked out when it is first asked for, and kept.

use std::sync::OnceLock;

/// A place for a fact.
#[derive(Debug)]
pub(super) struct Once<T> {
    /// What the fact is, for the test that counts how often it was worked out.
    #[cfg_attr(not(test), allow(dead_code, reason = "only the tests count"))]
    name: &'static str,
    fact: OnceLock<T>,
}

impl<T> Once<T> {
    /// Nothing is worked out yet.
    pub(super) fn new(name: &'static str) -> Once<T> {
        Once { name, fact: OnceLock::new() }
    }

    /// The fact; `make` works it out.
    pub(super) fn get(&self, make: impl FnOnce() -> T) -> &T {
        self.fact.get_or_init(|| {
            #[cfg(test)]
            tests::MADE.with(|made| *made.borrow_mut().entry(self.name).or_insert(0) += 1);
            make()
        })
    }
}

#[cfg(test)]
mod tests {
    use std::cell::RefCell;
    use std::collections::BTreeMap;

    use crate::compile;
    use crate::emit::Extras;
    use crate::world::Memory;

    thread_local! {
        /// How often each fact was worked out by this thread.
        pub(super) static MADE: RefCell<BTreeMap<&'static str, u32>> = const { RefCell::new(BTreeMap::new()) };
    }

    #[test]
    fn each_fact_is_worked_out_once_a_run() {
        let figure = include_bytes!("../../procedures/figures/kestrel-rail.svg");
        let world = Memory::default()
            .with("kestrel-rack.fitw", include_str!("../../procedures/kestrel-rack.fitw"))
            .with("figures/kestrel-rail.svg", figure.as_slice());
        MADE.take();
        let compiled = compile::check("kestrel-rack.fitw", &world);
        for name in compiled.worked_out() {
            assert!(compiled.working(name).is_some(), "{name}");
        }
        let outputs = compile::build_with(&compiled, Extras { annex: true }).expect("a clean procedure");
        assert!(outputs.is_ok());
        let made: Vec<(&str, u32)> = MADE.take().into_iter().collect();
        assert_eq!(
            made,
            [
                ("circuits", 1),
                ("joints", 1),
                ("joints_judged", 1),
                ("leaving", 1),
                ("looks_at", 1),
                ("occurrence", 1),
                ("people", 1),
                ("time", 1),
                ("tools", 1),
                ("worn", 1)
            ]
        );
    }
}
