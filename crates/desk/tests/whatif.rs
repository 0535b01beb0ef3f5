//! The what-if, its balances, its map and its levers against the plant itself; the ship form against the ship file.

#![allow(clippy::panic, reason = "a test ends where its helper fails")]

use std::collections::BTreeMap;

use desk::Setup;
use desk::demo::marram;
use desk::ship::{Ship, Trust, write};
use desk::ship_page::{Shape, groups, take};
use desk::whatif::{self, MapOver, flows, holds, reach, side};
use plant::{Lever, Point, TrimReason};

fn setup() -> Setup {
    Setup::from_ship(marram()).unwrap_or_else(|p| panic!("{p:?}"))
}

fn answered(setup: &Setup, point: &Point) -> whatif::Answer {
    let banding = setup.plant.banding(&setup.uncertainty).unwrap_or_else(|e| panic!("{e}"));
    whatif::answer(setup, &banding, point)
}

/// A spread of conditions: warm, cold, fouled, heat short, strong feed, fresh sea.
fn points(setup: &Setup) -> Vec<Point> {
    let rated = Point::rated(setup.plant.sheet());
    let mut points = Vec::new();
    for sea_temp_c in [4.0, 18.0, 29.5, 33.0] {
        for jacket_in_c in [72.0, 80.0, 89.0] {
            for engine_load in [None, Some(45.0), Some(90.0)] {
                let scale_m2k_w = if jacket_in_c > 85.0 { 8.0e-5 } else { 0.0 };
                let sea_salinity_g_kg = if sea_temp_c < 10.0 { 8.0 } else { 35.165 };
                points.push(Point {
                    sea_temp_c,
                    jacket_in_c,
                    engine_load,
                    scale_m2k_w,
                    sea_salinity_g_kg,
                    ..rated.clone()
                });
            }
        }
    }
    points
}

#[test]
fn ident_heat_and_water_streams_sum_to_what_comes_in() {
    for feed in [plant::FeedFrom::Condenser, plant::FeedFrom::Sea] {
        let mut ship = marram();
        ship.sheet.feed_from = feed;
        let setup = Setup::from_ship(ship).unwrap_or_else(|p| panic!("{p:?}"));
        for point in points(&setup) {
            let Ok(made) = answered(&setup, &point).made else { continue };
            let heat = flows::heat(&setup.plant, &point, &made.solution);
            let water = flows::water(&made.solution);
            let drawn = heat.drawn();
            assert!(heat.left_over_kw().abs() < 1e-6 * heat.jacket_kw, "{point:?}: {heat:?}");
            assert!(drawn.left_over_kw().abs() < 1e-6 * heat.jacket_kw, "{drawn:?}");
            assert!(water.left_over_t_h().abs() < 1e-9 * water.feed_t_h, "{water:?}");
            assert!(water.drawn().left_over_t_h().abs() < 1e-9 * water.feed_t_h);
            // What the vapour carries to the condenser is what leaves it (first law over the condenser).
            let vapour = made.solution.vapour_kg_s * 2.4e3;
            assert!(
                (drawn.vapour_kw() / vapour - 1.0).abs() < 0.12,
                "latent heat is near 2.4 MJ/kg"
            );
        }
    }
}

#[test]
fn ident_the_table_says_what_the_plant_says() {
    let setup = setup();
    for point in points(&setup) {
        let answer = answered(&setup, &point);
        let (trimmed, free) = (setup.plant.trimmed(&point), setup.plant.free(&point));
        for row in side::rows(&answer) {
            let Ok(trimmed) = &trimmed else {
                assert_eq!(row.trimmed, None);
                continue;
            };
            if let Ok(value) = trimmed.get(row.key) {
                let scale = if row.key == "evaporator_heat_w" { 1e-3 } else { 1.0 };
                let shown = row.trimmed.unwrap_or(f64::NAN);
                assert!((shown - value * scale).abs() <= 1e-9 * shown.abs(), "{}", row.key);
                let free = free.as_ref().ok().and_then(|s| s.get(row.key).ok());
                assert_eq!(row.free, free.map(|x| x * scale), "{}", row.key);
            }
            assert!(!row.text(row.trimmed).contains("NaN") && !row.difference().contains("NaN"));
        }
        if let Ok(made) = &answer.made {
            assert!(made.product_t_day.holds(made.solution.product_t_day));
            let rows = holds::limits(&made.solution);
            assert_eq!(rows.len(), 7);
            assert!(rows.windows(2).all(|w| w[0].acts || !w[1].acts), "those that act come first");
        }
    }
}

#[test]
fn ident_a_cell_of_the_map_is_the_plant_at_that_cell() {
    let setup = setup();
    let point = Point { engine_load: Some(60.0), ..Point::rated(setup.plant.sheet()) };
    for over in [MapOver::JacketIn, MapOver::EngineLoad] {
        let answer = answered(&setup, &point);
        let view = whatif::map::map(&setup.plant, &answer, over, None);
        let grid = &view.map.grid;
        assert!(grid.is_sound());
        for (j, y) in grid.y.iter().enumerate().step_by(5) {
            for (i, x) in grid.x.iter().enumerate().step_by(7) {
                let mut at = Point { sea_temp_c: *x, trimmed: true, ..point.clone() };
                match over {
                    MapOver::JacketIn => at.jacket_in_c = *y,
                    MapOver::EngineLoad => at.engine_load = Some(*y),
                }
                let there = setup.plant.rate(&at).ok();
                let cell = grid.values[j * grid.x.len() + i];
                assert_eq!(cell.is_some(), there.is_some(), "{over:?} {x} {y}");
                let Some((cell, there)) = cell.zip(there) else { continue };
                assert!((cell / there.product_t_day - 1.0).abs() < 1e-6, "{over:?} {x} {y}");
                // A region holds a cell exactly where the plant was trimmed for it.
                let held = |part: &str| {
                    let region = view.map.held.iter().find(|h| h.name.contains(part));
                    region.and_then(|h| h.past[j * grid.x.len() + i]).unwrap_or(-1.0) > 0.0
                };
                let trimmed = |why| there.trims.iter().any(|t| t.why == why);
                assert_eq!(held("maximum"), trimmed(TrimReason::ProductMax), "{x} {y}");
                assert_eq!(held("engine’s heat"), there.heat_limited, "{x} {y}");
            }
        }
        let most = setup.plant.sheet().product_max_t_day;
        assert!(view.map.levels.iter().all(|l| *l < most), "no contour along the flat top");
    }
}

#[test]
fn ident_a_lever_that_gets_there_makes_what_was_wanted() {
    let setup = setup();
    let point = Point {
        condenser_fouling_m2k_w: 1.0e-4,
        engine_load: Some(80.0),
        sea_temp_c: 30.0,
        ..Point::rated(setup.plant.sheet())
    };
    let answer = answered(&setup, &point);
    let wanted = whatif::wanted(&setup, &answer, 18.0, 1.0);
    assert_eq!(wanted.levers.len(), Lever::ALL.len());
    assert!(wanted.levers.iter().any(|l| l.gets_there), "{wanted:?}");
    for lever in &wanted.levers {
        if lever.gets_there {
            assert!((lever.makes_t_day.unwrap_or(0.0) - 18.0).abs() < 1e-3, "{lever:?}");
        } else {
            assert!(!lever.word.is_empty());
        }
        assert!(!lever.label.contains("set point") && lever.lever.key() != "jacket_in_c");
    }
    let over = whatif::wanted(&setup, &answer, 40.0, 1.0);
    assert!(over.over_maximum.is_some() && over.levers.iter().all(|l| !l.gets_there));
    let sheet = plant::Sheet::default();
    assert!(
        reach::read_wanted("much", &sheet).is_err() && reach::read_wanted("-5", &sheet).is_err()
    );
    assert_eq!(reach::read_wanted("20,5", &sheet), Ok(20.5));
    assert!((reach::read_wanted("1 t/h", &sheet).unwrap_or(0.0) - 24.0).abs() < 1e-9);
}

/// A plant that makes four fifths of a clean one's output: the levers are for her, not for the clean one.
#[test]
fn ident_levers_are_for_the_plant_as_she_is() {
    let setup = setup();
    let point = Point {
        engine_load: Some(80.0),
        jacket_in_c: 80.0,
        sea_temp_c: 30.0,
        ..Point::rated(setup.plant.sheet())
    };
    let answer = answered(&setup, &point);
    let stands = 0.8 * answer.made.as_ref().expect("runs").product_t_day.middle;
    let as_she_is = |t_day| whatif::wanted(&setup, &answer, t_day, 0.8);
    assert!(as_she_is(stands).levers.is_empty(), "nothing to move for what she makes");
    let less = as_she_is(0.9 * stands);
    let lever = |which| less.levers.iter().find(|l| l.lever == which).expect("a lever");
    let bypass = lever(Lever::JacketFlow);
    assert!(bypass.gets_there, "{bypass:?}");
    assert!((bypass.makes_t_day.unwrap_or(0.0) - 0.9 * stands).abs() < 1.0e-3);
    // A clean plant on that flow makes a quarter more, and takes the heat of that quarter more.
    let clean = whatif::wanted(&setup, &answer, 0.9 * stands / 0.8, 1.0);
    let clean = clean.levers.iter().find(|l| l.lever == Lever::JacketFlow).expect("a lever");
    assert_eq!(clean.then, bypass.then);
    let saved_kw = clean.takes_kw.expect("heat") - bypass.takes_kw.expect("heat");
    // 2,394 kJ/kg: latent heat at 45 °C, IAPWS-IF97 saturation table; the shell here is within 10 K of it.
    let steam_kw = 0.2 * 0.9 * stands / 0.8 / 86.4 * 2394.0;
    assert!((saved_kw / steam_kw - 1.0).abs() < 0.02, "{saved_kw} {steam_kw}");
    assert!(!lever(Lever::EngineLoad).gets_there, "the engine is not slowed to make less");
}

#[test]
fn ident_no_answer_starves_feed_or_ejector_or_goes_past_a_limit() {
    let setup = setup();
    for point in points(&setup) {
        let answer = answered(&setup, &point);
        for wanted_t_day in [6.0, 12.0, 20.0, 24.5] {
            for reached in whatif::wanted(&setup, &answer, wanted_t_day, 1.0).levers {
                let Some(then) = &reached.then else { continue };
                let figure = |text: &str| text.replace('\u{202f}', "").parse::<f64>();
                let (now, then) = (figure(&reached.now), figure(then));
                if matches!(reached.lever, Lever::Feed | Lever::EjectorPressure) {
                    assert!(then.unwrap_or(f64::NAN) >= now.unwrap_or(f64::NAN), "{reached:?}");
                }
                let makes = reached.makes_t_day.unwrap_or(f64::NAN);
                assert!(makes <= setup.plant.sheet().product_max_t_day * (1.0 + 1e-6));
            }
        }
    }
}

#[test]
fn ident_hostile_conditions_keep_what_they_started_from() {
    let setup = setup();
    let base = whatif::base(&setup, None);
    let typed: BTreeMap<&str, &str> = BTreeMap::from([
        ("sea_temp_c", "<script>"),
        ("jacket_in_c", "1e999"),
        ("engine_load", "NaN"),
        ("feed_ratio", "-3"),
        ("barometer_hpa", "9999"),
        ("air_leak_kg_h", ""),
        ("scale_m2k_w", "0,0001"),
    ]);
    let asked = whatif::asked(&setup, &base, |key| typed.get(key).copied());
    let refused: Vec<_> = asked.refused.iter().map(|r| r.key).collect();
    assert_eq!(
        refused,
        ["sea_temp_c", "jacket_in_c", "engine_load", "feed_ratio", "barometer_hpa"]
    );
    assert_eq!(asked.changed, ["scale_m2k_w"]);
    assert_eq!(asked.point, Point { scale_m2k_w: 1.0e-4, ..base.point.clone() });
    assert!(asked.point.problems().is_empty());
}

/// What the form would send back unchanged.
fn untouched(ship: &Ship) -> BTreeMap<String, String> {
    let mut sent = BTreeMap::new();
    for field in groups(ship).into_iter().flat_map(|g| g.fields) {
        // Browsers send CR LF between the lines of a textarea.
        sent.insert(field.name, field.text.replace('\n', "\r\n"));
    }
    for trust in desk::ship_page::trusts(ship) {
        let [standing, each] = trust.own;
        sent.insert(format!("trust.{}.standing", trust.reading), standing);
        sent.insert(format!("trust.{}.each", trust.reading), each);
    }
    sent
}

#[test]
fn ident_every_key_of_the_ship_file_has_a_field() {
    let ship = marram();
    let sent = untouched(&ship);
    for key in plant::keys::SHEET {
        assert!(sent.contains_key(&format!("plant.{}", key.key)), "{}", key.key);
    }
    for (section, items) in [("limits", desk::ship::LIMITS), ("doubts", desk::ship::DOUBTS)] {
        for item in items {
            assert!(sent.contains_key(&format!("{section}.{}", item.key)), "{}", item.key);
        }
    }
    for field in groups(&ship).into_iter().flat_map(|g| g.fields) {
        assert!(!field.label.is_empty() && !field.meaning.is_empty(), "{}", field.name);
        assert!(!field.unit.contains('_'), "{} shows a code, not a symbol", field.name);
        if let Shape::Word(words) = field.shape {
            assert!(words.contains(&field.text.as_str()), "{}", field.name);
        }
    }
}

#[test]
fn ident_the_form_sent_back_untouched_is_the_same_file() {
    let mut ship = marram();
    ship.trusts.push(Trust { reading: "sea_temp_c".into(), standing: 0.2, each: 0.1 });
    ship.sheet.rated_motive_temp_c = Some(31.5);
    let sent = untouched(&ship);
    let back = take(&ship, &|name| sent.get(name).map(String::as_str))
        .unwrap_or_else(|faults| panic!("{faults:?}"));
    assert_eq!(write(&back), write(&ship));
    assert_eq!(back, ship);
}

#[test]
fn ident_a_changed_field_changes_that_figure_and_no_other() {
    let ship = marram();
    let mut sent = untouched(&ship);
    sent.insert("plant.rated_product_t_day".into(), "26,5".into());
    sent.insert("tank.1.key".into(), String::new());
    let new = take(&ship, &|name| sent.get(name).map(String::as_str))
        .unwrap_or_else(|faults| panic!("{faults:?}"));
    let mut wanted = ship.clone();
    wanted.sheet.rated_product_t_day = 26.5;
    wanted.tanks.remove(1);
    assert_eq!(new, wanted);
    let labels: Vec<_> =
        desk::ship_page::changed(&ship, &new).into_iter().map(|c| (c.label, c.new)).collect();
    assert!(labels.contains(&("Rated output".to_owned(), "26.5".to_owned())), "{labels:?}");
}

#[test]
fn ident_faults_stand_at_their_fields() {
    let ship = marram();
    for (name, text, says) in [
        ("plant.rated_product_t_day", "-3", "0.1 to 500"),
        ("plant.rated_product_t_day", "much", "number"),
        ("plant.evaporator_split", "0.5 0.5 0.5", "sum"),
        ("plant.jacket_heat_table", "25 430\n50", "Line 2"),
        ("plant.feed_from", "river", "river"),
        ("limits.salinity_dump_mg_kg", "9000", "0.1 to 500"),
        ("positions.bypass_percent", "0 16\n0 12", "does not rise"),
        ("ship.name", "", "wanted 1 to 60"),
        ("tank.0.holds", "beer", "fresh"),
        ("tank.0.capacity_m3", "-1", "allowed"),
        ("trust.sea_temp_c.standing", "x", "number"),
        // Over “not over”, every reading would be past one of the two.
        ("limits.engine_jacket_min_c", "95", "past one of the two"),
    ] {
        let mut sent = untouched(&ship);
        sent.insert(name.into(), text.into());
        let faults = match take(&ship, &|name| sent.get(name).map(String::as_str)) {
            Ok(_) => panic!("{name} = {text} was taken"),
            Err(faults) => faults,
        };
        let fault = faults.iter().find(|f| f.field == name);
        let message = fault.map_or_else(|| panic!("{name}: {faults:?}"), |f| &f.message);
        assert!(message.contains(says), "{name}: {message}");
    }
    // A tank typed without its short name is not thrown away, and none is all out of reach.
    let mut sent = untouched(&ship);
    let new = ship.tanks.len();
    sent.insert(format!("tank.{new}.key"), String::new());
    sent.insert(format!("tank.{new}.name"), "After peak".into());
    let faults = take(&ship, &|name| sent.get(name).map(String::as_str)).err();
    let field = format!("tank.{new}.key");
    assert!(faults.is_some_and(|faults| faults.iter().any(|f| f.field == field)));
    let mut sent = untouched(&ship);
    sent.insert("tank.0.unpumpable_m3".into(), ship.tanks[0].capacity_m3.to_string());
    let faults = take(&ship, &|name| sent.get(name).map(String::as_str)).err();
    assert!(faults.is_some_and(|faults| faults[0].message.contains("nothing of it could be used")));
    let mut sent = untouched(&ship);
    // A sheet that contradicts itself is refused as a whole, with what to check.
    sent.insert("plant.rated_condenser_flow_kg_s".into(), "4".into());
    assert!(take(&ship, &|name| sent.get(name).map(String::as_str)).is_err());
}
