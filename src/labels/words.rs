//! Words that sentences everywhere are put together with, and conditions in words.

use serde::Serialize;

labels! {
    /// Words of many places, the job page among them.
    #[serde(rename_all = "camelCase")]
    Word {
        or: "or",
        and: "and",
        done: "Done",
        answer: "Answer",
        nth: "no. {n}",
        in_step: "in step {numbers}",
        in_steps: "in steps {numbers}",
        revision: "revision {mark}",
    }

    /// How often, how many.
    #[serde(rename_all = "camelCase")]
    Count {
        once: "once",
        times: "{n} times",
        part_of: "{n} of {all}",
        person: "{n} person",
        people: "{n} people",
    }

    /// Amounts and their bounds, of conditions too.
    #[serde(rename_all = "camelCase")]
    Measure {
        at_least: "at least {value}",
        at_most: "at most {value}",
        over: "over {value}",
        below: "below {value}",
        range: "{low} to {high}",
        turn: "turn",
        turns: "turns",
        flat: "flat of the hexagon",
        flats: "flats of the hexagon",
    }

    /// Conditions and limits.
    #[serde(rename_all = "camelCase")]
    Condition {
        not: "not {words}",
        both: "{low} and {high}",
        not_both: "not both {low} and {high}",
        any: "any",
        none: "none",
        other_reading: "any other reading",
        always: "in every case",
        never: "in no case",
        repaired: "check {number} is repaired",
        other_cases: "{n} other cases",
        at_worst: "{what}, {value} at worst",
        least: "the least of ({parts})",
        greatest: "the greatest of ({parts})",
        when: "when {condition}: ",
    }

    /// The word on a panel (ANSI Z535.6).
    #[serde(rename_all = "camelCase")]
    Signal {
        notice: "NOTICE",
        caution: "CAUTION",
        warning: "WARNING",
        danger: "DANGER",
    }

    /// Words of the language itself that stand on outputs: forms of fasteners, colours, metals of wires, what a conductor carries.
    #[serde(rename_all = "camelCase")]
    Term {
        hex_head: "hex head",
        socket_head: "socket head",
        pan_head: "pan head",
        countersunk_head: "countersunk head",
        raised_countersunk_head: "raised countersunk head",
        button_head: "button head",
        cheese_head: "cheese head",
        cup_head: "cup head",
        round_head: "round head",
        mushroom_head: "mushroom head",
        truss_head: "truss head",
        oval_head: "oval head",
        flat_head: "flat head",
        wafer_head: "wafer head",
        fillister_head: "fillister head",
        low_head: "low head",
        nylon_insert: "nylon insert",
        square_neck: "square neck",
        captive: "captive",
        weld: "weld",
        wing: "wing",
        knurled: "knurled",
        all_metal_lock: "all-metal lock",
        thin: "thin",
        castle: "castle",
        domed: "domed",
        flange: "flange",
        serrated_flange: "serrated flange",
        fully_threaded: "fully threaded",
        left_hand_thread: "left-hand thread",
        self_drilling: "self-drilling",
        thread_forming: "thread-forming",
        galvanised: "galvanised",
        hot_dip_galvanised: "hot-dip galvanised",
        zinc_flake: "zinc flake coated",
        nickel_plated: "nickel plated",
        phosphated: "phosphated",
        black: "black",
        plain: "plain",
        large: "large",
        small: "small",
        thick: "thick",
        spring: "spring",
        tooth_lock: "tooth lock",
        wedge_lock: "wedge lock",
        conical: "conical",
        sealing: "sealing",
        brass: "brass",
        nylon: "nylon",
        rubber: "rubber",
        brown: "brown",
        red: "red",
        orange: "orange",
        yellow: "yellow",
        green: "green",
        blue: "blue",
        violet: "violet",
        grey: "grey",
        white: "white",
        pink: "pink",
        gold: "gold",
        turquoise: "turquoise",
        silver: "silver",
        green_yellow: "green-yellow",
        copper: "copper",
        positive: "positive",
        negative: "negative",
        signal: "signal",
        earth: "earth",
    }
}
