//! Files that cannot be taken: each problem with its line, its key and what to do.

use procedure::{Names, Problem, Who, read};
use proptest::prelude::*;

const GOOD: &str = r#"key = "round"
name = "A round"
about = "Once a watch."
nature = "work"
source = "invented for this test"

[[step]]
key = "look"
do = "Look."
why = "To see."
takes_min = [5, 10]
"#;

fn names() -> Names<'static> {
    Names {
        readings: vec!["vapour_temp_c", "vacuum_percent"],
        figures: vec!["limit.vapour_max_c"],
        ranges: vec![("vapour_temp_c", (0.0, 120.0))],
    }
}

fn problems(from: &str, to: &str) -> Vec<Problem> {
    assert!(GOOD.contains(from), "{from}");
    read(&GOOD.replacen(from, to, 1), &names()).expect_err(to)
}

#[test]
fn ident_what_is_left_out_is_as_usual() {
    let round = read(GOOD, &names()).expect("a procedure");
    let step = &round.steps[0];
    assert_eq!((step.who, step.overridden_by, step.wait_min), (Who::Watch, Who::Engineer, 0.0));
    assert!(step.look.is_empty() && step.see.is_empty() && step.caution.is_empty());
    assert_eq!(round.takes_min(), (5.0, 10.0));
}

#[test]
fn ident_each_problem_is_told_with_its_line_and_the_remedy() {
    for (from, to, line, key, says) in [
        ("nature = \"work\"", "nature = \"wrok\"", 4, "nature", "is “work” meant?"),
        ("name = \"A round\"", "nmae = \"A round\"", 2, "nmae", "is “name” meant?"),
        ("do = \"Look.\"", "do = 5", 9, "step look: do", "between quotation marks"),
        (
            "takes_min = [5, 10]",
            "takes_min = [10, 5]",
            11,
            "step look: takes_min",
            "the lesser first",
        ),
        ("takes_min = [5, 10]", "takes_min = [5, 99999]", 11, "step look: takes_min", "0 to 4320"),
        (
            "takes_min = [5, 10]",
            "takes_min = 5\nsee = [\"vapour_temp_c between 50 and 40\"]",
            12,
            "step look: see",
            "the lesser figure first",
        ),
        (
            "takes_min = [5, 10]",
            "takes_min = 5\nsee = [\"vapour_temp_c between 400 and 500\"]",
            12,
            "step look: see",
            "runs from 0 to 120, so it could never be met",
        ),
        (
            "takes_min = [5, 10]",
            "takes_min = 5\nafter = [\"heat: scale\"]",
            7,
            "step look: after",
            "is no step before this one",
        ),
        (
            "takes_min = [5, 10]",
            "takes_min = 5\nsee = [\"vapour_temp >= 40\"]",
            12,
            "step look: see",
            "is “vapour_temp_c” meant?",
        ),
        (
            "takes_min = [5, 10]",
            "takes_min = 5\nsee = \"vapour_temp_c >= limit.vapour_max\"",
            12,
            "step look: see",
            "is “limit.vapour_max_c” meant?",
        ),
        (
            "takes_min = [5, 10]",
            "takes_min = 5\nsee = \"vapour_temp_c > 40\"",
            12,
            "step look: see",
            "“>” stands where",
        ),
        (
            "takes_min = [5, 10]",
            "takes_min = 5\ntowards = \"het\"",
            12,
            "step look: towards",
            "is “heat” meant?",
        ),
        ("key = \"look\"", "key = \"Look round\"", 8, "step key", "small letters"),
    ] {
        let found = problems(from, to);
        let told = found.iter().find(|problem| problem.line == Some(line) && problem.key == key);
        assert!(told.is_some_and(|problem| problem.message.contains(says)), "{to}: {found:#?}");
    }
}

#[test]
fn ident_two_steps_by_one_key_and_a_list_without_steps_are_refused() {
    let twice = format!(
        "{GOOD}\n[[step]]\nkey = \"look\"\ndo = \"Again.\"\nwhy = \"Twice.\"\ntakes_min = 1\n"
    );
    let found = read(&twice, &names()).expect_err("twice");
    assert!(
        found.iter().any(|problem| problem.line == Some(13) && problem.key == "step key"),
        "{found:#?}"
    );
    let none = GOOD.split("[[step]]").next().expect("a head");
    assert!(read(none, &names()).expect_err("no step").iter().any(|problem| problem.key == "step"));
    let cut = read(&GOOD[..60], &names()).expect_err("cut");
    assert!(cut[0].line.is_some(), "{cut:#?}");
}

#[test]
fn ident_every_missing_key_of_a_procedure_is_told_at_once() {
    let found = read("key = \"x\"\n[[step]]\nkey = \"a\"\n", &names()).expect_err("bare");
    let keys: Vec<&str> = found.iter().map(|problem| problem.key.as_str()).collect();
    for key in
        ["name", "about", "nature", "source", "step a: do", "step a: why", "step a: takes_min"]
    {
        assert!(keys.contains(&key), "{key} of {keys:?}");
    }
}

proptest! {
    #[test]
    fn ident_a_file_cut_or_damaged_anywhere_is_refused_or_read_and_never_a_panic(
        at in 0..GOOD.len(),
        with in "[a-z0-9\"\\[\\]= \n]{0,8}",
    ) {
        let mut text = GOOD.to_owned();
        text.truncate(at);
        text.push_str(&with);
        text.push_str(GOOD.get(at..).unwrap_or_default());
        let _ = read(&text, &names());
    }
}
