//! A value as the job page holds it: what would stand there more than once stands there once.
//!
//! `{"repeated":[…],"list":…}`: a list or an object that occurs more than once, and is not short, is one of `repeated`, and
//! `{"$":n}` stands in its places. One that holds others comes after them. `site/job/packed.js` reads it.

use std::collections::HashMap;

use serde_json::Value;

/// Shorter ones stand where they are: a reference takes up to nine bytes.
const SHORT_BYTES: usize = 24;

/// A list or an object in pieces: text, and the others that it holds.
struct Piece {
    parts: Vec<Part>,
    /// As JSON, with all that it holds.
    bytes: usize,
    /// In how many different pieces it stands, and how often.
    count: usize,
}

#[derive(Clone, PartialEq, Eq, Hash)]
enum Part {
    Text(String),
    Piece(usize),
}

#[derive(Default)]
struct Packer {
    pieces: Vec<Piece>,
    known: HashMap<Vec<Part>, usize>,
}

/// The JSON of a value, packed.
pub(super) fn packed(value: &Value) -> serde_json::Result<String> {
    let mut packer = Packer::default();
    let whole = packer.taken(value)?;
    let mut writer = Writer { pieces: &packer.pieces, places: vec![None; packer.pieces.len()], shared: Vec::new() };
    let mut list = String::new();
    writer.part(&whole, &mut list);
    Ok(format!("{{\"repeated\":[{}],\"list\":{list}}}", writer.shared.join(",")))
}

impl Packer {
    fn taken(&mut self, value: &Value) -> serde_json::Result<Part> {
        let mut parts = Vec::new();
        match value {
            Value::Array(all) => {
                say(&mut parts, "[");
                for (at, one) in all.iter().enumerate() {
                    if at > 0 {
                        say(&mut parts, ",");
                    }
                    join(&mut parts, self.taken(one)?);
                }
                say(&mut parts, "]");
            }
            Value::Object(all) => {
                say(&mut parts, "{");
                for (at, (name, one)) in all.iter().enumerate() {
                    if at > 0 {
                        say(&mut parts, ",");
                    }
                    say(&mut parts, &serde_json::to_string(name)?);
                    say(&mut parts, ":");
                    join(&mut parts, self.taken(one)?);
                }
                say(&mut parts, "}");
            }
            one => return Ok(Part::Text(serde_json::to_string(one)?)),
        }
        Ok(Part::Piece(self.piece(parts)))
    }

    /// The number of a piece, which the same parts have again. What stands in it counts once.
    fn piece(&mut self, parts: Vec<Part>) -> usize {
        if let Some(&known) = self.known.get(&parts) {
            return known;
        }
        let mut bytes = 0;
        for part in &parts {
            bytes += match part {
                Part::Text(text) => text.len(),
                Part::Piece(n) => self.pieces.get_mut(*n).map_or(0, |piece| {
                    piece.count += 1;
                    piece.bytes
                }),
            };
        }
        let n = self.pieces.len();
        self.known.insert(parts.clone(), n);
        self.pieces.push(Piece { parts, bytes, count: 0 });
        n
    }
}

/// Adds text to the last part.
fn say(parts: &mut Vec<Part>, text: &str) {
    match parts.last_mut() {
        Some(Part::Text(before)) => before.push_str(text),
        _ => parts.push(Part::Text(text.to_owned())),
    }
}

fn join(parts: &mut Vec<Part>, part: Part) {
    match part {
        Part::Text(text) => say(parts, &text),
        piece => parts.push(piece),
    }
}

struct Writer<'p> {
    pieces: &'p [Piece],
    /// Where the shared ones stand that are written.
    places: Vec<Option<usize>>,
    shared: Vec<String>,
}

impl Writer<'_> {
    fn part(&mut self, part: &Part, out: &mut String) {
        let n = match part {
            Part::Text(text) => return out.push_str(text),
            Part::Piece(n) => *n,
        };
        let Some(piece) = self.pieces.get(n) else { return };
        if piece.count < 2 || piece.bytes < SHORT_BYTES {
            return self.parts(piece, out);
        }
        let place = match self.places.get(n).copied().flatten() {
            Some(place) => place,
            None => {
                let mut own = String::new();
                self.parts(piece, &mut own);
                self.shared.push(own);
                let place = self.shared.len() - 1;
                if let Some(known) = self.places.get_mut(n) {
                    *known = Some(place);
                }
                place
            }
        };
        out.push_str(&format!("{{\"$\":{place}}}"));
    }

    fn parts(&mut self, piece: &Piece, out: &mut String) {
        for part in &piece.parts {
            self.part(part, out);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    /// What the page makes of it, as `site/job/packed.js` does.
    fn unpacked(text: &str) -> Value {
        fn whole(value: Value, shared: &[Value]) -> Value {
            match value {
                Value::Array(all) => all.into_iter().map(|one| whole(one, shared)).collect(),
                Value::Object(all) => match all.get("$") {
                    Some(n) => shared[usize::try_from(n.as_u64().unwrap()).unwrap()].clone(),
                    None => all.into_iter().map(|(name, one)| (name, whole(one, shared))).collect(),
                },
                one => one,
            }
        }
        let mut read: Value = serde_json::from_str(text).unwrap();
        let mut shared = Vec::new();
        for one in read["repeated"].as_array_mut().unwrap() {
            let one = whole(one.take(), &shared);
            shared.push(one);
        }
        whole(read["list"].take(), &shared)
    }

    #[test]
    fn what_stands_there_twice_is_written_once() {
        let amount = json!({"value": "40", "unit": "[lb_av]", "words": "[1,2] {\"$\":0}"});
        let range = json!({"low": amount, "high": amount});
        let list = json!({"a": range, "b": [range, amount, 1.5, null, true, [], {}], "c": "40", "d": [[], []]});
        let text = packed(&list).unwrap();
        assert_eq!(text.matches("lb_av").count(), 1, "{text}");
        assert_eq!(text.matches("low").count(), 1, "{text}");
        assert_eq!(unpacked(&text), list);
    }

    #[test]
    fn what_is_short_or_alone_stays_where_it_is() {
        let list = json!([{"a": 1}, {"a": 1}, {"title": "A title that stands here alone"}]);
        assert_eq!(packed(&list).unwrap(), format!("{{\"repeated\":[],\"list\":{list}}}"));
    }
}
