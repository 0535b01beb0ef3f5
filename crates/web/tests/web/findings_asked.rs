//! What the page Findings asks before it writes something down: twice closed, another part, another size, found while she makes water.

use axum::http::StatusCode;

use crate::findings::{bare, found, marram, now, post};

/// A yes that was given stays given: the question about the time and that about a second look are each asked once.
#[tokio::test]
async fn ident_a_question_answered_with_yes_is_not_asked_again() {
    let (_folder, desk, mut browser) = marram();
    found(&desk, &mut browser).await;
    let not_found = [
        ("close", "condenser_fouling"),
        ("close_seen", "not found"),
        ("close_words", ""),
        ("close_cleaned", ""),
        ("close_mended", "mended"),
        ("close_by", "2e"),
    ];
    let page = post(&mut browser, "/findings/close", &not_found).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "mended, and nothing found");
    let not_found: Vec<_> = not_found.into_iter().filter(|f| f.0 != "close_mended").collect();
    assert_eq!(
        post(&mut browser, "/findings/close", &not_found).await.location(),
        "/findings?closed"
    );
    let mut close = vec![
        ("close", "condenser_fouling"),
        ("close_seen", "found"),
        ("close_words", ""),
        ("close_cleaned", "condenser"),
        ("close_mended", "mended"),
        ("close_at", ""),
        ("close_by", "2e"),
    ];
    let page = post(&mut browser, "/findings/close", &close).await;
    assert!(page.text.contains("The time stands: write it down"), "{}", page.text);
    close.push(("close_stands", "yes"));
    let page = post(&mut browser, "/findings/close", &close).await;
    assert!(page.text.contains("Yes, it was looked at again"), "{}", page.text);
    assert_eq!(page.hidden("close_stands"), "yes");
    close.push(("close_again", "yes"));
    assert_eq!(post(&mut browser, "/findings/close", &close).await.location(), "/findings?closed");
}

/// Found and not mended, then closed as mended: the same find, and no question. Set right to the other side of what is found: asked.
#[tokio::test]
async fn ident_a_find_is_mended_unasked_and_a_wrong_sign_is_asked_about() {
    let (_folder, desk, mut browser) = marram();
    found(&desk, &mut browser).await;
    for mended in ["not yet", "mended"] {
        let close = [
            ("close", "air_leak"),
            ("close_seen", "found"),
            ("close_words", ""),
            ("close_cleaned", ""),
            ("close_mended", mended),
            ("close_by", "2e"),
        ];
        let answer = post(&mut browser, "/findings/close", &close).await;
        assert_eq!(answer.location(), "/findings?closed", "{mended}");
    }
    let looks = desk.told_of_plant(now()).unwrap().looks();
    assert_eq!(looks.values().copied().collect::<Vec<_>>(), [(1, 1)]);
    found(&desk, &mut browser).await;
    let mut right =
        vec![("right", "sea_out_c"), ("right_high", "−1,6"), ("right_at", ""), ("right_by", "2e")];
    let page = post(&mut browser, "/findings/set-right", &right).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    let says = bare(&page.text);
    assert!(says.contains("K too high; you say 1.6 too low: is that meant?"), "{says}");
    assert!(says.contains("Yes, it read so"), "{says}");
    right.push(("right_sure", "yes"));
    assert_eq!(
        post(&mut browser, "/findings/set-right", &right).await.location(),
        "/findings?set-right"
    );
}

/// A deposit found in one part, and the other cleaned with it: asked, and the yes is kept while other questions come.
#[tokio::test]
async fn ident_another_part_cleaned_and_another_size_are_asked_about() {
    let (_folder, desk, mut browser) = marram();
    found(&desk, &mut browser).await;
    let mut close = vec![
        ("close", "scale"),
        ("close_seen", "found"),
        ("close_words", ""),
        ("close_cleaned", "condenser"),
        ("close_mended", "mended"),
        ("close_at", ""),
        ("close_by", "2e"),
    ];
    // Mended, and no part named as cleaned.
    let none: Vec<(&str, &str)> =
        close.iter().map(|(k, v)| (*k, if *k == "close_cleaned" { "" } else { v })).collect();
    let says = bare(&post(&mut browser, "/findings/close", &none).await.text);
    assert!(says.contains("Asked first: Scale comes off by cleaning, and no part"), "{says}");
    let page = post(&mut browser, "/findings/close", &close).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    let says = bare(&page.text);
    assert!(says.contains("Asked first: Scale sits in the evaporator"), "{says}");
    assert!(says.contains("Yes, it stands so"), "{says}");
    close.push(("close_part", "yes"));
    let page = post(&mut browser, "/findings/close", &close).await;
    assert!(bare(&page.text).contains("Asked first: By the round of"), "{}", page.text);
    assert_eq!(page.hidden("close_part"), "yes");
    close.push(("close_stands", "yes"));
    assert_eq!(post(&mut browser, "/findings/close", &close).await.location(), "/findings?closed");
    // The side is the findings', the size is not.
    found(&desk, &mut browser).await;
    let right = [("right", "sea_out_c"), ("right_high", "9"), ("right_at", ""), ("right_by", "2e")];
    let page = post(&mut browser, "/findings/set-right", &right).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    let says = bare(&page.text);
    assert!(says.contains("); you say 9: is that meant?"), "{says}");
    let sure = [&right[..], &[("right_sure", "yes")]].concat();
    assert_eq!(
        post(&mut browser, "/findings/set-right", &sure).await.location(),
        "/findings?set-right"
    );
    // The same form sent once more.
    let page = post(&mut browser, "/findings/set-right", &sure).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    let says = bare(&page.text);
    assert!(says.contains("Asked first: It was set right already"), "{says}");
    assert!(says.contains("Yes, it was set again") && page.hidden("right_sure") == "yes", "{says}");
    let again = [&sure[..], &[("right_again", "yes")]].concat();
    assert_eq!(
        post(&mut browser, "/findings/set-right", &again).await.location(),
        "/findings?set-right"
    );
}
