//! The program itself on the command line: answers, order, mistakes, exit codes.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

mod explain;
mod map;
mod plan_route;
mod practise;
mod rate;
mod water;

use std::io::Write;
use std::process::{Command, Output, Stdio};

/// The program with these words, its three pipes held.
fn program(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stillwatch"));
    command.args(args).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

fn run(args: &[&str], input: &[u8]) -> Output {
    let mut child = program(args).spawn().unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    let writer = std::thread::spawn(move || stdin.write_all(&input));
    let output = child.wait_with_output().unwrap();
    // A program that has said no reads no further.
    let _ = writer.join().unwrap();
    output
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn lines(output: &Output) -> Vec<serde_json::Value> {
    text(&output.stdout).lines().map(|l| serde_json::from_str(l).unwrap()).collect()
}

#[test]
fn ident_mistakes_in_the_words_have_their_exit_code_and_a_remedy() {
    for (args, names) in [
        (&["rate", "--jacket-in", "warm"][..], "jacket-in"),
        (&["rate", "--jaket-in", "82"], "--jacket-in"),
        // A pressure's unit behind a temperature.
        (&["rate", "--jacket-in", "82 bar"], "jacket-in"),
        (&["rate", "--sea-temp", "900"], "sea-temp"),
        (&["rate", "--sheet", "no-such-file.toml"], "no-such-file.toml"),
        (&["rate", "no-such-file.jsonl"], "no-such-file.jsonl"),
        (&["map", "--x", "sea-temp=5:36"], "FROM:TO:STEP"),
        (&["map", "--x", "sea-temp=5:36:1", "--y", "sea-temp=5:36:1"], "the same condition"),
        (&["map", "--x", "sea-temp=-40:36:1"], "sea-temp=-40:36:1"),
        (&["map", "--of", "prodct"], "product"),
        (&["water"], "--temp"),
        (&["water", "--temp", "45 kPa"], "--temp"),
        (&["water", "--temp", "450"], "450"),
        (&["nothing"], "nothing"),
        (&["log", "seal", "no-such-folder"], "--by"),
        (&["log", "verify", "no-such-folder"], "no-such-folder"),
    ] {
        let output = run(args, b"");
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{args:?}: {said}");
        assert!(output.stdout.is_empty() && said.contains(names), "{args:?}: {said}");
    }
}

/// Nothing half-written: what stands is kept, and what cannot be written leaves nothing behind.
#[test]
fn ident_a_file_is_written_whole_or_not_at_all() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("map.csv");
    let map = |path: &std::path::Path, more: &[&str]| {
        let args = ["map", "--format", "csv", "--out", path.to_str().unwrap()];
        run(&[&args, more].concat(), b"")
    };
    assert_eq!(map(&path, &[]).status.code(), Some(0));
    let first = std::fs::read_to_string(&path).unwrap();
    let again = map(&path, &["--x", "sea-temp=10:20:5"]);
    assert_eq!(again.status.code(), Some(2));
    assert!(text(&again.stderr).contains("--force"), "{}", text(&again.stderr));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), first);
    assert_eq!(map(&path, &["--x", "sea-temp=10:20:5", "--force"]).status.code(), Some(0));
    assert!(std::fs::read_to_string(&path).unwrap() != first);
    let nowhere = map(&folder.path().join("none").join("map.csv"), &[]);
    assert_eq!(nowhere.status.code(), Some(4), "{}", text(&nowhere.stderr));
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "{left:?}");
}

#[test]
fn regr_the_accuracy_page_is_what_the_program_prints() {
    let output = run(&["accuracy", "--markdown"], b"");
    assert_eq!(output.status.code(), Some(0));
    let page = include_str!("../../../../docs/accuracy.md");
    assert_eq!(text(&output.stdout), page, "stillwatch accuracy --markdown > docs/accuracy.md");
}

#[test]
fn ident_what_cannot_be_served_makes_no_folder() {
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let here = tempfile::tempdir().unwrap();
    let ship = here.path().join("ship");
    let refused = run(&["open", ship.to_str().unwrap(), "--port", &port, "--no-open"], b"");
    assert_eq!(refused.status.code(), Some(4), "{}", text(&refused.stderr));
    assert!(text(&refused.stderr).contains(&port) && !ship.exists());
}
