//! What the report form offers: the items that are issued, with their parts by plain names.
//!
//! It comes from the store, not from the picture of the field: a report must never wait until that is made.

use std::collections::HashMap;

use store::Store;

use super::form::{Offer, OfferedItem};
use crate::error::AppError;

/// Items and their parts at any depth, each once, by the name of its latest revision.
pub(crate) async fn offer(store: &Store) -> Result<Offer, AppError> {
    let names: HashMap<String, String> =
        store.list_parts().await?.into_iter().map(|part| (part.part_no, part.name)).collect();
    let mut items: Vec<OfferedItem> = Vec::new();
    for item in store.list_items().await? {
        if items.iter().any(|offered| offered.part_no == item.part_no) {
            continue;
        }
        let parts = store.components_of(&item.part_no).await?.into_iter().map(|part_no| {
            let name = names.get(&part_no).cloned().unwrap_or_else(|| part_no.clone());
            (part_no, name)
        });
        let name = names.get(&item.part_no).cloned().unwrap_or(item.name);
        items.push(OfferedItem { name, parts: parts.collect(), part_no: item.part_no });
    }
    Ok(Offer { items, sizes: store.list_sizes().await? })
}
