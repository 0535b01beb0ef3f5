//! Lines in, answers out: worked out side by side, told in order, and at once whenever the input pauses.

use std::io::{self, IsTerminal as _, Read, Write};
use std::path::Path;
use std::sync::mpsc::{Receiver, sync_channel};
use std::sync::{Mutex, PoisonError};

use desk::lines::{LONGEST_LINE, Outcome, refuse_long};
use rayon::prelude::*;

use super::output::settled;
use crate::fail::{Code, Done, Fail};

/// Bytes asked for at once.
const READ: usize = 128 * 1024;
/// Bytes worked on at once.
const BATCH: usize = 1024 * 1024;
/// Reads that may wait for their turn.
const WAITING: usize = 8;
/// Lines a worker takes at once.
const SHARE: usize = 32;

/// One line of a batch.
enum Line {
    /// From one byte of the batch to another, without its line break.
    Kept(usize, usize),
    /// Too long to keep; its length in bytes.
    Long(usize),
}

/// Cuts what comes in into lines without ever keeping more than a line may have.
#[derive(Default)]
struct Cutter {
    /// The batch, its last line perhaps not ended.
    bytes: Vec<u8>,
    lines: Vec<Line>,
    /// Where the line that is not ended begins.
    open: usize,
    /// Length so far of a line too long to keep.
    long: Option<usize>,
}

impl Cutter {
    fn take(&mut self, mut chunk: &[u8]) {
        while let Some(end) = chunk.iter().position(|b| *b == b'\n') {
            self.add(&chunk[..end]);
            self.end();
            chunk = &chunk[end + 1..];
        }
        self.add(chunk);
    }

    fn add(&mut self, piece: &[u8]) {
        if let Some(long) = &mut self.long {
            *long += piece.len();
        } else if self.bytes.len() - self.open + piece.len() > LONGEST_LINE {
            self.long = Some(self.bytes.len() - self.open + piece.len());
            self.bytes.truncate(self.open);
        } else {
            self.bytes.extend_from_slice(piece);
        }
    }

    fn end(&mut self) {
        self.lines.push(match self.long.take() {
            Some(length) => Line::Long(length),
            None => Line::Kept(self.open, self.bytes.len()),
        });
        self.open = self.bytes.len();
    }

    /// Ends the last line, if anything stands on it.
    fn close(&mut self) {
        if self.long.is_some() || self.bytes.len() > self.open {
            self.end();
        }
    }

    /// Forgets the lines that have been answered and keeps the one that is not ended.
    fn forget(&mut self) {
        self.bytes.drain(..self.open);
        self.open = 0;
        self.lines.clear();
    }
}

/// Answers every line of a file, or of standard input for `-` and none. A keyboard is listened to only when it is asked
/// for by `-`: who gives no figures at all wants to be told how.
///
/// `worker` makes what one thread needs; `answer` appends the answer to one line.
pub fn answers<W: Send>(
    file: Option<&Path>,
    worker: impl Fn() -> W,
    answer: impl Fn(&mut W, &[u8], usize, &mut Vec<u8>) -> Outcome + Sync,
) -> Done {
    if file.is_none() && io::stdin().is_terminal() {
        return Err(Fail::usage("no figures, and no file of JSON lines to answer").hint(
            "give figures as flags (see --help), name a file, or - for lines from the keyboard",
        ));
    }
    let input: Box<dyn Read + Send> = match file {
        Some(path) if path != Path::new("-") => {
            Box::new(std::fs::File::open(path).map_err(|e| {
                Fail::usage(format!("{}: {e}", path.display())).hint("name a file that can be read")
            })?)
        }
        _ => Box::new(io::stdin()),
    };
    let chunks = reader(input);
    let workers: Vec<Mutex<W>> =
        (0..rayon::current_num_threads().max(1)).map(|_| Mutex::new(worker())).collect();
    let mut cutter = Cutter::default();
    let (mut before, mut refused) = (0, 0);
    let mut out = io::stdout().lock();
    let mut ended = false;
    while !ended {
        ended = !fill(&chunks, &mut cutter)?;
        let Cutter { bytes, lines, .. } = &cutter;
        let shares: Vec<(Vec<u8>, usize)> = lines
            .par_chunks(SHARE)
            .enumerate()
            .map(|(i, share)| {
                let thread = rayon::current_thread_index().unwrap_or(0) % workers.len();
                let mut worker = workers[thread].lock().unwrap_or_else(PoisonError::into_inner);
                let mut text = Vec::with_capacity(1024 * share.len());
                let mut refused = 0;
                for (j, line) in share.iter().enumerate() {
                    let number = before + i * SHARE + j + 1;
                    let outcome = match line {
                        Line::Kept(from, to) => {
                            answer(&mut worker, &bytes[*from..*to], number, &mut text)
                        }
                        Line::Long(length) => refuse_long(*length, number, &mut text),
                    };
                    refused += usize::from(outcome == Outcome::Refused);
                }
                (text, refused)
            })
            .collect();
        before += lines.len();
        for (text, wrong) in &shares {
            refused += wrong;
            if !settled(out.write_all(text))? {
                return Ok(());
            }
        }
        if !settled(out.flush())? {
            return Ok(());
        }
        cutter.forget();
    }
    if refused > 0 {
        let message = format!("{refused} of {before} lines have no result; each answer says why");
        return Err(Fail::new(Code::Partly, message));
    }
    Ok(())
}

/// Reads on in a thread of its own, so that what has come can be answered while more is waited for.
fn reader(mut input: Box<dyn Read + Send>) -> Receiver<io::Result<Vec<u8>>> {
    let (send, receive) = sync_channel(WAITING);
    std::thread::spawn(move || {
        loop {
            let mut chunk = vec![0; READ];
            let read = match input.read(&mut chunk) {
                Ok(0) => return,
                Ok(length) => {
                    chunk.truncate(length);
                    Ok(chunk)
                }
                Err(e) if e.kind() == io::ErrorKind::Interrupted => continue,
                Err(e) => Err(e),
            };
            let last = read.is_err();
            if send.send(read).is_err() || last {
                return;
            }
        }
    });
    receive
}

/// Waits for lines, and takes what else has come up to a batch; false when that was all.
fn fill(chunks: &Receiver<io::Result<Vec<u8>>>, cutter: &mut Cutter) -> Result<bool, Fail> {
    let Ok(first) = chunks.recv() else {
        cutter.close();
        return Ok(false);
    };
    cutter.take(&first?);
    while cutter.bytes.len() < BATCH {
        match chunks.try_recv() {
            Ok(chunk) => cutter.take(&chunk?),
            Err(_) => break,
        }
    }
    Ok(true)
}
