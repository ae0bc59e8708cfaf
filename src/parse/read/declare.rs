//! The statements outside all blocks.

use super::fields::{Entries, LimitLine, NumberLine, ValueLine};
use super::parts::Parts;
use super::{Form, Line, Lines, Reader};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::parse::forms::Block;
use crate::parse::tree::{
    AboutLine, Choice, CountedName, Decl, File, Head, HeadKind, Item, Limit, NumberInput, Part, Prose, Row, Section,
    Spec, State,
};
use crate::source::Span;
use fitwright_grammar::Rule;

/// A statement outside all blocks.
pub(in crate::parse) enum TopLine {
    Head(Head),
    Decl(Decl),
}

impl Line for TopLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let kind = match form.pair.as_rule() {
            Rule::procedure => HeadKind::Procedure,
            Rule::library => HeadKind::Library,
            _ => return Decl::read(reader, form).map(TopLine::Decl),
        };
        let span = form.span;
        let mut parts = reader.parts(form);
        let name = parts.name()?;
        reader.new_name(&name);
        let title = parts.text();
        Some(TopLine::Head(Head { kind, name, title, span }))
    }
}

impl Line for Decl {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        match rule {
            Rule::about => Some(Decl::About(reader.body_lines::<AboutLine>(Block::About, &form).items)),
            Rule::kit => Some(Decl::Kit(reader.body_lines(Block::Kit, &form).items)),
            Rule::vehicle => {
                let entries = reader.entries(&form);
                Some(Decl::Vehicle { when: reader.parts(form).when(), entries })
            }
            Rule::option => Some(Decl::Option(reader.choice(form)?)),
            Rule::observe => Some(Decl::Observe(reader.choice(form)?)),
            Rule::result => Some(Decl::Result(reader.choice(form)?)),
            Rule::each_group => Some(Decl::Each(reader.choice(form)?)),
            Rule::given => Some(Decl::Given(reader.number_input("given", form)?)),
            Rule::measure_input => Some(Decl::Measure(reader.number_input("measure", form)?)),
            Rule::limit => Some(Decl::Limit(reader.limit(form)?)),
            Rule::part => Some(Decl::Part(reader.part(form)?)),
            Rule::tool => Some(Decl::Tool(reader.tool(form)?)),
            Rule::hazard => Some(Decl::Hazard(reader.hazard(form)?)),
            Rule::action => Some(Decl::Action(reader.action(form)?)),
            Rule::joint => Some(Decl::Joint(reader.joint(form)?)),
            Rule::circuit => Some(Decl::Circuit(reader.circuit(form)?)),
            Rule::state => Some(Decl::State(reader.state(form)?)),
            Rule::figure_declared => Some(Decl::Figure(reader.figure(form)?)),
            Rule::section => Some(Decl::Section(reader.section(form)?)),
            Rule::thread_row => Some(Decl::Thread(reader.row(form)?)),
            Rule::grade_row => Some(Decl::Grade(reader.row(form)?)),
            Rule::wire_row => Some(Decl::Wire(reader.row(form)?)),
            Rule::washer_row => Some(Decl::Washer(reader.row(form)?)),
            Rule::insert_nut_row => Some(Decl::InsertNut(reader.row(form)?)),
            Rule::screw_row => Some(Decl::Screw(reader.row(form)?)),
            Rule::terminal_row => Some(Decl::Terminal(reader.row(form)?)),
            Rule::protector_row => {
                let is_fuse = form.pair.clone().into_inner().next().is_some_and(|first| first.as_str() == "fuse");
                let row = reader.protector_row(form)?;
                Some(if is_fuse { Decl::Fuse(row) } else { Decl::Breaker(row) })
            }
            _ => reader.one_line(form),
        }
    }
}

impl Line for AboutLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        let mut parts = reader.parts(form);
        Some(match rule {
            Rule::skill => AboutLine::Skill(parts.text()?),
            Rule::fits => AboutLine::Fits(parts.text()?),
            Rule::licence => AboutLine::Licence(parts.text()?),
            _ => AboutLine::Wear(parts.names()),
        })
    }

    fn prose(prose: Prose) -> Option<Self> {
        Some(AboutLine::Prose(prose))
    }
}

impl Reader<'_> {
    /// The pieces of a form; faults in its conditions are reported.
    pub fn parts(&mut self, form: Form<'_>) -> Parts {
        let mut parts = Parts::of(form.origin, form.pair);
        let findings = std::mem::take(&mut parts.findings);
        // What is wrong with a torn statement has been said.
        if !form.torn {
            findings.into_iter().for_each(|finding| self.report(finding));
        }
        parts
    }

    /// The file from its statements.
    pub fn assemble(&mut self, lines: Lines<TopLine>) -> File {
        let mut head: Option<Head> = None;
        let mut items: Vec<Item<Decl>> = Vec::new();
        for item in lines.items {
            match (item.node, &head) {
                (TopLine::Decl(node), _) => items.push(Item { node, accepts: item.accepts, span: item.span }),
                (TopLine::Head(second), Some(first)) => self.second_head(&second, first.span),
                (TopLine::Head(late), None) => {
                    if let Some(before) = items.first() {
                        self.late_head(&late, before.span);
                    }
                    head = Some(late);
                }
            }
        }
        if head.is_none() && lines.whole {
            self.no_head(items.first().map(|item| item.span));
        }
        self.once(&mut items, |decl| match decl {
            Decl::Revision { .. } => Some("revision"),
            Decl::Units(_) => Some("units"),
            Decl::Colours(_) => Some("colours"),
            Decl::Language(_) => Some("language"),
            Decl::About(_) => Some("about"),
            Decl::Kit(_) => Some("kit"),
            Decl::Vehicle { when: None, .. } => Some("vehicle"),
            _ => None,
        });
        File { head, items, unread: std::mem::take(&mut self.unread) }
    }

    fn no_head(&mut self, first: Option<Span>) {
        let at = Span::new(self.file, 0, 0);
        let label = if first.is_some() { "it should begin here" } else { "there is nothing in it" };
        self.report(
            Finding::new(Code::FW0109, "the file does not say what it is", at, label)
                .because("Its first line names the procedure or the library that the file holds.")
                .repair("Begin it with `procedure NAME \"Title\"` or `library NAME \"Title\"`.")
                .mend(Mend::blanks(
                    "Begin a procedure",
                    Change::Write(at, "procedure new-procedure \"…\"\n\n".to_string()),
                )),
        );
    }

    fn late_head(&mut self, head: &Head, before: Span) {
        self.report(
            Finding::new(Code::FW0109, "what a file is stands in its first line", head.span, "stands too late")
                .also(before, "stands before it")
                .repair("Move this line to the beginning of the file.")
                .mend(Mend::look("Move it to the beginning", Change::Move(head.span, before))),
        );
    }

    fn second_head(&mut self, head: &Head, first: Span) {
        self.report(
            Finding::new(Code::FW0113, "a file is one procedure or one library", head.span, "a second one begins here")
                .also(first, "the first one")
                .repair("Move what belongs to the second into a file of its own."),
        );
    }

    /// Declarations without a block.
    fn one_line(&mut self, form: Form<'_>) -> Option<Decl> {
        let rule = form.pair.as_rule();
        let mut parts = self.parts(form);
        Some(match rule {
            Rule::revision => Decl::Revision { mark: parts.name()?, date: parts.name()? },
            Rule::units => Decl::Units(parts.names()),
            Rule::language => Decl::Language(parts.text()?),
            Rule::colours => {
                let mut pairs = Vec::new();
                while let (Some(colour), Some(carries)) = (parts.name(), parts.name()) {
                    pairs.push((colour, carries));
                }
                Decl::Colours(pairs)
            }
            Rule::use_library => Decl::Use(parts.name()?),
            Rule::require => Decl::Require { holds: parts.cond()?, when: parts.when(), reason: parts.text() },
            Rule::fact => {
                let name = parts.name()?;
                self.new_name(&name);
                Decl::Fact { name, value: parts.measure()? }
            }
            Rule::protection => {
                let name = parts.name()?;
                self.new_name(&name);
                let title = parts.text();
                Decl::Protection { name, title }
            }
            Rule::reference => {
                let name = parts.name()?;
                self.new_name(&name);
                let title = parts.text();
                Decl::Reference { name, title, confirmed: parts.text() }
            }
            _ => return None,
        })
    }

    fn choice(&mut self, form: Form<'_>) -> Option<Choice> {
        let lines = self.body_lines::<ValueLine>(Block::Values, &form);
        let mut parts = self.parts(form);
        let name = parts.name()?;
        self.new_name(&name);
        let title = parts.text();
        let values: Vec<_> = lines
            .items
            .into_iter()
            .filter_map(|item| match item.node {
                ValueLine::Value(value) => Some(value),
                _ => None,
            })
            .collect();
        Some(Choice { name, title, for_each: parts.for_each, values })
    }

    fn number_input(&mut self, owner: &str, form: Form<'_>) -> Option<NumberInput> {
        let mut lines = self.body_lines::<NumberLine>(Block::Number, &form);
        self.once(&mut lines.items, |line| {
            Some(match line {
                NumberLine::Range(_) => "range",
                NumberLine::Reads(_) => "reads",
                NumberLine::With(_) => "with",
            })
        });
        let mut parts = self.parts(form);
        let name = parts.name()?;
        self.new_name(&name);
        let title = parts.text();
        let when = parts.when();
        let for_each = parts.for_each;
        let mut made = NumberInput { name, title, for_each, when, range: None, reads: None, with: None };
        for line in lines.items {
            match line.node {
                NumberLine::Range(range) => made.range = Some(range),
                NumberLine::Reads(reads) => made.reads = Some(reads),
                NumberLine::With(tool) => made.with = Some(tool),
            }
        }
        // What is left out is the instrument's.
        let instrument = made.with.is_some();
        if lines.whole && made.range.is_none() && !instrument {
            let reason = "Which branches there must be follows from what can be read.";
            self.missing(
                owner,
                &made.name,
                ["its range", "no `range`"],
                reason,
                "Write `range 20 mm to 95 mm` with the least and the greatest value.",
            );
        }
        if lines.whole && made.reads.is_none() && owner == "measure" && !instrument {
            let reason = "Between 45 mm and 46 mm lies nothing on a millimetre rule, and much on a caliper.";
            self.missing(
                owner,
                &made.name,
                ["how finely it reads", "no `reads`"],
                reason,
                "Write the smallest reading of the instrument: `reads 1 mm`.",
            );
        }
        Some(made)
    }

    fn limit(&mut self, form: Form<'_>) -> Option<Limit> {
        let mut lines = self.body_lines::<LimitLine>(Block::Limit, &form);
        self.once(&mut lines.items, |line| {
            Some(match line {
                LimitLine::Holds(_) => "the comparison",
                LimitLine::Otherwise(_) => "else stop",
            })
        });
        let mut parts = self.parts(form);
        let name = parts.name()?;
        self.new_name(&name);
        let title = parts.text();
        let mut made = Limit { name, title, when: parts.when(), holds: None, otherwise: None };
        let mut said = false;
        for line in lines.items {
            match line.node {
                LimitLine::Holds(holds) => {
                    said = true;
                    made.holds = holds;
                }
                LimitLine::Otherwise(text) => made.otherwise = Some(text),
            }
        }
        if lines.whole && !said {
            let reason = "A limit is a comparison that must hold before the work may go on.";
            self.missing(
                "limit",
                &made.name,
                ["what must hold", "no comparison"],
                reason,
                "Write a comparison: `rack-mass + ladder-mass <= roof-rating`.",
            );
        }
        Some(made)
    }

    fn part(&mut self, form: Form<'_>) -> Option<Part> {
        let lines = self.part_lines(&form);
        let torn = form.torn;
        let mut parts = self.parts(form);
        let name = parts.name()?;
        self.new_name(&name);
        let title = parts.text();
        let is_bare = |spec: &Spec| spec.thread.is_none() && spec.diameter.is_none() && spec.attributes.is_empty();
        // A fastener of which only the kind could be read, as before `#10`: what lacks of it has been said.
        if torn && parts.spec.as_ref().is_some_and(is_bare) {
            self.unread.push(name);
            return None;
        }
        Some(Part { name, title, spec: parts.spec, lines: lines.into() })
    }

    fn state(&mut self, form: Form<'_>) -> Option<State> {
        let mut lines = self.body_lines::<ValueLine>(Block::State, &form);
        self.once(&mut lines.items, |line| match line {
            ValueLine::Value(_) => None,
            ValueLine::Starts(_) => Some("starts"),
            ValueLine::Ends(_) => Some("ends"),
        });
        let mut parts = self.parts(form);
        let name = parts.name()?;
        self.new_name(&name);
        let title = parts.text();
        let when = parts.when();
        let for_each = parts.for_each;
        let mut made = State { name, title, for_each, when, values: Vec::new(), starts: None, ends: None };
        for line in lines.items {
            match line.node {
                ValueLine::Value(value) => made.values.push(value),
                ValueLine::Starts(value) => made.starts = Some(value),
                ValueLine::Ends(value) => made.ends = Some(value),
            }
        }
        if lines.whole && made.values.len() >= 2 && made.starts.is_none() {
            let reason = "What a step needs can only be checked from the value that the job begins with.";
            let first = made.values.first().map_or("on", |value| value.name.text.as_str()).to_string();
            self.missing(
                "state",
                &made.name,
                ["what it starts as", "no `starts`"],
                reason,
                &format!("Write `starts {first}`, or the value that the vehicle comes in with."),
            );
        }
        Some(made)
    }

    fn section(&mut self, form: Form<'_>) -> Option<Section> {
        let body = form.body.map(|braces| self.flow(&braces.statements).items).unwrap_or_default();
        let mut parts = self.parts(form);
        let name = parts.name()?;
        self.new_name(&name);
        let title = parts.text();
        let (expects, brought) = (std::mem::take(&mut parts.expects), parts.brought.take());
        expects.iter().for_each(|expected| self.new_name(&expected.name));
        if let Some(brought) = brought.as_ref().filter(|brought| brought.section.is_none()) {
            let path = &brought.library;
            self.report(
                Finding::new(
                    Code::FW0101,
                    format!("`{}` names no section of a library", path.text),
                    path.span,
                    "the section's name is missing",
                )
                .repair(format!("Write the library, a full stop and the section's name: `from {}.NAME`.", path.text)),
            );
        }
        Some(Section { name, title, for_each: parts.for_each.take(), expects, brought, when: parts.when(), body })
    }

    /// A row whose first word says which of two kinds it is.
    fn protector_row(&mut self, form: Form<'_>) -> Option<Row> {
        let span = form.span;
        let mut parts = self.parts(form);
        parts.name()?;
        Some(Row { name: parts.name()?, title: parts.text(), attributes: parts.attributes.into(), span })
    }

    fn row(&mut self, form: Form<'_>) -> Option<Row> {
        let span = form.span;
        let mut parts = self.parts(form);
        let name = parts.name()?;
        Some(Row { name, title: parts.text(), attributes: parts.attributes.into(), span })
    }

    /// The counted parts of `vehicle` or of a group of the kit.
    pub fn entries(&mut self, form: &Form<'_>) -> Vec<CountedName> {
        let lines = self.body_lines::<Entries>(Block::List, form);
        lines.items.into_iter().flat_map(|item| item.node.0).collect()
    }
}
