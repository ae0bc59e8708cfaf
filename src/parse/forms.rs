//! What may stand where: every statement of the language with its block, its form and an example.
//!
//! Messages, the repair of lost braces, and later an editor's completion all read this one table. The grammar says the
//! same in its first section; a test holds the two together.

use super::grammar::Rule;
use crate::diagnostics::suggest;
use std::collections::HashMap;
use std::sync::LazyLock;

/// The kinds of block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "each is the block of the statement with the same name")]
pub enum Block {
    /// The file itself, outside all braces.
    File,
    About,
    /// The values of `option`, `observe`, `result`.
    Values,
    /// `given` and `measure`.
    Number,
    Limit,
    Part,
    Kit,
    /// A group of the kit, or `vehicle`: counted parts.
    List,
    Tool,
    Hazard,
    Action,
    Joint,
    Circuit,
    State,
    /// Where steps stand: a section, an arm, a branch, a repair.
    Flow,
    Choose,
    Step,
    Check,
    Message,
    Handover,
    /// The braces of a statement that is not known or has none.
    Unknown,
}

/// Whether a statement has a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Body {
    /// It ends with its line.
    None,
    /// It may have one.
    May(Block),
    /// It must have one.
    Must(Block),
}

/// One statement of the language.
#[derive(Debug, Clone, Copy)]
pub struct Form {
    /// The block that it stands in.
    pub home: Block,
    /// Its first word.
    pub word: &'static str,
    /// Its own block.
    pub body: Body,
    /// Its form; words in capitals stand for what the writer puts there.
    pub shape: &'static str,
    /// The form filled in.
    pub example: &'static str,
}

impl Block {
    /// Every block.
    pub const ALL: &'static [Block] = &[
        Block::File,
        Block::About,
        Block::Values,
        Block::Number,
        Block::Limit,
        Block::Part,
        Block::Kit,
        Block::List,
        Block::Tool,
        Block::Hazard,
        Block::Action,
        Block::Joint,
        Block::Circuit,
        Block::State,
        Block::Flow,
        Block::Choose,
        Block::Step,
        Block::Check,
        Block::Message,
        Block::Handover,
    ];

    /// The rule that reads one statement of it; `None` where nothing is known of the block.
    pub fn rule(self) -> Option<Rule> {
        Some(match self {
            Block::File => Rule::in_file,
            Block::About => Rule::in_about,
            Block::Values => Rule::in_values,
            Block::Number => Rule::in_number,
            Block::Limit => Rule::in_limit,
            Block::Part => Rule::in_part,
            Block::Kit => Rule::in_kit,
            Block::List => Rule::in_list,
            Block::Tool => Rule::in_tool,
            Block::Hazard => Rule::in_hazard,
            Block::Action => Rule::in_action,
            Block::Joint => Rule::in_joint,
            Block::Circuit => Rule::in_circuit,
            Block::State => Rule::in_state,
            Block::Flow => Rule::in_flow,
            Block::Choose => Rule::in_choose,
            Block::Step => Rule::in_step,
            Block::Check => Rule::in_check,
            Block::Message => Rule::in_message,
            Block::Handover => Rule::in_handover,
            Block::Unknown => return None,
        })
    }

    /// Where a statement of it stands, after `stands`: `in a step`.
    pub fn place(self) -> &'static str {
        match self {
            Block::File => "outside all blocks",
            Block::About => "in `about`",
            Block::Values => "among the values of an `option`, `observe` or `result`",
            Block::Number => "in a `given` or `measure`",
            Block::Limit => "in a `limit`",
            Block::Part => "in a `part`",
            Block::Kit => "in the `kit`",
            Block::List => "in a list of parts",
            Block::Tool => "in a `tool`",
            Block::Hazard => "in a `hazard`",
            Block::Action => "in an `action`",
            Block::Joint => "in a `joint`",
            Block::Circuit => "in a `circuit`",
            Block::State => "in a `state`",
            Block::Flow => "in a section or branch",
            Block::Choose => "in a `choose`",
            Block::Step => "in a step",
            Block::Check => "in a check",
            Block::Message => "in a safety message",
            Block::Handover => "in the `handover`",
            Block::Unknown => "here",
        }
    }

    /// Whether prose lines may stand in it.
    pub fn has_prose(self) -> bool {
        matches!(self, Block::About | Block::Step | Block::Check | Block::Handover)
    }

    /// Whether the writer's own names begin its lines, so that a word which is not known may be one.
    pub fn begins_with_names(self) -> bool {
        matches!(self, Block::Values | Block::List | Block::State | Block::Choose | Block::Limit)
    }
}

const fn form(home: Block, word: &'static str, body: Body, shape: &'static str, example: &'static str) -> Form {
    Form { home, word, body, shape, example }
}

/// All statements, block by block.
pub const FORMS: &[Form] = &{
    use Block::*;
    use Body::{May, Must, None};
    [
        form(File, "procedure", None, "procedure NAME \"Title\"", "procedure kestrel-rack \"Kestrel ladder rack\""),
        form(File, "library", None, "library NAME \"Title\"", "library our-tools \"Tools of our workshop\""),
        form(File, "revision", None, "revision MARK DATE", "revision C 2026-11-02"),
        form(File, "units", None, "units FIRST, SECOND", "units metric, inch"),
        form(File, "use", None, "use LIBRARY", "use std/fasteners"),
        form(File, "about", Must(About), "about { … }", "about { skill \"One trained installer\" }"),
        form(
            File,
            "option",
            Must(Values),
            "option NAME \"Title\" { VALUE \"Label\" … }",
            "option side \"Side\" { kerb  road }",
        ),
        form(
            File,
            "observe",
            Must(Values),
            "observe NAME \"Question?\" { VALUE … }",
            "observe lit \"Is it lit?\" { yes  no }",
        ),
        form(File, "result", Must(Values), "result NAME \"Title\" { VALUE … }", "result hole \"Hole\" { low  high }"),
        form(
            File,
            "given",
            Must(Number),
            "given NAME \"Title\" { range LOW to HIGH }",
            "given load \"Load\" { range 10 kg to 60 kg }",
        ),
        form(
            File,
            "measure",
            Must(Number),
            "measure NAME \"Title\" { range LOW to HIGH  reads STEP  with TOOL }",
            "measure gap \"Gap\" { range 0 mm to 50 mm  reads 1 mm  with steel-rule }",
        ),
        form(
            File,
            "require",
            None,
            "require CONDITION when CONDITION \"Reason\"",
            "require side is kerb when arm is powered \"The arm is made for the kerb side.\"",
        ),
        form(File, "fact", None, "fact NAME = QUANTITY", "fact rack-mass = 38 kg"),
        form(
            File,
            "limit",
            Must(Limit),
            "limit NAME \"Title\" { SUM <= SUM  else stop \"…\" }",
            "limit roof \"Roof load\" { rack-mass + ladders <= rating  else stop \"Do not fit it.\" }",
        ),
        form(
            File,
            "part",
            May(Part),
            "part NAME \"Title\" KIND THREAD x LENGTH, WORDS",
            "part bracket-bolt bolt M8 x 30 mm, class 8.8",
        ),
        form(
            File,
            "kit",
            Must(Kit),
            "kit { bag NAME { COUNT PART, … } }",
            "kit { bag A { 8 bracket-bolt, 8 bracket-nut } }",
        ),
        form(File, "vehicle", Must(List), "vehicle { COUNT PART, … }", "vehicle { 4 trim-screw }"),
        form(
            File,
            "tool",
            May(Tool),
            "tool NAME \"Title\" { … }",
            "tool wrench-40 \"Torque wrench\" { torque 8 N.m to 40 N.m }",
        ),
        form(File, "protection", None, "protection NAME \"Title\"", "protection work-gloves \"Work gloves\""),
        form(
            File,
            "hazard",
            Must(Hazard),
            "hazard NAME \"Title\" { signal WORD }",
            "hazard pinch \"Pinch point\" { signal caution }",
        ),
        form(
            File,
            "action",
            May(Action),
            "action NAME \"Title\" { need STATE VALUE }",
            "action lower-arm \"Lower the arm\" { need engine off }",
        ),
        form(
            File,
            "joint",
            Must(Joint),
            "joint NAME \"Title\" { each PART, PART  count N  torque QUANTITY }",
            "joint post \"Post\" { each post-bolt, post-nut  count 4  torque 22 N.m +- 2 N.m }",
        ),
        form(
            File,
            "circuit",
            Must(Circuit),
            "circuit NAME \"Title\" { … }",
            "circuit feed \"Feed\" { source 12 V  load 18 A  run 6.5 m }",
        ),
        form(
            File,
            "state",
            Must(State),
            "state NAME \"Title\" { VALUE  VALUE  starts VALUE }",
            "state engine \"Engine\" { on  off  starts off }",
        ),
        form(
            File,
            "section",
            Must(Flow),
            "section NAME \"Title\" { … }",
            "section brackets \"Mount the brackets\" { … }",
        ),
        form(
            File,
            "reference",
            None,
            "reference NAME \"Publication\" confirmed \"how\"",
            "reference iso-898-1 \"ISO 898-1\" confirmed \"printed copy\"",
        ),
        form(
            File,
            "thread",
            None,
            "thread NAME SIZE x PITCH, WORD SIZE, …",
            "thread M8 8 mm x 1.25 mm, hex-bolt 13 mm, source iso-898-1",
        ),
        form(
            File,
            "grade",
            None,
            "grade NAME proof STRESS, tensile STRESS, …",
            "grade 8.8 proof 600 MPa, tensile 800 MPa, source iso-898-1",
        ),
        form(
            File,
            "wire",
            None,
            "wire NAME METAL, diameter SIZE, …",
            "wire 8-AWG copper, diameter 3.26 mm, source astm-b258",
        ),
        form(
            File,
            "washer",
            None,
            "washer THREAD inside SIZE, outside SIZE, …",
            "washer M8 inside 8.4 mm, outside 16 mm, source iso-7089",
        ),
        form(
            File,
            "terminal",
            None,
            "terminal NAME \"Title\" wire SIZE to SIZE, stud THREAD, …",
            "terminal ring-m5 \"Ring M5\" wire 22 AWG to 16 AWG, stud M5, source practice",
        ),
        form(File, "accept", None, ACCEPT, ACCEPTED),
        form(About, "skill", None, "skill \"…\"", "skill \"One trained installer\""),
        form(About, "fits", None, "fits \"…\"", "fits \"Panel vans with roof rails\""),
        form(About, "wear", None, "wear PROTECTION, …", "wear safety-glasses, work-gloves"),
        form(
            About,
            "licence",
            None,
            "licence \"…\"",
            "licence \"Wiring only by a licensed electrician where the law asks for one\"",
        ),
        form(About, "accept", None, ACCEPT, ACCEPTED),
        form(Number, "range", None, "range LOW to HIGH", "range 20 mm to 95 mm"),
        form(Number, "reads", None, "reads STEP", "reads 1 mm"),
        form(Number, "with", None, "with TOOL", "with steel-rule"),
        form(Limit, "else", None, "else stop \"…\"", "else stop \"Do not fit the rack to this van.\""),
        form(Part, "mass", None, "mass QUANTITY", "mass 6.4 kg"),
        form(Part, "consumable", None, "consumable", "consumable"),
        form(Part, "single", None, "single use", "single use"),
        form(Part, "brings", None, "brings HAZARD, …", "brings sharp-edge"),
        form(Part, "number", None, "number \"…\"", "number \"KR-1042\""),
        form(Part, "accept", None, ACCEPT, ACCEPTED),
        form(Kit, "bag", Must(List), "bag NAME { COUNT PART, … }", "bag A { 8 bracket-bolt, 8 bracket-nut }"),
        form(Kit, "box", Must(List), "box { COUNT PART, … }", "box powered when arm is powered { 1 feed-harness }"),
        form(Kit, "shop", Must(List), "shop { PART, … }", "shop { thread-paste }"),
        form(Kit, "accept", None, ACCEPT, ACCEPTED),
        form(Tool, "turns", None, "turns DRIVE SIZE", "turns hex 13 mm"),
        form(Tool, "torque", None, "torque LOW to HIGH", "torque 8 N.m to 40 N.m"),
        form(Tool, "measures", None, "measures LOW to HIGH", "measures 0 mm to 300 mm"),
        form(Tool, "reads", None, "reads STEP", "reads 1 mm"),
        form(Tool, "count", None, "count N", "count 2"),
        form(Tool, "brings", None, "brings HAZARD, …", "brings flying-debris"),
        form(Tool, "source", None, "source REFERENCE, …", "source iso-272"),
        form(Tool, "accept", None, ACCEPT, ACCEPTED),
        form(Hazard, "signal", None, "signal WORD", "signal warning"),
        form(Hazard, "from", None, "from LINE, …", "from connect, disconnect"),
        form(Hazard, "source", None, "source REFERENCE, …", "source practice"),
        form(Hazard, "accept", None, ACCEPT, ACCEPTED),
        form(Action, "need", None, "need STATE VALUE", "need engine off"),
        form(Action, "brings", None, "brings HAZARD, …", "brings pinch"),
        form(Action, "accept", None, ACCEPT, ACCEPTED),
        form(Joint, "each", None, "each PART, COUNT PART, …", "each bracket-bolt, 2 bracket-washer, bracket-nut"),
        form(Joint, "count", None, "count N", "count 8"),
        form(Joint, "torque", None, "torque QUANTITY", "torque 22 N.m +- 2 N.m"),
        form(Joint, "tight", None, "tight \"…\"", "tight \"head flat on the bracket\""),
        form(Joint, "thread", None, "thread CONDITION", "thread plated"),
        form(Joint, "grip", None, "grip LENGTH", "grip 14 mm"),
        form(Joint, "on", None, "on vehicle", "on vehicle"),
        form(Joint, "accept", None, ACCEPT, ACCEPTED),
        form(Circuit, "source", None, "source VOLTAGE", "source 12 V"),
        form(Circuit, "load", None, "load CURRENT", "load 18 A"),
        form(Circuit, "run", None, "run LENGTH", "run 6.5 m"),
        form(Circuit, "wire", None, "wire SIZE METAL", "wire 8 AWG copper"),
        form(Circuit, "insulation", None, "insulation TEMPERATURE", "insulation 105 degC"),
        form(Circuit, "ambient", None, "ambient TEMPERATURE", "ambient 50 degC"),
        form(Circuit, "breaker", None, "breaker CURRENT at LENGTH", "breaker 30 A at 150 mm"),
        form(Circuit, "fuse", None, "fuse CURRENT at LENGTH", "fuse 30 A at 150 mm"),
        form(Circuit, "drop", None, "drop at most SHARE", "drop at most 5 %"),
        form(
            Circuit,
            "point",
            None,
            "point NAME \"Title\" with TERMINAL on THREAD",
            "point post \"Battery post\" with ring-8-m8 on M8",
        ),
        form(Circuit, "isolated", None, "isolated by STATE VALUE", "isolated by negative-lead off"),
        form(Circuit, "accept", None, ACCEPT, ACCEPTED),
        form(State, "starts", None, "starts VALUE", "starts on"),
        form(State, "ends", None, "ends VALUE", "ends on"),
        form(Flow, "step", Must(Step), "step NAME \"Title\" { … }", "step place-brackets \"Place the brackets\" { … }"),
        form(Flow, "check", Must(Check), "check NAME \"Title\" { … }", "check lamp \"High brake lamp\" { … }"),
        form(
            Flow,
            "choose",
            Must(Choose),
            "choose READING { RANGE { … } … }",
            "choose rail-height { 20 mm to 45 mm { … } over 45 mm { … } }",
        ),
        form(Flow, "when", Must(Flow), "when CONDITION { … } else { … }", "when arm is powered { … }"),
        form(Flow, "else", Must(Flow), "else { … }", "when arm is powered { … } else { … }"),
        form(Flow, "set", None, "set RESULT VALUE", "set bracket-hole low"),
        form(Flow, "stop", None, "stop \"…\"", "stop \"Leave the ladders off and call the maker.\""),
        form(Flow, "handover", Must(Handover), "handover { … }", "handover { sign installer, customer }"),
        form(Flow, "accept", None, ACCEPT, ACCEPTED),
        form(Choose, "otherwise", Must(Flow), "otherwise { … }", "otherwise { stop \"Call the maker.\" }"),
        form(Check, "expect", None, "expect CONDITION", "expect lamp-seen is yes"),
        form(Check, "repair", Must(Flow), "repair at most N times { … }", "repair at most 2 times { … }"),
        form(Check, "else", None, "else stop \"…\"", "else stop \"Leave the ladders off.\""),
        form(Step, "note", None, "note \"…\"", "note \"The pinhole is hidden under the seal.\""),
        form(Step, "danger", Must(Message), "danger HAZARD { hazard \"…\" … }", "danger fuel-vapour { … }"),
        form(Step, "warning", Must(Message), "warning HAZARD { hazard \"…\" … }", "warning falling-object { … }"),
        form(Step, "caution", Must(Message), "caution HAZARD { hazard \"…\" … }", "caution hot-surface { … }"),
        form(Step, "notice", Must(Message), "notice HAZARD { hazard \"…\" … }", "notice electrical-damage { … }"),
        form(Step, "read", None, "read READING, …", "read rail-height, lamp-seen"),
        form(Step, "use", None, "use TOOL, COUNT TOOL, …", "use spanner-10, 2 spanner-19"),
        form(Step, "wear", None, "wear PROTECTION, …", "wear ear-defenders"),
        form(Step, "take", None, "take COUNT PART, …", "take 4 rail-bracket, 1 feed-harness"),
        form(Step, "place", None, "place JOINT, …", "place bracket-joint"),
        form(Step, "snug", None, "snug JOINT with TOOL, …", "snug bracket-joint with socket-13, spanner-13"),
        form(
            Step,
            "tighten",
            None,
            "tighten JOINT with TOOL, …",
            "tighten bracket-joint with torque-wrench-40, socket-13, hold with spanner-13",
        ),
        form(Step, "loosen", None, "loosen JOINT with TOOL, …", "loosen bracket-joint with socket-13, spanner-13"),
        form(Step, "remove", None, "remove JOINT with TOOL, …", "remove 4 trim-screw with screwdriver-ph2"),
        form(Step, "refit", None, "refit COUNT PART, …", "refit 4 trim-screw"),
        form(Step, "discard", None, "discard COUNT PART, …", "discard 4 trim-screw"),
        form(
            Step,
            "connect",
            None,
            "connect CIRCUIT at POINT, … with TOOL, …",
            "connect arm-feed at breaker, post with spanner-10",
        ),
        form(
            Step,
            "disconnect",
            None,
            "disconnect CIRCUIT at POINT, … with TOOL, …",
            "disconnect arm-feed at post with spanner-10",
        ),
        form(Step, "need", None, "need STATE VALUE", "need negative-lead off"),
        form(Step, "make", None, "make STATE VALUE", "make negative-lead off"),
        form(Step, "set", None, "set RESULT VALUE", "set bracket-hole low"),
        form(Step, "do", None, "do ACTION", "do lower-arm"),
        form(Step, "record", None, "record JOINT torque", "record bracket-joint torque"),
        form(Step, "takes", None, "takes TIME, N people", "takes 10 min, two people"),
        form(
            Step,
            "figure",
            None,
            "figure \"FILE\" \"What it shows\"",
            "figure \"rail.svg\" \"The rail from the side\"",
        ),
        form(Step, "accept", None, ACCEPT, ACCEPTED),
        form(Message, "hazard", None, "hazard \"…\"", "hazard \"A bracket can slide off the roof.\""),
        form(Message, "consequence", None, "consequence \"…\"", "consequence \"It can injure a person below.\""),
        form(Message, "avoid", None, "avoid \"…\"", "avoid \"Keep people clear of the van.\""),
        form(Handover, "sign", None, "sign WHO, …", "sign installer, customer"),
        form(Handover, "show", None, "show \"…\"", "show \"How the arm is lowered\""),
        form(Handover, "keep", None, "keep \"…\"", "keep \"The signed record\""),
        form(Handover, "dispose", None, "dispose \"…\"", "dispose \"The old battery, at a collection point\""),
        form(Handover, "note", None, "note \"…\"", "note \"Torque the bolts again after 100 km.\""),
        form(Handover, "accept", None, ACCEPT, ACCEPTED),
    ]
};

const ACCEPT: &str = "accept CODE \"Reason\"";
const ACCEPTED: &str = "accept FW0502 \"The second spanner is for the helper.\"";

/// The statements by their first word. Only looked up, never walked: the order of a map must not show.
static BY_WORD: LazyLock<HashMap<&'static str, Vec<&'static Form>>> = LazyLock::new(|| {
    let mut map: HashMap<&'static str, Vec<&'static Form>> = HashMap::new();
    for form in FORMS {
        map.entry(form.word).or_default().push(form);
    }
    map
});

/// The statement with this first word in this block.
pub fn find(block: Block, word: &str) -> Option<&'static Form> {
    homes(word).find(|form| stands_in(form, block))
}

/// Whether a statement may stand in a block: a check holds the lines of a step, and two more.
fn stands_in(form: &Form, block: Block) -> bool {
    form.home == block || (block == Block::Check && form.home == Block::Step)
}

/// All statements of a block, in the order in which they are usually written.
pub fn of(block: Block) -> impl Iterator<Item = &'static Form> {
    FORMS.iter().filter(move |form| stands_in(form, block))
}

/// All statements with this first word, each in its block.
pub fn homes(word: &str) -> impl Iterator<Item = &'static Form> + use<> {
    BY_WORD.get(word).into_iter().flatten().copied()
}

/// What the braces after this word hold.
pub fn body_of(block: Block, word: &str) -> Block {
    match block {
        Block::Choose => Block::Flow,
        Block::Unknown => Block::Unknown,
        _ => match find(block, word).or_else(|| nearest(block, word)).or_else(|| homes(word).next()) {
            Some(Form { body: Body::May(holds) | Body::Must(holds), .. }) => *holds,
            _ => Block::Unknown,
        },
    }
}

/// Whether this word begins a statement that must have a block.
pub fn needs_block(block: Block, word: &str) -> bool {
    find(block, word).is_some_and(|form| matches!(form.body, Body::Must(_)))
}

/// Whether this word begins a statement that may have a block.
pub fn may_have_block(block: Block, word: &str) -> bool {
    block == Block::Choose || find(block, word).is_none_or(|form| form.body != Body::None)
}

/// For words that never begin anything else: the block in which their statement stands. They hold the layout together
/// where braces are lost.
pub fn anchor(word: &str) -> Option<Block> {
    match word {
        "procedure" | "library" | "option" | "observe" | "given" | "require" | "fact" | "part" | "kit" | "tool"
        | "protection" | "joint" | "circuit" | "section" => Some(Block::File),
        "step" | "check" | "choose" | "handover" => Some(Block::Flow),
        _ => None,
    }
}

/// The statement of the block whose word a misspelt one was most likely meant to be.
pub fn nearest(block: Block, word: &str) -> Option<&'static Form> {
    let near = suggest::nearest(word, of(block).map(|form| form.word))?;
    of(block).find(|form| form.word == near)
}
