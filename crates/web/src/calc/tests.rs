//! What is refused and in which words, streams of lines, options, and plain words.

use std::io::{Read, Write};
use std::sync::mpsc::{Receiver, Sender, channel};

use serde_json::{Value, json};

use super::{Tally, calculate_lines, in_words, method, methods, read_options};

fn refusal(name: &str, input: &Value) -> String {
    let method = method(name).expect("a method");
    (method.run)(input).expect_err("a refusal").to_string()
}

fn answer(name: &str, input: &Value) -> Value {
    let method = method(name).expect("a method");
    serde_json::to_value((method.run)(input).expect("an answer")).expect("JSON")
}

/// What a stream of lines becomes, and how it went.
fn stream(name: &str, input: &str) -> (Vec<Value>, Tally) {
    let mut out = Vec::new();
    let tally =
        calculate_lines(method(name).expect("a method"), input.as_bytes(), &mut out).expect("no trouble");
    let text = String::from_utf8(out).expect("text");
    (text.lines().map(|line| serde_json::from_str(line).expect("a line of JSON")).collect(), tally)
}

#[test]
fn a_refusal_names_the_value_and_what_is_accepted() {
    for (name, input, words) in [
        (
            "poisson_rate",
            json!({"k": 3, "exposure": -1, "conf": 0.9}),
            "exposure is -1 but must be a finite number above 0",
        ),
        (
            "poisson_rate",
            json!({"k": 3, "exposure": "NaN", "conf": 0.9}),
            "`exposure`: \"NaN\" was given but a number is needed",
        ),
        (
            "poisson_rate",
            json!({"k": 3, "exposure": "inf", "conf": 0.9}),
            "exposure is inf but must be a finite number above 0",
        ),
        (
            "poisson_rate",
            json!({"k": -3, "exposure": 1, "conf": 0.9}),
            "`k`: -3 was given but a whole number from 0 to 9007199254740992 is needed",
        ),
        (
            "poisson_rate",
            json!({"k": 2.5, "exposure": 1, "conf": 0.9}),
            "`k`: 2.5 was given but a whole number from 0 to 9007199254740992 is needed",
        ),
        (
            "poisson_rate",
            json!({"k": 2, "exposure": 1, "conf": 90}),
            "confidence is 90 but must be above 0 and below 1, such as 0.95",
        ),
        ("poisson_rate", json!({"k": 2, "exposure": 1}), "missing field `conf`"),
        (
            "poisson_rate",
            json!({"k": 2, "exposure": 1, "conf": 0.9, "colour": 1}),
            "unknown field `colour`, expected one of `k`, `exposure`, `conf`",
        ),
        ("poisson_rate", json!([3, 1200]), "an input is an object, such as {\"k\": 3}"),
        (
            "binomial_ci",
            json!({"x": 9, "n": 4, "conf": 0.9}),
            "successes is 9 but must not exceed its total, 4",
        ),
        (
            "life_mle",
            json!({"dist": "weibull", "conf": 0.9, "bp_fraction": 0.1, "observations": []}),
            "there are 0 lives with time on watch but at least 1 are needed",
        ),
        (
            "life_mle",
            json!({"dist": "weibull", "conf": 0.9, "bp_fraction": 0.1,
                "observations": [{"kind": "right", "lo": 2}, {"kind": "exact", "lo": null}]}),
            "`observations[1].lo`: invalid type: null, expected a number",
        ),
        (
            "km_na",
            json!({"conf": 0.9, "entry": [0], "exit": [5, 6], "event": [1, 0], "weight": [1, 1]}),
            "there are 2 exits but 1 entries; each needs its partner",
        ),
        (
            "cusum_arl",
            json!({"mean": 1, "k": "1/0", "h": "3", "head_start": "0", "alarm": "ge", "side": "upper"}),
            "`k`: \"1/0\" was given but a fraction such as \"3/4\" or 0.75 is needed",
        ),
        (
            "power_law",
            json!({"mode": "failure", "conf": 0.9, "systems": []}),
            "systems holds 0 but mode failure takes exactly 1",
        ),
        (
            "prediction_plugin",
            json!({"dist": "weibull", "params": {"eta": 3}, "cohorts": []}),
            "`params.beta` is needed for this dist",
        ),
        (
            "prediction_mc",
            json!({"dist": "weibull", "log_eta": 8, "log_beta": 0.7, "cov": [[0.04, 0], [0, 0.02]],
                "cohorts": [{"age": 500, "n": 40, "horizon": 300}], "samples": 400_001}),
            "samples is 400001 but must be at most 400000",
        ),
        (
            "temporal_scan",
            json!({"counts": [1e12, 1], "exposure": [1, 1], "max_window": 1}),
            "counts add up to 1000000000001 but must be at most 20000 for 99999 replicates",
        ),
        (
            "rate_ratio_power",
            json!({"rate2": 0.01, "ratio": 1e12, "t2_over_t1": 4, "alpha_one_sided": 0.05, "power": 0.8}),
            "ratio is 1e12 but must be from 0.001 to 1000",
        ),
        (
            "under_reporting",
            json!({"items_in_service": 1e12, "voluntary_reports": 1e12, "inspected": 9, "found_failed": 1, "conf": 0.9}),
            "voluntary_reports is 1e12 but must be from 0 to 100000",
        ),
        (
            "eb_scores",
            json!({"n": 5, "expected": 0.8, "alpha": 9e15, "beta": 1.5}),
            "alpha is 9e15 but must be from 1e-300 to 1e12",
        ),
        (
            "life_mle",
            json!({"dist": "weibull", "conf": 0.9, "bp_fraction": 0.1,
                "observations": [{"kind": "exact", "lo": 5, "hi": 5, "w": 1e300}]}),
            "w is 1e300 but must be from 1e-12 to 1e12",
        ),
        ("bh", json!({"p": [0.1, 1.5], "q": 0.05}), "p-value number 2 is 1.5 but must be from 0 to 1"),
    ] {
        assert_eq!(refusal(name, &input), words, "{name} {input}");
    }
}

/// Data that allow no fit are a normal state of the field, not a fault.
#[test]
fn data_without_an_estimate_are_answered_as_such() {
    let exact = |age: f64| json!({"kind": "exact", "lo": age, "hi": age});
    for observations in [
        json!([exact(5.0), {"kind": "right", "lo": 4, "hi": null}]),
        json!([exact(5.0), exact(5.0), exact(5.0)]),
        json!([{"kind": "right", "lo": 4, "hi": null}]),
    ] {
        let input = json!({"dist": "weibull", "conf": 0.9, "bp_fraction": 0.1, "observations": observations});
        assert_eq!(answer("life_mle", &input), json!({"status": "no_mle"}));
        let words = in_words(&(method("life_mle").expect("a method").run)(&input).expect("an answer"));
        assert!(words.starts_with("No estimate exists: "), "{words}");
    }
    let input = json!({"mode": "time", "conf": 0.9, "systems": [{"start": 0, "end": 9, "times": []}]});
    assert_eq!(answer("power_law", &input), json!({"n": 0, "status": "no_events"}));
}

/// Large counts are answered, by methods that could not count that far one by one.
#[test]
fn counts_of_a_million_millions_are_answered() {
    let rate = answer("poisson_rate", &json!({"k": 1e12, "exposure": 1e12, "conf": 0.95}));
    // 1 +- 1.96 millionths, from the normal distribution that so large a count has.
    assert!((rate["exact_upper2"].as_f64().expect("a limit") - 1.000_001_96).abs() < 1e-10, "{rate}");
    let share = answer("binomial_ci", &json!({"x": 500_000_000_000_u64, "n": 1e12, "conf": 0.95}));
    assert!((share["cp_upper2"].as_f64().expect("a limit") - 0.500_000_98).abs() < 1e-9, "{share}");
    let ratio = json!({"x1": 1e12, "t1": 1, "x2": 1e12, "t2": 1, "ratio0": 1, "conf": 0.95});
    assert_eq!(answer("rate_ratio", &ratio)["rate_ratio"], json!(1.0));
    let input = json!({"dist": "weibull", "params": {"eta": 1e3, "beta": 2},
        "cohorts": [{"age": 10, "n": 1e12, "horizon": 5}]});
    assert!(answer("prediction_plugin", &input)["upper_95"].as_u64().expect("a count") > 100_000_000);
}

#[test]
fn a_bad_line_costs_itself_alone_and_keeps_its_place() {
    let good = r#"{"k": 3, "exposure": 1200, "conf": 0.9}"#;
    let (lines, tally) = stream("poisson_rate", &format!("{good}\n\n  \nnot json\n{good}\n{{\"k\": NaN}}"));
    assert_eq!(tally, Tally { lines: 4, failed: 2 });
    assert_eq!(lines.len(), 4);
    assert_eq!(lines[0], lines[2]);
    assert_eq!(lines[0]["rate"], json!(0.0025));
    for (line, number) in [(&lines[1], 4), (&lines[3], 6)] {
        assert_eq!(line["line"], json!(number));
        let error = line["error"].as_str().expect("words");
        assert!(error.starts_with("not a line of JSON: ") && error.contains("\"exposure\""), "{error}");
    }
}

#[test]
fn a_line_that_is_no_text_is_refused_like_any_other() {
    let mut out = Vec::new();
    let bytes = b"\xff\xfe\n{\"k\": 0, \"exposure\": 1, \"conf\": 0.5}\n";
    let method = method("poisson_rate").expect("a method");
    let tally = calculate_lines(method, &bytes[..], &mut out).expect("no trouble");
    assert_eq!(tally, Tally { lines: 2, failed: 1 });
}

/// A pipe that is fed a line at a time.
struct Feed(Receiver<Vec<u8>>);

impl Read for Feed {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let line = self.0.recv().unwrap_or_default();
        into[..line.len()].copy_from_slice(&line);
        Ok(line.len())
    }
}

/// Hands over what was written when it is flushed.
struct Flushed(Vec<u8>, Sender<String>);

impl Write for Flushed {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.write(bytes)
    }
    fn flush(&mut self) -> std::io::Result<()> {
        let text = String::from_utf8(std::mem::take(&mut self.0)).expect("text");
        if !text.is_empty() {
            self.1.send(text).expect("somebody listens");
        }
        Ok(())
    }
}

#[test]
fn each_line_is_answered_before_the_next_is_read() {
    let (ask, asked) = channel();
    let (tell, told) = channel();
    let worker = std::thread::spawn(move || {
        calculate_lines(method("bh").expect("a method"), Feed(asked), Flushed(Vec::new(), tell))
    });
    for p in ["0.01", "0.5"] {
        ask.send(format!("{{\"p\": [{p}], \"q\": 0.05}}\n").into_bytes()).expect("it listens");
        let answer = told.recv().expect("an answer");
        assert!(answer.contains(&format!("\"adjusted\":[{p}]")), "{answer}");
    }
    drop(ask);
    let tally = worker.join().expect("no panic").expect("no trouble");
    assert_eq!(tally, Tally { lines: 2, failed: 0 });
}

fn options(name: &str, words: &[&str]) -> Result<Value, String> {
    let words: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
    read_options(method(name).expect("a method"), &words).map_err(|error| error.to_string())
}

#[test]
fn options_become_the_input_that_a_line_would_be() {
    let rate = options("poisson_rate", &["--k", "3", "--exposure=1200", "--conf", "0.9"]);
    assert_eq!(rate, Ok(json!({"k": 3, "exposure": 1200, "conf": 0.9})));
    let walk = options("load_carriage", &["--grade-pct", "-5", "--body_kg", "80"]);
    assert_eq!(walk, Ok(json!({"grade_pct": -5, "body_kg": 80})));
    // A list of one is a list where the method takes one.
    assert_eq!(options("bh", &["--p", "0.01", "--q", "0.05"]), Ok(json!({"p": [0.01], "q": 0.05})));
    assert_eq!(options("kappa", &["--a", "x, y", "--b=x,x"]), Ok(json!({"a": ["x", "y"], "b": ["x", "x"]})));
    let chart = options("cusum_arl", &["--k", "1/4", "--side", "upper"]);
    assert_eq!(chart, Ok(json!({"k": "1/4", "side": "upper"})));
    let cohorts = options("prediction_plugin", &["--cohorts", r#"[{"age": 1}]"#]);
    assert_eq!(cohorts, Ok(json!({"cohorts": [{"age": 1}]})));
}

#[test]
fn options_that_say_nothing_clear_are_refused() {
    for (words, why) in [
        (&["--k"][..], "--k needs a value after it"),
        (&["k", "3"][..], "`k` is no option; options are --key value"),
        (&["--k", "3", "--k", "4"][..], "--k is given twice"),
    ] {
        assert_eq!(options("poisson_rate", words), Err(why.to_owned()));
    }
    assert!(options("poisson_rate", &["--k", "[3"]).expect_err("a refusal").contains("isn't JSON"));
}

#[test]
fn an_answer_in_words_begins_with_its_sentence() {
    let say = |name: &str, input: Value| {
        in_words(&(method(name).expect("a method").run)(&input).expect("an answer"))
    };
    let words = say("poisson_rate", json!({"k": 3, "exposure": 1200, "conf": 0.9}));
    // Exact limits of 3: half the chi-square quantiles, 0.81769 and 7.75366.
    let first =
        "2.50 per 1,000 (0.681 to 6.46, exact, at 90\u{a0}% confidence), 3 events in 1,200 of exposure.";
    assert_eq!(words.lines().next(), Some(first));
    assert!(words.contains("\n  exact lower limit: 0.0006814\n"), "{words}");
    assert!(words.contains("\n  time between failures\n    "), "{words}");
    let open = say("rate_ratio", json!({"x1": 2, "t1": 9, "x2": 0, "t2": 9, "ratio0": 1, "conf": 0.9}));
    assert!(
        open.starts_with("The first rate is infinity times the second (") && open.contains(" or more, exact")
    );
    let none = say("rate_ratio", json!({"x1": 0, "t1": 9, "x2": 0, "t2": 9, "ratio0": 1, "conf": 0.9}));
    assert!(none.contains("\n  rate ratio: no estimate\n"), "{none}");
}

fn sentence(name: &str, input: &Value) -> String {
    let words = in_words(&(method(name).expect("a method").run)(input).expect("an answer"));
    words.lines().next().unwrap_or_default().to_owned()
}

#[test]
fn a_level_keeps_the_digits_that_were_given() {
    let at = |conf: f64| sentence("poisson_rate", &json!({"k": 3, "exposure": 1200, "conf": conf}));
    for (conf, words) in [
        (0.9, "at 90\u{a0}% confidence"),
        (0.05, "at 5\u{a0}% confidence"),
        (0.975, "at 97.5\u{a0}% confidence"),
        (0.999_999_999, "at 99.9999999\u{a0}% confidence"),
        (0.000_1, "at 0.01\u{a0}% confidence"),
    ] {
        assert!(at(conf).contains(words), "{}", at(conf));
    }
}

/// 3,000 reports of 2,000 items, of which one in 150 was found to have failed, some 13: no share of failures is above all.
#[test]
fn more_reports_than_failures_are_told_as_such() {
    let survey = |reports: u32, found: u32| {
        let input = json!({"items_in_service": 2000, "voluntary_reports": reports, "inspected": 150,
            "found_failed": found, "conf": 0.9});
        sentence("under_reporting", &input)
    };
    let said = survey(3000, 1);
    assert!(said.starts_with("About 191 reports came for each failure"), "{said}");
    assert!(said.ends_with("reports and inspection can't count the same failures."), "{said}");
    assert!(survey(30, 6).starts_with("Of 100 failures about "));
    // By hand: 13 failures by the inspection and 20 reports. One found is little to go by, and less than all isn't ruled out.
    assert!(survey(20, 1).starts_with("Of 100 failures about "));
}

#[test]
fn more_units_than_can_be_counted_are_refused() {
    let longer = |shape: f64| json!({"reliability": 0.95, "conf": 0.9, "weibull_shape": shape, "test_to_required_life_ratio": 0.01});
    // By hand: ln 0.1 / ln 0.95 = 44.9, times 100 for a test of a hundredth of the life at shape 1.
    assert_eq!(answer("success_run", &longer(1.0))["n"], json!(4490.0));
    let words = "number of units needed is inf but must be at most 1e15";
    assert_eq!(refusal("success_run", &longer(200.0)), words);
}

/// Sixty cells with as many events as expected say nothing of a spread, in one component or two.
#[test]
fn a_table_without_a_spread_is_at_the_boundary_in_both_models() {
    for model in ["one_gamma", "two_gamma"] {
        let said = answer("eb_fit", &json!({"model": model, "n": vec![5; 60], "expected": vec![5; 60]}));
        assert_eq!((&said["status"], &said["mean_ratio"]), (&json!("boundary"), &json!(1.0)), "{model}");
    }
}

#[test]
fn a_fault_of_the_program_costs_one_line_alone() {
    let faulty = super::Method {
        name: "faulty",
        says: "Fails where the input is empty.",
        example: "{\"k\": 1}",
        run: |input| {
            if super::input::names(input, "k") { Ok(super::Answer::default()) } else { panic!("a fault") }
        },
    };
    let mut out = Vec::new();
    let tally = calculate_lines(&faulty, &b"{}\n{\"k\": 1}\n"[..], &mut out).expect("no trouble");
    assert_eq!(tally, Tally { lines: 2, failed: 1 });
    let text = String::from_utf8(out).expect("text");
    assert!(text.contains("a fault of its own") && text.ends_with("\n{}\n"), "{text}");
}

#[test]
fn methods_are_named_once_and_each_says_what_it_does_in_a_sentence() {
    let mut names: Vec<&str> = methods().map(|method| method.name).collect();
    let all = names.len();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), all);
    for method in methods() {
        assert!(method.says.ends_with('.') && !method.says.contains("  "), "{}", method.says);
    }
}

/// An anytime interval holds the one for a single look, and both hold the plain ratio.
#[test]
fn methods_beyond_the_reference_answer_in_shapes_of_their_own() {
    let strata =
        json!([{"before_count": 40, "before_exposure": 1000, "after_count": 10, "after_exposure": 500}]);
    let once = answer("stratified_ratio", &json!({"strata": strata, "conf": 0.95}));
    let any = answer("anytime_ratio", &json!({"strata": strata, "conf": 0.95}));
    let at = |value: &Value, key: &str| value[key].as_f64().unwrap_or_else(|| panic!("{key} in {value}"));
    assert!((at(&once, "exact_ratio") - 0.5).abs() < 1e-9);
    assert!(at(&any, "lower") < at(&once, "exact_lower2") && at(&any, "upper") > at(&once, "exact_upper2"));
    assert!(at(&any, "evidence_against_ratio0") < 20.0);
    let none = json!([{"before_count": 4, "before_exposure": 100, "after_count": 0, "after_exposure": 50}]);
    let none = answer("stratified_ratio", &json!({"strata": none, "conf": 0.95}));
    assert_eq!((&none["exact_ratio"], &none["mantel_haenszel_ratio"]), (&json!(0.0), &Value::Null));
}
