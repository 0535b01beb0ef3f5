//! What was typed is kept as typed.

use web::FormState;
use web::paths::own_path;

/// Percent-decoding as the URL standard's `application/x-www-form-urlencoded` parser does it.
#[test]
fn ref_whatwg_urlencoded_parsing() {
    let form = FormState::parse(b"a=31%2C5&b=+x+&c=%E2%88%92+1&a=2&_token=t&_once=o&d&=e").unwrap();
    assert_eq!(form.typed("a"), "31,5");
    assert_eq!(form.all("a"), ["31,5", "2"]);
    assert_eq!(form.typed("b"), " x ");
    assert_eq!(form.typed("c"), "− 1");
    assert!(form.was_sent("d") && !form.was_sent("e"));
    assert_eq!(form.typed(""), "e");
    assert!(!form.was_sent("_token"));
    assert_eq!(form.once(), "o");
    let broken = FormState::parse(b"a=%ZZ%E2&%").unwrap();
    assert_eq!(broken.typed("a"), "%ZZ\u{fffd}");
}

#[test]
fn ident_the_first_fault_of_a_field_stands() {
    let mut form = FormState::from_pairs([("temp", "warm"), ("flow", "60")]);
    assert!(form.is_sound());
    form.refuse("temp", "first");
    form.refuse("temp", "second");
    assert_eq!(form.error("temp"), Some("first"));
    assert_eq!(form.error("flow"), None);
    assert_eq!(form.errors().collect::<Vec<_>>(), [("temp", "first")]);
    assert_eq!(form.fields().collect::<Vec<_>>(), [("flow", "60"), ("temp", "warm")]);
    assert!(!form.is_sound());
    let mut whole = FormState::default();
    whole.refuse_whole("the two temperatures look swapped");
    assert_eq!((whole.is_sound(), whole.overall().len()), (false, 1));
}

#[test]
fn ident_going_back_never_leaves_this_program() {
    for own in ["/", "/readings?from=2026-11-16&n=3", "/plant#map"] {
        assert_eq!(own_path(own), own);
    }
    let long = format!("/{}", "a".repeat(2000));
    for foreign in [
        "",
        "readings",
        "//attacker.example",
        "/\\attacker.example",
        "http://attacker.example",
        "/a\nb",
        "/ä",
        "/\t/x",
        &long,
    ] {
        assert_eq!(own_path(foreign), "/", "{foreign:?}");
    }
}
