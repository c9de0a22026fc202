//! The data server's address, parsed once.

use std::fmt;

use reqwest::Url;

/// Scheme, host and port of a Signal K server: no path, no user, no query. `ws` pairs with `http` and `wss`
/// with `https`; either may be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ServerAddress {
    scheme: &'static str,
    /// An IPv6 address in brackets.
    host: String,
    port: u16,
}

impl ServerAddress {
    /// The server on this machine at Signal K's customary port 3000.
    #[must_use]
    pub fn local() -> Self {
        Self {
            scheme: "ws",
            host: "localhost".to_owned(),
            port: 3000,
        }
    }

    /// A server that was found on the network.
    #[must_use]
    pub fn found(host: std::net::Ipv4Addr, port: u16, secure: bool) -> Self {
        Self {
            scheme: if secure { "wss" } else { "ws" },
            host: host.to_string(),
            port,
        }
    }

    /// Parses `ws://host[:port]` and the other schemes; describes an error in words.
    pub fn parse(text: &str) -> Result<Self, String> {
        const EXAMPLE: &str = "write it as `ws://localhost:3000`";
        let url = Url::parse(text.trim()).map_err(|error| format!("{error}; {EXAMPLE}"))?;
        let (scheme, standard_port) = match url.scheme() {
            "ws" => ("ws", 80),
            "wss" => ("wss", 443),
            "http" => ("http", 80),
            "https" => ("https", 443),
            _ => {
                return Err(format!(
                    "unsupported scheme, use `ws`, `wss`, `http` or `https`; {EXAMPLE}"
                ));
            }
        };
        let Some(host) = url.host_str().filter(|host| !host.is_empty()) else {
            return Err(format!("no host is in it; {EXAMPLE}"));
        };
        if !url.username().is_empty() || url.password().is_some() {
            return Err(format!(
                "user and password have no place in it; use `server.token_file` and {EXAMPLE}"
            ));
        }
        if url.path() != "/" || url.query().is_some() || url.fragment().is_some() {
            return Err(format!(
                "nothing may follow host and port, the paths are known; {EXAMPLE}"
            ));
        }
        Ok(Self {
            scheme,
            host: host.to_owned(),
            port: url.port().unwrap_or(standard_port),
        })
    }

    /// Is the connection encrypted?
    #[must_use]
    pub fn is_secure(&self) -> bool {
        matches!(self.scheme, "wss" | "https")
    }

    /// The host, an IPv6 address in brackets.
    #[must_use]
    pub fn host(&self) -> &str {
        &self.host
    }

    /// The port as written, or the scheme's default.
    #[must_use]
    pub const fn port(&self) -> u16 {
        self.port
    }

    /// The URL of the stream, which stays quiet until something is subscribed to.
    #[must_use]
    pub fn stream(&self) -> String {
        self.websocket("/signalk/v1/stream?subscribe=none&sendCachedValues=false")
    }

    /// The URL of a WebSocket at `path`, which starts with a slash.
    #[must_use]
    pub fn websocket(&self, path: &str) -> String {
        self.with_scheme("ws", path)
    }

    /// The URL of an HTTP resource at `path`, which starts with a slash.
    #[must_use]
    pub fn http(&self, path: &str) -> String {
        self.with_scheme("http", path)
    }

    fn with_scheme(&self, plain: &str, path: &str) -> String {
        let s = if self.is_secure() { "s" } else { "" };
        format!("{plain}{s}://{}:{}{path}", self.host, self.port)
    }
}

impl fmt::Display for ServerAddress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}://{}:{}", self.scheme, self.host, self.port)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn an_address_is_read_and_serves_both_protocols() {
        let local = ServerAddress::local();
        assert_eq!(local.to_string(), "ws://localhost:3000");
        assert_eq!(ServerAddress::parse(&local.to_string()), Ok(local));
        let address = ServerAddress::parse("https://boat.example/").unwrap();
        assert_eq!(
            address.websocket("/signalk/v1/stream"),
            "wss://boat.example:443/signalk/v1/stream"
        );
        assert_eq!(address.http("/signalk"), "https://boat.example:443/signalk");
        let address = ServerAddress::parse("ws://[::1]:3000").unwrap();
        assert_eq!((address.host(), address.port()), ("[::1]", 3000));
        assert!(!address.is_secure());
    }

    #[test]
    fn an_invalid_address_is_refused_in_words() {
        for (text, word) in [
            ("localhost:3000", "scheme"),
            ("boat", "relative URL without a base"),
            ("ws://", "empty host"),
            ("ws://boat:99999", "invalid port number"),
            ("ftp://boat", "scheme"),
            ("ws://me:pw@boat", "token_file"),
            ("ws://boat:3000/signalk/v1/stream", "paths are known"),
            ("ws://boat?token=x", "paths are known"),
        ] {
            let reason = ServerAddress::parse(text).unwrap_err();
            assert!(reason.contains(word), "{text}: {reason}");
            assert!(reason.ends_with("write it as `ws://localhost:3000`"));
        }
    }
}
