//! How the vehicle is left.

use fitwright::diagnostics::Code;
use fitwright::model::{Handover, HandoverLine, Id};
use fitwright::source::Span;

use super::interpreter::Job;
use super::trace::{Ending, Subject};

impl Job<'_, '_> {
    /// The job ends well, if everything is as it must be.
    pub(super) fn hand_over(&mut self, handover: &Handover) {
        for line in &handover.lines {
            match line {
                HandoverLine::Prose(prose) => self.read_prose(prose),
                HandoverLine::Show(said)
                | HandoverLine::Keep(said)
                | HandoverLine::Dispose(said)
                | HandoverLine::Note(said) => self.read_said(said),
                HandoverLine::Sign(_) => {}
            }
        }
        self.leave_joints(handover.span);
        self.leave_parts();
        self.leave_circuits(handover.span);
        self.leave_limits();
        self.leave_ties();
        self.compare_states(Code::FW0802, handover.span, true);
    }

    /// The job ends at a stop: which states a technician must put right before the vehicle leaves.
    ///
    /// **Decision.** A state that never changed on the way needs no putting right in the workshop's eyes, although it
    /// is not the one that `ends` asks for: only possible. So is a vehicle that a limit turns away before the first step.
    pub(super) fn leave_states(&mut self, ending: &Ending) {
        match ending {
            Ending::Stop { at, .. } => {
                self.compare_states(Code::FW0803, *at, true);
                self.stop_with_joints(*at);
                self.stop_with_parts(*at);
                self.stop_with_circuits(*at);
            }
            Ending::TurnedAway { at, .. } => self.compare_states(Code::FW0803, *at, false),
            Ending::Handover(_) | Ending::RanOut | Ending::Refused { .. } => {}
        }
    }

    fn compare_states(&mut self, code: Code, at: Span, certain: bool) {
        for (state, row) in self.procedure.states.iter() {
            let Some((ends, ends_span)) = row.ends else { continue };
            let now = self.states[state.index()];
            let absent = row.when.as_ref().is_some_and(|when| self.known.truth(when) == Some(false));
            if now == ends || absent {
                continue;
            }
            let touched = code == Code::FW0802 || now != row.starts;
            let also = vec![ends_span, row.name.span];
            self.fault_if(certain && touched, code, at, Subject::State(state), also);
        }
    }
}
