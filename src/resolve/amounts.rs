//! How much of a part is said: counts, ranges of counts, lengths, volumes and masses, numbers that nobody knows.

use num_traits::Zero;

use super::Resolver;
use super::scope::{Target, Wanted};
use crate::diagnostics::{Code, Finding};
use crate::model::{Counted, Either, HowMuch, PartId, Record};
use crate::parse::tree::{Amount, CountedName, Name, Number};
use crate::quantity::{Exact, Kind, Unit};
use crate::source::Span;

/// What a part may come by in the place of a count.
pub const AMOUNTS: [Kind; 3] = [Kind::Length, Kind::Volume, Kind::Mass];

/// Where it is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// In a group of the kit.
    Kit,
    /// Taken out of it.
    Taken,
    /// Taken out of it and used up in making others.
    UsedUp,
    /// Made of other parts.
    Made,
    /// On the vehicle, taken off or put back: pieces that are counted.
    Pieces,
    /// In a joint: pieces too.
    Joint,
}

impl Resolver<'_> {
    /// Parts with their counts, where only counts have a meaning.
    pub(super) fn counted_parts(&mut self, entries: &[CountedName]) -> Vec<Counted<PartId>> {
        self.much_of_parts(entries, Place::Pieces)
    }

    /// Parts, each with how much of it.
    pub(super) fn much_of_parts(&mut self, entries: &[CountedName], place: Place) -> Vec<Counted<PartId>> {
        let mut lowered = Vec::new();
        for entry in entries {
            let first = self.much_of_part(entry, &entry.name, place);
            if entry.or.is_empty() || !matches!(place, Place::Kit | Place::Taken) {
                lowered.extend(first);
                continue;
            }
            let others: Vec<Option<Counted<PartId>>> =
                entry.or.iter().map(|other| self.much_of_part(entry, other, place)).collect();
            let all: Option<Vec<Counted<PartId>>> = std::iter::once(first).chain(others).collect();
            lowered.extend(all.and_then(|all| self.either_of(entry, all)).unwrap_or_default());
        }
        lowered
    }

    /// Parts of which one is there: each another one, in the same sort of amount, and the same ones wherever one of them stands.
    fn either_of(&mut self, entry: &CountedName, mut all: Vec<Counted<PartId>>) -> Option<Vec<Counted<PartId>>> {
        let names = || std::iter::once(&entry.name).chain(&entry.or);
        let whole = names().fold(entry.place(), |whole, name| whole.to(name.span));
        let mut set: Vec<PartId> = all.iter().map(|one| one.what).collect();
        for (at, name) in names().enumerate() {
            if set.get(at).is_some_and(|part| set.get(..at).is_some_and(|before| before.contains(part))) {
                self.report(
                    Finding::new(Code::FW0113, format!("`{}` is named twice", name.text), name.span, "the same part")
                        .repair("Name each part once; how many there are stands before the first."),
                );
                return None;
            }
        }
        let used_up = |part: PartId| self.procedure.parts[part].consumable;
        if set.iter().any(|part| used_up(*part)) && !set.iter().all(|part| used_up(*part)) {
            let message = "a consumable and a part that is counted can't stand for one another";
            self.report(
                Finding::new(Code::FW0302, message, whole, "one has a count, the other none")
                    .repair("Let both be `consumable`, or neither."),
            );
            return None;
        }
        set.sort_unstable();
        for part in &set {
            let (before, first) = self.alternatives.entry(*part).or_insert_with(|| (set.clone(), whole)).clone();
            if before != set {
                let name = |part: &PartId| format!("`{}`", self.procedure.parts[*part].name.id);
                let words = |parts: &[PartId]| parts.iter().map(name).collect::<Vec<_>>().join(" or ");
                let message = format!("{} stands with {} elsewhere", name(part), words(&before));
                self.report(
                    Finding::new(Code::FW0113, message, whole, format!("{} here", words(&set)))
                        .also(first, "said first here")
                        .because("Which parts stand for one another is so for the whole job: one of them is there.")
                        .repair("Name the same parts in each place, or those that serve at all of them."),
                );
                return None;
            }
        }
        for (at, one) in all.iter_mut().enumerate() {
            one.either = if at == 0 { Either::First } else { Either::Or };
        }
        Some(all)
    }

    /// A part of an entry with how much of it; a consumable has neither count nor amount.
    pub(super) fn much_of_part(&mut self, entry: &CountedName, named: &Name, place: Place) -> Option<Counted<PartId>> {
        if self.lacks_a_comma(entry) {
            return None;
        }
        if let Some(recorded) = entry.recorded.filter(|_| place != Place::Taken || entry.to.is_none()) {
            self.report(
                Finding::new(Code::FW0110, "`recorded` has nothing to ask here", recorded, "the number is said already")
                    .repair("Leave `recorded` out. It stands in `take` alone, behind a range of counts: `take 0 to 3 shim recorded`."),
            );
            return None;
        }
        if let Some(other) = entry.or.first().filter(|_| !matches!(place, Place::Kit | Place::Taken)) {
            let (first, second) = (&entry.name.text, &other.text);
            let repair = if place == Place::Joint {
                format!(
                    "A joint is proved of the parts that it names. Let an `option` say which ones the kit has, and write a joint for each: `joint … when … is … \
                     {{ each {first} … }}` and another with `{second}`, their bags and the steps that fit them under the same `when`."
                )
            } else {
                "Only the kit and `take` leave open which part it is; everything else is proved of the part that it names.".to_owned()
            };
            self.out_of_place(entry.name.span.to(other.span), "`or`", &repair);
            return None;
        }
        let Some(Target::Part(what)) = self.find(named, Wanted::Part) else { return None };
        let span = if named.span == entry.name.span { entry.place() } else { named.span };
        let plain = |count| Counted { count, much: HowMuch::Count, what, either: Either::Alone, span };
        if self.procedure.parts[what].consumable {
            if !entry.has_no_number() {
                self.consumable_counted(entry, named);
            }
            return Some(plain(0));
        }
        if let Some(amount) = &entry.amount {
            return self.amount_of(amount, (what, named), span, place);
        }
        if !self.comes_by(what, None, span) {
            return None;
        }
        if let Some(why) = &entry.unknown {
            if !matches!(place, Place::Kit | Place::Taken) {
                self.out_of_place(
                    span,
                    "how many",
                    "Only the kit, and `take`, can leave open a number that nobody knows.",
                );
                return None;
            }
            if why.value.trim().is_empty() {
                self.missing(
                    "this text is empty",
                    why.span,
                    "say why it is unknown, and who decides",
                    format!("Write the reason: `unknown {} \"The bag is filled by weight.\"`.", entry.name.text),
                );
            }
            // One at least is taken.
            let certain = u32::from(place == Place::Taken);
            return Some(Counted { much: HowMuch::Unknown(why.value.clone()), ..plain(certain) });
        }
        // `take 0 to 3 shim`: none, where none is needed. A bag that may be empty is none.
        let from_none = place == Place::Taken
            && entry.to.is_some()
            && entry.count.as_ref().is_some_and(|least| least.text.parse() == Ok(0u32));
        let count = if from_none { 0 } else { self.count(entry.count.as_ref())? };
        let Some(to) = &entry.to else { return Some(plain(count)) };
        let (least, most) = self.between(count, to, span)?;
        let judged = match place {
            Place::Kit => least,
            Place::Taken | Place::UsedUp => most,
            Place::Made | Place::Pieces | Place::Joint => {
                self.out_of_place(span, "a range of counts", "Write how many there are at this line.");
                return None;
            }
        };
        Some(Counted { much: HowMuch::Between(least, most), ..plain(judged) })
    }

    /// What `recorded` asks for, of parts that were taken: the number that each range became.
    pub(super) fn taken(&self, entries: &[CountedName], taken: &[Counted<PartId>]) -> Vec<(Record, Span)> {
        let asks = |entry: &CountedName| {
            let recorded = entry.recorded?;
            let place = entry.place();
            let first = taken.iter().position(|one| one.span == place)?;
            let others = taken.get(first + 1..).unwrap_or_default().iter().take_while(|one| one.either == Either::Or);
            let first = taken.get(first)?;
            let HowMuch::Between(least, most) = first.much else { return None };
            let parts = std::iter::once(first.what).chain(others.map(|one| one.what)).collect();
            Some((Record::Taken { parts, least, most }, place.to(recorded)))
        };
        entries.iter().filter_map(asks).collect()
    }

    fn consumable_counted(&mut self, entry: &CountedName, named: &Name) {
        let number = entry.count.as_ref().map(|count| count.span).or(entry.amount.as_ref().map(|amount| amount.span));
        let span = number.unwrap_or_else(|| entry.place());
        let what = if entry.amount.is_some() { "amount" } else { "count" };
        self.report(
            Finding::new(
                Code::FW0309,
                format!("`{}` is a consumable; it is used up without a count or an amount", named.text),
                span,
                format!("this {what} means nothing"),
            )
            .repair(format!("Remove the {what}, or remove `consumable` from the part `{}`.", named.text)),
        );
    }

    /// `4 bolt nut`: what stands in the place of the unit is a part.
    fn lacks_a_comma(&mut self, entry: &CountedName) -> bool {
        let Some(unit) = entry.amount.as_ref().and_then(|amount| amount.unit.as_ref()) else { return false };
        if Unit::lookup(&unit.text).is_some() || !self.scope.get(unit).is_some_and(|known| known.declared.is_part()) {
            return false;
        }
        let (part, next) = (&unit.text, &entry.name.text);
        self.report(
            Finding::new(
                Code::FW0101,
                format!("nothing parts `{part}` from `{next}`"),
                entry.name.span,
                "a comma is missing before this",
            )
            .repair(format!("Write `{part}, {next}`.")),
        );
        true
    }

    fn amount_of(
        &mut self,
        amount: &Amount,
        (what, named): (PartId, &Name),
        span: Span,
        place: Place,
    ) -> Option<Counted<PartId>> {
        let quantity = self.quantity(amount, &AMOUNTS, None)?;
        if quantity.value <= Exact::zero() {
            let message = format!("`{quantity}` is no amount of `{}`", named.text);
            self.report(
                Finding::new(Code::FW0309, message, amount.span, "nothing, or less")
                    .repair("Write how much there is, more than nothing."),
            );
            return None;
        }
        if matches!(place, Place::Pieces | Place::Joint) {
            self.out_of_place(
                span,
                "an amount",
                "What comes by length, volume or mass stands in the kit and is taken with `take`, or used up by `make … from …`.",
            );
            return None;
        }
        if !self.comes_by(what, Some(quantity.kind()), span) {
            return None;
        }
        Some(Counted { count: 0, much: HowMuch::Amount(quantity), what, either: Either::Alone, span })
    }

    fn out_of_place(&mut self, span: Span, what: &str, repair: &str) {
        let message = format!("{what} has no meaning here");
        self.report(Finding::new(Code::FW0110, message, span, "pieces are counted here").repair(repair));
    }

    /// `2 to 4`: the least and the most.
    fn between(&mut self, least: u32, to: &Number, span: Span) -> Option<(u32, u32)> {
        let most = self.count(Some(to))?;
        if least < most {
            return Some((least, most));
        }
        let finding = if least == most {
            Finding::new(Code::FW0305, format!("`{least} to {most}` is one number"), span, "no range")
                .repair(format!("Write `{least}`, or the most that there may be."))
        } else {
            Finding::new(
                Code::FW0305,
                format!("this range runs backwards: {least} is more than {most}"),
                span,
                "no number lies in it",
            )
            .repair(format!("Write `{most} to {least}`."))
        };
        self.report(finding);
        None
    }

    /// Whether a part is spoken of as before: by a count, or by the same sort of amount.
    fn comes_by(&mut self, part: PartId, kind: Option<Kind>, span: Span) -> bool {
        let (before, first) = *self.amounts.entry(part).or_insert((kind, span));
        if first == span {
            self.procedure.parts[part].comes_by = kind;
        }
        if before == kind {
            return true;
        }
        let name = &self.procedure.parts[part].name.id;
        let words = |kind: Option<Kind>| kind.map_or("a count", Kind::name);
        let message = format!("`{name}` comes by {} there and by {} here", words(before), words(kind));
        self.report(
            Finding::new(Code::FW0302, message, span, format!("this is {}", words(kind)))
                .also(first, format!("this is {}", words(before)))
                .because("What is supplied one way and taken another can't be added up.")
                .repair(
                    "Write the same sort of amount wherever the part stands, or give the pieces a name of their own.",
                ),
        );
        false
    }
}
