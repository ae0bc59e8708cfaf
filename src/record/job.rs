//! The job as the events tell it: which of them count, and what each that counts is worth.

use super::definition::Definition;
use super::does::does;
use super::event::{CloseOutcome, Event, Value, What};
use super::fault::Fault;
use super::program::Program;
use super::walk::{Outcome, Place, Walk};

/// An event and what became of it.
#[derive(Debug, Clone)]
pub struct Slot {
    pub event: Event,
    pub state: State,
    /// The value in force, where the event brings one.
    pub value: Option<Value>,
    /// The line of the correction that brought it.
    pub corrected_at: Option<u32>,
    /// What is wrong whatever happens later: it did not fit.
    pub lasting: Vec<Fault>,
    /// What was wrong when it was written, and is wrong as long as it counts.
    pub when_written: Vec<Fault>,
    /// What is wrong with its value, as long as it counts.
    pub of_value: Vec<Fault>,
    /// What the technician was told where a check went on after it.
    pub went_on: Vec<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    Counts,
    Aside,
    Withdrawn,
}

/// Whether an event is new, or one that counted before a correction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    Live,
    Replay,
}

/// The job under way.
pub struct Job<'d> {
    pub definition: &'d Definition,
    pub slots: Vec<Slot>,
    pub walk: Walk,
}

impl<'d> Job<'d> {
    pub fn new(definition: &'d Definition) -> Job<'d> {
        Job { definition, slots: Vec::new(), walk: Walk::new(definition) }
    }

    pub fn program(&self) -> &'d Program {
        &self.definition.program
    }

    /// Takes an event without looking at it.
    pub fn keep(&mut self, event: Event) -> usize {
        let value = match &event.what {
            What::Correct { .. } => None,
            what => what.value(),
        };
        self.slots.push(Slot {
            event,
            state: State::Counts,
            value,
            corrected_at: None,
            lasting: Vec::new(),
            when_written: Vec::new(),
            of_value: Vec::new(),
            went_on: Vec::new(),
        });
        self.slots.len() - 1
    }

    /// Takes the next event.
    pub fn take(&mut self, event: Event) {
        let at = self.keep(event);
        let taken = match &self.slots[at].event.what {
            What::Correct { .. } => self.correct(at),
            What::Withdraw { .. } => self.withdraw(at),
            _ => self.apply(at, Mode::Live),
        };
        if let Err(fault) = taken {
            self.set_aside(at, fault);
        }
    }

    pub fn set_aside(&mut self, at: usize, fault: Fault) {
        if let Some(slot) = self.slots.get_mut(at) {
            slot.state = State::Aside;
            slot.lasting.push(fault);
        }
    }

    /// Makes the state anew from what counts.
    pub fn replay(&mut self) {
        self.walk = Walk::new(self.definition);
        for at in 0..self.slots.len() {
            let (counts, neutral) = match self.slots.get(at) {
                Some(slot) => (slot.state == State::Counts, slot.event.what.is_about_others()),
                None => (false, true),
            };
            if counts
                && !neutral
                && self.apply(at, Mode::Replay).is_err()
                && let Some(slot) = self.slots.get_mut(at)
            {
                slot.state = State::Aside;
            }
        }
    }

    /// An event as a fault that it does not fit now.
    pub fn misfit(&self, what: &What) -> Fault {
        Fault::Misfit { does: does(what, self.definition), waits: Box::new(self.walk.now(self.definition)) }
    }

    /// Gives an event its effect, where it fits.
    pub fn apply(&mut self, at: usize, mode: Mode) -> Result<(), Fault> {
        let Some(slot) = self.slots.get_mut(at) else { return Ok(()) };
        slot.of_value.clear();
        slot.went_on.clear();
        let what = slot.event.what.clone();
        let told = self.walk.went_on.len();
        if self.walk.closed.is_some() {
            return Err(self.misfit(&what));
        }
        match &what {
            What::Open { .. } => self.open(at, &what)?,
            What::Note { .. } => {}
            What::Answer { input, .. } => self.answer(at, input, &what)?,
            What::Begin { step, occasion, content } => self.begin(at, (step, *occasion, content), &what, mode)?,
            What::Done { step, with } => self.done(at, step, with, &what, mode)?,
            What::Sign { handover, role, .. } => self.sign(handover, role, &what)?,
            What::Close { .. } => self.close(at, &what)?,
            _ => self.apply_line(at, &what, mode)?,
        }
        let told = self.walk.went_on.iter().skip(told).map(|(_, text)| text.clone()).collect();
        if let Some(slot) = self.slots.get_mut(at) {
            slot.went_on = told;
        }
        Ok(())
    }

    fn open(&mut self, at: usize, what: &What) -> Result<(), Fault> {
        if at > 0 {
            return Err(self.misfit(what));
        }
        self.walk.opened = true;
        self.walk.go_on(self.program());
        Ok(())
    }

    fn answer(&mut self, at: usize, input: &str, what: &What) -> Result<(), Fault> {
        let found = self.definition.input(input);
        let open = found.filter(|place| {
            let before = self.definition.inputs.get(*place).is_some_and(|input| input.before_the_job());
            before && !self.walk.known.is_answered(*place)
        });
        let Some(place) = open else { return Err(self.misfit(what)) };
        self.learn(at, place)?;
        self.walk.go_on(self.program());
        Ok(())
    }

    fn begin(
        &mut self,
        at: usize,
        (step, occasion, content): (&str, u32, &str),
        what: &What,
        mode: Mode,
    ) -> Result<(), Fault> {
        let Place::Step(place) = self.walk.place(self.program()) else { return Err(self.misfit(what)) };
        let expected = self.program().steps.get(place);
        let fits = expected.is_some_and(|expected| expected.id == step && expected.content == content);
        if self.walk.begun.is_some() || !fits || self.walk.next_occasion(place) != occasion {
            return Err(self.misfit(what));
        }
        let unanswered = self.walk.unanswered(self.definition);
        if mode == Mode::Live && !unanswered.is_empty() {
            self.note(at, Fault::Unanswered(unanswered));
        }
        self.walk.begin(place);
        Ok(())
    }

    fn done(&mut self, at: usize, step: &str, with: &[String], what: &What, mode: Mode) -> Result<(), Fault> {
        let program = self.program();
        let begun = self.walk.begun.as_ref().and_then(|begun| program.steps.get(begun.step));
        let Some(begun) = begun.filter(|begun| begun.id == step && self.walk.stopped_at().is_none()) else {
            return Err(self.misfit(what));
        };
        let lines = self.walk.open_lines(program);
        if !lines.is_empty() {
            if mode == Mode::Replay {
                return Err(self.misfit(what));
            }
            self.note(at, Fault::Undone { step: step.to_owned(), lines });
        }
        let named = u32::try_from(with.len()).unwrap_or(u32::MAX).saturating_add(1);
        if mode == Mode::Live && named < begun.people {
            self.note(at, Fault::People { step: step.to_owned(), needed: begun.people, named });
        }
        let by = self.slots.get(at).map(|slot| slot.event.by.clone()).unwrap_or_default();
        let did: Vec<String> = begun.not_of.iter().filter(|step| self.walk.has_done(&by, step)).cloned().collect();
        if mode == Mode::Live && !did.is_empty() {
            self.note(at, Fault::SameHands { step: step.to_owned(), name: by.clone(), did });
        }
        self.walk.done(program, std::iter::once(&by).chain(with));
        Ok(())
    }

    fn sign(&mut self, handover: &str, role: &str, what: &What) -> Result<(), Fault> {
        let Place::Handover(place) = self.walk.place(self.program()) else { return Err(self.misfit(what)) };
        let expected = self.program().handovers.get(place);
        let signs = expected.is_some_and(|one| one.id == handover && one.roles.iter().any(|signs| signs == role));
        if !signs || !self.walk.signed.insert(role.to_owned()) {
            return Err(self.misfit(what));
        }
        Ok(())
    }

    fn close(&mut self, at: usize, what: &What) -> Result<(), Fault> {
        let What::Close { outcome, at_stop, reason } = what else { return Ok(()) };
        let outcome = match outcome {
            CloseOutcome::HandedOver => {
                let Place::Handover(place) = self.walk.place(self.program()) else { return Err(self.misfit(what)) };
                let roles = self.program().handovers.get(place).map_or(&[][..], |handover| &handover.roles);
                let unsigned: Vec<String> =
                    roles.iter().filter(|role| !self.walk.signed.contains(*role)).cloned().collect();
                if !unsigned.is_empty() {
                    self.note(at, Fault::Unsigned(unsigned));
                }
                Outcome::HandedOver
            }
            CloseOutcome::Stopped => {
                if self.walk.stopped_at().is_none() || self.walk.stopped_at() != at_stop.as_deref() {
                    return Err(self.misfit(what));
                }
                Outcome::Stopped
            }
            CloseOutcome::BrokenOff => {
                self.note(at, Fault::BrokenOff(reason.clone().unwrap_or_default()));
                Outcome::BrokenOff
            }
        };
        self.walk.closed = Some(outcome);
        Ok(())
    }

    /// A fault of an event that counts all the same.
    pub fn note(&mut self, at: usize, fault: Fault) {
        if let Some(slot) = self.slots.get_mut(at) {
            slot.when_written.push(fault);
        }
    }

    /// The same for its value.
    pub fn doubt(&mut self, at: usize, fault: Fault) {
        if let Some(slot) = self.slots.get_mut(at) {
            slot.of_value.push(fault);
        }
    }
}

impl What {
    /// Whether it has its effect on other events only, or none.
    fn is_about_others(&self) -> bool {
        matches!(self, What::Correct { .. } | What::Withdraw { .. } | What::Revise { .. } | What::Note { .. })
    }
}
