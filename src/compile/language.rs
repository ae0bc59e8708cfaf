//! Outputs in another language than that of the source.

use super::Compiled;
use crate::account::{Accepted, Account};
use crate::emit::Translation;
use crate::labels::{Language, english, language_of, speaking};
use crate::plan::Plan;
use crate::po;
use crate::translate::{self, Lacks, Merged};

/// Why a procedure cannot be had in a language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CannotTranslate {
    /// There are errors, or it is a library.
    NotClean,
    /// It needs a translation, and there is none.
    NoWords,
    /// What is wrong with the translation, by its lines.
    Faults(Vec<po::Fault>),
}

/// A file with translations.
#[derive(Debug, Clone, Copy)]
pub struct Words<'a> {
    /// What stands in it.
    pub texts: &'a po::File,
    /// As it lies on the disk, in whichever form.
    pub bytes: &'a [u8],
}

impl Compiled {
    /// From here on all outputs are in a language: our words, the forms of numbers, and the texts of the procedure by a translation. A
    /// procedure whose own texts are in that language, and a pseudo-language, need none. Findings stay as they are.
    ///
    /// # Errors
    /// Where there is nothing to translate or nothing to do it with, and with all faults of the translation.
    pub fn translate(
        &mut self,
        language: &'static Language,
        words: Option<Words<'_>>,
    ) -> Result<Lacks, CannotTranslate> {
        let procedure = self.clean().ok_or(CannotTranslate::NotClean)?;
        let own = match &procedure.language {
            Some(stated) => language_of(&stated.tag),
            None => Some(english()),
        };
        let (changed, lacks) = if language.pseudo {
            (Some(translate::in_pseudo(procedure, language)), Lacks::default())
        } else if own.is_some_and(|own| own.tag == language.tag) {
            (None, Lacks::default())
        } else {
            let words = words.ok_or(CannotTranslate::NoWords)?;
            let (changed, lacks) =
                translate::translated(procedure, words.texts, language).map_err(CannotTranslate::Faults)?;
            let (missing, outdated) = (lacks.missing.clone(), lacks.outdated.clone());
            self.translation = Some(Translation::by(words.bytes, lacks.all, missing, outdated));
            (Some(changed), lacks)
        };
        if let Some(changed) = changed {
            let plan = speaking(language, || Plan::new(changed));
            let accepted: Vec<Accepted> = self.account.accepted.iter().map(|one| said_in(&plan, one)).collect();
            let (proved, findings) = (self.account.proved, &self.shown.findings);
            self.account = speaking(language, || Account::of(&plan, proved, findings, accepted));
            self.plan = Some(plan);
            self.is_translated = true;
        }
        self.language = language;
        Ok(lacks)
    }

    /// The texts as a PO file for a language, with all that an older one has; `None` where there are errors, and for a library.
    pub fn words(&self, language: &'static Language, old: Option<&po::File>) -> Option<Merged> {
        Some(translate::words(self.clean()?, language, old))
    }

    /// The tag of the language of the outputs, where they are not those of the source as it stands.
    pub fn other_language(&self) -> Option<&'static str> {
        (self.is_translated || self.language.tag != english().tag).then_some(self.language.tag)
    }
}

/// What was accepted, with its reason as the translation has it.
fn said_in(plan: &Plan, one: &Accepted) -> Accepted {
    let same = plan.procedure().accepts.iter().find(|accept| accept.span.whole() == one.place);
    Accepted { reason: same.map_or_else(|| one.reason.clone(), |accept| accept.reason.clone()), ..one.clone() }
}
