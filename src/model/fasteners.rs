//! What the standard library says of threads, grades, wire and terminals.
//!
//! Lengths are in millimetres and stresses in megapascals, exact.

use crate::quantity::{Exact, Quantity};

/// Where a row's values come from.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Reference {
    /// The publication: `ISO 898-1, bolts, screws and studs: property classes`.
    pub publication: String,
    /// How far the values were confirmed against it, in words; empty where the library does not say.
    pub confirmed: String,
}

/// A screw thread with the sizes of its heads.
#[derive(Debug, Clone, PartialEq)]
pub struct Thread {
    /// `M8`, `1/2-13`
    pub id: String,
    /// Nominal diameter.
    pub diameter: Quantity,
    /// Pitch in millimetres (metric) or its inverse, threads per inch, already turned into a pitch.
    pub pitch_mm: Exact,
    /// Width across flats of the hex bolt head.
    pub hex_bolt: Option<Quantity>,
    /// Width across flats of the older head (DIN 931).
    pub old_hex_bolt: Option<Quantity>,
    /// Width across flats of the hex nut.
    pub hex_nut: Option<Quantity>,
    /// Width across flats of the older nut (DIN 934).
    pub old_hex_nut: Option<Quantity>,
    /// Key of the socket cap screw.
    pub hex_key: Option<Quantity>,
    /// Height of the hex bolt head, without a flange.
    pub head_height: Option<Quantity>,
    /// Largest height of the hex nut.
    pub nut_height: Option<Quantity>,
    /// Recess of the machine screw with a cross recess: `PH2`.
    pub cross_recess: Option<String>,
    /// Recess of the machine screw with a hexalobular recess: `T20`.
    pub hexalobular: Option<String>,
    /// The publications.
    pub sources: Vec<Reference>,
}

/// A self-tapping screw thread with the drives of its heads. It has no stress area: it forms its own thread.
#[derive(Debug, Clone, PartialEq)]
pub struct Tapping {
    /// `ST4.2`, `no-8`
    pub id: String,
    /// Largest outer diameter of the thread.
    pub diameter: Quantity,
    /// Pitch in millimetres.
    pub pitch_mm: Exact,
    /// Width across flats of the hexagon head.
    pub hex_head: Option<Quantity>,
    /// Mark of the cross recess: `PH2`.
    pub cross_recess: Option<String>,
    /// Mark of the hexalobular recess: `T20`.
    pub hexalobular: Option<String>,
    /// The publications.
    pub sources: Vec<Reference>,
}

/// A property class or grade of a bolt, or the class of a nut.
#[derive(Debug, Clone, PartialEq)]
pub struct Grade {
    /// `8.8`, `5`, `A2-70`, `nut-class-8`
    pub id: String,
    /// Proof stress up to and including each diameter, ascending. Stainless has none.
    pub proof: Vec<(Quantity, Quantity)>,
    /// Yield or 0.2 % stress up to and including each diameter, ascending.
    pub yields: Vec<(Quantity, Quantity)>,
    /// Tensile strength up to and including each diameter, ascending.
    pub tensile: Vec<(Quantity, Quantity)>,
    /// For nuts: the strongest bolt grade that the nut holds.
    pub carries: Option<Box<Grade>>,
    /// The publications.
    pub sources: Vec<Reference>,
}

/// A plain washer.
#[derive(Debug, Clone, PartialEq)]
pub struct Washer {
    /// `M8`, `M8-large`, `1/2-sae`
    pub id: String,
    /// Diameter of its hole.
    pub inside: Option<Quantity>,
    /// Its outer diameter.
    pub outside: Option<Quantity>,
    /// Largest thickness.
    pub thick: Option<Quantity>,
    /// The publications.
    pub sources: Vec<Reference>,
}

/// A nut whose insert grips the thread.
#[derive(Debug, Clone, PartialEq)]
pub struct InsertNut {
    /// Its thread's size: `M8`, `1/2`
    pub id: String,
    /// Largest height.
    pub height: Option<Quantity>,
    /// Largest torque that the insert alone takes while a new nut is run up.
    pub prevails: Option<Quantity>,
    /// The publications.
    pub sources: Vec<Reference>,
}

/// A wire size.
#[derive(Debug, Clone, PartialEq)]
pub struct WireSize {
    /// `8-AWG`, `6-mm2`
    pub id: String,
    /// Whether the size is a gauge number rather than an area.
    pub awg: bool,
    /// The metal.
    pub metal: String,
    /// Nominal conductor area.
    pub area: Option<Quantity>,
    /// Smallest area that vehicle wire of that size may have.
    pub least_area: Option<Quantity>,
    /// Resistance at 20 °C in ohm per metre.
    pub ohm_per_metre: Option<Exact>,
    /// Current that a single conductor carries in 30 °C air, by the temperature that its insulation bears, ascending.
    pub ampacity: Vec<(Quantity, Quantity)>,
    /// The publications of the area.
    pub area_sources: Vec<Reference>,
    /// The publications of the least area.
    pub least_area_sources: Vec<Reference>,
    /// The publications of the resistance.
    pub resistance_sources: Vec<Reference>,
    /// The publications of the currents.
    pub ampacity_sources: Vec<Reference>,
}

/// The ratings in which a sort of fuse or breaker is made.
#[derive(Debug, Clone, PartialEq)]
pub struct ProtectorRatings {
    /// `blade-fuse`
    pub id: String,
    /// `Blade fuse`
    pub title: String,
    /// Whether it is a fuse rather than a breaker.
    pub fuse: bool,
    /// The currents, as the row lists them.
    pub ratings: Vec<Quantity>,
    /// The publications.
    pub sources: Vec<Reference>,
}

/// The standard form of a fastener.
#[derive(Debug, Clone, PartialEq)]
pub struct Fastener {
    /// What it is.
    pub kind: FastenerKind,
    /// Its thread, where it has a machine thread.
    pub thread: Option<Thread>,
    /// Its self-tapping thread, where it has one.
    pub tapping: Option<Tapping>,
    /// Its diameter where it has no machine thread.
    pub diameter: Option<Quantity>,
    /// Its length.
    pub length: Option<Quantity>,
    /// Its class or grade.
    pub grade: Option<Grade>,
    /// How it is turned.
    pub head: Option<Head>,
    /// For washers: what a library says of its size; `None` where none has it.
    pub washer: Option<Washer>,
    /// For nuts with an insert: what a library says of its size; `None` where none has it.
    pub insert: Option<InsertNut>,
    /// Further words as written: `nylon insert`, `zinc plated`.
    pub words: Vec<String>,
}

impl Fastener {
    /// Whether an insert of nylon grips the thread: such a nut takes torque before it clamps anything.
    pub fn has_insert(&self) -> bool {
        self.words.iter().any(|word| word == "nylon insert")
    }

    /// Whether it is of stainless steel, by the name of its class (ISO 3506: `A2-70`, `A4-80`, and `nut-class-A2-70`).
    pub fn is_stainless(&self) -> bool {
        self.grade.as_ref().is_some_and(Grade::is_stainless)
    }
}

impl Grade {
    /// Whether the class is one of stainless steel: a letter for the kind of steel, then a digit (ISO 3506).
    pub fn is_stainless(&self) -> bool {
        let name = self.id.trim_start_matches("nut-class-");
        let mut letters = name.chars();
        matches!(letters.next(), Some('A' | 'C' | 'F')) && letters.next().is_some_and(|next| next.is_ascii_digit())
    }
}

/// What a fastener is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FastenerKind {
    /// Takes a nut or a tapped hole.
    Bolt,
    /// Turned by its head into a thread of its own or a tapped hole.
    Screw,
    /// Threaded at both ends; the nut is turned.
    Stud,
    /// Turned or held against a bolt.
    Nut,
    /// Neither turned nor held.
    Washer,
}

/// How a fastener is turned: a drive and its possible sizes.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// The drive.
    pub drive: Drive,
    /// Sizes that may be met (current and older standard), or the mark of the recess (`PH2`).
    pub sizes: Vec<Quantity>,
    /// The mark of the recess.
    pub mark: Option<String>,
}

/// A drive: what a tool grips.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Drive {
    /// Outer hexagon.
    Hex,
    /// Inner hexagon.
    HexSocket,
    /// Cross recess (ISO 4757).
    CrossRecess,
    /// Slot.
    Slot,
    /// Hexalobular (ISO 10664).
    Hexalobular,
}
