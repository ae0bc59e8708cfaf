//! What the folder of a build for one fitting is called.

/// The longest name that a folder gets; file systems allow 255 bytes, and paths below it need room.
const LONGEST_NAME: usize = 100;

/// The name of the folder of a tailored procedure: its own, then each name with its value, `arm` and `powered`, `load` and
/// `150 kg`. Only lower case letters, digits, dots between digits, and hyphens; where it would be too long, a digest stands
/// for the rest.
pub fn folder_name<'a>(procedure: &str, chosen: impl Iterator<Item = (&'a str, &'a str)>) -> String {
    let parts: String = chosen.map(|(what, value)| folder_part(what, value)).collect();
    short_folder(format!("{procedure}{parts}"))
}

/// What one name and its value add to it.
pub fn folder_part(what: &str, value: &str) -> String {
    format!("--{what}-{}", plain(value))
}

/// A name whose parts are put together, cut with a digest where it is too long.
pub fn short_folder(name: String) -> String {
    if name.len() <= LONGEST_NAME {
        return name;
    }
    let digest = crate::canonical::sha256(name.as_bytes());
    let digest: String = digest.chars().take(12).collect();
    let room = LONGEST_NAME - digest.len() - 2;
    let start: String = name.chars().take(room).collect();
    format!("{}--{digest}", start.trim_end_matches(['-', '.']))
}

/// A value as part of a file name. `3/4` and `34` must not become the same.
fn plain(value: &str) -> String {
    let mut plain = String::new();
    for c in value.trim().to_lowercase().chars() {
        match c {
            'a'..='z' | '0'..='9' => plain.push(c),
            '.' if plain.ends_with(|c: char| c.is_ascii_digit()) => plain.push('.'),
            '/' => plain.push_str("-over-"),
            '%' => plain.push_str("percent"),
            _ if plain.ends_with('-') => {}
            _ => plain.push('-'),
        }
    }
    plain.trim_end_matches(['-', '.']).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_become_parts_of_a_name() {
        for (value, wanted) in [
            ("powered", "powered"),
            ("150 kg", "150-kg"),
            ("12.5 N.m", "12.5-n-m"),
            ("3 1/2 in", "3-1-over-2-in"),
            ("5 %", "5-percent"),
            ("../..", "over"),
        ] {
            assert_eq!(plain(value).trim_start_matches('-'), wanted, "{value}");
        }
    }
}
