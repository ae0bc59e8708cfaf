//! Moments, as RFC 3339 writes them.

/// A moment: seconds since the beginning of 1970 in UTC, and billionths of a second.
pub type Moment = (i64, u32);

/// The moment of a text such as `2026-11-25T09:30:00.5+01:00`; `None` for any other text. A leap second counts as the
/// first second after it.
pub fn moment(text: &str) -> Option<Moment> {
    if !text.is_ascii() || text.len() < 20 {
        return None;
    }
    let number = |from: usize, to: usize| -> Option<i64> {
        let digits = text.get(from..to)?;
        digits.bytes().all(|byte| byte.is_ascii_digit()).then(|| digits.parse().ok()).flatten()
    };
    let sign = |at: usize, wanted: char| text.get(at..=at).is_some_and(|found| found.starts_with(wanted)).then_some(());
    let (year, month, day) = (number(0, 4)?, number(5, 7)?, number(8, 10)?);
    let (hour, minute, second) = (number(11, 13)?, number(14, 16)?, number(17, 19)?);
    sign(4, '-').and(sign(7, '-')).and(sign(10, 'T')).and(sign(13, ':')).and(sign(16, ':'))?;
    let valid = (1..=12).contains(&month) && (1..=days_of(year, month)).contains(&day);
    if !valid || hour > 23 || minute > 59 || second > 60 {
        return None;
    }
    let mut rest = text.get(19..)?;
    let mut billionths = 0;
    if let Some(after) = rest.strip_prefix('.') {
        let count = after.bytes().take_while(u8::is_ascii_digit).count();
        if !(1..=9).contains(&count) {
            return None;
        }
        billionths = after.get(..count)?.parse::<u32>().ok()? * 10_u32.pow(9 - u32::try_from(count).ok()?);
        rest = after.get(count..)?;
    }
    let seconds = ((days_since_1970(year, month, day) * 24 + hour) * 60 + minute) * 60 + second;
    Some((seconds - offset(rest)?, billionths))
}

/// Seconds east of Greenwich: of `Z`, `+01:00`.
fn offset(text: &str) -> Option<i64> {
    if text == "Z" {
        return Some(0);
    }
    let (sign, rest) = (text.get(..1)?, text.get(1..)?);
    let (hours, minutes) = rest.split_once(':')?;
    let number = |digits: &str| {
        let two = digits.len() == 2 && digits.bytes().all(|byte| byte.is_ascii_digit());
        two.then(|| digits.parse::<i64>().ok()).flatten()
    };
    let (hours, minutes) = (number(hours)?, number(minutes)?);
    if hours > 23 || minutes > 59 {
        return None;
    }
    match sign {
        "+" => Some((hours * 60 + minutes) * 60),
        "-" => Some(-(hours * 60 + minutes) * 60),
        _ => None,
    }
}

fn is_leap(year: i64) -> bool {
    (year % 4 == 0 && year % 100 != 0) || year % 400 == 0
}

fn days_of(year: i64, month: i64) -> i64 {
    match month {
        2 if is_leap(year) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Days of the Gregorian calendar, carried back before its beginning.
fn days_since_1970(year: i64, month: i64, day: i64) -> i64 {
    let before = year - 1;
    let years = before * 365 + before.div_euclid(4) - before.div_euclid(100) + before.div_euclid(400);
    let months: i64 = (1..month).map(|month| days_of(year, month)).sum();
    years + months + day - 1 - 719_162
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seconds of the Unix clock: the beginning of 1970, and 2001-09-09T01:46:40Z, which is 1,000,000,000.
    #[test]
    fn moments_that_are_known() {
        assert_eq!(moment("1970-01-01T00:00:00Z"), Some((0, 0)));
        assert_eq!(moment("2001-09-09T01:46:40Z"), Some((1_000_000_000, 0)));
        assert_eq!(moment("2001-09-09T03:46:40.25+02:00"), Some((1_000_000_000, 250_000_000)));
        assert_eq!(moment("2001-09-08T20:16:40-05:30"), Some((1_000_000_000, 0)));
        assert_eq!(moment("2000-02-29T00:00:00Z"), Some((951_782_400, 0)));
    }

    #[test]
    fn what_is_no_moment() {
        for text in [
            "",
            "2026-11-25",
            "2026-11-25T09:30:00",
            "2026-02-29T09:30:00Z",
            "2026-13-01T09:30:00Z",
            "2026-11-25 09:30:00Z",
            "2026-11-25T24:00:00Z",
            "2026-11-25T09:30:00.Z",
            "2026-11-25T09:30:00+0100",
            "2026-11-25T09:30:00+é1:00",
            "+026-11-25T09:30:00Z",
        ] {
            assert_eq!(moment(text), None, "{text}");
        }
    }
}
