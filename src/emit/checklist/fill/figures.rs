//! Pictures, and what they point at.

use super::Filler;
use crate::emit::checklist::flow::{self as to, Does, Means};
use crate::emit::checklist::terms::Number;
use crate::emit::phrase::figure::percent;
use crate::model::{Called, Callout, Shown};

impl Filler<'_> {
    pub(super) fn figure(&mut self, shown: &Shown) -> Does {
        let figure = &self.procedure.figures[shown.figure];
        Does::Figure {
            asset: figure.path.clone(),
            alt: figure.alt.clone(),
            number: figure.number,
            figure: figure.name.as_ref().map(|name| name.id.clone()),
            when: shown.when.as_ref().map(|when| self.condition(when)),
            when_words: shown.when.as_ref().map(|when| self.words.cond(when)),
            callouts: figure.callouts.iter().map(|callout| self.callout(callout)).collect(),
        }
    }

    fn callout(&self, callout: &Callout) -> to::Callout {
        to::Callout {
            number: callout.number,
            title: self.words.called(callout),
            means: callout.of.first().map_or(Means::Part, |of| means(*of)),
            of: callout.of.iter().map(|of| self.procedure.naming(*of).id.clone()).collect(),
            across: Number(percent(callout.across)),
            down: Number(percent(callout.down)),
        }
    }
}

fn means(of: Called) -> Means {
    match of {
        Called::Part(_) => Means::Part,
        Called::Tool(_) => Means::Tool,
        Called::Protection(_) => Means::Protection,
        Called::Choice(_) | Called::Number(_) => Means::Input,
        Called::Joint(_) => Means::Joint,
        Called::Circuit(_) => Means::Circuit,
        Called::State(_) => Means::State,
    }
}
