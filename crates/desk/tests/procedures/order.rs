//! Steps done against the list, steps left open, and minutes compared.

use desk::procedures::{Outcome, What};

use crate::{aboard, act, afterwards, minute, refused, tick};

#[test]
fn ident_steps_done_against_the_list_are_named_with_what_that_may_have_done() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let stop = desk.begin_run("stop", "2e", None, minute(0)).expect("begun");
    let times = afterwards(&[("sea-valves", 5), ("heat-off", 30)]);
    let told = desk.do_afterwards(stop, "2e", &times, minute(31)).expect("written");
    let order = told.iter().find(|told| told.contains("before step 1")).expect("it is said");
    assert!(order.starts_with("Step 7 (") && order.contains("stands at 04:05"), "{order}");
    assert!(order.contains("04:30") && order.contains("brine boils dry on the plates"), "{order}");
    let view = desk.run_view(stop, minute(32)).expect("a run");
    assert!(view.order.iter().any(|pair| pair.asks && pair.forbidden), "{:?}", view.order);
    act(&desk, (stop, "", 33), &[], What::SoItWas).expect("confirmed");
    let view = desk.run_view(stop, minute(34)).expect("a run");
    assert!(view.order.iter().any(|pair| pair.confirmed) && !view.order.iter().any(|p| p.asks));
    let again = refused(act(&desk, (stop, "", 35), &[], What::SoItWas));
    assert!(again.contains("follow the list"), "{again}");
    // Mended, the pair is gone; what is still open is named as open.
    let mend = What::Mend { time: Some(minute(31)), hand: "", reason: "typed wrong" };
    act(&desk, (stop, "sea-valves", 36), &[], mend).expect("mended");
    let view = desk.run_view(stop, minute(37)).expect("a run");
    assert!(view.order.iter().all(|pair| !pair.says.contains("before step 1")), "{:?}", view.order);
    assert!(
        view.order
            .iter()
            .any(|pair| pair.says.contains("step 6") && pair.says.contains("still open"))
    );
}

#[test]
fn ident_minutes_compared_add_up_to_the_whole_also_of_what_was_ticked_afterwards() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = desk.begin_run("blackout", "3e", None, minute(30)).expect("begun");
    let steps = ["heat-off", "tank-shut", "sea-shut", "breaker", "restart"];
    let of: Vec<(&str, i64)> = steps.into_iter().zip([2, 2, 2, 13, 20]).collect();
    desk.do_afterwards(run, "3e", &afterwards(&of), minute(31)).expect("written");
    let compared = desk.compare_runs("blackout").expect("compared");
    assert_eq!(compared.whole_min, [Some(18.0)]);
    let took: Vec<f64> = compared.steps.iter().filter_map(|step| step.took_min[0]).collect();
    assert_eq!(took, [0.0, 0.0, 0.0, 11.0, 7.0]);
}

#[test]
fn ident_a_step_left_open_behind_which_another_is_done_is_named() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let stop = desk.begin_run("stop", "2e", None, minute(0)).expect("begun");
    let keys: Vec<String> = desk
        .procedure("stop", minute(0))
        .expect("it")
        .steps
        .into_iter()
        .map(|step| step.key)
        .collect();
    let done = afterwards(&[(keys[0].as_str(), 5), (keys[2].as_str(), 9)]);
    desk.do_afterwards(stop, "2e", &done, minute(31)).expect("written");
    let view = desk.run_view(stop, minute(32)).expect("a run");
    let told: Vec<&str> = view.order.iter().map(|pair| pair.says.as_str()).collect();
    assert!(
        told.len() == 1 && told[0].contains("and step 2 (") && told[0].contains("is still open"),
        "{told:?}"
    );
}

#[test]
fn ident_what_was_done_behind_an_open_step_stays_said_and_a_reading_before_the_run_counts_not() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let ship = &desk.setup().ship;
    let gauge = [("shell_gauge_bar_g", "0"), ("barometer_hpa", "1013")].map(|(key, text)| {
        let style = quantity::Style::Either;
        desk::written::written(ship, key, text, "", style).expect("a figure").value
    });
    let draft = logbook::Draft::reading(minute(1), logbook::Author::hand("3e"), gauge.to_vec());
    desk.write(draft, minute(1)).expect("written");
    let stop = desk.begin_run("stop", "2e", None, minute(10)).expect("begun");
    let Outcome::Written { warned } = tick(&desk, (stop, "breaker", 12), &[]) else {
        panic!("held")
    };
    let harm = |text: &str| text.contains("throws salt into the condenser");
    assert!(warned.iter().any(|why| why.contains("has not been read for this step")), "{warned:?}");
    assert!(warned.iter().any(|why| harm(why)), "{warned:?}");
    // The heat off is ticked later, with a time that lies before: what was found stays.
    let heat = [("engine_jacket_out_c", "83")];
    act(&desk, (stop, "heat-off", 12), &heat, What::Tick { looked: true }).expect("ticked");
    let view = desk.run_view(stop, minute(14)).expect("a run");
    assert!(harm(&view.steps[4].standing.as_ref().expect("done").remark), "{:?}", view.steps[4]);
}

#[test]
fn ident_a_stop_in_the_wrong_order_is_counted_named_pair_by_pair_and_has_no_minutes() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let stop = desk.begin_run("stop", "2e", None, minute(0)).expect("begun");
    // The ejector pump went off first of all, then the heat; the rest as the list has it.
    let times =
        [("ejector-pump", 5), ("heat-off", 10), ("tank-shut", 14), ("cool", 30), ("feed-shut", 32)];
    let told = desk.do_afterwards(stop, "2e", &afterwards(&times), minute(33)).expect("written");
    let named = |words: &str| told.iter().any(|says| says.contains(words));
    assert!(
        named("before step 3 (Ejector, feed and cooling run on") && named("washed"),
        "{told:?}"
    );
    let view = desk.run_view(stop, minute(34)).expect("a run");
    let both: Vec<_> = view.order.iter().filter(|pair| pair.says.contains(", before")).collect();
    assert_eq!(both.len(), 4, "step 6 before steps 1, 2, 3 and 4: {:?}", view.order);
    // One step is out of its order, however many it stands against.
    assert_eq!(view.line.out_of_order, 1);
    assert_eq!(view.line.order_named, ["step 6 (ejector pump) before step 1 (heat off)"]);
    let remark = &view.steps[5].standing.as_ref().expect("done").remark;
    assert!(remark.contains("before step 1 ("), "{remark}");
    let heat = &view.steps[0].standing.as_ref().expect("done").remark;
    assert!(heat.contains("Step 6 ("), "{heat}");
    let compared = desk.compare_runs("stop").expect("compared");
    let swapped: Vec<bool> = compared.steps.iter().map(|step| step.out_of_order[0]).collect();
    assert_eq!(swapped[..6], [false, false, false, false, false, true], "{:?}", view.order);
    assert!(compared.steps.iter().all(|step| !step.out_of_order[0] || step.took_min[0].is_none()));
}
