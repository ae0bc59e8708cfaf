//! The words for parts, tools, fastenings and circuits.

use serde::Serialize;

labels! {
    /// Where parts come from, as the head of a list and in a sentence, and what is said of them.
    #[serde(rename_all = "camelCase")]
    Kit {
        bag: "Bag",
        bag_named: "Bag {name}",
        carton: "Box",
        carton_named: "Box {name}",
        stock: "Workshop stock",
        stock_named: "Workshop stock {name}",
        the_bag: "the bag",
        bag_of: "bag {name}",
        the_carton: "the box",
        carton_of: "box {name}",
        the_stock: "the workshop's stock",
        stock_of: "workshop stock {name}",
        wire: "wire {sizes}",
        stud: "stud {size}",
        use_once: "use once",
        only_when: "only when {when}",
        called: "called “{short}”",
        between: "{least} to {most}",
        how_many: "{part}: how many were taken",
        number_unknown: "number unknown",
    }

    /// Fasteners by name and strength.
    #[serde(rename_all = "camelCase")]
    Fastener {
        bolt: "Bolt",
        screw: "Screw",
        stud: "Stud",
        nut: "Nut",
        washer: "Washer",
        class: "class {id}",
        grade: "grade {id}",
        bolts: "bolts",
        screws: "screws",
        nuts: "nuts",
    }

    /// Tools.
    #[serde(rename_all = "camelCase")]
    Tool {
        hex: "hex",
        hex_socket: "hex socket",
        cross_recess: "cross recess",
        slot: "slot",
        hexalobular: "hexalobular",
        reads: "reads {value}",
        to_hold: "{tool}, to hold",
        or_on_older: "or {size} on older {heads}",
        or_on_newer: "or {size} on newer {heads}",
        lay_out_too: "lay one out too",
        throughout: "throughout",
    }

    /// What is known of a joint, and how it is tightened.
    #[serde(rename_all = "camelCase")]
    Joint {
        title: "Fastenings",
        torques: "Torques",
        joint: "Joint",
        tightened_to: "Tightened to",
        with: "With",
        in_step: "In step",
        each_of: "Each of",
        thread: "Thread",
        grip: "Grip",
        into: "Into",
        hole: "{metal}, {depth} of thread",
        onto: "Onto",
        at: "Holds the lug at",
        joins: "Joins",
        order: "Order",
        order_loosened: "Loosened in the order",
        crosswise: "crosswise",
        middle_outwards: "from the middle outwards",
        outside_inwards: "from the outside inwards",
        one_after_another: "one after another",
        again: "Again after",
        clamps: "Clamps with",
        clamping: "about {force}, {share} % of what the bolt bears",
        before: "Before the job",
        tight: "on the vehicle, tight",
        in_the_end: "In the end",
        backed_off: "loosened again, and left so",
        in_some_stages: "{order} in stages",
        in_stages: "{order} in {n} stages",
        each_time: "{order}, each time by {angle}",
        in_stages_first: "{order} in {n} stages, first to {torques}",
        then_to: "then to {torque}",
        to_torque: "to {torque}",
        by_angle: "on by {angle}",
        loosen: "loosen",
        back_off: "back off by {angle}",
        meanwhile: "{stage} while {what}",
        set_through: "Set the {wrench} to {torque}: the {adapter} makes its lever {extension} longer. What is written down is the torque at the fastening.",
        set_across: "Hold the {adapter} at a right angle to the handle of the {wrench}, which is then set to the torque itself.",
        set_by_lever: "The {adapter} makes the lever of the {wrench} {extension} longer: set it to the torque × L / (L + {extension}). L is its length from the middle of the grip to the square. What is written down is the torque at the fastening.",
        then: "then {stage}",
        both: "Both fastenings of {joint}",
        all: "All\u{a0}{count} fastenings of {joint}",
        all_uncounted: "All fastenings of {joint}",
        for_joint: "for {joint}.",
        torque_of: "Torque of {joint}",
        torque_of_each: "Torque of each of {joint}",
        torque_to_write: "torque {n} of {joint}",
        after_last_repair: "after the last repair",
        to_scale: "Fastenings are drawn to scale on a page that is printed at 100 %; the bar beside each is the measure.",
        by_proportion: "Holes, bevels and lengths of threads are by proportion; where the clamped parts meet is not stated, so they are drawn as one.",
    }

    /// What a thread is cut into, and in what state it is.
    #[serde(rename_all = "camelCase")]
    Metal {
        steel: "steel",
        cast_iron: "cast iron",
        aluminium: "aluminium",
        dry: "dry",
        plated: "zinc plated",
        oiled: "oiled",
        waxed: "waxed",
        anti_seize: "with anti-seize paste",
        thread_locker: "with thread locker",
    }

    /// What is stated of a circuit, and what follows.
    #[serde(rename_all = "camelCase")]
    Circuit {
        title: "Circuits",
        source: "Source",
        load: "Load",
        run: "Run, one way",
        way_back: "Return",
        chassis: "Through the chassis",
        chassis_of: "Through the chassis, {resistance}",
        by_wire: "Back by a wire like the one there",
        wire: "Wire",
        insulation: "Insulation rating",
        ambient: "Warmest place",
        bundle: "Bundle",
        wires: "{n} wires that carry current",
        fuse: "Fuse",
        breaker: "Breaker",
        upstream: "Protected upstream",
        protection: "Breaker or fuse",
        not_stated: "not stated: {why}",
        protected_at: "{rating}, {distance} along the wire from the source",
        protected_unknown: "{rating}; its distance from the source is not stated: {why}",
        drop: "Voltage drop",
        carries: "Wire carries here",
        by_table: "{current}, by a table for boats",
        points: "Points from the source",
        isolated: "Isolated when",
        fed_later: "Fed later",
        connected_later: "Connected later",
        by_procedure: "in {title}",
        point_later: "{point}: {who}",
    }

    /// The conductors of circuits.
    #[serde(rename_all = "camelCase")]
    Wires {
        title: "Wires: {circuit}",
        number: "No.",
        colour: "Colour",
        coded: "{colour} ({code})",
        no_colour: "colour unknown",
        from: "From",
        to: "To",
        size: "Size",
        length: "Length",
        label: "Label",
        end: "wire {n} {colour}",
        at_pin: "pin {n}",
        marked: "marked {label}",
        at_point: "{point}: {ends}",
        one_pin: "1 pin",
        pins: "{n} pins",
        male: "male",
        female: "female",
        mates: "goes into {point}",
    }
}
