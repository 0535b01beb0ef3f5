//! Where to listen, under which names, and the pass-phrase that any address but this computer's needs.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};

use crate::access::{Phrase, PhraseError};
use crate::app::{Entropy, NoEntropy};

/// Where the program listens. There is no way to make one for a network address without a pass-phrase.
#[derive(Debug, Clone)]
pub struct Listen {
    address: SocketAddr,
    names: Vec<String>,
    phrase: Option<Phrase>,
}

/// Why the program does not listen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ListenError {
    /// The address can be reached from other computers and no pass-phrase was given.
    NoPhrase {
        /// The address asked for.
        address: SocketAddr,
    },
    /// The pass-phrase was refused.
    Phrase(PhraseError),
    /// The computer gave no random bytes.
    Entropy(NoEntropy),
    /// The address cannot be had.
    Taken {
        /// The address asked for.
        address: SocketAddr,
        /// What the system said.
        cause: String,
    },
}

impl std::fmt::Display for ListenError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            ListenError::NoPhrase { address } => write!(
                f,
                "refusing to listen on {address}: other computers can reach it, so a pass-phrase of at least 12 characters or four words is needed; give one, or listen on 127.0.0.1"
            ),
            ListenError::Phrase(cause) => cause.fmt(f),
            ListenError::Entropy(cause) => cause.fmt(f),
            ListenError::Taken { address, cause } => write!(
                f,
                "cannot listen on {address} ({cause}): is Stillwatch running already, or another program on port {}? Give another port",
                address.port()
            ),
        }
    }
}

impl std::error::Error for ListenError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            ListenError::Phrase(cause) => Some(cause),
            ListenError::Entropy(cause) => Some(cause),
            ListenError::NoPhrase { .. } | ListenError::Taken { .. } => None,
        }
    }
}

impl Listen {
    /// This computer only (127.0.0.1); port 0 lets the system choose.
    pub fn here(port: u16) -> Listen {
        let address = SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), port);
        Listen { address, names: Vec::new(), phrase: None }
    }

    /// Any address. `names` are the host names answered to beside `localhost` and the addresses
    /// themselves; `phrase` is asked of every reader where it is given, and must be given unless
    /// `address` is this computer's own.
    ///
    /// # Errors
    /// [`ListenError::NoPhrase`], [`ListenError::Phrase`] or [`ListenError::Entropy`].
    pub fn at(
        address: SocketAddr,
        names: Vec<String>,
        phrase: Option<&str>,
        entropy: &dyn Entropy,
    ) -> Result<Listen, ListenError> {
        if phrase.is_none() && !address.ip().to_canonical().is_loopback() {
            return Err(ListenError::NoPhrase { address });
        }
        let mut salt = [0; 16];
        entropy.fill(&mut salt).map_err(ListenError::Entropy)?;
        let phrase = phrase.map(|text| Phrase::new(text, salt)).transpose();
        Ok(Listen { address, names, phrase: phrase.map_err(ListenError::Phrase)? })
    }

    /// The address asked for.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// What whoever starts the program should know; printed by the binary.
    pub fn warnings(&self) -> Vec<String> {
        if self.address.ip().to_canonical().is_loopback() {
            return Vec::new();
        }
        vec![format!(
            "listening on {}: other computers can reach it, and what is sent is NOT encrypted; use it only on a network you trust, apart from crew and guests",
            self.address
        )]
    }

    pub(crate) fn names(&self) -> &[String] {
        &self.names
    }

    pub(crate) fn phrase(&self) -> Option<&Phrase> {
        self.phrase.as_ref()
    }
}
