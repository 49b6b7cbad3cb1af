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

const fn part(
    no: &'static str,
    name: &'static str,
    kind: &'static str,
    sized: bool,
    mass_g: f64,
    calls: &'static [&'static str],
    wears: &'static [Wear],
) -> Component {
    Component { no, name, kind, sized, mass_g, material: None, calls, wears, arrival: None }
}

const fn arrival(component: Component, mode: &'static str) -> Component {
    Component { arrival: Some(mode), ..component }
}

const fn cut_from(component: Component, material: &'static str) -> Component {
    Component { material: Some(material), ..component }
}

/// Every component and material.
pub(super) const COMPONENTS: &[Component] = &[
    part(
        "RC-110",
        "carrier shell",
        "PNL",
        true,
        640.0,
        &["shell", "outer cloth", "body of the carrier"],
        &[("PNL-1", 2.2, 0.6), ("PNL-2", 1.2, 0.5)],
    ),
    part(
        "RC-120",
        "insert pocket",
        "INP",
        true,
        150.0,
        &["insert pocket", "plate pocket", "inner pocket"],
        &[("INP-2", 1.8, 0.8), ("INP-1", 1.4, 0.4)],
    ),
    part(
        "RC-130",
        "side cable tube",
        "TUB",
        true,
        58.0,
        &["side tube", "cable tube", "tube"],
        &[("TUB-5", 1.6, 4.2), ("TUB-1", 1.5, 0.4)],
    ),
    part(
        "RC-140",
        "quick-release cable and handle",
        "QRC",
        false,
        85.0,
        &["quick release", "release cable", "release"],
        &[("QRC-3", 2.0, 0.6), ("QRC-4", 1.3, 0.4), ("QRC-1", 1.2, 0.15)],
    ),
    part(
        "RC-150",
        "front closure tape",
        "HLF",
        false,
        40.0,
        &["front closure", "hook tape", "grip tape"],
        &[("HLF-1", 2.6, 1.2), ("HLF-3", 1.6, 0.4)],
    ),
    arrival(
        part(
            "RC-160",
            "ladder grid",
            "LAD",
            true,
            120.0,
            &["ladder rows", "webbing grid", "row for pouches"],
            &[("LAD-1", 1.7, 0.7)],
        ),
        "LAD-4",
    ),
    part(
        "RC-170",
        "rescue drag handle",
        "DRG",
        false,
        55.0,
        &["drag handle", "rescue handle"],
        &[("DRG-1", 1.5, 0.3)],
    ),
    part(
        "RC-180",
        "front pouch",
        "PKT",
        false,
        95.0,
        &["front pouch", "radio pouch", "pouch"],
        &[("PKT-1", 1.6, 0.7), ("PKT-3", 1.8, 0.5)],
    ),
    arrival(
        part("RC-190", "size and lot label", "LBL", false, 4.0, &["label", "tag"], &[("LBL-1", 2.5, 0.7)]),
        "LBL-3",
    ),
    part(
        "SH-040",
        "side-release buckle 40 mm",
        "SRB",
        false,
        28.0,
        &["buckle", "clip", "side clip"],
        &[("SRB-1", 1.4, 1.1), ("SRB-5", 2.1, 0.5)],
    ),
    part(
        "LP-210",
        "bag body",
        "PNL",
        true,
        780.0,
        &["bag", "main bag", "sack"],
        &[("PNL-1", 2.3, 0.7), ("PNL-5", 2.8, 0.4)],
    ),
    arrival(
        part(
            "LP-215",
            "base seam",
            "SEM",
            false,
            12.0,
            &["bottom seam", "base seam", "seam"],
            &[("SEM-1", 1.5, 0.6), ("SEM-6", 2.0, 0.5)],
        ),
        "SEM-4",
    ),
    cut_from(
        part(
            "LP-220",
            "main slide fastener",
            "ZIP",
            false,
            70.0,
            &["main zip", "zip", "long zip"],
            &[("ZIP-1", 2.0, 2.0), ("ZIP-2", 2.6, 0.8), ("ZIP-3", 1.1, 0.4)],
        ),
        "LP-221",
    ),
    part("LP-221", "coil tape", "ZIP", false, 52.0, &["zip tape"], &[]),
    part(
        "LP-230",
        "shoulder harness",
        "SHH",
        true,
        290.0,
        &["shoulder strap", "shoulder harness"],
        &[("SHH-1", 1.6, 0.6), ("SHH-3", 2.0, 0.4)],
    ),
    part(
        "LP-240",
        "hip belt",
        "HIP",
        true,
        220.0,
        &["hip belt", "waist belt", "belt"],
        &[("HIP-3", 1.7, 0.5), ("HIP-4", 2.5, 0.4)],
    ),
    part(
        "LP-250",
        "frame sheet with stays",
        "STY",
        true,
        310.0,
        &["stay", "back sheet", "frame rod"],
        &[("STY-1", 1.9, 0.6), ("STY-2", 2.2, 0.3)],
    ),
    part(
        "LP-260",
        "side pocket",
        "PKT",
        false,
        50.0,
        &["side pocket", "bottle pocket"],
        &[("PKT-2", 2.1, 0.7), ("PKT-4", 2.4, 0.4)],
    ),
    part(
        "LP-270",
        "compression cord",
        "COR",
        false,
        20.0,
        &["side cord", "lacing", "cord"],
        &[("COR-1", 2.0, 0.5), ("COR-2", 1.4, 0.5)],
    ),
    cut_from(
        part(
            "LH-310",
            "load webbing",
            "WEB",
            true,
            330.0,
            &["load strap", "main webbing", "webbing"],
            &[("WEB-1", 2.3, 0.8), ("WEB-2", 2.8, 0.6), ("WEB-4", 1.7, 0.3)],
        ),
        "LH-311",
    ),
    part("LH-311", "webbing roll 45 mm", "WEB", false, 300.0, &["webbing roll"], &[]),
    part(
        "LH-320",
        "leg loop adjuster",
        "ADJ",
        false,
        38.0,
        &["adjuster", "leg adjuster", "leg loop slider"],
        &[("ADJ-1", 1.5, 0.7), ("ADJ-3", 2.2, 0.5)],
    ),
    arrival(
        part(
            "LH-330",
            "bar tacks",
            "BTK",
            false,
            3.0,
            &["bar tack", "tack at the loop", "tack"],
            &[("BTK-1", 1.6, 0.6)],
        ),
        "BTK-3",
    ),
    part(
        "LH-340",
        "waist pad",
        "FOM",
        true,
        110.0,
        &["waist pad", "padding"],
        &[("FOM-1", 2.6, 0.6), ("FOM-3", 1.5, 0.4)],
    ),
    part(
        "LH-350",
        "gear loop elastic",
        "ELA",
        false,
        16.0,
        &["elastic", "gear loop elastic"],
        &[("ELA-1", 2.7, 0.7), ("ELA-4", 1.5, 0.5)],
    ),
    part("LH-360", "edge binding", "BND", false, 18.0, &["edge tape", "binding"], &[("BND-1", 2.4, 0.6)]),
    part(
        "FV-410",
        "coated vest shell",
        "COT",
        true,
        410.0,
        &["vest", "coated shell", "lining"],
        &[("COT-1", 2.5, 0.7), ("COT-2", 2.0, 0.5)],
    ),
    cut_from(
        part(
            "FV-420",
            "front slide fastener",
            "ZIP",
            false,
            60.0,
            &["front zip", "zip"],
            &[("ZIP-7", 1.8, 0.8), ("ZIP-5", 1.4, 0.5)],
        ),
        "LP-221",
    ),
    part(
        "FV-430",
        "pocket snap",
        "SNP",
        false,
        6.0,
        &["snap", "press stud"],
        &[("SNP-1", 1.5, 0.5), ("SNP-3", 2.6, 0.6)],
    ),
    part(
        "FV-440",
        "drain eyelet",
        "GRM",
        false,
        4.0,
        &["eyelet", "drain ring"],
        &[("GRM-1", 1.4, 0.4), ("GRM-3", 2.5, 0.4)],
    ),
];

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
