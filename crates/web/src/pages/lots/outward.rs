//! The figures of a lot that a notice to its maker carries out of the house, each with what it is counted from.

use domain::field::LotId;
use domain::published::{Figure, Measure, of_lot};

use super::on_lot::on_lot;
use crate::format;
use crate::picture::Picture;

/// Exposure first, then each recurrence with reports on the lot.
pub(crate) fn figures(picture: &Picture, lot: LotId) -> Vec<Figure> {
    let (field, analysis) = (&picture.field, &picture.analysis);
    let facts = &field.lots[lot];
    let maker = facts.maker.map(|maker| &field.makers[maker]);
    let filter = |recurrence| of_lot(&facts.lot_no, maker, recurrence);
    let years = analysis.ledger.lot_years(|spell| spell.lot() == Some(lot)).best;
    let mut figures = vec![Figure {
        measure: Measure::LotYears,
        filter: filter(None),
        value: Some(years),
        text: format::decimals(years, 0),
    }];
    for line in on_lot(field, analysis, lot) {
        let r = line.recurrence;
        let filter = filter(Some((&field.part_names[r.part], &field.modes[r.mode].code)));
        figures.push(Figure {
            measure: Measure::LotReports,
            filter: filter.clone(),
            value: Some(f64::from(line.reports)),
            text: format::count(u64::from(line.reports)),
        });
        figures.push(Figure {
            measure: Measure::LotRatio,
            filter,
            value: line.ratio.map(|(ratio, _)| ratio).filter(|ratio| ratio.is_finite()),
            text: match line.ratio {
                Some(_) => format!("{}, {}", line.words, line.said),
                None => "not known".into(),
            },
        });
    }
    figures
}
