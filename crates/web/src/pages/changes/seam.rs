//! The thread of a change: reports and recurrence before it, cut-in, proof and answer after.

use domain::analysis::Recurrence;
use domain::change::ChangeState as S;
use domain::permission::Actor;

use super::load::Loaded;
use crate::address;
use crate::pages::{lots, recurrences};
use crate::view::{Sewn, Station, Strand, Thread};

/// The recurrence that a change answers: the one it was drafted from, else the first of its part and modes.
pub(super) fn recurrence(loaded: &Loaded) -> Option<&Recurrence> {
    let (field, change) = (&loaded.picture.field, &loaded.record.change);
    let named = loaded.record.body.as_ref().and_then(|body| body.recurrence.as_ref());
    let part = field.part_names.find(named.map_or(change.part_no.as_str(), |(part, _)| part))?;
    let modes: Vec<_> = match named {
        Some((_, mode)) => vec![field.find_mode(mode)?],
        None => change.modes.iter().filter_map(|mode| field.find_mode(mode)).collect(),
    };
    let all = &loaded.picture.analysis.recurrences;
    all.iter().find(|r| r.part == part && (modes.is_empty() || modes.contains(&r.mode)))
}

/// The thread, at the station of the change.
pub(super) fn thread(actor: &Actor, loaded: &Loaded) -> Thread {
    let mut stations = before(actor, loaded);
    let (record, state) = (&loaded.record, loaded.state());
    let reached = |yes: bool| if yes { Sewn::Reached } else { Sewn::Ahead };
    let drafted = record.body.as_ref().map(|body| body.drafted_at.date_naive());
    let concluded = matches!(state, S::Proved | S::NotProved);
    let lot = record.change.cut_in_lot.as_ref().map(|lot| format!("lot {lot}"));
    stations.extend([
        Station {
            word: "change",
            name: record.change.change_no.clone(),
            address: None,
            day: drafted,
            sewn: Sewn::Here,
        },
        Station {
            word: "cut-in",
            name: lot.unwrap_or_default(),
            address: lineage_of_first(loaded),
            day: record.change.cut_in_on,
            sewn: reached(state.is_built()),
        },
        Station {
            word: "proof",
            name: if concluded { state.word().to_owned() } else { String::new() },
            address: None,
            day: record.since.filter(|_| concluded).map(|at| at.date_naive()),
            sewn: reached(concluded),
        },
        Station { word: "answer", name: String::new(), address: None, day: None, sewn: Sewn::Ahead },
    ]);
    Thread::new(Strand::new(stations, Vec::new(), loaded.today))
}

/// Where the lot a change cut in with came from and went.
fn lineage_of_first(loaded: &Loaded) -> Option<String> {
    let field = &loaded.picture.field;
    let lot = lots::find(field, loaded.record.change.cut_in_lot.as_deref()?, None).ok()?;
    Some(address::of_lot(field, lot, "lineage"))
}

fn before(actor: &Actor, loaded: &Loaded) -> Vec<Station> {
    let field = &loaded.picture.field;
    let Some(r) = recurrence(loaded) else {
        let blank =
            |word| Station { word, name: String::new(), address: None, day: None, sewn: Sewn::Reached };
        return vec![blank("report"), blank("recurrence")];
    };
    recurrences::before_change(actor, field, r)
}
