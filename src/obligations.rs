//! The promise as a table: every declaration and line of the language against every obligation. A cell names the rules that
//! judge it, or says why it owes nothing there. What no cell names is judged nowhere.
//!
//! `grammar/obligations.md` prints the table; `tests/obligations.rs` fails for a statement without its row, and holds that each
//! rule of a cell is raised by a text with that statement in it.

use crate::diagnostics::Code;
use crate::diagnostics::Code::*;
use crate::parse::forms::Block;

/// What a line or declaration may owe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Obligation {
    /// What it names exists in the fitting that does it.
    Exists,
    /// A value that it tells or uses is known by then.
    Known,
    /// What it takes in hand is there: tools, parts.
    AtHand,
    /// It fits what it acts on, each alternative by itself.
    Fits,
    /// Its numbers lie within what can be, and within what bears them.
    InRange,
    /// Nothing is live or moving that must not be.
    State,
    /// Its hazards are answered before.
    Hazard,
    /// What it leaves is right at the handover and at every stop.
    LeftRight,
    /// It ends up in the record.
    Recorded,
    /// It says one thing only, once.
    Unambiguous,
}

impl Obligation {
    /// All, in the order of a row.
    pub const ALL: [Obligation; 10] = [
        Obligation::Exists,
        Obligation::Known,
        Obligation::AtHand,
        Obligation::Fits,
        Obligation::InRange,
        Obligation::State,
        Obligation::Hazard,
        Obligation::LeftRight,
        Obligation::Recorded,
        Obligation::Unambiguous,
    ];

    /// As a heading.
    pub fn words(self) -> &'static str {
        match self {
            Obligation::Exists => "exists in this fitting",
            Obligation::Known => "known before it is told",
            Obligation::AtHand => "at hand",
            Obligation::Fits => "fits what it acts on",
            Obligation::InRange => "within its range",
            Obligation::State => "state and isolation",
            Obligation::Hazard => "hazard answered",
            Obligation::LeftRight => "left right at handover and stops",
            Obligation::Recorded => "in the record",
            Obligation::Unambiguous => "told unambiguously",
        }
    }
}

/// A cell of the table.
#[derive(Debug, Clone, Copy)]
pub enum Cell {
    /// Judged by these rules.
    Judged(&'static [Code]),
    /// It owes nothing here, and why.
    Nothing(&'static str),
}

/// What a statement owes.
#[derive(Debug)]
pub struct Row {
    /// The block that it stands in.
    pub home: Block,
    /// Its first word.
    pub word: &'static str,
    /// In the order of [`Obligation::ALL`].
    pub cells: [Cell; 10],
}

const fn j(codes: &'static [Code]) -> Cell {
    Cell::Judged(codes)
}

const fn n(why: &'static str) -> Cell {
    Cell::Nothing(why)
}

const DECLARED: Cell = n("a declaration does nothing; the lines that name it owe that");
const TELLS_NONE: Cell = n("it tells no reading and no result");
const TAKES_NONE: Cell = n("it takes nothing in hand");
const TURNS_NONE: Cell = n("nothing is put onto anything");
const NO_NUMBER: Cell = n("it has no number");
const NO_WORK: Cell = n("nothing is worked on");
const LEAVES_NONE: Cell = n("it changes nothing that stays");
const NOT_ASKED: Cell = n("what is recorded is asked for by `record`, readings and checks");
const ONE_WAY: Cell = n("the name that it gives says all");
const UNUSED: Cell = j(&[FW0203]);

const fn row(home: Block, word: &'static str, cells: [Cell; 10]) -> Row {
    Row { home, word, cells }
}

/// Every declaration, every line of a step, a check and a handover, and what branches the flow. Rows of libraries, the lines
/// inside declarations and `accept` act on nothing by themselves: they are judged with what they belong to.
#[rustfmt::skip]
pub const TABLE: &[Row] = &{
    use Block::{Check, File, Flow, Handover, Step};
    [
        row(File, "option", [n("it is there in every fitting"), TELLS_NONE, TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("a choice is no work"), LEAVES_NONE, n("the job's fitting is written with the record"), j(&[FW0407])]),
        row(File, "observe", [UNUSED, j(&[FW0406]), TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("looking is no work that is listed as a hazard"), LEAVES_NONE, n("what a step reads is recorded"), j(&[FW0407])]),
        row(File, "result", [UNUSED, j(&[FW0411]), TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("deciding is no work"), LEAVES_NONE, n("it follows from what is recorded"), j(&[FW0428])]),
        row(File, "each", [UNUSED, TELLS_NONE, TAKES_NONE, TURNS_NONE, n("the least and the most places are asked of the text"), NO_WORK, n("a place is no work"), LEAVES_NONE, n("each thing at a place is recorded by itself"), j(&[FW0202])]),
        row(File, "given", [n("its condition on options says where it is asked for; what looks at it elsewhere: see known before it is told"), j(&[FW0406]), TAKES_NONE, TURNS_NONE, j(&[FW0305, FW0313, FW0315]), NO_WORK, n("a number is no work"), LEAVES_NONE, n("it is written with the record"), j(&[FW0407])]),
        row(File, "measure", [UNUSED, j(&[FW0406]), j(&[FW0501]), j(&[FW0509]), j(&[FW0307, FW0313]), NO_WORK, n("its instrument brings what it brings: see `tool`"), LEAVES_NONE, n("what a step reads is recorded"), j(&[FW0203])]),
        row(File, "require", [DECLARED, n("only what is known before the job may stand in it"), TAKES_NONE, TURNS_NONE, j(&[FW0310]), NO_WORK, n("a rule is no work"), LEAVES_NONE, NOT_ASKED, j(&[FW0408, FW0422])]),
        row(File, "fact", [UNUSED, n("it is stated"), TAKES_NONE, TURNS_NONE, j(&[FW0313, FW0315, FW0630]), NO_WORK, n("a number is no work"), LEAVES_NONE, NOT_ASKED, n("it states one number")]),
        row(File, "limit", [n("its condition says where it applies"), j(&[FW1004, FW1006]), TAKES_NONE, TURNS_NONE, j(&[FW0312, FW0317, FW1001, FW1002]), NO_WORK, n("a comparison is no work"), j(&[FW1003]), n("what decides it is recorded"), j(&[FW1005])]),
        row(File, "part", [UNUSED, TELLS_NONE, j(&[FW0601]), n("parts fit in joints and at points: see these"), j(&[FW0315, FW0724]), NO_WORK, n("what it brings is answered where it is handled: see `take`"), n("see `take`, `remove` and `discard`"), NOT_ASKED, j(&[FW0514])]),
        row(File, "kit", [n("each group says for which fitting it is"), TELLS_NONE, j(&[FW0602, FW0603]), TURNS_NONE, j(&[FW0113, FW0302, FW0305, FW0309, FW0315, FW0604, FW0610]), NO_WORK, n("packing is not the job's work"), n("what is left over is counted: see the range"), NOT_ASKED, ONE_WAY]),
        row(File, "vehicle", [j(&[FW0609, FW0611]), TELLS_NONE, n("see the line `remove`"), TURNS_NONE, NO_NUMBER, NO_WORK, n("being there is no work"), n("see the line `remove`"), NOT_ASKED, ONE_WAY]),
        row(File, "tool", [j(&[FW0502]), TELLS_NONE, j(&[FW0502]), n("see the lines that use it"), n("its ranges bound what it is used for: see `tighten` and `measure`"), NO_WORK, n("what it brings is answered where it is used: see `use`"), LEAVES_NONE, NOT_ASKED, j(&[FW0514, FW1203])]),
        row(File, "protection", [UNUSED, TELLS_NONE, n("what is worn is laid out"), TURNS_NONE, NO_NUMBER, NO_WORK, n("it answers hazards"), LEAVES_NONE, NOT_ASKED, n("see the row `tool`")]),
        row(File, "hazard", [UNUSED, TELLS_NONE, TAKES_NONE, TURNS_NONE, j(&[FW1104]), NO_WORK, j(&[FW1101]), LEAVES_NONE, NOT_ASKED, ONE_WAY]),
        row(File, "action", [UNUSED, TELLS_NONE, TAKES_NONE, TURNS_NONE, NO_NUMBER, j(&[FW0801]), n("what it brings is answered where it is done: see `do`"), n("what it changes is said by `make`"), NOT_ASKED, ONE_WAY]),
        row(File, "joint", [UNUSED, TELLS_NONE, n("its parts are counted where they are put in place: see `place`"), j(&[FW0709, FW0710, FW0711, FW0712, FW0713, FW0718, FW0719, FW0720, FW0721, FW0722, FW0793]), j(&[FW0313, FW0315, FW0705, FW0706, FW0707, FW0708, FW0511]), j(&[FW0920, FW0925]), n("see the lines that work on it"), j(&[FW0702, FW0703, FW0717, FW0723, FW0761]), n("see the line `record`"), j(&[FW0715, FW0760, FW0762, FW1205])]),
        row(File, "circuit", [UNUSED, TELLS_NONE, j(&[FW0922, FW0938]), j(&[FW0915, FW0916, FW0928, FW0929, FW0931, FW0935, FW0941, FW0968]), j(&[FW0315, FW0905, FW0906, FW0907, FW0908, FW0909, FW0910, FW0912, FW0913, FW0914, FW0919, FW0923, FW0934, FW0936, FW0940, FW0945, FW0951, FW0943, FW0960]), j(&[FW0901]), n("see the line `connect`"), j(&[FW0903, FW0927, FW0933, FW0942]), NOT_ASKED, j(&[FW0918, FW0924, FW0930, FW0932, FW0952])]),
        row(File, "colours", [UNUSED, TELLS_NONE, TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("a colour is no work"), LEAVES_NONE, NOT_ASKED, n("conductors are held to it: see `circuit`")]),
        row(File, "state", [UNUSED, TELLS_NONE, TAKES_NONE, TURNS_NONE, NO_NUMBER, j(&[FW0804]), n("see the actions that need it"), j(&[FW0802, FW0803]), NOT_ASKED, ONE_WAY]),
        row(File, "figure", [j(&[FW1306]), n("its condition speaks of options alone"), j(&[FW1301]), j(&[FW1305]), j(&[FW1309, FW1310]), NO_WORK, n("looking is no work"), LEAVES_NONE, NOT_ASKED, j(&[FW1302, FW1308])]),
        row(File, "section", [j(&[FW0404]), j(&[FW0406]), j(&[FW0212]), TURNS_NONE, NO_NUMBER, n("see its steps"), n("see its steps"), j(&[FW0412]), n("see its steps"), j(&[FW0110, FW0203, FW0207])]),

        row(Step, "expect", [j(&[FW0420]), j(&[FW0406, FW0411]), n("a mention of what must be so asks for no tool"), TURNS_NONE, j(&[FW1201, FW1202]), NO_WORK, n("looking is no work"), LEAVES_NONE, n("that the step is done is recorded"), j(&[FW1208])]),
        row(Step, "note", [j(&[FW0420]), j(&[FW0406, FW0411]), n("a mention in a note asks for no tool"), TURNS_NONE, j(&[FW1201, FW1202]), NO_WORK, n("a note is no work"), LEAVES_NONE, NOT_ASKED, j(&[FW1208])]),
        row(Step, "warning", [n("it may warn of what only other fittings have"), j(&[FW0406]), TAKES_NONE, TURNS_NONE, j(&[FW0316, FW1104]), NO_WORK, j(&[FW1102, FW1103, FW1240, FW1249]), LEAVES_NONE, n("that it was read is recorded with the step"), j(&[FW1208])]),
        row(Step, "read", [n("an input is there in every fitting"), n("it makes it known"), n("its instrument: see `measure`"), n("its instrument: see `measure`"), n("see its `measure`"), j(&[FW0961]), j(&[FW1101]), LEAVES_NONE, n("every reading is recorded"), n("see its `measure`")]),
        row(Step, "use", [j(&[FW0503]), TELLS_NONE, j(&[FW0501, FW0508]), n("what it is used on is prose; what prose asks for: see `step`"), NO_NUMBER, n("see the line `need`"), j(&[FW1101]), LEAVES_NONE, NOT_ASKED, j(&[FW0512])]),
        row(Step, "wear", [n("what is worn is worn in whatever fitting does the step"), TELLS_NONE, n("it goes on the list of what to wear"), TURNS_NONE, NO_NUMBER, NO_WORK, n("it answers hazards"), LEAVES_NONE, NOT_ASKED, ONE_WAY]),
        row(Step, "take", [j(&[FW0601]), TELLS_NONE, j(&[FW0601, FW0603]), TURNS_NONE, j(&[FW0113, FW0302, FW0309, FW0315, FW0603]), j(&[FW0937]), j(&[FW1101, FW1125, FW1126]), n("what is left over is counted: see `kit`"), NOT_ASKED, ONE_WAY]),
        row(Step, "place", [j(&[FW0420]), TELLS_NONE, j(&[FW0603, FW0612, FW0730]), n("see the joint"), NO_NUMBER, j(&[FW0920]), j(&[FW1101]), j(&[FW0702, FW0704]), NOT_ASKED, ONE_WAY]),
        row(Step, "snug", [j(&[FW0420]), TELLS_NONE, j(&[FW0501, FW0701]), j(&[FW0504, FW0505]), NO_NUMBER, j(&[FW0920]), j(&[FW1101]), n("see the line `place`"), NOT_ASKED, ONE_WAY]),
        row(Step, "tighten", [j(&[FW0420]), TELLS_NONE, j(&[FW0501, FW0701]), j(&[FW0504, FW0505, FW0507, FW0522, FW0738]), j(&[FW0506, FW0510, FW0736, FW0737]), j(&[FW0920]), j(&[FW1101]), j(&[FW0607, FW0726]), j(&[FW0442]), n("the joint says how tight; a torque in words beside it: see `step`")]),
        row(Step, "loosen", [j(&[FW0420]), TELLS_NONE, j(&[FW0501, FW0701]), j(&[FW0504, FW0505, FW0745]), NO_NUMBER, j(&[FW0920]), j(&[FW1101]), j(&[FW0703, FW0805]), NOT_ASKED, ONE_WAY]),
        row(Step, "remove", [j(&[FW0420]), TELLS_NONE, j(&[FW0609]), j(&[FW0504, FW0745]), NO_NUMBER, j(&[FW0731, FW0920]), j(&[FW1101]), j(&[FW0605, FW0805]), NOT_ASKED, j(&[FW0213])]),
        row(Step, "refit", [j(&[FW0420]), TELLS_NONE, j(&[FW0606]), n("see the joint"), NO_NUMBER, j(&[FW0920]), j(&[FW1101]), j(&[FW0607, FW0716]), NOT_ASKED, j(&[FW0213])]),
        row(Step, "discard", [n("what is not there was not removed: see at hand"), TELLS_NONE, j(&[FW0606]), TURNS_NONE, NO_NUMBER, NO_WORK, j(&[FW1101]), n("it is gone, and nothing is left of it"), NOT_ASKED, ONE_WAY]),
        row(Step, "reuse", [n("what is not there was not removed: see at hand"), TELLS_NONE, j(&[FW0606]), n("see the joint"), NO_NUMBER, NO_WORK, n("what took it off has brought its hazards"), j(&[FW0605, FW0607, FW0716]), NOT_ASKED, ONE_WAY]),
        row(Step, "keep", [n("what is not there was not removed, and not supplied: see at hand"), TELLS_NONE, j(&[FW0603, FW0606]), TURNS_NONE, NO_NUMBER, NO_WORK, n("what took it off has brought its hazards"), n("it goes to the owner at the handover"), NOT_ASKED, ONE_WAY]),
        row(Step, "connect", [j(&[FW0420]), TELLS_NONE, j(&[FW0922]), j(&[FW0504]), NO_NUMBER, j(&[FW0806, FW0901]), j(&[FW1101, FW1105]), j(&[FW0904, FW0921, FW0944]), NOT_ASKED, j(&[FW1210])]),
        row(Step, "disconnect", [j(&[FW0420]), TELLS_NONE, TAKES_NONE, j(&[FW0504]), NO_NUMBER, j(&[FW0902]), j(&[FW1101]), j(&[FW0904]), NOT_ASKED, j(&[FW1210])]),
        row(Step, "need", [j(&[FW0420]), TELLS_NONE, TAKES_NONE, TURNS_NONE, NO_NUMBER, j(&[FW0801]), n("needing is no work"), LEAVES_NONE, NOT_ASKED, ONE_WAY]),
        row(Step, "make", [j(&[FW0420, FW0601]), TELLS_NONE, j(&[FW0501, FW0603]), n("how parts are made of others is prose"), j(&[FW0603]), j(&[FW0729, FW0807, FW0901]), j(&[FW1101]), j(&[FW0602, FW0604, FW0610, FW0802, FW0803]), NOT_ASKED, ONE_WAY]),
        row(Step, "set", [n("a result is there in every fitting"), n("it makes it known"), TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("deciding is no work"), LEAVES_NONE, n("it follows from what is recorded"), j(&[FW0208])]),
        row(Step, "do", [n("an action is there in every fitting"), TELLS_NONE, TAKES_NONE, TURNS_NONE, NO_NUMBER, j(&[FW0801]), j(&[FW1101]), n("what it changes is said by `make`"), NOT_ASKED, ONE_WAY]),
        row(Step, "record", [j(&[FW0420]), j(&[FW0406, FW0421]), TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("writing is no work"), LEAVES_NONE, n("it is what asks for the record"), j(&[FW0421])]),
        row(Step, "wait", [j(&[FW0420]), j(&[FW0406, FW0411]), TAKES_NONE, TURNS_NONE, j(&[FW0309, FW0426, FW1201, FW1202]), NO_WORK, n("waiting is no work"), LEAVES_NONE, n("times of steps are in the record's events"), j(&[FW1208])]),
        row(Step, "takes", [n("it is of its step"), TELLS_NONE, TAKES_NONE, TURNS_NONE, j(&[FW0426, FW1125]), NO_WORK, j(&[FW1125, FW1126]), LEAVES_NONE, n("times of steps are in the record's events"), ONE_WAY]),
        row(Step, "figure", [j(&[FW1306]), TELLS_NONE, j(&[FW1301]), j(&[FW1305]), j(&[FW1310]), NO_WORK, j(&[FW1304]), LEAVES_NONE, NOT_ASKED, j(&[FW1302])]),

        row(Check, "expect", [n("an input is there in every fitting"), j(&[FW0406]), TAKES_NONE, TURNS_NONE, j(&[FW0312, FW0318]), NO_WORK, n("comparing is no work"), n("what fails is repaired or stops: see these"), n("every check is recorded"), j(&[FW0410, FW1258])]),
        row(Check, "by", [n("it is of its check"), TELLS_NONE, TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("looking is no work"), LEAVES_NONE, n("who checked is recorded, and judged"), j(&[FW0427])]),
        row(Check, "repair", [n("it belongs to its check"), n("see its steps"), n("see its steps"), TURNS_NONE, NO_NUMBER, n("see its steps"), n("see its steps"), n("whether it can help is asked of its check"), n("every round is recorded"), ONE_WAY]),
        row(Check, "else", [n("it belongs to its check"), j(&[FW0406]), TAKES_NONE, TURNS_NONE, NO_NUMBER, j(&[FW0803]), n("stopping is no work"), j(&[FW0803, FW0805]), n("a stop is recorded"), ONE_WAY]),

        row(Flow, "step", [j(&[FW0404, FW0425]), j(&[FW0406, FW0411, FW0608]), j(&[FW0501, FW0766, FW0963, FW0967, FW1212, FW1213, FW1214]), TURNS_NONE, j(&[FW0313, FW0727, FW0741, FW0742, FW0744, FW0767, FW1201, FW1202]), j(&[FW0740, FW0743, FW0763, FW0764, FW0765, FW0768, FW0769, FW0770, FW0771, FW0772, FW0773, FW0774, FW0775, FW0776, FW0777, FW0778, FW0779, FW0780, FW0781, FW0782, FW0783, FW0784, FW0785, FW0786, FW0787, FW0788, FW0789, FW0790, FW0791, FW0792, FW0953, FW0961, FW0962, FW0964, FW0965, FW0966, FW0969, FW0970, FW1211]), j(&[FW1221, FW1222, FW1223, FW1224, FW1225, FW1226, FW1227, FW1228, FW1229, FW1230, FW1231, FW1232, FW1233, FW1234, FW1235, FW1236, FW1237, FW1238, FW1239, FW1241, FW1242, FW1243, FW1244, FW1245, FW1246, FW1247, FW1248, FW1250, FW1251, FW1252, FW1253, FW1254, FW1255, FW1256, FW1257, FW1259, FW1261]), j(&[FW0405]), n("that it is done is recorded"), j(&[FW0117, FW0424, FW1206, FW1207, FW1208, FW1209, FW1220])]),
        row(Flow, "check", [j(&[FW0404]), j(&[FW0406]), n("see its lines"), TURNS_NONE, NO_NUMBER, n("see its lines"), n("see its lines"), j(&[FW0423]), n("every check is recorded"), j(&[FW0410])]),
        row(Flow, "choose", [n("an input is there in every fitting"), j(&[FW0406, FW0411]), TAKES_NONE, TURNS_NONE, j(&[FW0401, FW0403]), NO_WORK, n("choosing is no work"), n("see its arms"), n("it follows from what is recorded"), j(&[FW0402, FW1260])]),
        row(Flow, "for", [j(&[FW0201]), n("see its steps"), n("see its steps"), n("see its steps"), NO_NUMBER, n("see its steps"), n("see its steps"), n("see its steps"), n("each step is recorded for each place"), j(&[FW0110, FW0114, FW0211])]),
        row(Flow, "when", [n("an input is there in every fitting"), j(&[FW0406]), TAKES_NONE, TURNS_NONE, j(&[FW0312]), NO_WORK, n("choosing is no work"), n("see its steps"), n("it follows from what is recorded"), j(&[FW0114, FW0410])]),
        row(Flow, "else", [n("an input is there in every fitting"), n("see its `when`"), TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("choosing is no work"), n("see its steps"), n("it follows from what is recorded"), j(&[FW0114])]),
        row(Flow, "set", [n("a result is there in every fitting"), n("it makes it known"), TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("deciding is no work"), LEAVES_NONE, n("it follows from what is recorded"), j(&[FW0208])]),
        row(Flow, "stop", [n("a stop is there in whatever fitting comes to it"), j(&[FW0406]), TAKES_NONE, TURNS_NONE, NO_NUMBER, j(&[FW0803]), n("stopping is no work"), j(&[FW0405, FW0803, FW0805]), n("a stop is recorded"), ONE_WAY]),
        row(Flow, "handover", [n("it ends every job"), n("see its lines"), TAKES_NONE, TURNS_NONE, NO_NUMBER, j(&[FW0802]), n("handing over is no work"), j(&[FW0802, FW0903]), j(&[FW0440]), ONE_WAY]),

        row(Handover, "sign", [n("who signs is there in every fitting"), TELLS_NONE, TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("signing is no work"), LEAVES_NONE, n("signatures are in the record"), j(&[FW0441])]),
        row(Handover, "show", [j(&[FW0420]), j(&[FW0406]), TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("showing is no work"), LEAVES_NONE, n("that it was shown is recorded"), ONE_WAY]),
        row(Handover, "keep", [n("what it says is prose"), j(&[FW0406]), TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("keeping is no work"), LEAVES_NONE, n("that it was kept is recorded"), ONE_WAY]),
        row(Handover, "dispose", [n("what it says is prose"), j(&[FW0406]), TAKES_NONE, TURNS_NONE, NO_NUMBER, NO_WORK, n("what it needs is local law"), LEAVES_NONE, n("that it was done is recorded"), ONE_WAY]),
    ]
};

/// The table as Markdown, a section a statement.
pub fn page() -> String {
    let mut text = String::from(
        "# What is judged, and what is not\n\nEvery declaration and line of the language, and what it owes. A cell names the findings that judge it \
         (`fitwright explain CODE` tells more), or says why there is nothing to judge. What stands in no cell is judged nowhere.\n\n\
         Silence rests on more than this: that the vehicle is as its handbook says, that tools and parts are what they are called, and that people do \
         what stands there. `fitwright check --account` lists what of a procedure was not judged, with the reason. This table is made from the program \
         (`FITWRIGHT_WRITE_OBLIGATIONS=1 cargo test --test all obligations::`).\n",
    );
    for row in TABLE {
        text.push_str(&format!("\n## `{}` {}\n\n", row.word, row.home.place().replace("a step", "a step or check")));
        for (obligation, cell) in Obligation::ALL.iter().zip(&row.cells) {
            let told = match cell {
                Cell::Judged(codes) => codes.iter().map(|code| code.text()).collect::<Vec<_>>().join(", "),
                Cell::Nothing(why) => (*why).to_owned(),
            };
            text.push_str(&format!("- {}: {told}\n", obligation.words()));
        }
    }
    text
}
