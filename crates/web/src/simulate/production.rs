//! The production plan: which lots of items are made, in which sizes, when, and by which of an item's two makers.

use super::calendar::Calendar;
use super::change::ChangePlan;
use super::dice::Dice;
use super::product::Products;
use super::request::Request;

/// An item lot before it has a number.
pub(super) struct Draft {
    pub(super) day: i32,
    pub(super) size: usize,
    pub(super) which_maker: usize,
    pub(super) quantity: u32,
    pub(super) pilot: bool,
}

/// Item lots by day, size, maker and quantity.
pub(super) fn drafts(
    request: &Request,
    calendar: &Calendar,
    products: &Products,
    change: &ChangePlan,
    dice: &mut Dice,
) -> Vec<Draft> {
    let item_lots =
        request.lots.map_or((f64::from(request.items) / 110.0).clamp(14.0, 600.0), |n| f64::from(n) / 5.4);
    let mut drafts = Vec::new();
    for product in &products.items {
        let total = f64::from(request.items) * product.share;
        let count = (item_lots * product.share).round().max(6.0);
        let sizes: Vec<usize> = (product.first_size..products.sizes.len())
            .take_while(|&s| products.sizes[s].product == products.sizes[product.first_size].product)
            .collect();
        let mut made = vec![0.0; sizes.len()];
        for n in 0..count as usize {
            let place = (n as f64 + 0.5) / count;
            let day = if place < 0.12 {
                -200 + (place / 0.12 * 150.0) as i32
            } else {
                (((place - 0.12) / 0.88).powf(1.15) * 0.93 * f64::from(calendar.end)) as i32
                    + dice.days(-8, 8)
            };
            let quantity = (total / count * (0.25 * dice.normal() - 0.03).exp()).round().max(1.0);
            let so_far: f64 = made.iter().sum::<f64>() + quantity;
            let most_wanted = (0..sizes.len()).max_by(|&a, &b| {
                let lack = |s: usize| products.sizes[sizes[s]].share * so_far - made[s];
                lack(a).total_cmp(&lack(b))
            });
            let size = most_wanted.unwrap_or(0);
            made[size] += quantity;
            drafts.push(Draft {
                day,
                size: sizes[size],
                which_maker: usize::from(dice.chance(0.4)),
                quantity: quantity as u32,
                pilot: false,
            });
        }
    }
    let first = products.items[change.product].first_size;
    let pilots = (f64::from(request.items) / 400.0).clamp(4.0, 40.0) as u32;
    drafts.push(Draft { day: change.pilot, size: first + 1, which_maker: 0, quantity: pilots, pilot: true });
    drafts
}
