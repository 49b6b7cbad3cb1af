//! Masses and what they cost: uncertainties combined, parts and sizes added up, walking with a load.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde_json::Value;
use stats::load_carriage::{Walk, kcal_per_hour};
use stats::special::{Tails, normal};
use stats::uncertainty::{Contribution, Part, Size, combine, roll_up, tariff_mean};

use super::answer::answer;
use super::input::{Number, confidence, names, one, read};
use super::say::{at, limits, number};
use super::words::Label;
use super::{Answer, CalcError, Method};

pub(super) const METHODS: [Method; 3] = [
    Method {
        name: "welch_satterthwaite",
        says: "Independent uncertainties combined, with effective degrees of freedom; dof null is infinite, c a sensitivity.",
        example: r#"{"contributions": [{"u": 0.25, "dof": 9}, {"u": 0.57, "dof": 4}, {"u": 0.82, "dof": null}], "conf": 0.95}"#,
        run: combined,
    },
    Method {
        name: "mass_rollup",
        says: "What an assembly weighs, give or take (parts), or an item on average over its sizes (sizes, tariff_sample_n).",
        example: r#"{"conf": 0.95, "parts": [{"qty": 2, "mass_g": 310, "u_g": 4, "correlation_group": "cloth"}, {"qty": 1, "mass_g": 85, "u_g": 1, "correlation_group": null}]}"#,
        run: roll,
    },
    Method {
        name: "load_carriage",
        says: "The power a person spends walking with a load (Pandolf, its downhill correction, LCDA), or what a change of load \
               makes of it.",
        example: r#"{"body_kg": 80, "load_kg": 25, "speed_m_s": 1.3, "grade_pct": 2, "terrain": 1.1}"#,
        run: carriage,
    },
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ContributionInput {
    u: Number,
    dof: Option<Number>,
    #[serde(default = "one")]
    c: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CombineInput {
    contributions: Vec<ContributionInput>,
    conf: Number,
}

fn combined(input: &Value) -> Result<Answer, CalcError> {
    let i: CombineInput = read(input)?;
    let conf = confidence(i.conf)?;
    let parts: Vec<Contribution> = i
        .contributions
        .iter()
        .map(|part| Contribution {
            standard: part.c.0.abs() * part.u.0,
            freedom: part.dof.map_or(f64::INFINITY, |freedom| freedom.0),
        })
        .collect();
    let all = combine(&parts)?;
    let (own, cut) = (all.expanded(conf), all.expanded_truncated(conf));
    Ok(answer! {
        "u_c": all.standard, "nu_eff": all.freedom, "k_z": normal::quantile(Tails::from_upper(conf.half_risk())),
        "nu_eff_truncated": all.freedom.is_finite().then(|| all.freedom.floor()),
        "k_t": cut.map(|e| e.factor), "U": cut.map(|e| e.half_width),
        "k_t_real_dof": own.factor, "U_real_dof": own.half_width,
    }
    .saying(format!("Give or take {} ({}).", number(own.half_width), at(conf))))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PartInput {
    qty: Number,
    mass_g: Number,
    u_g: Number,
    correlation_group: Option<Label>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PartsInput {
    conf: Number,
    parts: Vec<PartInput>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SizeInput {
    proportion: Number,
    mass_g: Number,
    u_g: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SizesInput {
    sizes: Vec<SizeInput>,
    tariff_sample_n: Option<Number>,
}

fn roll(input: &Value) -> Result<Answer, CalcError> {
    if names(input, "sizes") {
        return tariff(&read(input)?);
    }
    let i: PartsInput = read(input)?;
    let conf = confidence(i.conf)?;
    let mut groups: BTreeMap<&Label, usize> = BTreeMap::new();
    let mut parts = Vec::with_capacity(i.parts.len());
    for part in &i.parts {
        let next = groups.len();
        let group = part.correlation_group.as_ref().map(|name| *groups.entry(name).or_insert(next));
        parts.push(Part { quantity: part.qty.0, value: part.mass_g.0, standard: part.u_g.0, group });
    }
    let total = roll_up(&parts)?;
    let around = total.interval(conf);
    Ok(answer! {
        "total": total.value, "u_c": total.standard, "lower": around.low, "upper": around.high,
        "relative": total.standard / total.value,
    }
    .saying(format!("{} g ({}, {}).", number(total.value), limits(around), at(conf))))
}

fn tariff(i: &SizesInput) -> Result<Answer, CalcError> {
    let sizes: Vec<Size> = i
        .sizes
        .iter()
        .map(|size| Size { share: size.proportion.0, value: size.mass_g.0, standard: size.u_g.0 })
        .collect();
    let mean = tariff_mean(&sizes, i.tariff_sample_n.map(|n| n.0))?;
    let known = |standard| Contribution { standard, freedom: f64::INFINITY };
    let all = combine(&[known(mean.standard_independent), known(mean.standard_of_shares)])?;
    Ok(answer! {
        "weighted_mean": mean.mean, "u_mass": mean.standard_independent, "u_tariff": mean.standard_of_shares,
        "u_c": all.standard, "u_mass_fully_correlated": mean.standard_together, "population_sd": mean.spread,
    }
    .saying(format!(
        "{} g on average, with a standard uncertainty of {} g.",
        number(mean.mean),
        number(all.standard)
    )))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WalkInput {
    body_kg: Number,
    load_kg: Number,
    load_change_kg: Option<Number>,
    speed_m_s: Number,
    grade_pct: Number,
    terrain: Number,
}

fn carriage(input: &Value) -> Result<Answer, CalcError> {
    let i: WalkInput = read(input)?;
    let walk = Walk::new(i.body_kg.0, i.load_kg.0, i.speed_m_s.0, i.grade_pct.0, i.terrain.0)?;
    let watts = walk.pandolf_w();
    if let Some(change) = i.load_change_kg {
        let after = walk.with_load(i.load_kg.0 + change.0)?.pandolf_w();
        return Ok(answer! { "before_w": watts, "after_w": after, "delta_w": after - watts }
            .saying(format!("{} W before, {} W after, by Pandolf.", number(watts), number(after))));
    }
    let parts = walk.pandolf_parts();
    Ok(answer! {
        "pandolf_w": watts, "pandolf_kcal_h": kcal_per_hour(watts),
        "santee_cf_w": walk.downhill_correction_w(), "pandolf_santee_w": walk.corrected_w(),
        "pandolf_terms": answer! { "rest": parts.rest_w, "load": parts.load_w, "move": parts.move_w },
        "d_pandolf_dL": walk.pandolf_per_kg_of_load(),
        "lcda_w_per_kg": walk.lcda_w_per_kg(), "lcda_w_total_mass": walk.lcda_w(),
    }
    .saying(format!("{} W by Pandolf, {} W by LCDA.", number(walk.corrected_w()), number(walk.lcda_w()))))
}
