//! Texts with places.

/// A piece of a text: what stands there, or the name of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Piece<'a> {
    /// Text.
    Text(&'a str),
    /// The name between `{` and `}`.
    Place(&'a str),
}

/// The pieces of a text, in their order. A brace that closes nothing is text.
pub fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        let Some((name, then)) = after.split_once('}') else { break };
        pieces.extend([Piece::Text(before), Piece::Place(name)]);
        rest = then;
    }
    pieces.push(Piece::Text(rest));
    pieces.retain(|piece| *piece != Piece::Text(""));
    pieces
}

/// A text as it begins a sentence or stands as a title: with a capital.
pub fn sentence_case(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A text with its places filled: `fill("Repair {n}", &[("n", "2")])` is `Repair 2`. A place without a value stays as it is.
pub fn fill(text: &str, values: &[(&str, &str)]) -> String {
    let mut filled = String::new();
    for piece in pieces(text) {
        match piece {
            Piece::Text(text) => filled.push_str(text),
            Piece::Place(name) => match values.iter().find(|(known, _)| *known == name) {
                Some((_, value)) => filled.push_str(value),
                None => filled.extend(["{", name, "}"]),
            },
        }
    }
    filled
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_filled_once() {
        assert_eq!(fill("Repair {n} of {all}", &[("n", "2"), ("all", "{n}")]), "Repair 2 of {n}");
        assert_eq!(fill("{", &[]), "{");
        assert_eq!(fill("a {b} {n}", &[("n", "1")]), "a {b} 1");
        assert_eq!(fill("none", &[("n", "1")]), "none");
    }
}
