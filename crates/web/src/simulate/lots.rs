//! Lots and their lineage: which lots of items were made when, by whom, from which lots of components and materials.

use std::collections::BTreeMap;

use super::calendar::Calendar;
use super::change::{ChangePlan, letter};
use super::dice::Dice;
use super::organisation::Organisation;
use super::product::Products;
use super::production::{Draft, drafts};
use super::request::Request;

/// What a lot is a lot of.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Made {
    /// An end item, in the size of this place.
    Item(usize),
    /// A component or material.
    Part(usize),
}

/// A lot.
pub(super) struct Lot {
    /// Its number.
    pub(super) no: String,
    /// What it is a lot of.
    pub(super) made: Made,
    /// Place of its revision; 0 is A.
    pub(super) revision: usize,
    /// The day it was made.
    pub(super) made_on: i32,
    /// How many.
    pub(super) quantity: u32,
    /// Place of its maker.
    pub(super) maker: usize,
    /// Production or pilot.
    pub(super) purpose: &'static str,
    /// What it was made from: lot and pieces.
    pub(super) uses: Vec<(u32, u32)>,
    /// Share of its items that have the change.
    pub(super) share_new: f64,
    /// The day it reaches its store; no day for what is made by conversion.
    pub(super) arrives: Option<i32>,
    /// Place of the store that gets it.
    pub(super) store: usize,
    /// Share of its items that each bad lot makes worse.
    pub(super) bad: [f64; 2],
    /// Share of its items that contain each bad lot, whether or not it shows in them.
    pub(super) holds: [f64; 2],
    /// Items unpacked so far, and of these those that contain each bad lot.
    pub(super) unpacked: [u32; 3],
}

/// Maker names with the letters their lot numbers begin with: two makers for each item, then component makers.
pub(super) const MAKERS: &[(&str, &str)] = &[
    ("Ostrand Textile Works", "OT"),
    ("Bielfeld Sewing", "BS"),
    ("Kvarn and Lowe", "KL"),
    ("Sundmoor Outfitters", "SO"),
    ("Hallin Stitchworks", "HS"),
    ("Brackwater Canvas", "BC"),
    ("Norrick Gear", "NG"),
    ("Ebbing and Daughters", "ED"),
    ("Tarnside Closures", "TC"),
    ("Ilven Webbing Mill", "IW"),
    ("Gorsefoot Hardware", "GH"),
    ("Mirefoot Plastics", "MP"),
    ("Nedre Thread and Tape", "NT"),
    ("Central mending loft", "ML"),
];
/// Place of the first component maker.
const FIRST_COMPONENT_MAKER: usize = 8;
const COMPONENT_MAKERS: usize = 5;
/// Place of the workshop that converts.
const WORKSHOP: usize = 13;

/// Every lot of a world.
pub(super) struct Lots {
    /// The lots; what a lot is made from comes before it.
    pub(super) list: Vec<Lot>,
    /// Conversion lots by size place: the day from which each is used, and its place in the list.
    pub(super) conversion: BTreeMap<usize, Vec<(i32, u32)>>,
    running: Vec<u32>,
    open: BTreeMap<(usize, usize), (u32, u32)>,
}

/// Whether a component is bought by lot.
pub(super) fn is_tracked(kind: &str) -> bool {
    !matches!(kind, "SEM" | "BTK" | "LBL")
}

impl Lots {
    /// Plans production.
    pub(super) fn plan(
        request: &Request,
        calendar: &Calendar,
        products: &Products,
        organisation: &Organisation,
        change: &ChangePlan,
        dice: &mut Dice,
    ) -> Self {
        let mut lots = Self {
            list: Vec::new(),
            conversion: BTreeMap::new(),
            running: vec![0; MAKERS.len()],
            open: BTreeMap::new(),
        };
        lots.running.iter_mut().for_each(|n| *n = 100 + dice.below(60) as u32);
        let mut drafts = drafts(request, calendar, products, change, dice);
        drafts.sort_by_key(|draft| (draft.day, draft.size));
        let mixed = (0..drafts.len()).rev().find(|&d| {
            let draft = &drafts[d];
            products.sizes[draft.size].product == change.product
                && draft.which_maker == 0
                && !draft.pilot
                && draft.day < change.cut_in[0]
        });
        let mut delivered = vec![vec![0.0; organisation.stores.len()]; products.sizes.len()];
        for (place, draft) in drafts.iter().enumerate() {
            let share_new = if mixed == Some(place) { change.mixed_share } else { 0.0 };
            lots.add_item_lot(
                calendar,
                products,
                organisation,
                change,
                dice,
                draft,
                share_new,
                &mut delivered[draft.size],
            );
        }
        lots.add_conversion_lots(calendar, products, organisation, change, dice);
        lots
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "one call in one place; a struct would only rename the list"
    )]
    fn add_item_lot(
        &mut self,
        calendar: &Calendar,
        products: &Products,
        organisation: &Organisation,
        change: &ChangePlan,
        dice: &mut Dice,
        draft: &Draft,
        share_new: f64,
        delivered: &mut [f64],
    ) {
        let size = &products.sizes[draft.size];
        let product = size.product;
        let revision = if draft.pilot { 1 } else { change.revision(product, draft.which_maker, draft.day) };
        let is_new = product == change.product && revision == 1;
        let share_new = if is_new { 1.0 } else { share_new };
        let uses = self.take_components(
            calendar,
            products,
            change,
            dice,
            (product, draft.quantity, draft.day),
            share_new,
        );
        let maker = (product * 2 + draft.which_maker) % FIRST_COMPONENT_MAKER;
        let region = |store: usize| -> f64 {
            organisation
                .wearing()
                .filter(|&u| organisation.store_of(u) == organisation.stores[store])
                .map(|u| organisation.units[u].share)
                .sum()
        };
        // Each lot goes whole to the store that has had least for what its region holds.
        let store = (0..delivered.len())
            .min_by(|&a, &b| {
                (delivered[a] / region(a).max(1e-9)).total_cmp(&(delivered[b] / region(b).max(1e-9)))
            })
            .unwrap_or(0);
        delivered[store] += f64::from(draft.quantity);
        let no = self.number(calendar, maker, draft.day);
        self.list.push(Lot {
            no,
            made: Made::Item(draft.size),
            revision,
            made_on: draft.day,
            quantity: draft.quantity,
            maker,
            purpose: if draft.pilot { "pilot" } else { "production" },
            uses,
            share_new,
            arrives: Some(draft.day + dice.days(20, 60)),
            store: organisation.stores[store],
            bad: [0.0; 2],
            holds: [0.0; 2],
            unpacked: [0; 3],
        });
    }

    /// Takes the components of `quantity` items from the lots that are open, opening others as they run out.
    fn take_components(
        &mut self,
        calendar: &Calendar,
        products: &Products,
        change: &ChangePlan,
        dice: &mut Dice,
        (product, quantity, day): (usize, u32, i32),
        share_new: f64,
    ) -> Vec<(u32, u32)> {
        let mut uses = Vec::new();
        for &(part, each) in
            products.items[product].pieces.iter().filter(|p| is_tracked(products.parts[p.0].kind))
        {
            let new_items =
                if part == change.part { (f64::from(quantity) * share_new).round() as u32 } else { 0 };
            for (revision, items) in [(0, quantity - new_items), (1, new_items)] {
                uses.extend(self.take(calendar, products, dice, (part, revision), items * each, day));
            }
        }
        uses
    }

    fn take(
        &mut self,
        calendar: &Calendar,
        products: &Products,
        dice: &mut Dice,
        key: (usize, usize),
        pieces: u32,
        day: i32,
    ) -> Vec<(u32, u32)> {
        let mut uses = Vec::new();
        let mut needed = pieces;
        while needed > 0 {
            let (lot, left) = match self.open.get(&key) {
                Some(&(lot, left)) if left > 0 => (lot, left),
                _ => self.open_component_lot(calendar, products, dice, key, needed, day),
            };
            let taken = needed.min(left);
            needed -= taken;
            self.open.insert(key, (lot, left - taken));
            uses.push((lot, taken));
        }
        uses
    }

    fn open_component_lot(
        &mut self,
        calendar: &Calendar,
        products: &Products,
        dice: &mut Dice,
        (part, revision): (usize, usize),
        needed: u32,
        day: i32,
    ) -> (u32, u32) {
        let quantity = (f64::from(needed) * dice.between(0.7, 5.5)).ceil() as u32;
        let made_on = day - dice.days(15, 70);
        let material = products.parts[part].material.and_then(|no| products.part(no));
        let uses = match material {
            Some(material) => self.take(calendar, products, dice, (material, 0), quantity, made_on),
            None => Vec::new(),
        };
        (self.add_component_lot(calendar, dice, (part, revision), quantity, made_on, uses), quantity)
    }

    fn add_component_lot(
        &mut self,
        calendar: &Calendar,
        dice: &mut Dice,
        (part, revision): (usize, usize),
        quantity: u32,
        made_on: i32,
        uses: Vec<(u32, u32)>,
    ) -> u32 {
        let second = if dice.chance(0.35) { 2 } else { 0 };
        let maker = FIRST_COMPONENT_MAKER + (part * 3 + second) % COMPONENT_MAKERS;
        let no = self.number(calendar, maker, made_on);
        self.list.push(Lot {
            no,
            made: Made::Part(part),
            revision,
            made_on,
            quantity,
            maker,
            purpose: "production",
            uses,
            share_new: 0.0,
            arrives: None,
            store: 0,
            bad: [0.0; 2],
            holds: [0.0; 2],
            unpacked: [0; 3],
        });
        self.list.len() as u32 - 1
    }

    /// One conversion lot for each size and half-year; its quantity is known when the world has run.
    fn add_conversion_lots(
        &mut self,
        calendar: &Calendar,
        products: &Products,
        organisation: &Organisation,
        change: &ChangePlan,
        dice: &mut Dice,
    ) {
        let first = products.items[change.product].first_size;
        for size in (first..products.sizes.len()).take_while(|&s| products.sizes[s].product == change.product)
        {
            let mut day = change.converts_from;
            while day < calendar.end {
                // Its own component lot, whose size follows from how many are converted.
                let component =
                    self.add_component_lot(calendar, dice, (change.part, 1), 0, day - 20, Vec::new());
                let no = self.number(calendar, WORKSHOP, day);
                self.conversion.entry(size).or_default().push((day, self.list.len() as u32));
                self.list.push(Lot {
                    no,
                    made: Made::Item(size),
                    revision: 1,
                    made_on: day,
                    quantity: 0,
                    maker: WORKSHOP,
                    purpose: "production",
                    uses: vec![(component, 0)],
                    share_new: 1.0,
                    arrives: None,
                    store: organisation.stores[0],
                    bad: [0.0; 2],
                    holds: [0.0; 2],
                    unpacked: [0; 3],
                });
                day += 182;
            }
        }
    }

    fn number(&mut self, calendar: &Calendar, maker: usize, day: i32) -> String {
        self.running[maker] += 1;
        format!("{}{}-{:04}", MAKERS[maker].1, calendar.year2(day), self.running[maker])
    }

    /// The words of a lot's part number and revision.
    pub(super) fn part_no(products: &Products, lot: &Lot) -> (&'static str, &'static str) {
        let no = match lot.made {
            Made::Item(size) => products.items[products.sizes[size].product].design.no,
            Made::Part(part) => products.parts[part].no,
        };
        (no, letter(lot.revision))
    }

    /// Whether the next item unpacked of a lot contains a bad lot, when chance says so or not: a lot has so many items
    /// that do, and no more. It draws nothing, so that what follows in a world stays as it is.
    pub(super) fn unpack(&mut self, lot: u32, place: usize, by_chance: bool) -> bool {
        let lot = &mut self.list[lot as usize];
        let all = (lot.holds[place] * f64::from(lot.quantity)).round() as u32;
        let lacking = all.saturating_sub(lot.unpacked[place + 1]);
        let left = lot.quantity.saturating_sub(lot.unpacked[0]);
        let contains = lacking > 0 && (by_chance || left <= lacking);
        lot.unpacked[place + 1] += u32::from(contains);
        contains
    }

    /// The newest lot of a component's revision made by a day.
    pub(super) fn newest(&self, part: usize, revision: usize, day: i32) -> Option<u32> {
        let fits = |lot: &Lot| {
            lot.made == Made::Part(part) && lot.revision == revision && lot.made_on <= day && lot.quantity > 0
        };
        (0..self.list.len()).rev().find(|&place| fits(&self.list[place])).map(|place| place as u32)
    }

    /// Gives the conversion lots the quantities that were converted, and drops their components' lots that were not needed.
    pub(super) fn close_conversions(&mut self, each: u32) {
        for (_, place) in self.conversion.values().flatten() {
            let converted = self.list[*place as usize].quantity;
            let component = self.list[*place as usize].uses[0].0;
            self.list[*place as usize].uses[0].1 = converted * each;
            self.list[component as usize].quantity = converted * each;
        }
    }
}
