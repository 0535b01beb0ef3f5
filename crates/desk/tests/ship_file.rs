//! The ship file: written and read back the same; every mistake told with its line and what to do.

#[path = "sound/ship.rs"]
mod sound;

use desk::demo::marram;
use desk::ship::{Ship, read, write};
use proptest::prelude::*;

#[test]
fn ident_written_and_read_back_is_the_same_ship() {
    for ship in [Ship::blank(), marram()] {
        let text = write(&ship);
        let back = read(&text).unwrap_or_else(|p| panic!("{p:?}"));
        assert_eq!(back, ship);
        assert_eq!(write(&back), text);
    }
}

#[test]
fn ident_every_key_of_the_sheet_stands_in_the_file_with_its_meaning() {
    let text = write(&marram());
    for key in plant::keys::SHEET {
        assert!(text.contains(key.key), "{}", key.key);
        assert!(text.contains(key.meaning), "{}", key.key);
    }
}

#[test]
fn ident_mistakes_are_told_with_line_and_remedy() {
    let cases: &[(&str, &[&str])] = &[
        ("[ship]\nname = \"X\"\ncrw = 20\n", &["line 3", "crw", "did you mean crew"]),
        ("''=''\n", &["line 1, \"\"", "no such key"]),
        ("[plant]\nrated_product_t_day = 24,5\n", &["line 2", "24.5, not 24,5"]),
        ("[plant]\nrated_product_tday = 24\n", &["line 2", "rated_product_t_day"]),
        ("[plant]\nrated_product_t_day = \"much\"\n", &["line 2", "rated_product_t_day"]),
        ("[plant]\nrated_product_t_day = -3\n", &["line 2", "-3", "0.1 to 500"]),
        ("[limits]\nsalinity_dump_mg_kg = 9000\n", &["line 2", "9000", "allowed 0.1 to 500"]),
        ("[[tank]]\nkey = \"port\"\ncapacity_m3 = 160\n", &["soundings_cm_m3 is missing"]),
        (
            "[[tank]]\nkey = \"port\"\ncapacity_m3 = 160\nsoundings_cm_m3 = [[0, 0], [400, 160], [300, 170]]\n",
            &["line 4", "row 3", "does not rise"],
        ),
        (
            "[plant]\nrated_condenser_flow_kg_s = 4.0\n",
            &["condenser outlet", "warmer than the vapour"],
        ),
        ("[trust]\njacket_in = { standing = 1 }\n", &["did you mean jacket_in_c"]),
        ("[ship\nname = 1", &["line 1"]),
        ("tank = 3\n", &["[[tank]]"]),
    ];
    for (text, wanted) in cases {
        let problems = read(text).expect_err(text);
        let told: String = problems.iter().map(|p| format!("{p}\n")).collect();
        for part in *wanted {
            assert!(told.contains(part), "{text:?} told {told:?}, wanted {part:?}");
        }
    }
}

#[test]
fn ident_all_problems_are_told_at_once() {
    let problems = read("[ship]\nx = 1\ny = 2\n[limits]\nz = 3\n").expect_err("three");
    assert_eq!(
        problems.iter().map(|p| p.line).collect::<Vec<_>>(),
        vec![Some(2), Some(3), Some(5)]
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn ident_no_text_makes_it_fall(text in "[\\[\\]a-z_=0-9.,\"\\n {}#é-]{0,300}") {
        sound::text(&text);
    }
}
