//! Plant and Ship over a folder of their own.

use std::sync::Arc;

use axum::http::StatusCode;
use desk::Desk;
use web::{App, Listen};

use crate::help::{Answer, Bench, Browser, Counted, Still};

/// A folder with a blank ship, and the program started on it.
struct Aboard {
    desk: Arc<Desk>,
    folder: tempfile::TempDir,
}

impl Aboard {
    fn new() -> Aboard {
        let folder = tempfile::tempdir().unwrap();
        let desk = Desk::open(folder.path(), "2026-11-16T04:00:00Z".parse().unwrap()).unwrap();
        Aboard { desk: Arc::new(desk), folder }
    }

    fn browser(&self) -> Browser {
        let (clock, entropy) = (Arc::new(Still::default()), Arc::new(Counted::default()));
        let app = App::new(self.desk.clone(), clock.clone(), entropy, &Listen::here(0)).unwrap();
        Browser::of(&Bench { router: web::router(app), clock, taken: Arc::default() })
    }

    /// The ship file as it lies in the folder.
    fn file(&self) -> String {
        std::fs::read_to_string(self.folder.path().join("ship.toml")).unwrap()
    }
}

/// No figure on a page is a word of the machine's, none of a reader's text is markup.
fn is_clean(page: &str) {
    for never in ["<script>alert", ">NaN", ">inf<", "Infinity", ">-0.0<"] {
        assert!(!page.contains(never), "{never} in {page}");
    }
    assert!(page.len() <= 200 * 1024, "{} bytes", page.len());
}

/// Sends a form of the page Ship with its tokens and the state of the file it was drawn from.
async fn send(browser: &mut Browser, to: &str, fields: &[(&str, &str)]) -> Answer {
    let page = browser.get("/ship").await;
    let (token, once, base) = (page.hidden("_token"), page.hidden("_once"), page.hidden("base"));
    let marks = [("_token", token.as_str()), ("_once", once.as_str()), ("base", base.as_str())];
    browser.post(to, &[&marks, fields].concat()).await
}

#[tokio::test]
async fn ident_the_plant_page_says_what_the_plant_makes() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let query = "sea_temp_c=30&jacket_in_c=82&engine_load=70";
    let page = browser.get(&format!("/plant?{query}&want=18")).await;
    assert_eq!(page.status, StatusCode::OK);
    is_clean(&page.text);
    let setup = aboard.desk.setup();
    let point = plant::Point {
        sea_temp_c: 30.0,
        jacket_in_c: 82.0,
        engine_load: Some(70.0),
        ..plant::Point::rated(setup.plant.sheet())
    };
    let made = setup.plant.trimmed(&point).unwrap();
    let figure = format!("<b class=\"fig\">{:.1}<small>", made.product_t_day);
    let heat = format!("{:.0} kW", made.evaporator_heat_w / 1000.0);
    assert!(page.text.contains(&figure) && page.text.contains(&heat), "{figure} {heat}");
    for part in
        ["Left to itself", "How this was computed", "Brine strength", "Jacket by-pass", "set point"]
    {
        assert!(page.text.contains(part), "{part}");
    }
    // What follows the sliders is the same answer and the same pictures.
    let figures = browser.get(&format!("/plant/figures?{query}")).await;
    assert_eq!(figures.status, StatusCode::OK);
    assert!(figures.text.contains(&figure) && !figures.text.contains("<html"));
    for id in ["id=\"answer\"", "id=\"plant-map\"", "id=\"plant-figures\""] {
        assert!(page.text.contains(id) && figures.text.contains(id), "{id}");
    }
}

#[tokio::test]
async fn ident_hostile_or_impossible_conditions_still_give_a_whole_page() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let sly = "%22%3E%3Cscript%3Ealert(1)%3C%2Fscript%3E";
    let long = "9".repeat(4000);
    for query in [
        format!("sea_temp_c={sly}&want={sly}&map={sly}&no_such={sly}"),
        "jacket_in_c=1e999&engine_load=-inf&want=-5".into(),
        "jacket_in_c=20".into(),
        "engine_load=0".into(),
        "ejector_pressure_bar_g=0.2".into(),
        "feed_ratio=0.5&jacket_in_c=90".into(),
        "condenser_flow_kg_s=0&jacket_flow_kg_s=0".into(),
        "air_leak_kg_h=1000&map=load".into(),
        "sea_temp_c=-2&sea_salinity_g_kg=0&jacket_in_c=120&barometer_hpa=850".into(),
        format!("sea_temp_c={long}"),
    ] {
        for path in ["/plant", "/plant/figures"] {
            let page = browser.get(&format!("{path}?{query}")).await;
            assert_eq!(page.status, StatusCode::OK, "{path}?{query}");
            is_clean(&page.text);
            assert!(page.text.contains("id=\"plant-figures\""), "{query}");
        }
    }
    let cold = browser.get("/plant?jacket_in_c=20").await;
    assert!(cold.text.contains("wait for the engine to warm up"), "the remedy is said");
    let typed = browser.get("/plant?jacket_in_c=hot").await;
    assert!(typed.text.contains("not taken:") && typed.text.contains("value=\"hot\""));
}

#[tokio::test]
async fn ident_either_form_of_the_ship_page_edits_the_other() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let first = browser.get("/ship").await;
    is_clean(&first.text);
    for key in plant::keys::SHEET {
        assert!(first.text.contains(&format!("name=\"plant.{}\"", key.key)), "{}", key.key);
    }
    let fields = [("plant.product_max_t_day", "24,5"), ("actor", "2e"), ("do", "look")];
    let look = send(&mut browser, "/ship", &fields).await;
    assert_eq!(look.status, StatusCode::OK);
    assert!(look.text.contains("What changes") && look.text.contains("24.5"));
    assert!(!aboard.file().contains("product_max_t_day = 24.5"), "looking changes nothing");
    // What is unusual is said of the figures as typed, and a new tank stands among the changes once.
    let fields = [
        ("plant.product_max_t_day", "900"),
        ("tank.0.key", "fore"),
        ("tank.0.name", "Fore peak"),
        ("tank.0.capacity_m3", "80"),
        ("tank.0.soundings_cm_m3", "0, 0\n400, 80"),
        ("do", "look"),
    ];
    let look = send(&mut browser, "/ship", &fields).await;
    assert!(look.text.contains("Outside what is usual as typed"), "{}", look.text);
    let changes = crate::help::between(&look.text, "What changes", "Nothing is kept yet");
    assert_eq!(changes.matches("Tank: Fore peak, Name").count(), 1, "{changes}");
    assert!(!changes.contains("Another tank"), "{changes}");

    let fields = [("plant.product_max_t_day", "24,5"), ("actor", "2e"), ("do", "keep")];
    let kept = send(&mut browser, "/ship", &fields).await;
    assert_eq!(kept.location(), "/ship?kept");
    assert!(aboard.file().contains("product_max_t_day = 24.5"));
    let entries = aboard.desk.head().unwrap().0;
    assert_eq!(entries, 1, "the change stands in the record");

    let text = aboard.file().replace("rated_product_t_day = 24", "rated_product_t_day = 23.5");
    let look = send(&mut browser, "/ship/text", &[("text", &text), ("do", "look")]).await;
    assert!(look.text.contains("still on the list of figures not confirmed: rated_product_t_day"));
    let text = aboard.file().replace("product_max_t_day = 24.5", "product_max_t_day = 24.25");
    let text = text.replace('\n', "\r\n");
    let fields = [("text", text.as_str()), ("actor", "2e"), ("do", "keep")];
    let kept = send(&mut browser, "/ship/text", &fields).await;
    assert_eq!(kept.location(), "/ship?kept");
    let after = browser.get("/ship").await;
    let field = crate::help::between(&after.text, "name=\"plant.product_max_t_day\"", ">");
    assert!(field.contains("value=\"24.25\""), "{field}");
}

#[tokio::test]
async fn ident_a_refused_ship_file_changes_nothing_and_keeps_what_was_typed() {
    let aboard = Aboard::new();
    let mut browser = aboard.browser();
    let before = aboard.file();
    let sly = "\"><script>alert(1)</script>";
    let fields =
        [("plant.rated_product_t_day", "-3"), ("ship.kind", sly), ("actor", "2e"), ("do", "keep")];
    let page = send(&mut browser, "/ship", &fields).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_clean(&page.text);
    assert!(page.text.contains("0.1 to 500") && page.text.contains("value=\"-3\""));

    let bad = "[plant]\nrated_product_t_day = 24,5\n# mine\n";
    let page =
        send(&mut browser, "/ship/text", &[("text", bad), ("actor", "2e"), ("do", "keep")]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text.contains("line 2") && page.text.contains("# mine"), "typed text stands");

    let page = send(&mut browser, "/ship", &[("ship.crew", "21"), ("do", "keep")]).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text.contains("initials"), "nobody changes the sheet unnamed");

    let fields = [("ship.crew", "2.5"), ("actor", "2e"), ("do", "keep")];
    let page = send(&mut browser, "/ship", &fields).await;
    assert!(page.text.contains("whole people"), "{}", page.text);

    let marks = browser.get("/ship").await;
    let token = marks.hidden("_token");
    let once = marks.hidden("_once");
    let fields = [
        ("_token", token.as_str()),
        ("_once", once.as_str()),
        ("base", "0000000000000000"),
        ("ship.crew", "21"),
        ("actor", "2e"),
        ("do", "keep"),
    ];
    let page = browser.post("/ship", &fields).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.text.contains("changed by somebody else"));
    assert_eq!(aboard.file(), before);
    assert_eq!(aboard.desk.head().unwrap().0, 0);
}
