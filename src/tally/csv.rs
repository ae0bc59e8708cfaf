//! The figures of a tally as a table: one figure a row.

use serde_json::Value;

use super::lines::Line;

/// The columns.
pub const COLUMNS: [&str; 8] = ["kind", "revision", "id", "title", "of", "figure", "value", "unit"];

/// Rows of cells, the head first, for whoever writes them. `of` is what of the thing a row is about: a value, a wrench, an edge, a
/// record.
pub fn csv(lines: &[Line]) -> Vec<[String; 8]> {
    let mut rows = vec![COLUMNS.map(str::to_owned)];
    for line in lines {
        let Ok(Value::Object(members)) = serde_json::to_value(line) else { continue };
        let text = |names: &[&str]| {
            let found = names.iter().find_map(|name| members.get(*name));
            found.and_then(Value::as_str).unwrap_or_default().to_owned()
        };
        let own = Own {
            kind: text(&["kind"]),
            revision: text(&["revision"]),
            id: text(&["id", "joint", "step", "branch", "record", "procedure", "name"]),
            title: text(&["title", "message", "text"]),
            unit: text(&["symbol"]),
        };
        let of = match line {
            Line::Arm(arm) => arm.words.clone().unwrap_or_default(),
            Line::Torque(torque) => torque.wrench.as_ref().map_or_else(String::new, |wrench| {
                let parts = [wrench.tool.clone(), wrench.instrument.clone()];
                parts.into_iter().flatten().collect::<Vec<_>>().join(" ")
            }),
            Line::LookFirst(look) => look.words.clone().unwrap_or_default(),
            _ => String::new(),
        };
        let head = ["kind", "revision", "id", "title", "symbol", "words"];
        for (name, value) in members.iter().filter(|(name, _)| !head.contains(&name.as_str())) {
            if value.is_number() || value.is_boolean() {
                rows.push(own.row(&of, name, &value.to_string()));
            }
        }
        let (values, edges) = match line {
            Line::Reading(reading) => (reading.values.as_slice(), reading.edges.as_slice()),
            Line::Torque(torque) => (torque.values.as_slice(), &[][..]),
            _ => (&[][..], &[][..]),
        };
        for value in values {
            let what = format!("{of} {}", value.value);
            rows.push(own.row(what.trim(), "count of value", &value.count.to_string()));
        }
        for edge in edges {
            let what = format!("{} {} {}", edge.of, edge.side.word(), edge.at);
            rows.push(own.row(&what, "near edge", &edge.near.to_string()));
            rows.push(own.row(&what, "inside edge", &edge.inside.to_string()));
        }
    }
    rows
}

/// The cells that all rows of a line share.
struct Own {
    kind: String,
    revision: String,
    id: String,
    title: String,
    unit: String,
}

impl Own {
    fn row(&self, of: &str, figure: &str, value: &str) -> [String; 8] {
        let Own { kind, revision, id, title, unit } = self;
        [kind, revision, id, title, of, figure, value, unit].map(str::to_owned)
    }
}
