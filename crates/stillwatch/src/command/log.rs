//! `stillwatch log`: prove, seal, import, export and restore a record.

use std::io::{BufWriter, ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Command};
use desk::{Desk, DeskError};
use logbook::SealCheck;

use super::{log_import, serve};
use crate::fail::{Code, Done, Fail};

pub(super) fn folder() -> Arg {
    Arg::new("folder")
        .value_name("FOLDER")
        .required(true)
        .value_parser(clap::value_parser!(PathBuf))
        .help("The ship's folder, or the record's file in it")
}

/// The command's words.
pub fn command() -> Command {
    Command::new("log")
        .about("Prove the record, take files into it, write it out")
        .subcommand_required(true)
        .subcommand(
            Command::new("verify")
                .about("Walk the chain and name the first broken entry; compare with a seal from the bound book")
                .arg(folder())
                .arg(
                    Arg::new("seal")
                        .long("seal")
                        .num_args(2)
                        .value_names(["DAY", "CODE"])
                        .help("Date and code as written in the book: 2026-11-25 7381-FKRX-XVV7-7"),
                ),
        )
        .subcommand(
            Command::new("seal")
                .about("Seal everything up to now and print the code for the bound book")
                .arg(folder())
                .arg(Arg::new("by").long("by").value_name("INITIALS").required(true).help("Who seals")),
        )
        .subcommand(
            Command::new("confirm-clock")
                .about("Say by name that this computer's clock is right although it jumped; writing goes on")
                .arg(folder())
                .arg(Arg::new("by").long("by").value_name("INITIALS").required(true).help("Who has compared it with the bridge")),
        )
        .subcommand(
            Command::new("go-on")
                .about("Go on writing after a newest entry out of order, by name and with what was found; verify names that entry ever after")
                .arg(folder())
                .arg(Arg::new("by").long("by").value_name("INITIALS").required(true).help("Who goes on: the chief"))
                .arg(Arg::new("reason").long("reason").value_name("WORDS").required(true).help("What the comparison with the backup and the bound book showed")),
        )
        .subcommand(log_import::command())
        .subcommand(
            Command::new("restore")
                .about("Take a whole record back from exported entries (JSON lines) into a new folder, with the ship.toml beside them; every hash and link is proved")
                .arg(folder())
                .arg(
                    Arg::new("file")
                        .value_name("FILE")
                        .required(true)
                        .value_parser(clap::value_parser!(PathBuf))
                        .help("The exported entries, JSON lines; the ship.toml beside them comes too"),
                )
                .arg(
                    Arg::new("blank-ship")
                        .long("blank-ship")
                        .action(ArgAction::SetTrue)
                        .help("Where no ship.toml lies beside: start with one that is still to be filled in"),
                )
                .arg(Arg::new("by").long("by").value_name("INITIALS").required(true).help("Who takes it back")),
        )
        .subcommand(
            Command::new("export")
                .about("Write the record out")
                .arg(folder())
                .arg(
                    Arg::new("as")
                        .long("as")
                        .value_parser(["csv", "lines"])
                        .default_value("csv")
                        .help("csv: standing values, one a row; lines: every entry to the letter, JSON lines"),
                )
                .arg(Arg::new("out").long("out").value_name("FILE").value_parser(clap::value_parser!(PathBuf)).help("Instead of the terminal; an existing file is not overwritten")),
        )
}

pub(super) fn path<'m>(matches: &'m ArgMatches, name: &str) -> Result<&'m PathBuf, Fail> {
    matches.get_one::<PathBuf>(name).ok_or_else(|| Fail::usage(format!("{name} is missing")))
}

fn record(folder: &Path) -> PathBuf {
    if folder.is_dir() { folder.join(desk::RECORD_FILE) } else { folder.to_owned() }
}

/// Runs it.
pub fn run(matches: &ArgMatches) -> Done {
    match matches.subcommand() {
        Some(("verify", m)) => verify(m),
        Some(("seal", m)) => seal(m),
        Some(("confirm-clock", m)) => confirm(m),
        Some(("go-on", m)) => go_on(m),
        Some(("import", m)) => log_import::run(m),
        Some(("restore", m)) => restore(m),
        Some(("export", m)) => export(m),
        _ => Err(Fail::usage("say verify, seal, confirm-clock, go-on, import, restore or export")
            .hint("stillwatch log --help")),
    }
}

fn log_fail(e: &logbook::Error) -> Fail {
    Fail::new(serve::record_code(e), e)
}

fn verify(matches: &ArgMatches) -> Done {
    let file = record(path(matches, "folder")?);
    let reader = logbook::Reader::open(&file).map_err(|e| log_fail(&e))?;
    let started = std::time::Instant::now();
    let verdict = logbook::verify(&reader, |_, _| ()).map_err(|e| log_fail(&e))?;
    println!("{} entries in order, head {}", verdict.entries, verdict.head);
    eprintln!("({:.1} s)", started.elapsed().as_secs_f64());
    if let Some(broken) = &verdict.broken {
        println!("first out of order: {broken}");
        return Err(Fail::new(Code::Record, "the record is not whole")
            .hint("keep the file, take the last good copy from the backup and compare"));
    }
    let Some(mut seal) = matches.get_many::<String>("seal") else { return Ok(()) };
    let (Some(day), Some(code)) = (seal.next(), seal.next()) else { return Ok(()) };
    let date = quantity::read_day(day).map_err(Fail::usage)?;
    match reader.compare_seal(date, code).map_err(|e| log_fail(&e))? {
        SealCheck::Matches { sealed, since } => {
            println!(
                "proved to seal {} of {}, written by {}; {since} entries since",
                sealed.code, sealed.seal.day, sealed.by
            );
            Ok(())
        }
        SealCheck::Mistyped(why) => Err(Fail::usage(why)),
        SealCheck::NoSeal => Err(Fail::usage(format!("the record has no seal of {date}"))
            .hint("is it the ship's date of the bound book?")),
        SealCheck::Altered { record, broken } => {
            let how =
                broken.map_or_else(|| "the chain was made anew".to_owned(), |b| b.to_string());
            Err(Fail::new(
                Code::Record,
                format!(
                    "the record's seal of {date} is {record}, not {code}: altered since, or another day's code ({how})"
                ),
            ))
        }
    }
}

fn seal(matches: &ArgMatches) -> Done {
    let clock = serve::clock(matches);
    let desk = Desk::open(path(matches, "folder")?, clock.moment()).map_err(serve::desk_fail)?;
    let by = matches.get_one::<String>("by").map_or("", String::as_str);
    let (_, seal) = desk.seal(by, clock.moment()).map_err(serve::desk_fail)?;
    println!(
        "{} entries up to {}, day {}: write in the bound book",
        seal.count, seal.last, seal.day
    );
    println!("{}", seal.code());
    Ok(())
}

fn confirm(matches: &ArgMatches) -> Done {
    let clock = serve::clock(matches);
    let desk = Desk::open(path(matches, "folder")?, clock.moment()).map_err(serve::desk_fail)?;
    let by = matches.get_one::<String>("by").map_or("", String::as_str);
    let seq = desk.confirm_clock(by, clock.moment()).map_err(serve::desk_fail)?;
    println!("entry {seq}: the clock stands confirmed at {}", clock.moment());
    Ok(())
}

fn go_on(matches: &ArgMatches) -> Done {
    let clock = serve::clock(matches);
    let desk = Desk::open(path(matches, "folder")?, clock.moment()).map_err(serve::desk_fail)?;
    let broken = desk.broken();
    let word = |name: &str| matches.get_one::<String>(name).map_or("", String::as_str);
    let seq = desk.go_on(word("by"), word("reason"), clock.moment()).map_err(serve::desk_fail)?;
    if let Some(broken) = broken {
        println!("{broken}");
    }
    println!("entry {seq}: writing goes on after it");
    Ok(())
}

fn restore(matches: &ArgMatches) -> Done {
    let (folder, file) = (path(matches, "folder")?, path(matches, "file")?);
    let by = matches.get_one::<String>("by").map_or("", String::as_str);
    let now = serve::clock(matches).moment();
    let back = desk::restore::restore(folder, file, matches.get_flag("blank-ship"), by, now)
        .map_err(serve::desk_fail)?;
    println!("{} entries taken back and proved, head {}", back.record.entries, back.record.head);
    match back.ship_file {
        Some(ship) => println!("{} taken back with them", ship.display()),
        None => println!("no ship file taken: {} stands", folder.join(desk::SHIP_FILE).display()),
    }
    Ok(())
}

fn export(matches: &ArgMatches) -> Done {
    // Reading is enough: the pages may be open meanwhile.
    let source = record(path(matches, "folder")?);
    let reader = logbook::Reader::open(&source).map_err(|e| log_fail(&e))?;
    let write =
        |out: &mut dyn std::io::Write| match matches.get_one::<String>("as").map(String::as_str) {
            Some("lines") => desk::export::lines(&reader, out),
            _ => desk::export::csv(&reader, out),
        };
    match matches.get_one::<PathBuf>("out") {
        None => {
            let mut out = BufWriter::new(std::io::stdout().lock());
            let written = match write(&mut out) {
                // Whoever reads has seen enough.
                Err(DeskError::File { source, .. }) if source.kind() == ErrorKind::BrokenPipe => {
                    return Ok(());
                }
                other => other.map_err(serve::desk_fail)?,
            };
            out.flush()?;
            eprintln!("{written} written");
        }
        Some(file) => {
            if file.exists() {
                return Err(Fail::usage(format!(
                    "{} exists and is not overwritten",
                    file.display()
                ))
                .hint("name another file"));
            }
            let part = file.with_extension("part");
            let kept = |path: &std::path::Path, e: std::io::Error| {
                Fail::machine(format!("{}: {e}", path.display()))
                    .hint("name a folder that may be written to")
            };
            let created = std::fs::File::create(&part).map_err(|e| kept(&part, e))?;
            let mut out = BufWriter::new(created);
            let written = write(&mut out).map_err(serve::desk_fail)?;
            out.into_inner().map_err(|e| Fail::machine(e.error()))?.sync_all()?;
            std::fs::rename(&part, file).map_err(|e| kept(file, e))?;
            println!("{written} written to {}", file.display());
        }
    }
    Ok(())
}
