//! What may stand where: every statement of the language with its block, its form and an example.
//!
//! Messages, the repair of lost braces, and later an editor's completion all read this one table. The grammar says the
//! same in its first section; a test holds the two together.

mod table;

use crate::diagnostics::suggest;
use fitwright_grammar::Rule;
use std::collections::HashMap;
use std::sync::LazyLock;
pub use table::FORMS;

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
    /// The callouts of a picture.
    Figure,
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
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Form {
    /// The block that it stands in.
    pub home: Block,
    /// Its first word.
    pub word: &'static str,
    /// The rule that reads it.
    pub rule: Rule,
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
        Block::Figure,
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
            Block::Figure => Rule::in_figure,
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
            Block::Figure => "among the callouts of a `figure`",
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
        matches!(self, Block::Values | Block::List | Block::State | Block::Figure | Block::Choose | Block::Limit)
    }
}

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
pub(crate) fn homes(word: &str) -> impl Iterator<Item = &'static Form> + use<> {
    BY_WORD.get(word).into_iter().flatten().copied()
}

/// What the braces after this word hold.
pub(crate) fn body_of(block: Block, word: &str) -> Block {
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
pub(crate) fn needs_block(block: Block, word: &str) -> bool {
    find(block, word).is_some_and(|form| matches!(form.body, Body::Must(_)))
}

/// Whether this word begins a statement that may have a block.
pub(crate) fn may_have_block(block: Block, word: &str) -> bool {
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

#[cfg(test)]
mod tests {
    use super::*;
    use fitwright_grammar::Grammar;
    use pest::Parser;
    use std::collections::BTreeSet;

    #[test]
    fn each_example_is_read_in_its_block() {
        for form in FORMS {
            let head = form.example.split(" {").next().unwrap_or(form.example);
            let block = form.home.rule().expect("a block that is known");
            let mut pairs = Grammar::parse(block, head).unwrap_or_else(|error| panic!("{head}: {error}"));
            let first = pairs.next().and_then(|whole| whole.into_inner().next()).expect("one form");
            // The example of `else` in a flow shows the `when` that it follows.
            if form.word == head.split(' ').next().unwrap_or("") {
                assert_eq!(first.as_rule(), form.rule, "{head}");
            }
        }
    }

    /// The names of the rules in the first section of the grammar that read one statement of a block.
    fn in_grammar(block: &str) -> BTreeSet<String> {
        let grammar = include_str!("../../grammar/fitwright.pest");
        let rule = |name: &str| -> String {
            let start = grammar.find(&format!("\n{name} ")).map_or(grammar.len(), |at| at + 1);
            grammar[start..]
                .split('}')
                .next()
                .unwrap_or("")
                .split_once('{')
                .map_or(String::new(), |(_, body)| body.into())
        };
        let body = rule(block).replace("step_line", &rule("step_line"));
        let words = body.split(|c: char| !(c.is_ascii_lowercase() || c == '_')).filter(|word| word.len() > 1);
        words.map(str::to_string).collect()
    }

    #[test]
    fn table_and_grammar_name_the_same_statements() {
        // Lines that begin with a name of the writer's, and a second form of a word that is in the table.
        let others = [
            "value",
            "comma",
            "comparison",
            "much_of",
            "callout",
            "arm_measure",
            "arm_values",
            "else_go_on",
            "else_replace",
        ];
        for block in Block::ALL {
            let name = format!("{:?}", block.rule().expect("a block that is known"));
            let table: BTreeSet<String> = of(*block).map(|form| format!("{:?}", form.rule)).collect();
            let mut grammar = in_grammar(&name);
            grammar.retain(|word| !others.contains(&word.as_str()));
            assert_eq!(grammar, table, "{name}");
        }
    }
}
