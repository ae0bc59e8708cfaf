//! Stories: what they declare, and the lines that they bring to steps.

use super::conditions::{Scope, atom, pick, readings};
use super::plan::{Plan, name_of};
use super::sketch::{Course, Sketch, Story};

/// Plain parts that steps take.
pub const PARTS: [(&str, &str); 3] =
    [("rail-bracket", "Rail bracket"), ("cross-beam", "Cross-beam"), ("cover", "Cover")];
pub(super) const JOINTS: [(&str, &str); 4] = [
    ("bracket-joint", "Bracket joint"),
    ("post-joint", "Post joint"),
    ("hinge-joint", "Hinge joint"),
    ("foot-joint", "Foot joint"),
];
const STATES: [(&str, &str); 3] = [("lead", "Negative lead"), ("engine", "Engine"), ("door", "Rear door")];
pub const CIRCUITS: [(&str, &str); 2] = [("arm-feed", "Pump feed"), ("lamp-feed", "Lamp feed")];
const HAZARDS: [(&str, &str); 3] =
    [("sharp-burr", "Sharp burr"), ("hot-pipe", "Hot pipe"), ("falling-load", "Falling load")];
/// The hazard of every connection, of the standard library.
const LIVE: &str = "live-circuit";
/// Loose parts of the vehicle.
const TRIM: [(&str, &str); 2] = [("trim-screw", "Trim screw"), ("trim-clip", "Trim clip")];

/// What stories declare and count.
#[derive(Debug, Clone, Default)]
pub struct Declared {
    pub parts: Vec<PartText>,
    /// Words ` when COND`, or none, and what is there.
    pub vehicle: Vec<(String, String)>,
    pub joints: Vec<String>,
    pub circuits: Vec<String>,
    pub states: Vec<String>,
    pub actions: Vec<String>,
    pub tools: Vec<String>,
    /// Libraries.
    pub uses: Vec<&'static str>,
    /// Names and declarations.
    pub hazards: Vec<(&'static str, String)>,
}

/// A part and how much of it the text takes.
#[derive(Debug, Clone, Default)]
pub struct PartText {
    pub name: String,
    pub title: String,
    /// What stands in its braces.
    pub lines: Vec<String>,
    /// How many the text takes, each line counted once.
    pub taken: u32,
    pub brings: Vec<usize>,
}

/// Tells all stories.
pub fn tell(sketch: &Sketch, plan: &mut Plan) -> Declared {
    let mut teller = Teller { sketch, plan, declared: Declared::default(), numbers: [0; 6] };
    // Hazards first, since parts that bring them must know; then states, since circuits are isolated by one.
    let turn = |story: &Story| match story {
        Story::Hazard { .. } => 0,
        Story::State { .. } => 1,
        Story::Said { .. } => 3,
        _ => 2,
    };
    let mut stories: Vec<&Story> = sketch.stories.iter().collect();
    stories.sort_by_key(|story| turn(story));
    stories.iter().for_each(|story| teller.tell(story));
    for (index, story) in stories.into_iter().take(HAZARDS.len()).enumerate() {
        if let Story::Hazard { answered, course, .. } = story {
            teller.answer(index, *answered, course);
        }
    }
    let live = teller.declared.hazards.iter().position(|(name, _)| *name == LIVE);
    if let (Some(live), Some(circuit)) = (live, sketch.stories.iter().find_map(circuit_course)) {
        teller.answer(live, circuit.forgets.wrapping_add(1), circuit);
    }
    teller.declared
}

fn circuit_course(story: &Story) -> Option<&Course> {
    match story {
        Story::Circuit { course, .. } => Some(course),
        _ => None,
    }
}

pub(super) struct Teller<'s, 'p> {
    sketch: &'s Sketch,
    plan: &'p mut Plan,
    pub(super) declared: Declared,
    /// Joints, states, circuits, hazards, trim, groups of loads told so far.
    pub(super) numbers: [usize; 6],
}

impl Teller<'_, '_> {
    pub(super) fn next(&mut self, kind: usize) -> usize {
        self.numbers[kind] += 1;
        self.numbers[kind] - 1
    }

    /// Brings events to the slots of a course.
    pub(super) fn events(&mut self, course: &Course, events: &[String], brings: &[usize]) {
        let slots = self.plan.course(course, events.len());
        for (at, (event, slot)) in events.iter().zip(slots).enumerate() {
            if at != usize::from(course.forgets) {
                self.plan.bring(slot, event.clone(), brings.to_vec());
            }
        }
    }

    /// The words ` when COND`, over what is known before the job.
    pub(super) fn when(&self, when: Option<super::sketch::Atom>) -> String {
        when.and_then(|when| atom(self.sketch, Scope::Known, when))
            .map_or_else(String::new, |cond| format!(" when {cond}"))
    }

    fn tell(&mut self, story: &Story) {
        match story {
            Story::Joint { plot, count, when, single_use, course } => {
                let when = self.when(*when);
                self.joint(*plot, u32::from(*count), &when, *single_use, course);
            }
            Story::Take { part, count, mentioned, course } => self.take(*part, u32::from(*count), *mentioned, course),
            Story::Loose { plot, count, single_use, course } => self.loose(*plot, *count, *single_use, course),
            Story::State { plot, course } => self.state(*plot, course),
            Story::Circuit { plot, points, isolated, when, course } => {
                let when = self.when(*when);
                self.circuit(*plot, *points, *isolated, &when, course);
            }
            Story::Hazard { brought, course, .. } => self.hazard(*brought, course),
            Story::Reading { subject, form, course } => self.reading(*subject, *form, course),
            Story::Said { sort, of, course } => self.said(*sort, *of, course),
            Story::Loads { plot, loads, whens } => self.loads(*plot, *loads, *whens),
        }
    }

    fn joint(&mut self, plot: u8, count: u32, when: &str, single_use: bool, course: &Course) {
        let number = self.next(0);
        let Some((name, title)) = JOINTS.get(number) else { return };
        let bolt = format!("bolt-{}", number + 1);
        // Nobody says how many there are: one is certain.
        let (count, stated) = match plot % 5 {
            2 => (1, "unknown \"The drawing shows a row of them.\"".to_owned()),
            _ => (count, count.to_string()),
        };
        let on_vehicle = plot % 14 >= 7;
        let with = "with wrench";
        let place = format!("place {name}");
        let tighten = format!("tighten {name} {with}");
        let loosen = format!("loosen {name} {with}");
        let remove = format!("remove {name} {with}");
        let refit = format!("refit {name}");
        let discard = format!("discard {} {bolt}", 2 * count);
        let snug = format!("snug {name} {with}");
        let keep = format!("keep {} {bolt} for owner", 2 * count);
        let reuse = |count: u32| format!("reuse {count} {bolt}");
        let mut events = match plot % 14 {
            0..=2 => vec![place, tighten],
            3 => vec![place, snug, tighten],
            4 => vec![place, tighten.clone(), loosen, tighten],
            5 => vec![place, tighten.clone(), remove, refit, tighten],
            6 => vec![place, tighten, remove, discard],
            7 => vec![loosen, tighten],
            8 => vec![remove, refit, tighten],
            9 => vec![remove, discard, place, tighten],
            10 => vec![remove, place, tighten, discard],
            11 => vec![remove, keep, place, tighten],
            // What came off serves again, all of it or all but one.
            12 => vec![remove, reuse(2 * count), place, tighten],
            _ => vec![remove, reuse(2 * count - 1), format!("keep 1 {bolt} for owner"), place, tighten],
        };
        // Written down where it may not be tight yet, or has no torque.
        if plot.is_multiple_of(3) {
            events.insert(usize::from(plot / 3) % (events.len() + 1), format!("record {name} torque"));
        }
        let happens = |at: usize| at != usize::from(course.forgets);
        let places = events.iter().enumerate().filter(|(at, event)| event.starts_with("place") && happens(*at));
        let reused = events.iter().enumerate().filter(|(at, event)| event.starts_with("reuse") && happens(*at));
        let again: u32 = reused.filter_map(|(_, event)| event.split(' ').nth(1)?.parse::<u32>().ok()).sum();
        let taken = (2 * count * u32::try_from(places.count()).unwrap_or(0)).saturating_sub(again);
        self.events(course, &events, &[]);
        let lines = if single_use { vec!["single use".to_owned()] } else { Vec::new() };
        self.declared.parts.push(PartText {
            name: bolt.clone(),
            title: format!("Bolt of the {title}"),
            lines,
            taken,
            brings: Vec::new(),
        });
        let vehicle = if on_vehicle { "\n  on vehicle" } else { "" };
        let ties = self.ties(plot);
        let tight = if plot.is_multiple_of(2) { "torque 10 N.m +- 1 N.m" } else { "tight \"head flat on its seat\"" };
        self.declared.joints.push(format!(
            "joint {name} \"{title}\"{when} {{\n  each   2 {bolt}\n  count  {stated}\n  {tight}{vehicle}{ties}\n}}"
        ));
    }

    /// Whose lug a joint holds, and what it joins, where stories tell of a circuit, of loose parts, of parts that are taken.
    fn ties(&self, plot: u8) -> String {
        let has = |wanted: fn(&Story) -> bool| self.sketch.stories.iter().any(wanted);
        let mut ties = String::new();
        if plot % 4 < 2 && has(|story| matches!(story, Story::Circuit { .. })) {
            let point = if plot.is_multiple_of(4) { "load" } else { "post" };
            ties.push_str(&format!("\n  at     {point} of {}", CIRCUITS[0].0));
        }
        let taken = self.sketch.stories.iter().find_map(|story| match story {
            Story::Take { part, .. } => pick(&PARTS, *part).map(|(name, _)| *name),
            _ => None,
        });
        let joined = match plot % 3 {
            0 => taken,
            1 if has(|story| matches!(story, Story::Loose { .. })) => Some(TRIM[0].0),
            _ => None,
        };
        ties.extend(joined.map(|name| format!("\n  joins  {name}")));
        ties
    }

    fn part(&mut self, name: &str, title: &str) -> &mut PartText {
        let parts = &mut self.declared.parts;
        if let Some(at) = parts.iter().position(|part| part.name == name) {
            return &mut parts[at];
        }
        parts.push(PartText { name: name.to_owned(), title: title.to_owned(), ..PartText::default() });
        let last = parts.len() - 1;
        &mut parts[last]
    }

    fn take(&mut self, part: u8, count: u32, mentioned: bool, course: &Course) {
        let Some((name, title)) = pick(&PARTS, part).copied() else { return };
        let row = self.part(name, title);
        let brings = row.brings.clone();
        let mut events = vec![format!("take {count} {name}")];
        if course.forgets != 0 {
            row.taken += count;
        }
        if mentioned {
            events.push(format!("> Set the [{name}] in its place."));
        } else if part.is_multiple_of(3) {
            row.taken += 1;
            events.push(format!("take 1 {name}"));
        }
        let slots = self.plan.course(course, events.len());
        for (at, (event, slot)) in events.iter().zip(slots).enumerate() {
            if at != usize::from(course.forgets) {
                let brings = if event.starts_with("take") { brings.clone() } else { Vec::new() };
                self.plan.bring(slot, event.clone(), brings);
            }
        }
    }

    fn loose(&mut self, plot: u8, count: u8, single_use: bool, course: &Course) {
        let number = self.next(4);
        let Some((name, title)) = TRIM.get(number).copied() else { return };
        let there = if plot % 8 == 7 { count.saturating_sub(1).max(1) } else { count };
        // On some vehicles only.
        let some = super::sketch::Atom { subject: plot, value: count, form: plot / 8 };
        let when = self.when((plot % 8 == 6).then_some(some));
        self.declared.vehicle.push((when, format!("{there} {name}")));
        let (remove, refit) = (format!("remove {count} {name}"), format!("refit {count} {name}"));
        let (keep, reuse) = (format!("keep {count} {name} for owner"), format!("reuse {count} {name}"));
        let seat = format!("seat-{}", number + 1);
        let (place, tighten) = (format!("place {seat}"), format!("tighten {seat} with wrench"));
        let events = match plot % 9 {
            0 | 1 => vec![remove, refit],
            2 => vec![remove, format!("discard {count} {name}")],
            3 if count > 1 => vec![remove, format!("discard 1 {name}"), format!("refit {} {name}", count - 1)],
            3 => vec![remove.clone(), refit.clone(), remove, refit],
            4 => vec![remove, keep],
            5 if count > 1 => vec![remove, format!("keep 1 {name} for owner"), format!("refit {} {name}", count - 1)],
            5 => vec![remove.clone(), refit, remove, keep],
            6 if count > 1 => {
                vec![remove, format!("keep 1 {name} for owner"), format!("reuse {} {name}", count - 1), place, tighten]
            }
            6 | 7 => vec![remove, reuse, place, tighten],
            // One is put back and not used again.
            _ => vec![remove, format!("reuse {} {name}", (count / 2).max(1)), refit, place, tighten],
        };
        self.events(course, &events, &[]);
        if plot % 9 >= 6 {
            // A joint of as many as come off, or of one more, which the kit has.
            let needs = count + u8::from(plot % 5 == 4);
            let when = self.when((plot % 7 == 6).then_some(some));
            self.declared.joints.push(format!(
                "joint {seat} \"Seat {0}\"{when} {{\n  each   {name}\n  count  {needs}\n  torque 10 N.m +- 1 N.m\n}}",
                number + 1
            ));
            self.part(name, title).taken += u32::from(needs - count);
        }
        let row = self.part(name, title);
        if single_use {
            row.lines.push("single use".to_owned());
        }
    }

    fn state(&mut self, plot: u8, course: &Course) {
        let number = self.next(1);
        let Some((name, title)) = STATES.get(number).copied() else { return };
        let ends = if plot % 5 == 4 { "" } else { "\n  ends on" };
        // In some fittings only.
        let some = super::sketch::Atom { subject: plot, value: plot / 5, form: plot / 8 };
        let when = self.when((plot % 7 == 6).then_some(some));
        self.declared
            .states
            .push(format!("state {name} \"{title}\"{when} {{\n  on \"on\"\n  off \"off\"\n  starts on{ends}\n}}"));
        let (off, on) = (format!("make {name} off"), format!("make {name} on"));
        let (need_off, need_on) = (format!("need {name} off"), format!("need {name} on"));
        let events = match plot % 4 {
            0 => vec![off, need_off, on],
            1 => vec![need_on.clone(), off, on, need_on],
            2 => {
                let action = format!("move-{name}");
                self.declared.actions.push(format!("action {action} \"Move the {title}\" {{\n  need {name} off\n}}"));
                vec![off, format!("do {action}"), on]
            }
            _ => vec![off, need_off.clone(), need_off, on],
        };
        self.events(course, &events, &[]);
    }

    fn circuit(&mut self, plot: u8, points: u8, isolated: bool, when: &str, course: &Course) {
        let number = self.next(2);
        let Some((name, title)) = CIRCUITS.get(number).copied() else { return };
        // Isolation needs a state; the first one will do, where a story told of it.
        let isolated = isolated && self.numbers[1] > 0;
        let by = if isolated { "\n  isolated by lead off" } else { "" };
        let there = (plot / 8) % 4 == 3;
        let there_words = match (there, plot / 32) {
            (true, 4..=6) => "\n  on vehicle but load",
            (true, _) => "\n  on vehicle",
            (false, _) => "",
        };
        let later = match (there, plot / 32) {
            (_, 7) => "\n  fed later \"The owner.\"",
            (false, 5) => "\n  leaves load to \"The owner.\"",
            (false, 6) => "\n  leaves post to \"The owner.\"",
            _ => "",
        };
        let middle = if points > 2 { "\n  point joint \"Joint in the sill\"" } else { "" };
        let fuse = self.fuse(name, course);
        self.declared.circuits.push(format!(
            "circuit {name} \"{title}\"{when} {{\n  point post \"Battery post\"{middle}\n  point load \"Load\"{by}{there_words}{later}{fuse}\n}}"
        ));
        if !self.declared.hazards.iter().any(|(name, _)| *name == LIVE) {
            // The library's own hazard: every connection brings it.
            self.declared.hazards.push((LIVE, String::new()));
            self.declared.uses.push("std/hazards");
        }
        let rest = if points > 2 { "load, joint" } else { "load" };
        let all = format!("connect {name}");
        let (source, others) = (format!("connect {name} at post"), format!("connect {name} at {rest}"));
        let (off_source, off_others) = (format!("disconnect {name} at post"), format!("disconnect {name} at {rest}"));
        let events = match plot % 8 {
            0..=3 if there => vec![off_source, off_others, all],
            4 | 5 if there => vec![format!("disconnect {name}"), all],
            0 | 1 => vec![all],
            2 | 3 => vec![others, source],
            4 => vec![source, others],
            5 => vec![all, off_source, off_others],
            6 => vec![all.clone(), off_others, off_source, all],
            _ => vec![all.clone(), format!("disconnect {name}"), all],
        };
        self.events(course, &events, &[]);
    }

    fn hazard(&mut self, brought: u8, course: &Course) {
        let number = self.next(3);
        let Some((name, title)) = HAZARDS.get(number).copied() else { return };
        let brings = format!("brings {name}");
        let mut from = String::new();
        match brought % 4 {
            0 => {
                let tool = ["drill", "saw", "torch"][number];
                self.declared.tools.push(format!("tool {tool} \"{}\" {{ {brings} }}", capital(tool)));
                self.events(course, &vec![format!("use {tool}"); 2], &[number]);
            }
            1 => {
                let row = self.part(PARTS[number].0, PARTS[number].1);
                row.lines.push(brings);
                row.brings.push(number);
                row.taken += 1;
                self.events(course, &[format!("take 1 {}", PARTS[number].0)], &[number]);
            }
            2 => {
                let action = format!("lift-{}", number + 1);
                self.declared.actions.push(format!("action {action} \"Lift the load\" {{\n  {brings}\n}}"));
                self.events(course, &[format!("do {action}"), format!("do {action}")], &[number]);
            }
            _ => from = "  from tighten, take\n".to_owned(),
        }
        self.declared
            .hazards
            .push((name, format!("hazard {name} \"{title}\" {{\n  signal warning\n  answered by veil\n{from}}}")));
    }

    fn reading(&mut self, subject: u8, form: u8, course: &Course) {
        let Some(subject) = pick(&readings(self.sketch), subject).copied() else { return };
        let name = name_of(subject);
        let event = match form % 3 {
            0 => format!("read {name}"),
            1 => format!("record {name}"),
            _ => format!("> Write [{name}] on the door card."),
        };
        self.events(course, &[event], &[]);
    }

    /// Places the messages of a hazard.
    fn answer(&mut self, hazard: usize, answered: u8, course: &Course) {
        let kinds: &[&str] = match self.declared.hazards.get(hazard) {
            Some((LIVE, _)) => &["connect", "disconnect"],
            Some((_, text)) if text.contains("from") => &["tighten", "take"],
            _ => &[],
        };
        let brings = |plan: &Plan, slot: usize| {
            plan.slots[slot]
                .lines
                .iter()
                .any(|line| line.brings.contains(&hazard) || kinds.iter().any(|kind| line.text.starts_with(kind)))
        };
        let meeting: Vec<usize> = (0..self.plan.slots.len()).filter(|slot| brings(self.plan, *slot)).collect();
        let chosen: Vec<usize> = match answered % 8 {
            // Before each meeting.
            0..=2 => meeting,
            // At the head of each section that has one: its first step that always happens, if there is one.
            3 => {
                let mut sections: Vec<usize> = meeting.iter().map(|slot| self.plan.slots[*slot].section).collect();
                sections.dedup();
                let first = |section| (0..self.plan.slots.len()).find(|slot| self.plan.slots[*slot].section == section);
                sections.into_iter().filter_map(first).collect()
            }
            4 => self.plan.course(course, 1),
            // Equipment answers it, in time or too late.
            5 | 6 => {
                for slot in meeting {
                    let worn = &mut self.plan.slots[slot].worn;
                    *(if answered % 8 == 5 { &mut worn.0 } else { &mut worn.1 }) = true;
                }
                return;
            }
            _ => {
                for slot in meeting {
                    self.plan.slots[slot].late.push(hazard);
                }
                return;
            }
        };
        for slot in chosen {
            self.plan.slots[slot].messages.push(hazard);
        }
    }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
