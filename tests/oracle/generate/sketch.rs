//! What proptest draws.

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;

/// A whole procedure.
#[derive(Debug, Clone)]
pub struct Sketch {
    /// Number of values of each option.
    pub options: Vec<u8>,
    pub givens: Vec<Scale>,
    /// Number of values of each observation.
    pub observes: Vec<u8>,
    pub measures: Vec<Scale>,
    /// A result that is set early, by an input.
    pub result: Option<Decides>,
    pub rules: Vec<(Atom, Option<Atom>)>,
    pub limits: Vec<LimitSketch>,
    pub sections: Vec<SectionSketch>,
    pub stories: Vec<Story>,
    /// Where each reading is taken first; small numbers mean the first step.
    pub reads: Vec<u8>,
    /// How each part is supplied.
    pub kit: Vec<Supply>,
    /// Whether the procedure ends in a handover (nearly always).
    pub hands_over: bool,
    /// Whether the first step tells every input, so that each is good for something.
    pub tells_all: bool,
}

/// How a number is cut.
#[derive(Debug, Clone, Copy)]
pub struct Scale {
    /// Which unit and step.
    pub form: u8,
    /// How many readings.
    pub count: u8,
}

/// A comparison of one input with something.
#[derive(Debug, Clone, Copy)]
pub struct Atom {
    pub subject: u8,
    pub value: u8,
    pub form: u8,
}

/// A condition.
#[derive(Debug, Clone)]
pub enum CondSketch {
    One(Atom),
    Not(Box<CondSketch>),
    All(Vec<CondSketch>),
    Any(Vec<CondSketch>),
}

/// A limit.
#[derive(Debug, Clone, Copy)]
pub struct LimitSketch {
    pub left: u8,
    pub right: u8,
    pub amount: u8,
    pub form: u8,
    pub when: Option<Atom>,
    pub stops: bool,
}

/// A result and what decides it.
#[derive(Debug, Clone, Copy)]
pub struct Decides {
    pub subject: u8,
    /// An arm that forgets it, if it is among the arms.
    pub forgets: u8,
    pub cuts: Cuts,
}

/// How a `choose` is cut into arms.
#[derive(Debug, Clone, Copy)]
pub struct Cuts {
    pub at: [u8; 2],
    /// 0 to 5: right; 6: a reading is missing; 7: one is doubled; 8: `otherwise` at the end.
    pub slip: u8,
}

/// A section.
#[derive(Debug, Clone)]
pub struct SectionSketch {
    pub when: Option<CondSketch>,
    pub body: Vec<NodeSketch>,
}

/// A flow statement.
#[derive(Debug, Clone)]
pub enum NodeSketch {
    Step { when: Option<CondSketch> },
    When { cond: CondSketch, then: Vec<NodeSketch>, otherwise: Vec<NodeSketch> },
    Choose { subject: u8, cuts: Cuts, arms: Vec<Vec<NodeSketch>> },
    Check { expect: Atom, rereads: bool, repair: Option<(u8, Vec<NodeSketch>)>, goes_on: bool },
    Set { value: u8 },
    Stop,
}

/// Where the events of a story go.
#[derive(Debug, Clone)]
pub struct Course {
    /// One for each event; more than there are events do no harm.
    pub at: Vec<u16>,
    /// 0 to 5: tidy; 6 to 8: untidy; 9: wild.
    pub order: u8,
    /// The event that is forgotten, if it is among the events.
    pub forgets: u8,
}

/// The life of one thing.
#[derive(Debug, Clone)]
pub enum Story {
    Joint {
        plot: u8,
        count: u8,
        when: Option<Atom>,
        single_use: bool,
        course: Course,
    },
    Take {
        part: u8,
        count: u8,
        mentioned: bool,
        course: Course,
    },
    /// Parts of the vehicle come off and go back.
    Loose {
        plot: u8,
        count: u8,
        single_use: bool,
        course: Course,
    },
    State {
        plot: u8,
        course: Course,
    },
    Circuit {
        plot: u8,
        points: u8,
        isolated: bool,
        when: Option<Atom>,
        course: Course,
    },
    Hazard {
        brought: u8,
        answered: u8,
        course: Course,
    },
    /// A reading is taken again, or told.
    Reading {
        subject: u8,
        form: u8,
        course: Course,
    },
    /// Sentences of work that no line states: holes are drilled, a circuit is tried, a contact is made bright and painted.
    Said {
        sort: u8,
        of: u8,
        course: Course,
    },
    /// Circuits of the vehicle behind one fuse.
    Loads {
        plot: u8,
        loads: [u8; 3],
        whens: [Option<Atom>; 3],
    },
}

/// How a part is supplied.
#[derive(Debug, Clone, Copy)]
pub struct Supply {
    /// In quarters of what the text takes: 4 is right if all of it is taken once.
    pub quarters: u8,
    /// A part of it comes only under a condition.
    pub when: Option<Atom>,
}

fn atom() -> impl Strategy<Value = Atom> {
    (any::<u8>(), any::<u8>(), any::<u8>()).prop_map(|(subject, value, form)| Atom { subject, value, form })
}

fn cond() -> impl Strategy<Value = CondSketch> {
    let leaf = atom().prop_map(CondSketch::One);
    leaf.prop_recursive(2, 5, 3, |inner| {
        prop_oneof![
            5 => atom().prop_map(CondSketch::One),
            1 => inner.clone().prop_map(|cond| CondSketch::Not(Box::new(cond))),
            2 => vec(inner.clone(), 2..=3).prop_map(CondSketch::All),
            2 => vec(inner, 2..=3).prop_map(CondSketch::Any),
        ]
    })
}

fn scale() -> impl Strategy<Value = Scale> {
    (0u8..6, 3u8..=7).prop_map(|(form, count)| Scale { form, count })
}

fn cuts() -> impl Strategy<Value = Cuts> {
    (any::<[u8; 2]>(), prop_oneof![12 => 0u8..6, 1 => Just(6u8), 1 => Just(7u8), 3 => Just(8u8)])
        .prop_map(|(at, slip)| Cuts { at, slip })
}

fn step() -> impl Strategy<Value = NodeSketch> {
    option::weighted(0.15, cond()).prop_map(|when| NodeSketch::Step { when })
}

fn node() -> impl Strategy<Value = NodeSketch> {
    step().prop_recursive(2, 12, 3, |inner| {
        let body = vec(inner.clone(), 1..=2);
        let repair = option::weighted(0.7, (1u8..=2, vec(inner, 1..=2)));
        prop_oneof![
            6 => step(),
            3 => (cond(), body.clone(), prop_oneof![Just(Vec::new()).boxed(), body.clone().boxed()])
                .prop_map(|(cond, then, otherwise)| NodeSketch::When { cond, then, otherwise }),
            3 => (any::<u8>(), cuts(), vec(body, 3)).prop_map(|(subject, cuts, arms)| NodeSketch::Choose { subject, cuts, arms }),
            2 => (atom(), prop::bool::weighted(0.85), repair, prop::bool::weighted(0.3))
                .prop_map(|(expect, rereads, repair, goes_on)| NodeSketch::Check { expect, rereads, repair, goes_on }),
            1 => any::<u8>().prop_map(|value| NodeSketch::Set { value }),
            1 => Just(NodeSketch::Stop),
        ]
    })
}

fn section() -> impl Strategy<Value = SectionSketch> {
    // A stop right in a section would end every job; stops belong in branches.
    let statement = node().prop_map(|node| match node {
        NodeSketch::Stop => NodeSketch::Step { when: None },
        other => other,
    });
    (option::weighted(0.25, cond()), vec(statement, 1..=4)).prop_map(|(when, body)| SectionSketch { when, body })
}

fn course() -> impl Strategy<Value = Course> {
    (vec(any::<u16>(), 6), 0u8..10, prop_oneof![4 => Just(u8::MAX), 1 => 0u8..6])
        .prop_map(|(at, order, forgets)| Course { at, order, forgets })
}

fn story() -> impl Strategy<Value = Story> {
    let when = || option::weighted(0.2, atom());
    prop_oneof![
        5 => (any::<u8>(), 1u8..=3, when(), prop::bool::weighted(0.1), course())
            .prop_map(|(plot, count, when, single_use, course)| Story::Joint { plot, count, when, single_use, course }),
        3 => (any::<u8>(), 1u8..=4, any::<bool>(), course())
            .prop_map(|(part, count, mentioned, course)| Story::Take { part, count, mentioned, course }),
        2 => (any::<u8>(), 1u8..=4, prop::bool::weighted(0.2), course())
            .prop_map(|(plot, count, single_use, course)| Story::Loose { plot, count, single_use, course }),
        3 => (any::<u8>(), course()).prop_map(|(plot, course)| Story::State { plot, course }),
        2 => (any::<u8>(), 2u8..=3, any::<bool>(), when(), course()).prop_map(
            |(plot, points, isolated, when, course)| Story::Circuit { plot, points, isolated, when, course }
        ),
        2 => (any::<u8>(), any::<u8>(), course())
            .prop_map(|(brought, answered, course)| Story::Hazard { brought, answered, course }),
        1 => (any::<u8>(), any::<u8>(), course())
            .prop_map(|(subject, form, course)| Story::Reading { subject, form, course }),
        2 => (any::<u8>(), any::<u8>(), course()).prop_map(|(sort, of, course)| Story::Said { sort, of, course }),
        1 => (any::<u8>(), any::<[u8; 3]>(), [(); 3].map(|()| option::weighted(0.4, atom())))
            .prop_map(|(plot, loads, whens)| Story::Loads { plot, loads, whens }),
    ]
}

fn limit() -> impl Strategy<Value = LimitSketch> {
    (any::<[u8; 4]>(), option::weighted(0.3, atom()), prop::bool::weighted(0.75))
        .prop_map(|([left, right, amount, form], when, stops)| LimitSketch { left, right, amount, form, when, stops })
}

fn supply() -> impl Strategy<Value = Supply> {
    let quarters = prop_oneof![6 => Just(4u8), 3 => 1u8..=5];
    (quarters, option::weighted(0.25, atom())).prop_map(|(quarters, when)| Supply { quarters, when })
}

/// Sketches of procedures with a few hundred paths, now and then some thousand.
pub fn sketches() -> impl Strategy<Value = Sketch> {
    let inputs = (
        vec(2u8..=3, 0..=3),
        prop_oneof![3 => vec(scale(), 0..=0), 3 => vec(scale(), 1..=1), 2 => vec(scale(), 2..=2)],
        vec(2u8..=3, 0..=2),
        vec(scale(), 0..=2),
        option::weighted(0.4, (any::<u8>(), prop_oneof![4 => Just(u8::MAX), 1 => 0u8..3], cuts())),
    );
    let flow = (
        prop_oneof![3 => Just(Vec::new()).boxed(), 3 => vec((atom(), option::weighted(0.8, atom())), 1..=2).boxed()],
        prop_oneof![3 => Just(Vec::new()).boxed(), 2 => vec(limit(), 1..=2).boxed()],
        vec(section(), 1..=3),
        vec(story(), 1..=6),
        vec(prop_oneof![5 => Just(0u8), 1 => any::<u8>()], 4),
        vec(supply(), 12),
        prop::bool::weighted(0.97),
    );
    (inputs, flow).prop_map(|((options, givens, observes, measures, result), flow)| {
        let (rules, limits, sections, stories, reads, kit, hands_over) = flow;
        let result = result.map(|(subject, forgets, cuts)| Decides { subject, forgets, cuts });
        Sketch {
            options,
            givens,
            observes,
            measures,
            result,
            rules,
            limits,
            sections,
            stories,
            reads,
            kit,
            hands_over,
            tells_all: false,
        }
    })
}
