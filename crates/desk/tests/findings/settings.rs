//! Instruments set right, trusted less, and the ship's own tables.

use desk::findings::{FindingsView, Since, tables_example};
use jiff::ToSpan;

use super::{chance, marram, now, round_after};

/// An instrument set right: what it read before is brought to where it stands now, where somebody wrote by how much.
#[test]
fn ident_an_instrument_set_right_is_no_longer_suspected() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let at = now().checked_sub((24 * 20).hours()).expect("moment");
    let before = desk.findings(Since::Days(14), now()).expect("findings");
    desk.write_recalibrated(("vapour_temp_c", Some(3.0), None), now(), "2e", now())
        .expect("written");
    let after = desk.findings(Since::Days(14), now()).expect("findings");
    let vapour = |view: &FindingsView| {
        let evidence = &view.finding.finding().evidence;
        evidence.iter().find(|e| e.instrument.key() == "vapour_temp_c").map(|e| e.read)
    };
    let (was, is) = (vapour(&before).expect("read"), vapour(&after).expect("read"));
    // A long record is drawn together, its readings weighed by their slips.
    assert!((was - is - 3.0).abs() < 0.01, "{was} then {is}");
    assert!(desk.write_recalibrated(("sea_state", None, None), at, "2e", now()).is_err());
    let ahead = now().checked_add(1.hours()).expect("moment");
    assert!(desk.write_recalibrated(("vapour_temp_c", None, None), ahead, "2e", now()).is_err());
}

/// The thermometer at the sea-water outlet, bent since 3 November by 1.6 K and set right now: the rounds since then are mended, those
/// before stand as read, and the gauge of the last round stands where it would now.
#[test]
fn ident_an_instrument_set_right_is_mended_from_when_it_was_wrong() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let before = desk.findings(Since::Cleaned, now()).expect("findings");
    let bent = before.causes.iter().find(|c| c.key == "instrument:sea_out_c").expect("changed");
    let since = bent.came.expect("came").at;
    assert_eq!(desk.believed_since("sea_out_c", now()).expect("kept"), Some(since));
    assert_eq!(desk.believed_since("jacket_in_c", now()).expect("kept"), None);
    let late = desk.write_recalibrated(("sea_out_c", Some(1.6), Some(now())), now(), "2e", now());
    assert!(late.is_err_and(|e| e.to_string().contains("wrong since")));
    desk.write_recalibrated(("sea_out_c", Some(1.6), Some(since)), now(), "2e", now())
        .expect("written");
    let after = desk.findings(Since::Cleaned, now()).expect("findings");
    let bent = after.causes.iter().find(|c| c.key == "instrument:sea_out_c");
    assert!(
        bent.is_none_or(|c| c.changed < 0.5 && c.chance < 0.05),
        "{bent:?} {}",
        after.sentence()
    );
    let line = after.evidence.iter().find(|e| e.compared.key == "sea_out_c").expect("read");
    let (as_read, now_read) = (line.set_right.expect("set right"), line.compared.read);
    assert!((as_read - now_read.expect("mended") - 1.6).abs() < 1e-9, "{line:?}");
    // What it read before it was wrong stands as it was read.
    let told = desk.told_of_plant(now()).expect("read");
    let earlier = since.checked_sub(24.hours()).expect("moment");
    assert!(told.recalibrated.iter().all(|event| event.since == Some(since)));
    assert!(chance(&after, "condenser_fouling") > 0.9, "{} {earlier}", after.sentence());
}

/// Set right in the minute of a round: that round was read before.
#[test]
fn ident_the_round_of_the_minute_was_read_before_the_setting() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    let at = round_after(&desk, 4, &[], 20.0);
    desk.write_recalibrated(("sea_out_c", Some(1.6), None), at, "2e", at).expect("written");
    let view = desk.findings(Since::Days(7), at).expect("findings");
    let line = view.evidence.iter().find(|line| line.compared.key == "sea_out_c").expect("read");
    let (dial, read) = (line.set_right.expect("mended"), line.compared.read.expect("read"));
    assert!((dial - read - 1.6).abs() < 1e-6, "{dial} {read}");
    // The page Now shows the same figure and says why.
    let page = desk.now(at).expect("now");
    let row = page.rows.iter().find(|row| row.key == "sea_out_c").expect("row");
    assert_eq!((row.read, row.state), (Some(read), line.compared.state));
    let set_right = row.set_right.expect("told");
    assert_eq!((set_right.at_s, set_right.high_by), (at.as_second(), Some(1.6)));
    assert!(page.rows.iter().all(|row| row.key == "sea_out_c" || row.set_right.is_none()));
}

#[test]
fn ident_trust_and_tables_are_the_ships_own() {
    let folder = tempfile::tempdir().expect("folder");
    let desk = marram(folder.path());
    desk.trust_less("sea_out_c", "2e", now()).expect("trusted less");
    let view = desk.findings(Since::Days(7), now()).expect("findings");
    let row = view.tables.instruments.iter().find(|row| row.key == "sea_out_c").expect("row");
    assert!(row.changed && row.errors.0 == "2.1 K", "{row:?}");
    desk.trust_as_usual("sea_out_c", "2e", now()).expect("as its kind");
    let text = "[cause.scale]\nodds = 0.3\nreason = \"hard feed\"\n";
    desk.save_tables(text, "2e", now()).expect("kept");
    let view = desk.findings(Since::Days(7), now()).expect("findings");
    let row = view.tables.causes.iter().find(|row| row.key == "scale").expect("row");
    assert_eq!((row.odds, row.reason.as_str()), (0.3, "hard feed"));
    for (wrong, says) in [
        ("[cause.scael]\nodds = 0.3\n", "did you mean scale"),
        ("[cause.scale]\nodds = 3\n", "cause.scale.odds = 3: write 0.001 to 0.6"),
        ("[instrument.sea_out_c]\nstanding = -1\n", "instrument.sea_out_c.standing = -1: write"),
        ("[cause.scale]\nchance = 0.3\n", "unknown field"),
        ("[cause.scale]\nodds = 0.3\n", "cause.scale: add reason"),
        (
            "[instrument.sea_out_c]\nlimit = 900\nreason = \"x\"\n",
            "instrument.sea_out_c.limit = 900: write",
        ),
    ] {
        let told = desk.save_tables(wrong, "2e", now()).expect_err(wrong).to_string();
        assert!(told.contains(says), "{told}");
    }
    assert_eq!(desk.tables_text().expect("read").as_deref(), Some(text));
    // Every line of both tables stands in the file that is offered, and is taken as it stands there.
    let offered = tables_example(&desk.setup());
    let (settings, comments) =
        offered.split_at(offered.find("\n\n").expect("a heading above the lines"));
    assert!(settings.lines().all(|line| line.starts_with('#')));
    let open: String =
        comments.lines().map(|l| l.trim_start_matches("# ").to_owned() + "\n").collect();
    desk.save_tables(&open, "2e", now()).expect("taken as it stands");
    let view = desk.findings(Since::Days(7), now()).expect("findings");
    assert!(view.tables.causes.iter().all(|row| row.usual_odds.is_none()));
    assert!(view.tables.instruments.iter().all(|row| !row.changed));
    let text = "[instrument.vapour_temp_c]\nstanding = 1.4\nlimit = 4\nodds = 0.1\nreason = \"pocket dry\"\n";
    desk.save_tables(text, "2e", now()).expect("kept");
    let view = desk.findings(Since::Days(7), now()).expect("findings");
    let row = view.tables.instruments.iter().find(|row| row.key == "vapour_temp_c").expect("row");
    assert!(row.changed && row.errors.0 == "1.4 K" && row.limit == "4 K" && row.odds == 0.1);
    assert_eq!(row.reason, "pocket dry");
}
