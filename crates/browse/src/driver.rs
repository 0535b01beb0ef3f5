//! The `chromedriver` process: started on a free port of its own choosing, ended on drop.

use std::env;
use std::process::{Child, Command};
use std::time::Duration;

use crate::error::BrowseError;
use crate::served::{end, start_until};

/// A running driver.
#[derive(Debug)]
pub(crate) struct Driver {
    child: Child,
    port: u16,
}

impl Driver {
    /// Starts the driver named by `CHROMEDRIVER`, or the one on the path.
    pub(crate) fn start() -> Result<Driver, BrowseError> {
        let program = env::var_os("CHROMEDRIVER").unwrap_or_else(|| "chromedriver".into());
        let mut command = Command::new(program);
        command.arg("--port=0");
        let (child, port) =
            start_until(command, "port it listens on", Duration::from_secs(30), port_in)?;
        Ok(Driver { child, port })
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

fn port_in(line: &str) -> Option<u16> {
    let rest = line.split_once("started successfully on port ")?.1;
    rest.trim_end_matches('.').trim().parse().ok()
}

#[cfg(test)]
mod tests {
    use super::port_in;

    #[test]
    fn port_is_read_from_the_line_that_says_ready() {
        assert_eq!(port_in("ChromeDriver was started successfully on port 35417."), Some(35417));
        assert_eq!(port_in("Starting ChromeDriver 1.2 on port 0"), None);
    }
}
