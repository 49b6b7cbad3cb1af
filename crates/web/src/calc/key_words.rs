//! What the keys of answers mean, in words: whole keys first, then the parts that keys are made of.

/// Whole keys that their parts don't explain.
const KEYS: &[(&str, &str)] = &[
    ("U", "expanded uncertainty"),
    ("U_real_dof", "expanded uncertainty at unrounded degrees of freedom"),
    ("aic", "Akaike's criterion"),
    ("cvm", "Cramér-von Mises distance"),
    ("d", "repairs"),
    ("d_pandolf_dL", "Pandolf, watts per kilogram of load"),
    ("delay_cdf", "share reported by each delay"),
    ("df", "degrees of freedom"),
    ("eb05", "shrunken ratio, lower limit"),
    ("eb95", "shrunken ratio, upper limit"),
    ("ebgm", "shrunken ratio (geometric mean)"),
    ("fieller_g", "Fieller's g (limits exist below 1)"),
    ("k", "reference rate"),
    ("k_rate", "reference rate"),
    ("k_t", "coverage factor by Student's t"),
    ("k_t_real_dof", "coverage factor at unrounded degrees of freedom"),
    ("k_z", "coverage factor by the normal distribution"),
    ("lambda_", "scale lambda"),
    ("llr", "log-likelihood ratio"),
    ("log_ci_lower", "lower limit"),
    ("log_ci_upper", "upper limit"),
    ("lower_025", "lower bound at 2.5 %"),
    ("lower_05", "lower bound at 5 %"),
    ("lower_10", "lower bound at 10 %"),
    ("milhdbk_p_lower_tail", "trend test, lower tail"),
    ("n", "number"),
    ("n_at_risk", "units watched"),
    ("n_event", "failures"),
    ("n_risk", "units at risk"),
    ("p", "probability"),
    ("p001", "lower limit at 0.1 %"),
    ("p025", "lower limit at 2.5 %"),
    ("p975", "upper limit at 97.5 %"),
    ("p999", "upper limit at 99.9 %"),
    ("p_e", "agreement by chance"),
    ("p_hat", "share"),
    ("p_o", "agreement seen"),
    ("pmf_0_to_10", "probability of none, 1, 2 and so on to 10"),
    ("prob_gt_1", "probability that the true ratio is above 1"),
    ("prob_gt_2", "probability that the true ratio is above 2"),
    ("prob_phi_le_1", "probability that the share is at most 1"),
    ("prob_zero", "probability of none"),
    ("q_n", "probability of belonging to the first component"),
    ("r", "count"),
    ("rho", "probability of failing ahead, by cohort"),
    ("rr", "observed over expected"),
    ("s", "scores"),
    ("santee_cf_w", "downhill correction, watts"),
    ("se", "standard error"),
    ("smr", "observed over expected"),
    ("surv", "share surviving"),
    ("u_c", "combined standard uncertainty"),
    ("upper_90", "upper bound at 90 %"),
    ("upper_95", "upper bound at 95 %"),
    ("upper_975", "upper bound at 97.5 %"),
    ("var_lawless_nadeau", "variance (Lawless and Nadeau)"),
    ("var_log_delay_cdf", "variance of the share's logarithm"),
    ("var_nelson_unbiased", "variance (Nelson, unbiased)"),
    ("var_poisson", "variance if repairs were Poisson"),
];

/// Parts of keys that are not words as they stand.
const PARTS: &[(&str, &str)] = &[
    ("05", "at 5 %"),
    ("95", "at 95 %"),
    ("b10", "life that one in ten doesn't reach"),
    ("bayes", "Bayes"),
    ("bcubed", "B-cubed"),
    ("bp", "life at the fraction"),
    ("cdf", "probability of so many or fewer"),
    ("chi2", "chi-square"),
    ("ci", ""),
    ("cov", "covariance of"),
    ("cp", "Clopper-Pearson"),
    ("cumhaz", "cumulative hazard"),
    ("df", "degrees of freedom"),
    ("diff", "difference"),
    ("eta", "scale eta"),
    ("beta", "shape beta"),
    ("fieller", "Fieller"),
    ("fpc", "with the finite correction"),
    ("h", "per hour"),
    ("hat", "estimate"),
    ("jeffreys", "Jeffreys"),
    ("kcal", "kilocalories"),
    ("laplace", "Laplace"),
    ("lcda", "LCDA"),
    ("loglik", "log-likelihood"),
    ("loglog", "log-log"),
    ("lower", "lower limit"),
    ("lower1", "lower limit (one-sided)"),
    ("lower2", "lower limit"),
    ("lr", "likelihood ratio"),
    ("mc", "by simulation"),
    ("mcf", "mean cumulative repairs"),
    ("midp", "mid-P"),
    ("milhdbk", "trend test"),
    ("minlike", "by likelihood"),
    ("mtbf", "time between failures"),
    ("na", "Nelson-Aalen"),
    ("nist", "handbook"),
    ("nu", "degrees of freedom"),
    ("p", "probability"),
    ("pandolf", "Pandolf"),
    ("poisson", "Poisson"),
    ("prof", "profile"),
    ("santee", "Santee"),
    ("se", "standard error of"),
    ("upper", "upper limit"),
    ("upper1", "upper limit (one-sided)"),
    ("upper2", "upper limit"),
    ("var", "variance of"),
    ("w", "watts"),
    ("wald", "Wald"),
    ("wilson", "Wilson"),
];

/// A key in words.
pub(super) fn spelled(key: &str) -> String {
    let find = |list: &[(&str, &'static str)], word: &str| {
        list.iter().find(|(k, _)| *k == word).map(|(_, words)| *words)
    };
    if let Some(words) = find(KEYS, key) {
        return words.to_owned();
    }
    let words: Vec<&str> = key
        .split('_')
        .map(|part| find(PARTS, part).unwrap_or(part))
        .filter(|words| !words.is_empty())
        .collect();
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::spelled;

    #[test]
    fn a_key_is_spelled_out_whole_or_by_its_parts() {
        assert_eq!(spelled("eb05"), "shrunken ratio, lower limit");
        assert_eq!(spelled("ci_exact_upper1"), "exact upper limit (one-sided)");
        assert_eq!(spelled("scale_ratio_common"), "scale ratio common");
    }
}
