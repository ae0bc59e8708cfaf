//! Words of English that the rules on sentences look for. The lists are ours, from memory, of what workshop manuals say; a word
//! that is missing makes a rule silent, never loud.

use std::collections::BTreeSet;
use std::sync::LazyLock;

/// Verbs that tell somebody to do something, in the form in which an instruction uses them.
const VERBS: &str = "
 accept activate add adjust advance agitate aim align aline allow answer apply arrange assemble assist attach avoid
 back balance be bend bleed blow boil bolt bond bore brace braze brush build bundle button burn
 calculate calibrate call cap carry catch center centre chain change charge check chock choose clamp clean clear climb close coat
 coil collect come compare complete compress confirm connect consider consult continue control cool count couple cover crank
 crimp cross cut
 dab de-energize de-energise deburr decide deflate degrease dehumidify depress depressurize depressurise detach determine disassemble
 disable discard discharge disconnect disengage dismantle dispose distribute divide do document drain draw dress drill drip drive drop dry
 earth elevate empty enable energize energise engage ensure enter erect establish estimate evacuate examine exchange exercise extend
 fasten feed feel file fill find finish fit fix flush fold follow free
 gather get give glue go grasp grease grind grip ground guide
 hammer handle hang have heat hoist hold hook hose
 identify ignore immerse inflate inform inject insert inspect install insulate insure interlock isolate
 jack join keep key kneel know
 label lace lay leave let level lift light listen load locate lock log look loosen lower lubricate
 maintain make mark mask match measure melt mill mix monitor mount move
 neutralize note notify number
 observe obtain oil open operate order orient
 pack paint park part pass paste peel perform pick pierce pin pinch place plan plane plug point polish position pour pre-load preload
 prepare press pressurize pressurise prevent prime probe proceed protect provide pry pull pump punch push put
 quench raise reach read ream re-check recheck reapply reassemble recharge reclose recommend reconnect record recycle reduce refer refill refit
 refuse regulate reinsert reinstall relay release relieve relocate remain remake remount remember remove repair repeat replace replenish report
 reposition request rescue reset resolder rest restart restore restrain retain retap retighten retorque retract retrieve return
 reverse rewire rig ring rinse roll rotate route rub run
 sand scrape screw scribe seal seat secure see seek select send separate serve service set shake shield shift shim shrink shut sign
 silence sit slacken slide slip slope smear smooth snap snug soak solder space speak splice spin spray spread square squeeze stack stamp
 stand start state stay steady steer stick stir stop store stow straighten strap stretch strike strip submit supply support suspend
 swing switch
 tack tag take tamp tap tape tear tell test thin thread tie tighten tilt tin torque touch tow trace train transfer transport treat trim
 troubleshoot try tuck turn twist
 unbolt uncoil uncouple uncover undo unfasten unfold unhook unload unlock unplug unroll unscrew unwind unwrap update use
 vacuum vent ventilate verify view visit wait walk warm warn wash watch wear wedge weigh weld wet wind wipe wire withdraw work wrap
 wrench write zero";

/// Verbs that are also things of a workshop. After *and* or a comma they tell to do something only where a thing follows that
/// it is done to.
const ALSO_THINGS: &str = "
 back balance bolt bond bore brace brush bundle button burn cap center centre chain change charge check chock clamp coat coil control
 count couple cover crank crimp cross cut discharge drain draw dress drill drive drop dry earth exercise extend feed file fill
 finish fit fix free glue grease grind grip ground guide hammer handle heat hoist hold hook hose interlock jack joint key label lace lay
 level lift light load lock log look mark mask match measure mill mix mount move note number oil order pack paint park part pass paste pick
 pin pinch place plan plane plug point polish position press prime probe pull pump punch push ream record relay release repair report
 request rescue reset rest return reverse rig ring roll route run sand scrape screw seal seat service set shake shield shift shim
 sign silence slip slope snap solder space splice spray spread square squeeze stack stamp stand start state steady stick stop store
 strap stretch strike strip supply support swing switch tack tag tap tape tear test thread tie tilt tin torque touch tow trace train transfer
 transport trim turn twist use vacuum vent view walk wash watch wedge weld wind wipe wire work wrap wrench clean clear close complete correct
 cool dry empty level open parallel secure separate smooth square steady thin warm wet be do have know remain insure see";

/// What stands before a thing, and so after a verb that acts on it.
pub(super) const BEFORE_THINGS: &[&str] = &[
    "a", "an", "the", "it", "them", "this", "that", "these", "those", "each", "every", "both", "all", "any", "its",
    "their", "your", "his", "her", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve", "new", "other", "another", "no",
];

/// Words that may follow a plain verb at once.
const AFTER_VERBS: &[&str] = &[
    "at", "in", "into", "on", "onto", "off", "out", "up", "down", "away", "back", "aside", "over", "under", "through",
    "from", "to", "for", "with", "until", "again", "if", "whether", "how", "where", "as", "along", "around", "between",
    "about",
];

/// Words that open a clause in which nobody is told to do anything.
pub(super) const SUBORDINATORS: &[&str] = &[
    "if", "when", "while", "until", "unless", "after", "before", "because", "since", "that", "which", "who", "whose",
    "where", "so", "whether", "as", "once", "than", "till", "how", "although", "though", "what", "wherever",
    "whenever",
];

/// Words that make a clause a statement: a finite verb that is no instruction.
pub(super) const FINITE: &[&str] = &[
    "is", "are", "was", "were", "will", "would", "shall", "should", "must", "may", "might", "can", "could", "cannot",
    "has", "have", "does", "needs", "requires", "weighs", "contains", "causes", "holds", "leads", "comes", "goes",
    "stays", "lies", "stands", "sits", "runs", "turns", "gives", "makes", "shows", "keeps", "lets", "opens", "closes",
    "stops", "starts", "becomes", "remains", "means",
];

/// The plainest of them, which are never a thing in the plural.
pub(super) const SURELY_FINITE: &[&str] = &[
    "is", "are", "was", "were", "will", "would", "shall", "should", "must", "may", "might", "can", "could", "cannot",
    "has", "have", "does", "weighs", "contains", "causes", "provides", "requires", "needs", "exist", "exists",
    "becomes", "remains",
];

/// Words of which an English statement is made whatever follows.
pub(super) const PRONOUNS: &[&str] = &["it", "they", "he", "she", "we", "you", "i", "there"];

/// Verbs that look for something: *check for leaks*, *see that …*.
pub(super) const SEEKS: &[&str] = &["check", "test", "look", "watch", "listen", "feel", "inspect", "search", "see"];

/// Words with which an English statement begins and no instruction does.
pub(super) const STATEMENT_OPENERS: &[&str] = &[
    "the",
    "a",
    "an",
    "this",
    "these",
    "those",
    "it",
    "they",
    "he",
    "she",
    "we",
    "you",
    "i",
    "there",
    "its",
    "their",
    "your",
    "our",
    "his",
    "her",
    "some",
    "most",
    "many",
    "several",
    "each",
    "every",
    "both",
    "another",
    "such",
    "nobody",
    "nothing",
    "someone",
    "somebody",
    "everyone",
    "everybody",
    "who",
    "which",
    "what",
    "that",
];

/// Words that may stand before the verb of an instruction.
pub(super) const LEADING: &[&str] = &[
    "then",
    "next",
    "now",
    "first",
    "second",
    "third",
    "finally",
    "lastly",
    "again",
    "also",
    "always",
    "never",
    "do",
    "don't",
    "not",
    "please",
    "carefully",
    "slowly",
    "gently",
    "lightly",
    "firmly",
    "securely",
    "properly",
    "immediately",
    "thoroughly",
    "visually",
    "fully",
    "quickly",
    "loosely",
    "partially",
    "manually",
    "evenly",
    "alternately",
    "gradually",
    "promptly",
    "just",
    "only",
    "still",
    "otherwise",
    "instead",
    "meanwhile",
    "here",
    "and",
    "but",
    "or",
    "together",
    "temporarily",
    "simultaneously",
    "finger",
    "hand",
    "double",
    "periodically",
    "repeatedly",
    "completely",
    "clearly",
    "once",
    "by",
    "momentarily",
    "frequently",
    "regularly",
    "daily",
    "weekly",
    "monthly",
    "afterwards",
    "afterward",
    "later",
    "cautiously",
    "tightly",
    "individually",
    "directly",
    "exactly",
    "precisely",
    "smoothly",
    "steadily",
    "safely",
    "liberally",
    "generously",
    "sparingly",
    "initially",
];

static ALL_VERBS: LazyLock<BTreeSet<&str>> = LazyLock::new(|| VERBS.split_ascii_whitespace().collect());
static ALL_THINGS: LazyLock<BTreeSet<&str>> = LazyLock::new(|| ALSO_THINGS.split_ascii_whitespace().collect());

/// Whether a word, in small letters, can be the verb of an instruction.
pub(super) fn is_verb(word: &str) -> bool {
    ALL_VERBS.contains(word)
}

/// Whether a verb is a thing, or says how a thing is, as well.
pub(super) fn is_also_a_thing(word: &str) -> bool {
    ALL_THINGS.contains(word)
}

/// Whether a word may follow a verb that is nothing else.
pub(super) fn follows_a_verb(word: &str) -> bool {
    BEFORE_THINGS.contains(&word) || AFTER_VERBS.contains(&word)
}
