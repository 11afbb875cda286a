//! Which names this program answers to.
//!
//! A page elsewhere can have its own name resolve to this machine (rebinding) and then ask as if it were ours. So a request counts only
//! if its `Host` is a name that was meant: an address of the loopback, the address that is listened on, or one that was allowed. An
//! address written as such never comes of a name, so where every address is listened on, every address is allowed.

use std::net::{IpAddr, SocketAddr};

/// The names.
#[derive(Clone, Debug)]
pub struct Hosts {
    listening: SocketAddr,
    allowed: Vec<String>,
}

impl Hosts {
    /// Of an address that is listened on, and names that were allowed besides.
    pub fn new(listening: SocketAddr, allowed: &[String]) -> Self {
        Self { listening, allowed: allowed.iter().map(|name| name.trim_end_matches('.').to_ascii_lowercase()).collect() }
    }

    /// Whether a `Host` is one of them, port included.
    pub fn answers_to(&self, host: &str) -> bool {
        let (name, port) = match host.rsplit_once(':') {
            // The colons of a bracketed address are its own.
            Some((name, port)) if !port.ends_with(']') => (name, port.parse().ok()),
            _ => (host, Some(80)),
        };
        if port != Some(self.listening.port()) {
            return false;
        }
        let bare = name.strip_prefix('[').and_then(|name| name.strip_suffix(']'));
        let address = match bare {
            Some(bare) => bare.parse().ok().map(IpAddr::V6),
            None => name.parse().ok().map(IpAddr::V4),
        };
        match address {
            Some(address) => address.is_loopback() || self.listening.ip().is_unspecified() || address == self.listening.ip(),
            None => name.eq_ignore_ascii_case("localhost") || self.allowed.iter().any(|allowed| name.eq_ignore_ascii_case(allowed)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hosts(listening: &str) -> Hosts {
        Hosts::new(listening.parse().unwrap(), &["Workshop.local.".to_owned()])
    }

    #[test]
    fn only_names_that_were_meant_are_answered_to() {
        let loopback = hosts("127.0.0.1:8421");
        for host in ["127.0.0.1:8421", "localhost:8421", "LOCALHOST:8421", "[::1]:8421", "workshop.local:8421"] {
            assert!(loopback.answers_to(host), "{host}");
        }
        for host in [
            "",
            ":8421",
            "127.0.0.1",
            "127.0.0.1:80",
            "127.0.0.1:8421:8421",
            "127.0.0.1.example:8421",
            "localhost.example:8421",
            "example:8421",
            "192.168.1.5:8421",
            "0.0.0.0:8421",
            "::1:8421",
            "[::1]",
            "[localhost]:8421",
            "127.0.0.1:+8421x",
            "a@localhost:8421",
            "2130706433:8421",
        ] {
            assert!(!loopback.answers_to(host), "{host}");
        }
        assert!(hosts("192.168.1.5:8421").answers_to("192.168.1.5:8421") && !hosts("192.168.1.5:8421").answers_to("192.168.1.6:8421"));
        assert!(hosts("0.0.0.0:8421").answers_to("192.168.1.6:8421") && !hosts("0.0.0.0:8421").answers_to("rebound.example:8421"));
        assert!(hosts("0.0.0.0:80").answers_to("192.168.1.6"));
    }
}
