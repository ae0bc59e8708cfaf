//! Sentences of work that no line states, and circuits that hang on one fuse.

use super::sketch::{Atom, Course};
use super::stories::{CIRCUITS, JOINTS, PartText, Teller};

/// Makes a place bright for a contact.
pub const SCRAPES: &str = "Scrape the metal bright for the ring.";
/// Paints it.
pub const PAINTS: &str = "Paint the bright metal.";
/// Tries each of the circuits without naming it.
pub const TRIES: [&str; 2] = ["Switch the pump on.", "Check that the lamp lights."];

impl Teller<'_, '_> {
    pub(super) fn said(&mut self, sort: u8, of: u8, course: &Course) {
        let of = usize::from(of);
        let (joints, circuits) = (self.numbers[0].min(JOINTS.len()), self.numbers[2].min(CIRCUITS.len()));
        let events = match sort % 4 {
            0 if joints > 0 => {
                let verb = ["Drill", "Ream"][of / 8 % 2];
                vec![format!("> {verb} the holes for the [{}].", JOINTS[of % joints].0)]
            }
            1 | 2 if circuits > 0 => {
                let circuit = of % circuits;
                let by_name = format!("> Try the [{}].", CIRCUITS[circuit].0);
                let other = format!("> {}", TRIES[circuit]);
                match of / 8 % 3 {
                    0 => vec![by_name],
                    1 => vec![other],
                    _ => vec![by_name, other],
                }
            }
            3 if circuits > 0 => vec![format!("> {SCRAPES}"), format!("> {PAINTS}")],
            _ => return,
        };
        self.events(course, &events, &[]);
    }

    /// Now and then a circuit has a fuse that is a part of the job.
    pub(super) fn fuse(&mut self, circuit: &str, course: &Course) -> String {
        let Some(at) = course.at.get(5).filter(|at| at.is_multiple_of(3)) else { return String::new() };
        let name = format!("{circuit}-fuse");
        let taken = u32::from(course.forgets != 5);
        if taken > 0 {
            // In the order in which it comes, or somewhere else.
            let mut own = course.clone();
            own.at = vec![at / 3];
            self.events(&own, &[format!("take 1 {name}")], &[]);
        }
        self.declared.parts.push(PartText {
            name: name.clone(),
            title: "Blade fuse, 10 A".to_owned(),
            lines: Vec::new(),
            taken,
            brings: Vec::new(),
        });
        format!("\n  fuse 10 A at 150 mm is {name}")
    }

    /// Circuits of the vehicle, of which the others begin where the first ends, on its way, or where it begins.
    pub(super) fn loads(&mut self, plot: u8, loads: [u8; 3], whens: [Option<Atom>; 3]) {
        if self.next(5) > 0 {
            return;
        }
        let by_title = (plot / 4).is_multiple_of(2);
        let load = |at: usize| [3, 5, 8, 12][usize::from(loads[at] % 4)];
        let upstream = "\n  protected 15 A upstream";
        // Where the second and the third begin: at the source of the first, on its way, at its end.
        let begins = match plot % 4 {
            0 => ["stud", "stud"],
            1 => ["end", "end"],
            2 => ["way", "end"],
            _ => ["way", "way"],
        };
        let names = ["fan-feed", "horn-feed", "radio-feed"];
        let title = |point: &str| format!("point {point} \"The {point} in the sill\"");
        for (at, name) in names.iter().enumerate() {
            let when = self.when(whens[at]);
            let (points, protected) = match at {
                0 => (
                    format!("{}\n  {}\n  {}", title("stud"), title("way"), title("end")),
                    if begins[0] == "stud" { upstream } else { "\n  fuse 15 A at 150 mm" },
                ),
                _ if begins[0] == "stud" || by_title => {
                    (format!("{}\n  point load-{at} \"Load {at}\"", title(begins[at - 1])), upstream)
                }
                _ => (format!("point from-{at} \"Tap {at}\"\n  point load-{at} \"Load {at}\""), ""),
            };
            self.declared.circuits.push(format!(
                "circuit {name} \"Feed {at}\"{when} {{\n  source 12 V  load {} A\n  on vehicle\n  {points}{protected}\n}}",
                load(at)
            ));
        }
        if begins[0] == "stud" || by_title {
            return;
        }
        let lugs = |point: &str| {
            let own = (1..3).filter(|at| begins[at - 1] == point).map(|at| format!("from-{at} of {}", names[at]));
            own.collect::<Vec<_>>().join("\n  at     ")
        };
        for point in ["way", "end"].into_iter().filter(|point| begins.contains(point)) {
            // Two fastenings are two studs, or one cable shoe with two holes: nobody knows.
            let count = if plot / 8 % 4 == 3 { 2 } else { 1 };
            self.declared.parts.push(PartText {
                name: format!("{point}-nut"),
                title: format!("Nut of the {point}"),
                ..PartText::default()
            });
            self.declared.joints.push(format!(
                "joint {point}-stud \"Stud of the {point}\" {{\n  each   1 {point}-nut\n  count  {count}\n  tight \"nut flat on the lug\"\n  on vehicle\n  at     {point} of {}\n  at     {}\n}}",
                names[0],
                lugs(point)
            ));
        }
    }
}
