//! The `chromedriver` process: started on a free port of its own choosing, ended on drop.

use std::env;
use std::process::{Child, Command};
use std::time::Duration;

use crate::error::BrowseError;
use crate::served::{end, start_until};

/// Times the driver is started before a taken port is an error.
const TRIES: usize = 8;

/// A running driver.
#[derive(Debug)]
pub(crate) struct Driver {
    child: Child,
    port: u16,
}

impl Driver {
    /// Starts the driver named by `CHROMEDRIVER`, or the one on the path.
    ///
    /// It takes a port that is free by IPv6, then the same by IPv4; where another program holds that one it gives up
    /// at once. Then it is started again.
    pub(crate) fn start() -> Result<Driver, BrowseError> {
        let program = env::var_os("CHROMEDRIVER").unwrap_or_else(|| "chromedriver".into());
        let mut tries = TRIES;
        loop {
            tries -= 1;
            let mut command = Command::new(&program);
            command.arg("--port=0");
            match start_until(command, "port it listens on", Duration::from_secs(30), port_in) {
                Ok((child, port)) => return Ok(Driver { child, port }),
                Err(refused) if tries > 0 && port_was_taken(&refused) => {}
                Err(error) => return Err(error),
            }
        }
    }

    /// Where the driver listens.
    pub(crate) fn address(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        end(&mut self.child);
    }
}

fn port_was_taken(error: &BrowseError) -> bool {
    matches!(error, BrowseError::NotReady { said, .. } if said.contains("port not available"))
}

fn port_in(line: &str) -> Option<u16> {
    let rest = line.split_once("started successfully on port ")?.1;
    rest.trim_end_matches('.').trim().parse().ok()
}

#[cfg(test)]
mod tests {
    use super::{port_in, port_was_taken};
    use crate::error::BrowseError;
    use std::time::Duration;

    #[test]
    fn port_is_read_from_the_line_that_says_ready() {
        assert_eq!(port_in("ChromeDriver was started successfully on port 35417."), Some(35417));
        assert_eq!(port_in("Starting ChromeDriver 1.2 on port 0"), None);
    }

    #[test]
    fn only_a_taken_port_is_tried_again() {
        let said = |said: &str| BrowseError::NotReady {
            program: "chromedriver --port=0".to_owned(),
            wanted: "port it listens on",
            waited: Duration::from_millis(17),
            said: said.to_owned(),
        };
        let taken = "[SEVERE]: bind() failed: Address already in use (98)\nIPv4 port not available. Exiting...";
        assert!(port_was_taken(&said(taken)));
        assert!(!port_was_taken(&said("error while loading shared libraries")));
    }
}
