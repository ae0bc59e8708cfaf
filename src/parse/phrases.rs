//! The rules of the grammar in a writer's words.

use fitwright_grammar::Rule;

/// Rules that may stand at many places and that a message names only where nothing else fits.
pub(super) fn optional(rule: Rule) -> bool {
    matches!(
        rule,
        Rule::EOI
            | Rule::comma
            | Rule::unit
            | Rule::plus_minus
            | Rule::tolerance
            | Rule::up_to
            | Rule::w_to
            | Rule::w_or
            | Rule::w_and
            | Rule::plus_or_minus
            | Rule::times_or_divided
            | Rule::compare
            | Rule::when
            | Rule::w_when
            | Rule::w_on
            | Rule::w_optional
            | Rule::with_tools
            | Rule::brought
            | Rule::expects
            | Rule::by_hand
            | Rule::from_kit
            | Rule::accept_for
            | Rule::for_each_of
            | Rule::accept_at
            | Rule::hole_end
            | Rule::optional
            | Rule::terminal_name
            | Rule::accept
    )
}

/// Whether a quantity would have fitted.
pub(super) fn wants_quantity(expected: &[Rule]) -> bool {
    expected.iter().any(|rule| {
        matches!(
            rule,
            Rule::measure
                | Rule::amount
                | Rule::arm_measure
                | Rule::w_least
                | Rule::w_below
                | Rule::plain
                | Rule::in_choose
        )
    })
}

/// What would have fitted, in words: at most three things.
pub(super) fn want(expected: &[Rule]) -> String {
    let mut words: Vec<String> = Vec::new();
    for strict in [true, false] {
        for rule in expected.iter().filter(|rule| optional(**rule) != strict) {
            let word = phrase(*rule);
            if !words.contains(&word) {
                words.push(word);
            }
        }
        if !words.is_empty() {
            break;
        }
    }
    words.truncate(3);
    match words.pop() {
        None => "something else".into(),
        Some(only) if words.is_empty() => only,
        Some(last) => format!("{} or {last}", words.join(", ")),
    }
}

/// One rule in a writer's words.
fn phrase(rule: Rule) -> String {
    if let Some(word) = keyword(rule) {
        return format!("`{word}`");
    }
    if let Some(words) = things(rule).or_else(|| signs(rule)) {
        return words.to_owned();
    }
    own_word(rule).map_or_else(|| "something else".to_owned(), |word| format!("`{word}`"))
}

/// The word that a rule is named by: `w_insert_nut` is `insert-nut`.
fn own_word(rule: Rule) -> Option<String> {
    let name = format!("{rule:?}");
    name.strip_prefix("w_").map(|word| word.replace('_', "-"))
}

/// Names, texts and quantities.
fn things(rule: Rule) -> Option<&'static str> {
    Some(match rule {
        Rule::text => "a text in quotes",
        Rule::new_name => "a name",
        Rule::each_name => "the name of an `each`",
        Rule::colour | Rule::coloured => "a colour (such as `red`)",
        Rule::carried => "what it carries (such as `positive`)",
        Rule::wire_end => "the name of a point",
        Rule::pin_count => "how many pins",
        Rule::joint_name => "the name of a joint",
        Rule::part_name | Rule::counted | Rule::much_of | Rule::parts_made | Rule::make_parts => "the name of a part",
        Rule::accepted_name => "the name of what it is accepted of",
        Rule::expected_name => "what the section calls it",
        Rule::given_name => "the name of a thing of this file",
        Rule::bound => "what it is given (such as `harness = feed-harness`)",
        Rule::expected | Rule::expected_kind => "a kind of thing (such as `part`) and its name",
        Rule::tool_name | Rule::tool_use => "the name of a tool",
        Rule::state_name => "the name of a state",
        Rule::value_name => "a value",
        Rule::result_name => "the name of a result",
        Rule::input_name => "the name of a reading or choice",
        Rule::hazard_name => "the name of a hazard",
        Rule::protection_name => "the name of protective equipment",
        Rule::circuit_name | Rule::later_circuit => "the name of a circuit",
        Rule::point_name => "the name of a point",
        Rule::action_name => "the name of an action",
        Rule::figure_name => "the name of a figure",
        Rule::called_name => "the name of what it points at",
        Rule::callout => "the number of a callout",
        Rule::reference_name => "the name of a reference",
        Rule::recorded_name | Rule::record_name => "the name of a joint or reading",
        Rule::record_text => "a text in quotes",
        Rule::record_photo => "`photo`",
        Rule::drive_name => "a drive (such as `hex`)",
        Rule::condition_word => "the thread's condition (such as `plated`)",
        Rule::tapped_metal => "the tapped metal (such as `steel`)",
        Rule::pattern_word => "an order (such as `cross`)",
        Rule::grade_kind => "`class` or `grade`",
        Rule::grade_name => "a class (such as `8.8`)",
        Rule::line_word => "a step line (such as `connect`)",
        Rule::unit_system => "`metric` or `inch`",
        Rule::signer => "who signs",
        Rule::signal => "a signal word (such as `warning`)",
        Rule::spec | Rule::spec_kind => "a kind of fastener (such as `bolt`)",
        Rule::spec_words => "words (such as `class 8.8`)",
        Rule::terminal_name => "its size",
        Rule::thread | Rule::stud => "a thread (such as `M8`)",
        Rule::mark => "a mark (such as `A`)",
        Rule::date => "a day (such as `2026-11-02`)",
        Rule::path => "the name of a library (such as `std/fasteners`)",
        Rule::code => "a code (such as `FW0502`)",
        Rule::row_name => "the name of the row",
        Rule::attribute => "what it says of the name",
        Rule::number => "a number",
        Rule::measure | Rule::amount | Rule::plain => "a quantity (such as `22 N.m`)",
        Rule::people | Rule::people_alone | Rule::how_many => "how many people",
        Rule::cond | Rule::any | Rule::all | Rule::inverse | Rule::relation => "a condition",
        Rule::sum | Rule::product | Rule::operand | Rule::bracketed => "a quantity or the name of one",
        Rule::comparison => "a comparison",
        Rule::value => "a value",
        Rule::arm_measure | Rule::arm_values | Rule::in_choose => "a range or a value",
        _ => return None,
    })
}

/// Signs and ends.
fn signs(rule: Rule) -> Option<&'static str> {
    Some(match rule {
        Rule::unit => "a unit",
        Rule::comma => "a comma",
        Rule::compare => "`<=`, `<`, `>=`, `>` or `=`",
        Rule::plus_minus | Rule::tolerance => "`+-`",
        Rule::open => "`(`",
        Rule::close => "`)`",
        Rule::plus_or_minus => "`+`",
        Rule::times_or_divided => "`*`",
        Rule::EOI => "the end of the line",
        _ => return None,
    })
}

/// The word of a word's rule, or the one that a rule begins with.
pub(super) fn keyword(rule: Rule) -> Option<&'static str> {
    Some(match rule {
        Rule::w_with | Rule::with_tools | Rule::with_part => "with",
        Rule::w_at | Rule::at_points | Rule::at_distance | Rule::accept_at => "at",
        Rule::w_least => "least",
        Rule::w_most => "most",
        Rule::w_of => "of",
        Rule::w_from | Rule::brought => "from",
        Rule::from_kit => "from kit",
        Rule::w_expects | Rule::expects => "expects",
        Rule::w_return => "return",
        Rule::w_cable => "cable",
        Rule::w_upstream => "upstream",
        Rule::w_made => "made",
        Rule::w_plug | Rule::plugged => "plug",
        Rule::w_pin => "pin",
        Rule::w_pins => "pins",
        Rule::w_mates | Rule::mates => "mates",
        Rule::gender => "male` or `female",
        Rule::w_label | Rule::labelled => "label",
        Rule::w_greatest | Rule::extreme => "greatest",
        Rule::w_by => "by",
        Rule::w_later => "later",
        Rule::w_but => "but",
        Rule::by_hand => "by hand",
        Rule::w_for | Rule::accept_for | Rule::for_each_of => "for",
        Rule::w_each => "each",
        Rule::w_off => "off",
        Rule::hole_end => "through` or `blind",
        Rule::w_is | Rule::is_part => "is",
        Rule::w_times => "times",
        Rule::w_people => "people",
        Rule::w_stop => "stop",
        Rule::w_go => "go on",
        Rule::w_on | Rule::on_stud => "on",
        Rule::w_use => "use",
        Rule::w_vehicle => "vehicle",
        Rule::w_to | Rule::up_to => "to",
        Rule::w_or => "or",
        Rule::w_and => "and",
        Rule::w_when | Rule::when => "when",
        Rule::w_x | Rule::spec_length => "x",
        Rule::w_torque => "torque",
        Rule::w_stud => "stud",
        Rule::w_in | Rule::in_stages => "in",
        Rule::w_stages => "stages",
        Rule::w_photo => "photo",
        Rule::w_recorded | Rule::recorded => "recorded",
        Rule::w_confirmed | Rule::confirmed => "confirmed",
        Rule::w_not => "not",
        Rule::w_hold | Rule::hold => "hold",
        Rule::w_optional | Rule::optional => "optional",
        Rule::otherwise | Rule::w_otherwise => "otherwise",
        Rule::equals => "=",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_wanted_is_told_by_the_word_that_is_written() {
        assert_eq!(want(&[Rule::w_replace, Rule::w_stop, Rule::w_go]), "`replace`, `stop` or `go on`");
        assert_eq!(want(&[Rule::w_insert_nut]), "`insert-nut`");
        for rule in Rule::all_rules() {
            let told = phrase(*rule);
            assert!(told != "something else" || own_word(*rule).is_none(), "{rule:?}");
        }
    }
}
