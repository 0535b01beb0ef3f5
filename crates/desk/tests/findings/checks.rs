//! Checks written down, and the instrument they speak for or against.

use desk::findings::{FindingsView, Since};
use desk::round::Round;
use jiff::ToSpan;

use super::{chance, marram, now};

/// A second thermometer at the sea-water outlet says what the bent one hides: it goes with the round it was read beside.
#[test]
fn ident_a_check_written_down_sharpens_the_answer() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let since = Since::Days(7);
    let before = desk.findings(since, now()).expect("findings");
    let rounds = desk.rounds(now(), 14).expect("rounds");
    let last: &Round = rounds.iter().rev().find(|r| r.running()).expect("ran");
    let true_out = last.value("sea_out_c").expect("read") - 1.6;
    let at = last.at.checked_add(10.minutes()).expect("moment");
    desk.write_check("second_sea_out_c", (&format!("{true_out:.1}"), ""), at, "3e", now())
        .expect("taken");
    let after = desk.findings(since, now()).expect("findings");
    let off = |view: &FindingsView| {
        let causes = &view.finding.finding().causes;
        causes
            .iter()
            .find(|j| j.cause.key() == "instrument:sea_out_c")
            .map(|j| (j.value, j.high - j.low))
    };
    let (was, is) = (off(&before).expect("weighed"), off(&after).expect("weighed"));
    assert!(is.0 > was.0 + 0.3 && is.1 < was.1, "{was:?} then {is:?}");
    assert!(chance(&after, "condenser_fouling") > chance(&before, "condenser_fouling"));
    let refused = desk.write_check("second_sea_out_c", ("warm", ""), at, "3e", now());
    assert!(refused.is_err_and(|e| e.to_string().contains("warm")));
    assert!(desk.write_check("sea_state", ("calm", ""), at, "3e", now()).is_err());
}

/// A blamed thermometer's reading stands beside what it would show right and wrong, and the check that shows it can be taken back.
#[test]
fn ident_a_blamed_instrument_and_its_check_are_evidence() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let view = desk.findings(Since::Cleaned, now()).expect("findings");
    let blamed = view.blamed.iter().find(|b| b.key == "sea_out_c").expect("blamed");
    assert!((blamed.read - blamed.wrong).abs() < 0.7, "{blamed:?}");
    assert!((1.0..3.0).contains(&(blamed.read - blamed.right)), "{blamed:?}");
    // What carries the blame is the mean over the rounds, with its band.
    let says = blamed.says();
    assert!(says.contains("on average; nine times in ten between +"), "{says}");
    assert!(says.contains("since about "), "{says}");
    assert!(view.checked.is_empty());
    let rounds = desk.rounds(now(), 14).expect("rounds");
    let last: &Round = rounds.iter().rev().find(|r| r.running()).expect("ran");
    let read = last.value("sea_out_c").expect("read");
    let at = last.at.checked_add(10.minutes()).expect("moment");
    let second = format!("{:.1}", read - 1.6);
    let seq = desk.write_check("second_sea_out_c", (&second, ""), at, "3e", now()).expect("taken");
    let view = desk.findings(Since::Cleaned, now()).expect("findings");
    let made = view.checked.first().expect("shown");
    assert!(made.used && made.alone && made.seq == seq, "{made:?}");
    assert_eq!(format!("{:.1}", made.read), second);
    assert_eq!(made.watch, Some(read));
    let round = last.cells.values().next().expect("cells").seq;
    let refused = desk.withdraw_check(round, "not mine", "3e", now()).expect_err("a round");
    assert!(refused.to_string().contains("more than a check"), "{refused}");
    assert!(desk.withdraw_check(seq, " ", "3e", now()).is_err());
    desk.withdraw_check(seq, "read the wrong pocket", "3e", now()).expect("taken back");
    let view = desk.findings(Since::Cleaned, now()).expect("findings");
    assert!(view.checked.is_empty());
    assert!(desk.withdraw_check(seq, "again", "3e", now()).is_err());
}
