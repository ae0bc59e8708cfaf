//! What is printed where two arms of a choice meet, and where a vehicle leaves as the writer accepted it.

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::render::{Style, human};
use fitwright::world::Memory;
use serde_json::Value;

fn outputs(text: &str) -> (Value, String) {
    let compiled: Compiled = compile::check("rack.fitw", &Memory::default().with("rack.fitw", text));
    assert!(!compiled.has_errors(), "{}", human(compiled.findings(), compiled.sources(), Style::default()));
    let outputs = compile::build(&compiled).expect("no errors").expect("outputs");
    let checklist = serde_json::from_slice(outputs.file("checklist.json").expect("a checklist")).expect("JSON");
    (checklist, String::from_utf8_lossy(outputs.file("manual.html").expect("a manual")).into_owned())
}

/// All values of a member, in the order of the file.
fn all<'v>(value: &'v Value, member: &str, found: &mut Vec<&'v Value>) {
    match value {
        Value::Object(members) => {
            found.extend(members.get(member));
            members.values().for_each(|value| all(value, member, found));
        }
        Value::Array(values) => values.iter().for_each(|value| all(value, member, found)),
        _ => {}
    }
}

/// 1.9 m are 6.2336 ft: inwards it would be 6.2 ft for the one arm and 6.24 ft for the other, and who reads 6.22 ft would belong to
/// neither. A limit that is no boundary stays rounded inwards.
#[test]
fn where_two_arms_meet_is_one_number_in_both_units() {
    let text = |below: &str, over: &str| {
        format!(
            "procedure rack \"Rack\"\nunits metric, inch\nuse std/hand-tools\nmeasure reach \"Height of the rail\" {{ range 1 m to 3 m  reads 0.01 m  with steel-rule }}\n\
             section work \"Work\" {{\n  step look \"Look\" {{ read reach }}\n  choose reach {{\n    {below} {{ step low \"Low\" {{ note \"Reach up.\" }} }}\n    \
             {over} {{ step high \"High\" {{ note \"Take the steps.\" }} }}\n  }}\n  handover {{ sign installer }}\n}}\n"
        )
        .replace("with steel-rule", "with long-rule")
        .replace("measure reach", "tool long-rule \"Long rule\" { measures 0 m to 3 m  reads 0.01 m }\nmeasure reach")
    };
    let covers = |below: &str, over: &str| -> Vec<String> {
        let (checklist, _) = outputs(&text(below, over));
        let mut found = Vec::new();
        all(&checklist, "covers", &mut found);
        found.iter().filter_map(|words| words.as_str()).map(|words| words.replace('\u{a0}', " ")).collect()
    };
    assert_eq!(covers("below 1.9 m", "at least 1.9 m"), ["below 1.9 m (6.2 ft)", "at least 1.9 m (6.2 ft)"]);
    assert_eq!(covers("at most 1.92 m", "over 1.92 m"), ["at most 1.92 m (6.30 ft)", "over 1.92 m (6.30 ft)"]);
    let (checklist, _) = outputs(
        "procedure rack \"Rack\"\nunits metric, inch\ngiven rail \"Rail\" { range 1 m to 3 m }\nlimit high \"It clears the door\" {\n  rail >= 1.9 m\n  else stop \"Leave it.\"\n}\n\
         section work \"Work\" {\n  step look \"Look\" { note \"Look.\" }\n  handover { sign installer }\n}\n",
    );
    assert!(checklist.to_string().contains("1.9"), "the limit");
}

/// Whoever accepts that a stop leaves a lead off has said in the stop what is to be put right; a line of ours beside it would say
/// otherwise. Without it the line stands there.
#[test]
fn a_stop_that_is_accepted_tells_for_itself_how_the_vehicle_leaves() {
    let text = |accept: &str| {
        format!(
            "procedure lamp \"Lamp\"\nobserve dry \"Is it dry?\" {{ yes  no }}\nstate lead \"Negative lead\" {{ on \"on the post\"  off \"off the post\"  starts on  ends on }}\n\
             section work \"Work\" {{\n  step lead-off \"Lead off\" {{\n    make lead off\n    read dry\n  }}\n  when dry is no {{\n{accept}    stop \"Hang a tag on the wheel; the lead stays off.\"\n  }}\n  \
             step lead-on \"Lead on\" {{ make lead on }}\n  handover {{ sign installer }}\n}}\n"
        )
    };
    let leaves = |accept: &str| {
        let (checklist, manual) = outputs(&text(accept));
        let mut found = Vec::new();
        all(&checklist, "leave_as", &mut found);
        let stop = found.iter().filter(|states| states.as_array().is_some_and(|all| !all.is_empty())).count();
        (stop, manual.matches("Leave the vehicle with").count())
    };
    let (stated, told) = leaves("");
    let (accepted, silent) = leaves("    accept FW0803 \"The stop says so.\"\n");
    assert_eq!((stated - accepted, told - silent), (1, 1), "{stated} {told}");
    // What is accepted, and the stop does not name, is told all the same.
    let (checklist, manual) =
        outputs(&text("    accept FW0803 \"It waits for the maker.\"\n").replace("; the lead stays off", ""));
    let mut found = Vec::new();
    all(&checklist, "leave_as", &mut found);
    let stop = found.iter().filter(|states| states.as_array().is_some_and(|all| !all.is_empty())).count();
    assert_eq!((stop, manual.matches("Leave the vehicle with").count()), (stated, told));
    // Accepted by its name it is as silent.
    let other = "    accept FW0803 for lead \"The stop says so.\"\n";
    assert_eq!(leaves(other), (accepted, silent));
}
