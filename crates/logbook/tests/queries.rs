//! What the record answers: rounds, series, the ship's clock, and who may write when the computer's clock is in doubt.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use std::sync::Mutex;

use jiff::Timestamp;
use logbook::{Author, Book, Draft, Error, Kind, Value, Zone, verify};
use proptest::prelude::*;

/// 2025-10-09T00:00:00Z and seconds after it.
fn at(second: i64) -> Timestamp {
    Timestamp::from_second(1_759_968_000 + second).unwrap()
}

fn begin() -> (tempfile::TempDir, Book) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.sqlite");
    let book = Book::open_with_ballast(&path, "A1", at(0), 0).unwrap();
    (folder, book)
}

fn temperature(celsius: f64) -> Value {
    Value::number("sea_temp_c", format!("{celsius}"), "degC", celsius + 273.15)
}

fn reading(second: i64, celsius: f64) -> Draft {
    Draft::reading(at(second), Author::hand("3e"), vec![temperature(celsius)])
}

#[test]
fn ident_a_round_holds_all_that_was_read_at_its_moment() {
    let (_folder, mut book) = begin();
    let weather = Value::not_taken("sounding_fore", "weather");
    let late = Draft::reading(at(0), Author::hand("2e"), vec![weather]);
    book.append(reading(0, 28.0), at(5)).unwrap();
    book.append(late, at(10)).unwrap();
    book.append(reading(3600, 29.0), at(3605)).unwrap();
    book.correct(1, vec![temperature(27.5)], "misread", Author::hand("3e"), at(3700)).unwrap();
    let wrong = book.append(reading(7200, 99.0), at(7205)).unwrap();
    book.withdraw(wrong.seq, "wrong ship", Author::hand("2e"), at(7300)).unwrap();
    let reader = book.reader().unwrap();
    let rounds = reader.rounds(None, None, 10).unwrap();
    assert_eq!(rounds.iter().map(|round| round.at).collect::<Vec<_>>(), [at(3600), at(0)]);
    let first = &rounds[1];
    assert_eq!(first.actors, ["3e", "2e"]);
    assert_eq!(first.entries.iter().map(|entry| entry.seq).collect::<Vec<_>>(), [1, 2, 4]);
    let sea = first.value("sea_temp_c").unwrap();
    assert_eq!((sea.text.as_deref(), sea.seq), (Some("27.5"), 4));
    let old = sea.corrected.as_ref().unwrap();
    assert_eq!((old.text.as_deref(), old.reason.as_deref()), (Some("28"), Some("misread")));
    assert_eq!(first.value("sounding_fore").unwrap().why.as_deref(), Some("weather"));
    assert!(reader.latest("sounding_fore", None).unwrap().is_none());
    assert_eq!(reader.latest("sea_temp_c", Some(at(3599))).unwrap().unwrap().si, Some(300.65));
    assert_eq!(reader.rounds(Some(at(0)), Some(at(0)), 5).unwrap().len(), 1);
    assert_eq!(reader.rounds(None, None, 1).unwrap()[0].at, at(3600));
    let kinds: Vec<_> = reader.events(None, None, 9).unwrap().iter().map(|e| e.kind).collect();
    assert_eq!(kinds, [Kind::Withdrawal, Kind::Correction]);
    // Withdrawing the withdrawal brings the round back.
    book.withdraw(6, "it was this ship", Author::hand("2e"), at(7400)).unwrap();
    assert_eq!(reader.rounds(None, None, 10).unwrap().len(), 3);
    assert!(verify(&reader, |_, _| ()).unwrap().is_whole());
}

#[test]
fn ident_clock_changes_make_the_days_and_the_zone_of_what_follows() {
    let (_folder, mut book) = begin();
    let zone =
        |second, minutes| Draft::zone_change(at(second), minutes, Author::hand("3o"), "master");
    // +12 at first; 24 h later eastward over the date line at midnight: +12 → −12.
    book.append(zone(0, 720), at(0)).unwrap();
    book.append(zone(36 * 3600, -720), at(20 * 3600)).unwrap();
    book.append(reading(36 * 3600 + 60, 28.0), at(36 * 3600 + 90)).unwrap();
    let reader = book.reader().unwrap();
    let clock = reader.ship_clock().unwrap();
    let days: Vec<_> = clock
        .days(at(12 * 3600), at(84 * 3600))
        .into_iter()
        .map(|day| (day.date.to_string(), day.sea_day, day.hours()))
        .collect();
    let expected = [("2025-10-10", 2, 24.0), ("2025-10-10", 3, 24.0), ("2025-10-11", 4, 24.0)];
    assert_eq!(days, expected.map(|(date, day, hours)| (date.to_owned(), day, hours)));
    assert_eq!(reader.entry(3).unwrap().unwrap().zone, Zone::from_hours(-12).unwrap());
    // The second move was entered for the wrong ship.
    book.withdraw(2, "not crossed yet", Author::hand("3o"), at(37 * 3600)).unwrap();
    book.append(reading(37 * 3600, 28.0), at(37 * 3600 + 9)).unwrap();
    assert_eq!(reader.entry(5).unwrap().unwrap().zone, Zone::from_hours(12).unwrap());
    assert_eq!(reader.ship_clock().unwrap().changes().len(), 1);
}

#[test]
fn ident_a_doubtful_clock_waits_for_a_name_but_not_in_an_emergency() {
    let (_folder, mut book) = begin();
    book.append(reading(0, 28.0), at(0)).unwrap();
    let later = at(30 * 3600);
    let refused = book.append(reading(0, 28.0), later).unwrap_err();
    assert!(matches!(refused, Error::ClockForward { hours: 30, .. }), "{refused:?}");
    let note = Draft::emergency_note(Author::hand("3e"), "plant stopped, fire in the workshop");
    let receipt = book.append(note, later).unwrap();
    let reader = book.reader().unwrap();
    let entry = reader.entry(receipt.seq).unwrap().unwrap();
    assert_eq!(entry.clock.as_deref(), Some("forward 30 h, not confirmed"));
    let far = at(80 * 3600);
    assert!(book.append(reading(0, 28.0), far).is_err());
    book.confirm_clock(Author::hand("ce"), far).unwrap();
    book.append(reading(80 * 3600, 28.0), far).unwrap();
    // An hour back is taken, noted, and changes no order.
    let back = book.append(reading(79 * 3600, 28.0), at(79 * 3600)).unwrap();
    assert_eq!(back.seq, 5);
    let entry = reader.entry(back.seq).unwrap().unwrap();
    assert_eq!(entry.clock.as_deref(), Some("back 3600 s"));
    assert!(verify(&reader, |_, _| ()).unwrap().is_whole());
}

#[test]
fn ident_an_event_is_answered_as_corrected_and_its_history_keeps_both() {
    let (_folder, mut book) = begin();
    let duty = |second, tank: &str| {
        Draft::new(Kind::Event, Author::hand("3e"))
            .at(at(second))
            .detail("tank", tank)
            .detail("duty", "filling")
    };
    let first = book.append(duty(0, "fore"), at(5)).unwrap();
    let second = book.append(duty(3600, "fore"), at(3605)).unwrap();
    let mend = |tank: &str| {
        Draft::new(Kind::Correction, Author::hand("2e")).detail("tank", tank).reason("wrong tank")
    };
    let mended = book.amend(second.seq, mend("aft"), at(3700)).unwrap();
    let reader = book.reader().unwrap();
    let tanks = |key: &str| -> Vec<_> {
        let events = reader.events_with(key, at(9000), 9).unwrap();
        events.iter().map(|entry| (entry.seq, entry.details["tank"].clone())).collect()
    };
    let pair = |seq, tank: &str| (seq, tank.to_owned());
    assert_eq!(tanks("duty"), [pair(second.seq, "aft"), pair(first.seq, "fore")]);
    let latest = reader.latest_event("duty", at(9000)).unwrap().unwrap();
    assert_eq!((latest.details["tank"].as_str(), latest.author.actor.as_str()), ("aft", "3e"));
    assert_eq!(latest.details["duty"], "filling");
    // A correction of the correction, then that one taken back.
    let again = book.amend(mended.seq, mend("wing"), at(3800)).unwrap();
    assert_eq!(tanks("duty")[0], pair(second.seq, "wing"));
    book.withdraw(again.seq, "it was aft", Author::hand("2e"), at(3900)).unwrap();
    assert_eq!(tanks("duty")[0], pair(second.seq, "aft"));
    let history = reader.history(second.seq).unwrap();
    let told: Vec<_> = history.iter().map(|e| e.details.get("tank").map(String::as_str)).collect();
    assert_eq!(told, [Some("fore"), Some("aft"), Some("wing"), None]);
    assert_eq!(history[1].author.actor, "2e");
    assert_eq!(history[1].reason.as_deref(), Some("wrong tank"));
    // A particular that only the correction gives is found; a withdrawn event is not.
    book.amend(first.seq, mend("fore").detail("valve", "shut"), at(4000)).unwrap();
    assert_eq!(tanks("valve"), [pair(first.seq, "fore")]);
    book.withdraw(first.seq, "wrong ship", Author::hand("2e"), at(4100)).unwrap();
    assert_eq!(tanks("duty"), [pair(second.seq, "aft")]);
}

/// A record on `zone` (minutes from UTC) with the clocks moved to `to` at `change`, a note every hour for `hours`, and a
/// seal of each sea day made in its last hour: date, sea day, true hours.
fn sealed_days(zone: i32, change: i64, to: i32, hours: i64) -> Vec<(String, Option<u64>, f64)> {
    let (_folder, mut book) = begin();
    let by = || Author::hand("3o");
    book.append(Draft::zone_change(at(0), zone, by(), "master"), at(0)).unwrap();
    book.append(Draft::zone_change(at(change), to, by(), "master"), at(0)).unwrap();
    let reader = book.reader().unwrap();
    let clock = reader.ship_clock().unwrap();
    let mut seals = Vec::new();
    for hour in 0..hours {
        let now = at(hour * 3600);
        book.append(Draft::note(by(), "steaming").at(now), now).unwrap();
        let day = clock.day(now);
        if day.end <= at((hour + 1) * 3600) {
            let (_, seal) = book.seal_day(now, Author::hand("ce"), now).unwrap();
            seals.push((seal, day.hours()));
        }
    }
    for (seal, _) in &seals {
        let code = seal.code().to_string();
        let matches = match reader.compare_seal(seal.day, &code).unwrap() {
            logbook::SealCheck::Matches { sealed, .. } => sealed.seal == *seal,
            _ => false,
        };
        assert!(matches, "{seal:?}");
    }
    for pair in seals.windows(2) {
        assert_eq!(pair[1].0.prev_seal, pair[0].0.hash());
        assert_eq!(pair[1].0.first, pair[0].0.last + 1);
    }
    seals.into_iter().map(|(seal, hours)| (seal.day.to_string(), seal.sea_day, hours)).collect()
}

#[test]
fn ident_each_sea_day_has_its_seal_across_the_date_line_and_moved_clocks() {
    let days = |seen: &[(&str, u64, f64)]| -> Vec<_> {
        seen.iter().map(|&(date, day, hours)| (date.to_owned(), Some(day), hours)).collect()
    };
    // Eastward over the line at midnight, +12 to -12: the 10th is lived twice.
    assert_eq!(
        sealed_days(720, 36 * 3600, -720, 84),
        days(&[
            ("2025-10-09", 1, 24.0),
            ("2025-10-10", 2, 24.0),
            ("2025-10-10", 3, 24.0),
            ("2025-10-11", 4, 24.0),
        ])
    );
    // Westward at midnight, -12 to +12: the 10th is left out.
    assert_eq!(
        sealed_days(-720, 36 * 3600, 720, 60),
        days(&[("2025-10-08", 1, 24.0), ("2025-10-09", 2, 24.0), ("2025-10-11", 3, 24.0)])
    );
    // Ahead an hour, then back an hour, by night.
    assert_eq!(sealed_days(0, 26 * 3600, 60, 71)[1], days(&[("2025-10-10", 2, 23.0)])[0]);
    assert_eq!(sealed_days(0, 26 * 3600, -60, 73)[1], days(&[("2025-10-10", 2, 25.0)])[0]);
}

#[test]
fn ident_a_signature_is_mended_by_its_signer_alone() {
    let (_folder, mut book) = begin();
    let signed = Draft::new(Kind::SignOff, Author::hand("3e")).detail("watch", "4 to 8");
    let seq = book.append(signed, at(0)).unwrap().seq;
    let mend = |by: &str| {
        Draft::new(Kind::Correction, Author::hand(by)).detail("watch", "8 to 12").reason("slip")
    };
    let refused = book.amend(seq, mend("2e"), at(10)).unwrap_err();
    assert!(matches!(refused, Error::NotCorrectable { kind: "sign-off", .. }), "{refused:?}");
    assert!(refused.to_string().contains("write a remark"));
    let mended = book.amend(seq, mend("3e"), at(20)).unwrap().seq;
    // Neither may another mend the mending or take it back.
    assert!(matches!(book.amend(mended, mend("2e"), at(30)), Err(Error::NotCorrectable { .. })));
    assert!(book.withdraw(mended, "no", Author::hand("ce"), at(40)).is_err());
    let taken = book.withdraw(mended, "it was right", Author::hand("3e"), at(50)).unwrap().seq;
    assert!(book.withdraw(taken, "no", Author::hand("ce"), at(60)).is_err());
    book.withdraw(seq, "wrong watch", Author::hand("3e"), at(70)).unwrap();
    assert!(verify(&book.reader().unwrap(), |_, _| ()).unwrap().is_whole());
}

#[test]
fn ident_figures_of_samples_and_events_are_found_like_readings() {
    let (_folder, mut book) = begin();
    let chlorine =
        |ppm: f64| vec![Value::number("chlorine_mg_l", format!("{ppm}"), "mg/l", ppm / 1e3)];
    let dose = |kind, second: i64, ppm| Draft {
        values: chlorine(ppm),
        ..Draft::new(kind, Author::hand("3e")).at(at(second))
    };
    book.append(dose(Kind::Event, 0, 0.5), at(5)).unwrap();
    let sample = book.append(dose(Kind::Sample, 3600, 0.4), at(3605)).unwrap();
    book.append(dose(Kind::Laboratory, 7200, 0.3), at(7205)).unwrap();
    // Figures in a note are words about something, not a measurement of it.
    book.append(dose(Kind::Note, 9000, 9.0), at(9005)).unwrap();
    book.correct(sample.seq, chlorine(0.45), "misread", Author::hand("2e"), at(9100)).unwrap();
    let reader = book.reader().unwrap();
    let series = reader.series("chlorine_mg_l", at(0), at(9999), 9).unwrap();
    let seen: Vec<_> = series.iter().map(|b| (b.at, b.last, b.struck)).collect();
    assert_eq!(seen, [(at(0), 0.5e-3, 0), (at(3600), 0.45e-3, 1), (at(7200), 0.3e-3, 0)]);
    let latest = reader.latest("chlorine_mg_l", Some(at(7000))).unwrap().unwrap();
    assert_eq!((latest.text.as_deref(), latest.at), (Some("0.45"), at(3600)));
    assert!(reader.rounds(None, None, 9).unwrap().is_empty());
    assert!(verify(&reader, |_, _| ()).unwrap().is_whole());
}

#[test]
fn ident_several_threads_write_one_chain() {
    let (_folder, book) = begin();
    let book = Mutex::new(book);
    std::thread::scope(|scope| {
        for thread in 0..4_i64 {
            let book = &book;
            scope.spawn(move || {
                let reader = book.lock().unwrap().reader().unwrap();
                for i in 0..25 {
                    let second = (thread * 25 + i) * 60;
                    book.lock().unwrap().append(reading(second, 28.0), at(6000)).unwrap();
                    assert!(reader.count().unwrap() > 0);
                }
            });
        }
    });
    let book = book.into_inner().unwrap();
    let verdict = verify(&book.reader().unwrap(), |_, _| ()).unwrap();
    assert!(verdict.is_whole());
    assert_eq!(verdict.entries, 100);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whatever the span and the width, the buckets hold each standing number once and know of each struck one.
    #[test]
    fn ident_series_counts_every_number_once(
        // Rounds hours apart, of which no sums are kept, and instruments minutes apart, of which they are.
        steps in prop_oneof![
            proptest::collection::vec(1_i64..40_000, 1..400),
            proptest::collection::vec(1_i64..2_000, 200..1500),
        ],
        struck in proptest::collection::vec(any::<proptest::sample::Index>(), 0..6),
        points in prop_oneof![1_usize..200, 1_usize..4],
        ends in any::<(proptest::sample::Index, proptest::sample::Index)>(),
    ) {
        let (_folder, mut book) = begin();
        let mut second = 0;
        let mut truth = Vec::new();
        let drafts: Vec<_> = steps.iter().enumerate().map(|(i, step)| {
            second += step;
            truth.push((second, (i % 37) as f64));
            (reading(second, (i % 37) as f64), at(second + 5))
        }).collect();
        let written = book.append_many(drafts).unwrap();
        let now = at(second + 100);
        let mut corrected = std::collections::BTreeSet::new();
        for index in struck {
            let i = index.index(written.len());
            if corrected.insert(i) {
                book.correct(written[i].seq, vec![temperature(50.0)], "misread", Author::hand("3e"), now).unwrap();
                truth[i].1 = 50.0;
            }
        }
        let reader = book.reader().unwrap();
        prop_assert!(verify(&reader, |_, _| ()).unwrap().is_whole());
        let buckets = reader.series("sea_temp_c", at(0), at(second), points).unwrap();
        prop_assert_eq!(buckets.iter().map(|b| b.count).sum::<u64>(), truth.len() as u64);
        prop_assert_eq!(buckets.iter().map(|b| b.struck).sum::<u64>(), corrected.len() as u64);
        prop_assert!(buckets.len() <= points + 2, "{} of {}", buckets.len(), points);
        prop_assert!(buckets.windows(2).all(|pair| pair[0].at < pair[1].at));
        let si = |celsius: f64| celsius + 273.15;
        let low = truth.iter().map(|t| si(t.1)).fold(f64::INFINITY, f64::min);
        let high = truth.iter().map(|t| si(t.1)).fold(f64::NEG_INFINITY, f64::max);
        prop_assert_eq!(buckets.iter().map(|b| b.min).fold(f64::INFINITY, f64::min), low);
        prop_assert_eq!(buckets.iter().map(|b| b.max).fold(f64::NEG_INFINITY, f64::max), high);
        prop_assert_eq!(buckets.last().unwrap().last, si(truth.last().unwrap().1));
        let mean = truth.iter().map(|t| si(t.1)).sum::<f64>() / truth.len() as f64;
        let of_buckets = buckets.iter().map(|b| b.mean * b.count as f64).sum::<f64>() / truth.len() as f64;
        prop_assert!((mean - of_buckets).abs() < 1e-9);
        // Of a part of it, from and to any second, nothing outside is in it.
        let (a, b) = (ends.0.index(second as usize + 1) as i64, ends.1.index(second as usize + 1) as i64);
        let (from, to) = (a.min(b), a.max(b));
        let inside: Vec<f64> =
            truth.iter().filter(|t| (from..=to).contains(&t.0)).map(|t| si(t.1)).collect();
        let part = reader.series("sea_temp_c", at(from), at(to), points).unwrap();
        prop_assert_eq!(part.iter().map(|b| b.count).sum::<u64>(), inside.len() as u64);
        prop_assert_eq!(
            part.iter().map(|b| b.max).fold(f64::NEG_INFINITY, f64::max),
            inside.iter().copied().fold(f64::NEG_INFINITY, f64::max)
        );
        prop_assert!(part.iter().all(|b| (at(from)..=at(to)).contains(&b.at)), "{part:?}");
        prop_assert!(part.len() <= points + 2);
    }
}
