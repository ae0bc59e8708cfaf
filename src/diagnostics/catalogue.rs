//! Every code that the compiler can say, declared in one place.
//!
//! A code keeps its meaning once it has shipped. Each has a page in `site/findings/CODE.md`: what it means in the
//! workshop, a bad example, a good one; the examples run as tests.

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Nothing is emitted.
    Error,
    /// Can be accepted with a reason; CI may deny it.
    Warning,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// The word that is printed and written to JSON.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        }
    }
}

/// What else the program does with a code, beside printing it. A line of the catalogue names it in brackets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Attribute {
    /// Asked of the full procedure only, never of some fittings: the rule asks whether something is of use at all, and what
    /// one fitting does without, another may need. A limit that turns away all that is left of a fitting does what it is
    /// there for.
    FullOnly,
    /// Raised where a file, or part of one, could not be read: names that it may declare are not called unknown.
    TextMissing,
}

/// One line a code: `CODE Severity [Attribute, …] "the rule in a few words"`, in the group of its family. All that depends
/// on a code (its severity, its page, what a check of some fittings asks) follows from its line.
macro_rules! catalogue {
    ($($family:ident $prefix:ident $about:literal {
        $($code:ident $severity:ident $([$($attribute:ident),+])? $title:literal)*
    })*) => {
        /// What a code is about: its first two digits.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Family {
            $(#[doc = concat!(stringify!($prefix), ": ", $about)] $family,)*
        }

        impl Family {
            /// All families, in order.
            pub const ALL: &'static [Family] = &[$(Family::$family),*];

            /// What its codes begin with: `FW04`.
            pub fn prefix(self) -> &'static str {
                match self { $(Family::$family => stringify!($prefix)),* }
            }

            /// What its codes are about, in a few words.
            pub fn title(self) -> &'static str {
                match self { $(Family::$family => $about),* }
            }

            /// Its codes, in order.
            pub fn codes(self) -> &'static [Code] {
                match self { $(Family::$family => &[$(Code::$code),*]),* }
            }
        }

        /// The code of a rule.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code {
            $($(#[doc = $title] $code,)*)*
        }

        impl Code {
            /// All codes, in order.
            pub const ALL: &'static [Code] = &[$($(Code::$code),*),*];

            /// The code as printed: `FW0401`.
            pub fn text(self) -> &'static str {
                match self { $($(Code::$code => stringify!($code)),*),* }
            }

            /// Its severity.
            pub fn severity(self) -> Severity {
                match self { $($(Code::$code => Severity::$severity),*),* }
            }

            /// What else is done with it.
            pub fn attributes(self) -> &'static [Attribute] {
                match self { $($(Code::$code => &[$($(Attribute::$attribute),+)?]),*),* }
            }

            /// The family that it belongs to.
            pub fn family(self) -> Family {
                match self { $($(Code::$code => Family::$family),*),* }
            }

            /// The rule in a few words.
            pub fn title(self) -> &'static str {
                match self { $($(Code::$code => $title),*),* }
            }

            /// The page that `explain` prints: Markdown.
            pub fn page(self) -> &'static str {
                match self {
                    $($(Code::$code => include_str!(concat!("../../site/findings/", stringify!($code), ".md"))),*),*
                }
            }
        }
    };
}

catalogue! {
    Text FW01 "The text" {
        FW0101 Error "a line that is not in a form of the language"
        FW0102 Error "a block that is never closed"
        FW0103 Error "a closing brace without its opening one"
        FW0104 Error "a text without its closing quote"
        FW0105 Error "a character that cannot be seen or that reorders text"
        FW0106 Error "a letter in a name that looks like another"
        FW0107 Error [TextMissing] "a file that is not UTF-8"
        FW0108 Error [TextMissing] "a file too large or nested too deep"
        FW0109 Error "a file without its first line"
        FW0110 Error "a statement in a block where it has no meaning"
        FW0111 Error "marks of a merge left in the file"
        FW0112 Error "square brackets in prose that are not a mention"
        FW0113 Error "something said twice where once is meant"
        FW0114 Error "something that a block must say and does not"
        FW0115 Error "an acceptance that cannot be"
        FW0116 Warning [FullOnly] "an acceptance that accepts nothing"
        FW0117 Warning "a line of prose that goes on at the margin"
    }
    Names FW02 "Names and libraries" {
        FW0201 Error "a name that nothing declares"
        FW0202 Error "a name declared twice"
        FW0203 Warning "declared and never used"
        FW0204 Error "libraries that use each other in a circle"
        FW0205 Error "names that differ only in case or hyphens"
        FW0206 Error [TextMissing] "a library that cannot be found or read"
        FW0207 Error "a name of another kind than the place asks for"
        FW0208 Error "a value that its subject does not have"
        FW0209 Error "a word of the language used as a name"
        FW0210 Note "a name that hides a library's"
        FW0211 Error "a thing of each place, named without a place that it has"
        FW0212 Error "a library's section without a thing that it expects, or with one that it doesn't"
        FW0213 Error "a name that can mean the part or the joint"
        FW0214 Warning "a library that nothing is used of"
    }
    Quantities FW03 "Quantities" {
        FW0301 Error "a unit that is not known"
        FW0302 Error "a quantity of the wrong kind"
        FW0303 Error "a number without its unit"
        FW0304 Error "a hyphen where a fraction was meant"
        FW0305 Error "a range that runs backwards"
        FW0306 Error "a tolerance wider than its value"
        FW0307 Error "a value finer than the instrument reads"
        FW0308 Error "a number that can be read in two ways"
        FW0309 Error "a number that cannot be"
        FW0310 Error "arithmetic on quantities that do not match"
        FW0311 Error "a library's row that cannot be true"
        FW0312 Error "a division by something that can be nothing"
        FW0313 Warning "an amount in the units of two systems"
        FW0315 Note [FullOnly] "the only amount of its sort in the units of the other system"
        FW0316 Warning "a distance that keeps nobody from harm"
        FW0317 Warning [FullOnly] "a limit that asks a rating to be smaller than its load"
        FW0318 Warning "a check of a range of which one end lies beyond what is read"
    }
    Flow FW04 "The order of steps and branches" {
        FW0401 Error "readings that no branch takes"
        FW0402 Error "readings that two branches take"
        FW0403 Error "a branch outside what can be read"
        FW0404 Error "a step or branch that no configuration reaches"
        FW0405 Error "steps after a stop"
        FW0406 Error "a reading used before it is taken"
        FW0407 Warning [FullOnly] "an input that decides nothing"
        FW0408 Error "rules that contradict each other"
        FW0409 Error "no way to the handover"
        FW0410 Warning [FullOnly] "a condition that always holds"
        FW0411 Error "a result used before it is set"
        FW0412 Error "a path that ends without handover or stop"
        FW0419 Error "not decided within the effort allowed"
        FW0420 Error "something done to what this fitting does not have"
        FW0421 Error "a torque written down that nobody has set"
        FW0422 Warning [FullOnly] "a rule that never forbids anything"
        FW0423 Warning [FullOnly] "a repair that cannot help"
        FW0424 Warning [FullOnly] "a step that repeats the one before it"
        FW0425 Warning "a step spoken of that this fitting does not do"
        FW0426 Warning "a step that takes less than is waited in it"
        FW0427 Warning [FullOnly] "a check by another person with nothing before it"
        FW0428 Warning [FullOnly] "a value of a result that nothing sets"
        FW0440 Warning "a handover that nobody signs"
        FW0441 Warning "a signer that looks misspelt"
        FW0442 Note [FullOnly] "a torque that nobody writes down, where others are"
    }
    Tools FW05 "Tools" {
        FW0501 Error "a tool that no list names"
        FW0502 Warning "a tool declared and never used"
        FW0503 Warning [FullOnly] "a tool used in no configuration"
        FW0504 Error "no tool here fits the head"
        FW0505 Error "nothing holds the other side"
        FW0506 Error "a torque outside the wrench's range"
        FW0507 Error "a torque without a torque wrench"
        FW0508 Error "more of a tool needed at once than there is"
        FW0509 Error "an instrument that cannot read what is measured"
        FW0510 Warning "a torque wrench below where it is tested"
        FW0511 Warning "a tolerance finer than a torque wrench holds"
        FW0512 Note "more tools laid out than the work needs"
        FW0513 Note "the smallest set of tools was not found"
        FW0514 Warning "two things under one title that nothing tells apart"
        FW0520 Note "a torque of which the wrench reaches a part only"
        FW0521 Warning "a tool of a near size as an alternative"
        FW0522 Error "a socket that does not go onto its handle"
    }
    Parts FW06 "Parts" {
        FW0601 Error "a part that nothing supplies"
        FW0602 Warning [FullOnly] "a part supplied and never used"
        FW0603 Error "a part taken more often than supplied"
        FW0604 Note "parts left over"
        FW0605 Error "removed and neither refitted, discarded nor kept for the owner"
        FW0606 Error "refitted without having been removed"
        FW0607 Error "a single-use part fitted again"
        FW0608 Error "a part mentioned before it is taken"
        FW0609 Error "more removed than the vehicle has"
        FW0610 Warning [FullOnly] "parts left over in every fitting"
        FW0611 Warning "a part counted twice on the vehicle"
        FW0612 Warning "fewer taken for a joint than it has"
        FW0630 Warning "a mass that the parts contradict"
    }
    Joints FW07 "Joints" {
        FW0701 Error "tightened, run on or loosened before it is placed"
        FW0702 Error "placed and never torqued"
        FW0703 Error "loosened after the last torque"
        FW0704 Error "placed twice"
        FW0705 Error "a torque above what the bolt bears"
        FW0706 Warning "a torque near the bolt's limit"
        FW0707 Warning "a torque that hardly stretches the bolt"
        FW0708 Warning "a torque that cannot be judged"
        FW0709 Error "a nut weaker than its bolt"
        FW0710 Error "a bolt too short for its joint"
        FW0711 Warning "too little or too much bolt out of its nut"
        FW0712 Warning "too little thread engaged in a tapped hole"
        FW0713 Error "a nut or washer that does not go onto its bolt"
        FW0714 Warning "stainless threads that may gall"
        FW0715 Note "several fastenings without an order of tightening"
        FW0716 Warning "a nut with a nylon insert used again"
        FW0717 Error "left at its torque and not backed off"
        FW0718 Warning "a bolt of which is not said what it goes into"
        FW0719 Error "a bolt that stops at the end of its hole"
        FW0720 Warning "a washer too large for its bolt"
        FW0721 Warning "a tapping screw of which is not said in what hole it turns"
        FW0722 Error "a hole in which a tapping screw finds no hold"
        FW0723 Error "stages of tightening that do nothing, or leave a joint loose"
        FW0724 Warning "a bolt or screw of a length that none has"
        FW0726 Note "a repair that moves what a tight joint holds"
        FW0727 Warning "a hole drilled that does not suit its bolt or screw"
        FW0729 Warning "pressure back while a joint is open"
        FW0730 Error "a joint put together without a part that it joins"
        FW0731 Error "a part removed while a joint clamps it"
        FW0736 Error "a torque through an adapter, with a wrench whose length nobody states"
        FW0737 Warning "a setting that the wrench's scale does not have"
        FW0738 Warning "an adapter that does not say by how much it lengthens the wrench"
        FW0740 Warning "holes drilled while their bolts are in"
        FW0741 Warning "more or fewer holes than bolts"
        FW0742 Warning "a grommet that does not suit its hole, or what runs through it"
        FW0743 Warning "a hole that is worked on before it is made"
        FW0744 Warning "oil, grease or thread lock on a thread that is stated without"
        FW0745 Warning "a torque wrench that loosens"
        FW0760 Warning [FullOnly] "an order of loosening that no line uses"
        FW0761 Warning "a joint to tighten again that does not bear it"
        FW0762 Warning "told to tighten again what can be missing"
        FW0763 Warning "thread lock put on what is tight already"
        FW0764 Warning "a thread turned the wrong way round"
        FW0765 Warning "words that tighten in another order than the pattern"
        FW0766 Warning "a washer that only the words put in"
        FW0767 Warning "more or fewer bolts in words than the joint has"
        FW0768 Warning "moved after the line that tightens it"
        FW0769 Warning "holes finished when what covers them is on"
        FW0770 Warning "holes marked after they were drilled"
        FW0771 Warning "a face prepared after glue, sealant or tape was put on it"
        FW0772 Warning "glue, sealant or paint on a face that was made oily"
        FW0773 Warning "something glued that is loaded before it has cured"
        FW0774 Warning "something laid between what is bolted together already"
        FW0775 Warning "a thread sealed when it is in already"
        FW0776 Warning "a pressure let off when its line was opened already"
        FW0777 Warning "a face touched after it was cleaned for what sticks to it"
        FW0778 Warning "thread lock on a fastening in plastic"
        FW0779 Warning "wheel nuts first loosened when the wheel is in the air"
        FW0780 Warning "wheel nuts tightened to their torque in the air"
        FW0781 Warning "a hose pushed on when its clamp is tight already"
        FW0782 Warning "a clamp slid onto a hose that is on its stub"
        FW0783 Warning "glue or sealant on paint that nothing lets dry"
        FW0784 Warning "filed or deburred after it was painted"
        FW0785 Warning "leaks looked for before anything puts pressure on"
        FW0786 Warning [FullOnly] "a clamp put on a hose, and nothing tightens it"
        FW0787 Warning [FullOnly] "a split pin that nobody bends"
        FW0788 Warning "a key put in when its hub is on the shaft"
        FW0789 Warning "filled after it has run"
        FW0790 Warning "a pin secured before it is in its hole"
        FW0791 Warning "sealant put around what is set in already"
        FW0792 Warning "measured on the other side of the tightening than the words say"
        FW0793 Warning "a tapping screw in a hole less than half as wide"
    }
    Order FW08 "States, and what they allow" {
        FW0801 Error "a state needed that does not hold"
        FW0802 Error "a state not restored at the end"
        FW0803 Warning "a state not restored at a stop"
        FW0804 Warning [FullOnly] "a state that nothing reads"
        FW0805 Warning "work left open at a stop"
        FW0806 Warning "a source connected after its isolation was ended"
        FW0807 Warning [FullOnly] "a state made that holds already"
    }
    Circuits FW09 "Circuits" {
        FW0901 Error "the source connected before the rest"
        FW0902 Error "the source disconnected after the rest"
        FW0903 Error "a point never connected"
        FW0904 Error "connected twice, or disconnected without being connected"
        FW0905 Error "a voltage drop above its limit"
        FW0906 Warning "a large voltage drop without a stated limit"
        FW0907 Error "a breaker or fuse below the load"
        FW0908 Warning "a breaker or fuse below 125 % of the load"
        FW0909 Error "a breaker or fuse too large for its wire"
        FW0910 Warning "a breaker or fuse above what its wire carries"
        FW0911 Error "a wire that nothing protects"
        FW0912 Error "a breaker or fuse farther from the source than any rule allows"
        FW0913 Warning "a breaker or fuse farther from the source than the rule for its wire"
        FW0914 Error "a load above what the wire carries"
        FW0915 Error "a terminal that does not suit the wire"
        FW0916 Error "a terminal that does not fit the stud"
        FW0917 Note "a rating that is not made"
        FW0918 Warning "a circuit that can't be judged whole"
        FW0919 Warning "a voltage drop above its limit with the thinnest wire of the size"
        FW0920 Error "a joint worked on while its point is live"
        FW0921 Error "a lug under a joint that is not tightened after it"
        FW0922 Warning "fewer terminals than points that are made with them"
        FW0923 Error "a breaker or fuse farther along than the wire is long"
        FW0924 Note "a point where nothing is judged"
        FW0925 Warning "a nut that may hold a lug and does not say so"
        FW0926 Error "a nut that does not fit the stud of its point"
        FW0927 Error "a conductor from a point to itself"
        FW0928 Error "a pin that is not there"
        FW0929 Warning "two conductors at one pin"
        FW0930 Error "a conductor against the file's colours"
        FW0931 Error "pins swapped at a connector"
        FW0932 Warning "conductors that can't be told apart"
        FW0933 Warning "a point that no conductor reaches"
        FW0934 Warning "conductors longer than the run"
        FW0935 Error "connectors that don't mate"
        FW0936 Warning "a voltage drop above its limit with the conductors' own sizes"
        FW0937 Error "a fuse put in before its circuit is connected"
        FW0938 Error "a fuse never put in"
        FW0939 Warning "the colours of protective earth on another conductor"
        FW0940 Warning "a breaker or fuse at the end of a longer wire than is stated"
        FW0941 Warning "a conductor of the other pole"
        FW0942 Error "what is left to a later procedure, which does not do it"
        FW0943 Error "fed later by a circuit of other numbers"
        FW0944 Error "a point that is left for later and connected"
        FW0945 Warning "a voltage drop allowed that no load bears"
        FW0951 Warning "a voltage other than that of the battery"
        FW0952 Warning "a red wire on the way back to the battery"
        FW0953 Warning "the positive lead off first, or on last"
        FW0960 Warning "loads that are above their fuse together"
        FW0961 Warning "a trial of what nothing feeds yet"
        FW0962 Warning "paint on what was made bright for a contact"
        FW0963 Warning [FullOnly] "terminals crimped that nothing supplies"
        FW0964 Warning "a fuse that the words leave out, and a line has put in"
        FW0965 Warning "words that speak of the other pole"
        FW0966 Warning [FullOnly] "heat-shrink put on when the end is closed"
        FW0967 Warning [FullOnly] "a wire or hose through a bare hole"
        FW0968 Warning "a part that is no fuse, named as one"
        FW0969 Warning [FullOnly] "threaded on a wire whose end is closed"
        FW0970 Warning "a grommet put in when its cable runs through already"
    }
    Limits FW10 "Limits" {
        FW1001 Error [FullOnly] "a limit broken in every configuration"
        FW1002 Error "a limit broken in some configuration, with nothing to do then"
        FW1003 Error "a limit that only the job decides, with nothing to do when it breaks"
        FW1004 Error "a limit that a job can leave undecided"
        FW1005 Warning [FullOnly] "a limit that nothing can break"
        FW1006 Warning "a limit that a later reading can break unseen"
    }
    Safety FW11 "Safety" {
        FW1101 Error "a hazard not answered before its step"
        FW1102 Error "a safety message after the action"
        FW1103 Error "a safety message that lacks a part"
        FW1104 Error "a signal word below the hazard's"
        FW1105 Error "licensed work without its deference to local codes"
        FW1125 Warning "fewer people than the hazard asks for"
        FW1126 Warning "more lifted than people should"
    }
    Words FW12 "What the words say" {
        FW1201 Note [FullOnly] "a number with its unit outside brackets"
        FW1202 Warning "a torque in words that is not the joint's"
        FW1203 Warning "words that contradict what is stated of a thing"
        FW1204 Warning "a hyphen that may stand for a fraction"
        FW1205 Warning [FullOnly] "tight, in words that nobody can check"
        FW1206 Note [FullOnly] "a word that nobody can check"
        FW1207 Note [FullOnly] "more than one instruction in a sentence"
        FW1208 Note [FullOnly] "a sentence that is too long"
        FW1209 Note [FullOnly] "a sentence of a step without an instruction"
        FW1210 Warning "words that tell another order than the lines"
        FW1211 Warning [FullOnly] "wiring that only the words tell"
        FW1212 Warning [FullOnly] "a tool that only the words ask for"
        FW1213 Warning [FullOnly] "a hole for which no bit of its size is laid out"
        FW1214 Warning [FullOnly] "protective equipment that only the words ask for"
        FW1220 Warning "words that refer to a step that does something else"
        FW1221 Warning [FullOnly] "sent below what only a jack holds, or what hangs"
        FW1222 Warning "left to hang on its hose or wires"
        FW1223 Warning "grease or oil on what brakes"
        FW1224 Warning "wires or hoses laid on what gets hot"
        FW1225 Warning [FullOnly] "brake pistons pushed back, and no press of the pedal after it"
        FW1226 Warning "metal across the posts of a battery"
        FW1227 Warning "sparks or a flame beside a battery"
        FW1228 Warning "heat or sparks at fuel or brake lines"
        FW1229 Warning "a wire tied to a brake or fuel line, or to what turns"
        FW1230 Warning "a leak looked for with a hand or a flame"
        FW1231 Warning "dust of brakes, or what lies on clothes, blown off"
        FW1232 Warning "drilled, cut or heated, and under pressure"
        FW1233 Warning "cleaned with petrol"
        FW1234 Warning "pulled by its wires"
        FW1235 Warning "sent to the top of a ladder"
        FW1236 Warning "raised where the vehicle bears no jack"
        FW1237 Warning "a solvent on clear plastic"
        FW1238 Warning "the power taken off after the work that needs it off"
        FW1239 Warning "wheels chocked when the vehicle is up already"
        FW1240 Warning [FullOnly] "a message says to disconnect, and no step does"
        FW1241 Warning [FullOnly] "the cap of a cooling system opened, and nothing lets it cool"
        FW1242 Warning "a connector parted or joined while the ignition is on"
        FW1243 Warning [FullOnly] "the strut of a lid taken off, and nothing holds the lid"
        FW1244 Warning "a pressure washer pointed at what water must stay out of"
        FW1245 Warning "steel taken to aluminium"
        FW1246 Warning "a line for pressure cut with what squashes it"
        FW1247 Warning [FullOnly] "drilled where a tank, wires or an airbag lie, and nobody looked behind"
        FW1248 Warning [FullOnly] "a hole in the roof, and nothing paints its edge"
        FW1249 Warning [FullOnly] "the plug of an airbag parted, and nothing waits"
        FW1250 Warning "words that ask for more people than the step takes"
        FW1251 Warning "legs set when the load is up already"
        FW1252 Warning "the end of a rail closed before what slides into it"
        FW1253 Warning [FullOnly] "put on for the work, and never taken off"
        FW1254 Warning [FullOnly] "a line that holds pressure opened, and nothing lets it off"
        FW1255 Warning "the thread of a wheel greased"
        FW1256 Warning "what holds a load taken away while its bolts are loose"
        FW1257 Warning "a hose or its wires twisted to reach their place"
        FW1258 Warning [FullOnly] "a check that is passed by the bad answer"
        FW1259 Warning [FullOnly] "ties or clips more than a metre apart"
        FW1260 Warning [FullOnly] "branches that speak of each other's value"
        FW1261 Warning [FullOnly] "a value under the words of another"
    }
    Files FW13 "Figures and files" {
        FW1301 Error "a figure that cannot be found"
        FW1302 Error "a figure without words for those who cannot see it"
        FW1303 Error "a path that leaves the project"
        FW1304 Error "a figure that is unsafe to show"
        FW1305 Warning "a callout of something that its step does not have"
        FW1306 Warning [FullOnly] "a figure that is never shown"
        FW1307 Error "a mention of a figure that is not shown"
        FW1308 Error "a callout without a number of its own"
        FW1309 Error "a callout off the picture, or on another"
        FW1310 Warning "a picture too coarse for print"
    }
    Records FW14 "Records" {
        FW1401 Error "a checklist that cannot be used"
        FW1402 Error "a line that is no event of a record"
        FW1403 Error "a record of another checklist"
        FW1404 Error "a line changed after it was written"
        FW1405 Error "lines taken out, added or moved"
        FW1406 Error "a photograph that is not the one recorded"
        FW1407 Error "something recorded before it was its turn"
        FW1408 Error "a value that the checklist does not accept"
        FW1409 Error "done with something missing"
        FW1410 Error "a job that was not finished"
        FW1411 Warning "a clock that went backwards"
        FW1412 Note "a photograph left out"
        FW1413 Note "a check that failed"
        FW1414 Note "a job begun under an earlier revision"
        FW1415 Error "a record that is not the one on the paper"
        FW1416 Note "a torque that was done again"
        FW1417 Warning "one person who signs as two"
    }
}

impl Code {
    /// Whether its line of the catalogue has an attribute.
    pub fn is(self, attribute: Attribute) -> bool {
        self.attributes().contains(&attribute)
    }

    /// The code of a text such as `FW0401`, in either case; blanks around it don't count.
    pub fn parse(text: &str) -> Option<Code> {
        Code::ALL.iter().copied().find(|code| code.text().eq_ignore_ascii_case(text.trim()))
    }
}

impl std::fmt::Display for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.text())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_stands_in_its_family_and_in_order() {
        for family in Family::ALL {
            for code in family.codes() {
                assert!(code.text().starts_with(family.prefix()) && code.text().len() == 6, "{code} in {family:?}");
                assert_eq!(code.family(), *family);
            }
        }
        let texts: Vec<&str> = Code::ALL.iter().map(|code| code.text()).collect();
        assert!(texts.is_sorted_by(|a, b| a < b), "{texts:?}");
    }
}
