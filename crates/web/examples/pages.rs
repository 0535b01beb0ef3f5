//! The pages over the demonstration ship, for looking at them: `cargo run --release -p web --example pages -- PORT`.

use std::net::Ipv4Addr;
use std::sync::Arc;
use std::time::{Duration, Instant};

use web::{App, Clock, Entropy, Listen, NoEntropy};

struct Machine(Instant);

impl Clock for Machine {
    #[allow(clippy::disallowed_methods, reason = "a binary may ask the machine for the time")]
    fn now(&self) -> jiff::Timestamp {
        jiff::Timestamp::now()
    }

    fn steady(&self) -> Duration {
        self.0.elapsed()
    }
}

impl Entropy for Machine {
    fn fill(&self, bytes: &mut [u8]) -> Result<(), NoEntropy> {
        getrandom::fill(bytes).map_err(|error| NoEntropy { cause: error.to_string() })
    }
}

#[tokio::main]
async fn main() -> Result<(), Box<dyn std::error::Error>> {
    let port = std::env::args().nth(1).map_or(Ok(0), |port| port.parse())?;
    let machine = Arc::new(Machine(Instant::now()));
    let folder = tempfile::tempdir()?;
    let desk = desk::demo::open(folder.path(), machine.now(), 1)?;
    let listen = Listen::at((Ipv4Addr::LOCALHOST, port).into(), Vec::new(), None, &*machine)?;
    let app = App::new(Arc::new(desk), machine.clone(), machine, &listen)?;
    let bound = web::bind(&listen).await?;
    println!("{}", bound.url());
    bound.serve(web::router(app), std::future::pending()).await;
    Ok(())
}
