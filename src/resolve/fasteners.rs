//! The standard form of a fastener: `bolt M8 x 30 mm, class 8.8, hex head`.

use super::Resolver;
use super::rows::hex_of;
use crate::diagnostics::{Code, Finding, suggest};
use crate::model::{Drive, Fastener, FastenerKind, Grade, Head, Thread};
use crate::parse::tree::{self, Name, Spec};
use crate::quantity::{Kind, Measure, Quantity, display};
use crate::source::Span;

/// How a writer says that he cannot know how a fastener is turned.
const UNKNOWN_DRIVE: &str = "Where nobody knows it: `{ drive unknown \"why\" }` after the part's form.";
/// The forms of a head that can be written, for repairs.
const HEADS: &str = "`hex head`, `socket head`, or a head with its drive: `pan head, cross recess PH2`, \
                     `countersunk head, hex socket 5 mm`, `pan head, hexalobular T30`, `pan head, slot 5.5 mm`";

/// Forms of a head that say nothing of the drive.
const FORMS: &[&str] = &[
    "pan head",
    "countersunk head",
    "raised countersunk head",
    "button head",
    "cheese head",
    "cup head",
    "round head",
    "mushroom head",
    "truss head",
    "oval head",
    "flat head",
    "wafer head",
    "fillister head",
    "low head",
];

/// How a head is turned, as it is written without its size.
const DRIVES: &[&str] = &["hex head", "socket head", "cross recess", "hexalobular"];

/// Further words that mean something of a fastener: what holds it, its thread, its finish, its shape.
const WORDS: &[&str] = &[
    "nylon insert",
    "square neck",
    "zinc plated",
    "captive",
    "weld",
    "wing",
    "knurled",
    "all-metal lock",
    "thin",
    "castle",
    "domed",
    "flange",
    "serrated flange",
    "fully threaded",
    "left-hand thread",
    "self-drilling",
    "thread-forming",
    "galvanised",
    "hot-dip galvanised",
    "zinc flake coated",
    "nickel plated",
    "phosphated",
    "black",
    "plain",
    "large",
    "small",
    "thick",
    "spring",
    "tooth lock",
    "wedge lock",
    "conical",
    "sealing",
    "brass",
    "copper",
    "aluminium",
    "nylon",
    "rubber",
];

/// Words that only nuts, washers or screws have (common practice; from memory).
const OF_ONE_KIND: &[(&str, &[&str])] = &[
    ("nut", &["nylon insert", "weld", "all-metal lock", "castle", "domed"]),
    ("washer", &["large", "small", "spring", "tooth lock", "wedge lock", "conical", "sealing", "rubber"]),
    ("screw", &["self-drilling", "thread-forming"]),
    ("bolt", &["square neck"]),
];

/// The words that a fastener of this kind may have, for proposals.
pub(super) fn words_of(kind: &str) -> Vec<&'static str> {
    let has_head = matches!(kind, "bolt" | "screw");
    let heads = [DRIVES, FORMS].into_iter().flatten().filter(|_| has_head);
    let grades = ["class", "grade"].iter().filter(|_| kind != "washer");
    let of_another = |word: &&str| OF_ONE_KIND.iter().any(|(other, words)| *other != kind && words.contains(word));
    heads.chain(grades).chain(WORDS.iter().filter(|word| !of_another(word))).copied().collect()
}

impl Resolver<'_> {
    /// Lowers the form of a fastener; with `drive_unknown`, nobody says how it is turned.
    pub(super) fn fastener(&mut self, spec: &Spec, drive_unknown: bool) -> Option<Fastener> {
        let kind = match spec.kind.text.as_str() {
            "bolt" => FastenerKind::Bolt,
            "screw" => FastenerKind::Screw,
            "stud" => FastenerKind::Stud,
            "nut" => FastenerKind::Nut,
            "washer" => FastenerKind::Washer,
            other => {
                self.report(
                    Finding::new(
                        Code::FW0110,
                        format!("`{other}` is not a kind of fastener"),
                        spec.kind.span,
                        "not known",
                    )
                    .repair(
                        "Write `bolt`, `screw`, `stud`, `nut` or `washer`, or give the part a title in quotes instead.",
                    ),
                );
                return None;
            }
        };
        let (mut thread, mut tapping) = (None, None);
        match &spec.thread {
            Some(name) if kind == FastenerKind::Screw && self.is_tapping(name) => tapping = Some(self.tapping(name)?),
            Some(name) => thread = Some(self.thread(name)?),
            None => {}
        }
        let diameter = match &spec.diameter {
            Some(measure) => Some(self.single_quantity(measure, &[Kind::Length])?),
            None => None,
        };
        let length = match &spec.length {
            Some(measure) => Some(self.single_quantity(measure, &[Kind::Length])?),
            None => None,
        };
        let diameter = diameter.or(tapping.as_ref().map(|row| row.diameter));
        let mut fastener = Fastener {
            kind,
            thread,
            tapping,
            diameter,
            length,
            grade: None,
            head: None,
            washer: None,
            insert: None,
            words: Vec::new(),
        };
        for attribute in &spec.attributes {
            self.attribute(&mut fastener, attribute)?;
        }
        self.one_head(spec, &fastener)?;
        if !(drive_unknown && fastener.head.is_none()) {
            self.default_head(&mut fastener, spec.span)?;
        }
        self.add_hardware(&mut fastener, spec.span);
        Some(fastener)
    }

    fn attribute(&mut self, fastener: &mut Fastener, attribute: &Name) -> Option<()> {
        let text = attribute.text.as_str();
        let (first, rest) = text.split_once(' ').unwrap_or((text, ""));
        match (first, rest) {
            ("class" | "grade", grade) => {
                fastener.grade = Some(self.fastener_grade(fastener.kind, first, grade, attribute)?)
            }
            ("hex", "head") => {
                let mut sizes = bolt_sizes(fastener.thread.as_ref());
                sizes.extend(hex_of(fastener.tapping.as_ref()));
                fastener.head = Some(Head { drive: Drive::Hex, sizes, mark: None });
                fastener.words.push(text.to_owned());
            }
            ("socket", "head") => {
                let sizes = fastener.thread.as_ref().and_then(|thread| thread.hex_key).into_iter().collect();
                fastener.head = Some(Head { drive: Drive::HexSocket, sizes, mark: None });
                fastener.words.push(text.to_owned());
            }
            ("hex", flats) if flats.starts_with("head ") || flats.starts_with("socket ") => {
                let drive = if flats.starts_with("head ") { Drive::Hex } else { Drive::HexSocket };
                let size = flats.split_once(' ').map_or("", |(_, size)| size);
                let size = self.size_in(size, attribute.span)?;
                fastener.head = Some(Head { drive, sizes: vec![size], mark: None });
                fastener.words.push(text.to_owned());
            }
            ("slot", size) if !size.is_empty() => {
                let size = self.size_in(size, attribute.span)?;
                fastener.head = Some(Head { drive: Drive::Slot, sizes: vec![size], mark: None });
                fastener.words.push(text.to_owned());
            }
            ("cross", "recess") => self.usual_recess(fastener, Drive::CrossRecess, attribute)?,
            ("hexalobular", "" | "recess") => self.usual_recess(fastener, Drive::Hexalobular, attribute)?,
            ("cross", recess) if recess.starts_with("recess ") => {
                let mark = recess.trim_start_matches("recess ").to_owned();
                fastener.head = Some(Head { drive: Drive::CrossRecess, sizes: Vec::new(), mark: Some(mark) });
                fastener.words.push(text.to_owned());
            }
            ("hexalobular", mark) if !mark.is_empty() => {
                fastener.head =
                    Some(Head { drive: Drive::Hexalobular, sizes: Vec::new(), mark: Some(mark.to_owned()) });
                fastener.words.push(text.to_owned());
            }
            _ if self.is_known(fastener, text) => fastener.words.push(text.to_owned()),
            _ => {
                self.report(unknown_word(fastener.kind, attribute));
                return None;
            }
        }
        Some(())
    }

    /// Whether a word means something of a fastener: nothing is swallowed, since a slip such as `nylon inset` would lose
    /// what the compiler works out from it.
    fn is_known(&self, fastener: &Fastener, word: &str) -> bool {
        let of_a_row = || {
            let rows = self.standards.washers.keys();
            fastener.kind == FastenerKind::Washer && rows.into_iter().any(|row| row.ends_with(&format!("-{word}")))
        };
        FORMS.contains(&word) || WORDS.contains(&word) || of_a_row()
    }

    /// A fastener has one head: of `countersunk head, socket head` the second would decide the key, and decide it wrongly.
    fn one_head(&mut self, spec: &Spec, fastener: &Fastener) -> Option<()> {
        let is_head = |word: &&Name| {
            FORMS.contains(&word.text.as_str()) || matches!(word.text.as_str(), "hex head" | "socket head")
        };
        let heads: Vec<&Name> = spec.attributes.iter().filter(is_head).collect();
        let [first, second, ..] = heads.as_slice() else { return Some(()) };
        let form = heads.iter().find(|word| FORMS.contains(&word.text.as_str()));
        let is_socket = heads.iter().any(|word| word.text == "socket head");
        let key = fastener.thread.as_ref().and_then(|thread| low_key(thread));
        let finding = Finding::new(
            Code::FW0113,
            format!("`{}` and `{}` are two heads", first.text, second.text),
            second.span,
            "a fastener has one",
        )
        .also(first.span, "the other")
        .because("`socket head` is the tall cylinder head of ISO 4762; flatter heads have a smaller key.");
        self.report(match (form, key.filter(|_| is_socket)) {
            (Some(form), Some(key)) => {
                finding.repair(format!("Write `{}, hex socket {key}` (ISO 10642 and ISO 7380).", form.text))
            }
            (Some(form), None) if is_socket => finding.repair(format!("Write `{}, hex socket SIZE`.", form.text)),
            _ => finding.repair("Take one of the two out."),
        });
        None
    }

    fn size_in(&mut self, text: &str, at: Span) -> Option<Quantity> {
        let inner = Span { start: at.end.saturating_sub(u32::try_from(text.len()).unwrap_or(0)), ..at };
        match crate::parse::measure(text, inner) {
            Some(measure) => self.single_quantity(&measure, &[Kind::Length]),
            None => {
                self.report(
                    Finding::new(Code::FW0101, format!("`{text}` is not a size"), inner, "a length is meant here")
                        .repair("Write the size with its unit: `hex socket 5 mm`."),
                );
                None
            }
        }
    }

    fn fastener_grade(&mut self, kind: FastenerKind, word: &str, grade: &str, at: &Name) -> Option<Grade> {
        if kind == FastenerKind::Nut { self.grade(&format!("nut-{word}-{grade}"), at) } else { self.grade(grade, at) }
    }

    /// Nuts are hexagonal unless they say otherwise; bolts and screws must say their head; a stud has none.
    fn default_head(&mut self, fastener: &mut Fastener, span: Span) -> Option<()> {
        // A square neck holds the bolt in its hole; its round head takes no tool.
        let holds_itself =
            fastener.words.iter().any(|word| matches!(word.as_str(), "square neck" | "wing" | "knurled"));
        if fastener.head.is_some() || holds_itself || fastener.kind == FastenerKind::Washer {
            return Some(());
        }
        match fastener.kind {
            FastenerKind::Nut => {
                let sizes = nut_sizes(fastener.thread.as_ref());
                fastener.head = Some(Head { drive: Drive::Hex, sizes, mark: None });
                Some(())
            }
            FastenerKind::Stud => Some(()),
            _ => {
                let form = fastener.words.iter().find(|word| FORMS.contains(&word.as_str()));
                let label = if form.is_some() { "its drive is missing" } else { "its head is missing" };
                let finding = Finding::new(Code::FW0114, "this fastener does not say how it is turned", span, label)
                    .because("Without the drive, nobody can say which tool fits.");
                self.report(finding.repair(match form {
                    Some(form) => format!(
                        "Add the drive after `{form}`: `cross recess PH2`, `hex socket 5 mm`, `hexalobular T30` or `slot 5.5 mm`. {UNKNOWN_DRIVE}"
                    ),
                    None => format!("Add {HEADS}. {UNKNOWN_DRIVE}"),
                }));
                None
            }
        }
    }
}

/// Drives that are written with their size, each with one of them.
const DRIVES_OF_SIZES: &[(&str, &str)] =
    &[("hex socket", "5 mm"), ("cross recess", "PH2"), ("hexalobular", "T30"), ("slot", "5.5 mm")];

/// What is said of a word that nothing is known of.
fn unknown_word(kind: FastenerKind, word: &Name) -> Finding {
    let what = match kind {
        FastenerKind::Bolt => "bolt",
        FastenerKind::Screw => "screw",
        FastenerKind::Stud => "stud",
        FastenerKind::Nut => "nut",
        FastenerKind::Washer => "washer",
    };
    let near = suggest::nearest(&word.text, WORDS.iter().chain(FORMS).chain(DRIVES).copied());
    let finding = Finding::new(
        Code::FW0208,
        format!("nothing is known of a {what} with `{}`", word.text),
        word.span,
        "not a word of fasteners",
    )
    .because("A word that is not understood would be passed over, and with it what follows from it: a tool, a torque, a size.");
    match near {
        _ if word.text.ends_with(" unknown") => finding.repair(
            "Say what nobody knows in the block of the part: `{ drive unknown \"why\" }`, `{ class unknown \"why\" }` or `{ size unknown \"why\" }`.",
        ),
        // A drive that has sizes, without one.
        _ if DRIVES_OF_SIZES.iter().any(|(drive, _)| *drive == word.text) => {
            let example = DRIVES_OF_SIZES.iter().find(|(drive, _)| *drive == word.text).map_or("", |(_, size)| *size);
            finding.repair(format!("Add its size: `{} {example}`. {UNKNOWN_DRIVE}", word.text))
        }
        Some(near) => {
            finding.repair(format!("Write `{near}`, or put the word in quotes where nothing here depends on it."))
        }
        None => finding.repair(format!(
            "Put it in quotes where nothing here depends on it: `\"{}\"`. Known are, among others, {}.",
            word.text,
            WORDS.iter().take(6).map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
        )),
    }
}

/// The key of countersunk (ISO 10642) and button (ISO 7380) heads with a hexagon socket, from M3 to M12 the same for both;
/// from memory.
fn low_key(thread: &Thread) -> Option<&'static str> {
    const KEYS: &[(&str, &str)] = &[
        ("M3", "2 mm"),
        ("M4", "2.5 mm"),
        ("M5", "3 mm"),
        ("M6", "4 mm"),
        ("M8", "5 mm"),
        ("M10", "6 mm"),
        ("M12", "8 mm"),
    ];
    let size = thread.id.split('x').next()?;
    KEYS.iter().find(|(known, _)| *known == size).map(|(_, key)| *key)
}

fn bolt_sizes(thread: Option<&Thread>) -> Vec<Quantity> {
    thread.map(|thread| [thread.hex_bolt, thread.old_hex_bolt].into_iter().flatten().collect()).unwrap_or_default()
}

fn nut_sizes(thread: Option<&Thread>) -> Vec<Quantity> {
    thread.map(|thread| [thread.hex_nut, thread.old_hex_nut].into_iter().flatten().collect()).unwrap_or_default()
}

/// The title of a fastener that has none of its own: `Bolt M8 × 30 mm, class 8.8, hex head`.
pub(super) fn standard_title(spec: &Spec, fastener: &Fastener) -> String {
    let mut title = super::names::sentence_case(&spec.kind.text);
    if let Some(thread) = &fastener.thread {
        title.push(' ');
        title.push_str(&thread.id);
    }
    if let Some(tapping) = &fastener.tapping {
        title.push(' ');
        title.push_str(&tapping.id.replace("no-", "no. "));
    } else if let Some(diameter) = &fastener.diameter {
        title.push(' ');
        title.push_str(&own_units(diameter));
    }
    if let Some(length) = &fastener.length {
        title.push_str(" × ");
        title.push_str(&own_units(length));
    }
    for tree::Name { text, .. } in &spec.attributes {
        title.push_str(", ");
        title.push_str(text);
        let mark = fastener.head.as_ref().and_then(|head| head.mark.as_ref());
        if let Some(mark) =
            mark.filter(|_| matches!(text.as_str(), "cross recess" | "hexalobular" | "hexalobular recess"))
        {
            title.push(' ');
            title.push_str(mark);
        }
    }
    for remark in &spec.remarks {
        title.push_str(", ");
        title.push_str(&remark.value);
    }
    title
}

/// A size as its standard writes it, in its own unit only.
fn own_units(quantity: &Quantity) -> String {
    use crate::quantity::{System, UnitPreference};
    let first = quantity.unit.system().unwrap_or(System::Metric);
    display::measure(&Measure::Exact(*quantity), UnitPreference { first, second: None })
}
