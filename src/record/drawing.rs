//! A signature as it was drawn, on a sheet 1000 wide and 300 high: strokes of whole numbers, and nothing else that a path of
//! SVG may hold.

/// Most characters of a drawing.
pub const MOST: usize = 8000;
/// The grammar as a regular expression, for schemas. [`is_one`] reads by it.
pub const PATTERN: &str = "^(M[0-9]{1,4} [0-9]{1,4}(L[0-9]{1,4} [0-9]{1,4})+)+$";

/// Whether a text is a drawing: `M x y`, then `L x y` at least once, and so on for each stroke.
pub fn is_one(text: &str) -> bool {
    text.len() <= MOST && text.starts_with('M') && text.split('M').skip(1).all(is_stroke)
}

/// Whether a text is what stands behind the `M` of a stroke.
fn is_stroke(text: &str) -> bool {
    text.contains('L') && text.split('L').all(is_point)
}

fn is_point(text: &str) -> bool {
    let number = |digits: &str| (1..=4).contains(&digits.len()) && digits.bytes().all(|byte| byte.is_ascii_digit());
    text.split_once(' ').is_some_and(|(x, y)| number(x) && number(y))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strokes_are_drawings_and_nothing_else_is() {
        for good in ["M0 0L1 1", "M10 20L30 40L50 60M7 8L9 10", "M0009 9999L0 0"] {
            assert!(is_one(good), "{good}");
        }
        let long = format!("M0 0{}", "L10 20".repeat(1400));
        for bad in [
            "",
            "M",
            "M0 0",
            "L1 1",
            "M0 0L",
            "M0 0L1",
            "M0 0L1 1 ",
            " M0 0L1 1",
            "M0 0L1 1Z",
            "m0 0l1 1",
            "M0 0L-1 1",
            "M0 0L1.5 1",
            "M0,0L1,1",
            "M0  0L1 1",
            "M0 0L1 1M",
            "M0 0LL1 1",
            "M0 0L12345 1",
            "M0 0L1 1\n",
            "M0 0L١ ١",
            "M0 0L1 1\"/><script>",
            long.as_str(),
        ] {
            assert!(!is_one(bad), "{bad}");
        }
    }
}
