//! Figures: read once, looked at before they are shown to anybody.

use super::load::unsafe_path;
use super::pictures::inspect;
use super::scope::{Declared, Target, Wanted};
use super::{Resolver, folder_of};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{Cond, CondKind, Figure, FigureId, LineKind, PictureSize, Shown};
use crate::parse::tree::{self, Text};
use crate::source::Span;
use crate::world::ReadFault;

impl Resolver<'_> {
    /// `figure layout "layout.svg" "The rack from above" when … { 1 rail-bracket at 31 %, 40 % }`
    pub(super) fn figure(&mut self, written: &tree::Figure, span: Span) -> Option<Target> {
        let name = self.naming(&written.name, None, false);
        let picture = self.picture(&written.path, written.alt.as_ref());
        let callouts = self.callouts(&written.name.text, &written.callouts);
        // Its condition is looked at here too, so that what is wrong with it is said where no step shows it.
        self.condition_of_figure(written.when.as_ref())?;
        let (path, alt, size) = picture?;
        let path_span = written.path.span;
        let row = Figure { name: Some(name), number: None, path, alt, size, callouts: callouts?, span, path_span };
        Some(Target::Figure(self.procedure.figures.push(row)))
    }

    /// `figure layout when …`, `figure "rail.svg" "The rail from the side" when …`
    pub(super) fn shown(&mut self, shown: &tree::FigureShown, when: Option<&tree::Cond>, span: Span) -> Option<Shown> {
        let (figure, declared) = match shown {
            tree::FigureShown::Named(name) => {
                let declared = match self.scope.get(name).map(|entry| entry.declared) {
                    Some(Declared::Figure(figure)) => figure.when.as_ref(),
                    _ => None,
                };
                let Some(Target::Figure(figure)) = self.find(name, Wanted::Figure) else { return None };
                (figure, declared)
            }
            tree::FigureShown::File(path, alt) => (self.figure_of_file(path, alt.as_ref(), span)?, None),
        };
        let mut both: Vec<Cond> = Vec::new();
        both.extend(declared.map(|when| self.cond(when)).unwrap_or_default());
        both.extend(self.condition_of_figure(when)?);
        let when = match both.as_slice() {
            [_, second] => Some(Cond { span: second.span, kind: CondKind::All(both) }),
            _ => both.pop(),
        };
        Some(Shown { figure, when })
    }

    /// A picture without a name. The copies of its line for several places show one picture.
    fn figure_of_file(&mut self, path: &Text, alt: Option<&Text>, span: Span) -> Option<FigureId> {
        if let Some(known) = self.figures_by_place.get(&span.whole()) {
            return Some(*known);
        }
        let path_span = path.span;
        let (path, alt, size) = self.picture(path, alt)?;
        let row = Figure { name: None, number: None, path, alt, size, callouts: Vec::new(), span, path_span };
        let id = self.procedure.figures.push(row);
        self.figures_by_place.insert(span.whole(), id);
        Some(id)
    }

    /// A condition of a figure. It speaks of options alone: a picture is printed or not before the job begins.
    fn condition_of_figure(&mut self, when: Option<&tree::Cond>) -> Option<Option<Cond>> {
        let when = self.optional_cond(when)?;
        let Some(place) = when.as_ref().and_then(|when| self.other_than_options(when)) else { return Some(when) };
        self.report(
            Finding::new(
                Code::FW0207,
                "the condition of a figure speaks of something else than options",
                place,
                "not an option",
            )
            .because("Whether a picture is printed is known from the fitting; what is read later decides which steps are done.")
            .repair("Write a condition on options, or show the figure in a step that has this condition: `step NAME when …`."),
        );
        None
    }

    /// Gives figures their numbers, in the order in which the steps show them.
    pub(super) fn number_figures(&mut self) {
        let mut next = 1;
        for line in self.procedure.steps.rows().iter().flat_map(|step| &step.lines) {
            if let LineKind::Figure(shown) = &line.kind
                && let number @ None = &mut self.procedure.figures[shown.figure].number
            {
                *number = Some(next);
                next += 1;
            }
        }
    }

    /// A file that can be shown: its path in the project, what it shows, its size. The path counts from the folder
    /// of the file that says it.
    fn picture(&mut self, path: &Text, alt: Option<&Text>) -> Option<(String, String, PictureSize)> {
        let alt = alt.map(|alt| alt.value.trim().to_owned()).unwrap_or_default();
        if alt.is_empty() {
            self.report(
                Finding::new(
                    Code::FW1302,
                    "this figure has no words",
                    path.span,
                    "nothing for those who cannot see it",
                )
                .because("A figure that does not load, or is read aloud, must still say what it shows.")
                .repair(format!("Add what it shows after the file: `\"{}\" \"The rail from the side\"`.", path.value))
                .mend(Mend::blanks(
                    "Say what it shows",
                    Change::Write(Span { start: path.span.end, ..path.span }, " \"…\"".to_owned()),
                )),
            );
        }
        // Relative paths may be joined to the folder only after they are known to be plain.
        if let Some(finding) = unsafe_path(&path.value, path.span) {
            self.report(finding);
            return None;
        }
        let shared = path.span.file.section().and_then(|section| self.procedure.shared.get(section));
        let library = shared.filter(|section| !section.library.is_empty()).map(|section| folder_of(&section.library));
        let full = format!("{}{}", library.as_ref().unwrap_or(&self.folder), path.value);
        let bytes = match self.world.read(&full) {
            Ok(bytes) => bytes,
            Err(fault) => {
                self.report(unreadable(&full, path, fault));
                return None;
            }
        };
        let size = match inspect(&path.value, &bytes) {
            Ok(size) => size,
            Err((what, repair)) => {
                self.report(
                    Finding::new(
                        Code::FW1304,
                        format!("the figure `{}` can't be shown: {what}", path.value),
                        path.span,
                        what,
                    )
                    .because("The manual opens on many machines and must load nothing and run nothing.")
                    .repair(repair),
                );
                return None;
            }
        };
        self.figures.insert(full.clone(), bytes);
        (!alt.is_empty()).then_some((full, alt, size))
    }
}

fn unreadable(full: &str, path: &Text, fault: ReadFault) -> Finding {
    let (code, label) = match fault {
        ReadFault::Outside => (Code::FW1303, "a link leads out of the project"),
        ReadFault::TooLarge => (Code::FW1304, "the file is too large"),
        ReadFault::NotAFile => (Code::FW1301, "this is not a file"),
        ReadFault::Missing | ReadFault::Refused => (Code::FW1301, "there is no such file"),
    };
    Finding::new(code, format!("the figure `{}` can't be read", path.value), path.span, label)
        .repair(format!("Put the picture at `{full}` in the project, or correct the path."))
}
