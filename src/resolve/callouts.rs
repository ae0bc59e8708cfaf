//! What a picture points at.

use super::Resolver;
use super::scope::{Declared, Target, Wanted};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{Called, Callout};
use crate::parse::tree::{self, Name};
use crate::quantity::{Exact, Kind};
use num_traits::CheckedMul;

impl Resolver<'_> {
    /// The callouts of a figure; each is looked at, so that one mistake does not hide the next.
    pub(super) fn callouts(&mut self, figure: &str, written: &[tree::Callout]) -> Option<Vec<Callout>> {
        if let Some(much) = written.get(Callout::MOST as usize) {
            let message = format!("`{figure}` has {} callouts", written.len());
            self.report(
                Finding::new(Code::FW0108, message, much.span, format!("at most {}", Callout::MOST))
                    .repair("Point at fewer things, or show them in two figures."),
            );
            return None;
        }
        let mut callouts: Vec<Callout> = Vec::new();
        let mut broken = false;
        for one in written {
            let Some(callout) = self.callout(one) else {
                broken = true;
                continue;
            };
            let twin = callouts.iter().find(|first| first.number == callout.number && first.of != callout.of);
            if let Some(first) = twin {
                let taken: Vec<u32> = written.iter().filter_map(|one| one.number.text.parse().ok()).collect();
                let free = (1..=Callout::MOST).find(|number| !taken.contains(number));
                let finding = Finding::new(
                    Code::FW1308,
                    format!("callout {} of `{figure}` points at two different things", callout.number),
                    one.span,
                    "the same number again",
                )
                .also(first.span, "first given here")
                .because("Who reads the number on the picture finds two names in the legend.")
                .repair("Give one of the two another number.")
                .mend(free.map(|free| {
                    let number = one.number.text.clone();
                    Mend::look(format!("Number it {free}"), Change::Word(one.span, number, free.to_string()))
                }));
                self.report(finding);
                broken = true;
            }
            callouts.push(callout);
        }
        (!broken).then_some(callouts)
    }

    fn callout(&mut self, written: &tree::Callout) -> Option<Callout> {
        let number = written.number.text.parse::<u32>().ok().filter(|number| (1..=Callout::MOST).contains(number));
        if number.is_none() {
            let message = format!("`{}` can't be the number of a callout", written.number.text);
            self.report(
                Finding::new(Code::FW1308, message, written.number.span, format!("1 to {} are", Callout::MOST))
                    .because("The number stands in a balloon on the picture.")
                    .repair("Write a whole number, such as `1`."),
            );
        }
        let of = self.called(&written.name);
        let (across, down) = (self.share(&written.across, "width"), self.share(&written.down, "height"));
        Some(Callout { number: number?, of: of?, across: across?, down: down?, span: written.span })
    }

    /// A place on the picture, as a share of one of its sides.
    fn share(&mut self, written: &tree::Measure, side: &str) -> Option<u32> {
        let quantity = self.single_quantity(written, &[Kind::Share])?;
        let hundredths = quantity.base()?.checked_mul(&Exact::from_integer(i128::from(Callout::WHOLE)));
        let hundredths = hundredths.filter(|share| *share <= Exact::from_integer(i128::from(Callout::WHOLE)));
        if let Some(share) = hundredths.and_then(|share| u32::try_from(share.round().to_integer()).ok()) {
            return Some(share);
        }
        self.report(
            Finding::new(
                Code::FW1309,
                format!("`{quantity}` of the {side} is outside the picture"),
                written.span,
                "outside the picture",
            )
            .because("A callout stands on the picture, at a share of its width from the left and of its height from the top.")
            .repair("Write a share from `0 %` to `100 %`."),
        );
        None
    }

    /// What a callout points at: one thing, or one thing at each of its places. That a picture shows it is no use of it.
    fn called(&mut self, name: &Name) -> Option<Vec<Called>> {
        let counting = std::mem::replace(&mut self.counting_uses, false);
        let of = self.called_of(name);
        self.counting_uses = counting;
        of
    }

    fn called_of(&mut self, name: &Name) -> Option<Vec<Called>> {
        let shared = match self.scope.get(name).map(|entry| entry.declared) {
            Some(Declared::Shared(shared)) if Wanted::Called.fits(&Declared::Shared(shared)) => shared,
            _ => return self.find(name, Wanted::Called).and_then(called_by).map(|one| vec![one]),
        };
        let places: Vec<String> = self.expansion.place_names(shared.group).map(str::to_owned).collect();
        let each = places.iter().map(|place| {
            let text = format!("{} of {place}", name.text);
            self.find(&Name { text, span: name.span }, Wanted::Called).and_then(called_by)
        });
        each.collect()
    }
}

fn called_by(target: Target) -> Option<Called> {
    Some(match target {
        Target::Choice(id) => Called::Choice(id),
        Target::Number(id) => Called::Number(id),
        Target::Part(id) => Called::Part(id),
        Target::Tool(id) => Called::Tool(id),
        Target::Protection(id) => Called::Protection(id),
        Target::Joint(id) => Called::Joint(id),
        Target::Circuit(id) => Called::Circuit(id),
        Target::State(id) => Called::State(id),
        Target::Fact(_)
        | Target::Limit(_)
        | Target::Hazard(_)
        | Target::Action(_)
        | Target::Figure(_)
        | Target::Step(_) => {
            return None;
        }
    })
}
