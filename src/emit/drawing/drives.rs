//! Hexagons, recesses and slots as a tool meets them. Sizes are millimetres.

use super::canvas::{Canvas, n};
use crate::model::Drive;

/// Across corners of a hexagon that is 1 across flats: two over the root of three.
pub(super) const CORNERS: f64 = 1.154_700_538_379_251_7;

/// A hexagon with two of its corners above and below its centre.
pub(super) fn hexagon(canvas: &mut Canvas, centre: (f64, f64), flats: f64, class: &str) {
    let (x, y) = centre;
    let (half, corner) = (flats / 2.0, flats * CORNERS / 2.0);
    let points = [
        (x, y - corner),
        (x + half, y - corner / 2.0),
        (x + half, y + corner / 2.0),
        (x, y + corner),
        (x - half, y + corner / 2.0),
        (x - half, y - corner / 2.0),
    ];
    let text: Vec<String> = points.iter().map(|point| format!("{} {}", n(point.0), n(point.1))).collect();
    canvas.path(&format!("M{}Z", text.join("L")), class);
    canvas.reach(y + corner);
}

/// How wide the tip of a tool is that fits a recess, in millimetres: across the lobes as ISO 10664 has it, across the
/// wings about as wide as ISO 7045 lets the recess be (both from memory).
pub(super) fn recess_width(drive: Drive, mark: &str) -> Option<f64> {
    let number: u32 = mark.trim_start_matches(|c: char| c.is_ascii_alphabetic()).parse().ok()?;
    let table: &[(u32, f64)] = match drive {
        Drive::CrossRecess => &[(0, 2.0), (1, 3.1), (2, 4.6), (3, 6.9), (4, 9.0)],
        Drive::Hexalobular => &[
            (5, 1.42),
            (6, 1.7),
            (7, 1.99),
            (8, 2.31),
            (9, 2.5),
            (10, 2.74),
            (15, 3.27),
            (20, 3.86),
            (25, 4.43),
            (27, 4.99),
            (30, 5.52),
            (40, 6.65),
            (45, 7.82),
            (50, 8.83),
            (55, 11.22),
            (60, 13.25),
        ],
        Drive::Hex | Drive::HexSocket | Drive::Slot => &[],
    };
    table.iter().find(|(known, _)| *known == number).map(|(_, width)| *width)
}

/// What a tool turns, from above and filled: an outer hexagon by its two outlines, all else as the tip of the tool.
/// `fit` is the scale and the most that it may be wide on the sheet.
pub(super) fn drive_plan(
    canvas: &mut Canvas,
    centre: (f64, f64),
    drive: Drive,
    size: Option<f64>,
    mark: Option<&str>,
    fit: (f64, f64),
) {
    let (scale, most) = fit;
    let known = size.or_else(|| recess_width(drive, mark.unwrap_or_default()));
    let Some(width) = known.map(|known| (known * scale).min(most)) else { return };
    match drive {
        Drive::Hex => {
            hexagon(canvas, centre, width + 3.2, "tint hair");
            hexagon(canvas, centre, width, "paper part");
        }
        Drive::HexSocket => hexagon(canvas, centre, width, "full"),
        Drive::Slot => {
            let thick = (width * 0.16).max(0.6);
            canvas.rect((centre.0 - width / 2.0, centre.1 - thick / 2.0), (width, thick), "full");
        }
        Drive::CrossRecess => {
            let arm = width * 0.28;
            canvas.rect((centre.0 - width / 2.0, centre.1 - arm / 2.0), (width, arm), "full");
            canvas.rect((centre.0 - arm / 2.0, centre.1 - width / 2.0), (arm, width), "full");
        }
        Drive::Hexalobular => lobes(canvas, centre, width / 2.0),
    }
    canvas.reach(centre.1 + width / 2.0);
}

/// Six lobes that reach to a radius.
fn lobes(canvas: &mut Canvas, centre: (f64, f64), radius: f64) {
    // Directions every thirty degrees, by halves of one and of the root of three.
    let (half, long) = (0.5, 0.866_025_403_784_438_6);
    let turn = [
        (1.0, 0.0),
        (long, half),
        (half, long),
        (0.0, 1.0),
        (-half, long),
        (-long, half),
        (-1.0, 0.0),
        (-long, -half),
        (-half, -long),
        (0.0, -1.0),
        (half, -long),
        (long, -half),
    ];
    let point = |direction: (f64, f64), far: f64| {
        format!("{} {}", n(centre.0 + direction.0 * far), n(centre.1 + direction.1 * far))
    };
    let (valley, peak) = (radius * 0.72, radius * 1.376);
    let mut d = String::new();
    for at in 0..6 {
        let direction = |at: usize| turn.get(at % 12).copied().unwrap_or_default();
        if at == 0 {
            d.push_str(&format!("M{}", point(direction(11), valley)));
        }
        d.push_str(&format!("Q{} {}", point(direction(2 * at), peak), point(direction(2 * at + 1), valley)));
    }
    canvas.path(&(d + "Z"), "full");
}
