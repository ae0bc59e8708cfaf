//! From trees as written to the model: files and libraries, names, quantities, conditions, flow.
//!
//! *Lowering* turns one statement of the tree into its row of the model. What can't be lowered is reported once and
//! left out, so that its users stay silent; the procedure is then not *complete*, and checks that argue from absence
//! ("never used") do not run on it. Things of libraries enter the model when something names them.

mod actions;
mod again;
mod amounts;
mod attribute;
mod builtin;
mod callouts;
mod circuits;
mod closed;
mod conditions;
mod conductors;
mod each;
mod expects;
mod failed;
mod fasteners;
mod figures;
mod flow;
mod idle;
pub mod index;
mod joints;
mod later;
mod lines;
mod load;
mod misplaced;
mod names;
mod pictures;
mod plausible;
mod prose;
mod quantities;
mod rows;
mod scope;
mod shared;
mod stages;
mod supplies;
mod things;
mod unused;
mod worst_case;

pub use amounts::AMOUNTS;
pub use builtin::standard_libraries;
pub use closed::{kind_of_fastener, words_of};
pub use load::{ENDING, MOST_FILES};
pub use names::RESERVED;

use std::collections::{BTreeMap, BTreeSet};

use crate::diagnostics::{Attribute, Code, Finding, Severity};
use crate::model::{Accept, FigureId, Letter, PartId, Procedure, StepId};
use crate::parse::tree::{self, Decl, HeadKind};
use crate::quantity::Kind;
use crate::source::{Sources, Span};
use crate::world::World;
use index::{Index, MeasuredAt, NamedAt};
use rows::Standards;
use scope::{Handle, Scope};

/// What resolving gives.
pub struct Resolved {
    /// The procedure; `None` where the file is a library or could not be read.
    pub procedure: Option<Procedure>,
    /// Whether the file that was asked for is a library.
    pub is_library: bool,
    /// `accept` lines of the file, for libraries too.
    pub accepts: Vec<Accept>,
    /// The bytes of each figure, by the path in the model.
    pub figures: BTreeMap<String, Vec<u8>>,
    /// What was found: of the text, names, quantities and files.
    pub findings: Vec<Finding>,
    /// Texts of other procedures of the project that were read, by their paths: those to which this one leaves something.
    pub read_beside: BTreeSet<String>,
}

/// Whether a path, as a line writes it, is that of a procedure.
pub fn is_path_of(written: &str, procedure: &str) -> bool {
    load::key_of(written) == procedure
}

/// Reads the file at `root` with all it uses, and resolves it. Texts are added to `sources` in the order of reading.
pub fn resolve(root: &str, world: &dyn World, sources: &mut Sources) -> Resolved {
    resolve_with(root, world, sources, None, true)
}

/// The same, with what is declared and where it is named.
pub fn resolve_with_index(root: &str, world: &dyn World, sources: &mut Sources) -> (Resolved, Index) {
    let mut index = Index::default();
    (resolve_with(root, world, sources, Some(&mut index), true), index)
}

/// `follows`: whether the procedures to which it leaves something are read too.
fn resolve_with(
    root: &str,
    world: &dyn World,
    sources: &mut Sources,
    index: Option<&mut Index>,
    follows: bool,
) -> Resolved {
    let mut loaded = load::load(root, world, sources);
    let mut findings = std::mem::take(&mut loaded.findings);
    for file in &mut loaded.files {
        findings.extend(misplaced::in_library(&file.tree));
        findings.append(&mut failed::write_out(&mut file.tree));
    }
    let mut shared = shared::bring_in(&mut loaded.files);
    findings.append(&mut shared.findings);
    let around = each::Around { lent: shared.lent(), own: names::of_root(&loaded.files) };
    let texts = loaded.files.iter_mut();
    let texts = texts.map(|file| each::Text { id: file.id, is_root: file.is_root, tree: &mut file.tree }).collect();
    let mut expansion = each::expand(texts, around);
    findings.append(&mut expansion.findings);
    let nothing = |findings| Resolved {
        procedure: None,
        is_library: false,
        accepts: Vec::new(),
        figures: BTreeMap::new(),
        findings,
        read_beside: BTreeSet::new(),
    };
    let Some(first) = loaded.files.iter().find(|file| file.is_root).filter(|_| loaded.root_read) else {
        return nothing(findings);
    };
    let Some(head) = &first.tree.head else { return nothing(findings) };
    let mut resolver = Resolver::new(world, root, &expansion, &shared);
    for name in loaded.files.iter().flat_map(|file| &file.tree.unread) {
        resolver.unread.insert(name.text.clone());
        resolver.unread_places.push(name.span);
    }
    resolver.lacks_a_library =
        shared.lacks_one || findings.iter().any(|finding| finding.code.is(Attribute::TextMissing));
    resolver.collect(&loaded.files);
    resolver.give(&shared.all);
    resolver.head(head);
    resolver.declarations(&first.tree.items, head.kind);
    let is_library = head.kind == HeadKind::Library;
    if is_library {
        resolver.expected_in_vain(&shared.all);
    } else {
        if follows {
            resolver.hold_promises(&|path| {
                let mut sources = Sources::default();
                (resolve_with(path, world, &mut sources, None, false), sources)
            });
        }
        // What a broken statement names is not there to be seen.
        if !findings.iter().any(|finding| finding.severity() == Severity::Error) {
            resolver.report_unused();
            resolver.report_idle(&loaded.files);
        }
    }
    findings.append(&mut resolver.findings);
    findings.extend(resolver.scope.alike_and_used());
    let broken = findings.iter().any(|finding| finding.severity() == Severity::Error);
    resolver.procedure.complete = !broken;
    resolver.procedure.names = resolver.procedure.names_in_text();
    if let Some(index) = index {
        // What is found in looking at tools that nothing names is nobody's concern.
        index.tools = resolver.every_tool();
        index.named = std::mem::take(&mut resolver.named);
        let groups = expansion.named.iter();
        index.named.extend(groups.map(|(at, means)| index::NamedAt { at: *at, means: *means }));
        index.beside = std::mem::take(&mut resolver.circuits_beside);
        index.left = std::mem::take(&mut resolver.left_beside);
        index.measured = std::mem::take(&mut resolver.measured);
        index.in_passing = std::mem::take(&mut resolver.in_passing);
        index.declared = index::declared(&loaded.files);
        index.steps = index::steps(&loaded.files);
    }
    Resolved {
        accepts: resolver.procedure.accepts.clone(),
        procedure: (!is_library).then_some(resolver.procedure),
        is_library,
        figures: resolver.figures,
        findings,
        read_beside: resolver.read_beside,
    }
}

fn folder_of(root: &str) -> String {
    root.rsplit_once('/').map(|(folder, _)| format!("{folder}/")).unwrap_or_default()
}

/// The state of lowering one file.
struct Resolver<'t> {
    world: &'t dyn World,
    /// The root file, as another would name it.
    root: String,
    /// Folder of the root file, with its closing slash, or empty.
    folder: String,
    scope: Scope<'t>,
    standards: Standards<'t>,
    procedure: Procedure,
    figures: BTreeMap<String, Vec<u8>>,
    findings: Vec<Finding>,
    /// The row of each step, by the place of its name.
    steps_by_name: BTreeMap<Span, StepId>,
    /// The actions of steps that mentions name, to be looked for when all steps are known.
    letters_asked: Vec<(StepId, Letter, Span)>,
    /// Numbers of steps by the place of their names in the text, copies for several places counted once.
    numbers: BTreeMap<Span, String>,
    /// Pictures that a step names by their file, by the place in the text; copies for several places are one.
    figures_by_place: BTreeMap<Span, FigureId>,
    /// What is said once for several places.
    expansion: &'t each::Expansion,
    /// Sections that stand in libraries.
    shared: &'t shared::SharedSections,
    /// Every place that names something, and what it means.
    named: Vec<NamedAt>,
    /// Every quantity that could be read.
    measured: Vec<MeasuredAt>,
    /// Names in lines that accept something, or give it to a section: no uses of their own.
    in_passing: Vec<NamedAt>,
    /// Whether what is looked up now counts as used by the procedure.
    counting_uses: bool,
    /// By what each part comes, where that was said first: a count, or a sort of amount.
    amounts: BTreeMap<PartId, (Option<Kind>, Span)>,
    /// Which parts stand for one another, with the place that said so first.
    alternatives: BTreeMap<PartId, (Vec<PartId>, Span)>,
    /// Words of lines that could not be read: they may be names that are declared there.
    unread: BTreeSet<String>,
    /// What is being read, the innermost last.
    lowering: Vec<Handle<'t>>,
    /// Where those words stand.
    unread_places: Vec<Span>,
    /// Whether a library could not be read: it may declare whatever nothing else does.
    lacks_a_library: bool,
    /// What other procedures are said to do.
    promises: Vec<later::Promise>,
    left_beside: Vec<index::LeftBeside>,
    /// See [`Resolved::read_beside`].
    read_beside: BTreeSet<String>,
    /// See [`Index::beside`].
    circuits_beside: Vec<index::CircuitBeside>,
}

impl<'t> Resolver<'t> {
    fn new(
        world: &'t dyn World,
        root: &str,
        expansion: &'t each::Expansion,
        shared: &'t shared::SharedSections,
    ) -> Self {
        let mut procedure = Procedure::empty();
        procedure.shared = shared.all.iter().map(|section| section.shared.clone()).collect();
        procedure.each_places.clone_from(&expansion.places);
        Resolver {
            world,
            root: load::key_of(root).to_owned(),
            folder: folder_of(root),
            scope: Scope::of_places(&expansion.places),
            standards: Standards::default(),
            procedure,
            figures: BTreeMap::new(),
            findings: Vec::new(),
            steps_by_name: BTreeMap::new(),
            letters_asked: Vec::new(),
            numbers: BTreeMap::new(),
            figures_by_place: BTreeMap::new(),
            expansion,
            shared,
            named: Vec::new(),
            measured: Vec::new(),
            in_passing: Vec::new(),
            counting_uses: true,
            amounts: BTreeMap::new(),
            alternatives: BTreeMap::new(),
            unread: BTreeSet::new(),
            lowering: Vec::new(),
            unread_places: Vec::new(),
            lacks_a_library: false,
            promises: Vec::new(),
            left_beside: Vec::new(),
            read_beside: BTreeSet::new(),
            circuits_beside: Vec::new(),
        }
    }

    /// Whether a name that nothing declares has already had its cause told: a line or a library that could not be read.
    /// `near` is a known name that it may be a slip for.
    fn is_excused<'n>(&self, name: &str, near: impl FnOnce() -> Option<&'n str>) -> bool {
        self.unread.contains(name) || (self.lacks_a_library && near().is_none())
    }

    /// Whether a part of a statement could not be read, so that it may say more than its tree has.
    fn is_torn(&self, statement: Span) -> bool {
        self.unread_places.iter().any(|place| statement.whole().contains(*place))
    }

    fn report(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// Names of the first statement.
    fn head(&mut self, head: &tree::Head) {
        self.procedure.head_span = head.span;
        self.procedure.name = self.naming(&head.name, head.title.as_ref(), false);
        if load::is_device(&head.name.text) {
            let name = &head.name.text;
            let message = format!("`{name}` can't be the name of a procedure: Windows keeps it for a device");
            self.report(
                Finding::new(Code::FW0209, message, head.name.span, "no folder can have this name there")
                    .because(
                        "What a build writes stands in a folder of the procedure's name, and is sent to any machine.",
                    )
                    .repair(format!("Add a word that says more, for example `{name}-rail`.")),
            );
        }
    }

    /// Keeps the `accept` lines before a statement.
    fn accepts<N>(&mut self, item: &tree::Item<N>) {
        self.accepts_for(&item.accepts, item.span, false);
    }

    /// The same for a statement at a place; a wide one holds many things, as a bag does.
    fn accepts_for(&mut self, accepts: &[tree::Accept], covers: Span, is_wide: bool) {
        for accept in accepts {
            for name in &accept.subjects {
                let entry = self.scope.see(&name.text, name.span.file).and_then(|handle| self.scope.entry(handle));
                self.in_passing.extend(entry.map(|entry| NamedAt { at: name.span, means: entry.name.span }));
            }
            let subjects = accept.subjects.iter().map(|name| name.text.clone()).collect();
            let at = accept.at.as_ref().and_then(|at| self.measure(at, &Kind::ALL)).map(|at| at.source_form());
            self.procedure.accepts.push(Accept {
                code: accept.code.text.clone(),
                subjects,
                at,
                is_wide,
                reason: accept.reason.as_ref().map(|reason| reason.value.clone()).unwrap_or_default(),
                covers,
                span: accept.span,
            });
        }
    }

    /// Lowers the root file: what is declared first, then the flow that refers to it.
    fn declarations(&mut self, items: &'t [tree::Item<Decl>], kind: HeadKind) {
        for item in items {
            let is_wide = matches!(item.node, Decl::Section(_) | Decl::Kit(_));
            self.accepts_for(&item.accepts, item.span, is_wide);
            self.single(&item.node, item.span);
        }
        for (accepts, covers) in self.expansion.accepts.iter().chain(&self.shared.accepts) {
            self.accepts_for(accepts, *covers, true);
        }
        self.number_sections(items);
        for handle in self.scope.own.clone() {
            self.intern(handle);
        }
        self.own_rows();
        self.sizes_for_circuits();
        self.standing_hazards();
        for item in items {
            self.declaration(item);
        }
        self.sections(items);
        self.letters_held();
        if kind == HeadKind::Library {
            return;
        }
        self.number_figures();
        if self.procedure.sections.is_empty() && !self.findings.iter().any(|f| f.severity() == Severity::Error) {
            let head = self.procedure.head_span;
            self.report(
                Finding::new(Code::FW0114, "this procedure has no section", head, "nothing happens in it")
                    .repair("Add a `section NAME \"Title\" { … }` with at least one step."),
            );
        }
    }

    /// Statements that become no row of a table.
    fn declaration(&mut self, item: &'t tree::Item<Decl>) {
        match &item.node {
            Decl::About(lines) => self.about(lines),
            Decl::Require { holds, when, reason } => self.rule(holds, when.as_ref(), reason.as_ref(), item.span),
            Decl::Kit(groups) => self.kit(groups),
            Decl::Vehicle { when, entries } => self.vehicle(when.as_ref(), entries, item.span),
            _ => {}
        }
    }
}
