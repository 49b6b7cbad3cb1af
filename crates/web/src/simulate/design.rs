//! The invented items: what they are made of, and how each component wears.

/// One way a component fails: mode, Weibull shape, and weight beside the other modes.
pub(super) type Wear = (&'static str, f64, f64);

/// A component as the drawing office sees it.
pub(super) struct Component {
    /// Its part number.
    pub(super) no: &'static str,
    /// Its name.
    pub(super) name: &'static str,
    /// Its kind in the catalogue.
    pub(super) kind: &'static str,
    /// Whether it is made in the sizes of its item.
    pub(super) sized: bool,
    /// Grams, in the middle size.
    pub(super) mass_g: f64,
    /// The part number of the material it is cut from, where that is tracked by lot.
    pub(super) material: Option<&'static str>,
    /// What units call it.
    pub(super) calls: &'static [&'static str],
    /// How it wears.
    pub(super) wears: &'static [Wear],
    /// A fault that can be there on the day it is unpacked.
    pub(super) arrival: Option<&'static str>,
}

/// An end item.
pub(super) struct EndItem {
    /// Its part number.
    pub(super) no: &'static str,
    /// Its name.
    pub(super) name: &'static str,
    /// Sizes with their shares per 1000.
    pub(super) sizes: &'static [(&'static str, u32)],
    /// Component, quantity, position, configuration (empty for all).
    pub(super) pieces: &'static [(&'static str, u32, &'static str, &'static str)],
    /// Whether each carries a serial.
    pub(super) serialised: bool,
    /// Share of the fleet.
    pub(super) share: f64,
    /// Chest range and back-length range in mm of the middle sizes, for the fit table.
    pub(super) fit: (f64, f64),
}

/// Every end item, the first ones first in a small world.
pub(super) const END_ITEMS: &[EndItem] = &[
    EndItem {
        no: "RC-100",
        name: "rescue carrier",
        sizes: &[("S", 180), ("M", 390), ("L", 310), ("XL", 120)],
        pieces: &[
            ("RC-110", 1, "body", ""),
            ("RC-120", 2, "front and back", ""),
            ("RC-130", 2, "left and right side", ""),
            ("RC-140", 1, "front", ""),
            ("RC-150", 1, "front", ""),
            ("RC-160", 1, "front and back", ""),
            ("RC-170", 1, "back, at the neck", ""),
            ("RC-180", 1, "front", "full"),
            ("RC-190", 1, "inside back", ""),
            ("SH-040", 2, "shoulders", ""),
        ],
        serialised: false,
        share: 0.45,
        fit: (1010.0, 455.0),
    },
    EndItem {
        no: "LP-200",
        name: "load pack",
        sizes: &[("short", 250), ("regular", 500), ("long", 250)],
        pieces: &[
            ("LP-210", 1, "body", ""),
            ("LP-215", 1, "base", ""),
            ("LP-220", 1, "front", ""),
            ("LP-230", 1, "back", ""),
            ("LP-240", 1, "back, low", ""),
            ("LP-250", 1, "back, inside", ""),
            ("LP-260", 2, "sides", "full"),
            ("LP-270", 1, "sides", ""),
            ("SH-040", 3, "lid and belt", ""),
        ],
        serialised: false,
        share: 0.35,
        fit: (1010.0, 455.0),
    },
    EndItem {
        no: "LH-300",
        name: "climbing and lowering harness",
        sizes: &[("S", 220), ("M", 430), ("L", 350)],
        pieces: &[
            ("LH-310", 1, "waist and legs", ""),
            ("LH-320", 4, "legs and waist", ""),
            ("LH-330", 1, "all loops", ""),
            ("LH-340", 1, "waist", "full"),
            ("LH-350", 1, "waist", "full"),
            ("LH-360", 1, "edges", ""),
        ],
        serialised: true,
        share: 0.20,
        fit: (1000.0, 450.0),
    },
    EndItem {
        no: "FV-400",
        name: "flotation vest",
        sizes: &[("S", 240), ("M", 460), ("L", 300)],
        pieces: &[
            ("FV-410", 1, "body", ""),
            ("FV-420", 1, "front", ""),
            ("FV-430", 4, "pockets", "full"),
            ("FV-440", 2, "hem", ""),
            ("SH-040", 1, "waist", ""),
        ],
        serialised: false,
        share: 0.20,
        fit: (1010.0, 455.0),
    },
];

/// The weakness that the demonstration's change cures: component and mode.
pub(super) const WEAKNESS: (&str, &str) = ("RC-130", "TUB-5");
/// The component and mode on which the demonstration's bad lot shows.
pub(super) const CULPRIT: (&str, &str) = ("LP-220", "ZIP-1");
