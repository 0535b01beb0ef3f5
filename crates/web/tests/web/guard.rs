//! Host, origin and token, in every combination; limits, faults and headers.

use std::time::Duration;

use axum::body::{Body, Bytes};
use axum::http::header::CONTENT_TYPE;
use axum::http::{Method, Request, StatusCode};

use crate::help::{Browser, bench, form, locked, open};
use web::Listen;

/// Names that are ours are answered to, others get 421 (RFC 9110, 15.5.20), none or two get 400
/// (RFC 9112, 3.2).
#[tokio::test]
async fn ref_host_matrix() {
    let ours = [
        "localhost",
        "LOCALHOST:8080",
        "localhost.",
        "127.0.0.1:1",
        "127.9.9.9",
        "[::1]:8080",
        "192.168.7.2:8080",
        "[::ffff:192.168.7.2]",
        "Marram.Local",
    ];
    let strangers = [
        "attacker.example",
        "127.0.0.1.attacker.example",
        "localhost.attacker.example",
        "attacker-localhost",
        "192.168.7.3",
        "0.0.0.0",
        "169.254.1.1:80",
        "[fe80::1]",
        "marram",
    ];
    let unreadable = ["", "a@localhost", "local host", "http://localhost", "localhost/x", "[::1"];
    let mut browser = Browser::of(&locked());
    let cases = [
        (&ours[..], StatusCode::OK),
        (&strangers[..], StatusCode::MISDIRECTED_REQUEST),
        (&unreadable[..], StatusCode::BAD_REQUEST),
    ];
    for (hosts, status) in cases {
        for host in hosts {
            let request = Request::get("/sign-in").header("host", *host).body(Body::empty());
            let answer = browser.send(request.unwrap()).await;
            assert_eq!(answer.status, status, "Host: {host}");
            assert!(!answer.text.contains("Marram"), "no names before sign-in");
            if status != StatusCode::OK {
                assert!(answer.headers.get("set-cookie").is_none(), "no cookie for a stranger");
            }
        }
    }
    let two = Request::get("/").header("host", "localhost").header("host", "localhost");
    assert_eq!(browser.send(two.body(Body::empty()).unwrap()).await.status, 400);
    let target = Request::get("http://attacker.example/").header("host", "localhost");
    assert_eq!(browser.send(target.body(Body::empty()).unwrap()).await.status, 400);
}

/// Host names given at start are answered to by a locked program only as far as they were given.
#[tokio::test]
async fn ident_an_open_program_knows_no_names() {
    let mut browser = Browser::of(&open());
    browser.host = "marram.local".into();
    assert_eq!(browser.get("/").await.status, StatusCode::MISDIRECTED_REQUEST);
}

/// What each guard makes of a form: Fetch Metadata (W3C) and Origin (RFC 6454) first, token second.
#[tokio::test]
async fn ref_origin_and_token_matrix() {
    let bench = open();
    let mut browser = Browser::of(&bench);
    let (token, _) = browser.marks().await;
    let other = Browser::of(&bench).marks().await.0;
    let sites = [None, Some("same-origin"), Some("none"), Some("same-site"), Some("cross-site")];
    let origins = [
        None,
        Some("http://127.0.0.1:8080"),
        Some("null"),
        Some("http://127.0.0.1:8081"),
        Some("https://127.0.0.1:8080"),
        Some("http://localhost:8080"),
        Some("http://attacker.example"),
        Some("http://127.0.0.1:8080.attacker.example"),
    ];
    let flipped = format!("{}{}", if token.starts_with('0') { "1" } else { "0" }, &token[1..]);
    let tokens = [
        (Some(token.as_str()), true),
        (None, false),
        (Some(""), false),
        (Some(&token[..63]), false),
        (Some(&flipped), false),
        (Some(&other), false),
    ];
    let mut taken = 0;
    for site in sites {
        for origin in origins {
            for (token, is_own) in tokens {
                let mut headers = Vec::new();
                headers.extend(site.map(|site| ("sec-fetch-site", site)));
                headers.extend(origin.map(|origin| ("origin", origin)));
                let mut fields = vec![("temp", "83.0")];
                fields.extend(token.map(|token| ("_token", token)));
                let answer = browser.send(form("/readings", &fields, &headers)).await;
                let from_us = matches!(site, None | Some("same-origin" | "none"))
                    && matches!(origin, None | Some("http://127.0.0.1:8080"));
                let expected =
                    if from_us && is_own { StatusCode::SEE_OTHER } else { StatusCode::FORBIDDEN };
                assert_eq!(answer.status, expected, "{site:?} {origin:?} {token:?}");
                taken += usize::from(from_us && is_own);
                let vouched = from_us && (origin.is_some() || site == Some("same-origin"));
                let again = answer.text.contains("Send again");
                assert_eq!(again, vouched && !is_own, "{site:?} {origin:?} {token:?}");
            }
        }
    }
    assert_eq!(bench.taken.lock().unwrap().len(), taken);
    assert_eq!(taken, 6);
}

/// The token must come with its visit: without the cookie it is worth nothing.
#[tokio::test]
async fn ident_a_token_is_bound_to_its_visit() {
    let bench = open();
    let (token, _) = Browser::of(&bench).marks().await;
    let mut bare = Browser::of(&bench);
    let fields = [("_token", token.as_str()), ("temp", "83.0")];
    assert_eq!(bare.post("/readings", &fields).await.status, StatusCode::FORBIDDEN);
    for forged in ["", "x", &"g".repeat(64), &"A".repeat(64), &"0".repeat(65)] {
        bare.jar = [("stillwatch-visit".into(), forged.into())].into();
        assert_eq!(bare.post("/readings", &fields).await.status, StatusCode::FORBIDDEN, "{forged}");
    }
}

/// Every method that may change something is guarded, and so is every way of writing a body.
#[tokio::test]
async fn ident_no_body_passes_without_a_token() {
    let bench = open();
    let mut browser = Browser::of(&bench);
    let (token, _) = browser.marks().await;
    for method in [Method::POST, Method::PUT, Method::PATCH, Method::DELETE] {
        for mime in ["", "text/plain", "application/json", "multipart/form-data; boundary=b"] {
            let mut request = Request::builder().method(&method).uri("/json");
            if !mime.is_empty() {
                request = request.header(CONTENT_TYPE, mime);
            }
            let request = request.body(Body::from("{}")).unwrap();
            assert_eq!(browser.send(request).await.status, 403, "{method} {mime}");
        }
    }
    let request = Request::post("/json").header(CONTENT_TYPE, "application/json");
    let request = request.header("x-stillwatch-token", &token).body(Body::from("{}")).unwrap();
    let answer = browser.send(request).await;
    assert_eq!((answer.status, answer.text.as_str()), (StatusCode::OK, "{}"));
}

#[tokio::test]
async fn ident_forms_have_a_size_limit_announced_or_not() {
    let bench = open();
    let mut browser = Browser::of(&bench);
    let (token, _) = browser.marks().await;
    let fill = web::guard::FORM_BYTES - format!("temp=83&_token={token}&x=").len();
    let at = "y".repeat(fill);
    for (extra, status) in [(0, 303), (1, 413)] {
        let text = format!("{at}{}", "y".repeat(extra));
        let fields = [("temp", "83"), ("_token", token.as_str()), ("x", &text)];
        let answer = browser.send(form("/readings", &fields, &[])).await;
        assert_eq!(answer.status, status);
        let mut announced = form("/readings", &fields, &[]);
        let length = web::guard::FORM_BYTES + extra;
        announced.headers_mut().insert("content-length", length.into());
        assert_eq!(browser.send(announced).await.status, status);
    }
    let lots: Vec<_> = (0..1100).map(|_| ("f", "1")).chain([("_token", token.as_str())]).collect();
    let answer = browser.send(form("/readings", &lots, &[])).await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST);
    assert!(answer.text.contains("1024 fields"));
}

fn upload(token: &str, bytes: usize, announced: Option<u64>) -> Request<Body> {
    let head = "--b\r\ncontent-disposition: form-data; name=\"file\"; filename=\"a.csv\"\r\n\r\n";
    let mut body = head.as_bytes().to_vec();
    body.resize(body.len() + bytes, b'1');
    body.extend_from_slice(b"\r\n--b--\r\n");
    let mut request = Request::post(format!("/import?_token={token}"))
        .header(CONTENT_TYPE, "multipart/form-data; boundary=b");
    if let Some(length) = announced {
        request = request.header("content-length", length);
    }
    request.body(Body::from(Bytes::from(body))).unwrap()
}

#[tokio::test]
async fn ident_files_up_to_64_mib_are_taken_with_their_token_in_the_address() {
    let mut browser = Browser::of(&open());
    let (token, _) = browser.marks().await;
    let answer = browser.send(upload(&token, 3 << 20, None)).await;
    assert_eq!((answer.status, answer.text.as_str()), (StatusCode::OK, "3145728 bytes"));
    assert_eq!(browser.send(upload("", 10, None)).await.status, StatusCode::FORBIDDEN);
    let limit = web::guard::UPLOAD_BYTES;
    assert_eq!(browser.send(upload(&token, 10, Some(limit as u64 + 1))).await.status, 413);
    assert_eq!(browser.send(upload(&token, limit, None)).await.status, 413, "not announced");
    let mut cut = upload(&token, 10, None);
    *cut.body_mut() = Body::from("--b\r\ncontent-disposition: form-data; name=\"file\"\r\n\r\n1");
    let answer = browser.send(cut).await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST);
    assert!(answer.text.contains("did not arrive whole"), "{}", answer.text);
}

#[tokio::test]
async fn ident_a_fault_becomes_a_page_and_the_next_request_works() {
    let mut browser = Browser::of(&open());
    let answer = browser.get("/panic").await;
    assert_eq!(answer.status, StatusCode::INTERNAL_SERVER_ERROR);
    assert!(answer.text.contains("a fault in the program stopped it"));
    assert!(!answer.text.contains("on purpose"), "nothing of the inside is shown");
    assert_eq!(answer.header("x-content-type-options"), "nosniff");
    let (token, once) = browser.marks().await;
    let fields = [("_token", token.as_str()), ("_once", &once), ("temp", "1")];
    let answer = browser.post("/panic-later", &fields).await;
    assert_eq!(answer.status, StatusCode::INTERNAL_SERVER_ERROR);
    assert!(answer.text.contains("Marram"), "framed");
    assert_eq!(browser.get("/").await.status, StatusCode::OK);
}

/// OWASP ASVS 4.0.3, 14.4 and 8.2.1; Fetch standard (Origin is null under `no-referrer`).
#[tokio::test]
async fn ref_every_answer_carries_the_security_headers() {
    let mut browser = Browser::of(&open());
    let stranger = Request::get("/").header("host", "x.example").body(Body::empty()).unwrap();
    let answers = [
        browser.send(stranger).await,
        browser.get("/").await,
        browser.get("/nowhere").await,
        browser.get("/panic").await,
        browser.get("/busy").await,
        browser.get("/assets/nothing.css").await,
        browser.post("/readings", &[]).await,
        browser.send(Request::delete("/").body(Body::empty()).unwrap()).await,
        browser.get("/sign-in").await,
    ];
    for answer in &answers {
        let policy = answer.header("content-security-policy");
        assert!(policy.starts_with("default-src 'none'; style-src 'self'; script-src 'self';"));
        for part in ["form-action 'self'", "frame-ancestors 'none'", "base-uri 'none'"] {
            assert!(policy.contains(part), "{part}");
        }
        assert!(!policy.contains("unsafe"));
        assert_eq!(answer.header("x-content-type-options"), "nosniff");
        assert_eq!(answer.header("referrer-policy"), "same-origin");
        assert_eq!(answer.header("cross-origin-opener-policy"), "same-origin");
        assert_eq!(answer.header("cross-origin-resource-policy"), "same-origin");
        assert_eq!(answer.header("cache-control"), "no-store");
        assert!(answer.header("permissions-policy").contains("camera=()"));
    }
    assert_eq!(answers[4].header("retry-after"), "5");
}

#[tokio::test]
async fn ident_cookies_are_out_of_reach_of_script_and_other_sites() {
    let mut browser = Browser::of(&open());
    let page = browser.get("/").await;
    let set = page.header("set-cookie");
    assert!(set.starts_with("stillwatch-visit="));
    assert!(set.ends_with("; Path=/; HttpOnly; SameSite=Strict"), "{set}");
    assert!(browser.get("/").await.headers.get("set-cookie").is_none(), "set once");
    let asset = Browser::of(&open()).get("/assets/nothing.css").await;
    assert!(asset.headers.get("set-cookie").is_none(), "none with what is cached for good");
}

/// A form from before a restart is not written, and comes back with everything typed.
#[tokio::test]
async fn ident_a_stale_form_comes_back_as_typed_and_can_be_sent_again() {
    let before = bench(&Listen::here(0), 0);
    let mut browser = Browser::of(&before);
    let (token, once) = browser.marks().await;
    let after = bench(&Listen::here(0), 1);
    browser.router = after.router.clone();
    let fields = [
        ("_token", token.as_str()),
        ("_once", &once),
        ("temp", "83"),
        ("why", "<b>\"a\" & b"),
        ("sheet", "a = 1\r\nb = 2"),
    ];
    let stale = browser.post("/readings", &fields).await;
    assert_eq!(stale.status, StatusCode::FORBIDDEN);
    assert!(stale.text.contains("&lt;b&gt;&quot;a&quot; &amp; b"), "{}", stale.text);
    assert!(
        stale.text.contains("name=\"sheet\" rows=\"12\">\na = 1\r\nb = 2</textarea>"),
        "lines stay"
    );
    assert!(after.taken.lock().unwrap().is_empty());
    let (token, once) = (stale.hidden("_token"), stale.hidden("_once"));
    let fields = [("_token", token.as_str()), ("_once", &once), ("temp", &stale.hidden("temp"))];
    assert_eq!(browser.post("/readings", &fields).await.status, StatusCode::SEE_OTHER);
    assert_eq!(*after.taken.lock().unwrap(), ["83"]);
}

#[tokio::test]
async fn ident_error_pages_say_how_to_go_on() {
    let mut browser = Browser::of(&open());
    let missing = browser.get("/nowhere").await;
    assert_eq!(missing.status, StatusCode::NOT_FOUND);
    assert!(missing.text.contains("No page has this address."));
    assert!(missing.text.contains("href=\"/readings\""), "the index leads on");
    assert_eq!(missing.header("content-type"), "text/html; charset=utf-8");
    let (token, _) = browser.marks().await;
    let wrong = browser.post("/", &[("_token", &token)]).await;
    assert_eq!(wrong.status, StatusCode::METHOD_NOT_ALLOWED);
    assert_eq!(wrong.header("allow"), "GET,HEAD");
    assert!(wrong.text.contains("Marram"));
}

/// A body that never comes.
struct Never;
impl axum::body::HttpBody for Never {
    type Data = Bytes;
    type Error = std::io::Error;
    fn poll_frame(
        self: std::pin::Pin<&mut Self>,
        _: &mut std::task::Context<'_>,
    ) -> std::task::Poll<Option<Result<http_body::Frame<Bytes>, std::io::Error>>> {
        std::task::Poll::Pending
    }
}

#[tokio::test(start_paused = true)]
async fn ident_a_form_that_dawdles_is_given_up_on() {
    let mut browser = Browser::of(&open());
    let (token, _) = browser.marks().await;
    let start = tokio::time::Instant::now();
    let mut slow = form("/readings", &[], &[]);
    *slow.body_mut() = Body::new(Never);
    assert_eq!(browser.send(slow).await.status, StatusCode::REQUEST_TIMEOUT);
    assert_eq!(start.elapsed(), Duration::from_secs(30));
    let mut file = upload(&token, 0, None);
    *file.body_mut() = Body::new(Never);
    assert_eq!(browser.send(file).await.status, StatusCode::REQUEST_TIMEOUT);
    assert_eq!(start.elapsed(), Duration::from_secs(60));
}

#[tokio::test(start_paused = true)]
async fn ident_two_files_at_a_time_are_taken() {
    let bench = open();
    let mut browser = Browser::of(&bench);
    let (token, _) = browser.marks().await;
    let mut sent = tokio::task::JoinSet::new();
    for _ in 0..3 {
        let mut other = Browser::of(&bench);
        other.jar = browser.jar.clone();
        let mut file = upload(&token, 0, None);
        *file.body_mut() = Body::new(Never);
        sent.spawn(async move { other.send(file).await.status.as_u16() });
    }
    let mut answers = sent.join_all().await;
    answers.sort_unstable();
    assert_eq!(answers, [408, 408, 503]);
    assert_eq!(browser.send(upload(&token, 5, None)).await.text, "5 bytes", "the turn came back");
}

#[tokio::test(start_paused = true)]
async fn ident_long_work_waits_its_turn_and_hears_when_the_reader_leaves() {
    use std::sync::mpsc;
    let work = std::sync::Arc::new(web::work::Work::default());
    assert_eq!(work.run(|_| 7).await, Ok(7));
    assert_eq!(work.run(|_| -> () { panic!("on purpose") }).await.unwrap_err().status(), 500);
    let (tell, told) = mpsc::channel();
    let (begin, begun) = tokio::sync::oneshot::channel();
    let shared = work.clone();
    let reader = tokio::spawn(async move {
        let job = move |gone: &web::work::Gone| {
            let _ = begin.send(());
            while !gone.is_gone() {
                std::thread::yield_now();
            }
            let _ = tell.send(());
        };
        shared.run(job).await
    });
    begun.await.unwrap();
    reader.abort();
    assert!(reader.await.unwrap_err().is_cancelled());
    told.recv_timeout(Duration::from_secs(60)).unwrap();
}
