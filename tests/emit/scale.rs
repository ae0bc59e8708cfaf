//! The scale of a branch, read back from the page: to scale, without a gap, in both systems of units.

use super::{build, file, small};

/// The numbers of the attributes of every element of a kind in a drawing.
fn elements(svg: &str, kind: &str, names: &[&str]) -> Vec<Vec<f64>> {
    let number = |element: &str, name: &str| {
        let rest = element.split(&format!(" {name}=\"")).nth(1).unwrap_or_else(|| panic!("{element} has no {name}"));
        rest.split('"').next().unwrap().parse::<f64>().unwrap()
    };
    svg.split(&format!("<{kind} "))
        .skip(1)
        .map(|element| names.iter().map(|name| number(&format!(" {element}"), name)).collect())
        .collect()
}

/// The drawing of a table.
fn scale(procedure: &str, table: u32) -> String {
    let (outputs, _) = build("small.fitw", procedure);
    let page = file(&outputs, "manual.html").to_owned();
    let svg = page.split(&format!("<svg class=\"drawing\" id=\"scale-{table}\"")).nth(1).expect("a scale");
    svg.split("</svg>").next().unwrap().to_owned()
}

fn branch(range: &str, reads: &str, arms: &str) -> String {
    small(
        &format!(
            "units metric, inch\nmeasure gap \"Gap\" {{ range {range}  reads {reads}  with steel-rule }}\nresult way \"Way\" {{ a  b  c }}"
        ),
        &format!(
            "step look \"Look\" {{\n> Look.\nread gap\ntakes 1 min\n}}\nchoose gap {{\n{arms}\n}}\nstep go \"Go\" {{\n> Go the [way] way.\ntakes 1 min\n}}"
        ),
    )
}

#[test]
fn bands_meet_between_two_readings_and_stand_to_scale() {
    let svg = scale(
        &branch(
            "20 mm to 95 mm",
            "1 mm",
            "20 mm to 45 mm { set way a }\n46 mm to 70 mm { set way b }\n71 mm to 95 mm { set way c }",
        ),
        1,
    );
    let rects = elements(&svg, "rect", &["x", "width"]);
    // The three bands, then the frame round all of them.
    let [bands @ .., frame] = rects.as_slice() else { panic!("no rectangles") };
    assert_eq!(bands.len(), 3);
    let per_mm = frame[1] / 75.0;
    for (band, (low, high)) in bands.iter().zip([(20.0, 45.5), (45.5, 70.5), (70.5, 95.0)]) {
        assert!((band[0] - frame[0] - (low - 20.0) * per_mm).abs() < 0.02, "{band:?}");
        assert!((band[1] - (high - low) * per_mm).abs() < 0.02, "{band:?}");
    }
    for pair in bands.windows(2) {
        assert!((pair[0][0] + pair[0][1] - pair[1][0]).abs() < 0.02, "a gap between {pair:?}");
    }
    // 50 mm above and 2 in (50.8 mm by the definition of the inch) below stand at their places.
    let at = |words: &str| {
        let element = svg.split("<text ").find(|text| text.contains(&format!(">{words}</text>"))).expect("the number");
        elements(&format!("<text {element}"), "text", &["x"])[0][0]
    };
    assert!((at("50") - frame[0] - 30.0 * per_mm).abs() < 0.02);
    assert!((at("2.0") - frame[0] - 30.8 * per_mm).abs() < 0.02);
}

#[test]
fn what_the_way_to_a_branch_rules_out_is_hatched() {
    let arms = "0 mm to 49 mm { stop \"Too narrow.\" }\n50 mm to 100 mm {\nchoose gap {\n50 mm to 79 mm { set way a }\n80 mm to 100 mm { set way b }\n}\n}";
    let procedure = branch("0 mm to 100 mm", "1 mm", arms);
    assert!(!scale(&procedure, 1).contains("url(#"), "the outer branch takes every reading");
    let inner = scale(&procedure, 2);
    assert_eq!(inner.matches("url(#scale-2-hatch)").count(), 1);
    let rects = elements(&inner, "rect", &["x", "width"]);
    assert_eq!(rects.len(), 4);
    assert!((rects[0][1] / rects[3][1] - 0.495).abs() < 0.001, "the hatched part ends at 49.5 mm");
}

#[test]
fn what_no_other_arm_takes_is_drawn_on_both_sides_and_a_stop_says_so() {
    let svg =
        scale(&branch("0 mm to 100 mm", "1 mm", "40 mm to 59 mm { set way a }\notherwise { stop \"Not here.\" }"), 1);
    let rects = elements(&svg, "rect", &["x", "width"]);
    assert_eq!(rects.len(), 4, "two bands of the stop, one between them, and the frame");
    assert_eq!(svg.matches("B STOP</text>").count(), 2);
}
