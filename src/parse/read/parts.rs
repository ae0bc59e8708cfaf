//! The pieces of a form, gathered by kind in the order in which they stand.

use super::atoms::{Origin, amount, measure};
use super::condition;
use crate::diagnostics::Finding;
use crate::parse::tree;
use crate::source::Span;
use fitwright_grammar::Rule;
use pest::iterators::Pair;
use std::collections::VecDeque;

/// What a form holds.
#[derive(Debug, Default)]
pub(in crate::parse) struct Parts {
    names: VecDeque<tree::Name>,
    texts: VecDeque<tree::Text>,
    measures: VecDeque<tree::Measure>,
    numbers: VecDeque<tree::Number>,
    conds: VecDeque<tree::Cond>,
    whens: VecDeque<tree::Cond>,
    /// The group of `for each GROUP`.
    pub for_each: Option<tree::Name>,
    /// `expects KIND NAME, …`
    pub expects: Vec<tree::Expected>,
    /// `from LIBRARY.SECTION with NAME = NAME, …`
    pub brought: Option<tree::Brought>,
    /// A length, volume or mass of a part.
    pub amount: Option<tree::Amount>,
    /// Parts with their count.
    pub counted: Vec<tree::CountedName>,
    /// Parts that are made of those.
    pub made: Vec<tree::CountedName>,
    /// What is done one after the other until a joint is tight.
    pub stages: Vec<tree::Stage>,
    /// When a joint is tightened again.
    pub dues: Vec<tree::Due>,
    /// Tools of `with` or `use`.
    pub tools: Vec<tree::ToolUse>,
    /// Attributes of a row.
    pub attributes: Vec<tree::Attribute>,
    /// The standard form of a fastener.
    pub spec: Option<tree::Spec>,
    /// `from kit`, of what is kept for the owner.
    pub from_kit: bool,
    /// `by hand` in the place of tools.
    pub by_hand: bool,
    pub recorded: Option<Span>,
    /// `optional`, with its reason.
    pub optional: Option<Option<tree::Text>>,
    /// `unknown`, with its reason.
    pub unknown: Option<tree::Text>,
    /// Faults in conditions.
    pub findings: Vec<Finding>,
}

impl Parts {
    /// Gathers the pieces of a form.
    pub fn of(origin: Origin, form: Pair<'_, Rule>) -> Parts {
        let mut parts = Parts::default();
        for pair in form.into_inner() {
            parts.take(origin, pair);
        }
        parts
    }

    fn take(&mut self, origin: Origin, pair: Pair<'_, Rule>) {
        match pair.as_rule() {
            Rule::text => self.texts.push_back(origin.text(&pair)),
            Rule::measure => self.measures.extend(measure(origin, pair)),
            Rule::number => self.numbers.push_back(origin.number(&pair)),
            Rule::amount_of => self.amount = amount(origin, pair),
            Rule::counted | Rule::much_of => self.counted.extend(counted(origin, pair)),
            Rule::parts_made => {
                let made = pair.into_inner().filter(|part| part.as_rule() == Rule::much_of);
                self.made.extend(made.filter_map(|part| counted(origin, part)));
            }
            Rule::stage_to | Rule::stage_loosen | Rule::stage_back_off => self.stages.extend(stage(origin, pair)),
            Rule::due => self.dues.extend(due(origin, pair)),
            Rule::tool_use => self.tools.extend(tool_use(origin, pair)),
            Rule::attribute => self.attributes.push(attribute(origin, pair)),
            Rule::spec => self.spec = spec(origin, pair),
            Rule::by_hand => self.by_hand = true,
            Rule::recorded => self.recorded = Some(origin.span(&pair)),
            Rule::from_kit => self.from_kit = true,
            Rule::optional => {
                let reason = pair.into_inner().find(|inner| inner.as_rule() == Rule::text);
                self.optional = Some(reason.map(|text| origin.text(&text)));
            }
            Rule::unknown => {
                let reason = pair.into_inner().find(|inner| inner.as_rule() == Rule::text);
                self.unknown = reason.map(|text| origin.text(&text));
            }
            Rule::cond => {
                let cond = condition::condition(origin, pair, &mut self.findings);
                self.conds.extend(cond);
            }
            Rule::when => {
                let cond = pair.into_inner().find(|inner| inner.as_rule() == Rule::cond);
                let cond = cond.and_then(|inner| condition::condition(origin, inner, &mut self.findings));
                self.whens.extend(cond);
            }
            Rule::expected => {
                let mut parts = Parts::of(origin, pair);
                if let (Some(kind), Some(name)) = (parts.name(), parts.name()) {
                    self.expects.push(tree::Expected { kind, name, for_each: parts.for_each.take() });
                }
            }
            Rule::brought => self.brought = brought(origin, pair),
            Rule::each_name => self.for_each = Some(origin.name(&pair)),
            rule if is_name(rule) => self.names.push_back(origin.name(&pair)),
            Rule::with_tools
            | Rule::expects
            | Rule::meanwhile
            | Rule::for_each_of
            | Rule::accept_for
            | Rule::accept_at
            | Rule::at_points
            | Rule::confirmed
            | Rule::at_distance
            | Rule::across
            | Rule::is_part
            | Rule::coloured
            | Rule::stud_grade
            | Rule::in_stages
            | Rule::make_parts
            | Rule::count_range
            | Rule::unknown_count
            | Rule::record_photo
            | Rule::record_text
            | Rule::record_name => {
                for inner in pair.into_inner() {
                    self.take(origin, inner);
                }
            }
            _ => {}
        }
    }

    pub fn name(&mut self) -> Option<tree::Name> {
        self.names.pop_front()
    }

    /// All names that are left.
    pub fn names(&mut self) -> Vec<tree::Name> {
        std::mem::take(&mut self.names).into()
    }

    pub fn text(&mut self) -> Option<tree::Text> {
        self.texts.pop_front()
    }

    pub fn measure(&mut self) -> Option<tree::Measure> {
        self.measures.pop_front()
    }

    /// All quantities that are left.
    pub fn measures(&mut self) -> Vec<tree::Measure> {
        std::mem::take(&mut self.measures).into()
    }

    pub fn number(&mut self) -> Option<tree::Number> {
        self.numbers.pop_front()
    }

    pub fn cond(&mut self) -> Option<tree::Cond> {
        self.conds.pop_front()
    }

    /// The condition after `when`.
    pub fn when(&mut self) -> Option<tree::Cond> {
        self.whens.pop_front()
    }
}

/// Whether a rule reads one name, of whatever kind.
fn is_name(rule: Rule) -> bool {
    matches!(
        rule,
        Rule::new_name
            | Rule::joint_name
            | Rule::part_name
            | Rule::tool_name
            | Rule::state_name
            | Rule::value_name
            | Rule::result_name
            | Rule::input_name
            | Rule::hazard_name
            | Rule::protection_name
            | Rule::circuit_name
            | Rule::point_name
            | Rule::later_circuit
            | Rule::action_name
            | Rule::figure_name
            | Rule::called_name
            | Rule::reference_name
            | Rule::recorded_name
            | Rule::group_name
            | Rule::drive_name
            | Rule::drive_mark
            | Rule::condition_word
            | Rule::tapped_metal
            | Rule::hole_end
            | Rule::accepted_name
            | Rule::expected_kind
            | Rule::expected_name
            | Rule::given_name
            | Rule::pattern_word
            | Rule::grade_kind
            | Rule::grade_name
            | Rule::line_word
            | Rule::unit_system
            | Rule::signer
            | Rule::metal
            | Rule::colour
            | Rule::carried
            | Rule::people
            | Rule::people_alone
            | Rule::group_kind
            | Rule::signal
            | Rule::protector
            | Rule::mark
            | Rule::date
            | Rule::path
            | Rule::code
            | Rule::row_name
            | Rule::stud
    )
}

/// `from lib/wiring.feed with harness = feed-harness`
fn brought(origin: Origin, pair: Pair<'_, Rule>) -> Option<tree::Brought> {
    let span = origin.span(&pair);
    let (mut path, mut given) = (None, Vec::new());
    for part in pair.into_inner() {
        match part.as_rule() {
            Rule::path => path = Some(origin.name(&part)),
            Rule::bound => {
                let mut names = Parts::of(origin, part);
                given.extend(names.name().zip(names.name()));
            }
            _ => {}
        }
    }
    let path = path?;
    let (library, section) = match path.text.rsplit_once('.') {
        Some((library, section)) if !library.is_empty() && !section.is_empty() => {
            let at = path.span.start + u32::try_from(library.len()).unwrap_or(0);
            let name = |text: &str, span| tree::Name { text: text.to_owned(), span };
            let own = name(section, Span { start: at + 1, ..path.span });
            (name(library, Span { end: at, ..path.span }), Some(own))
        }
        _ => (path, None),
    };
    Some(tree::Brought { library, section, given, span })
}

/// `accept FW0504 "reason"`
pub(super) fn accept(origin: Origin, pair: Pair<'_, Rule>) -> Option<tree::Accept> {
    let span = origin.span(&pair);
    let mut parts = Parts::of(origin, pair);
    let code = parts.name()?;
    Some(tree::Accept { code, subjects: parts.names(), at: parts.measure(), reason: parts.text(), span })
}

pub(super) fn counted(origin: Origin, pair: Pair<'_, Rule>) -> Option<tree::CountedName> {
    let mut parts = Parts::of(origin, pair);
    let (count, to) = (parts.number(), parts.number());
    let amount = parts.amount.take();
    let name = parts.name()?;
    let recorded = parts.recorded.take();
    Some(tree::CountedName { count, to, amount, unknown: parts.text(), name, or: parts.names(), recorded })
}

fn tool_use(origin: Origin, pair: Pair<'_, Rule>) -> Option<tree::ToolUse> {
    let span = origin.span(&pair);
    let hold = pair.clone().into_inner().any(|inner| inner.as_rule() == Rule::hold);
    let mut parts = Parts::of(origin, pair);
    let any_of = parts.names();
    if any_of.is_empty() {
        return None;
    }
    Some(tree::ToolUse { hold, count: parts.number(), any_of, across: parts.measure(), span })
}

/// `50 km`, `10 h of running`
fn due(origin: Origin, pair: Pair<'_, Rule>) -> Option<tree::Due> {
    let running = pair.clone().into_inner().any(|part| part.as_rule() == Rule::of_running);
    let span = origin.span(&pair);
    Some(tree::Due { after: Parts::of(origin, pair).measure()?, running, span })
}

/// `50 lbf.ft while "the hub is turned"`, `loosen`, `back off 1/4 turn`
fn stage(origin: Origin, pair: Pair<'_, Rule>) -> Option<tree::Stage> {
    let (rule, span) = (pair.as_rule(), origin.span(&pair));
    let mut parts = Parts::of(origin, pair);
    let does = match rule {
        Rule::stage_loosen => tree::StageDoes::Loosen,
        Rule::stage_back_off => tree::StageDoes::BackOff(parts.measure()?),
        _ => tree::StageDoes::To(parts.measure()?),
    };
    Some(tree::Stage { does, meanwhile: parts.text(), span })
}

/// One attribute of a library's row.
fn attribute(origin: Origin, pair: Pair<'_, Rule>) -> tree::Attribute {
    let span = origin.span(&pair);
    let mut made = tree::Attribute { word: None, measures: Vec::new(), words: Vec::new(), text: None, span };
    for (at, part) in pair.into_inner().enumerate() {
        match part.as_rule() {
            Rule::attribute_word if at == 0 => made.word = Some(origin.name(&part)),
            Rule::attribute_word | Rule::thread | Rule::w_x => made.words.push(origin.name(&part)),
            Rule::measure => made.measures.extend(measure(origin, part)),
            Rule::text => made.text = Some(origin.text(&part)),
            _ => {}
        }
    }
    made
}

/// `bolt M8 x 30 mm, class 8.8, hex head`
fn spec(origin: Origin, pair: Pair<'_, Rule>) -> Option<tree::Spec> {
    let span = origin.span(&pair);
    let mut kind = None;
    let mut made = (None, None, None, Vec::new());
    let mut remarks = Vec::new();
    for part in pair.into_inner() {
        match part.as_rule() {
            Rule::spec_kind => kind = Some(origin.name(&part)),
            Rule::thread => made.0 = Some(origin.name(&part)),
            Rule::spec_size => made.1 = inner_measure(origin, part),
            Rule::spec_length => made.2 = inner_measure(origin, part),
            // `screw no-8`: the size of an inch self-tapping screw.
            Rule::terminal_name if part.as_str().starts_with("no-") => made.0 = Some(origin.name(&part)),
            Rule::terminal_name => made.3.push(origin.name(&part)),
            Rule::text => remarks.push(origin.text(&part)),
            Rule::spec_words => {
                let span = origin.span(&part);
                let text = part.as_str().split_whitespace().collect::<Vec<_>>().join(" ");
                made.3.push(tree::Name { text, span });
            }
            _ => {}
        }
    }
    Some(tree::Spec {
        kind: kind?,
        thread: made.0,
        diameter: made.1,
        length: made.2,
        attributes: made.3,
        remarks,
        span,
    })
}

fn inner_measure(origin: Origin, pair: Pair<'_, Rule>) -> Option<tree::Measure> {
    pair.into_inner().find(|part| part.as_rule() == Rule::measure).and_then(|part| measure(origin, part))
}
