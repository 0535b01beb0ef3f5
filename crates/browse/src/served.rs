//! A program that prints what to call it by, then serves until it is dropped.

use std::io::{BufRead, BufReader, Read};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::{Duration, Instant};

use crate::error::BrowseError;

/// Seed of the demonstration ship in tests and pictures.
pub const SEED: &str = "1789";

/// The moment at which the demonstration stands still in tests and pictures (RFC 3339).
pub const CLOCK: &str = "2025-11-16T04:20:00Z";

const LAST_WORDS: usize = 20;

/// The demonstration as tests and pictures start it: a free port, no window, fixed seed and clock.
pub fn demo(program: &Path) -> Command {
    let mut command = Command::new(program);
    command.args(["demo", "--port", "0", "--no-open", "--seed", SEED, "--clock", CLOCK]);
    command
}

/// A program that serves pages. It is ended when this is dropped.
#[derive(Debug)]
pub struct Served {
    address: String,
    child: Child,
}

impl Served {
    /// Starts `command` and waits up to a minute for the line that carries its `http://` address.
    ///
    /// # Errors
    /// [`BrowseError::NotStarted`] or [`BrowseError::NotReady`] with the program's last words.
    pub fn start(command: Command) -> Result<Served, BrowseError> {
        let (child, address) =
            start_until(command, "http:// address", Duration::from_secs(60), address_in)?;
        Ok(Served { address, child })
    }

    /// The address printed, such as `http://127.0.0.1:41234/`.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// The full address of a path that starts with `/`.
    pub fn at(&self, path: &str) -> String {
        format!("{}{path}", self.address.trim_end_matches('/'))
    }

    /// The process id, for tests that end the program the hard way.
    pub fn id(&self) -> u32 {
        self.child.id()
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        end(&mut self.child);
    }
}

/// Kills a child and waits for it; one that has already ended is no error.
pub(crate) fn end(child: &mut Child) {
    let _ = child.kill();
    let _ = child.wait();
}

/// Runs a command until `wanted` finds something in a line it prints; later lines are read and dropped.
pub(crate) fn start_until<T>(
    mut command: Command,
    wanted: &'static str,
    limit: Duration,
    find: impl Fn(&str) -> Option<T>,
) -> Result<(Child, T), BrowseError> {
    let program = format!("{command:?}").replace('"', "");
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|cause| BrowseError::NotStarted { program: program.clone(), cause })?;
    let lines = lines_of(&mut child);
    let started = Instant::now();
    let mut said: Vec<String> = Vec::new();
    loop {
        match lines.recv_timeout(limit.saturating_sub(started.elapsed())) {
            Ok(line) => {
                if let Some(found) = find(&line) {
                    return Ok((child, found));
                }
                said.push(line);
            }
            Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => {
                end(&mut child);
                let first = said.len().saturating_sub(LAST_WORDS);
                let said = said[first..].join("\n");
                return Err(BrowseError::NotReady {
                    program,
                    wanted,
                    waited: started.elapsed(),
                    said,
                });
            }
        }
    }
}

/// Both streams of a child, line by line; the threads end with the child.
fn lines_of(child: &mut Child) -> Receiver<String> {
    let (sender, receiver) = channel();
    if let Some(stream) = child.stdout.take() {
        pass_on(stream, sender.clone());
    }
    if let Some(stream) = child.stderr.take() {
        pass_on(stream, sender);
    }
    receiver
}

fn pass_on(stream: impl Read + Send + 'static, sender: Sender<String>) {
    thread::spawn(move || {
        for line in BufReader::new(stream).lines().map_while(Result::ok) {
            // Nobody listens once the program is ready; reading on keeps its pipe from filling.
            let _ = sender.send(line);
        }
    });
}

fn address_in(line: &str) -> Option<String> {
    let start = line.find("http://")?;
    let rest = &line[start..];
    let end = rest.find(|c: char| c.is_whitespace() || matches!(c, '"' | '\'' | '\u{1b}'));
    Some(rest[..end.unwrap_or(rest.len())].trim_end_matches(['.', ',']).to_owned())
}

#[cfg(test)]
mod tests {
    use super::address_in;

    #[test]
    fn address_is_taken_out_of_a_sentence() {
        assert_eq!(
            address_in("Open http://127.0.0.1:4123/ in a browser.").as_deref(),
            Some("http://127.0.0.1:4123/")
        );
        assert_eq!(address_in("serving at http://[::1]:80.").as_deref(), Some("http://[::1]:80"));
        assert_eq!(address_in("no address here"), None);
    }
}
