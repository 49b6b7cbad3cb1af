//! What units say of each mode, invented for the rehearsal; `{p}` stands for the part or for "it".

/// Phrases of one mode.
type Said = (&'static str, &'static [&'static str]);

const SAID: &[Said] = &[
    (
        "PNL-1",
        &[
            "{p} has rubbed away to a see-through patch",
            "a hole has been ground into {p} where it lies on the gunwale",
            "{p} is down to a few threads at the corner",
            "the cloth of {p} is scuffed thin and now open",
        ],
    ),
    (
        "PNL-2",
        &[
            "{p} got hooked on a fence and the cut ran on",
            "a long tear in {p} from one small nick",
            "{p} ripped open in an L after touching a sharp ledge",
            "thorn went into {p} and it tore along the weave",
        ],
    ),
    (
        "PNL-5",
        &[
            "{p} has gone pale and parts like paper",
            "sun has eaten {p}, I can push a thumb into it",
            "{p} bleached on the roof side and has no strength there",
        ],
    ),
    (
        "INP-2",
        &[
            "the lower corner of {p} burst and the insert edge shows",
            "stitching at the foot of {p} has blown, insert sits crooked",
            "{p} opened at the bottom corner under the weight",
        ],
    ),
    (
        "INP-1",
        &[
            "the insert slid out of {p} when I bent down",
            "insert sits a hand too low, {p} does not hold it",
            "{p} let the insert shift to one side while running",
        ],
    ),
    (
        "TUB-5",
        &[
            "{p} slid right out of its channel",
            "{p} has worked its way out of the side and hung by the cord",
            "{p} pulls out whenever I lean over the rail",
            "left side came loose because {p} left its sleeve",
            "{p} came away from the retainer on the lift",
            "pushed {p} back in twice, it comes out again",
        ],
    ),
    (
        "TUB-1",
        &["{p} has a split from end to end", "the catch on {p} has snapped", "{p} cracked in the frost"],
    ),
    (
        "QRC-3",
        &[
            "the wire in {p} has a kink and loose strands",
            "jacket of {p} is cracked and wires prick the glove",
            "{p} is frayed where it enters the guide",
        ],
    ),
    (
        "QRC-4",
        &[
            "the grip came off {p} in my hand",
            "stitches on the grip of {p} have gone, it dangles",
            "{p} lost its grip loop when pulled in the drill",
        ],
    ),
    (
        "QRC-1",
        &[
            "pulled and only half of {p} let go",
            "{p} would not open in the drill, second pull neither",
            "{p} stuck, had to be undone by hand",
        ],
    ),
    (
        "HLF-1",
        &[
            "{p} no longer grips, peels open when I breathe in",
            "{p} lets go by itself after half an hour",
            "no hold left in {p}, edges lift at once",
        ],
    ),
    (
        "HLF-3",
        &[
            "{p} is coming away at the border, sewing open",
            "one end of {p} hangs off, stitches gone along the edge",
        ],
    ),
    (
        "LAD-1",
        &[
            "one row of {p} tore off the backing",
            "{p} has come loose at a tack and the pouch swings",
            "end of {p} pulled out of the cloth",
        ],
    ),
    (
        "LAD-4",
        &[
            "{p} is sewn too tight, a pouch will not go through",
            "rows of {p} do not line up, cells of two widths",
        ],
    ),
    (
        "DRG-1",
        &[
            "{p} started to rip out on the first drag",
            "stitches of {p} popped when two of us pulled",
            "one root of {p} is torn loose",
        ],
    ),
    (
        "PKT-1",
        &[
            "{p} tore out at the upper corner",
            "corner of {p} hangs, cloth torn with it",
            "{p} is ripped where the opening ends",
        ],
    ),
    (
        "PKT-2",
        &[
            "the floor of {p} has worn open",
            "things drop through the bottom of {p}",
            "grit has eaten a hole in the low corner of {p}",
        ],
    ),
    (
        "PKT-3",
        &[
            "the lid of {p} will not stay shut and the radio went overboard",
            "{p} opens by itself when crawling",
            "cover of {p} lifts, lost a lamp",
        ],
    ),
    (
        "PKT-4",
        &["the mouth of {p} has gone slack, bottle falls out", "{p} gapes, top hem has lost all stretch"],
    ),
    (
        "LBL-1",
        &["cannot make out size or number on {p} any more", "print on {p} is washed away", "{p} is blank"],
    ),
    ("LBL-3", &["{p} says one size, the thing measures another", "wrong size printed on {p}"]),
    (
        "SRB-1",
        &[
            "{p} broke when I shut it in the cold",
            "one leg of {p} snapped off",
            "{p} cracked through after the door hit it",
        ],
    ),
    (
        "SRB-5",
        &["strap creeps through {p} all day", "{p} does not keep the strap, I tighten every ten minutes"],
    ),
    (
        "SEM-1",
        &[
            "thread of {p} has given way over a hand's length",
            "{p} came unsewn at the base",
            "stitches in {p} broken, cloth is sound",
        ],
    ),
    ("SEM-6", &["water comes in along {p}", "{p} leaks, all wet inside after the wade"]),
    (
        "SEM-4",
        &[
            "sewing of {p} misses the edge for a finger's length",
            "skipped stitches in {p}, gap from the start",
        ],
    ),
    (
        "ZIP-1",
        &[
            "{p} opens again behind the runner",
            "{p} bursts open in the middle though it is closed",
            "closed {p} and it gaped under load",
            "{p} will not mesh, runner passes and nothing holds",
            "{p} parted on its own three times",
        ],
    ),
    (
        "ZIP-2",
        &[
            "runner of {p} is worn and slips over the coil",
            "{p}: the runner has spread and closes nothing",
            "runner on {p} wobbles, had to squeeze it with pliers",
        ],
    ),
    ("ZIP-3", &["the tab of {p} has come off, I use a bit of cord", "nothing left to pull {p} with"]),
    (
        "ZIP-5",
        &["the end stop of {p} is gone and the runner came off", "bottom box of {p} broke, cannot start it"],
    ),
    ("ZIP-7", &["{p} has seized, salt in it", "{p} does not move a finger's width, full of sand"]),
    (
        "SHH-1",
        &[
            "{p} tore out of the back at the top",
            "upper root of {p} is ripping out of the panel",
            "{p} let go on the left when I swung the load up",
        ],
    ),
    ("SHH-3", &["pad in {p} is coming through the seam", "cover of {p} split and foam shows"]),
    (
        "HIP-3",
        &[
            "{p} keeps sliding and the load sits on my shoulders",
            "{p} loosens as I walk",
            "cannot keep {p} tight for more than a mile",
        ],
    ),
    ("HIP-4", &["{p} folds over on itself under load", "padding in {p} has collapsed on one side"]),
    ("STY-1", &["{p} pokes through its pocket into my back", "end of {p} has come through the cloth"]),
    ("STY-2", &["{p} is bent and will not go straight", "{p} broke at the bend"]),
    (
        "COR-1",
        &[
            "{p} has worn through at the eyelet",
            "{p} snapped when I drew it tight",
            "{p} is half through, strands out",
        ],
    ),
    ("COR-2", &["the lock on {p} slips", "lock of {p} cracked in two"]),
    (
        "WEB-1",
        &[
            "edge of {p} is cut in two places",
            "one border of {p} is frayed over the length of a thumb",
            "{p} has lost its edge on the rock side",
        ],
    ),
    ("WEB-2", &["{p} has gone thin and shiny", "face of {p} is furred all over"]),
    ("WEB-4", &["{p} parted at the sewn fold", "{p} tore along its row of needle holes"]),
    ("ADJ-1", &["{p} lets the strap run under weight", "{p} slips a hand's width on every lower"]),
    ("ADJ-3", &["{p} is rusted and stiff", "brown and pitted, {p} hardly moves"]),
    (
        "BTK-1",
        &[
            "the dense stitching of {p} has broken",
            "{p} has come undone on one leg of the loop",
            "threads of {p} popped under a test pull",
        ],
    ),
    ("BTK-3", &["{p} was never sewn on one side", "no stitches where {p} belongs"]),
    ("FOM-1", &["{p} is flat as card", "no spring left in {p}, I feel the buckle through it"]),
    ("FOM-3", &["{p} has wandered to one side", "{p} is bunched up in the corner"]),
    ("ELA-1", &["{p} hangs slack", "{p} does not draw back any more"]),
    ("ELA-4", &["{p} pulled out of its seam", "end of {p} is loose, sewing cut through"]),
    ("BND-1", &["{p} is chafed through and the raw edge shows", "{p} worn open along the leg"]),
    ("COT-1", &["the inside of {p} comes off in flakes", "{p} is tacky inside and sheds"]),
    ("COT-2", &["{p} lets water through all over", "soaked to the skin, {p} does not keep rain out"]),
    ("SNP-1", &["{p} tore out and left a round hole", "half of {p} is missing"]),
    ("SNP-3", &["{p} is green and will not open", "{p} has seized with salt"]),
    ("GRM-1", &["{p} fell out of the cloth", "{p} is gone, the hole frays"]),
    ("GRM-3", &["{p} is rusty and stains the hem", "rust has eaten {p}"]),
];

/// What units say of a mode; of one without phrases, that it gave out.
pub(super) fn phrases_of(mode: &str) -> &'static [&'static str] {
    SAID.iter().find(|said| said.0 == mode).map_or(&["{p} gave out"], |said| said.1)
}
