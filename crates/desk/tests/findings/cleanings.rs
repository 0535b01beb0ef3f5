//! Cleanings: when they pay, what they leave alone, and the rounds read before and since.

use desk::findings::{FindingsView, Since};
use desk::now::Verdict;
use jiff::ToSpan;

use super::{chance, marram, now, round_after};

/// The route of the demonstration lies at places on the way: a cleaning is given with the one where it costs least.
#[test]
fn ident_a_cleaning_is_tied_to_the_stops_of_the_route() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let view = desk.findings(Since::Cleaned, now()).expect("findings");
    let stands = desk.stands(now()).expect("route");
    assert!(!stands.is_empty() && stands.iter().all(|stand| stand.arrives >= now()));
    let fouled = view.growth.iter().find(|g| g.key == "condenser_fouling").expect("grows");
    let clean = fouled.cleaning.as_ref().expect("reckoned");
    let says = clean.where_to(&view, &stands);
    let cheapest = stands
        .iter()
        .filter_map(|stand| Some((stand, clean.cost_at(stand.arrives)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .expect("on the curve");
    assert!(cheapest.1 >= clean.cost_day - 1e-9);
    assert!(says.contains(&cheapest.0.name) && says.contains("stands anyway"), "{says}");
    assert_eq!(clean.where_to(&view, &[]), "");
    // Which to take, in one line before the rest, with the water that is lost until then.
    let advice = clean.advice(&view, &stands);
    let taken = format!("Clean at {} (", cheapest.0.name);
    assert!(advice.starts_with(&taken) && advice.contains("of the stops you have"), "{advice}");
    let days = cheapest.0.arrives.duration_since(view.until).as_secs_f64() / 86_400.0;
    let at_least = clean.running * days * clean.loss_t_day;
    let told = advice.split("until then it costs ").nth(1).expect("what it costs");
    let told: f64 = told.split(' ').next().and_then(|t| t.parse().ok()).expect("tonnes");
    assert!((at_least - 1.0..1.4 * at_least).contains(&told), "{told} against {at_least}");
    assert!(clean.advice(&view, &[]).starts_with("Clean about "), "{}", clean.advice(&view, &[]));
    // What cleaning brings is one figure in both places.
    let line = view.causes.iter().find(|c| c.key == "condenser_fouling").expect("weighed");
    assert_eq!(Some(clean.loss_t_day), line.cure_t_day);
}

/// The evaporator cleaned: its scale is told by the rounds since, the condenser's finding stands as it did.
#[test]
fn ident_cleaning_one_part_leaves_the_others_history_alone() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let before = desk.findings(Since::Cleaned, now()).expect("findings");
    let at = now().checked_sub((24 * 4).hours()).expect("moment");
    desk.write_cleaned(("evaporator", "acid, two hours"), at, "2e", now()).expect("written");
    let after = desk.findings(Since::Cleaned, now()).expect("findings");
    assert_eq!((before.from, before.rounds), (after.from, after.rounds));
    assert!(chance(&after, "condenser_fouling") > 0.9, "{}", after.sentence());
    assert!(after.leader.as_ref().is_some_and(|l| l.key == "condenser_fouling"));
    let words = &after.since_words;
    assert!(
        words.starts_with("since the condenser was cleaned")
            && words
                .contains("the evaporator was cleaned on 12 November 2025, and counts from there"),
        "{words}"
    );
    let scale = |view: &FindingsView| {
        view.growth.iter().find(|g| g.key == "scale").and_then(|g| g.cleaning.clone())
    };
    assert!(scale(&after).is_none_or(|c| c.cleaned == Some(at)));
}

/// Cleaned, or mended, in the minute of a round: that round was read before; and of a part cleaned since nothing adds up to more than is short.
#[test]
fn ident_the_round_of_the_minute_was_read_before_the_cleaning() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let leak = [
        ("shell_gauge_bar_g", 86.0),
        ("vapour_temp_c", 53.0),
        ("jacket_out_c", 76.0),
        ("sea_out_c", 37.5),
        ("product_salt_mg_kg", 0.9),
    ];
    let at = round_after(&desk, 4, &leak, 15.7);
    desk.write_cleaned(("condenser", ""), at, "2e", at).expect("written");
    let view = desk.findings(Since::Cleaned, at).expect("findings");
    let says = view.sentence();
    assert!(says.contains("No round has been read since the condenser was cleaned"), "{says}");
    let fresh = view.fresh.as_ref().unwrap_or_else(|| panic!("{says}"));
    assert!(fresh.causes.iter().any(|(words, p)| words.contains("air") && *p > 0.5), "{fresh:?}");
    // A check goes with a round: the first step is the round since, and what is read next begins with the same.
    let first = view.first_to_do(&view, &[]);
    let asks = "First: read a round, the first since the condenser was cleaned; then the vent pipe's temperature";
    assert!(first.starts_with(asks), "{first}");
    let next = &view.said.next;
    assert!(
        next.contains(": a round now; then the vent pipe's temperature (two minutes), "),
        "{next}"
    );
    assert_eq!(view.next_besides(&first), "");
    let fouled = view.causes.iter().find(|c| c.key == "condenser_fouling").expect("listed");
    assert_eq!(fouled.few_says(), "no round since its cleaning: what is usual then");
    // A minute later it was read after.
    let later = at.checked_add(1.minutes()).expect("moment");
    let told = desk.told_of_plant(later).expect("read");
    assert_eq!(told.cleaned[0].at, at);
}

/// One good round after a cleaning: what the causes cost is no more than what is short by it, and on the terminal alike.
#[test]
fn ident_after_a_cleaning_and_a_good_round_costs_are_what_is_short() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let rounds = desk.rounds(now(), 14).expect("rounds");
    let last = rounds.iter().rev().find(|r| r.running() && r.counts()).expect("ran").at;
    let cleaned = last.checked_add(1.hours()).expect("moment");
    desk.write_cleaned(("condenser", ""), cleaned, "2e", cleaned).expect("written");
    let seen = desk.now(now()).expect("now");
    let expected = |key: &str| {
        let row = seen.rows.iter().find(|row| row.key == key);
        row.and_then(|row| row.expected).map_or(f64::NAN, |band| band.middle)
    };
    let Verdict::Running { should, .. } = seen.verdict else { panic!("{:?}", seen.verdict) };
    let keys = ["shell_gauge_bar_g", "vapour_temp_c", "jacket_out_c"];
    let good: Vec<(&str, f64)> = keys.iter().map(|key| (*key, expected(key))).collect();
    let at = round_after(&desk, 8, &good, should.middle - 0.6);
    let view = desk.findings(Since::Cleaned, at).expect("findings");
    let costs: f64 = view.causes.iter().filter_map(|c| c.loss_t_day).sum();
    let short = view.short_t_day().expect("counted");
    assert!(costs <= short.max(0.0) + 1e-9, "{costs} of {short}: {:?}", view.causes);
    let line = view.causes.iter().find(|c| c.key == "condenser_fouling").expect("listed");
    assert_eq!(line.few_says(), "one round since its cleaning, which tells little");
    let first = view.first_to_do(&view, &[]);
    if let Some(check) = view.first_check().filter(|_| first.contains(": read ")) {
        assert!(first.contains(check.words), "{first} {}", check.words);
        assert!(
            view.said.next.is_empty() || view.said.next.contains(check.words),
            "{first} {}",
            view.said.next
        );
    }
    // The rounds before the cleaning are not drawn together with the one since: the condenser is told by that one.
    let fouled = chance(&view, "condenser_fouling");
    assert!(fouled < 0.05, "{fouled}: {}", view.sentence());
}
