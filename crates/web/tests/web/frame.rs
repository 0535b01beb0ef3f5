//! The sheet and every component on it, rendered with samples.

use maud::{Markup, PreEscaped, Render, html};
use web::Page;
use web::parts::{self, Cell, Field, Mark, Row, Table, Unit, Word};

use crate::help::{Browser, between, open};

/// Every component once, with what makes trouble in it.
fn samples() -> Markup {
    let sly = "<i>\"&'";
    let units = [("pct", "%"), ("kpa", "kPa")];
    let field = Field::new("vacuum", sly).place(sly).was("12:00", "90.4").expected(sly).typed(sly);
    let words = [
        Word::None,
        Word::Plain(Mark::Low, sly),
        Word::Unread("not read yet"),
        Word::Doubt { word: "does not fit", why: sly, choices: html! { button { "Keep" } } },
        Word::Refused { word: "cannot be:", why: sly, choices: html! {} },
    ];
    let table = Table::new("Earlier rounds", "Round")
        .numbers("Made", "t/day")
        .numbers("Vacuum", "%")
        .words("Signed")
        .row(Row::new(html! { "12:00" }, ["21.3", "90.4", sly]).on())
        .row(Row::new(html! { "04:00" }, [Cell::over(2, html! { "not read" }), "2/E".into()]))
        .rows([Row::new(html! { "Mean" }, ["21.4", "90.4", ""]).sum()]);
    html! {
        (parts::answer(sly, html! { "Making " (parts::fig("21.3", "t/day")) }, html! {}, html! {}, html! { p { (sly) } }))
        (parts::entry(sly, html! {}, html! {
            (parts::acts(parts::act("/readings", sly, true)))
            @for mark in Mark::ALL { (parts::state(mark, "a word")) }
            (parts::value("90.4", "%")) (parts::value("3", ""))
            (parts::details(sly, html! { p { (sly) } }))
            (parts::caution("Hot surfaces.", html! { (sly) }))
            (parts::quiet(sly, html! { (sly) }))
            (parts::fault(sly, html! { (sly) }))
            (parts::progress(sly, 38, 61, "38 of 61 days"))
            (parts::picture("<svg></svg>", sly))
            (parts::beside(table.render(), html! { p {} }))
            div.fields { @for word in words { (field.clone().word(word).step("0.1", "90.4").unit(Unit::Fixed("%"))) } }
            (Field::new("unit", "Unit").unit(Unit::Choice { name: "unit.unit", options: &units, chosen: "kpa" }))
            (Field::new("why", "Why").text()) (Field::new("secret", "Secret").secret())
        }))
    }
}

/// The content security policy allows no style attribute, no script and no handler in the page.
fn assert_clean(page: &str) {
    for banned in [
        " style=",
        "<style",
        "javascript:",
        " onclick",
        " onload",
        " oninput",
        "http://",
        "https://",
    ] {
        assert!(!page.contains(banned), "{banned} in {page}");
    }
    let scripts = page.matches("<script").count();
    assert_eq!(page.matches("<script type=\"module\" src=\"/assets/").count(), scripts);
}

#[test]
fn ident_components_escape_and_carry_nothing_inline() {
    let PreEscaped(page) = samples();
    assert_clean(&page);
    assert!(!page.contains("<i>"), "{page}");
    for (open, shut) in [
        ("<div", "</div>"),
        ("<p", "</p>"),
        ("<section", "</section>"),
        ("<td", "</td>"),
        ("<svg", "</svg>"),
    ] {
        let opened =
            page.matches(&format!("{open} ")).count() + page.matches(&format!("{open}>")).count();
        assert_eq!(opened, page.matches(shut).count(), "{open}");
    }
}

/// WAI-ARIA in HTML: a table drawn as a list keeps its roles, and each cell its column's name.
#[test]
fn ref_tables_keep_roles_and_labels_when_drawn_as_lists() {
    let PreEscaped(page) = samples();
    for (role, count) in [
        ("table", 1),
        ("rowgroup", 2),
        ("row", 4),
        ("columnheader", 4),
        ("rowheader", 3),
        ("cell", 8),
    ] {
        assert_eq!(page.matches(&format!("role=\"{role}\"")).count(), count, "{role}");
    }
    assert!(page.contains("<td class=\"n\" role=\"cell\" data-l=\"Vacuum %\">90.4</td>"), "{page}");
    assert!(page.contains("<td role=\"cell\" data-l=\"\" colspan=\"2\">not read</td>"), "{page}");
    assert!(page.contains("<td role=\"cell\" data-l=\"Signed\">2/E</td>"), "after a wide cell");
    assert!(page.contains("table class=\"many\""));
}

/// WCAG 2.2: 1.3.1 (label), 3.3.1 (error identified and described), 2.1.1 (keys are no tab stops but
/// the arrow keys do the same).
#[test]
fn ref_fields_are_labelled_described_and_marked() {
    let form = web::FormState::from_pairs([("vacuum", "ninety")]);
    let mut refused = form.clone();
    refused.refuse("vacuum", "not a number: type one such as 90.4");
    let field = Field::new("vacuum", "Vacuum").typed("90").step("0.1", "90.4").was("12:00", "90.4");
    let PreEscaped(sound) = field.clone().from_form(&form).render();
    assert!(sound.contains("value=\"ninety\"") && !sound.contains("aria-invalid"));
    let PreEscaped(wrong) = field.from_form(&refused).render();
    assert!(wrong.contains("<label for=\"vacuum\">") && wrong.contains("id=\"vacuum\""));
    assert!(wrong.contains("aria-invalid=\"true\""));
    assert!(wrong.contains("aria-describedby=\"vacuum-was vacuum-word\""));
    assert_eq!(between(&wrong, "id=\"vacuum-word\"", "</div>").matches("not a number").count(), 1);
    assert_eq!(wrong.matches("tabindex=\"-1\"").count(), 2);
    assert!(wrong.contains("aria-label=\"Vacuum, 0.1 less\""));
    assert!(wrong.contains("data-step=\"-0.1\"") && wrong.contains("data-step=\"0.1\""));
}

#[tokio::test]
async fn ident_the_frame_holds_its_parts_in_reading_order() {
    let page = Browser::of(&open()).get("/readings").await.text;
    assert_clean(&page);
    let order = [
        "<!DOCTYPE html>",
        "<html lang=\"en\" data-palette=\"auto\">",
        "<title>Readings, Marram, Stillwatch</title>",
        "class=\"skip\" href=\"#answer\"",
        "class=\"heading\"",
        "Newcastle to &lt;Yokohama&gt;",
        "04:20",
        "class=\"index\"",
        "<main class=\"sheet\">",
        "Stillwatch advises; it commands nothing.",
        "</html>",
    ];
    let mut from = 0;
    for part in order {
        from += page[from..].find(part).unwrap_or_else(|| panic!("{part} after {from}"));
    }
    for tab in Page::ALL {
        let open = if tab == Page::Readings { " aria-current=\"page\"" } else { "" };
        let link = format!("<a href=\"{}\"{open}>{}</a>", tab.path(), tab.name());
        assert!(page.contains(&link), "{link}");
    }
    assert_eq!(page.matches("aria-current").count(), 1);
    let ids: Vec<_> = page.split(" id=\"").skip(1).map(|r| r.split('"').next().unwrap()).collect();
    let mut unique = ids.clone();
    unique.sort_unstable();
    unique.dedup();
    assert_eq!(unique.len(), ids.len());
}

#[tokio::test]
async fn ident_the_palette_is_chosen_by_a_form_and_stays() {
    let mut browser = Browser::of(&open());
    let (token, _) = browser.marks().await;
    for palette in ["night", "day", "night", "auto"] {
        let fields = [("_token", token.as_str()), ("back", "/readings"), ("palette", palette)];
        let answer = browser.post("/palette", &fields).await;
        assert_eq!(answer.location(), "/readings");
        assert!(answer.header("set-cookie").contains("HttpOnly; SameSite=Strict"));
        let page = browser.get("/").await.text;
        assert!(page.contains(&format!("data-palette=\"{palette}\"")), "{palette}");
        assert!(page.contains(&format!("value=\"{palette}\" aria-pressed=\"true\"")));
    }
    let fields = [("_token", token.as_str()), ("palette", "<pink>")];
    let refused = browser.post("/palette", &fields).await;
    assert_eq!(refused.status, 400);
    assert!(refused.text.contains("“&lt;pink&gt;” is not a palette"));
    browser.jar.insert("stillwatch-palette".into(), "\"><script>".into());
    assert!(browser.get("/").await.text.contains("data-palette=\"auto\""));
}
