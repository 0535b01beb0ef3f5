//! On a real port: slow readers, many links, and the end. Time is tokio's own and runs on by itself
//! while everybody waits, so that a timeout of ten seconds takes none.

use std::time::Duration;

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;
use tokio::time::Instant;
use web::Listen;

use crate::help::{bench, between};

struct Port {
    address: std::net::SocketAddr,
    end: oneshot::Sender<()>,
    served: JoinHandle<()>,
}

async fn start() -> Port {
    let listen = Listen::here(0);
    let bound = web::bind(&listen).await.unwrap();
    let address = bound.address();
    assert_eq!(bound.url(), format!("http://{address}/"));
    let (end, ended) = oneshot::channel();
    let router = bench(&listen, 0).router;
    let served = tokio::spawn(bound.serve(router, async move {
        let _ = ended.await;
    }));
    Port { address, end, served }
}

/// Writes `text` and reads until the other side closes.
async fn ask(port: &Port, text: &str) -> String {
    let mut stream = TcpStream::connect(port.address).await.unwrap();
    stream.write_all(text.as_bytes()).await.unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).await.unwrap();
    answer
}

fn get(port: &Port) -> String {
    format!("GET / HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n", port.address)
}

#[tokio::test]
async fn ident_a_page_is_served_and_the_end_is_orderly() {
    let port = start().await;
    let page = ask(&port, &get(&port)).await;
    assert!(page.starts_with("HTTP/1.1 200 OK\r\n"), "{page}");
    assert!(page.contains("Now, Marram, Stillwatch"));
    let idle = TcpStream::connect(port.address).await.unwrap();
    port.end.send(()).unwrap();
    port.served.await.unwrap();
    assert!(TcpStream::connect(port.address).await.is_err(), "the port is given back");
    drop(idle);
}

/// RFC 9112, 3.2: a request of HTTP/1.1 without a host is answered with 400.
#[tokio::test]
async fn ref_the_host_is_checked_on_the_wire() {
    let port = start().await;
    let bare = ask(&port, "GET / HTTP/1.1\r\nConnection: close\r\n\r\n").await;
    assert!(bare.starts_with("HTTP/1.1 400 "), "{bare}");
    let wrong = "GET / HTTP/1.1\r\nHost: attacker.example\r\nConnection: close\r\n\r\n";
    assert!(ask(&port, wrong).await.starts_with("HTTP/1.1 421 "));
    let junk = ask(&port, "\x16\x03\x01\x02\x00 not http at all\r\n\r\n").await;
    assert!(junk.starts_with("HTTP/1.1 400 ") || junk.is_empty(), "{junk}");
}

#[tokio::test(start_paused = true)]
async fn ident_a_head_that_never_ends_is_closed_after_ten_seconds() {
    let port = start().await;
    for begun in ["", "GET / HT", "GET / HTTP/1.1\r\nHost: localhost\r\nX-Slow: "] {
        let start = Instant::now();
        let answer = ask(&port, begun).await;
        let waited = start.elapsed();
        assert!((10..=11).contains(&waited.as_secs()), "{begun:?} {waited:?} {answer}");
    }
}

/// A byte every few seconds does not keep a head going.
#[tokio::test(start_paused = true)]
async fn ident_a_dripping_head_is_closed_too() {
    let port = start().await;
    let mut stream = TcpStream::connect(port.address).await.unwrap();
    let start = Instant::now();
    stream.write_all(b"GET / HTTP/1.1\r\nX: ").await.unwrap();
    while start.elapsed() < Duration::from_secs(60) && stream.write_all(b"a").await.is_ok() {
        tokio::time::sleep(Duration::from_secs(3)).await;
    }
    assert!(start.elapsed() <= Duration::from_secs(21), "{:?}", start.elapsed());
}

#[tokio::test(start_paused = true)]
async fn ident_a_body_that_never_comes_is_answered_after_thirty_seconds() {
    let port = start().await;
    let start = Instant::now();
    let head = format!(
        "POST /readings HTTP/1.1\r\nHost: {}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 50\r\n\r\ntemp=8",
        port.address
    );
    let answer = ask(&port, &head).await;
    assert!(answer.starts_with("HTTP/1.1 408 "), "{answer}");
    let waited = start.elapsed().as_secs();
    assert!((30..=41).contains(&waited), "{waited}");
}

#[tokio::test]
async fn ident_a_head_too_large_is_refused() {
    let port = start().await;
    let head = format!("GET / HTTP/1.1\r\nHost: localhost\r\nX: {}\r\n\r\n", "a".repeat(400_000));
    let mut stream = TcpStream::connect(port.address).await.unwrap();
    let _ = stream.write_all(head.as_bytes()).await;
    let mut answer = Vec::new();
    // The refusal may be cut off by the reset that follows unread bytes; a page must not come.
    let _ = stream.read_to_end(&mut answer).await;
    let answer = String::from_utf8(answer).unwrap();
    assert!(answer.is_empty() || answer.starts_with("HTTP/1.1 431 "), "{answer}");
    assert!(ask(&port, &get(&port)).await.contains("200 OK"));
}

#[tokio::test]
async fn ident_the_257th_link_is_turned_away_and_a_freed_place_serves() {
    let port = start().await;
    let mut held = Vec::new();
    for _ in 0..256 {
        held.push(TcpStream::connect(port.address).await.unwrap());
    }
    let mut last = TcpStream::connect(port.address).await.unwrap();
    let mut answer = String::new();
    last.read_to_string(&mut answer).await.unwrap();
    assert!(answer.starts_with("HTTP/1.1 503 "), "{answer}");
    let body = answer.split_once("\r\n\r\n").unwrap().1;
    assert_eq!(between(&answer, "Content-Length: ", "\r\n"), body.len().to_string());
    drop(held);
    for _ in 0..200 {
        let mut stream = TcpStream::connect(port.address).await.unwrap();
        let _ = stream.write_all(get(&port).as_bytes()).await;
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer).await;
        if answer.starts_with(b"HTTP/1.1 200 ") {
            return;
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    panic!("no place came free");
}

#[tokio::test]
async fn ident_a_taken_port_is_told_with_its_remedy() {
    let port = start().await;
    let entropy = crate::help::Counted::default();
    let second = Listen::at(port.address, Vec::new(), None, &entropy).unwrap();
    let words = web::bind(&second).await.unwrap_err().to_string();
    assert!(words.contains("running already") && words.contains("another port"), "{words}");
}
