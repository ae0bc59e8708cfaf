//! What an editor asks of a text that is being written: what a name means, where it is named, what would fit at a place, what
//! a line says in the other units.
//!
//! A *desk* is one file of a project, read with all that it uses. Places are bytes of that file, and answers are data: the
//! protocol that carries them to an editor, and the files, are a host's (`cli/server`). Nothing is judged here.

mod colours;
mod completion;
mod hints;
mod hover;
mod names;
mod outline;

pub use colours::{Colour, Shade};
pub use completion::{Completion, Sort};
pub use hints::Hint;
pub use hover::Hover;
pub use names::Thing;
pub use outline::{Link, LinkTo, Symbol, folds, links, outline};

use crate::compile::{self, Read};
use crate::model::Procedure;
use crate::quantity::{System, UnitPreference};
use crate::resolve::index::Index;
pub use crate::resolve::index::LeftBeside;
use crate::source::{FileId, SourceFile, Sources};
use crate::world::World;

/// One file as an editor looks at it.
pub struct Desk {
    sources: Sources,
    index: Index,
    procedure: Option<Procedure>,
}

impl Desk {
    /// Reads the file at `path` with all it uses; what was read can then be proved.
    pub fn open(path: &str, world: &dyn World) -> (Desk, Read) {
        let (read, index) = compile::read_with_index(path, world);
        let desk = Desk { sources: read.sources().clone(), index, procedure: read.procedure().cloned() };
        (desk, read)
    }

    /// Every text that was read; the file itself is the first.
    pub fn sources(&self) -> &Sources {
        &self.sources
    }

    /// The file itself.
    fn file(&self) -> Option<&SourceFile> {
        self.sources.get(ROOT)
    }

    /// The units that the file prints, and those that it does not.
    fn units(&self) -> UnitPreference {
        let own = self.procedure.as_ref().map(|procedure| procedure.units);
        let first = own.map_or(System::Metric, |units| units.first);
        let second = match first {
            System::Metric => System::Inch,
            System::Inch => System::Metric,
        };
        UnitPreference { first, second: Some(second) }
    }
}

/// The file itself, among those that were read.
const ROOT: FileId = FileId::new(0);
