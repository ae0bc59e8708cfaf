//! Numbers of a generated procedure: their ranges, steps and values, as text.

use super::sketch::Scale;

/// A number input as it will be written. All are lengths, so that any two can be compared.
#[derive(Debug, Clone, Copy)]
pub struct Ruler {
    pub scale: Scale,
    /// Whether it can be any value between its ends.
    pub continuous: bool,
}

impl Ruler {
    /// A measure; it always has a smallest reading.
    pub fn measure(scale: Scale) -> Self {
        Ruler { scale, continuous: false }
    }

    /// A given; half of them have none.
    pub fn given(scale: Scale) -> Self {
        Ruler { scale, continuous: scale.form < 3 }
    }

    /// How many marks it has, from 0; a continuous one has marks too, for thresholds.
    pub fn marks(&self) -> u8 {
        self.scale.count
    }

    /// A mark as text.
    pub fn mark(&self, at: u8) -> String {
        let at = u32::from(at.min(self.marks() - 1));
        match self.scale.form {
            0 | 3 => format!("{} mm", 20 + at),
            1 => {
                let halves = 40 + at;
                if halves % 2 == 0 { format!("{} mm", halves / 2) } else { format!("{}.5 mm", halves / 2) }
            }
            2 | 4 => {
                let eighths = 6 + at;
                match (eighths / 8, eighths % 8) {
                    (whole, 0) => format!("{whole} in"),
                    (0, rest) => format!("{} in", fraction(rest)),
                    (whole, rest) => format!("{whole} {} in", fraction(rest)),
                }
            }
            _ => format!("{} mm", 10 + 5 * at),
        }
    }

    /// The smallest step as text.
    pub fn step(&self) -> &'static str {
        match self.scale.form {
            0 | 3 => "1 mm",
            1 => "0.5 mm",
            2 | 4 => "1/8 in",
            _ => "5 mm",
        }
    }

    /// `20 mm to 26 mm`, or `22 mm` where both are one.
    pub fn span(&self, low: u8, high: u8) -> String {
        if low >= high { self.mark(low) } else { format!("{} to {}", self.mark(low), self.mark(high)) }
    }
}

fn fraction(eighths: u32) -> String {
    let (mut top, mut bottom) = (eighths, 8);
    while top % 2 == 0 {
        top /= 2;
        bottom /= 2;
    }
    format!("{top}/{bottom}")
}
