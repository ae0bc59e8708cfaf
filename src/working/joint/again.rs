//! When a joint is tightened again after the job, in words.

use crate::labels::{fill, spoken};
use crate::model::{Due, Joint};
use crate::quantity::Measure;

/// `50 km or 10 h of running, whichever comes first`; `None` where nothing is due. It stands on outputs, behind `after`.
pub fn due_words(joint: &Joint, print: &mut dyn FnMut(&Measure) -> String) -> Option<String> {
    let labels = &spoken().handover;
    let mut one = |due: &Due| {
        let after = print(&due.after);
        if due.running { fill(labels.of_running, &[("time", &after)]) } else { after }
    };
    let all: Vec<String> = joint.again.as_ref()?.after.iter().map(&mut one).collect();
    let told = all.join(&format!(" {} ", spoken().word.or));
    Some(if all.len() > 1 { fill(labels.sooner, &[("when", &told)]) } else { told })
}
