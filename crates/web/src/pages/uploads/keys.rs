//! Keys of a list's rows, by which a row that was sent before is known again, whoever sent it.

use std::collections::HashMap;

use store::Store;

use super::sender::unit_of;
use crate::error::AppError;
use crate::secrets::digest_hex;

/// A row among those of its list.
struct Row<'a> {
    unit: &'a str,
    /// The unit, and the cells as they stand in the file.
    says: String,
    /// Its number among the rows that say the same, from 1: two of them tell of two failures.
    nth: u32,
}

/// The key of each row, by its unit and its cells, in the rows' order. It follows from these alone, so that a row that is
/// sent again by whoever has the list next is the same row.
///
/// The program once put the sender into the key as well. What was kept so stands under no other key, and the cells it was
/// made of were not kept; so a row is looked for under the key that each sender there has been would have given it, and
/// where one is found the row has that one. A list that was taken back has freed its keys, of either kind.
pub(super) async fn keys(store: &Store, rows: &[(&str, &[String])]) -> Result<Vec<String>, AppError> {
    let rows = counted(rows);
    let senders = store.list_upload_senders().await?;
    let former: Vec<Vec<String>> = rows.iter().map(|row| row.former_keys(&senders)).collect();
    let sent = store.find_sent_keys(&former.concat()).await?;
    let key = |(row, former): (&Row<'_>, Vec<String>)| {
        former.into_iter().find(|key| sent.contains(key)).unwrap_or_else(|| row.key())
    };
    Ok(rows.iter().zip(former).map(key).collect())
}

fn counted<'a>(rows: &[(&'a str, &'a [String])]) -> Vec<Row<'a>> {
    let mut seen: HashMap<String, u32> = HashMap::new();
    let row = |&(unit, cells): &(&'a str, &'a [String])| {
        let says = format!("{unit}\n{}", cells.join("\u{1f}"));
        let count = seen.entry(says.clone()).or_default();
        *count += 1;
        Row { unit, nth: *count, says }
    };
    rows.iter().map(row).collect()
}

impl Row<'_> {
    fn key(&self) -> String {
        digest_hex(format!("row of a list\n{}\n{}", self.says, self.nth).as_bytes())
    }

    /// The keys it would have been kept under while the sender was part of them: a unit sent rows of its own alone.
    fn former_keys(&self, senders: &[String]) -> Vec<String> {
        let could = |sender: &&String| unit_of(sender).is_none_or(|unit| unit == self.unit);
        let key = |sender: &String| {
            digest_hex(format!("list row {sender}\n{}\n{}", self.says, self.nth).as_bytes())
        };
        senders.iter().filter(could).map(key).collect()
    }
}
