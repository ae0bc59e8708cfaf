//! The words of pick-list and packing list.

use serde::Serialize;

labels! {
    /// Heads of columns, and what is written in.
    #[serde(rename_all = "camelCase")]
    List {
        count: "Count",
        part: "Part",
        tool: "Tool",
        size: "Size and range",
        makers_number: "Maker's number",
        mass: "Mass",
        whom: "For",
        laid_out_by: "Laid out by",
        packed_by: "Packed by",
        order_number: "Order",
    }

    /// The pick-list.
    #[serde(rename_all = "camelCase")]
    Pick {
        kind: "Pick-list",
        lead: "Lay out all of this before the work starts. Rows marked {mark} are needed for those fittings only.",
    }

    /// The packing list.
    #[serde(rename_all = "camelCase")]
    Packing {
        kind: "Packing list",
        lead: "Pack each bag and box as it stands here, and tick what is in.",
        marked: "What is marked {mark} goes in for those fittings only.",
        nothing: "Nothing is packed for this procedure: what it needs comes from the workshop's stock, which the pick-list names.",
        known_mass: "Known mass",
        known_mass_all: "Known mass of all",
        mass_when: "{mass} when {condition}",
        mass_more: "{mass} more when {condition}",
        one_unweighed: "{n} other row states no mass",
        unweighed: "{n} other rows state no mass",
        cut_out: "Labels to cut out",
    }
}
