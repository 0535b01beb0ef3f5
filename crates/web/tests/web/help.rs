//! A ship, a clock that is set by hand, and a reader with a cookie jar.

use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::header::{CONTENT_TYPE, COOKIE, HOST, LOCATION, SET_COOKIE};
use axum::http::{HeaderMap, Request, StatusCode};
use axum::response::Redirect;
use axum::routing::{get, post};
use desk::Desk;
use jiff::Timestamp;
use maud::{Markup, html};
use tower::ServiceExt;
use web::guard::Arrived;
use web::{
    App, Clock, Entropy, FormState, Heading, Listen, NoEntropy, Page, Reader, Shell, Trouble,
};

pub const PHRASE: &str = "four dull brass valves";

pub struct Ship;

impl Shell for Ship {
    fn heading(&self, now: Timestamp) -> Heading {
        Heading {
            ship: "Marram".into(),
            doing: "At sea, day 8".into(),
            voyage: "Newcastle to <Yokohama>".into(),
            ships_time: "Sun 16 Nov 14:20".into(),
            utc: now.strftime("%H:%M").to_string(),
            watch: "12 to 16".into(),
            fault: None,
            altered: None,
            clock_behind_s: None,
            unconfirmed: 0,
        }
    }
}

/// Stands still until it is set on.
#[derive(Default)]
pub struct Still(AtomicU64);

impl Still {
    pub fn pass(&self, time: Duration) {
        self.0.fetch_add(time.as_millis() as u64, Ordering::Relaxed);
    }
}

impl Clock for Still {
    fn now(&self) -> Timestamp {
        let start: Timestamp = "2026-11-16T04:20:00Z".parse().unwrap();
        start + self.steady()
    }
    fn steady(&self) -> Duration {
        Duration::from_millis(self.0.load(Ordering::Relaxed))
    }
}

/// Different at every draw, the same in every run.
#[derive(Default)]
pub struct Counted(AtomicU64);

impl Entropy for Counted {
    fn fill(&self, bytes: &mut [u8]) -> Result<(), NoEntropy> {
        let n = self.0.fetch_add(1, Ordering::Relaxed).to_be_bytes();
        for (byte, n) in bytes.iter_mut().zip(n.iter().cycle()) {
            *byte = *n;
        }
        Ok(())
    }
}

/// The program as tested: its router, its clock, and how many forms it has taken.
pub struct Bench {
    pub router: Router,
    pub clock: Arc<Still>,
    pub taken: Arc<Mutex<Vec<String>>>,
}

/// On this computer only, without a pass-phrase.
pub fn open() -> Bench {
    bench(&Listen::here(0), 0)
}

/// On the ship's network, with one.
pub fn locked() -> Bench {
    let names = vec!["marram.local".to_owned()];
    let address = "0.0.0.0:0".parse().unwrap();
    let entropy = Counted::default();
    bench(&Listen::at(address, names, Some(PHRASE), &entropy).unwrap(), 0)
}

thread_local! {
    // A test has a thread of its own, and what is kept for a thread is dropped with it: the folder
    // goes when the test is over. What is static is never dropped, and left one folder a test.
    static BLANK: (Arc<Desk>, tempfile::TempDir) = {
        let folder = tempfile::tempdir().unwrap();
        let desk = Desk::open(folder.path(), "2026-11-16T04:20:00Z".parse().unwrap()).unwrap();
        (Arc::new(desk), folder)
    };
}

/// A desk with a blank ship and an empty record, shared by what asks nothing of it in one test.
pub fn blank() -> Arc<Desk> {
    BLANK.with(|made| made.0.clone())
}

/// `start` makes the secrets of one start of the program differ from another's.
pub fn bench(listen: &Listen, start: u64) -> Bench {
    let clock = Arc::new(Still::default());
    let entropy = Arc::new(Counted(AtomicU64::new(start << 32)));
    let app = App::with_shell(blank(), Arc::new(Ship), clock.clone(), entropy, listen).unwrap();
    let taken = Arc::default();
    Bench { router: web::router_of(app, pages(&taken)), clock, taken }
}

fn pages(taken: &Arc<Mutex<Vec<String>>>) -> Router<App> {
    let (kept, slow) = (taken.clone(), taken.clone());
    let take = move |mut form: FormState| async move {
        if form.typed("temp").parse::<f64>().is_err() {
            form.refuse("temp", "not a number");
            return Err((StatusCode::UNPROCESSABLE_ENTITY, "refused"));
        }
        kept.lock().unwrap().push(form.typed("temp").to_owned());
        Ok(Redirect::to("/readings?taken"))
    };
    let late = move |form: FormState| async move {
        tokio::time::sleep(Duration::from_secs(2)).await;
        slow.lock().unwrap().push(form.typed("temp").to_owned());
        Redirect::to("/readings?late")
    };
    let upload = |mut files: axum::extract::Multipart| async move {
        let mut total = 0;
        while let Some(field) = files.next_field().await? {
            total += field.bytes().await?.len();
        }
        Ok::<_, Trouble>(format!("{total} bytes"))
    };
    Router::new()
        .route("/", get(async |reader: Reader| reader.page(Page::Now, html! {})))
        .route("/readings", get(readings).post(take))
        .route("/late", post(late))
        .route("/import", post(upload))
        .route("/panic", get(async || -> Markup { panic!("a fault on purpose") }))
        .route("/panic-later", post(async |_: FormState| -> Markup { panic!("on purpose") }))
        .route("/busy", get(async || Trouble::Busy))
        .route("/json", post(async |body: String| body))
}

async fn readings(reader: Reader) -> Markup {
    let body = reader.form("/readings", "readings-1", html! { input name="temp"; });
    reader.page(Page::Readings, body)
}

/// An answer, read whole.
pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub text: String,
}

impl Answer {
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }
    pub fn location(&self) -> &str {
        self.header(LOCATION.as_str())
    }
    /// The value of the hidden field `name`.
    pub fn hidden(&self, name: &str) -> String {
        between(&self.text, &format!("name=\"{name}\" value=\""), "\"")
    }
}

pub fn between(text: &str, before: &str, after: &str) -> String {
    let rest = text.split_once(before).unwrap_or_else(|| panic!("no {before} in {text}")).1;
    rest.split_once(after).unwrap().0.to_owned()
}

/// A browser on a device at `peer`, with a cookie jar.
pub struct Browser {
    pub router: Router,
    pub host: String,
    pub peer: SocketAddr,
    pub jar: BTreeMap<String, String>,
}

impl Browser {
    pub fn of(bench: &Bench) -> Browser {
        let peer = "127.0.0.1:50000".parse().unwrap();
        let router = bench.router.clone();
        Browser { router, host: "127.0.0.1:8080".into(), peer, jar: BTreeMap::new() }
    }

    pub fn at(bench: &Bench, peer: &str) -> Browser {
        let peer = SocketAddr::new(peer.parse().unwrap(), 50000);
        Browser { peer, host: "marram.local:8080".into(), ..Browser::of(bench) }
    }

    /// Sends `request` with the jar's cookies; a `host` header already there stays.
    pub async fn send(&mut self, mut request: Request<Body>) -> Answer {
        let here = "192.168.7.2:8080".parse().unwrap();
        request.extensions_mut().insert(Arrived { here, peer: self.peer });
        request.headers_mut().entry(HOST).or_insert(self.host.parse().unwrap());
        let cookies: Vec<_> = self.jar.iter().map(|(k, v)| format!("{k}={v}")).collect();
        if !cookies.is_empty() {
            request.headers_mut().insert(COOKIE, cookies.join("; ").parse().unwrap());
        }
        let response = self.router.clone().oneshot(request).await.unwrap();
        let (parts, body) = response.into_parts();
        for set in parts.headers.get_all(SET_COOKIE) {
            let pair = set.to_str().unwrap().split(';').next().unwrap();
            let (name, value) = pair.split_once('=').unwrap();
            self.jar.insert(name.into(), value.into());
        }
        let bytes = to_bytes(body, usize::MAX).await.unwrap();
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        Answer { status: parts.status, headers: parts.headers, text }
    }

    pub async fn get(&mut self, path: &str) -> Answer {
        self.send(Request::get(path).body(Body::empty()).unwrap()).await
    }

    /// Posts `fields` as a browser's own form does.
    pub async fn post(&mut self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let origin = format!("http://{}", self.host);
        self.send(form(path, fields, &[("origin", &origin)])).await
    }

    /// The token and the mark of the readings form.
    pub async fn marks(&mut self) -> (String, String) {
        let page = self.get("/readings").await;
        assert_eq!(page.status, StatusCode::OK, "{}", page.text);
        (page.hidden("_token"), page.hidden("_once"))
    }
}

/// A posted form with headers of its own.
pub fn form(path: &str, fields: &[(&str, &str)], headers: &[(&str, &str)]) -> Request<Body> {
    let encode = |text: &str| {
        text.bytes().fold(String::new(), |out, b| {
            if b.is_ascii_alphanumeric() {
                out + &char::from(b).to_string()
            } else {
                format!("{out}%{b:02X}")
            }
        })
    };
    let pairs: Vec<_> =
        fields.iter().map(|(k, v)| format!("{}={}", k.replace(' ', "+"), encode(v))).collect();
    let mut request = Request::post(path).header(CONTENT_TYPE, "application/x-www-form-urlencoded");
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    request.body(Body::from(pairs.join("&"))).unwrap()
}
