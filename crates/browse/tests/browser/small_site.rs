//! Three small pages over a plain socket: one that works, one that follows it, one that is broken.

use std::io::{BufRead, BufReader, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::thread;

const ROUND: &str = r##"<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Round</title>
<link rel="icon" href="data:,">
<style>
  body { margin: 0; background: #fff; color: #111 }
  @media (prefers-color-scheme: dark) { body { background: #111; color: #ccc } }
  @media print { h1 { border-bottom: 3px solid } }
  .tall { height: 2000px }
</style></head><body>
<h1>This round</h1>
<form action="/kept"><label>Jacket in, °C
  <input name="jacket-in" value="81.0" required aria-describedby="range"></label>
  <p id="range">between 60 and 95</p>
  <button>Keep the ship's reading</button></form>
<svg role="img" aria-label="Output over two days" width="40" height="10"><path d="M0 0L40 10"/></svg>
<p id="live">script has not run</p>
<div class="tall"></div>
<script>document.getElementById('live').textContent = 'script ran'</script>
</body></html>"##;

const KEPT: &str = r#"<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Kept</title>
<link rel="icon" href="data:,"></head>
<body><h1>Kept</h1><ul><li>one</li><li>two</li><li>three</li></ul></body></html>"#;

const BROKEN: &str = r#"<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Broken</title>
<link rel="icon" href="data:,"><link rel="stylesheet" href="/missing.css"></head>
<body><script>throw new Error('no such pump')</script></body></html>"#;

/// The pages, served until the test's process ends.
pub struct SmallSite {
    address: SocketAddr,
}

impl SmallSite {
    pub fn start() -> SmallSite {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap();
        thread::spawn(move || {
            for stream in listener.incoming().map_while(Result::ok) {
                // One thread each: the browser opens connections ahead and sends nothing on them.
                thread::spawn(move || answer(stream));
            }
        });
        SmallSite { address }
    }

    pub fn at(&self, path: &str) -> String {
        format!("http://{}{path}", self.address)
    }
}

fn answer(mut stream: TcpStream) {
    let mut lines = BufReader::new(stream.try_clone().unwrap()).lines().map_while(Result::ok);
    let Some(request) = lines.next() else { return };
    for _ in lines.by_ref().take_while(|line| !line.is_empty()) {}
    let target = request.split(' ').nth(1).unwrap_or_default();
    let (status, page) = match target.split('?').next().unwrap_or_default() {
        "/" => ("200 OK", ROUND),
        "/kept" => ("200 OK", KEPT),
        "/broken" => ("200 OK", BROKEN),
        _ => ("404 Not Found", "not here"),
    };
    let head = format!(
        "HTTP/1.1 {status}\r\nContent-Type: text/html; charset=utf-8\r\nContent-Length: {}\r\n\
         Connection: close\r\n\r\n",
        page.len()
    );
    // A browser that has gone away is no fault of the page.
    let _ = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(page.as_bytes()));
}
