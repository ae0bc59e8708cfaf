//! How large a picture is printed, which a finding and the manual must not say in two ways.

use crate::model::{Callout, Figure};

/// The room that a picture has on paper, in tenths of a millimetre: width and height. It is filled in one direction.
const ROOM: (u32, u32) = (1600, 420);
/// With callouts, which need more, and a legend beside it.
const ROOM_WITH_CALLOUTS: (u32, u32) = (1150, 600);
/// How far the middles of two balloons are apart that just touch, in tenths of a millimetre.
const BALLOON: i64 = 52;
/// How far a balloon stands beside the place that it points at, across and down, in tenths of a millimetre.
const BESIDE: i32 = 40;

/// Where the middle of a balloon stands, from the place that it points at, in tenths of a millimetre: away from the middle of
/// the picture, where there is room, and above. So it hides nothing of what it points at.
pub(crate) fn balloon(callout: &Callout) -> (i32, i32) {
    const EDGE: u32 = Callout::WHOLE / 10;
    const HALF: u32 = Callout::WHOLE / 2;
    let to_left = if callout.across < HALF { callout.across >= EDGE } else { callout.across > Callout::WHOLE - EDGE };
    let above = callout.down >= EDGE + EDGE / 2;
    (if to_left { -BESIDE } else { BESIDE }, if above { -BESIDE } else { BESIDE })
}

/// The size of a picture on paper, in tenths of a millimetre.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct OnPaper {
    pub(crate) width: u32,
    pub(crate) height: u32,
}

impl OnPaper {
    /// Of a figure, whichever step shows it.
    pub(crate) fn of(figure: &Figure) -> OnPaper {
        let room = if figure.callouts.is_empty() { ROOM } else { ROOM_WITH_CALLOUTS };
        let (width, height) = (u64::from(figure.size.width.max(1)), u64::from(figure.size.height.max(1)));
        let (wide, high) = (u64::from(room.0), u64::from(room.1));
        let tenths = |value: u64| u32::try_from(value.max(1)).unwrap_or(u32::MAX);
        if width * high >= height * wide {
            OnPaper { width: room.0, height: tenths(height * wide / width) }
        } else {
            OnPaper { width: tenths(width * high / height), height: room.1 }
        }
    }

    /// Whether the balloons of two callouts stand on one another.
    pub(crate) fn covers(self, one: &Callout, other: &Callout) -> bool {
        let middle = |callout: &Callout| {
            let place = |share: u32, side: u32| i64::from(share) * i64::from(side) / i64::from(Callout::WHOLE);
            let (x, y) = balloon(callout);
            (place(callout.across, self.width) + i64::from(x), place(callout.down, self.height) + i64::from(y))
        };
        let (one, other) = (middle(one), middle(other));
        let (across, down) = (one.0 - other.0, one.1 - other.1);
        across * across + down * down < BALLOON * BALLOON
    }

    /// How many of so many pixels stand on an inch of one side.
    pub(crate) fn per_inch(pixels: u32, side: u32) -> u64 {
        u64::from(pixels) * 254 / u64::from(side.max(1))
    }

    /// The least pixels with which so many stand on each inch: width and height.
    pub(crate) fn pixels_for(self, per_inch: u32) -> (u64, u64) {
        let needed = |side: u32| (u64::from(side) * u64::from(per_inch)).div_ceil(254);
        (needed(self.width), needed(self.height))
    }
}
