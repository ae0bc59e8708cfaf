//! Events about earlier events: corrections, withdrawals, a new revision.

use super::does::does;
use super::event::{Event, What};
use super::fault::Fault;
use super::job::{Job, State};

impl Job<'_> {
    /// Where the event that a `correct` or `withdraw` names stands, if it counts.
    fn named(&self, by: usize, event: u64) -> Option<usize> {
        let at = usize::try_from(event).ok()?.checked_sub(1)?;
        let slot = self.slots.get(at).filter(|slot| at < by && slot.state == State::Counts)?;
        slot.event.what.can_be_withdrawn().then_some(at)
    }

    fn cannot(&self, what: &What, why: &str) -> Fault {
        Fault::CannotApply { does: does(what, self.definition), why: why.to_owned() }
    }

    pub(super) fn correct(&mut self, by: usize) -> Result<(), Fault> {
        self.put_in(by, true)?;
        self.replay();
        Ok(())
    }

    pub(super) fn withdraw(&mut self, by: usize) -> Result<(), Fault> {
        self.take_out(by)?;
        self.replay();
        Ok(())
    }

    /// Puts the value of a `correct` in place of the one that it names.
    fn put_in(&mut self, by: usize, understood: bool) -> Result<(), Fault> {
        let Some(What::Correct { event, .. }) = self.slots.get(by).map(|slot| &slot.event.what) else { return Ok(()) };
        let event = *event;
        let Some(slot) = self.slots.get(by) else { return Ok(()) };
        let (what, line) = (slot.event.what.clone(), line_of(by));
        if self.walk.closed.is_some() {
            return Err(self.misfit(&what));
        }
        let named = self.named(by, event);
        let (Some(at), Some(value)) = (named, what.value()) else {
            return Err(self.cannot(&what, "that event does not count, or cannot be corrected"));
        };
        let target = self.slots.get(at).map(|slot| (slot.event.what.clone(), slot.value.clone()));
        let Some((target, Some(old))) = target else {
            return Err(self.cannot(&what, "that event has no value that could be corrected"));
        };
        if !old.is_like(&value) {
            return Err(self.cannot(&what, "that event has a value of another kind"));
        }
        if understood {
            self.can_be_corrected(&target, &value)?;
        }
        if let Some(slot) = self.slots.get_mut(at) {
            slot.value = Some(value);
            slot.corrected_at = Some(line);
        }
        Ok(())
    }

    fn take_out(&mut self, by: usize) -> Result<(), Fault> {
        let Some(what) = self.slots.get(by).map(|slot| slot.event.what.clone()) else { return Ok(()) };
        let What::Withdraw { event, .. } = &what else { return Ok(()) };
        if self.walk.closed.is_some() {
            return Err(self.misfit(&what));
        }
        let Some(at) = self.named(by, *event) else {
            return Err(self.cannot(&what, "that event does not count, or cannot be withdrawn"));
        };
        if let Some(slot) = self.slots.get_mut(at) {
            slot.state = State::Withdrawn;
        }
        Ok(())
    }

    /// Takes what was written under an earlier revision, of which there is no checklist here: what was withdrawn is left
    /// out, what was corrected has its new value, and the rest is replayed as far as it fits.
    pub fn take_over(&mut self, earlier: Vec<Event>) {
        for event in earlier {
            let at = self.keep(event);
            let applied = match self.slots.get(at).map(|slot| &slot.event.what) {
                Some(What::Correct { .. }) => self.put_in(at, false),
                Some(What::Withdraw { .. }) => self.take_out(at),
                _ => Ok(()),
            };
            if applied.is_err()
                && let Some(slot) = self.slots.get_mut(at)
            {
                slot.state = State::Aside;
            }
        }
        self.replay();
    }
}

/// The line of a slot, from 1.
pub fn line_of(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX).saturating_add(1)
}
