//! Serving a desk's pages: shared by `demo` and `open`.

use std::io::{IsTerminal, Write as _};
use std::net::SocketAddr;
use std::process::{Command, Stdio};
use std::sync::Arc;

use clap::{Arg, ArgAction, ArgMatches};
use desk::{Desk, DeskError};
use web::{App, Listen, ListenError};

use super::foresee::Foreseeing;
use crate::fail::{Code, Done, Fail};
use crate::machine::{MachineClock, MachineEntropy};
use crate::memory;

/// Port where none is asked for.
const PORT: u16 = 7420;

/// The options of a command that serves pages.
pub fn options() -> Vec<Arg> {
    vec![
        Arg::new("port")
            .long("port")
            .value_name("N")
            .value_parser(clap::value_parser!(u16))
            .help("Port on this computer; 0 takes a free one (default: 7420, or a free one when it is taken)"),
        Arg::new("listen")
            .long("listen")
            .value_name("ADDRESS:PORT")
            .value_parser(clap::value_parser!(SocketAddr))
            .conflicts_with("port")
            .requires("pass-phrase-file")
            .help("Let other computers in: an address of this computer, as 192.168.1.20:7420. Not encrypted; needs a pass-phrase"),
        Arg::new("pass-phrase-file")
            .long("pass-phrase-file")
            .value_name("FILE")
            .value_parser(clap::value_parser!(std::path::PathBuf))
            .help("File whose first line is the pass-phrase: 12 characters or four words at least"),
        Arg::new("name")
            .long("name")
            .value_name("HOST")
            .action(ArgAction::Append)
            .help("Host name this computer answers to on the ship's network"),
        Arg::new("no-open").long("no-open").action(ArgAction::SetTrue).help("Do not open the browser"),
        Arg::new("clock")
            .long("clock")
            .value_name("RFC 3339")
            .value_parser(clap::value_parser!(jiff::Timestamp))
            .hide(true)
            .help("Let the clock stand at this moment, for pictures and tests"),
    ]
}

/// The clock the options ask for.
pub fn clock(matches: &ArgMatches) -> MachineClock {
    MachineClock::new(matches.try_get_one::<jiff::Timestamp>("clock").ok().flatten().copied())
}

/// Serves the desk that `open` gives until the process is told to end. The address is taken first: what cannot be served
/// makes no folder.
pub fn serve(
    matches: &ArgMatches,
    clock: MachineClock,
    open: impl FnOnce() -> Result<Desk, DeskError>,
) -> Done {
    memory::share_heaps();
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(Fail::machine)?;
    runtime.block_on(async {
        let (listen, bound) = bound(matches).await?;
        let desk = open().map_err(desk_fail)?;
        for warning in listen.warnings() {
            eprintln!("stillwatch: warning: {warning}");
        }
        let name = desk.setup().ship.name.clone();
        let folder = desk.folder().display().to_string();
        let desk = Arc::new(desk);
        let kept = desk.clone();
        let app = App::new(desk.clone(), Arc::new(clock), Arc::new(MachineEntropy), &listen)
            .map_err(|e| Fail::machine(&e))?;
        let _foreseeing = Foreseeing::start(desk, clock)?;
        let url = bound.url();
        println!("{name} is open at {url}");
        println!("kept in {folder}");
        println!("end with Ctrl-C");
        // A pipe may be gone: the pages are served all the same.
        let _ = std::io::stdout().flush();
        if !matches.get_flag("no-open") && std::io::stdout().is_terminal() {
            open_browser(&url);
        }
        bound.serve(web::router(app), ended()).await;
        kept.settle();
        Ok(())
    })
}

async fn bound(matches: &ArgMatches) -> Result<(Listen, web::Bound), Fail> {
    if let Some(address) = matches.get_one::<SocketAddr>("listen") {
        let names =
            matches.get_many::<String>("name").map(|n| n.cloned().collect()).unwrap_or_default();
        let phrase = match matches.get_one::<std::path::PathBuf>("pass-phrase-file") {
            Some(path) => {
                let text = std::fs::read_to_string(path).map_err(|e| {
                    Fail::usage(format!("{}: {e}", path.display()))
                        .hint("name a file that can be read")
                })?;
                Some(text.lines().next().unwrap_or_default().trim_end().to_owned())
            }
            None => None,
        };
        let listen =
            Listen::at(*address, names, phrase.as_deref(), &MachineEntropy).map_err(listen_fail)?;
        let bound = web::bind(&listen).await.map_err(listen_fail)?;
        return Ok((listen, bound));
    }
    match matches.get_one::<u16>("port") {
        Some(port) => {
            let listen = Listen::here(*port);
            let bound = web::bind(&listen).await.map_err(listen_fail)?;
            Ok((listen, bound))
        }
        None => {
            let listen = Listen::here(PORT);
            match web::bind(&listen).await {
                Ok(bound) => Ok((listen, bound)),
                Err(_) => {
                    let listen = Listen::here(0);
                    let bound = web::bind(&listen).await.map_err(listen_fail)?;
                    Ok((listen, bound))
                }
            }
        }
    }
}

fn listen_fail(e: ListenError) -> Fail {
    match e {
        ListenError::NoPhrase { .. } | ListenError::Phrase(_) => Fail::usage(&e),
        _ => Fail::machine(&e),
    }
}

/// Ctrl-C, or the system's word to end.
async fn ended() {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut terminate) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = tokio::signal::ctrl_c() => {}
                _ = terminate.recv() => {}
            }
            return;
        }
    }
    let _ = tokio::signal::ctrl_c().await;
}

/// Opens the browser where the system has a way to; the address is printed in any case.
fn open_browser(url: &str) {
    let (program, first): (&str, &[&str]) = if cfg!(windows) {
        ("cmd", &["/C", "start", ""])
    } else if cfg!(target_os = "macos") {
        ("open", &[])
    } else {
        ("xdg-open", &[])
    };
    let _ = Command::new(program)
        .args(first)
        .arg(url)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
}

/// Who must act on a record's refusal: the computer is in the way, the words are wrong, or the record is not what it was.
pub fn record_code(e: &logbook::Error) -> Code {
    use logbook::Error;
    match e {
        Error::DiskFull { .. }
        | Error::ReadOnly { .. }
        | Error::Locked { .. }
        | Error::Io { .. }
        | Error::Store { .. } => Code::Machine,
        Error::Foreign { .. }
        | Error::Truncated { .. }
        | Error::Damaged { .. }
        | Error::Broken { .. }
        | Error::AfterBreak { .. }
        | Error::Newer { .. } => Code::Record,
        _ => Code::Usage,
    }
}

/// A desk's refusal as a command's.
pub fn desk_fail(e: DeskError) -> Fail {
    let code = match &e {
        DeskError::Record(record) => record_code(record),
        DeskError::Ship(_)
        | DeskError::Import { .. }
        | DeskError::Asked(_)
        | DeskError::Doubtful(_) => Code::Usage,
        DeskError::File { .. } => Code::Machine,
    };
    let fail = Fail::new(code, &e);
    match e.hint() {
        Some(hint) => fail.hint(hint),
        None => fail,
    }
}
